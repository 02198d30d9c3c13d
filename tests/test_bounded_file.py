"""A file read as far as such a file can be long (hpteach/assessment/bounded_file.py)."""

import os

import pytest

from hpteach.assessment.bounded_file import read_bounded
from hpteach.errors import DataError


@pytest.mark.parametrize(("size", "read"), [(0, 0), (9, 9), (10, 10), (11, 11), (5000, 11)])
def test_no_more_is_read_than_shows_that_it_is_too_long(tmp_path, size, read):
    """Of a file one byte more than the most is read, however long it is."""
    (tmp_path / "sheet.csv").write_bytes(b"x" * size)
    assert b"x" * read == read_bounded(tmp_path / "sheet.csv", 10, "name a CSV file")


def test_folder_is_refused(tmp_path):
    """A folder is no file, and the sentence says what to name."""
    with pytest.raises(DataError, match=f"^{tmp_path.name}: is no file: name a CSV file$"):
        read_bounded(tmp_path, 10, "name a CSV file")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_pipe_is_refused_without_waiting_for_a_writer(tmp_path):
    """A pipe that nobody writes into would wait for ever, so it is not opened."""
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(DataError, match="^pipe.csv: is no file: name a CSV file$"):
        read_bounded(tmp_path / "pipe.csv", 10, "name a CSV file")


@pytest.mark.parametrize("name", ["nowhere.csv", "nul\0.csv"])
def test_file_that_cannot_be_read_is_refused_with_the_reason(tmp_path, name):
    """A file that is not there, or whose name no file can have, is refused in one sentence."""
    with pytest.raises(DataError, match=r"csv: cannot be read \(.+\): name a CSV file$"):
        read_bounded(tmp_path / name, 10, "name a CSV file")
