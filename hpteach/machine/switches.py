"""Pressure switches: a faulty machine that cannot go on stops, and is read at the moment when its switch opens.

What lives here: `Run`, `run_with`.  What does not: the faults (faults), the balance.

Where a fault of its size leaves no balance, or one beyond the maker's limits, the fault is let grow from nothing until
the saturated condensing or suction temperature reaches its limit: there the high- or the low-pressure switch opens.
Where the balance is lost with the pressures come nearer to each other, it is the compressor's thermal protector.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError
from hpteach.fluids import MoistAir
from hpteach.machine.faults import Fault, check_together, operate_with
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation

HIGH, LOW = "high-pressure switch", "low-pressure switch"
HOT = "thermal protector of the compressor"

_HALVINGS = 9


@dataclass(frozen=True)
class Run:
    """A machine with faults: as it runs, or at the moment when a switch stops it.

    `stopped_by` names the switch, None where it runs; `share` is how far the faults had grown then, 1 for all their size.
    """

    operation: Operation
    stopped_by: str | None
    share: float


def opened(found: Operation) -> str | None:
    """The switch that opens in an operation: by the maker's limits of both saturated temperatures; None where none does.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> opened(operate(demo_machine("R-32"), ValvePosition.COOLING, *air)) is None
    True
    """
    limits = found.machine.limits
    if found.saturated_condensing_temperature > limits.saturated_condensing_temperature:
        return HIGH
    return LOW if found.saturated_suction_temperature < limits.least_saturated_suction_temperature else None


def run_with(
    machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir, faults: Iterable[Fault] = (), *, speed_ratio: float = 1.0
) -> Run:
    """The machine with faults, when heating or cooling is called for, or the moment when it stops.

    Raises what `faults.operate_with` raises where even the machine without faults finds no balance.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> run_with(demo_machine("R-32"), ValvePosition.COOLING, *air, [fault("outdoor_fan_failed")]).stopped_by
    'high-pressure switch'
    """
    return _run_with(machine, called, outdoor, indoor, check_together(faults), speed_ratio)


@lru_cache(maxsize=256)
def _run_with(machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir, faults: tuple[Fault, ...], speed_ratio: float) -> Run:
    refused = None
    try:
        found = operate_with(machine, called, outdoor, indoor, faults, speed_ratio=speed_ratio)
        if opened(found) is None:
            return Run(found, None, 1.0)
    except LimitError as error:
        refused, found = error, None
    if not any(one.kind.size is not None for one in faults):
        if found is None:
            raise refused
        return Run(found, opened(found), 1.0)
    return _moment(machine, called, outdoor, indoor, faults, speed_ratio)


def _moment(machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir, faults: tuple[Fault, ...], speed_ratio: float) -> Run:
    """The last moment before the switch opens: by halving how far the faults have grown."""
    runs, stops = 0.0, 1.0
    last = sound = operate_with(machine, called, outdoor, indoor, _grown(faults, 0.0), speed_ratio=speed_ratio)
    if opened(last) is not None:
        return Run(last, opened(last), 0.0)
    beyond = None
    for _ in range(_HALVINGS):
        middle = 0.5 * (runs + stops)
        try:
            found = operate_with(machine, called, outdoor, indoor, _grown(faults, middle), speed_ratio=speed_ratio)
        except LimitError:
            stops = middle
            continue
        if opened(found) is None:
            runs, last = middle, found
        else:
            stops, beyond = middle, found
    switch = opened(beyond) if beyond is not None else _towards(sound, last)
    return Run(last, switch, runs)


def _towards(sound: Operation, last: Operation) -> str:
    """The switch towards which the fault has driven the machine, where the balance was lost before either opened.

    Where the pressures have come nearer, as with hot gas that goes round past the spool, neither opens and the compressor gets too hot.
    """
    if last.saturated_condensing_temperature > sound.saturated_condensing_temperature:
        return HIGH
    return LOW if last.saturated_suction_temperature < sound.saturated_suction_temperature else HOT


def _grown(faults: tuple[Fault, ...], share: float) -> tuple[Fault, ...]:
    """The faults with a share of their way from harmless to their size; those without a size are there from the beginning."""
    return tuple(one if one.size is None else replace(one, size=_between(one.kind.harmless, one.size, share)) for one in faults)


def _between(harmless: float, size: float, share: float) -> float:
    """On a straight line, or on a geometric one where a size goes down from something to next to nothing."""
    return harmless + share * (size - harmless) if harmless == 0.0 else harmless * (size / harmless) ** share
