"""How hard a question is expected to be (hpteach/assessment/difficulty.py).  The bank and the classes are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.difficulty import Difficulties, Measured, by_rule, difficulties_from, difficulty_by_rule, difficulty_of_drawing, read_difficulties
from hpteach.assessment.tabular import sheet_from_bytes, write_sheet
from hpteach.errors import DataError
from hpteach.questions import read_bank
from hpteach.questions.stated_parts import Choice, StatedTable
from tests import small_bank

HEADINGS = "question,version,answered,difficulty"


def of_kinds(level: int, *parts: tuple[str, int]):
    """A question of a level with parts of some kinds; the number is that of choices, or of the cells of a table."""
    model = small_bank.question("one", level=level)
    choices = tuple(Choice(f"choice {number}", None, number == 0, None, "") for number in range(8))
    made = []
    for number, (kind, count) in enumerate(parts):
        table = StatedTable(("1",), ("enthalpy",), (), ("h1",) * count, {}) if kind == "table" else None
        made.append(replace(model.parts[0], id=f"p{number}", kind=kind, choices=choices[:count] if kind != "table" else (), table=table))
    return replace(model, parts=tuple(made))


def measured(text: str, *ids: str) -> Difficulties:
    """What a questions.csv says of a bank of these questions."""
    return difficulties_from(sheet_from_bytes(text.encode(), "questions.csv"), small_bank.bank(*(small_bank.question(id, level=2) for id in ids)))


@pytest.mark.parametrize(
    ("level", "parts", "expected"),
    [
        (1, [("several", 4)], 0.25),
        (2, [("order", 0)], 0.45),
        (3, [("state", 0)], 0.65),
        (2, [("truth", 3)], 0.45),
        (2, [("number", 0)], 0.50),
        (3, [("table", 3)], 0.70),
        (2, [("choice", 3)], 0.45),
        (2, [("choice", 2)], 0.40),
        (2, [("several", 3), ("number", 0)], 0.475),
        # A table of nine cells weighs four marks beside the one of a choice.
        (2, [("choice", 2), ("table", 9)], (0.40 + 4 * 0.50) / 5),
        (2, [("choice", 2), ("table", 2)], (0.40 + 2 * 0.50) / 3),
    ],
)
def test_rule_looks_at_level_kinds_and_marks(level: int, parts: list[tuple[str, int]], expected: float) -> None:
    """The figures are those of the module's table (common practice, no source)."""
    assert pytest.approx(expected) == difficulty_by_rule(of_kinds(level, *parts))
    assert pytest.approx(expected) == by_rule().of(of_kinds(level, *parts))


def test_every_question_of_the_bank_has_a_difficulty_between_none_and_all() -> None:
    """Strictly within 0 and 1, and harder levels are harder on average."""
    found = {level: [difficulty_by_rule(question) for question in read_bank().questions.values() if question.level == level] for level in (1, 2, 3)}
    assert all(0.0 < one < 1.0 for level in found.values() for one in level)
    assert max(found[1]) < min(found[2]) < max(found[2]) < min(found[3])


def test_drawing_is_as_hard_as_a_number() -> None:
    """Whatever the question itself asks."""
    assert pytest.approx(0.50) == difficulty_of_drawing(of_kinds(2, ("choice", 2)))


@pytest.mark.parametrize(
    ("answered", "got", "expected"),
    [
        (0, 0.1, 0.50),  # the rule alone
        (10, 0.5, 0.50),
        (10, 0.3, 0.60),  # half the rule's 0.50, half the 0.70 that was missed
        (30, 0.1, (30 * 0.9 + 10 * 0.5) / 40),
        (9990, 0.0, 0.9995),
    ],
)
def test_answers_of_an_earlier_class_count_by_their_number(answered: int, got: float, expected: float) -> None:
    """(n m + 10 rule) / (n + 10), where the file's difficulty is the share that was got."""
    found = measured(f"{HEADINGS}\none,{small_bank.model().version},{answered},{got}", "one")
    assert pytest.approx(expected) == found.of(small_bank.question("one", level=2))


@given(st.floats(0.0, 1e6), st.floats(0.0, 1.0), st.sampled_from((1, 2, 3)))
def test_difficulty_stays_between_none_and_all(answered: float, missed: float, level: int) -> None:
    """Even where everybody was right, or nobody, a question keeps a difficulty within 0 and 1."""
    assert 0.0 < Difficulties({"one": Measured(answered, missed)}).of(small_bank.question("one", level=level)) < 1.0


def test_classes_below_each_other_are_put_together() -> None:
    """The lines of a question that stands twice are weighed by how many had it."""
    found = measured(f"{HEADINGS}\none,1,30,0.2\none,1,10,0.6", "one")
    assert pytest.approx((30 * 0.8 + 10 * 0.4) / 40) == found.measured["one"].missed
    assert 40.0 == found.measured["one"].answered


def test_lines_that_say_nothing_of_the_bank_are_passed_over() -> None:
    """Unknown and changed questions are named; drawings, unanswered ones and empty cells are not worth a word."""
    rows = ("one,1,asked,20,0.5", "old,1,asked,20,0.5", "two,7,asked,20,0.5", "one,1,drawing,20,0.0", "one,1,asked,0,", "one,1,asked,5,")
    found = measured("\n".join(["Question,Version,Task,Answered,Difficulty", *rows]), "one", "two")
    assert {"one": Measured(20.0, 0.5)} == dict(found.measured)
    assert ("questions.csv: line 3: the bank has no question 'old'", "questions.csv: line 4: 'two' was changed since, from version 7 to 1") == found.passed_over


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ("one,1,20,1.2", "questions.csv: line 2: difficulty is '1.2': give the file that marking wrote, where it is a number from 0 to 1"),
        ("one,1,20,45 %", "difficulty is '45 %'"),
        ("one,1,20,nan", "difficulty is 'nan'"),
        ("one,1,-3,0.5", "answered is '-3': give the file that marking wrote, where it is a whole number"),
        ("one,first,20,0.5", "version is 'first'"),
        ("one,1,inf,0.5", "answered is 'inf'"),
    ],
)
def test_numbers_that_are_none_are_refused(row: str, sentence: str) -> None:
    """File, line, column, what stands there and what to do."""
    with pytest.raises(DataError) as caught:
        measured(f"{HEADINGS}\n{row}", "one")
    assert sentence in str(caught.value)


def test_file_is_read_as_a_spreadsheet_saves_it(tmp_path) -> None:
    """Semicolons and decimal commas, and the columns that are needed."""
    bank = small_bank.bank(small_bank.question("one"))
    (tmp_path / "questions.csv").write_bytes("question;version;answered;difficulty\r\none;1;20;0,25\r\n".encode("cp1252"))
    assert {"one": Measured(20.0, 0.75)} == dict(read_difficulties(tmp_path / "questions.csv", bank).measured)
    with pytest.raises(DataError, match="there is no column 'version'"):
        read_difficulties(write_sheet(tmp_path / "other.csv", ("question", "difficulty"), [("one", 0.5)]), bank)
