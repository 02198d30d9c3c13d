"""The temperature-entropy chart.

What lives here: its axes, window and background lines.  What does not: cycles (chart).
"""

from __future__ import annotations

import numpy as np

from hpteach.diagrams.chart import Axis, Chart
from hpteach.fluids import Refrigerant
from hpteach.fluids.isolines import isobar, quality_line
from hpteach.units import shown_number


class TemperatureEntropyChart(Chart):
    """Temperature over specific entropy, with dome, isobars and quality lines.

    Areas under a line are heat per kilogram; an ideal compression stands upright.

    >>> from matplotlib.figure import Figure
    >>> from hpteach.fluids import refrigerant
    >>> chart = TemperatureEntropyChart(Figure().add_subplot(), refrigerant("R-32"), system="IP")
    >>> chart.axes.get_ylabel()
    'temperature T, °F'
    """

    x_axis = Axis("entropy", "specific entropy", "s", "specific entropy")
    y_axis = Axis("temperature", "temperature", "T", "temperature")
    title = "temperature and entropy"
    offsets = {"1": (14, -12), "2": (14, 9), "3": (-16, 4), "4": (-13, -13), "2a": (8, 14), "2b": (-6, 15), "4a": (-3, -15)}

    def _background(self) -> None:
        fluid, system = self.refrigerant, self.system

        def bottom(each: Refrigerant) -> float:
            return max(self.coldest_of(each) - 10.0, each.lowest_temperature)

        top = self._top_of(self.refrigerant)
        lowest, highest = min(bottom(each) for each in self._fluids), max(map(self._top_of, self._fluids))
        left = min(each.dome_state(self.coldest_of(each), 0.0).entropy for each in self._fluids)
        right = max(each.state_pt(each.dew_pressure(self.coldest_of(each)), self._top_of(each)).entropy for each in self._fluids)
        span = right - left
        axes = self.axes
        axes.set_xlim(*(shown_number(edge, "specific entropy", system) for edge in (left - 0.08 * span, right - 0.06 * span)))
        axes.set_ylim(*(shown_number(edge, "temperature", system) for edge in (lowest, highest)))
        axes.grid(True, color="#d8d8d8", linewidth=0.6, zorder=0.5)
        isobars = [isobar(fluid, p, lowest_temperature=bottom(fluid), highest_temperature=top, points=self.style.line_states) for p in self._pressures()]
        qualities = [quality_line(fluid, q, lowest_temperature=bottom(fluid), points=self.style.line_states) for q in (0.2, 0.4, 0.6, 0.8)]
        self._draw_domes(bottom)
        self._draw_family(isobars)
        self._draw_family(qualities)
        self._mark_isobars(isobars, top)
        level = shown_number(bottom(fluid) + 0.05 * (top - bottom(fluid)), "temperature", system)
        for line in qualities:
            x, y = self.place(line)
            self._mark_where_free(np.interp([level], y, x), np.array([level]), f"{line.value:.1f}", "quality")
        self._key({"pressure": f"isobar, {self.pressure_unit}", "quality": "quality x"})

    def _top_of(self, fluid: Refrigerant) -> float:
        """The upper edge (K): below the hottest vapour, but above any cycle to cover, also near the end of the equation of state."""
        hottest = self.hottest_of(fluid)
        return max([hottest - 10.0, *(min(one + 3.0, hottest) for one in self._to_show(fluid))])

    def _pressures(self) -> list[float]:
        fluid = self.refrigerant
        low = fluid.dew_pressure(self.coldest)
        return [p for p in self.round_pressures() if 0.7 * low < p < fluid.highest_saturation_pressure]

    def _mark_isobars(self, isobars: list, top: float) -> None:
        """Label each isobar near the top, or where it leaves the chart on the right, or lower where others stand there."""
        for line in isobars:
            x, y = self.place(line)
            dew = self.refrigerant.dew_temperature(line.value)
            levels = shown_number(np.linspace(top - 0.06 * (top - self.coldest), dew, 80), "temperature", self.system)
            self._mark_where_free(np.interp(levels, y, x), levels, f"{self.pressure_number(line.value):.0f}", "pressure")
