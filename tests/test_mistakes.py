"""Named wrong ways: each leads to the number that someone who goes it would work out by hand.

The hand calculations use the printed values of the ASHRAE Handbook - Fundamentals, chapter Thermodynamics
and Refrigeration Cycles, Example 3 (R-134a, -20/30 C; tests/reference/03_cycle_examples.csv, from memory):
p1 132.73 kPa, p2 770.2 kPa, h1 386.55, h2 423.07 (interpolated there, 0.013 from the equation), h3 241.72 kJ/kg.
An isentropic efficiency of 0.7 is invented.
"""

import re
from dataclasses import replace

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError, UnknownNameError
from hpteach.fluids import refrigerant
from hpteach.questions.expressions import expression
from hpteach.questions.mistakes import WAYS, way_called, wrong_answer
from hpteach.questions.scenarios import Given, Printed, Setting, Situation, solve

P1, P2, H1, H2, H3 = 132.73e3, 770.2e3, 386.55e3, 423.07e3, 241.72e3
AIR = 101325.0
REAL_WORK = (H2 - H1) / 0.7

TEMPERATURES = Setting(
    "R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15, isentropic_efficiency=0.7
)  # fmt: skip
SUPERHEATED = replace(TEMPERATURES, superheat=10.0)
SUBCOOLED = replace(TEMPERATURES, subcooling=5.0)
GAUGES = Setting(
    "R-134a", ValvePosition.COOLING, suction_pressure=Given("gauge pressure", P1 - AIR), discharge_pressure=Given("gauge pressure", P2 - AIR)
)  # fmt: skip
ABSOLUTE = Setting("R-134a", ValvePosition.COOLING, suction_pressure=Given("pressure", P1), discharge_pressure=Given("pressure", P2))

# way, conditions, expression, right by hand, wrong by hand
CYCLES = [
    ("gauge_read_as_absolute", GAUGES, "pressure_ratio", P2 / P1, (P2 - AIR) / (P1 - AIR)),
    ("absolute_read_as_gauge", ABSOLUTE, "pressure_ratio", P2 / P1, (P2 + AIR) / (P1 + AIR)),
    ("coils_swapped", TEMPERATURES, "q_indoor", H1 - H3, H1 - H3 + REAL_WORK),
    ("coils_swapped", TEMPERATURES, "q_outdoor", H1 - H3 + REAL_WORK, H1 - H3),
    ("ideal_for_real_compression", TEMPERATURES, "w", REAL_WORK, H2 - H1),
    ("ideal_for_real_compression", TEMPERATURES, "(h2s - h1) / isentropic_efficiency", REAL_WORK, H2 - H1),
    ("efficiency_multiplied", TEMPERATURES, "w", REAL_WORK, (H2 - H1) * 0.7),
    ("efficiency_multiplied", TEMPERATURES, "(h2s - h1) / isentropic_efficiency", REAL_WORK, (H2 - H1) * 0.7),
    ("efficiency_multiplied", TEMPERATURES, "cop_cooling", (H1 - H3) / REAL_WORK, (H1 - H3) / ((H2 - H1) * 0.7)),
    ("subcooling_ignored", SUBCOOLED, "q_e", None, H1 - H3),
    ("superheat_ignored", SUPERHEATED, "q_e", None, H1 - H3),
    ("cop_of_the_other_mode", TEMPERATURES, "cop_cooling", (H1 - H3) / REAL_WORK, (H1 - H3) / REAL_WORK + 1.0),
    ("cop_of_the_other_mode", TEMPERATURES, "cop_heating", (H1 - H3) / REAL_WORK + 1.0, (H1 - H3) / REAL_WORK),
    ("cop_upside_down", TEMPERATURES, "cop_cooling", (H1 - H3) / REAL_WORK, REAL_WORK / (H1 - H3)),
]


@pytest.mark.parametrize(("way", "setting", "asked", "right", "wrong"), CYCLES, ids=[f"{row[0]}, {row[2]}" for row in CYCLES])
def test_way_leads_where_the_hand_calculation_leads(way, setting, asked, right, wrong):
    """Going a wrong way through a whole cycle gives the wrong number that paper and the handbook give.

    Half of the last printed digit of h is 0.005 kJ/kg and h2 is 0.013 kJ/kg off: 0.05 % of the work of 36.5 kJ/kg.
    """
    situation = Situation(setting=setting)
    if right is not None:
        assert right == pytest.approx(expression(asked).number(solve(situation).quantities), rel=5e-4)
    assert wrong == pytest.approx(wrong_answer(way, expression(asked), situation, {}), rel=5e-4)


# way, kind and value of the reading, the air's pressure, expression, right, wrong
READINGS = [
    ("gauge_read_as_absolute", Given("gauge pressure", 8e5), "reading + atmosphere", 8e5 + 95e3, 8e5),
    ("gauge_read_as_absolute", Given("gauge pressure", 8e5), "reading + air", 8e5 + 95e3, 8e5),
    ("absolute_read_as_gauge", Given("pressure", 8e5), "reading - atmosphere", 8e5 - 95e3, 8e5),
    ("absolute_read_as_gauge", Given("pressure", 8e5), "reading", 8e5, 8e5 + 95e3),
]


@pytest.mark.parametrize(("way", "reading", "asked", "right", "wrong"), READINGS)
def test_way_works_on_a_bare_reading(way, reading, asked, right, wrong):
    """Gauge and absolute are mixed up also where a question states no cycle; the air's own pressure stays what it is."""
    situation = Situation(drawn={"reading": reading, "air": Given("pressure", 95e3)}, atmosphere=95e3, air="air")
    assert right == expression(asked).number(solve(situation).quantities)
    assert wrong == wrong_answer(way, expression(asked), situation, {})


@pytest.mark.parametrize(
    ("way", "system", "wrong"),
    [
        # 5 K = 9 °F of superheat.  Taken for temperatures: 5 °C -> 278.15 K; 5 °C -> 41 °F, read as a difference of 41/1.8 K.
        ("temperature_for_difference", "SI", 278.15), ("temperature_for_difference", "IP", 41 / 1.8),
        # 9 °F - 32 = -23, divided by 1.8, whoever reads it.
        ("difference_with_32_subtracted", "SI", -23 / 1.8), ("difference_with_32_subtracted", "IP", -23 / 1.8),
    ],
)  # fmt: skip
def test_difference_is_mistaken_for_a_temperature(way, system, wrong):
    """A difference that is converted like a temperature is off by the zero of its scale."""
    situation = Situation(setting=replace(TEMPERATURES, superheat=5.0))
    assert pytest.approx(wrong, abs=1e-9) == wrong_answer(way, expression("superheat"), situation, {}, system)


def test_bubble_column_gives_the_bubble_pressure():
    """Who reads the bubble column for R-410A takes pressures that are too high, at both ends."""
    r410a = refrigerant("R-410A")
    situation = Situation(setting=replace(TEMPERATURES, refrigerant="R-410A"))
    for asked, temperature in (("p1", 253.15), ("p2", 303.15)):
        wrong = wrong_answer("bubble_for_dew", expression(asked), situation, {})
        assert pytest.approx(r410a.bubble_pressure(temperature), rel=1e-9) == wrong
        assert r410a.dew_pressure(temperature) < wrong


def test_bubble_column_makes_superheat_too_large():
    """On a gauge and a line thermometer the bubble column shows more superheat than there is, by the glide."""
    r410a = refrigerant("R-410A")
    setting = Setting(
        "R-410A", ValvePosition.COOLING, suction_pressure=Given("gauge pressure", 8e5), discharge_pressure=Given("gauge pressure", 25e5),
        suction_line_temperature=285.15,
    )  # fmt: skip
    right = expression("superheat").number(solve(Situation(setting=setting)).quantities)
    wrong = wrong_answer("bubble_for_dew", expression("superheat"), Situation(setting=setting), {})
    assert pytest.approx(r410a.glide(8e5 + AIR), abs=1e-9) == wrong - right
    assert 0.01 < wrong - right


def test_every_way_has_its_check():
    """No way is without a number worked out above."""
    checked = {row[0] for row in CYCLES + READINGS} | {"temperature_for_difference", "difference_with_32_subtracted", "bubble_for_dew"}
    assert set(WAYS) == checked


@pytest.mark.parametrize("way", WAYS.values(), ids=lambda way: way.id)
def test_way_changes_one_thing_and_says_what_to_think(way):
    """A way changes the situation, the quantities or the answer, and its correction is whole sentences."""
    assert 1 == sum(change is not None for change in (way.situation, way.quantities, way.answer))
    assert re.fullmatch(r"[a-z0-9]+(_[a-z0-9]+)*", way.id)
    assert re.fullmatch(r"[A-Z].{30,}\.", way.correction)


def test_way_goes_through_both_cycles():
    """Where two cycles are compared, the wrong thought is the same in both."""
    situation = Situation(setting=TEMPERATURES, other=replace(TEMPERATURES, saturated_suction_temperature=243.15))
    asked = expression("other_w / w")
    right = asked.number(solve(situation).quantities)
    assert pytest.approx(right) == wrong_answer("ideal_for_real_compression", asked, situation, {})
    turned = wrong_answer("cop_of_the_other_mode", expression("other_cop_cooling"), situation, {})
    assert pytest.approx(solve(situation).quantities["other_cop_heating"]) == turned


def test_printed_quantity_stands_unless_the_thought_changes_it():
    """Who ignores superheat still uses the printed h4, and takes another h1 than the printed one."""
    situation = Situation(setting=SUPERHEATED)
    exact = solve(situation).quantities
    printed = {"h1": Printed(exact["h1"], exact["h1"] + 40.0), "h4": Printed(exact["h4"], exact["h4"] - 40.0)}
    assert pytest.approx(exact["q_e"] + 80.0) == solve(situation, printed).quantities["q_e"]
    saturated = solve(Situation(setting=TEMPERATURES)).quantities
    assert pytest.approx(saturated["h1"] - exact["h4"] + 40.0) == wrong_answer("superheat_ignored", expression("q_e"), situation, printed)


def test_unknown_way_is_refused_with_the_nearest():
    """A way that is in no list is refused, and the nearest is offered."""
    with pytest.raises(UnknownNameError, match="did you mean coils_swapped"):
        way_called("coil_swapped")


def test_thought_that_leads_nowhere_is_refused():
    """A wrong way to a cycle that cannot be, and a ratio of nothing turned upside down, are refusals."""
    vacuum = replace(GAUGES, suction_pressure=Given("gauge pressure", -20e3))
    with pytest.raises(LimitError, match="suction pressure of -0.2 bar is a perfect vacuum or below"):
        wrong_answer("gauge_read_as_absolute", expression("pressure_ratio"), Situation(setting=vacuum), {})
    with pytest.raises(LimitError, match="cannot be turned upside down"):
        wrong_answer("cop_upside_down", expression("x4 - x4"), Situation(setting=TEMPERATURES), {})
