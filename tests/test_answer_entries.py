"""The forms of a question: what is asked of the browser, and what is taken from it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.panels.answer_entries import AnswerForm, TableForm, controls_of, entries_of
from hpteach.panels.verdict_words import Said
from hpteach.questions import deal, read_bank

BANK = read_bank()


def heard() -> tuple[list, object]:
    """A list of what is to be judged, and what writes into it."""
    asked: list = []
    return asked, asked.append


def form(question: str, part: int = 0) -> tuple[AnswerForm, list]:
    """The form of a part, and what it asked to be judged."""
    asked, note = heard()
    return AnswerForm(deal(BANK.question(question), 5).parts[part], note), asked


@pytest.mark.parametrize(
    ("question", "kind"),
    [("cooling-cop", "text"), ("order-the-circuit", "text"), ("two-thermometers", "one"), ("states-in-two-lines", "one"), ("where-a-circuit-leaks", "several")],
)
def test_each_kind_has_its_entry(question: str, kind: str) -> None:
    """Numbers and orders are written, one choice is a radio button, several are boxes to tick."""
    assert kind == form(question)[0].kind


def test_every_statement_of_truth_is_a_choice() -> None:
    """A statement with its reasons is chosen, and the choices begin with the verdict."""
    part = next(part for part in deal(BANK.question("brazing-with-nitrogen-inside"), 5).parts if part.kind == "truth")
    options = AnswerForm(part, print).options
    assert {"True", "False"} == {option.partition(",")[0] for option in options}


def test_what_the_browser_sends_is_taken_before_it_is_judged() -> None:
    """The answer travels with the message that asks for a verdict."""
    one, asked = form("cooling-cop")
    one._handle_custom_msg({"answer": "36.5 kJ/kg", "check": True}, [])
    assert ("36.5 kJ/kg", [(one.parts)]) == (one.value, asked)


def test_what_is_only_typed_is_kept_and_not_judged() -> None:
    """Leaving the field tells the kernel what stands in it and asks for nothing."""
    one, asked = form("cooling-cop")
    one._handle_custom_msg({"answer": "36.5 kJ/kg", "check": False}, [])
    assert ("36.5 kJ/kg", []) == (one.value, asked)


@pytest.mark.parametrize("message", [{}, {"answer": None}, {"answer": ["A"]}, {"answer": {"work": "1"}}])
def test_a_message_of_another_form_changes_nothing(message: dict) -> None:
    """What is no text is not taken."""
    one, asked = form("cooling-cop")
    one._handle_custom_msg(message, [])
    assert ("", []) == (one.value, asked)


def test_choices_have_letters_and_stand_in_their_order() -> None:
    """The letters are those by which a class speaks of the choices."""
    one, _ = form("two-thermometers")
    part = deal(BANK.question("two-thermometers"), 5).parts[0]
    assert ["A)", "B)", "C)", "D)"] == [choice["letter"] for choice in one.choices]
    assert part.choices == one.options == tuple(choice["text"] for choice in one.choices)


def test_none_of_several_can_be_ticked_where_none_may_hold() -> None:
    """Such a part has one more box, without a letter, and only such a part."""
    part = next(part for part in deal(BANK.question("where-a-circuit-leaks"), 5).parts if part.kind == "several")
    assert ("A", "B", "C", "D", "E", "F")[: len(part.choices)] == AnswerForm(part, print).options
    assert "none" == AnswerForm(replace(part, may_be_none=True), print).options[-1]


def table() -> tuple[TableForm, list]:
    """A table of a question, and what it asked to be judged."""
    asked, note = heard()
    entries = entries_of(deal(BANK.question("fill-the-corners"), 5), note)
    return next(one.form for one in entries if one.cells), asked


def test_a_table_shows_what_is_given_and_asks_for_the_rest() -> None:
    """Given cells are text, each empty one names its point and its quantity with the unit for whoever only hears it."""
    one, _ = table()
    cells = [cell for row in one.rows for cell in row["cells"]]
    assert all(bool(cell["id"]) is not bool(cell["given"]) for cell in cells)
    assert len(one.columns) == 1 + len(one.rows[0]["cells"])
    first = next(cell for cell in cells if cell["id"])
    row = next(row for row in one.rows if first in row["cells"])
    assert f"{row['name']}, {one.columns[1 + row['cells'].index(first)]}" == first["label"]


def test_a_table_takes_the_texts_of_its_own_cells_only() -> None:
    """A text for a cell that it does not have is left out; missing ones are empty."""
    one, asked = table()
    first = one.parts[0]
    one._handle_custom_msg({"answer": {first: "7.98", "elsewhere": "1"}, "check": True}, [])
    assert {first: "7.98", **{id: "" for id in one.parts[1:]}} == one.value
    assert [one.parts] == asked


def test_cells_have_a_value_each() -> None:
    """A cell is read and set as a form of its own is."""
    entries = entries_of(deal(BANK.question("fill-the-corners"), 5), print)
    controls = controls_of(entries)
    id = next(id for one in entries for id in one.cells)
    controls[id].value = "7.98 bar"
    assert "7.98 bar" == controls[id].value
    assert {part.id for part in deal(BANK.question("fill-the-corners"), 5).parts} == set(controls)


def test_verdicts_of_cells_stand_in_them_and_below() -> None:
    """Each cell has a word, each verdict a row with the cell's name, and what was filled in shares one row."""
    one, _ = table()
    a, b, c = one.parts[:3]
    one.say({a: Said("p4: Right.", "Read as 7.98 bar.", "right"), b: Said("From the solution:", "T4", ""), c: Said("From the solution:", "h4", "")})
    assert ["p4: Right.", "From the solution:"] == [row["word"] for row in one.verdict["rows"]]
    assert "T4, h4" == one.verdict["rows"][1]["text"]
    assert ["Right.", "From the solution", "From the solution"] == [one.verdict["cells"][id]["word"] for id in (a, b, c)]
    one.say({})
    assert {} == one.verdict


def test_several_things_are_counted() -> None:
    """Where there is one thing to ask it has no number."""
    assert ["question 1", "question 2"] == [one.name for one in entries_of(deal(BANK.question("cooling-cop"), 5), print)]
    (only,) = entries_of(deal(BANK.question("read-a-gauge"), 5), print)
    assert "the question" == only.name and not only.form.asked.startswith("1")
