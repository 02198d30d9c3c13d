"""Capacity and load over the outdoor temperature, with the balance point and the present weather.

What lives here: `CapacityChart`, which stays, and `CapacityMarks`, which move over it.  What does not: computing either (machine.sweep).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.ticker import MaxNLocator, MultipleLocator

from hpteach.diagrams.placing import Taken, frame_of, on_page, sampled
from hpteach.diagrams.pressure_temperature import MovingLabel
from hpteach.diagrams.sheet import fitting_title, key_below
from hpteach.diagrams.style import SCREEN, Style
from hpteach.machine.sweep import BalancePoint, LoadLine, Sweep
from hpteach.units import show, shown_number, unit_shown

_EDGES = (4e3, 6e3, 8e3, 10e3, 12e3, 14e3, 16e3, 18e3, 20e3, 24e3, 28e3, 32e3, 40e3, 50e3, 60e3, 80e3, 100e3)
"""W; upper edges of a chart, few, so that one frame serves many curves."""

_HEADROOM = 1.12
"""Of the largest heat, up to which a chart reaches at least."""

_BESIDE = 2.5  # K of room at both ends of the outdoor temperatures
_ROOM_OF_NUMBER = 2.6  # of the size of the numbers, that one needs on the level axis

_LOAD_STYLE = (0, (6, 2))
_AROUND = ((1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (0.0, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0))
_FARTHER = (0.0, 9.0, 18.0, 28.0, 40.0, 55.0, 72.0)
_PER_POINT = 0.06
"""Where a label may stand beside its mark: the sides, and points farther away, with what each point costs."""


def upper_edge(most: float) -> float:
    """The upper edge (W) of a chart on which a heat (W) is to be seen.

    >>> upper_edge(13600.0)
    16000.0
    """
    return next((edge for edge in _EDGES if edge >= _HEADROOM * most), _HEADROOM * most)


class CapacityChart:
    """Heat over the outdoor temperature, with nothing on it yet: `add_marks` lays curve, load, balance point and weather over it.

    `window` is the least and most outdoor temperature (K), `most` a heat (W) that is to be seen; the upper edge is a round number above it.

    >>> from matplotlib.figure import Figure
    >>> CapacityChart(Figure().add_subplot(), "heating", window=(248.15, 293.15), most=13600.0).axes.get_ylabel()
    'heat, kW'
    """

    def __init__(self, axes: Axes, title: str, *, window: tuple[float, float], most: float, system: str = "SI", style: Style = SCREEN) -> None:
        self.axes, self.title, self.window, self.system, self.style = axes, title, window, system, style
        self._frame(upper_edge(most))
        self._key()

    def place(self, temperature: Any, heat: Any) -> tuple[Any, Any]:
        """Where an outdoor temperature (K) and heat (W) stand, in shown numbers."""
        return shown_number(temperature, "temperature", self.system), shown_number(heat, "power", self.system) / self._per

    def add_marks(self) -> CapacityMarks:
        """The load, the balance point and the weather, to be moved by their `show`."""
        return CapacityMarks(self)

    @property
    def _per(self) -> float:
        return 1000.0 if self.system == "IP" else 1.0

    def _frame(self, top: float) -> None:
        axes, style, system = self.axes, self.style, self.system
        axes.set_facecolor(style.paper)
        fitting_title(axes, [f"{self.title}: capacity and load", self.title], style.title_size, style)
        unit = "1000 Btu/h" if system == "IP" else unit_shown("power", system).label
        axes.set_xlabel(f"outdoor temperature, {unit_shown('temperature', system).label}", fontsize=style.label_size, color=style.ink)
        axes.set_ylabel(f"heat, {unit}", fontsize=style.label_size, color=style.ink)
        axes.tick_params(labelsize=style.tick_size, colors=style.ink)
        axes.set_xlim(*(self.place(end, 0.0)[0] for end in (self.window[0] - _BESIDE, self.window[1] + _BESIDE)))
        axes.set_ylim(0.0, self.place(273.15, top)[1])
        room = axes.bbox.width * 72.0 / axes.figure.dpi
        span = float(np.diff(axes.get_xlim())[0])
        steps = (10.0, 20.0, 40.0) if system == "IP" else (5.0, 10.0, 20.0)
        axes.xaxis.set_major_locator(MultipleLocator(next((step for step in steps if span / step * _ROOM_OF_NUMBER * style.tick_size <= room), steps[-1])))
        axes.yaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
        axes.grid(True, which="major", color="#d8d8d8", linewidth=0.6, zorder=0.5)

    def _key(self) -> None:
        style, look, other = self.style, *self.style.looks[:2]
        gives = {"color": look.colour, "linewidth": style.cycle_weight}
        handles = [
            Line2D([], [], **gives, label="machine gives"),
            Line2D([], [], color=other.colour, linestyle=(0, (2.5, 1.2)), linewidth=0.8 * style.cycle_weight, label="house needs"),
            Line2D([], [], color=style.ink, linestyle="none", marker="D", markersize=8.0, markerfacecolor="none", markeredgewidth=1.6, label="balance point"),
        ]
        key_below(self.axes, handles, style)


class CapacityMarks:
    """The artists that move: curve and load line, the balance point, and at the present weather a dot on each line, with their numbers.

    A cross ends the curve where the machine does not run beyond.  A load above the upper edge is an arrow there.

    They are made for a live picture on an Agg canvas: every one is animated.
    """

    def __init__(self, chart: CapacityChart) -> None:
        self.chart = chart
        style, (one, other) = chart.style, chart.style.looks[:2]

        def line(**how: Any) -> Line2D:
            return chart.axes.add_line(Line2D([], [], animated=True, **how))

        self._curve = line(color=one.colour, linewidth=style.cycle_weight, zorder=3.0)
        self._ends = line(color=one.colour, linestyle="none", marker="x", markersize=1.4 * one.marker_size, markeredgewidth=2.4, zorder=3.1)
        self._load = line(color=other.colour, linestyle=_LOAD_STYLE, linewidth=0.8 * style.cycle_weight, zorder=2.8)
        self._guide = line(color=style.ink, linestyle=":", linewidth=1.1, zorder=2.2)
        self._balance = line(color=style.ink, linestyle="none", marker="D", markersize=1.4 * one.marker_size, markerfacecolor="none", markeredgewidth=2.0, zorder=4.0)
        self._needs = line(color=other.colour, linestyle="none", marker="s", markersize=1.2 * one.marker_size, markerfacecolor=style.paper, markeredgewidth=2.0, zorder=4.1)
        self._gives = line(color=one.colour, linestyle="none", marker="o", markersize=1.3 * one.marker_size, zorder=4.2)
        self._reach = 0.75 * one.marker_size
        self._weather = MovingLabel(chart.axes, one.colour, style, align=(0.5, 0.5), offset=(0.0, 0.0))
        self._where = MovingLabel(chart.axes, style.ink, style, align=(0.5, 0.5), offset=(0.0, 0.0))

    @property
    def artists(self) -> list[Artist]:
        """Everything that is to be drawn, lowest first."""
        found = [self._guide, self._load, self._curve, self._ends, self._balance, self._needs, self._gives, self._where, self._weather]
        return [artist for artist in found if artist.get_visible()]

    @property
    def said(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The rows at the present weather, and at the balance point."""
        return self._weather.rows, self._where.rows if self._where.get_visible() else ()

    def show(self, sweep: Sweep, temperature: float, capacity: float, load: LoadLine, balance: BalancePoint) -> None:
        """Move to an outdoor temperature (K) with the capacity (W) there, on the curve of a sweep, a load line and the balance point with it."""
        chart, system = self.chart, self.chart.system
        top = chart.axes.get_ylim()[1]
        curve = np.column_stack(chart.place(np.array(sweep.temperatures), np.array(sweep.capacities)))
        self._curve.set_data(*curve.T)
        stops = [curve[index] for index, refusal in ((0, sweep.cold_end), (-1, sweep.warm_end)) if refusal is not None]
        self._ends.set_data(*np.reshape(stops, (-1, 2)).T)
        ends = np.array(sorted({chart.window[0] - _BESIDE, load.zero_load_temperature, chart.window[1] + _BESIDE}))
        line = np.column_stack(chart.place(ends, np.array([load.at(float(end)) for end in ends])))
        self._load.set_data(*line.T)
        gives, needs = chart.place(temperature, capacity), chart.place(temperature, load.at(temperature))
        self._guide.set_data([gives[0], gives[0]], [0.0, top])
        self._gives.set_data([gives[0]], [gives[1]])
        self._needs.set_data([needs[0]], [min(needs[1], 0.985 * top)])
        self._needs.set_marker("^" if needs[1] > top else "s")
        taken = self._taken([gives, (needs[0], min(needs[1], top))], curve, line)
        met = balance.temperature is not None
        self._balance.set_visible(met)
        self._where.set_visible(met)
        if met:
            at = chart.place(balance.temperature, load.at(balance.temperature))
            self._balance.set_data([at[0]], [at[1]])
            taken = self._put(self._where, at, ["balance point", show(balance.temperature, "temperature", system)], taken, clear_of=[at])
        rows = [show(temperature, "temperature", system), f"gives {show(capacity, 'power', system)}", f"needs {show(load.at(temperature), 'power', system)}"]
        self._put(self._weather, gives, rows, taken)

    def _taken(self, markers: Sequence[tuple[float, float]], *lines: np.ndarray) -> Taken:
        axes = self.chart.axes
        page = on_page(axes, markers)
        samples = np.concatenate([sampled(on_page(axes, line)) for line in lines])
        return Taken(frame_of(axes), np.column_stack([page, np.full(len(page), self._reach)]), np.empty((0, 4)), samples)

    def _put(self, label: MovingLabel, at: tuple[float, float], rows: Sequence[str], taken: Taken, clear_of: Sequence[tuple[float, float]] = ()) -> Taken:
        """Stand a label at the freest place beside its mark, and count it and the mark as taken."""
        axes = self.chart.axes
        label.show(at, rows)
        left, bottom, right, top = label.box()
        half = np.array([right - left, top - bottom]) * 36.0 / axes.figure.dpi + 1.0
        offsets = np.array([np.array(side) * (half + self._reach + 1.0) + np.array(side) * more for more in _FARTHER for side in _AROUND])
        costs = np.add.outer(_PER_POINT * np.array(_FARTHER), 0.15 * np.arange(len(_AROUND))).ravel()
        mark = on_page(axes, [at])[0]
        if clear_of:
            taken = Taken(taken.frame, np.vstack([taken.markers, [*mark, 1.1 * self._reach]]), taken.boxes, taken.samples)
        costs = costs + taken.cost(mark + offsets, half, 1.5)
        best = int(np.argmin(costs))
        label.offset = tuple(offsets[best])
        return taken.with_box(mark + offsets[best], half)
