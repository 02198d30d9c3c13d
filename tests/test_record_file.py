"""The file of the learner's record: kills, locks, full and read-only disks, many writers, deleting (hpteach/assessment/record_file.py)."""

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
from hpteach.assessment.record_file import COLUMNS, RecordFile, is_record
from hpteach.errors import ProgressError
from tests.record_rows import row, texts, torn

KILLS = Path(__file__).with_name("record_kills.py")
POSIX = pytest.mark.skipif(os.name != "posix", reason="kills, permissions and limits of this kind exist on POSIX systems only")


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
    assert found["said"] > 20 and found["hot"] > 0  # enough was kept, and some kills fell into the midst of a transaction


def test_many_writers_lose_nothing(path):
    """Threads of one notebook and several programs write at once: every row is there once, each writer's in its order."""
    script = (
        "import sys; from tests.record_rows import RecordFile, row; from pathlib import Path\n"
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
from tests.record_rows import RecordFile, row
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
