"""What stands in the way of a settled machine, each reached by a machine made for it (hpteach/machine/limits.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.machine import Machine, demo_machine, operate
from hpteach.units import sentence
from tests.settling import COOLING, HEATING, air, machine_for, with_charge, with_orifices

R32 = demo_machine("R-32")
RATED = (COOLING, air(35.0, 0.4), air(27.0, 0.47))
COLD = (HEATING, air(-20.0, 0.7), air(20.0))


def limited(**change: float) -> Machine:
    return replace(R32, limits=replace(R32.limits, **change))


REACHED = [
    ("discharge_temperature", limited(discharge_temperature=353.15), RATED, "80.0 °C"),
    ("pressure_ratio", limited(pressure_ratio=2.0), RATED, "2.0"),
    ("saturated_suction_temperature", limited(least_saturated_suction_temperature=263.15), COLD, "-10.0 °C"),
    ("saturated_condensing_temperature", limited(saturated_condensing_temperature=313.15), RATED, "40.0 °C"),
    ("suction_below_air", machine_for("R-134a"), (HEATING, air(-25.0, 0.7), air(20.0)), "bar"),
    ("liquid_to_compressor", with_orifices(R32, 0.9), (COOLING, air(35.0, 0.4), air(18.0)), "liquid"),
    ("vapour_in_liquid_line", with_charge(R32, 0.6), RATED, "condense"),
    ("metering_fully_open", with_charge(R32, 0.6), RATED, "fully open"),
]


@pytest.mark.parametrize(("name", "machine", "weather", "words"), REACHED, ids=[row[0] for row in REACHED])
def test_limit_is_reached_and_says_what_it_is(name: str, machine: Machine, weather, words: str) -> None:  # noqa: ANN001
    """The machine made for it reaches the limit, and its sentence fills every gap with a figure in the reader's units."""
    found = {limit.id: limit for limit in operate(machine, *weather).limits}
    assert name in found
    said = sentence(found[name])
    assert words in said and "{" not in said and said.endswith(".")
    assert "°C" not in sentence(found[name], "IP")


def test_bench_unit_at_its_rating_reaches_none() -> None:
    """At the cooling rating nothing stands in the way."""
    assert () == operate(R32, *RATED).limits


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("discharge_temperature", "discharge_temperature"), ("pressure_ratio", "pressure_ratio"),
        ("saturated_condensing_temperature", "saturated_condensing_temperature"),
    ],
)  # fmt: skip
def test_limit_begins_beyond_its_figure(name: str, value: str) -> None:
    """A machine exactly at the figure is within it, a hair beyond it is not."""
    reached = getattr(operate(R32, *RATED), value)
    at, below = (operate(limited(**{name: reached * factor}), *RATED) for factor in (1.0, 1.0 - 1e-9))
    assert (0, 1) == (len(at.limits), len(below.limits))


def test_order_is_compressor_suction_liquid_line_metering() -> None:
    """Several at once stand in that order."""
    machine = replace(with_charge(R32, 0.6), limits=replace(R32.limits, discharge_temperature=323.15, pressure_ratio=1.5))
    assert ["discharge_temperature", "pressure_ratio", "vapour_in_liquid_line", "metering_fully_open"] == [limit.id for limit in operate(machine, *RATED).limits]


def test_orifice_is_never_said_to_be_fully_open() -> None:
    """It has no other way to be."""
    found = operate(with_orifices(R32, 0.5), *RATED)
    assert found.share_open == 1.0 and "metering_fully_open" not in [limit.id for limit in found.limits]


@pytest.mark.parametrize(
    ("weather", "id"),
    [
        ((COOLING, air(-10.0, 0.8), air(21.0)), "low_pressure_ratio"),
        ((HEATING, air(50.0, 0.2), air(20.0)), "high_suction_temperature"),
        ((COOLING, air(35.0, 0.4), air(5.0, 0.8)), "ice_on_indoor_coil"),
    ],
)
def test_unusual_weather_is_told(weather: tuple, id: str) -> None:
    """Cooling in cold weather, heating in warm weather and ice on the indoor coil each raise their limit, with its value."""
    found = operate(demo_machine("R-410A"), *weather)
    [told] = [one for one in found.limits if one.id == id]
    value = {"low_pressure_ratio": found.pressure_ratio, "high_suction_temperature": found.saturated_suction_temperature, "ice_on_indoor_coil": found.frost_rate}
    assert value[id] == told.measures["given"].value
    assert sentence(told, "SI")
