"""How a machine runs at the bins of a climate, worked out once, so that any house can be added up at once.

What lives here: `RunningTable`, which answers between what was worked out.  What does not: working it out (running), the sum (season).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from hpteach.errors import InputError, LimitError, Measure
from hpteach.machine.climate import Climate
from hpteach.machine.running import MachineInWinter
from hpteach.machine.monotone_curve import MonotoneCurve
from hpteach.machine.season import Following, Running

_SLOWER = (0.0, 0.2, 0.45, 0.7)
"""Shares of the range of speeds at which a variable speed is worked out, beside the most that it gives (within 0.5 % in the seasonal COP, tested)."""

_MOST_ROWS = 16
"""Temperatures at which a variable speed is worked out at most: each takes five times the time of a fixed one."""


class RunningTable:
    """Runs of a machine by outdoor temperature (K), in each row from its least to its most; an empty row where it does not run.

    Between two rows it answers on straight lines; next to an empty row it does not run.  With more than one run in a
    row the machine follows a load: its power rises smoothly with its capacity.

    Raises `InputError` for no rows, and for rows that do not rise.

    >>> table = RunningTable({263.15: [Running(6000.0, 2400.0)], 283.15: [Running(10000.0, 2500.0)]})
    >>> table.performance(273.15)
    Running(capacity=8000.0, power=2450.0, note='')
    >>> table.following is None, table.larger(1.5).performance(263.15).capacity
    (True, 9000.0)
    """

    def __init__(self, rows: dict[float, Iterable[Running]]) -> None:
        self.rows = {temperature: tuple(rows[temperature]) for temperature in sorted(rows)}
        self.temperatures = tuple(self.rows)
        if not self.rows:
            raise InputError("a table of runs without a temperature answers nothing: give at least one")
        for temperature, runs in self.rows.items():
            if any(not low.capacity < high.capacity for low, high in zip(runs, runs[1:])):
                raise InputError("runs at {at} do not rise in capacity: give them from the least to the most", at=Measure(temperature, "temperature"))
        self.following: Following | None = self._follow if any(len(runs) > 1 for runs in self.rows.values()) else None
        self._curves: dict[float, tuple[tuple[Running, ...], MonotoneCurve | None]] = {}

    def runs(self, outdoor_temperature: float) -> tuple[Running, ...]:
        """The runs at an outdoor temperature (K), from the least to the most; none where the machine does not run.

        Raises `LimitError` beyond the coldest and the warmest row.
        """
        if outdoor_temperature in self.rows:
            return self.rows[outdoor_temperature]
        least, most = self.temperatures[0], self.temperatures[-1]
        if not least <= outdoor_temperature <= most:
            raise LimitError(
                "outdoor temperature of {given} is beyond the table's {least} to {most}: use one within",
                given=Measure(outdoor_temperature, "temperature"),
                least=Measure(least, "temperature"),
                most=Measure(most, "temperature"),
            )
        above = bisect_left(self.temperatures, outdoor_temperature)
        cold, warm = self.temperatures[above - 1], self.temperatures[above]
        share = (outdoor_temperature - cold) / (warm - cold)
        colder, warmer = self.rows[cold], self.rows[warm]
        nearest = warmer if share >= 0.5 else colder
        if not colder or not warmer:
            return ()
        runs = max(len(colder), len(warmer))
        return tuple(
            Running(low.capacity + share * (high.capacity - low.capacity), low.power + share * (high.power - low.power), nearest[-1].note)
            for low, high in zip(_resampled(colder, runs), _resampled(warmer, runs))
        )

    def performance(self, outdoor_temperature: float) -> Running | None:
        """The most that the machine gives at an outdoor temperature (K), None where it does not run.

        Raises `LimitError` beyond the coldest and the warmest row.
        """
        runs = self.runs(outdoor_temperature)
        return runs[-1] if runs else None

    def larger(self, factor: float) -> RunningTable:
        """The table of a machine that is larger in all its parts: so many times the capacity and the power.

        Raises `LimitError` for a factor that is not positive.
        """
        if not 0.0 < factor < math.inf:
            raise LimitError(f"factor of {factor:g} makes no machine: use a positive one, such as 1.25")
        return RunningTable(
            {at: [replace(run, capacity=factor * run.capacity, power=factor * run.power) for run in runs] for at, runs in self.rows.items()}
        )

    def _follow(self, outdoor_temperature: float, load: float) -> Running | None:
        runs, curve = self._curve(outdoor_temperature)
        if not runs or load <= runs[0].capacity or curve is None:
            return runs[0] if runs else None
        if load >= runs[-1].capacity:
            return runs[-1]
        return Running(load, float(curve(load)), runs[-1].note)

    def _curve(self, temperature: float) -> tuple[tuple[Running, ...], MonotoneCurve | None]:
        """The runs at a temperature, and power over capacity through them where they are several."""
        if temperature not in self._curves:
            runs = self.runs(temperature)
            curve = _power_over_capacity(runs) if len(runs) > 1 else None
            if temperature not in self.rows:
                return runs, curve
            self._curves[temperature] = runs, curve
        return self._curves[temperature]


def running_table(winter: MachineInWinter, climate: Climate) -> RunningTable:
    """The table of a machine for the bins of a climate in which a house needs heat.

    A machine of fixed speed is worked out at each of them.  One of variable speed at most at sixteen temperatures
    from the coldest to the warmest, and at each at some speeds from its least to its most.

    Raises the refusals of `MachineInWinter` for air that cannot be.

    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.climate import climate
    >>> average = climate("average")
    >>> table = running_table(MachineInWinter(demo_machine("R-32"), 293.15, average.moisture), average)
    >>> len(table.rows), table.following
    (26, None)
    """
    bins = [one.outdoor_temperature for one in climate.bins if one.outdoor_temperature < climate.zero_load_temperature]
    if winter.following is None:
        return RunningTable({at: filter(None, [winter.performance(at)]) for at in bins})
    spread = bins if len(bins) <= _MOST_ROWS else [bins[index] for index in np.linspace(0, len(bins) - 1, _MOST_ROWS).round().astype(int)]
    between = RunningTable({at: _speeds(winter, at) for at in spread})
    return RunningTable({at: between.runs(at) for at in bins})


def _speeds(winter: MachineInWinter, temperature: float) -> list[Running]:
    """Runs from the lowest speed to the most that is given, leaving out speeds at which there is no balance."""
    most = winter.performance(temperature)
    if most is None:
        return []
    compressor = winter.machine.compressor
    least, span = compressor.least_speed_ratio, compressor.most_speed_ratio - compressor.least_speed_ratio
    found: list[Running] = []
    for share in _SLOWER:
        run = winter.running(temperature, least + share * span)
        if run is not None and run.capacity < 0.98 * most.capacity and (not found or run.capacity > found[-1].capacity):
            found.append(run)
    return [*found, most]


def _power_over_capacity(runs: tuple[Running, ...]) -> MonotoneCurve:
    return MonotoneCurve([run.capacity for run in runs], [run.power for run in runs])


def _resampled(runs: tuple[Running, ...], count: int) -> tuple[Running, ...]:
    """As many runs, evenly between the least and the most, on the curve of power over capacity."""
    if len(runs) == count or len(runs) == 1:
        return runs if len(runs) == count else runs * count
    curve = _power_over_capacity(runs)
    capacities = np.linspace(runs[0].capacity, runs[-1].capacity, count)
    return tuple(Running(float(capacity), float(curve(capacity)), runs[-1].note) for capacity in capacities)
