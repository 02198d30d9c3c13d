"""Predict first: what came true, and the verdict on it."""

from __future__ import annotations

import pytest

from hpteach.panels import GaugeReading
from hpteach.panels.foresight import MOVES, Foresight, Told

WARM, WARMER = Told(293.15, "20.0 °C"), Told(294.15, "21.0 °C")
SAME_SHOWN = Told(293.16, "20.0 °C")
COILS = ("indoor coil", "outdoor coil")


@pytest.mark.parametrize(
    ("before", "after", "came"),
    [
        (WARM, WARMER, "rises"),
        (WARMER, WARM, "falls"),
        (WARM, SAME_SHOWN, "stays as it is"),
        (Told(COILS[0], COILS[0], COILS), Told(COILS[1], COILS[1], COILS), "outdoor coil"),
    ],
)
def test_what_came_true(before: Told, after: Told, came: str) -> None:
    """A number rises, falls, or reads the same; a word is the new one."""
    assert came == before.becomes(after)


@pytest.mark.parametrize(("expected", "word"), [("rises", "Right."), ("falls", "Not right."), ("stays as it is", "Not right.")])
def test_the_verdict_names_expectation_and_outcome(expected: str, word: str) -> None:
    """The verdict has a word of its own, what was expected, and from where to where the quantity went."""
    foresight = Foresight(lambda: None)
    foresight.ask({"the temperature": WARM})
    foresight.expected.value = expected
    assert (word == "Right.") == foresight.judge({"the temperature": WARM}, {"the temperature": WARMER})
    said = foresight._verdict.value
    assert word in said and f"“{expected}”" in said and "it rises, from 20.0 °C to 21.0 °C" in said
    assert foresight.expected.value is None


def test_the_choices_are_those_of_the_quantity() -> None:
    """A quantity of words offers its words, and one of numbers the three ways it can go."""
    foresight = Foresight(lambda: None)
    foresight.ask({"the temperature": WARM, "the coil": Told(COILS[0], COILS[0], COILS)})
    assert MOVES == tuple(foresight.expected.options)
    foresight.quantity.value = "the coil"
    assert COILS == tuple(foresight.expected.options) and foresight.expected.value is None


def test_a_quantity_that_is_gone_is_not_judged() -> None:
    """Where the new picture has no such quantity the verdict says so."""
    foresight = Foresight(lambda: None)
    foresight.ask({"the temperature": WARM})
    foresight.expected.value = "rises"
    assert not foresight.judge({"the temperature": WARM}, {})
    assert "nothing to judge" in foresight._verdict.value


def test_the_quantity_asked_last_stays_chosen() -> None:
    """A new picture with other quantities keeps the chosen one, where it still has it."""
    foresight = Foresight(lambda: None)
    foresight.ask({"a": WARM, "b": WARM})
    foresight.quantity.value = "b"
    foresight.ask({"b": WARM, "c": WARM})
    assert "b" == foresight.quantity.value
    foresight.ask({"c": WARM})
    assert "c" == foresight.quantity.value


def test_a_picture_without_quantities_asks_for_none() -> None:
    """Readings of no running machine have nothing to predict; the panel moves on by itself and no error comes up."""
    view = GaugeReading()
    view.key("3")
    view.controls["discharge_pressure"].value = 0.0
    view.foresight.expected.value = "rises"
    view.foresight._commit.click()
    view.controls["suction_line"].value = 20.0
    view.foresight.expected.value = "rises"
    view.foresight._commit.click()
    assert "error of its own" not in view.status.value
