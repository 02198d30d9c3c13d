"""The file of the learner's record: kills, damage, locks, full and read-only disks, many writers (hpteach/assessment/record_file.py)."""

import json
import os
import sqlite3
import stat
import subprocess
import sys
import tempfile
import threading
from contextlib import closing
from pathlib import Path

import pytest

from hpteach.assessment import record_file
from hpteach.assessment.record_file import COLUMNS, VERSION, RecordFile, is_record
from hpteach.errors import ProgressError

KILLS = Path(__file__).with_name("record_kills.py")
POSIX = pytest.mark.skipif(os.name != "posix", reason="kills, permissions and limits of this kind exist on POSIX systems only")


def row(text="8 bar", **other):
    """A row as the record keeps it."""
    told = {"at": "2026-05-04T12:00:00.000Z", "question": "read-a-gauge", "version": 1, "topic": "start", "lesson": "00", "seed": 7, "system": "SI"}
    return {**told, "part": "absolute", "text": text, "correct": False, "mistake": None, "hints": 0, "solution_seen": False, **other}


def texts(path):
    """The answers in a file, in their order."""
    return [one["text"] for one in RecordFile(path).rows()]


@pytest.fixture
def path(tmp_path):
    return tmp_path / "folder" / "progress.sqlite3"


@pytest.fixture
def kept(path):
    """A file with one row."""
    RecordFile(path).write(row())
    return path


def test_rows_come_back_as_they_were_kept(path):
    """Every column comes back, and the rows in the order in which they were kept."""
    file = RecordFile(path)
    rows = [row("-5 °C"), row('a "b", c\n', correct=True, mistake="gauge_read_as_absolute", hints=2, solution_seen=True)]
    for one in rows:
        file.write(one)
    assert [{"number": number, **one} for number, one in enumerate(rows, 1)] == RecordFile(path).rows()


def test_looking_makes_no_file(path):
    """A file that is not there has no rows, and is not made by looking."""
    assert [] == RecordFile(path).rows()
    assert not path.parent.exists()


@POSIX
def test_only_the_reader_may_read_it(kept):
    """The file is for its owner alone, and so is a folder that was made for it."""
    assert (0o600, 0o700) == tuple(stat.S_IMODE(one.stat().st_mode) for one in (kept, kept.parent))


def test_a_row_is_on_the_disk_before_it_is_said_to_be_kept(path, monkeypatch):
    """Every connection asks SQLite to wait for the disk, the folder of the journal included."""
    seen = []

    class Watched(sqlite3.Connection):
        def execute(self, text, *more):
            if text.startswith("insert"):
                seen.append(super().execute("pragma synchronous").fetchone())
                seen.append(super().execute("pragma journal_mode").fetchone())
            return super().execute(text, *more)

    connect = sqlite3.connect
    monkeypatch.setattr(record_file.sqlite3, "connect", lambda *args, **how: connect(*args, factory=Watched, **how))
    RecordFile(path).write(row())
    assert [(3,), ("delete",)] == seen


@POSIX
def test_no_kill_loses_an_answer_that_was_said_to_be_kept(path):
    """Of 200 programs that keep answers and are killed at a moment drawn by lot, every acknowledged answer is there, in a sound file."""
    path.parent.mkdir()
    told = subprocess.run([sys.executable, str(KILLS), str(path), "200", "1"], capture_output=True, text=True, check=True)
    found = json.loads(told.stdout)
    print(found)
    assert {"kills": 200, "lost": 0, "beyond": 0, "unsound": 0, "aside": 0} == {name: found[name] for name in ("kills", "lost", "beyond", "unsound", "aside")}
    assert found["said"] > 50 and found["hot"] > 0  # enough was kept, and some kills fell into the midst of a transaction


def test_many_writers_lose_nothing(path):
    """Threads of one notebook and several programs write at once: every row is there once, each writer's in its order."""
    script = (
        "import sys; from tests.test_record_file import RecordFile, row; from pathlib import Path\n"
        "for n in range(20): RecordFile(Path(sys.argv[1])).write(row(f'{sys.argv[2]} {n}'))"
    )
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])}
    programs = [subprocess.Popen([sys.executable, "-c", script, str(path), f"program {one}"], env=environment) for one in range(3)]
    file, refused = RecordFile(path), []

    def write(name):
        try:
            for number in range(20):
                file.write(row(f"{name} {number}"))
        except ProgressError as error:
            refused.append(error)

    threads = [threading.Thread(target=write, args=(f"thread {one}",)) for one in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert [0, 0, 0] == [program.wait() for program in programs] and [] == refused
    found = texts(path)
    assert 7 * 20 == len(found)
    for name in {text.rpartition(" ")[0] for text in found}:
        assert [f"{name} {number}" for number in range(20)] == [text for text in found if text.startswith(f"{name} ")]


# Damage -------------------------------------------------------------------------------


def torn(path):
    """Write over the pages behind the first one."""
    for number in range(30):
        RecordFile(path).write(row(f"{number}" * 40))
    data = bytearray(path.read_bytes())
    assert len(data) > 8192
    data[4096:8192] = b"\xff" * 4096
    path.write_bytes(data)


def cut(path):
    path.write_bytes(path.read_bytes()[:5000])


def other_table(path):
    with closing(sqlite3.connect(path)) as db:
        db.execute("alter table attempts rename column text to words")


def foreign(path):
    path.unlink()
    with closing(sqlite3.connect(path)) as db:
        db.execute("create table bookmarks (address text)")


DAMAGES = {
    "torn": torn,
    "cut": cut,
    "other table": other_table,
    "foreign database": foreign,
    "no database": lambda path: path.write_text("my diary, which is no record\n" * 99),
    "half a head": lambda path: path.write_bytes(path.read_bytes()[:50]),
}


@pytest.mark.parametrize("write", [True, False], ids=["writing", "reading"])
@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_or_foreign_file_is_set_aside(damage, write, kept):
    """Such a file is renamed, byte for byte as it was, a new one is begun, and a sentence says so."""
    DAMAGES[damage](kept)
    before = kept.read_bytes()
    file = RecordFile(kept)
    assert [] == (file.write(row("new")) or [] if write else file.rows())
    (aside,) = kept.parent.glob("progress.sqlite3.damaged-*")
    assert before == aside.read_bytes()
    assert aside.name in file.notice and "set aside" in file.notice and str(kept.parent) in file.notice
    assert (["new"] if write else []) == texts(kept)
    assert {aside.name} | ({kept.name} if write else set()) == {one.name for one in kept.parent.iterdir()}


def test_a_sound_file_stays(kept):
    """Where nothing is wrong there is no notice."""
    file = RecordFile(kept)
    file.write(row("second"))
    assert ("", ["8 bar", "second"]) == (file.notice, texts(kept))


def test_damage_that_comes_while_it_is_used_is_found(kept):
    """A file that is damaged between two answers is set aside too, and the answer is kept in the new one."""
    file = RecordFile(kept)
    assert 1 == len(file.rows())
    kept.write_bytes(b"no record any more" * 500)
    file.write(row("after"))
    assert "set aside" in file.notice
    assert ["after"] == texts(kept)


def test_a_journal_goes_aside_with_its_file(kept):
    """What SQLite left beside a damaged file never meets the new one, and keeps the name of its own."""
    kept.write_bytes(b"no record" * 900)
    kept.with_name(f"{kept.name}-wal").write_bytes(b"what SQLite left")
    file = RecordFile(kept)
    file.write(row("new"))
    (aside,) = file.set_aside()
    assert b"what SQLite left" == aside.with_name(f"{aside.name}-wal").read_bytes()
    assert [] == list(kept.parent.glob(f"{kept.name}-*"))


def test_two_files_damaged_in_one_second_have_two_names(kept):
    """No file that was set aside is written over by the next."""
    for number in range(3):
        kept.write_bytes(b"damaged %d" % number * 500)
        RecordFile(kept).write(row())
    assert 3 == len({one.read_bytes() for one in kept.parent.glob("*.damaged-*")})


def test_several_programs_that_meet_a_damaged_file_lose_nothing(kept):
    """One of them sets it aside, and the answers of all are in the new one."""
    kept.write_bytes(b"damaged" * 900)
    threads = [threading.Thread(target=lambda number=number: RecordFile(kept).write(row(f"{number}"))) for number in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert (1, {f"{number}" for number in range(8)}) == (len(list(kept.parent.glob("*.damaged-*"))), set(texts(kept)))


def test_what_a_killed_program_left_of_setting_aside_is_removed(kept, monkeypatch):
    """A gate that nobody opens any more holds nobody up for ever."""
    monkeypatch.setattr(record_file, "_PATIENCE", 0.05)
    kept.write_bytes(b"damaged" * 900)
    kept.with_name(f"{kept.name}.setting-aside").mkdir()
    RecordFile(kept).write(row("new"))
    assert ["new"] == texts(kept)


def test_a_file_of_a_later_hpteach_is_left_alone(kept):
    """A higher version of the schema is refused in a sentence, for reading and writing, and not a byte of the file changes."""
    with closing(sqlite3.connect(kept)) as db:
        db.execute(f"pragma user_version = {VERSION + 1}")
    before = kept.read_bytes()
    for use in (RecordFile(kept).rows, lambda: RecordFile(kept).write(row())):
        with pytest.raises(ProgressError, match=f"later hpteach .version {VERSION + 1}.*install the later one, or name another file with HPTEACH_PROGRESS"):
            use()
    assert before == kept.read_bytes() and [kept.name] == [one.name for one in kept.parent.iterdir()]


def test_an_empty_file_becomes_a_record(path):
    """A file of no bytes, as a program killed at the very beginning leaves it, is taken for a new one."""
    path.parent.mkdir()
    path.touch()
    assert [] == RecordFile(path).rows()
    RecordFile(path).write(row())
    assert (True, "8 bar") == (is_record(path), *texts(path))


# Refusals -----------------------------------------------------------------------------


def test_a_file_that_is_locked_is_refused_after_a_while(kept, monkeypatch):
    """A program that keeps the file to itself is named as the reason, after some patience; what it held is whole."""
    monkeypatch.setattr(record_file, "_PATIENCE", 0.1)
    with closing(sqlite3.connect(kept, isolation_level=None)) as db:
        db.execute("begin exclusive")
        for use in (RecordFile(kept).rows, lambda: RecordFile(kept).write(row())):
            with pytest.raises(ProgressError, match=r"progress\.sqlite3 cannot be (read|written), because another program .* close that program"):
                use()
    assert ["8 bar"] == texts(kept)


def test_a_full_disk_is_refused(kept, monkeypatch):
    """Where there is no room the reason is said, the file keeps what it had, and goes on when there is room."""

    class Full(sqlite3.Connection):
        def execute(self, text, *more):
            if text.startswith("begin"):
                super().execute("pragma max_page_count = 2")
            return super().execute(text, *more)

    connect = sqlite3.connect
    with monkeypatch.context() as patched:
        patched.setattr(record_file.sqlite3, "connect", lambda *args, **how: connect(*args, factory=Full, **how))
        with pytest.raises(ProgressError, match="cannot be written, because the disk is full: make room, or name another file"):
            for _ in range(300):
                RecordFile(kept).write(row("x" * 190))
    before = len(texts(kept))
    RecordFile(kept).write(row("after"))
    assert before + 1 == len(texts(kept)) and "after" == texts(kept)[-1]


UNDER_A_LIMIT = """
import os, resource, signal, sys
from pathlib import Path
from tests.test_record_file import RecordFile, row
path = Path(sys.argv[1])
if sys.argv[2] == "size":
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (12000, 12000))
elif os.geteuid() == 0:
    os.setuid(65534)
print([one["text"] for one in RecordFile(path).rows()] if path.exists() else None)
try:
    for _ in range(200):
        RecordFile(path).write(row("x" * 190))
except Exception as error:
    print(type(error).__name__, error)
"""


def told(path, limit):
    """What a program under a limit could read, and what it was refused with."""
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])}
    return subprocess.run([sys.executable, "-c", UNDER_A_LIMIT, str(path), limit], capture_output=True, text=True, env=environment, check=True).stdout.splitlines()


@POSIX
def test_a_disk_that_takes_no_more_bytes_is_refused(kept):
    """Where the system refuses a write in the midst of it, the error is ours, and the file is sound and holds what was kept."""
    _, error = told(kept, "size")
    assert error.startswith(f"ProgressError {kept} cannot be written, because ")
    file = RecordFile(kept)
    assert "8 bar" == file.rows()[0]["text"] and "" == file.notice


@POSIX
def test_what_may_not_be_written_is_refused_and_can_be_read():
    """A file that may only be read is read; writing to it, or beginning one in such a folder, is refused with the file and what to do."""
    with tempfile.TemporaryDirectory() as name:  # the folders of pytest are closed to others
        folder = Path(name)
        RecordFile(folder / "progress.sqlite3").write(row())
        (folder / "progress.sqlite3").chmod(0o444)
        folder.chmod(0o555)
        try:
            read, refused = told(folder / "progress.sqlite3", "other user")
            none, new = told(folder / "other" / "progress.sqlite3", "other user")
        finally:
            folder.chmod(0o700)
        assert ("['8 bar']", "None") == (read, none)
        assert "may not be written: allow it, or name another file with HPTEACH_PROGRESS" in refused
        assert "other/progress.sqlite3 cannot be written (Permission denied)" in new


def test_what_is_no_file_is_refused(tmp_path):
    """A folder in the file's place is refused and stays; so is a path through a file."""
    for use in (RecordFile(tmp_path).rows, lambda: RecordFile(tmp_path).write(row())):
        with pytest.raises(ProgressError, match="is not a file: name one with HPTEACH_PROGRESS"):
            use()
    (tmp_path / "file").touch()
    with pytest.raises(ProgressError, match="cannot be written"):
        RecordFile(tmp_path / "file" / "progress.sqlite3").write(row())


def test_a_file_that_is_set_aside_under_a_writer_does_not_take_its_answer(kept, monkeypatch):
    """A writer that waited while the file was replaced begins again with the new one."""
    moved = []

    class Slow(sqlite3.Connection):
        def execute(self, text, *more):
            if text.startswith("begin") and not moved:
                moved.append(kept.rename(kept.with_name("elsewhere")))
            return super().execute(text, *more)

    connect = sqlite3.connect
    monkeypatch.setattr(record_file.sqlite3, "connect", lambda *args, **how: connect(*args, factory=Slow, **how))
    RecordFile(kept).write(row("second"))
    assert (["second"], ["8 bar"]) == (texts(kept), texts(moved[0]))


# Deleting -----------------------------------------------------------------------------


def test_deleting_takes_the_file_its_journal_and_damaged_ones(kept):
    """All that is ours goes and is named; what does not look like a record stays."""
    torn(kept)
    file = RecordFile(kept)
    file.write(row("new"))
    (aside,) = file.set_aside()
    kept.with_name(f"{kept.name}.damaged-20260504T120000Z").write_text("my diary")
    kept.with_name("answers.csv").write_text("at\r\n")
    assert {kept, aside} == set(file.delete())
    assert {"answers.csv", f"{kept.name}.damaged-20260504T120000Z"} == {one.name for one in kept.parent.iterdir()}
    file.write(row("again"))
    assert ["again"] == texts(kept)


def test_deleting_nothing_deletes_nothing(path):
    """Where there is no file, nothing is deleted and nothing made."""
    assert () == RecordFile(path).delete()
    assert not path.parent.exists()


def test_what_is_no_record_is_not_deleted(path):
    """A file of another kind is refused and stays."""
    path.parent.mkdir()
    path.write_text("my diary")
    with pytest.raises(ProgressError, match="is not a record of hpteach, or damaged beyond recognition: it stays"):
        RecordFile(path).delete()
    assert "my diary" == path.read_text()


@POSIX
def test_deleting_waits_for_a_writer(kept, monkeypatch):
    """A record in which another program is just writing is not deleted under it."""
    monkeypatch.setattr(record_file, "_PATIENCE", 0.1)
    with closing(sqlite3.connect(kept, isolation_level=None)) as db:
        db.execute("begin immediate")
        with pytest.raises(ProgressError, match="cannot be deleted, because another program"):
            RecordFile(kept).delete()
    assert (kept,) == RecordFile(kept).delete()


@POSIX
def test_a_link_is_followed(kept, tmp_path):
    """Where the path is a link, it is the record behind it that is written and deleted."""
    link = tmp_path / "link"
    link.symlink_to(kept)
    RecordFile(link).write(row("second"))
    assert (["8 bar", "second"], (kept,)) == (texts(kept), RecordFile(link).delete())


def test_a_record_is_known_by_its_head(kept, tmp_path):
    """A record is told from other files, from none and from a folder."""
    (tmp_path / "text").write_text("SQLite format 3")
    assert [True, False, False, False] == [is_record(one) for one in (kept, tmp_path / "text", tmp_path / "none", tmp_path)]
    assert "number" == next(iter(COLUMNS))
