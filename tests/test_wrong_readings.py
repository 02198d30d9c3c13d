"""Wrong ways of reading: each leads to the number that someone who goes it would work out by hand.

R-134a at -26 °C has 101.67 kPa, at 40 °C 1016.6 kPa (tests/reference/02_saturation_points.csv, a transcribed table).  1 ton of
refrigeration is 12000 Btu/h, 3516.85 W (NIST Special Publication 811, from memory, not seen here).
"""

from dataclasses import replace

import pytest

from hpteach.circuit import ValvePosition
from hpteach.fluids import moist_air
from hpteach.questions.expressions import expression
from hpteach.questions.mistakes import wrong_answer
from hpteach.questions.scenarios import Given, Setting, Situation, solve
from hpteach.questions.weather import Weather
from hpteach.questions.wrong_readings import READINGS

AIR, MOUNTAIN = 101325.0, 83.5e3
P1, P2 = 132.73e3, 770.2e3  # R-134a at -20 and 30 °C: ASHRAE Handbook - Fundamentals, Example 3 (03_cycle_examples.csv, from memory)
GAUGES = Situation(setting=Setting("R-134a", ValvePosition.COOLING, suction_pressure=Given("gauge pressure", P1 - AIR), discharge_pressure=Given("gauge pressure", P2 - AIR)))
ABSOLUTE = Situation(setting=Setting("R-134a", ValvePosition.COOLING, suction_pressure=Given("pressure", P1), discharge_pressure=Given("pressure", P2)))
TEMPERATURES = Situation(setting=Setting("R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15))


def drawn(kind, value, **more):
    return Situation(drawn={"reading": Given(kind, value)}, **more)


def cycle_at(suction, condensing):
    return Situation(setting=replace(TEMPERATURES.setting, saturated_suction_temperature=suction, saturated_condensing_temperature=condensing))


READING = drawn("gauge pressure", 8e5, atmosphere=95e3)
NAMED_AIR = Situation(drawn={"reading": Given("gauge pressure", 8e5), "air": Given("pressure", 95e3)}, atmosphere=95e3, air="air")
HIGH_UP = Situation(drawn={"reading": Given("gauge pressure", 8e5), "air": Given("pressure", MOUNTAIN)}, atmosphere=MOUNTAIN, air="air")
COLD = drawn("temperature", 268.15)  # -5 °C, 23 °F
WARM = drawn("temperature", 308.15)  # 35 °C, 95 °F
APART = drawn("temperature difference", 5.0)  # 9 °F
WORK = drawn("specific energy", 36.5e3)
LOAD = drawn("power", 3 * 3516.85)

# way, what is stated, expression, kind asked, system, right by hand, wrong by hand
BY_HAND = [
    ("gauge_read_as_absolute", GAUGES, "pressure_ratio", "ratio", "SI", P2 / P1, (P2 - AIR) / (P1 - AIR)),
    ("gauge_read_as_absolute", READING, "reading + atmosphere", "pressure", "SI", 8e5 + 95e3, 8e5),
    ("gauge_read_as_absolute", NAMED_AIR, "reading + air", "pressure", "SI", 8e5 + 95e3, 8e5),
    ("absolute_read_as_gauge", ABSOLUTE, "pressure_ratio", "ratio", "SI", P2 / P1, (P2 + AIR) / (P1 + AIR)),
    ("absolute_read_as_gauge", drawn("pressure", 8e5, atmosphere=95e3), "reading - atmosphere", "gauge pressure", "SI", 8e5 - 95e3, 8e5),
    ("absolute_read_as_gauge", drawn("pressure", 8e5, atmosphere=95e3), "reading", "pressure", "SI", 8e5, 8e5 + 95e3),
    ("sea_level_taken_at_altitude", HIGH_UP, "reading + air", "pressure", "SI", 8e5 + MOUNTAIN, 8e5 + AIR),
    ("sea_level_taken_at_altitude", HIGH_UP, "reading + atmosphere", "pressure", "SI", 8e5 + MOUNTAIN, 8e5 + AIR),
    ("sea_level_taken_at_altitude", replace(GAUGES, atmosphere=MOUNTAIN), "p2", "pressure", "SI", P2 - AIR + MOUNTAIN, P2),
    # 5 K = 9 °F of superheat.  Taken for temperatures: 5 °C -> 278.15 K; 5 °C -> 41 °F, read as a difference of 41/1.8 K.
    ("temperature_for_difference", APART, "reading", "temperature difference", "SI", 5.0, 278.15),
    ("temperature_for_difference", APART, "reading", "temperature difference", "IP", 5.0, 41 / 1.8),
    # 9 °F - 32 = -23, divided by 1.8, whoever reads it.
    ("difference_with_32_subtracted", APART, "reading", "temperature difference", "SI", 5.0, -23 / 1.8),
    ("difference_with_32_subtracted", APART, "reading", "temperature difference", "IP", 5.0, -23 / 1.8),
    ("fahrenheit_read_as_celsius", WARM, "reading", "temperature", "SI", 308.15, 273.15 + 95),
    ("fahrenheit_read_as_celsius", APART, "reading", "temperature difference", "IP", 5.0, 9.0),
    ("celsius_read_as_fahrenheit", WARM, "reading", "temperature", "IP", 308.15, 273.15 + (35 - 32) / 1.8),
    ("celsius_read_as_fahrenheit", APART, "reading", "temperature difference", "SI", 5.0, 5 / 1.8),
    # -14.8 °F is -26 °C; -14.8 °C and 40 °F are what is printed.
    ("temperature_on_the_wrong_scale", cycle_at(273.15 - 14.8, 333.15), "p1", "pressure", "SI", None, 101.67e3),
    ("temperature_on_the_wrong_scale", cycle_at(273.15 - 28.0, 273.15 + 8 / 1.8), "p2", "pressure", "IP", None, 1016.6e3),
    ("temperature_on_the_wrong_scale", WARM, "reading", "temperature", "SI", 308.15, 273.15 + (35 - 32) / 1.8),
    # -20 °C = -4 °F and 50 K = 90 °F apart
    ("celsius_for_kelvin", TEMPERATURES, "saturated_suction_temperature / (saturated_condensing_temperature - saturated_suction_temperature)", "ratio", "SI", 253.15 / 50, -20 / 50),
    ("celsius_for_kelvin", TEMPERATURES, "saturated_suction_temperature / (saturated_condensing_temperature - saturated_suction_temperature)", "ratio", "IP", 253.15 / 50, -4 / 90),
    ("celsius_for_kelvin", WARM, "reading / 100", "ratio", "SI", 3.0815, 0.35),
    ("thousand_times_too_large", WORK, "reading", "specific energy", "SI", 36.5e3, 36.5e6),
    ("thousand_times_too_small", WORK, "reading", "specific energy", "SI", 36.5e3, 36.5),
    ("sign_turned", WORK, "reading - 40000", "specific energy", "SI", -3.5e3, 3.5e3),
    ("sign_turned", COLD, "reading", "temperature", "SI", 268.15, 278.15),
    ("sign_turned", COLD, "reading", "temperature", "IP", 268.15, 273.15 + (-23 - 32) / 1.8),
    ("ton_read_as_kilowatt", LOAD, "reading", "power", "SI", 10550.55, 3000.0),
    ("kilowatt_read_as_ton", drawn("power", 3000.0), "reading", "power", "IP", 3000.0, 10550.55),
]  # fmt: skip


@pytest.mark.parametrize(("way", "situation", "text", "kind", "system", "right", "wrong"), BY_HAND, ids=[f"{row[0]}, {row[2]}, {row[4]}" for row in BY_HAND])
def test_way_leads_where_the_hand_calculation_leads(way, situation, text, kind, system, right, wrong):
    """A wrong reading gives the wrong number that paper and the table give, to the 0.05 % of the table's last figure."""
    if right is not None:
        assert right == pytest.approx(expression(text).number(solve(situation).quantities), rel=5e-4)
    assert wrong == pytest.approx(wrong_answer(way, expression(text), situation, {}, system, kind), rel=5e-4, abs=1e-9)


# way, what is stated, expression, kind asked: where the wrong thought changes nothing
CHANGES_NOTHING = [
    ("gauge_read_as_absolute", ABSOLUTE, "pressure_ratio", "ratio"), ("gauge_read_as_absolute", WARM, "reading", "temperature"),
    ("absolute_read_as_gauge", GAUGES, "pressure_ratio", "ratio"), ("absolute_read_as_gauge", TEMPERATURES, "p2", "pressure"),
    ("sea_level_taken_at_altitude", GAUGES, "p1", "pressure"), ("sea_level_taken_at_altitude", replace(ABSOLUTE, atmosphere=MOUNTAIN), "p1", "pressure"),
    ("temperature_on_the_wrong_scale", GAUGES, "pressure_ratio", "ratio"), ("celsius_for_kelvin", TEMPERATURES, "saturated_condensing_temperature - saturated_suction_temperature", "temperature difference"),
    ("sign_turned", WORK, "reading - 36500", "specific energy"), ("sign_turned", drawn("temperature", 273.15), "reading", "temperature"),
    ("fahrenheit_read_as_celsius", drawn("temperature", 233.15), "reading", "temperature"), ("celsius_read_as_fahrenheit", drawn("temperature", 233.15), "reading", "temperature"),
    ("thousand_times_too_large", WORK, "reading - 36500", "specific energy"), ("thousand_times_too_small", WORK, "reading - 36500", "specific energy"),
    ("ton_read_as_kilowatt", LOAD, "reading - reading", "power"), ("kilowatt_read_as_ton", LOAD, "reading - reading", "power"),
]  # fmt: skip


@pytest.mark.parametrize(("way", "situation", "text", "kind"), CHANGES_NOTHING)
def test_way_changes_nothing_where_there_is_nothing_to_mistake(way, situation, text, kind):
    """An absolute pressure stays one, sea level is right at sea level, -40 is the same on both scales, nothing has no sign."""
    right = expression(text).number(solve(situation).quantities)
    assert pytest.approx(right, abs=1e-9) == wrong_answer(way, expression(text), situation, {}, "SI", kind)


ALWAYS_CHANGES = {"temperature_for_difference", "difference_with_32_subtracted"}
"""A difference is always off by the zero of the scale."""


def test_every_way_is_checked():
    """No way is without a number worked out above, and a place where it changes nothing."""
    ids = {way.id for way in READINGS}
    assert ids == {row[0] for row in BY_HAND} == {row[0] for row in CHANGES_NOTHING} | ALWAYS_CHANGES


@pytest.mark.parametrize(("way", "by_hand"), [("gauge_read_as_absolute", "(p2 - 101325) / (p1 - 101325)"), ("absolute_read_as_gauge", "(p2 + 101325) / (p1 + 101325)")])
def test_gauges_of_a_machine_in_weather_are_mixed_up_too(way, by_hand):
    """The pressures to which a machine settles are off by the air pressure, and what rests on them follows."""
    mild = Situation(around=Weather("R-32", ValvePosition.HEATING, moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5)))
    right = solve(mild).quantities
    assert pytest.approx(expression(by_hand).number(right)) == wrong_answer(way, expression("pressure_ratio"), mild, {})
    assert pytest.approx(right["cop"]) == wrong_answer(way, expression("cop"), mild, {})
