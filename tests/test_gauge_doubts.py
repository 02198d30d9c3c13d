"""When a set of readings is doubted, and what the doubt says (hpteach/gauge_doubts.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.circuit import ValvePosition
from hpteach.fluids import refrigerant
from hpteach.gauge_doubts import _DOUBTS, _NO_CYCLE, LIMITS
from hpteach.gauges import FieldReadings, read_gauges
from hpteach.units import sentence
from tests.test_gauges import sound


def doubts(name: str = "R-410A", **change: float) -> dict[str, str]:
    """The doubts about a sound machine's readings with some changed: id and sentence in SI."""
    _, readings = sound(name, ValvePosition.COOLING)
    found = read_gauges(refrigerant(name), replace(readings, **change))
    return {doubt.id: sentence(doubt) for doubt in found.doubts}


# id: (changes of a sound R-410A machine: 2 and 42 °C, suction line 9, liquid line 37.9, discharge line about 74 °C; words that the doubt holds)
CASES = {
    "at_rest": ({"discharge_pressure": 8.5e5}, ("at rest", "bar g")),
    "gauges_swapped": ({"suction_pressure": 25e5, "discharge_pressure": 8e5}, ("below the suction pressure", "swapped")),
    "pressures_close": ({"suction_pressure": 22e5}, ("only 1.1", "Check whether it runs")),
    "negative_superheat": ({"suction_line_temperature": 270.15}, ("a superheat of -5.0 K", "Liquid comes back")),
    "small_superheat": ({"suction_line_temperature": 276.15}, ("superheat of 1.0 K", "2.0 K")),
    "large_superheat": ({"suction_line_temperature": 308.15}, ("superheat of 33.0 K", "25.0 K")),
    "negative_subcooling": ({"liquid_line_temperature": 317.15}, ("subcooling of -2.1 K", "flash gas")),
    "large_subcooling": ({"liquid_line_temperature": 290.15}, ("subcooling of 24.9 K", "20.0 K")),
    "liquid_line_below_evaporating": ({"liquid_line_temperature": 270.15}, ("not above the evaporating temperature", "before the metering device")),
    "suction_line_above_liquid_line": ({"suction_line_temperature": 312.15}, ("warmer than the liquid line", "swapped")),
    "discharge_line_below_condensing": ({"discharge_line_temperature": 310.15}, ("colder than the saturated condensing temperature of 42.0 °C",)),
    "efficiency_above_one": ({"discharge_line_temperature": 323.15}, ("even a perfect compressor", "above 1")),
    "low_efficiency": ({"discharge_line_temperature": 393.15}, ("efficiency is 0.3", "below 0.4")),
    "hot_discharge": ({"discharge_line_temperature": 385.15}, ("above 107.2 °C", "no source")),
}


@pytest.mark.parametrize("id", CASES)
def test_each_doubt_is_raised_and_says_what_to_check(id: str) -> None:
    """The readings that a doubt is about raise it; its sentence holds the figures and says what to check again."""
    change, words = CASES[id]
    found = doubts(**change)
    assert id in found
    assert [] == [word for word in words if word not in found[id]]
    assert "heck" in found[id]


@pytest.mark.parametrize("id", [id for id in CASES if id not in ("at_rest", "gauges_swapped")])
def test_each_doubt_is_only_about_what_it_says(id: str) -> None:
    """A sound machine raises none of them."""
    assert id not in doubts()


def test_every_doubt_has_a_case() -> None:
    """The cases here and in the test of the wrong column are all the doubts there are."""
    assert {*CASES, "superheat_from_bubble", "subcooling_from_dew"} == {*_NO_CYCLE, *(id for id, _, _ in _DOUBTS)}


@pytest.mark.parametrize("name", ["R-407C", "R-454B", "R-454C"])
def test_a_line_between_bubble_and_dew_is_told_from_one_beyond_both(name: str) -> None:
    """Within the glide the wrong column would hide it, and the doubt says by how much; beyond the glide it says nothing of columns."""
    _, readings = sound(name, ValvePosition.COOLING)
    fluid = refrigerant(name)
    low, high = (fluid.dew_temperature(pressure) for pressure in (readings.suction_pressure, readings.discharge_pressure))
    glides = fluid.glide(readings.suction_pressure), fluid.glide(readings.discharge_pressure)
    within = doubts(name, suction_line_temperature=low - 0.5 * glides[0], liquid_line_temperature=high - 0.5 * glides[1])
    assert ["negative_superheat", "superheat_from_bubble", "negative_subcooling", "subcooling_from_dew"] == list(within)
    assert f"{0.5 * glides[0]:.1f} K of superheat that is not there" in within["superheat_from_bubble"]
    assert f"{0.5 * glides[1]:.1f} K of subcooling that is not there" in within["subcooling_from_dew"]
    beyond = doubts(name, suction_line_temperature=low - 1.5 * glides[0], liquid_line_temperature=high + 1.0)
    assert {"negative_superheat", "negative_subcooling"} == set(beyond)


@pytest.mark.parametrize(
    ("limit", "quantity", "side"),
    [("small superheat", "suction_line_temperature", -1), ("large superheat", "suction_line_temperature", 1), ("discharge line", "discharge_line_temperature", 1)],
)
def test_a_limit_is_where_it_is_said_to_be(limit: str, quantity: str, side: int) -> None:
    """A hair on the doubted side raises the doubt, a hair on the other does not."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    dew = refrigerant("R-410A").dew_temperature(readings.suction_pressure) if "superheat" in limit else 0.0
    id = {"discharge line": "hot_discharge"}.get(limit, limit.replace(" ", "_"))
    at = dew + LIMITS[limit]
    assert (True, False) == tuple(id in doubts(**{quantity: at + side * hair}) for hair in (0.01, -0.01))


def test_doubts_speak_the_readers_units_and_count_from_the_readers_air() -> None:
    """In IP differences are in °F and pressures in psig, and at an altitude the gauge shows more."""
    found = read_gauges(refrigerant("R-410A"), FieldReadings(ValvePosition.COOLING, 9e5, 9e5, 285.15, 300.15))
    assert "115.8 psig and 115.8 psig" in sentence(found.doubts[0], "IP")
    assert "118.4 psig" in sentence(found.doubts[0], "IP", atmosphere=83523.0)
