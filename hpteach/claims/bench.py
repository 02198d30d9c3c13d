"""The machines and the weather in which claims are tried.

What lives here: the invented bench units in the weather of the rating points, sound or with faults.  What does not: any claim.

Weather: 35 C outdoors with 26.7 C and 51 % indoors, and 7 C with 87 % outdoors and 20 C indoors, as at the rating points of
AHRI 210/240 and EN 14511 (from memory, not seen here).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from hpteach.circuit import ValvePosition
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine import Machine, Operation
from hpteach.machine.faults import Fault, fault, operate_with
from hpteach.machine.metering import ORIFICE, Metering

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
HOT_DAY, MILD_DAY = 308.15, 280.15
"""K outdoors: the days on which cooling and heating are rated."""

ROOM = moist_air(293.15, relative_humidity=0.5)
"""The room in heating."""

_WARM_ROOM = moist_air(299.8, relative_humidity=0.51)
_ORIFICE_SHARE = 0.6  # of a valve's opening, at which an orifice runs as the valve does in mild weather


@lru_cache(maxsize=64)
def cooling(machine: Machine, outdoors: float = HOT_DAY, faults: tuple[Fault, ...] = ()) -> Operation:
    """A machine in cooling at an outdoor temperature (K), with faults; raises what `operate_with` raises.

    >>> from hpteach.machine import demo_machine
    >>> round(cooling(demo_machine("R-410A")).cop, 1)
    3.1
    """
    return operate_with(machine, COOLING, moist_air(outdoors, relative_humidity=0.4), _WARM_ROOM, faults)


@lru_cache(maxsize=64)
def heating(
    machine: Machine, outdoors: float = MILD_DAY, faults: tuple[Fault, ...] = (), *, humidity: float = 0.87, room: MoistAir = ROOM, speed_ratio: float = 1.0
) -> Operation:
    """A machine in heating at an outdoor temperature (K) and relative humidity, with faults; raises what `operate_with` raises.

    >>> from hpteach.machine import demo_machine
    >>> round(heating(demo_machine("R-410A")).cop, 1)
    3.6
    """
    return operate_with(machine, HEATING, moist_air(outdoors, relative_humidity=humidity), room, faults, speed_ratio=speed_ratio)


def with_faults(*ids: str) -> tuple[Fault, ...]:
    """Faults of the usual size.

    >>> with_faults("undercharge")[0].size
    0.25
    """
    return tuple(fault(id) for id in ids)


def charged(machine: Machine, share: float) -> Machine:
    """The machine with a share of its charge, whatever a vessel holds aside in heating.

    >>> from hpteach.machine import demo_machine
    >>> charged(demo_machine("R-32"), 0.5).charge < demo_machine("R-32").charge
    True
    """
    return replace(machine, charge=machine.charge * share, held_aside=machine.held_aside * share)


def with_orifices(machine: Machine) -> Machine:
    """The machine with fixed orifices in place of its valves.

    >>> from hpteach.machine import demo_machine
    >>> with_orifices(demo_machine("R-32")).indoor_metering.holds_superheat
    False
    """

    def orifice(valve: Metering) -> Metering:
        return Metering(kind=ORIFICE, opening=_ORIFICE_SHARE * valve.opening)

    return replace(machine, indoor_metering=orifice(machine.indoor_metering), outdoor_metering=orifice(machine.outdoor_metering))
