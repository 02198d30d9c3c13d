"""The trade's table of signs beside what the machine comes to: machines, weather, and each arrow of both."""

from __future__ import annotations

from functools import cache

from hpteach.circuit import ValvePosition
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine import Machine, demo_machine
from hpteach.machine.faults import COOLING, HEATING, fault, operate_with
from hpteach.machine.metering import ORIFICE, THERMOSTATIC
from hpteach.machine.signs import Sign, signs_of
from hpteach.machine.switches import Run, run_with
from tests.reference import rows
from tests.settling import with_orifices

REFRIGERANTS = ("R-410A", "R-32", "R-290", "R-454B")
METERING = (THERMOSTATIC, ORIFICE)
QUANTITIES = ("suction_pressure", "discharge_pressure", "superheat", "subcooling", "discharge_temperature")

WEATHER: dict[ValvePosition, tuple[MoistAir, MoistAir]] = {
    COOLING: (moist_air(308.15, relative_humidity=0.40), moist_air(299.85, relative_humidity=0.51)),
    HEATING: (moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.50)),
}
"""Outdoor and indoor air: 35 °C / 40 % and 26.7 °C / 51 % in cooling, 7 °C / 87 % and 20 °C / 50 % in heating."""

ORIFICE_SHARE = 0.6
"""Opening of the fixed orifice as a share of the fully open valve, at which the healthy machine has a common superheat."""


@cache
def machine_with(refrigerant: str, metering: str) -> Machine:
    """The bench unit (invented) with valves, or with fixed orifices in their place."""
    machine = demo_machine(refrigerant)
    return machine if metering == THERMOSTATIC else with_orifices(machine, ORIFICE_SHARE)


@cache
def run_of(refrigerant: str, metering: str, mode: str, id: str) -> Run:
    """The machine with a fault of its usual size, at the latest at the moment when a switch stops it."""
    called = ValvePosition(mode)
    return run_with(machine_with(refrigerant, metering), called, *WEATHER[called], [fault(id)])


@cache
def signs(refrigerant: str, metering: str, mode: str, id: str) -> dict[str, Sign]:
    """What has changed against the healthy machine in the same weather."""
    called = ValvePosition(mode)
    healthy = operate_with(machine_with(refrigerant, metering), called, *WEATHER[called])
    return dict(signs_of(healthy, run_of(refrigerant, metering, mode, id).operation))


def table() -> list[dict[str, str]]:
    """The rows of the trade's table."""
    return rows("11_fault_signs.csv")


def said() -> dict[tuple[str, str, str, str], str]:
    """Each arrow that practice states, by fault, mode, metering and quantity."""
    return {(row["fault"], row["mode"], row["metering"], quantity): row[quantity] for row in table() for quantity in QUANTITIES if row[quantity]}
