"""The temperature-entropy chart.

What lives here: its axes, window and background lines.  What does not: cycles (chart).
"""

from __future__ import annotations

import numpy as np

from hpteach.diagrams.chart import Axis, Chart
from hpteach.fluids.isolines import dome, isobar, quality_line
from hpteach.units import base_number, shown_number


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
        bottom = max(self.coldest - 10.0, fluid.lowest_temperature)
        top = self.hottest - 10.0
        cold = fluid.dome_state(self.coldest, 0.0)
        hot = fluid.state_pt(fluid.dew_pressure(self.coldest), top)
        span = hot.entropy - cold.entropy
        axes = self.axes
        axes.set_xlim(
            shown_number(cold.entropy - 0.08 * span, "specific entropy", system),
            shown_number(hot.entropy - 0.06 * span, "specific entropy", system),
        )
        axes.set_ylim(shown_number(bottom, "temperature", system), shown_number(top, "temperature", system))
        axes.grid(True, color="#d8d8d8", linewidth=0.6, zorder=0.5)
        isobars = [isobar(fluid, p, lowest_temperature=bottom, highest_temperature=top) for p in self._pressures()]
        qualities = [quality_line(fluid, q, lowest_temperature=bottom) for q in (0.2, 0.4, 0.6, 0.8)]
        self._draw_dome(dome(fluid, lowest_temperature=bottom))
        self._draw_family(isobars)
        self._draw_family(qualities)
        self._mark_isobars(isobars, top)
        level = shown_number(bottom + 0.05 * (top - bottom), "temperature", system)
        for line in qualities:
            x, y = self.place(line)
            self._mark(float(np.interp(level, y, x)), level, f"{line.value:.1f}", "quality")
        self._key({"pressure": f"isobar, {'psia' if system == 'IP' else 'bar'}", "quality": "quality x"})

    def _pressures(self) -> list[float]:
        numbers = (20, 50, 100, 200, 350, 600) if self.system == "IP" else (1, 2, 5, 10, 20, 40)
        values = [base_number(number, "pressure", self.system) for number in numbers]
        fluid = self.refrigerant
        low = fluid.dew_pressure(self.coldest)
        return [p for p in values if 0.7 * low < p < fluid.highest_saturation_pressure]

    def _mark_isobars(self, isobars: list, top: float) -> None:
        """Label each isobar near the top, or near the right edge where it leaves the chart there."""
        level = shown_number(top - 0.06 * (top - self.coldest), "temperature", self.system)
        left, right = self.axes.get_xlim()
        edge = right - 0.06 * (right - left)
        for line in isobars:
            x, y = self.place(line)
            place = float(np.interp(level, y, x))
            text = f"{shown_number(line.value, 'pressure', self.system):.0f}"
            if place <= edge:
                self._mark(place, level, text, "pressure")
            else:
                self._mark(edge, float(np.interp(edge, x, y)), text, "pressure")
