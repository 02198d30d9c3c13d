"""When a set of readings is doubted, and what the doubt says (hpteach/gauge_doubts.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.fluids import refrigerant
from hpteach.gauge_doubts import _DOUBTS, _NO_CYCLE, _PRESSURES, LIMITS, doubts_of
from hpteach.gauges import FieldReadings, read_gauges
from hpteach.units import read, sentence
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
    "pressures_close": ({"suction_pressure": 22e5}, ("only 1.15, below 1.30", "Check whether it runs")),
    "high_condensing": ({"discharge_pressure": 47e5}, ("96 % of the critical pressure", "own switch", "cut-out")),
    "suction_below_air": ({"suction_pressure": 0.5e5}, ("-0.51 bar g", "not zeroed", "air and moisture")),
    "suction_line_below_bubble": ({"suction_line_temperature": 270.15}, ("a superheat of -5.0 K", "nor a boiling mixture", "altitude")),
    "negative_superheat": ({"suction_line_temperature": 274.15}, ("a superheat of -1.0 K", "Liquid comes back")),
    "small_superheat": ({"suction_line_temperature": 276.15}, ("superheat of 1.0 K", "2.0 K")),
    "large_superheat": ({"suction_line_temperature": 308.15}, ("superheat of 33.0 K", "25.0 K")),
    "liquid_line_above_dew": ({"liquid_line_temperature": 320.15}, ("subcooling of -5.1 K", "vapour only", "not flash gas")),
    "small_subcooling": ({"liquid_line_temperature": 314.65}, ("subcooling of 0.4 K", "1.0 K")),
    "negative_subcooling": ({"liquid_line_temperature": 317.15}, ("subcooling of -2.1 K", "flash gas")),
    "large_subcooling": ({"liquid_line_temperature": 290.15}, ("subcooling of 24.9 K", "20.0 K")),
    "liquid_line_below_evaporating": ({"liquid_line_temperature": 270.15}, ("is not 5.0 K above the saturated suction temperature of 2.0 °C", "before the metering device")),
    "suction_line_above_liquid_line": ({"suction_line_temperature": 312.15}, ("warmer than the liquid line", "swapped")),
    "discharge_line_below_condensing": ({"discharge_line_temperature": 310.15}, ("colder than the saturated condensing temperature of 42.0 °C",)),
    "efficiency_above_one": ({"discharge_line_temperature": 323.15}, ("even a perfect compressor", "above 1")),
    "low_efficiency": ({"discharge_line_temperature": 393.15}, ("efficiency is 0.3", "below 0.40")),
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
    assert {*CASES, "superheat_from_bubble", "subcooling_from_dew"} == {*_NO_CYCLE, *(id for id, _, _ in (*_PRESSURES, *_DOUBTS))}


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
    beyond = doubts(name, suction_line_temperature=low - glides[0] - 2.5, liquid_line_temperature=high + 1.0)
    assert {"suction_line_below_bubble", "negative_subcooling"} == set(beyond)


AIR = 101325.0


def raises(id: str, name: str = "R-410A", *, efficiency: float = 0.7, differ: dict | None = None, **change: float) -> bool:
    """Whether a doubt is raised about a sound machine's readings with some changed, or about findings made to `differ`."""
    _, readings = sound(name, ValvePosition.COOLING, efficiency=efficiency)
    found = read_gauges(refrigerant(name), replace(readings, **change))
    return id in [doubt.id for doubt in doubts_of(replace(found, **differ or {}))]


def saturation(name: str = "R-410A") -> tuple[float, ...]:
    """Bubble and dew (K) of a sound machine's suction, then of its discharge pressure."""
    _, readings = sound(name, ValvePosition.COOLING)
    fluid = refrigerant(name)
    return tuple(line(pressure) for pressure in (readings.suction_pressure, readings.discharge_pressure) for line in (fluid.bubble_temperature, fluid.dew_temperature))


BEGINS, DEW, BUBBLE, CONDENSES = saturation()
LOW = refrigerant("R-410A").dew_pressure(DEW)

# limit of LIMITS: (its value, doubt, findings at a value as the keywords of `raises`, a doubtful value, one that is not)
EDGES = {
    "pressure difference": (1e4, "at_rest", lambda at: {"discharge_pressure": LOW + at}, 0.99e4, 1.01e4),
    "pressure ratio": (1.3, "pressures_close", lambda at: {"discharge_pressure": LOW * at}, 1.299, 1.301),
    "high condensing": (338.15, "high_condensing", lambda at: {"name": "R-134a", "discharge_pressure": refrigerant("R-134a").dew_pressure(at)}, 338.16, 338.14),
    "below air": (100.0, "suction_below_air", lambda at: {"suction_pressure": AIR - at}, 101.0, 99.0),
    "told": (0.5, "negative_superheat", lambda at: {"suction_line_temperature": DEW - at}, 0.51, 0.49),
    "probe error": (2.0, "suction_line_below_bubble", lambda at: {"suction_line_temperature": BEGINS - at}, 2.01, 1.99),
    "small superheat": (2.0, "small_superheat", lambda at: {"suction_line_temperature": DEW + at}, 1.99, 2.01),
    "large superheat": (25.0, "large_superheat", lambda at: {"suction_line_temperature": DEW + at}, 25.01, 24.99),
    "small subcooling": (1.0, "small_subcooling", lambda at: {"liquid_line_temperature": BUBBLE - at}, 0.99, 1.01),
    "large subcooling": (20.0, "large_subcooling", lambda at: {"liquid_line_temperature": BUBBLE - at}, 20.01, 19.99),
    "liquid line": (5.0, "liquid_line_below_evaporating", lambda at: {"liquid_line_temperature": DEW + at}, 4.99, 5.01),
    "isentropic efficiency": (0.4, "low_efficiency", lambda at: {"efficiency": at}, 0.399, 0.401),
    "discharge line": (380.37, "hot_discharge", lambda at: {"discharge_line_temperature": at}, 380.38, 380.36),
}


@pytest.mark.parametrize("limit", EDGES)
def test_a_limit_is_where_it_is_said_to_be(limit: str) -> None:
    """Just on the doubted side the doubt is raised, just on the other it is not; the figures are written here, not taken from the limit."""
    value, id, at, doubtful, sound_one = EDGES[limit]
    assert value == LIMITS[limit]
    assert (True, False) == (raises(id, **at(doubtful)), raises(id, **at(sound_one)))


def test_every_limit_has_its_edge() -> None:
    """No limit is without a row here."""
    assert set(LIMITS) == set(EDGES)


# The further places where the limits of what probes tell part two doubts: (doubt on this side, doubt on the other, changes on each).
PARTED = [
    ("negative_superheat", "small_superheat", *({"suction_line_temperature": DEW - by} for by in (0.51, 0.49))),
    ("suction_line_below_bubble", "negative_superheat", *({"suction_line_temperature": BEGINS - by} for by in (2.01, 1.99))),
    ("negative_subcooling", "small_subcooling", *({"liquid_line_temperature": BUBBLE + by} for by in (0.51, 0.49))),
    ("liquid_line_above_dew", "negative_subcooling", *({"liquid_line_temperature": CONDENSES + by} for by in (2.01, 1.99))),
]


@pytest.mark.parametrize(("one", "other", "here", "there"), PARTED, ids=[f"{one}-{other}" for one, other, _, _ in PARTED])
def test_two_doubts_part_at_what_a_probe_tells(one: str, other: str, here: dict, there: dict) -> None:
    """On each side one of the two is raised and not the other."""
    assert ([True, False], [False, True]) == ([raises(id, **here) for id in (one, other)], [raises(id, **there) for id in (one, other)])


@pytest.mark.parametrize("deficit", [0.02, 0.04, 0.4])
def test_a_deficit_that_no_probe_tells_is_no_alarm(deficit: float) -> None:
    """Below half a kelvin it counts as a small superheat or subcooling, nothing breaks, and without glide no column is blamed."""
    assert ["small_superheat", "small_subcooling"] == list(doubts(suction_line_temperature=DEW - deficit, liquid_line_temperature=BUBBLE + deficit))


@pytest.mark.parametrize(("glide", "blamed"), [(0.49, False), (0.51, True)])
def test_a_column_is_blamed_for_a_glide_that_a_probe_tells(glide: float, blamed: bool) -> None:
    """The wrong column is named from half a kelvin of glide on, at the suction and at the liquid line."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    found = read_gauges(refrigerant("R-410A"), replace(readings, suction_line_temperature=DEW - 0.2, liquid_line_temperature=BUBBLE + 0.2))
    ids = [doubt.id for doubt in doubts_of(replace(found, suction_bubble_temperature=DEW - glide, saturated_condensing_temperature=BUBBLE + glide))]
    assert [blamed] * 2 == [id in ids for id in ("superheat_from_bubble", "subcooling_from_dew")]


def test_a_dangerous_high_pressure_is_the_first_doubt() -> None:
    """R-410A at 118 and 681 psig condenses at 70 °C near its critical pressure: the machine is to be stopped by its own switch."""
    suction, discharge, line, liquid = (read(text, kind) for text, kind in (("118psig", "pressure"), ("681psig", "pressure"), ("52F", "temperature"), ("150F", "temperature")))
    found = read_gauges(refrigerant("R-410A"), FieldReadings(ValvePosition.COOLING, suction, discharge, line, liquid))
    said = sentence(found.doubts[0])
    assert "high_condensing" == found.doubts[0].id
    assert [] == [words for words in ("46.95 bar g", "70.3 °C and 98 %", "own switch", "cut-out should have acted", "airflow or water", "air in the circuit", "charge") if words not in said]


@pytest.mark.parametrize(("change", "ids"), [
    ({"suction_pressure": 46e5, "discharge_pressure": 8e5}, ["high_condensing", "gauges_swapped"]),
    ({"suction_pressure": 46e5, "discharge_pressure": 46e5}, ["high_condensing", "at_rest"]),
    ({"suction_pressure": 0.5e5, "discharge_pressure": 0.5e5}, ["suction_below_air", "at_rest"]),
])  # fmt: skip
def test_what_pressures_alone_say_is_said_without_a_cycle_too(change: dict, ids: list[str]) -> None:
    """Swapped or at rest, a dangerous pressure and a vacuum are named first."""
    assert ids == list(doubts(**change))


def test_a_suction_below_the_air_counts_from_the_air_of_the_place() -> None:
    """What is a vacuum at sea level is none at 3000 m; the doubt names the leak and the flammable refrigerant."""
    readings = FieldReadings(ValvePosition.HEATING, 0.8e5, 12e5, 278.15, 300.15)
    here, there = (read_gauges(refrigerant("R-290"), readings, atmosphere=air) for air in (AIR, 70108.0))
    (doubt,) = [doubt for doubt in here.doubts if doubt.id == "suction_below_air"]
    assert "-0.21 bar g" in sentence(doubt) and "flammable" in sentence(doubt)
    assert "suction_below_air" not in [doubt.id for doubt in there.doubts]


def test_a_mixture_line_is_not_read_as_subcooling() -> None:
    """Metering outdoors in cooling the liquid line holds a mixture: 42 °F at 118 psig is doubted, though a little above the evaporating temperature."""
    texts = (("118psig", "pressure"), ("365psig", "pressure"), ("52F", "temperature"), ("42F", "temperature"))
    found = read_gauges(refrigerant("R-410A"), FieldReadings(ValvePosition.COOLING, *(read(text, kind) for text, kind in texts), None, MeteringLayout.OUTDOOR))
    said = {doubt.id: sentence(doubt) for doubt in found.doubts}
    assert found.readings.liquid_line_temperature > found.saturated_suction_temperature
    assert {"liquid_line_below_evaporating", "large_subcooling"} <= set(said)
    assert "holds a mixture" in said["liquid_line_below_evaporating"] and "holds a mixture" in said["large_subcooling"]
    assert "air or another gas that does not condense" in said["large_subcooling"]


@pytest.mark.parametrize(("efficiency", "said"), [(0.224, "efficiency is 0.22, below 0.40"), (0.3996, "efficiency is 0.3996, below 0.4000")])
def test_a_figure_has_two_decimals_but_where_it_would_look_like_its_limit(efficiency: float, said: str) -> None:
    """The implied efficiency is written as the words and the table write it, and with more figures only beside the limit."""
    _, readings = sound("R-410A", ValvePosition.COOLING, efficiency=efficiency)
    (doubt,) = [doubt for doubt in read_gauges(refrigerant("R-410A"), readings).doubts if doubt.id == "low_efficiency"]
    assert said in sentence(doubt)


def test_doubts_speak_the_readers_units_and_count_from_the_readers_air() -> None:
    """In IP differences are in °F and pressures in psig, and at an altitude the gauge shows more."""
    found = read_gauges(refrigerant("R-410A"), FieldReadings(ValvePosition.COOLING, 9e5, 9e5, 285.15, 300.15))
    assert "115.8 psig and 115.8 psig" in sentence(found.doubts[0], "IP")
    assert "118.4 psig" in sentence(found.doubts[0], "IP", atmosphere=83523.0)
