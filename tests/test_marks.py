"""How many marks each thing asked is worth (hpteach/assessment/marks.py)."""

from __future__ import annotations

import pytest

from hpteach.assessment.marks import MOST_FOR_A_TABLE, marks_of, question_marks
from hpteach.questions import deal, read_bank


@pytest.fixture(scope="module")
def bank():
    """The project's own bank."""
    return read_bank()


def test_each_part_is_worth_a_mark(bank) -> None:
    """A question without a table has as many marks as parts."""
    variant = deal(bank.question("superheat-and-subcooling"), seed=1)
    assert {part.id: 1.0 for part in variant.parts} == marks_of(variant)


def test_cells_of_a_large_table_share_four_marks(bank) -> None:
    """A table with more than four empty cells is worth four marks, in equal shares."""
    variant = deal(bank.question("table-in-heating"), seed=1)
    cells = [part.id for part in variant.parts if part.table]
    assert len(cells) > MOST_FOR_A_TABLE
    assert {MOST_FOR_A_TABLE / len(cells)} == {marks_of(variant)[id] for id in cells}
    assert pytest.approx(MOST_FOR_A_TABLE) == sum(marks_of(variant)[id] for id in cells)


def test_marks_before_and_after_dealing_are_the_same(bank) -> None:
    """For every question whose dealing is quick, the marks of its file are those of its parts together."""
    quick = [question for question in bank.questions.values() if not question.weather]
    stated = {question.id: pytest.approx(question_marks(question)) for question in quick}
    assert stated == {question.id: sum(marks_of(deal(question, seed=3)).values()) for question in quick}


def test_table_of_few_cells_has_a_mark_for_each(bank) -> None:
    """Up to four cells count a mark each."""
    few = [question for question in bank.questions.values() for part in question.parts if part.table and len(part.table.asked) <= 4]
    assert few
    for question in few:
        variant = deal(question, seed=3)
        assert {1.0} == {marks_of(variant)[part.id] for part in variant.parts if part.table}
