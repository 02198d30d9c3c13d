"""A machine with a fault stops at the maker's limit, and the switch that opens has a name (hpteach/machine/switches.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import CircuitError, InputError, LimitError
from hpteach.fluids import moist_air
from hpteach.machine import Machine, demo_machine, operate
from hpteach.machine.faults import BOTH, COOLING, HEATING, Fault, fault, operate_with
from hpteach.machine.switches import HIGH, HOT, LOW, Run, opened, run_with
from tests.sign_table import METERING, WEATHER, machine_with


def run(name: str, called: ValvePosition, *faults: Fault) -> Run:
    return run_with(demo_machine(name), called, *WEATHER[called], faults)


def limited(name: str, **limits: float) -> Machine:
    machine = demo_machine(name)
    return replace(machine, limits=replace(machine.limits, **limits))


@pytest.mark.parametrize("called", BOTH)
@pytest.mark.parametrize("name", ["R-410A", "R-32", "R-290", "R-454B"])
@pytest.mark.parametrize("metering", METERING)
def test_healthy_machine_runs(called: ValvePosition, name: str, metering: str) -> None:
    """In ordinary weather no switch opens."""
    found = run_with(machine_with(name, metering), called, *WEATHER[called])
    assert (None, 1.0) == (found.stopped_by, found.share)


@pytest.mark.parametrize("called", BOTH)
def test_fault_with_which_it_runs_is_the_operation_itself(called: ValvePosition) -> None:
    """All of the fault is there, and the figures are those of the balance."""
    found = run("R-410A", called, fault("spool_leak"))
    same = operate_with(demo_machine("R-410A"), called, *WEATHER[called], [fault("spool_leak")])
    assert (None, 1.0, same.capacity) == (found.stopped_by, found.share, pytest.approx(found.operation.capacity, rel=1e-9))


COLD = (moist_air(258.15, relative_humidity=0.8), WEATHER[HEATING][1])

STOPS = [
    ("R-410A", COOLING, "outdoor_fan_failed", None, HIGH), ("R-410A", HEATING, "indoor_fan_failed", None, HIGH),
    ("R-454B", COOLING, "outdoor_coil_dirty", 0.2, HIGH), ("R-290", HEATING, "indoor_coil_dirty", 0.2, HIGH),
    ("R-32", COOLING, "indoor_metering_stuck_shut", None, LOW), ("R-32", HEATING, "outdoor_metering_stuck_shut", None, LOW),
]  # fmt: skip


@pytest.mark.parametrize(("name", "called", "id", "size", "switch"), STOPS, ids=[f"{row[0]}-{row[2]}-{row[1].value}" for row in STOPS])
def test_machine_stops_at_the_last_moment_before_its_switch(name: str, called: ValvePosition, id: str, size: float | None, switch: str) -> None:
    """It still runs there; with the fault a hundredth further on its way a switch is open or the balance lost."""
    found, whole = run(name, called, fault(id, size)), fault(id, size)
    assert (switch, True) == (found.stopped_by, 0.0 < found.share < 1.0)
    assert opened(found.operation) is None
    further = whole.kind.harmless * (whole.size / whole.kind.harmless) ** (found.share + 0.01)
    try:
        beyond = opened(operate_with(demo_machine(name), called, *WEATHER[called], [replace(whole, size=further)]))
    except LimitError:
        beyond = switch
    assert switch == beyond


def test_high_side_is_read_close_to_the_makers_limit() -> None:
    """Within two kelvins of the condensing temperature at which the switch opens: air hotter than 60 °C behind a coil is not computed."""
    found = run("R-410A", COOLING, fault("outdoor_fan_failed"))
    assert HIGH == found.stopped_by
    assert 0.0 <= found.operation.machine.limits.saturated_condensing_temperature - found.operation.saturated_condensing_temperature < 2.0


def test_low_side_is_read_close_to_the_makers_limit() -> None:
    """On a cold day without the outdoor fan, within half a kelvin of the suction temperature at which the switch opens."""
    found = run_with(demo_machine("R-410A"), HEATING, *COLD, [fault("outdoor_fan_failed")])
    assert LOW == found.stopped_by
    assert 0.0 <= found.operation.saturated_suction_temperature - found.operation.machine.limits.least_saturated_suction_temperature < 0.5


@pytest.mark.parametrize("called", BOTH)
def test_gas_that_goes_round_opens_no_pressure_switch(called: ValvePosition) -> None:
    """With the valve wide open between its seats both pressures come nearer, so the compressor's thermal protector stops it and no pressure switch."""
    found, healthy = run("R-410A", called, fault("valve_between", 12.0)), run("R-410A", called)
    assert HOT == found.stopped_by
    assert found.operation.cycle.point("1").pressure > healthy.operation.cycle.point("1").pressure
    assert found.operation.cycle.point("2").pressure < healthy.operation.cycle.point("2").pressure


@pytest.mark.parametrize("called", BOTH)
def test_larger_fault_stops_no_later(called: ValvePosition) -> None:
    """The moment is that of the limit, however large the fault would grow: the readings are the same, its share of the larger one smaller."""
    place = "outdoor" if called is COOLING else "indoor"
    less, more = (run("R-410A", called, fault(f"{place}_fan_failed", size)) for size in (0.08, 0.03))
    assert more.share < less.share
    assert less.operation.cycle.point("2").pressure == pytest.approx(more.operation.cycle.point("2").pressure, rel=0.01)


def test_limit_that_the_sound_machine_passes_stops_it_at_once() -> None:
    """A machine beyond its limit without a fault is read as it is, with none of the fault; without any fault there is nothing that could grow."""
    strict = limited("R-32", saturated_condensing_temperature=310.0)
    with_fault = run_with(strict, COOLING, *WEATHER[COOLING], [fault("undercharge")])
    alone = run_with(strict, COOLING, *WEATHER[COOLING])
    assert ((HIGH, 0.0), (HIGH, 1.0)) == ((with_fault.stopped_by, with_fault.share), (alone.stopped_by, alone.share))


@pytest.mark.parametrize(
    ("limits", "switch"),
    [({}, None), ({"saturated_condensing_temperature": 310.0}, HIGH), ({"least_saturated_suction_temperature": 290.0}, LOW), ({"saturated_condensing_temperature": 310.0, "least_saturated_suction_temperature": 290.0}, HIGH)],
)
def test_switch_opens_by_the_saturated_temperatures(limits: dict[str, float], switch: str | None) -> None:
    """Above the highest condensing one the high side opens, below the least suction one the low side; the high side is asked first."""
    assert switch == opened(operate(limited("R-32", **limits), COOLING, *WEATHER[COOLING]))


def test_foreign_gas_counts_at_the_high_pressure_switch() -> None:
    """A switch feels pressure: with gas in it the machine stops at the same pressure as with a blocked coil."""
    gas, dirt = (run("R-290", COOLING, fault(*one)) for one in (("foreign_gas", 8e5), ("outdoor_fan_failed", None)))
    assert HIGH == gas.stopped_by == dirt.stopped_by
    assert gas.operation.cycle.point("2").pressure == pytest.approx(dirt.operation.cycle.point("2").pressure, rel=0.01)


def test_what_cannot_be_is_refused_and_not_a_stop() -> None:
    """A position between the seats, faults that exclude each other and a fault without meaning are refusals."""
    with pytest.raises(CircuitError, match="valve_between"):
        run_with(demo_machine("R-32"), ValvePosition.BETWEEN, *WEATHER[COOLING])
    with pytest.raises(InputError, match="exclude"):
        run("R-32", COOLING, fault("undercharge"), fault("overcharge"))
    with pytest.raises(InputError, match="no meaning"):
        run_with(machine_with("R-32", "fixed orifice"), COOLING, *WEATHER[COOLING], [fault("indoor_metering_stuck_shut")])
