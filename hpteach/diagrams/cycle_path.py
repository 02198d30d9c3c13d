"""The closed line of a cycle, process by process, for any chart.

What lives here: the states passed between the state points.  What does not: drawing.
"""

from __future__ import annotations

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
    known to the model); condensing and boiling follow their isobar, metering its
    constant enthalpy.  `steps` is the number of states on each curved part (8, or 5 for a blend,
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
    high, low = point["2"].pressure, point["1"].pressure
    return (
        _process("compressing", "1", "2", [point["1"], point["2"]]),
        _process("condensing", "2", "3", _cooling_down(refrigerant, high, point, steps, gliding)),
        _process("metering", "3", "4", _throttling(refrigerant, high, low, point, steps)),
        _process("boiling", "4", "1", _warming_up(refrigerant, low, point, steps, gliding)),
    )


def _cooling_down(refrigerant: Refrigerant, pressure: float, point: dict, steps: int, gliding: int) -> list[State]:
    begins = point.get("2a")
    states: list[State] = [point["2"]]
    if begins is not None:
        superheat = point["2"].temperature - begins.temperature
        states += [refrigerant.superheated(pressure, superheat * share) for share in np.linspace(1.0, 0.0, steps)[1:-1]]
        states.append(begins)
    wet = 1.0 if begins is not None else point["2"].quality
    return [*states, *_in_the_dome(refrigerant, pressure, wet, 0.0, gliding), point["2b"], point["3"]]


def _throttling(refrigerant: Refrigerant, high: float, low: float, point: dict, steps: int) -> list[State]:
    pressures = np.geomspace(high, low, steps)[1:-1]
    enthalpy = point["3"].enthalpy
    return [point["3"], *(refrigerant.state_ph(float(pressure), enthalpy) for pressure in pressures), point["4"]]


def _warming_up(refrigerant: Refrigerant, pressure: float, point: dict, steps: int, gliding: int) -> list[State]:
    ends = point["4a"]
    superheat = point["1"].temperature - ends.temperature
    warm = [refrigerant.superheated(pressure, superheat * share) for share in np.linspace(0.0, 1.0, steps // 2)[1:-1]]
    boiling = _in_the_dome(refrigerant, pressure, point["4"].quality or 0.0, 1.0, gliding)
    return [point["4"], *boiling, ends, *(warm if superheat > 0.0 else ()), point["1"]]


def _in_the_dome(refrigerant: Refrigerant, pressure: float, first: float, last: float, steps: int) -> list[State]:
    """States between two qualities, ends left out; none for no steps."""
    return [refrigerant.state_px(pressure, float(quality)) for quality in np.linspace(first, last, steps)[1:-1]]


def _process(name: str, begins: str, ends: str, states: list[State]) -> Process:
    rows = np.array([(s.pressure, s.temperature, s.enthalpy, s.entropy) for s in states]).T
    return Process(name, begins, ends, *rows)
