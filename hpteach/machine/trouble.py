"""A machine with faults beside itself when healthy: the signs, and what a technician reads on both.

What lives here: `Trouble` and `trouble`.  What does not: the faults (faults), their words and tables (fault_readouts), which fault fits (diagnosis).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from hpteach.circuit import ValvePosition
from hpteach.fluids import MoistAir
from hpteach.machine.faults import Fault, check_together, operate_with, position_with, shows
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation
from hpteach.machine.readings import READINGS, read
from hpteach.machine.signs import DOWN, SAME, UP, Sign, signs_of
from hpteach.machine.switches import Run, run_with


@dataclass(frozen=True)
class Trouble:
    """What is called for, the faults, the healthy machine in the same weather, and how the faulty one runs or stops."""

    called: ValvePosition
    faults: tuple[Fault, ...]
    healthy: Operation
    run: Run

    @property
    def found(self) -> Operation:
        """The faulty machine, as it runs or at the moment when a switch stops it."""
        return self.run.operation

    @property
    def turned(self) -> bool:
        """Whether the reversing valve stands in the other position than the one called for."""
        return self.found.valve_position is not self.called

    @property
    def signs(self) -> Mapping[str, Sign]:
        """The signs against the healthy machine, by id."""
        return signs_of(self.healthy, self.found)

    @property
    def readings(self) -> Mapping[str, float]:
        """What a technician reads on the faulty machine (SI; pressures absolute), by id."""
        return read(self.found, self.faults)

    @property
    def healthy_readings(self) -> Mapping[str, float]:
        """What would be read on the healthy machine, by id."""
        return read(self.healthy)

    def way(self, reading: str) -> str:
        """Up, down or same: a reading against the healthy machine, by what two instruments may differ by."""
        before, now = self.healthy_readings[reading], self.readings[reading]
        if abs(now - before) <= READINGS[reading].tolerance(before):
            return SAME
        return UP if now > before else DOWN

    def shows(self, one: Fault) -> bool:
        """Whether a fault does anything in the position in which the valve stands."""
        return shows(one, self.found.valve_position, self.called)


def trouble(
    machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir, faults: Iterable[Fault] = (), *, speed_ratio: float = 1.0
) -> Trouble:
    """The machine with faults beside itself when healthy, when heating or cooling is called for.

    Without faults both are the healthy machine, and no switch is asked.  Raises what `switches.run_with` raises.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> found = trouble(demo_machine("R-32"), ValvePosition.COOLING, *air, [fault("undercharge")])
    >>> found.signs["subcooling"].way, found.way("discharge_gauge"), found.shows(fault("outdoor_check_valve_leaking"))
    ('down', 'down', False)
    """
    faults = check_together(faults)
    position_with(called, faults)  # refuses what cannot be called for
    if not faults:
        found = operate_with(machine, called, outdoor, indoor, speed_ratio=speed_ratio)
        return Trouble(called, (), found, Run(found, None, 1.0))
    healthy = run_with(machine, called, outdoor, indoor, speed_ratio=speed_ratio).operation
    return Trouble(called, faults, healthy, run_with(machine, called, outdoor, indoor, faults, speed_ratio=speed_ratio))
