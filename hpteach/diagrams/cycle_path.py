"""The closed line of a cycle, process by process, for any chart.

What lives here: the states passed between the state points.  What does not: drawing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from hpteach.cycle import Cycle
from hpteach.fluids import Refrigerant, State


@dataclass(frozen=True)
class Process:
    """One of the four processes: its name, its end labels and its states as arrays in SI, shape (n,)."""

    name: str
    begins: str
    ends: str
    pressure: np.ndarray
    temperature: np.ndarray
    enthalpy: np.ndarray
    entropy: np.ndarray


def cycle_path(refrigerant: Refrigerant, cycle: Cycle, *, steps: int | None = None) -> tuple[Process, ...]:
    """Compressing, condensing, metering and boiling, each as a line of states.

    Compressing is a straight line between its ends (what happens between them is not
    known to the model); metering follows its constant enthalpy.  Condensing and boiling follow the pressures of their
    state points: an isobar where those are equal, else a pressure that changes from point to point in even steps, with the superheat
    outside the dome and the share of vapour inside it.  The dome's crossings that a cycle does not make (2a, 2b, 4a) are left out.
    `steps` is the number of states on each curved part (8, or 5 for a blend,
    whose states in the dome cost more).  Condensing and boiling of a blend are straight between their ends on the
    dome, unless `steps` is given: then as many states show how the temperature glides.

    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import refrigerant
    >>> r32 = refrigerant("R-32")
    >>> cycle = solve(r32, Conditions(ValvePosition.COOLING, "indoor coil", 280.0, 318.0, 5.0, 5.0, 0.7))
    >>> [process.name for process in cycle_path(r32, cycle)]
    ['compressing', 'condensing', 'metering', 'boiling']
    """
    blend = refrigerant.listing.model == "blend"
    gliding = steps if steps and blend else 0
    steps = steps or (5 if blend else 8)
    point = {p.label: p for p in cycle.points}
    return (
        _process("compressing", "1", "2", [point["1"], point["2"]]),
        _process("condensing", "2", "3", _cooling_down(refrigerant, point, steps, gliding)),
        _process("metering", "3", "4", _throttling(refrigerant, point, steps)),
        _process("boiling", "4", "1", _warming_up(refrigerant, point, steps, gliding)),
    )


def _cooling_down(refrigerant: Refrigerant, point: Mapping[str, State], steps: int, gliding: int) -> list[State]:
    begins, ends = point.get("2a"), point.get("2b")
    states: list[State] = [point["2"]]
    if begins is not None:
        states += [*_superheated(refrigerant, begins, point["2"], np.linspace(1.0, 0.0, steps)), begins]
    states += _in_the_dome(refrigerant, states[-1], ends or point["3"], gliding)
    return [*states, *((ends,) if ends is not None else ()), point["3"]]


def _throttling(refrigerant: Refrigerant, point: Mapping[str, State], steps: int) -> list[State]:
    pressures = np.geomspace(point["3"].pressure, point["4"].pressure, steps)[1:-1]
    enthalpy = point["3"].enthalpy
    return [point["3"], *(refrigerant.state_ph(float(pressure), enthalpy) for pressure in pressures), point["4"]]


def _warming_up(refrigerant: Refrigerant, point: Mapping[str, State], steps: int, gliding: int) -> list[State]:
    ends = point.get("4a")
    states = [point["4"], *_in_the_dome(refrigerant, point["4"], ends or point["1"], gliding)]
    if ends is not None:
        states += [ends, *_superheated(refrigerant, ends, point["1"], np.linspace(0.0, 1.0, steps // 2))]
    return [*states, point["1"]]


def _superheated(refrigerant: Refrigerant, dew: State, vapour: State, shares: np.ndarray) -> list[State]:
    """States between a dew point and vapour, at shares of the vapour's superheat and of its difference in pressure; ends left out."""
    difference = vapour.pressure - dew.pressure
    superheat = vapour.temperature - (refrigerant.dew_temperature(vapour.pressure) if difference else dew.temperature)
    if not superheat > 0.0:
        return []
    return [refrigerant.superheated(dew.pressure + difference * share, superheat * share) for share in shares[1:-1]]


def _in_the_dome(refrigerant: Refrigerant, first: State, last: State, steps: int) -> list[State]:
    """States between two on the dome or inside it, ends left out; none for no steps.  What is no mixture (liquid at 4) counts as a bubble point."""
    pressures = np.linspace(first.pressure, last.pressure, steps)[1:-1]
    qualities = np.linspace(first.quality or 0.0, last.quality or 0.0, steps)[1:-1]
    return [refrigerant.state_px(float(pressure), float(quality)) for pressure, quality in zip(pressures, qualities)]


def _process(name: str, begins: str, ends: str, states: list[State]) -> Process:
    rows = np.array([(s.pressure, s.temperature, s.enthalpy, s.entropy) for s in states]).T
    return Process(name, begins, ends, *rows)
