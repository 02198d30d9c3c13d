"""The sheet into which answers are typed: its columns and the letters of parts (hpteach/assessment/answer_sheet.py)."""

from __future__ import annotations

import pytest

from hpteach.assessment.answer_sheet import COLUMNS, part_letters, part_named, sheet_row
from hpteach.assessment.tabular import sheet_bytes, sheet_from_bytes
from hpteach.errors import UnknownNameError
from hpteach.questions import deal, read_bank


@pytest.fixture(scope="module")
def table():
    """A dealt question with a state table of several cells."""
    bank = read_bank().questions.values()
    return deal(next(question for question in bank if any(part.table for part in question.parts)), 1)


def test_letters_are_all_different() -> None:
    """A hundred parts have a hundred letters, the first of them from a to z, and fewer parts have the first of these."""
    letters = part_letters(100)
    assert (100, "abcdefghijklmnopqrstuvwxyz") == (len(set(letters)), "".join(letters[:26]))
    assert letters[:7] == part_letters(7)
    assert ("az", "ba") == letters[51:53]


@pytest.mark.parametrize("write", [str, str.upper, lambda letter: f" {letter}) ", lambda letter: f"{letter}."], ids=["plain", "capital", "bracket", "dot"])
def test_letter_names_its_part(table, write) -> None:
    """A letter names the part at its place, however it was typed."""
    parts = table.parts
    assert list(parts) == [part_named(table, write(letter)) for letter in part_letters(len(parts))]


def test_id_names_its_part(table) -> None:
    """A part's id names it too, in capitals or not."""
    assert list(table.parts) == [part_named(table, part.id.upper()) for part in table.parts]


@pytest.mark.parametrize("text", ["", "z", "1", "aa", "<b>", "\N{GREEK SMALL LETTER ALPHA}"])
def test_other_text_is_refused_with_the_letters(table, text: str) -> None:
    """What names no part is refused with the letters that there are."""
    with pytest.raises(UnknownNameError, match=rf"part {text!r} is not known.*{', '.join(part_letters(len(table.parts)))}"):
        part_named(table, text)


def test_row_fits_the_columns() -> None:
    """A row has a cell under each column, and comes back from a file as it was, its answer still empty."""
    row = sheet_row("007", "=cmd|' /C calc'!A0", "2222-2234", 3, "b")
    sheet = sheet_from_bytes(sheet_bytes(COLUMNS, [row]), "answers.csv", COLUMNS)
    assert [str(cell) for cell in row] == [sheet.text(sheet.rows[0], column) for column in COLUMNS]
    assert "" == sheet.text(sheet.rows[0], "answer")
