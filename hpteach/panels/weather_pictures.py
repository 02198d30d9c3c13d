"""The two pictures of a machine in weather: its cycle on a chart, and its capacity over the outdoor temperature.

What lives here: `WeatherPictures`, with what is kept ready.  What does not: which weather is shown (weather), the charts themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import ipywidgets

from hpteach.cycle import Cycle
from hpteach.diagrams import CHARTS, CapacityChart, CapacityMarks, Chart, CycleTrace, Style, axes_rectangle, cycle_path
from hpteach.diagrams.capacity_chart import upper_edge
from hpteach.fluids import refrigerant
from hpteach.live import LiveFigure, Still
from hpteach.machine import Operation
from hpteach.machine.sweep import BalancePoint, LoadLine, Sweep
from hpteach.panels.parts import WRAPPED, chart_words
from hpteach.panels.shelf import Shelf

_MOST_CHARTS, _MOST_CURVES = 8, 8
"""Charts and frames that stay ready; each is one picture of 2.4 MB (one copy to restore, one to compare with), and more on a dense screen."""

_STEP = 20.0  # K

_CURVE_WORDS = "Capacity of the machine and load of the house over the outdoor temperature. The table and the sentences below tell the same."


@dataclass(frozen=True)
class _Scene:
    """One chart of a refrigerant with the cycle that moves over it."""

    chart: Chart
    trace: CycleTrace
    still: Still


@dataclass(frozen=True)
class _Curve:
    """The frame of capacity over outdoor temperature with what moves over it."""

    chart: CapacityChart
    marks: CapacityMarks
    still: Still


class WeatherPictures:
    """Two live pictures side by side, `cycle` and `capacity`; `row` holds both."""

    def __init__(self) -> None:
        self.cycle = LiveFigure(540, 470, scale=1.1, words=chart_words("pressure-enthalpy"))
        self.capacity = LiveFigure(540, 470, scale=1.1, words=_CURVE_WORDS)
        self.live = (self.cycle, self.capacity)
        self._charts: Shelf[_Scene] = Shelf(_MOST_CHARTS, lambda scene: [scene.chart.axes])
        self._curves: Shelf[_Curve] = Shelf(_MOST_CURVES, lambda curve: [curve.chart.axes])
        for picture in self.live:
            layout = picture.image.layout
            layout.flex, layout.min_width, layout.max_width = "1 1 400px", "0", "720px"
        self.row = ipywidgets.Box([picture.image for picture in self.live], layout=WRAPPED)
        self.row.add_class("hpteach-drawn")

    def draw(
        self, found: Operation, sweep: Sweep, load: LoadLine, balance: BalancePoint, *,
        kind: str, window: tuple[float, float], system: str, style: Style,
    ) -> None:  # fmt: skip
        """Show an operation on a chart of a kind, and on the curve of its choice; `window` is the least and most outdoor temperature (K)."""
        fluid = refrigerant(found.cycle.refrigerant)
        reaching = _reach([found.cycle, sweep.operations[0].cycle, sweep.operations[-1].cycle])
        scene = self._charts.take((fluid.name, kind, system, reaching), style, lambda: self._scene(kind, found.cycle, reaching, system, style))
        self.cycle.lay(scene.still)
        self.cycle.image.words = chart_words(kind)
        scene.chart.show_cycles({scene.trace: found.cycle}, [cycle_path(fluid, found.cycle)])
        self.cycle.draw(scene.trace.artists)
        title, most = found.valve_position.value, max(sweep.capacities)
        curve = self._curves.take((title, upper_edge(most), system), style, lambda: self._curve(title, most, window, system, style))
        self.capacity.lay(curve.still)
        curve.marks.show(sweep, found.outdoor.dry_bulb, found.capacity, load, balance)
        self.capacity.draw(curve.marks.artists)

    def _scene(self, kind: str, cycle: Cycle, reaching: tuple[float, float], system: str, style: Style) -> _Scene:
        _hide(self.cycle)
        figure, fluid = self.cycle.figure, refrigerant(cycle.refrigerant)
        chart = CHARTS[kind](figure.add_axes(axes_rectangle(figure, style)), fluid, system=system, style=style, reaching=reaching)
        trace = chart.add_cycle(cycle, animated=True)
        return _Scene(chart, trace, self.cycle.keep())

    def _curve(self, title: str, most: float, window: tuple[float, float], system: str, style: Style) -> _Curve:
        _hide(self.capacity)
        figure = self.capacity.figure
        chart = CapacityChart(figure.add_axes(axes_rectangle(figure, style)), title, window=window, most=most, system=system, style=style)
        marks = chart.add_marks()
        return _Curve(chart, marks, self.capacity.keep())


def _reach(cycles: list[Cycle]) -> tuple[float, float]:
    """Coldest and hottest temperature (K) of a chart for some cycles, in whole steps: so the same weather has the same chart, whatever was shown before."""
    temperatures = [point.temperature for cycle in cycles for point in cycle.points]
    return _STEP * math.floor(min(temperatures) / _STEP), _STEP * math.ceil(max(temperatures) / _STEP)


def _hide(picture: LiveFigure) -> None:
    for others in picture.figure.axes:
        others.set_visible(False)
