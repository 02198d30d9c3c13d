"""Files that are there only when they are whole (hpteach/assessment/whole_file.py)."""

import os
import stat
import sys

import pytest

from hpteach.assessment.whole_file import whole_file, write_whole
from hpteach.errors import InputError


def test_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch) -> None:
    """Where writing fails half-way, what was there before stays, and no piece is left."""
    path = write_whole(tmp_path / "a.csv", b"before")

    def full(number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match="cannot be written .No space left on device.: close it where it is open, or choose another place"):
        write_whole(path, b"after")
    assert (b"before", ["a.csv"]) == (path.read_bytes(), [one.name for one in tmp_path.iterdir()])


@pytest.mark.parametrize(("choices", "waits"), [({}, 1), ({"lasting": False}, 0)])
def test_file_is_on_the_disk_unless_it_need_not_last(tmp_path, monkeypatch, choices, waits: int) -> None:
    """Writing waits for the disk, but not for files that can be made again; what is read back is the same."""
    waited = []
    monkeypatch.setattr(os, "fsync", waited.append)
    assert (b"x", waits) == (write_whole(tmp_path / "a", b"x", **choices).read_bytes(), len(waited))


@pytest.mark.parametrize("place", ["", "none/a.csv", "a\0b"])
def test_place_that_cannot_be_written_is_refused(tmp_path, place: str) -> None:
    """A folder, a missing folder and a name that cannot be are refused with a sentence, and nothing is left behind."""
    with pytest.raises(InputError, match="choose another place"):
        write_whole(f"{tmp_path}/{place}", b"x")
    assert [] == list(tmp_path.iterdir())


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has other rights")
def test_file_has_ordinary_rights(tmp_path) -> None:
    """A file that was written in one step can be read by whom the system's own setting allows."""
    (tmp_path / "plain").write_bytes(b"")
    rights = [stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "plain", write_whole(tmp_path / "whole", b""))]
    assert rights[0] == rights[1]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has other rights")
def test_private_file_is_for_the_users_eyes(tmp_path) -> None:
    """A private file can be read and written by its user alone."""
    assert 0o600 == stat.S_IMODE(write_whole(tmp_path / "mine", b"x", private=True).stat().st_mode)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_pipe_is_not_replaced(tmp_path) -> None:
    """What is no ordinary file stays what it is."""
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="it is no ordinary file"):
        write_whole(tmp_path / "pipe", b"x")
    assert (tmp_path / "pipe").is_fifo() and ["pipe"] == [one.name for one in tmp_path.iterdir()]


def test_file_written_piece_by_piece_comes_whole_or_not_at_all(tmp_path) -> None:
    """Before the block has ended there is no such file; a block that fails leaves nothing, and its own error comes through."""
    with whole_file(tmp_path / "a") as file:
        file.write(b"one ")
        assert not (tmp_path / "a").exists()
        file.write(b"two")
    assert b"one two" == (tmp_path / "a").read_bytes()
    with pytest.raises(KeyError), whole_file(tmp_path / "b") as file:
        file.write(b"half")
        raise KeyError("stop")
    assert ["a"] == [one.name for one in tmp_path.iterdir()]
