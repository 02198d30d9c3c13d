"""Damaged and foreign files in the place of the learner's record (hpteach/assessment/record_file.py)."""

import sqlite3
import threading
from contextlib import closing

import pytest

from hpteach.assessment import record_file
from hpteach.assessment.record_file import VERSION, RecordFile, is_record
from hpteach.errors import ProgressError
from tests.record_rows import row, texts, torn


@pytest.fixture
def kept(tmp_path):
    """A file with one row."""
    path = tmp_path / "folder" / "progress.sqlite3"
    RecordFile(path).write(row())
    return path


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


def test_an_empty_file_becomes_a_record(tmp_path):
    """A file of no bytes, as a program killed at the very beginning leaves it, is taken for a new one."""
    path = tmp_path / "progress.sqlite3"
    path.touch()
    assert [] == RecordFile(path).rows()
    RecordFile(path).write(row())
    assert (True, "8 bar") == (is_record(path), *texts(path))
