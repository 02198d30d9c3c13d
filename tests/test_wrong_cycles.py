"""Wrong ways of solving a cycle: each leads to the number that someone who goes it would work out by hand.

The hand calculations use the printed values of the ASHRAE Handbook - Fundamentals, chapter Thermodynamics
and Refrigeration Cycles, Example 3 (R-134a, -20/30 C, 50 kW; tests/reference/03_cycle_examples.csv, from memory):
p1 132.73 kPa, p2 770.2 kPa, h1 386.55, h2 423.07 (interpolated there, 0.013 from the equation), h3 241.72 kJ/kg, 0.345 kg/s.
R-22 at -20 °C has 245.34 kPa (Moran & Shapiro, Table A-7; 02_saturation_points.csv).  An isentropic efficiency of 0.7 is invented.
1 lb/h = 1.259979e-4 kg/s, 1 ft3/lb = 0.06242796 m3/kg (exact, rounded).
"""

from dataclasses import replace

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError
from hpteach.fluids import moist_air, refrigerant
from hpteach.questions.air import AirAlone
from hpteach.questions.expressions import expression
from hpteach.questions.mistakes import wrong_answer
from hpteach.questions.scenarios import Given, Setting, Situation, solve
from hpteach.questions.weather import Weather
from hpteach.questions.wrong_cycles import CYCLES, TABLES

P1, P2, H1, H2, H3 = 132.73e3, 770.2e3, 386.55e3, 423.07e3, 241.72e3
AIR = 101325.0
REAL_WORK = (H2 - H1) / 0.7
FLOW = {"flow": Given("mass flow", 0.345)}

TEMPERATURES = Setting(
    "R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15, isentropic_efficiency=0.7
)  # fmt: skip
SUPERHEATED = replace(TEMPERATURES, superheat=10.0)
SUBCOOLED = replace(TEMPERATURES, subcooling=5.0)
LINES = replace(TEMPERATURES, suction_line_temperature=263.15, liquid_line_temperature=298.15)

# way, conditions, expression, right by hand, wrong by hand
BY_HAND = [
    ("ideal_for_real_compression", TEMPERATURES, "w", REAL_WORK, H2 - H1),
    ("ideal_for_real_compression", TEMPERATURES, "(h2s - h1) / isentropic_efficiency", REAL_WORK, H2 - H1),
    ("efficiency_multiplied", TEMPERATURES, "w", REAL_WORK, (H2 - H1) * 0.7),
    ("efficiency_multiplied", TEMPERATURES, "(h2s - h1) / isentropic_efficiency", REAL_WORK, (H2 - H1) * 0.7),
    ("efficiency_multiplied", TEMPERATURES, "cop_cooling", (H1 - H3) / REAL_WORK, (H1 - H3) / ((H2 - H1) * 0.7)),
    ("saturated_for_superheated", TEMPERATURES, "T2", None, 303.15),
    ("subcooling_ignored", SUBCOOLED, "q_e", None, H1 - H3),
    ("superheat_ignored", SUPERHEATED, "q_e", None, H1 - H3),
    ("superheat_on_the_wrong_line", SUPERHEATED, "T1", 263.15, 313.15),
    ("superheat_on_the_wrong_line", LINES, "superheat", 10.0, -40.0),
    ("subcooling_on_the_wrong_line", SUBCOOLED, "T3", 298.15, 248.15),
    ("subcooling_on_the_wrong_line", LINES, "subcooling", 5.0, -45.0),
    ("superheat_subtracted", SUPERHEATED, "T1", 263.15, 243.15),
    ("subcooling_added", SUBCOOLED, "T3", 298.15, 308.15),
    ("wrong_refrigerants_table", TEMPERATURES, "p1", P1, 245.34e3),
    ("cop_of_the_other_mode", TEMPERATURES, "cop_cooling", (H1 - H3) / REAL_WORK, (H1 - H3) / REAL_WORK + 1.0),
    ("cop_of_the_other_mode", TEMPERATURES, "cop_heating", (H1 - H3) / REAL_WORK + 1.0, (H1 - H3) / REAL_WORK),
    ("cop_upside_down", TEMPERATURES, "cop_cooling", (H1 - H3) / REAL_WORK, REAL_WORK / (H1 - H3)),
]


@pytest.mark.parametrize(("way", "setting", "text", "right", "wrong"), BY_HAND, ids=[f"{row[0]}, {row[2]}" for row in BY_HAND])
def test_way_leads_where_the_hand_calculation_leads(way, setting, text, right, wrong):
    """Going a wrong way through a whole cycle gives the wrong number that paper and the handbook give.

    Half of the last printed digit of h is 0.005 kJ/kg and h2 is 0.013 kJ/kg off: 0.05 % of the work of 36.5 kJ/kg.
    """
    situation = Situation(setting=setting)
    if right is not None:
        assert right == pytest.approx(expression(text).number(solve(situation).quantities), rel=5e-4)
    assert wrong == pytest.approx(wrong_answer(way, expression(text), situation, {}), rel=5e-4)


@pytest.mark.parametrize(
    ("way", "text", "system", "right", "wrong"),
    [
        ("per_kilogram_for_per_second", "flow * q_e", "SI", 50e3, H1 - H3),
        ("per_kilogram_for_per_second", "flow * q_e", "IP", 50e3, (H1 - H3) * 1.259979e-4),
        ("mass_flow_for_volume_flow", "flow * v1", "SI", None, 0.345),
        ("mass_flow_for_volume_flow", "flow * v1", "IP", None, 0.345 * 0.06242796),
    ],
)
def test_flow_is_left_out_or_taken_for_another(way, text, system, right, wrong):
    """Who leaves out the mass flow or the volume of the vapour works with one unit of it, in the units of the system."""
    situation = Situation(drawn=FLOW, setting=replace(TEMPERATURES, isentropic_efficiency=1.0))
    if right is not None:
        assert right == pytest.approx(expression(text).number(solve(situation).quantities), rel=2e-3)  # 0.345 kg/s is printed with three figures
    assert wrong == pytest.approx(wrong_answer(way, expression(text), situation, {}, system), rel=5e-4)


@pytest.mark.parametrize(("kind", "unit"), [("density", 1.0), ("specific volume", 1.0)])
def test_drawn_volume_is_left_out_too(kind, unit):
    """A drawn density or specific volume is one for whoever takes mass for volume."""
    drawn = Situation(drawn={**FLOW, "of_vapour": Given(kind, 8.0)})
    assert pytest.approx(0.345 * unit) == wrong_answer("mass_flow_for_volume_flow", expression("flow * of_vapour"), drawn, {})


def test_bubble_column_gives_the_bubble_pressure():
    """Who reads the bubble column for R-410A takes pressures that are too high, at both ends."""
    r410a = refrigerant("R-410A")
    situation = Situation(setting=replace(TEMPERATURES, refrigerant="R-410A"))
    for text, temperature in (("p1", 253.15), ("p2", 303.15)):
        wrong = wrong_answer("bubble_for_dew", expression(text), situation, {})
        assert pytest.approx(r410a.bubble_pressure(temperature), rel=1e-9) == wrong
        assert r410a.dew_pressure(temperature) < wrong


GAUGED = Setting(
    "R-407C", ValvePosition.COOLING, suction_pressure=Given("gauge pressure", 4e5), discharge_pressure=Given("gauge pressure", 16e5),
    suction_line_temperature=285.15, liquid_line_temperature=305.15,
)  # fmt: skip


@pytest.mark.parametrize(("way", "name", "gauge"), [("bubble_for_dew", "superheat", 4e5), ("dew_for_bubble", "subcooling", 16e5)])
def test_wrong_column_is_off_by_the_glide(way, name, gauge):
    """On a gauge and a line thermometer the wrong column shows more superheat, or more subcooling, than there is: by the glide, several kelvins for R-407C."""
    right = solve(Situation(setting=GAUGED)).quantities[name]
    wrong = wrong_answer(way, expression(name), Situation(setting=GAUGED), {})
    assert pytest.approx(refrigerant("R-407C").glide(gauge + AIR), abs=1e-6) == wrong - right
    assert 3.0 < wrong - right < 8.0


def test_dew_column_makes_the_liquid_too_warm():
    """Who takes subcooling from the dew column puts point 3 too warm, by the glide, and with it its enthalpy too high."""
    setting = replace(TEMPERATURES, refrigerant="R-407C", subcooling=10.0)
    right = solve(Situation(setting=setting)).quantities
    wrong = {name: wrong_answer("dew_for_bubble", expression(name), Situation(setting=setting), {}) for name in ("T3", "h3")}
    assert pytest.approx(303.15 - 10.0, abs=1e-6) == wrong["T3"]
    assert right["T3"] + 3.0 < wrong["T3"] and right["h3"] < wrong["h3"]


# Air and a machine in weather ------------------------------------------------------------------

ROOM, FROZEN = moist_air(293.15, relative_humidity=0.5), moist_air(280.15, relative_humidity=0.87)
HEATING = Situation(around=Weather("R-32", ValvePosition.HEATING, FROZEN, ROOM))
COOLING = Situation(around=Weather("R-32", ValvePosition.COOLING, moist_air(308.15, relative_humidity=0.4), moist_air(299.85, relative_humidity=0.5)))
COIL = Situation(around=AirAlone(moist_air(299.15, relative_humidity=0.5), surface_temperature=281.15, air_flow=0.5))

# way, what is stated, expression, what it comes to, worked from the right quantities
AROUND = [
    ("ideal_for_real_compression", HEATING, "w", "h2s - h1"),
    ("ideal_for_real_compression", HEATING, "compressor_power", "mass_flow * (h2s - h1)"),
    ("efficiency_multiplied", HEATING, "compressor_power", "mass_flow * (h2s - h1) * isentropic_efficiency"),
    ("efficiency_multiplied", HEATING, "w", "(h2s - h1) * isentropic_efficiency"),
    ("saturated_for_superheated", HEATING, "T2", "T2a"),
    ("saturated_for_superheated", HEATING, "discharge_temperature", "T2a"),
    ("subcooling_ignored", HEATING, "subcooling", "0 * T3"),
    ("superheat_ignored", HEATING, "T1", "T1 - superheat"),
    ("superheat_on_the_wrong_line", HEATING, "superheat", "T1 - saturated_condensing_temperature"),
    ("subcooling_on_the_wrong_line", HEATING, "T3", "saturated_suction_temperature - subcooling"),
    ("superheat_subtracted", HEATING, "T1", "T1 - 2 * superheat"),
    ("subcooling_added", HEATING, "T3", "T3 + 2 * subcooling"),
    ("per_kilogram_for_per_second", HEATING, "capacity", "capacity / mass_flow"),
    ("per_kilogram_for_per_second", COIL, "heat", "enthalpy_drop"),
    ("mass_flow_for_volume_flow", HEATING, "suction_flow", "mass_flow"),
    ("cop_of_the_other_mode", HEATING, "cop", "outdoor_heat / power"),
    ("latent_left_out", COIL, "heat", "sensible"),
    ("latent_left_out", COIL, "sensible_heat_ratio", "1 + 0 * heat"),
    ("latent_left_out", COOLING, "cop", "sensible / power"),
    ("fans_left_out", HEATING, "cop", "capacity / compressor_power"),
    ("wet_bulb_for_dry_bulb", COIL, "dry_bulb - leaving_dry_bulb", "wet_bulb - leaving_wet_bulb"),
    ("wet_bulb_for_dry_bulb", HEATING, "outdoor_temperature", "outdoor_wet_bulb"),
]  # fmt: skip


@pytest.mark.parametrize(("way", "situation", "text", "by_hand"), AROUND, ids=[f"{row[0]}, {row[2]}" for row in AROUND])
def test_way_leads_through_air_and_weather(way, situation, text, by_hand):
    """With air at a coil or a machine in weather a wrong way comes to what the same sum comes to by hand, to 0.5 %:
    the suction line has lost some pressure, so that its superheat is counted to a hundredth of a kelvin only."""
    right = solve(situation).quantities
    wrong = wrong_answer(way, expression(text), situation, {})
    assert pytest.approx(expression(by_hand).number(right), rel=5e-3, abs=1e-6) == wrong
    assert wrong != pytest.approx(expression(text).number(right), rel=1e-3)


def test_another_table_is_read_for_a_machine_in_weather():
    """Superheat and subcooling of a machine with R-32 by the table of R-410A count from that table's temperatures at the same pressures."""
    right, other = solve(HEATING).quantities, refrigerant("R-410A")
    assert TABLES["R-32"] == "R-410A"
    for text, by_hand in (("superheat", right["T1"] - other.dew_temperature(right["p1"])), ("subcooling", other.bubble_temperature(right["p3"]) - right["T3"])):
        assert pytest.approx(by_hand) == wrong_answer("wrong_refrigerants_table", expression(text), HEATING, {})


# way, what is stated, expression: where the wrong thought changes nothing
IDEAL = Situation(drawn={"number": Given("ratio", 1.0)}, setting=replace(TEMPERATURES, isentropic_efficiency=1.0))
CHANGES_NOTHING = [
    ("ideal_for_real_compression", IDEAL, "w"), ("efficiency_multiplied", IDEAL, "w"), ("subcooling_ignored", IDEAL, "h3"), ("superheat_ignored", IDEAL, "h1"),
    ("saturated_for_superheated", IDEAL, "h1"), ("superheat_on_the_wrong_line", IDEAL, "T3"), ("subcooling_on_the_wrong_line", IDEAL, "T1"),
    ("superheat_subtracted", IDEAL, "T1"), ("subcooling_added", IDEAL, "T3"), ("bubble_for_dew", IDEAL, "p1"), ("dew_for_bubble", IDEAL, "T3"),
    ("wrong_refrigerants_table", IDEAL, "T1"), ("per_kilogram_for_per_second", IDEAL, "q_e"), ("mass_flow_for_volume_flow", IDEAL, "q_e"),
    ("cop_of_the_other_mode", IDEAL, "pressure_ratio"), ("cop_upside_down", IDEAL, "number"), ("latent_left_out", HEATING, "capacity"),
    ("fans_left_out", HEATING, "compressor_power"), ("wet_bulb_for_dry_bulb", COIL, "heat"), ("saturated_for_superheated", COIL, "heat"),
]  # fmt: skip


@pytest.mark.parametrize(("way", "situation", "text"), CHANGES_NOTHING)
def test_way_changes_nothing_where_there_is_nothing_to_mistake(way, situation, text):
    """An ideal compressor, no superheat, no subcooling, no glide, dry heat: the wrong thought leads to the right number."""
    right = expression(text).number(solve(situation).quantities)
    assert pytest.approx(right, rel=1e-9) == wrong_answer(way, expression(text), situation, {})


def test_every_way_is_checked():
    """No way is without a number worked out above, and a place where it changes nothing."""
    apart = {"bubble_for_dew", "dew_for_bubble", "per_kilogram_for_per_second", "mass_flow_for_volume_flow"}
    ids = {way.id for way in CYCLES}
    assert ids == {row[0] for row in BY_HAND + AROUND} | apart == {row[0] for row in CHANGES_NOTHING}


def test_thought_goes_through_both_cycles():
    """Where two cycles are compared, the wrong thought is the same in both."""
    situation = Situation(setting=TEMPERATURES, other=replace(TEMPERATURES, saturated_suction_temperature=243.15))
    text = expression("other_w / w")
    assert pytest.approx(text.number(solve(situation).quantities)) == wrong_answer("ideal_for_real_compression", text, situation, {})
    turned = wrong_answer("cop_of_the_other_mode", expression("other_cop_cooling"), situation, {})
    assert pytest.approx(solve(situation).quantities["other_cop_heating"]) == turned


def test_thought_that_leads_nowhere_is_refused():
    """A wrong way to a cycle that cannot be, and a ratio of nothing turned upside down, are refusals."""
    vacuum = Setting("R-134a", ValvePosition.COOLING, suction_pressure=Given("gauge pressure", -20e3), saturated_condensing_temperature=303.15)
    with pytest.raises(LimitError, match="suction pressure of -0.2 bar is a perfect vacuum or below"):
        wrong_answer("gauge_read_as_absolute", expression("pressure_ratio"), Situation(setting=vacuum), {})
    with pytest.raises(LimitError, match="cannot be turned upside down"):
        wrong_answer("cop_upside_down", expression("x4 - x4"), Situation(setting=TEMPERATURES), {})
