"""The record as CSV (hpteach/assessment/export.py): the form is that of RFC 4180, from memory, not seen here."""

import csv
import io
import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment import Attempt
from hpteach.assessment.export import csv_text, write_csv
from hpteach.assessment.guarding import without_guard
from hpteach.errors import ProgressError


def attempt(text, **other):
    """An answer with a text."""
    return Attempt("read-a-gauge", 1, "start", "00", 7, "SI", "absolute", text, True, at="2026-05-04T12:00:00.000Z", **other)


def read(text):
    """The rows of a CSV text as any reader of the form sees them."""
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_a_row_says_all_of_an_answer():
    """The heading names every column, and a row has them all, with yes and no in words."""
    one = read(csv_text([attempt("9 bar", mistake="gauge_read_as_absolute", hints=1)]))
    assert [
        {
            "at": "2026-05-04T12:00:00.000Z", "question": "read-a-gauge", "version": "1", "topic": "start", "lesson": "00", "seed": "7", "system": "SI",
            "part": "absolute", "text": "9 bar", "correct": "yes", "mistake": "gauge_read_as_absolute", "hints": "1", "solution_seen": "no",
        }
    ] == one  # fmt: skip


def test_texts_with_marks_stand_in_quotes():
    """Commas, quotes and line ends stand in quotes, quotes are doubled, and every row ends with CRLF."""
    text = csv_text([attempt('a "b", c\nd')])
    assert '"a ""b"", c\nd"' in text
    assert 2 == text.count("\r\n") and text.endswith("\r\n")


@given(st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=40))
def test_whatever_is_written_comes_back(text):
    """Any text comes back from the file as it was, once the apostrophes are off that guard it from a spreadsheet."""
    (row,) = read(csv_text([attempt(text)]))
    assert text == without_guard(row["text"])


@pytest.mark.parametrize(
    "text", ["=1+1", "+1 K", "-5 °C", "@SUM(A1)", "  =HYPERLINK(1)", "\n", "\tx", "\N{FULLWIDTH EQUALS SIGN}1", "\N{NO-BREAK SPACE}=1"]
)
def test_no_text_is_reckoned_with(text):
    """A text that a spreadsheet would take for a formula has an apostrophe before it."""
    assert f"'{text}" == read(csv_text([attempt(text)]))[0]["text"]


@pytest.mark.parametrize("text", ["5 °C", "a = b", "7-3", "x@y", "-3.5", ""])
def test_a_plain_text_stays(text):
    """What no spreadsheet would reckon with is left as it is."""
    assert text == read(csv_text([attempt(text)]))[0]["text"]


def test_the_file_is_utf_8_with_its_mark(tmp_path):
    """The file begins with the mark by which spreadsheets know UTF-8, and the same record gives the same bytes."""
    files = [write_csv([attempt("5 °C")], tmp_path / name) for name in ("one.csv", "two.csv")]
    first, second = (file.read_bytes() for file in files)
    assert first.startswith(b"\xef\xbb\xbfat,") and "5 °C".encode() in first and first == second


def test_a_file_is_replaced_as_a_whole(tmp_path, monkeypatch):
    """Where writing fails the file that was there before stays, and nothing half is left."""
    path = write_csv([attempt("before")], tmp_path / "answers.csv")
    before = path.read_bytes()

    def full(number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ProgressError, match=r"answers\.csv' cannot be written \(No space left on device\): close it where it is open, or choose another place"):
        write_csv([attempt("after")], path)
    assert before == path.read_bytes() and [path] == list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["no-folder/answers.csv", ".", "a\0b.csv"])
def test_a_place_that_cannot_be_written_is_refused(name, tmp_path):
    """A folder, a folder that is not there, and what is no name are refused with the place."""
    with pytest.raises(ProgressError, match="cannot be written .*: close it where it is open, or choose another place"):
        write_csv([attempt("x")], tmp_path / name)
    assert [] == list(tmp_path.iterdir())


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_device_or_pipe_is_not_replaced(tmp_path):
    """What is no ordinary file stays what it is: a file in one step would take its place."""
    pipe = tmp_path / "answers.csv"
    os.mkfifo(pipe)
    with pytest.raises(ProgressError, match=r"answers\.csv' cannot be written \(it is no ordinary file\): close it where it is open, or choose another place"):
        write_csv([attempt("x")], pipe)
    assert pipe.is_fifo() and [pipe] == list(tmp_path.iterdir())
