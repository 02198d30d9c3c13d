"""What a technician reads, and what it is the reading of (hpteach/machine/readings.py)."""

from __future__ import annotations

import pytest

from hpteach.machine import Operation
from hpteach.machine.faults import BOTH, COOLING, HEATING, KINDS, fault, operate_with
from hpteach.machine.readings import READINGS, YES_OR_NO, read
from tests.sign_table import WEATHER, machine_with


def found(mode, *ids: str) -> Operation:  # noqa: ANN001
    return operate_with(machine_with("R-410A", "thermostatic valve"), mode, *WEATHER[mode], [fault(id) for id in ids])


PLACES = {
    "suction_line": lambda one: one.cycle.point("1").temperature,
    "discharge_line": lambda one: one.discharge_temperature,
    "liquid_line": lambda one: one.cycle.point("3").temperature,
    "liquid_line_end": lambda one: one.before_metering.temperature,
    "return_line": lambda one: one.evaporator_outlet.temperature,
    "supply_air": lambda one: one.supply_air.dry_bulb,
    "outdoor_leaving_air": lambda one: one.outdoor_coil.leaving.dry_bulb,
    "suction_gauge": lambda one: one.cycle.point("1").pressure,
    "discharge_gauge": lambda one: one.cycle.point("2").pressure,
    "compressor_power": lambda one: one.compressor_power,
}


@pytest.mark.parametrize("mode", BOTH)
@pytest.mark.parametrize("id", PLACES)
def test_reading_is_that_of_its_place(id: str, mode) -> None:  # noqa: ANN001
    """Each instrument shows the state at its place, pressures absolute and all in SI."""
    machine = found(mode, "liquid_line_restricted")
    assert PLACES[id](machine) == read(machine)[id]


def test_list_is_complete() -> None:
    """Everything that is read is a place or a look, and `read` answers all in the order of the list."""
    looks = [id for id, reading in READINGS.items() if reading.kind == YES_OR_NO]
    assert set(READINGS) == set(PLACES) | set(looks)
    assert list(READINGS) == list(read(found(COOLING)))


@pytest.mark.parametrize("reading", READINGS.values(), ids=READINGS)
def test_reading_has_minutes_a_tolerance_and_a_caution(reading) -> None:  # noqa: ANN001
    """Nothing is free, exact or without danger; gauges and meters take longer than a look."""
    assert 1 <= reading.minutes <= 10 and reading.within > 0.0 and reading.caution.endswith(".")
    assert reading.kind != YES_OR_NO or reading.within == 0.5


@pytest.mark.parametrize(("id", "words"), [("suction_gauge", "spark"), ("discharge_gauge", "goggles"), ("compressor_power", "licensed"), ("valve_wiring", "live"), ("discharge_line", "burn"), ("outdoor_fan", "by themselves")])
def test_caution_names_the_danger(id: str, words: str) -> None:
    """Pressure and flammable gas at the gauges, live parts at meters, burns at the lines, blades at the fans."""
    assert words in READINGS[id].caution


@pytest.mark.parametrize(("id", "value", "expected"), [("suction_gauge", 10e5, 15e3), ("suction_gauge", 2e5, 5e3), ("suction_line", 280.0, 1.0), ("discharge_line", 350.0, 2.0), ("compressor_power", 3000.0, 90.0), ("compressor_power", 500.0, 30.0), ("supply_air", 285.0, 0.7)])
def test_tolerance_is_the_larger_of_both(id: str, value: float, expected: float) -> None:
    """Gauges 1.5 % and at least 0.05 bar, power 3 % and at least 30 W, probes by kelvins (common practice, no source)."""
    assert expected == pytest.approx(READINGS[id].tolerance(value))


LOOKS = {"outdoor_fan": "outdoor_fan_failed", "indoor_fan": "indoor_fan_failed", "outdoor_frost": "defrost_never_starts", "valve_wiring": "wrong_wiring"}


@pytest.mark.parametrize("look", LOOKS)
def test_look_answers_one_question(look: str) -> None:
    """It is yes for its own fault and no for every other and for a healthy machine."""
    healthy = found(HEATING)
    assert [LOOKS[look]] == [id for id in KINDS if read(healthy, [fault(id)])[look] == 1.0]
    assert 0.0 == read(healthy)[look]


def test_frost_is_not_seen_in_cooling() -> None:
    """In summer the outdoor coil is hot, whatever is wrong with the defrost."""
    assert (0.0, 1.0) == tuple(read(found(mode), [fault("defrost_never_starts")])["outdoor_frost"] for mode in (COOLING, HEATING))


def test_restriction_is_felt_along_the_liquid_line() -> None:
    """Before a narrow place the line is warmer than behind it, where liquid flashes; without one both ends are alike to the probe."""
    ends = {ids: read(found(COOLING, *ids)) for ids in ((), ("liquid_line_restricted",))}
    fall = {ids: values["liquid_line"] - values["liquid_line_end"] for ids, values in ends.items()}
    assert fall[()] < READINGS["liquid_line"].tolerance(300.0) < fall["liquid_line_restricted",]


def test_answers_cannot_be_altered() -> None:
    """Readings are facts."""
    with pytest.raises(TypeError):
        read(found(COOLING))["suction_line"] = 0.0
