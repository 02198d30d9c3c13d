"""The same numbers in both unit systems lead to the same answer."""

from dataclasses import replace

import pytest

from hpteach import units
from hpteach.questions import deal, read_bank
from hpteach.questions.bank import read_question
from hpteach.questions.proof_of_systems import failures_of_systems, in_si
from tests.example_question import head

QUESTIONS = ["read-a-gauge", "cooling-cop", "predict-which-coil", "order-the-circuit", "cop-on-a-cold-day"]


@pytest.mark.parametrize("name", QUESTIONS)
def test_numbers_of_ip_lead_to_the_same_answer_in_si(name):
    """A number, a choice, an order and a machine in weather come to the same for both readers."""
    assert [] == list(failures_of_systems(deal(read_bank().question(name), 4, "IP")))


def test_number_that_belongs_to_one_system_is_found():
    """An expression with a bare number in it that is meant in one unit comes to the same in both; one whose printed figures are rounded
    further than the tolerance allows does not."""
    text = head("00", "1.01") + """
prompt = "It boils at {cold} and condenses at {warm}; p1 = {p1}."

[draw.cold]
kind = "temperature"
choices = ["2 C"]

[draw.warm]
kind = "temperature"
choices = ["40 C"]

[scenario]
refrigerant = "R-134a"
valve_position = "cooling"
saturated_suction_temperature = "cold"
saturated_condensing_temperature = "warm"

[[parts]]
id = "low"
kind = "number"
text = "The low pressure is"
quantity = "pressure"
answer = "p1"
tolerance = { absolute = "TOLERANCE", reason = "test" }
hints = ["Look."]
solution = "{answer}"
"""
    coarse, fine = (read_question(text.replace("TOLERANCE", size), "start/example.toml") for size in ("0.05 bar", "0.1 kPa"))
    assert [] == list(failures_of_systems(deal(coarse, 1, "IP")))
    assert 1 == len([failure for failure in failures_of_systems(deal(fine, 1, "IP")) if failure.startswith("low: in IP the answer is")])


def test_choice_that_is_another_is_found():
    """Where IP's numbers make another choice right, the failure names the part."""
    variant = deal(read_bank().question("predict-which-coil"), 2, "IP")
    part = variant.parts[0]
    wrong = replace(part, answer=next(choice for choice in part.choices if choice != part.answer))
    assert [f"{part.id}: in IP"] == [failure[: len(part.id) + 7] for failure in failures_of_systems(replace(variant, parts=(wrong,)))]


def test_numbers_that_cannot_be_solved_in_si_are_found():
    """A refusal with the turned numbers is a failure in a sentence."""
    variant = deal(read_bank().question("cooling-cop"), 2, "IP")
    beyond = replace(variant, drawn={name: "900 °F" if text.endswith("°F") else text for name, text in variant.drawn.items()})
    assert any(failure.startswith("with its numbers turned into SI it is refused: ") for failure in failures_of_systems(beyond))


@pytest.mark.parametrize(
    ("text", "kind", "turned"),
    [("45 °F", "temperature", "7.2222 °C"), ("9 °F", "temperature difference", "5.0000 K"), ("118 psig", "gauge pressure", "8.13581 bar g"), ("0.70", "ratio", "0.700000")],
)
def test_number_is_turned_with_figures_enough(text, kind, turned):
    """A printed quantity keeps its size when it is turned: to three decimals more than usual."""
    assert turned == in_si(text, kind)
    assert pytest.approx(units.read(text, kind), rel=1e-6) == units.read(turned, kind)
