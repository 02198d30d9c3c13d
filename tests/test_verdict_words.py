"""Verdicts in the words of a panel."""

from __future__ import annotations

import pytest

from hpteach.panels.verdict_words import answer_in_words, recognised, said_of, shown_answer
from hpteach.questions import check, deal, read_bank

BANK = read_bank()
GAUGE = deal(BANK.question("read-a-gauge"), 7)
COP = deal(BANK.question("cooling-cop"), 7)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("10.5 bar", "Read as 10.5 bar."), ("1050 kPa", "Read as 10.50 bar."), ("152.3 psia", "Read as 10.50 bar."), ("10,5bar", "Read as 10.5 bar."),
        ("10 1/2 bar", "Read as 10.50 bar."), ("a lot", ""), ("5 K", ""),
    ],
)  # fmt: skip
def test_what_was_read_is_told_in_the_units_of_the_question(text: str, said: str) -> None:
    """The number as it was written where its unit is the question's, else turned into it; nothing where nothing was read."""
    assert said == recognised(GAUGE, GAUGE.parts[0], text)


def test_an_order_is_told_by_its_parts() -> None:
    """Numbers are hard to check: the parts are named in the order written."""
    variant = deal(BANK.question("order-the-circuit"), 3)
    part = variant.parts[0]
    assert f"You put: {', then '.join(part.choices[i] for i in (1, 0, 2, 3, 4))}." == recognised(variant, part, "2 1 3 4 5")


def test_an_unreadable_answer_costs_nothing() -> None:
    """It says so, and has neither the border of right nor of wrong."""
    said = said_of(GAUGE, GAUGE.parts[0], "a lot", check(GAUGE, "a lot"))
    assert said.word.startswith("Not read yet (this costs nothing)") and "" == said.kind


def test_a_foreseen_mistake_brings_its_correction() -> None:
    """Its sentence stands there, and no advice to take a hint."""
    mistake = GAUGE.parts[0].mistakes[0]
    text = shown_answer(GAUGE, GAUGE.parts[0], mistake.value)
    said = said_of(GAUGE, GAUGE.parts[0], text, check(GAUGE, text), hints_left=2)
    assert mistake.correction in said.text and "hint” below" not in said.text and "wrong" == said.kind


def test_a_wrong_answer_without_a_name_points_to_the_hints() -> None:
    """As long as there are any."""
    verdict = check(GAUGE, "77 bar")
    assert "“A hint” below shows the next one (2 left)." in said_of(GAUGE, GAUGE.parts[0], "77 bar", verdict, hints_left=2).text
    assert "hint” below" not in said_of(GAUGE, GAUGE.parts[0], "77 bar", verdict).text


def test_a_right_answer_keeps_its_remark_on_figures() -> None:
    """Too many figures: right, with a word on it."""
    part = COP.parts[1]
    text = f"{part.answer:.9f}"
    said = said_of(COP, part, text, check(COP, text, part.id))
    assert "Right." == said.word and "round the answer" in said.text and f"Read as {text}." in said.text


def test_a_verdict_on_a_cell_bears_its_name() -> None:
    """Below a table one sees to which cell each verdict belongs."""
    assert "h2: Not right." == said_of(GAUGE, GAUGE.parts[0], "77 bar", check(GAUGE, "77 bar"), cell="h2").word


def test_the_right_answer_is_told_with_its_letters() -> None:
    """One choice in a line, several below each other, and none where none holds; a number is told by its solution."""
    one = deal(BANK.question("two-thermometers"), 5).parts[0]
    letter = "ABCD"[one.choices.index(one.answer)]
    assert f"Right: {letter}) {one.answer}" == answer_in_words(one)
    several = next(part for part in deal(BANK.question("where-a-circuit-leaks"), 5).parts if part.kind == "several")
    assert [f"{letter}) {text}" for letter, text in zip("ABCDEFGH", several.choices) if letter in several.answer.split()] == answer_in_words(several).splitlines()[1:]
    assert "" == answer_in_words(GAUGE.parts[0])
