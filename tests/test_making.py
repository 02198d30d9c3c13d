"""Parts as they are made: named ways in parts that are no number, the chart and the path of a variant, orders of the seed."""

import pytest

from hpteach.questions import check
from hpteach.questions.making import only_one
from tests.kinds_of_part import CHOICE, ORDER, SEVERAL, TRUTH, circuit, cycle, dealt, number

OTHER_POSITION = '\n[[parts.mistakes]]\nway = "wrong_valve_position"\ncorrection = "The other position."\n'


@pytest.mark.parametrize("position", ["heating", "cooling"])
def test_choice_of_a_named_way_is_recognised(position):
    """Who takes the valve for standing the other way names the other coil; a choice with a mistake of its own keeps it."""
    other = {"heating": "the outdoor coil", "cooling": "the indoor coil"}[position]
    verdict = check(dealt(circuit(position), CHOICE + OTHER_POSITION), other)
    assert {"heating": "wrong_valve_position", "cooling": "coils_swapped"}[position] == verdict.mistake
    assert {"heating": None, "cooling": "coils_swapped"}[position] == check(dealt(circuit(position), CHOICE), other).mistake


def test_way_that_changes_nothing_is_not_offered():
    """Nothing is stuck and no check valve is passed over in the choice of the condensing coil, so that thought leads to the right answer."""
    ignored = OTHER_POSITION.replace("wrong_valve_position", "check_valve_ignored")
    assert () == dealt(circuit("heating"), CHOICE + ignored).parts[0].mistakes


@pytest.mark.parametrize("seed", range(4))
def test_order_of_a_named_way_is_recognised(seed):
    """The valve is stuck in cooling: who overlooks that writes the order of heating, as no general mistake has it."""
    listed = ORDER.replace('["compressor", "{condenser}", "{working_device}", "{evaporator}"]', '["compressor", "outdoor coil", "liquid line", "indoor coil"]')
    way = OTHER_POSITION.replace("wrong_valve_position", "stuck_part_ignored")
    variant = dealt(circuit("heating") + 'stuck = "reversing valve=cooling"\n', listed + way, seed=seed)
    names = variant.parts[0].choices

    def written(*order):
        return " ".join(str(names.index(name) + 1) for name in order)

    assert check(variant, written("compressor", "outdoor coil", "liquid line", "indoor coil")).correct
    verdict = check(variant, written("compressor", "indoor coil", "liquid line", "outdoor coil"))
    assert ("stuck_part_ignored", "The other position.") == (verdict.mistake, verdict.notes[0].sentence)


def test_truth_of_a_named_way_is_recognised():
    """A reason that holds in the other position is that thought."""
    text = TRUTH.replace("right = true", 'when = "heating"').replace("it carries liquid.\"", 'it carries liquid."\nwhen = "cooling"')
    verdict = check(dealt(circuit("heating"), text + OTHER_POSITION), "it carries liquid")
    assert ("wrong_valve_position", "The other position.") == (verdict.mistake, verdict.notes[0].sentence)


def test_variant_keeps_its_path():
    """The path of the refrigerant is there with a cycle and without; what is stuck is in it."""
    assert "outdoor coil" == dealt(cycle("cooling"), CHOICE).flow.condenser
    stuck = circuit("cooling") + 'stuck = "outdoor check valve=open"\n'
    assert {"outdoor check valve": "open"} == dict(dealt(stuck, CHOICE).flow.stuck)
    ratio = number("ratio", "ratio", "2 * atmosphere / atmosphere", "relative = 0.01")
    assert dealt('[scenario]\natmosphere = "1 bar"\n', ratio).flow is None


def test_variant_keeps_both_airs():
    """Air alone and the air to compare it with are there for a view to draw."""
    airs = '[air]\ndry_bulb = "25 C"\nrelative_humidity = "50%"\n\n[compare]\ndry_bulb = "30 C"\n'
    variant = dealt(airs, number("warm", "temperature", "other_dry_bulb", 'absolute = "0.1 K"'))
    assert (298.15, 303.15, None) == (variant.air.entering.dry_bulb, variant.other_air.entering.dry_bulb, variant.other_weather)


def test_each_part_has_an_order_of_its_own():
    """Two parts of one question with the same choices are listed in orders of their own."""
    twin = CHOICE.replace('id = "choice"', 'id = "twin"')
    pairs = {tuple(part.choices[0] for part in dealt(circuit(), CHOICE, twin, seed=seed).parts) for seed in range(20)}
    assert 4 == len(pairs)


@pytest.mark.parametrize(("found", "expected"), [([], None), (["a"], "a"), (["a", "b"], None)])
def test_only_one(found, expected):
    """One is one, none and two are none."""
    assert expected == only_one(found)


def test_hints_and_solutions_come_in_the_order_of_the_parts():
    """Hints and worked solutions of all kinds are told one below the other."""
    variant = dealt(circuit("cooling"), CHOICE, SEVERAL, TRUTH)
    assert ("Follow the discharge gas.", "Follow the discharge gas.", "Follow it in both positions.") == variant.hints
    assert variant.parts[0].solution == variant.solution.splitlines()[0] == "the outdoor coil"
