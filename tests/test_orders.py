"""Orders of parts: never listed in the right order, and known thoughts told apart."""

import random
import re

import pytest

from hpteach.circuit import ValvePosition
from hpteach.cli import main
from hpteach.errors import CircuitError
from hpteach.panels import Exercise
from hpteach.questions import check, deal, read_bank
from hpteach.questions.bank import read_question
from hpteach.questions.orders import CORRECTIONS, diagnosed, right_order, scrambled, wrong_orders
from hpteach.questions.paths import StatedCircuit, flow_of
from tests.example_question import head

BANK = read_bank()
COOLING, HEATING = (flow_of(StatedCircuit(position)) for position in (ValvePosition.COOLING, ValvePosition.HEATING))
ROUND = ("compressor", "outdoor coil", "liquid line", "indoor coil", "vapour line")
ORDERS = [question for question in BANK.questions.values() if any(part.kind == "order" for part in question.parts)]


def test_order_is_that_of_the_path():
    """In cooling the outdoor coil comes first, in heating the vapour line and the indoor coil."""
    assert (0, 1, 2, 3, 4) == right_order(COOLING, ROUND)
    assert (0, 4, 3, 2, 1) == right_order(HEATING, ROUND)


def test_thoughts_lead_to_orders_of_their_own():
    """The other position keeps the compressor first; backwards begins with what comes last."""
    assert {"coils_swapped": (0, 4, 3, 2, 1), "flow_taken_backwards": (4, 3, 2, 1, 0)} == wrong_orders(COOLING, HEATING, ROUND)


def test_other_position_goes_before_backwards_without_a_compressor():
    """Without the compressor in the list both thoughts lead to one order, which counts as coils swapped."""
    assert {"coils_swapped": (2, 1, 0)} == wrong_orders(COOLING, HEATING, ("outdoor coil", "liquid line", "indoor coil"))


def test_bypassed_device_cannot_be_listed():
    """What is not met has no place in the order."""
    with pytest.raises(CircuitError, match="the outdoor metering device is not met on this path"):
        right_order(COOLING, ("compressor", "outdoor metering device", "liquid line"))


@pytest.mark.parametrize("seed", range(40))
def test_list_is_never_in_the_right_order(seed):
    """Whatever the seed, 1 2 3 is not the answer."""
    assert (0, 1, 2) != scrambled(("a", "b", "c"), (0, 1, 2), random.Random(seed))
    assert all(" ".join("12345678"[: len(part.choices)]) != part.answer for question in ORDERS for part in deal(question, seed).parts)


@pytest.mark.parametrize(
    ("given", "found"),
    [
        ("2 1 3 4 5", "two_parts_swapped"), ("1 2 5 4 3", "two_parts_swapped"), ("3 4 5 1 2", "started_elsewhere"),
        ("2 3 1 4 5", None), ("5 3 1 2 4", None),
    ],
)  # fmt: skip
def test_near_misses_are_told_apart(given, found):
    """Two parts swapped, begun elsewhere, or nothing that is known."""
    assert found == diagnosed(given, "1 2 3 4 5")
    assert found is None or CORRECTIONS[found]


@pytest.mark.parametrize("question", ORDERS, ids=lambda question: question.id)
def test_both_positions_and_several_orders_are_dealt(question):
    """Seeds differ in the valve's position and in the order of the list."""
    variants = [deal(question, seed) for seed in range(30)]
    assert 2 == len({re.search(r"(?:stands|runs) in (\w+)", variant.prompt)[1] for variant in variants})
    assert 8 <= len({(variant.prompt, variant.parts[0].choices) for variant in variants})


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("question", ORDERS, ids=lambda question: question.id)
def test_order_begins_at_the_discharge(question, seed):
    """Where the compressor is listed, its discharge comes first and its suction last, and the text says where to begin."""
    part = deal(question, seed).parts[0]
    met = [part.choices[int(number) - 1] for number in part.answer.split()]
    sides = [name for name in met if name.startswith("compressor")]
    assert ("Begin at the compressor's discharge" in part.text) is bool(sides)
    assert not sides or sides[0] == met[0] != "compressor, suction"
    assert "compressor, suction" not in met or met[-1] == "compressor, suction"


def test_suction_begun_with_is_told_apart():
    """With discharge and suction in one list, the suction set first has begun elsewhere."""
    variant = deal(BANK.question("order-the-lines"), 1)
    right = variant.parts[0].answer.split()
    assert check(variant, ",".join(right), "order").correct is True
    assert "began at another place" in check(variant, " ".join(right[-1:] + right[:-1]), "order").notes[0].sentence


def test_order_is_the_same_in_both_systems():
    """A seed lists the same parts to readers of either system."""
    for question in ORDERS:
        for seed in range(5):
            assert deal(question, seed, "SI").parts[0].choices == deal(question, seed, "IP").parts[0].choices


def test_panel_lists_the_parts_by_number_and_judges_the_order():
    """The exercise shows a numbered list and one field; what is no order costs nothing."""
    exercise = Exercise("order-the-circuit", seed=3)
    exercise.answer("1 2")
    assert exercise.verdict().correct is None
    exercise.answer(exercise.variant.parts[0].answer.replace(" ", ","))
    assert exercise.verdict().correct is True
    assert list(exercise.variant.parts[0].choices) == exercise.controls["order"].listed
    assert "the numbers from 1 to 5 in order" in exercise.controls["order"].placeholder


def test_terminal_asks_and_checks_an_order(capsys):
    """`ask` numbers the parts, its key names the mistakes, and `check` judges what was typed."""
    part = deal(BANK.question("order-the-circuit"), 7).parts[0]
    assert 0 == main(["ask", "--question", "order-the-circuit", "--seed", "7", "--key"])
    shown = capsys.readouterr().out
    assert f"1) {part.choices[0]}" in shown and f"order: {part.answer}" in shown and "coils_swapped" in shown
    judged = []
    for answer in (part.answer, part.mistakes[0].value, "1 2"):
        main(["check", "--question", "order-the-circuit", "--seed", "7", "--part", "order", "--answer", answer])
        judged.append(capsys.readouterr().out)
    assert [True] * 3 == [text.startswith(head) for text, head in zip(judged, ("Right.", "Not right.", "Not read yet"))]


def test_order_can_be_asked_of_a_cycle():
    """A question that states a whole cycle may ask for an order too, which is that of its own flow."""
    text = head("02", "1.04") + """
prompt = "It evaporates at {T4a}."

[scenario]
refrigerant = "R-32"
valve_position = "heating"
metering_layout = "indoor"
saturated_suction_temperature = "0 C"
saturated_condensing_temperature = "45 C"

[[parts]]
id = "order"
kind = "order"
text = "Which order?"
listed = ["outdoor coil", "{working_device}", "indoor coil", "liquid line"]
hints = ["?"]
solution = "{answer}"
"""
    part = deal(read_question(text, "start/example.toml"), 1).parts[0]
    assert "indoor coil, indoor metering device, liquid line, outdoor coil" == part.solution
