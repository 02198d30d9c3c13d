"""A grid fine enough to read numbers from a printed chart.

What lives here: which lines and numbers the grid has, and laying it under a chart.  What does not: what else a chart
shows (chart), the sheet of paper (saving).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Protocol

from matplotlib.axes import Axes
from matplotlib.axis import Axis as DrawnAxis
from matplotlib.ticker import FixedLocator, FuncFormatter, NullFormatter

from hpteach.diagrams.chart import Axis
from hpteach.diagrams.placing import frame_of

Steps = Mapping[tuple[str, str], tuple[tuple[float, float], ...]]

STEPS: Steps = {
    ("specific energy", "SI"): ((10.0, 50.0), (20.0, 100.0)),
    ("specific energy", "IP"): ((5.0, 25.0), (10.0, 50.0)),
    ("specific entropy", "SI"): ((0.05, 0.1), (0.1, 0.5)),
    ("specific entropy", "IP"): ((0.01, 0.05), (0.02, 0.1)),
    ("temperature", "SI"): ((5.0, 20.0), (10.0, 50.0)),
    ("temperature", "IP"): ((10.0, 50.0), (20.0, 100.0)),
}
"""From one line to the next and from one heavier line with its number to the next, in shown numbers: the first with room is taken."""

NUMBERED = (10, 15, 20, 30, 40, 50, 60, 80)
"""The tenths that have a number in each decade of a logarithmic axis."""

_TENTHS = (*range(10, 20), *range(20, 50, 2), *range(50, 100, 5))
"""The tenths that have a line in each decade: their steps keep the lines about equally far apart."""

_ROOM, _NUMBER_ROOM = 4.0, 25.0
"""Points at least between two lines, so that they stay apart in print, and between two numbers."""

_MINOR = {"which": "minor", "color": "#b4b4b4", "linewidth": 0.3, "linestyle": "-"}
_MAJOR = {"which": "major", "color": "#8a8a8a", "linewidth": 0.6, "linestyle": "-"}


class Framed(Protocol):
    """A chart of any kind: its axes, what they measure, and the unit system of their numbers."""

    axes: Axes
    x_axis: Axis
    y_axis: Axis
    system: str


def even_lines(low: float, high: float, step: float, numbered: float) -> tuple[list[float], list[float]]:
    """The lines with and without a number of an even axis from `low` to `high`.

    `step` and `numbered` are the distances from line to line and from number to number.

    >>> even_lines(-12.0, 21.0, 5.0, 20.0)
    ([0.0, 20.0], [-10.0, -5.0, 5.0, 10.0, 15.0])
    """
    every = round(numbered / step)
    counts = range(math.ceil(low / step), math.floor(high / step) + 1)
    lines = {count: round(count * step, 9) for count in counts}
    return [place for count, place in lines.items() if count % every == 0], [place for count, place in lines.items() if count % every]


def log_lines(low: float, high: float) -> tuple[list[float], list[float]]:
    """The lines with and without a number of a logarithmic axis from `low` to `high`, both above zero.

    Ten lines from 1 to 2, in steps of 0.1; from 2 to 5 steps of 0.2; from 5 to 10 steps of 0.5; and so in every decade.

    >>> log_lines(0.88, 2.5)
    ([1.0, 1.5, 2.0], [0.9, 0.95, 1.1, 1.2, 1.3, 1.4, 1.6, 1.7, 1.8, 1.9, 2.2, 2.4])
    """
    powers = range(math.floor(math.log10(low)) - 1, math.ceil(math.log10(high)) + 1)
    lines = [(tenths, float(f"{tenths}e{power - 1}")) for power in powers for tenths in _TENTHS]
    inside = [(tenths in NUMBERED, place) for tenths, place in lines if low <= place <= high]
    return [place for bold, place in inside if bold], [place for bold, place in inside if not bold]


def lay_fine_grid(chart: Framed, steps: Steps = STEPS) -> None:
    """Lay a fine grid under a chart: thin grey lines at round numbers, each heavier line with its number on the axis.

    A logarithmic pressure axis has the lines of `log_lines`, every other axis those of `even_lines` with the first of `steps` that has
    room in the frame as it stands: place the axes before.

    >>> from matplotlib.figure import Figure
    >>> from hpteach.diagrams import TemperatureEntropyChart
    >>> from hpteach.fluids import refrigerant
    >>> chart = TemperatureEntropyChart(Figure(figsize=(11.0, 8.0)).add_subplot(), refrigerant("R-32"))
    >>> lay_fine_grid(chart)
    >>> chart.axes.yaxis.get_minorticklocs()[:3].tolist()
    [-45.0, -35.0, -30.0]
    """
    axes = chart.axes
    (left, bottom), (right, top) = frame_of(axes)
    _lay(axes.xaxis, steps.get((chart.x_axis.kind, chart.system), ()), axes.get_xlim(), right - left)
    _lay(axes.yaxis, steps.get((chart.y_axis.kind, chart.system), ()), axes.get_ylim(), top - bottom)
    axes.set_axisbelow(True)


def _lay(drawn: DrawnAxis, choices: tuple[tuple[float, float], ...], limits: tuple[float, float], length: float) -> None:
    low, high = limits
    if drawn.get_scale() == "log":
        numbered, between = log_lines(low, high)
    else:
        wide = length / (high - low)
        step = next((choice for choice in choices if wide * choice[0] >= _ROOM and wide * choice[1] >= _NUMBER_ROOM), choices[-1])
        numbered, between = even_lines(low, high, *step)
    drawn.set_major_locator(FixedLocator(numbered))
    drawn.set_minor_locator(FixedLocator(between))
    places = 0 if drawn.get_scale() == "log" else max(len(f"{number:g}".partition(".")[2]) for number in numbered)
    drawn.set_major_formatter(FuncFormatter(lambda value, _: f"{value:.{places}f}" if places else f"{value:g}"))
    drawn.set_minor_formatter(NullFormatter())
    drawn.set_tick_params(which="minor", length=0.0)
    drawn.grid(True, **_MINOR)
    drawn.grid(True, **_MAJOR)
