"""A machine over the outdoor temperature: its curve, its ends, and where it meets what the house needs."""

from __future__ import annotations

from functools import cache

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import HpteachError, InputError, LimitError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine, operate
from hpteach.machine.sweep import DESIGN_TEMPERATURES, ZERO_LOAD, BalancePoint, LoadLine, Sweep, sweep

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
ROOM = {HEATING: moist_air(293.15, relative_humidity=0.5), COOLING: moist_air(300.15, relative_humidity=0.47)}
OUTDOORS = {HEATING: (253.15, 263.15, 273.15, 283.15, 293.15), COOLING: (288.15, 298.15, 308.15, 318.15)}


@cache
def swept(name: str, position: ValvePosition, speed: float = 1.0, humidity: float = 0.6) -> Sweep:
    """The demo machine over usual outdoor temperatures."""
    return sweep(demo_machine(name), position, OUTDOORS[position], relative_humidity=humidity, indoor=ROOM[position], speed_ratio=speed)


# The load ---------------------------------------------------------------------------------


@pytest.mark.parametrize("outdoor", [253.15, 263.15, 270.0, 288.0])
def test_the_load_is_the_part_load_ratio_of_the_regulation(outdoor: float) -> None:
    """Regulation (EU) 206/2012, Annex I (15), in tests/reference/04e_rating_formulas.csv: pl(Tj) = (Tj - 16)/(Tdesign - 16)."""
    heating = LoadLine(8000.0, DESIGN_TEMPERATURES[HEATING])
    assert 8000.0 * (outdoor - 273.15 - 16.0) / (-10.0 - 16.0) == pytest.approx(heating.at(outdoor), rel=1e-12)


def test_the_load_is_nothing_where_the_house_needs_nothing() -> None:
    """A house that is heated needs nothing above the zero-load temperature, one that is cooled nothing below it."""
    heating, cooling = (LoadLine(8000.0, DESIGN_TEMPERATURES[position]) for position in (HEATING, COOLING))
    assert [0.0, 0.0] == [heating.at(ZERO_LOAD), heating.at(300.0)] and heating.at(ZERO_LOAD - 1.0) > 0.0
    assert [0.0, 0.0] == [cooling.at(ZERO_LOAD), cooling.at(270.0)] and cooling.at(ZERO_LOAD + 1.0) > 0.0
    assert (8000.0, 8000.0) == (heating.at(DESIGN_TEMPERATURES[HEATING]), cooling.at(DESIGN_TEMPERATURES[COOLING]))


@pytest.mark.parametrize(
    ("given", "said"),
    [((0.0, 263.15), "design load"), ((-1.0, 263.15), "design load"), ((float("inf"), 263.15), "design load"), ((8000.0, ZERO_LOAD), "zero-load")],
)
def test_a_load_that_cannot_be_is_refused(given: tuple, said: str) -> None:
    """A load that is not positive, and a design day on which nothing is needed, are named."""
    with pytest.raises(LimitError, match=said):
        LoadLine(*given)


# The curve --------------------------------------------------------------------------------


@pytest.mark.parametrize("position", [HEATING, COOLING])
@pytest.mark.parametrize("name", ["R-32", "R-454B"])
def test_the_curve_is_made_of_balances(name: str, position: ValvePosition) -> None:
    """At each outdoor temperature stands what `operate` finds there, coldest first, to the residual at which a balance counts as closed."""
    found = swept(name, position)
    assert OUTDOORS[position] == found.temperatures
    for outdoor, capacity in zip(found.temperatures, found.capacities):
        alone = operate(demo_machine(name), position, moist_air(outdoor, relative_humidity=0.6), ROOM[position])
        assert alone.capacity == pytest.approx(capacity, rel=1e-6)


@pytest.mark.parametrize("position", [HEATING, COOLING])
def test_capacity_falls_towards_hard_weather(position: ValvePosition) -> None:
    """A machine gives less heat the colder it is outdoors, and less cooling the warmer it is."""
    capacities = swept("R-290", position).capacities
    assert sorted(capacities, reverse=position is COOLING) == list(capacities)


def test_the_curve_ends_where_the_machine_does_not_run() -> None:
    """At its highest speed the machine does not run in the coldest air: the curve ends before, with the refusal, and does run at its last point."""
    machine = demo_machine("R-32 variable speed")
    found = sweep(machine, HEATING, (243.15, 253.15, 268.15, 283.15), relative_humidity=0.85, indoor=ROOM[HEATING], speed_ratio=1.5)
    assert isinstance(found.cold_end, HpteachError) and found.warm_end is None
    assert 243.15 < found.temperatures[0] < 268.15 and (268.15, 283.15) == found.temperatures[-2:]
    with pytest.raises(HpteachError):
        found.at(243.15)


def test_a_sweep_of_nothing_is_refused() -> None:
    """No outdoor temperatures are refused, and a middle one at which the machine does not run is refused with its reason."""
    with pytest.raises(InputError, match="outdoor temperatures"):
        sweep(demo_machine("R-32"), HEATING, (), relative_humidity=0.8, indoor=ROOM[HEATING])
    with pytest.raises(LimitError, match="speed"):
        sweep(demo_machine("R-32"), HEATING, (273.15,), relative_humidity=0.8, indoor=ROOM[HEATING], speed_ratio=1.3)


# The balance point ------------------------------------------------------------------------


@pytest.mark.parametrize("position", [HEATING, COOLING])
@pytest.mark.parametrize("design_load", [6000.0, 8000.0, 10000.0])
@pytest.mark.parametrize("name", ["R-32", "R-454B"])
def test_at_the_balance_point_the_machine_gives_what_the_house_needs(name: str, design_load: float, position: ValvePosition) -> None:
    """The capacity found by `operate` there is the load, to 5 W; milder weather leaves some over, harder weather lacks some."""
    found, load = swept(name, position), LoadLine(design_load, DESIGN_TEMPERATURES[position])
    point = found.balance_point(load)
    assert "met" == point.found
    assert load.at(point.temperature) == pytest.approx(found.at(point.temperature).capacity, abs=5.0)
    milder = 1.0 if position is HEATING else -1.0
    assert found.at(point.temperature + milder).capacity > load.at(point.temperature + milder)
    assert found.at(point.temperature - milder).capacity < load.at(point.temperature - milder)


@pytest.mark.parametrize(
    ("speed", "design_load", "expected"),
    [(1.0, 2000.0, "covers all"), (0.35, 200000.0, "met"), (0.35, 1e7, "met")],
)
def test_without_a_crossing_it_is_said_why(speed: float, design_load: float, expected: str) -> None:
    """A small house is covered everywhere; a huge one is met just below the zero-load temperature."""
    assert expected == swept("R-32 variable speed", HEATING, speed).balance_point(LoadLine(design_load, 263.15)).found


def test_a_house_that_is_never_covered_has_no_balance_point() -> None:
    """Where even the mildest weather shown lacks heat there is none."""
    found = sweep(demo_machine("R-32"), HEATING, (253.15, 258.15, 263.15), relative_humidity=0.8, indoor=ROOM[HEATING])
    assert BalancePoint("covers none") == found.balance_point(LoadLine(16000.0, 263.15))


def test_a_machine_that_stops_first_has_no_balance_point() -> None:
    """Where it gives enough to the end of its curve, it stops before it lacks anything."""
    machine = demo_machine("R-32 variable speed")
    found = sweep(machine, HEATING, (243.15, 253.15, 268.15, 283.15), relative_humidity=0.85, indoor=ROOM[HEATING], speed_ratio=1.5)
    assert BalancePoint("stops") == found.balance_point(LoadLine(3000.0, 263.15))
