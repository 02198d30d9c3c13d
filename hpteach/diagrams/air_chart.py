"""Moist air on its way past a cold coil: water in the air over its temperature, with the line where air is saturated.

What lives here: `AirChart`, which stays, and `AirMarks`, which move over it.  What does not: the air (fluids), what the coil does to it (machine).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.ticker import MultipleLocator

from hpteach.diagrams.sheet import fitting_title, key_below
from hpteach.diagrams.style import SCREEN, Style
from hpteach.fluids import moist_air, saturated_air
from hpteach.machine.air_at_coil import AirAtCoil
from hpteach.units import STANDARD_ATMOSPHERE, shown_number, unit_shown

COLDEST, HOTTEST = 271.15, 308.15
"""K; from which to which temperature the chart reaches."""

WETTEST = 0.026
"""kg/kg; up to which humidity ratio the chart reaches."""

_SHARES = (0.2, 0.4, 0.6, 0.8)
_POINTS = 61
_PATH_STYLE, _STEP_STYLE, _DEW_STYLE = "-", (0, (6, 2)), ":"


class AirChart:
    """Humidity ratio over dry bulb at the standard pressure, with the saturation line and lines of one relative humidity.

    >>> from matplotlib.figure import Figure
    >>> AirChart(Figure().add_subplot()).axes.get_ylabel()
    'water for each kg of dry air, g'
    """

    def __init__(self, axes: Axes, *, system: str = "SI", style: Style = SCREEN) -> None:
        self.axes, self.system, self.style = axes, system, style
        self._frame()
        self._lines()
        self._key()

    def place(self, temperature: Any, humidity_ratio: Any) -> tuple[Any, Any]:
        """Where a temperature (K) and a humidity ratio stand, in shown numbers."""
        return shown_number(temperature, "temperature", self.system), shown_number(humidity_ratio, "humidity ratio", self.system)

    def add_marks(self) -> AirMarks:
        """The air before and behind the coil, the surface and the dew point, to be moved by their `show`."""
        return AirMarks(self)

    def _frame(self) -> None:
        axes, style = self.axes, self.style
        axes.set_facecolor(style.paper)
        fitting_title(axes, ["moist air at a cold coil", "moist air"], style.title_size, style)
        mass, water = {"SI": ("kg", "g"), "IP": ("lb", "gr")}[self.system]
        axes.set_xlabel(f"dry-bulb temperature, {unit_shown('temperature', self.system).label}", fontsize=style.label_size, color=style.ink)
        axes.set_ylabel(f"water for each {mass} of dry air, {water}", fontsize=style.label_size, color=style.ink)
        axes.tick_params(labelsize=style.tick_size, colors=style.ink)
        left, right = (self.place(end, 0.0)[0] for end in (COLDEST, HOTTEST))
        axes.set_xlim(left, right)
        axes.set_ylim(0.0, self.place(COLDEST, WETTEST)[1])
        axes.xaxis.set_major_locator(MultipleLocator({"SI": 5.0, "IP": 10.0}[self.system]))
        axes.yaxis.set_major_locator(MultipleLocator({"SI": 5.0, "IP": 20.0}[self.system]))
        axes.grid(True, which="major", color="#d8d8d8", linewidth=0.6, zorder=0.5)

    def _lines(self) -> None:
        style, most = self.style, self.place(COLDEST, WETTEST)[1]
        temperatures = np.linspace(COLDEST, HOTTEST, _POINTS)
        saturated = saturated_air(STANDARD_ATMOSPHERE)
        across, full = self.place(temperatures, np.array([saturated.humidity_ratio(float(one)) for one in temperatures]))
        self.axes.plot(across, full, color=style.dome, linewidth=style.dome_weight, zorder=2.0)
        self.axes.fill_between(across, full, most, color="#eeeeee", zorder=0.6)
        for share in _SHARES:
            part = np.array([moist_air(float(one), relative_humidity=share).humidity_ratio for one in temperatures])
            up = self.place(temperatures, part)[1]
            self.axes.plot(across, up, color=style.quality, linewidth=style.isoline_weight, linestyle=_DEW_STYLE, zorder=1.5)
            self._name(across, up, 0.94 * most, f"{100.0 * share:.0f} %")
        self._name(across, full, 0.94 * most, "saturated, 100 %", side="right")

    def _name(self, across: np.ndarray, up: np.ndarray, most: float, text: str, side: str = "center") -> None:
        """Stand the name of a line on it: near the upper edge, or near the right one where it does not reach so high."""
        style = self.style
        index = min(int(np.searchsorted(up, most)), len(up) - 4)
        box = {"facecolor": style.paper, "edgecolor": "none", "pad": 1.0}
        self.axes.text(
            across[index], up[index], f"{text} " if side == "right" else text, ha=side, va="center", fontsize=style.isoline_size, color=style.ink,
            zorder=2.1, bbox=None if side == "right" else box,
        )  # fmt: skip

    def _key(self) -> None:
        style = self.style
        one, other = style.looks[:2]
        handles = [
            Line2D([], [], color=one.colour, linestyle=_PATH_STYLE, linewidth=style.cycle_weight, marker=one.marker, markersize=8.0, label="air in"),
            Line2D([], [], color=other.colour, linestyle="none", marker=other.marker, markersize=8.0, markerfacecolor="none", markeredgewidth=1.8, label="air out"),
            Line2D([], [], color=style.ink, linestyle="none", marker="D", markersize=8.0, markerfacecolor="none", markeredgewidth=1.6, label="surface"),
            Line2D([], [], color=style.ink, linestyle=_DEW_STYLE, marker="x", markersize=8.0, markeredgewidth=2.0, label="dew point"),
        ]
        key_below(self.axes, handles, style)


class AirMarks:
    """The artists that move: the air's way past the coil, its ends, the surface, the dew point, and the way as a step.

    They are made for a live picture on an Agg canvas: every one is animated.
    """

    def __init__(self, chart: AirChart) -> None:
        self.chart = chart
        style, (one, other, third) = chart.style, chart.style.looks[:3]

        def line(**how: Any) -> Line2D:
            return chart.axes.add_line(Line2D([], [], animated=True, **how))

        size = one.marker_size
        self._dew = line(color=style.ink, linestyle=_DEW_STYLE, linewidth=1.4, zorder=2.4)
        self._dew_point = line(color=style.ink, linestyle="none", marker="x", markersize=1.4 * size, markeredgewidth=2.4, zorder=3.2)
        self._step = line(color=third.colour, linestyle=_STEP_STYLE, linewidth=0.6 * style.cycle_weight, zorder=2.6)
        self._path = line(color=one.colour, linestyle=_PATH_STYLE, linewidth=style.cycle_weight, zorder=2.8)
        self._surface = line(color=style.ink, linestyle="none", marker="D", markersize=1.4 * size, markerfacecolor=style.paper, markeredgewidth=2.0, zorder=3.4)
        self._out = line(color=other.colour, linestyle="none", marker=other.marker, markersize=1.3 * size, markerfacecolor="none", markeredgewidth=2.4, zorder=3.6)
        self._in = line(color=one.colour, linestyle="none", marker=one.marker, markersize=1.3 * size, zorder=3.8)

    @property
    def artists(self) -> list[Artist]:
        """Everything that is to be drawn, lowest first."""
        return [self._dew, self._step, self._path, self._dew_point, self._surface, self._out, self._in]

    def show(self, passing: AirAtCoil, surface_temperature: float, dew_point: float) -> None:
        """Move to air that passes a coil whose surface is at a temperature (K), with the dew point (K) of the air that enters."""
        chart, entering, leaving = self.chart, passing.entering, passing.leaving
        wet = surface_temperature < dew_point
        at_surface = saturated_air(entering.pressure).humidity_ratio(surface_temperature) if wet else entering.humidity_ratio
        start, end, surface, dew = (
            chart.place(*one)
            for one in (
                (entering.dry_bulb, entering.humidity_ratio),
                (leaving.dry_bulb, leaving.humidity_ratio),
                (surface_temperature, at_surface),
                (dew_point, entering.humidity_ratio),
            )
        )
        for artist, points in (
            (self._dew, (start, dew)), (self._dew_point, (dew,)), (self._step, (start, (end[0], start[1]), end)), (self._path, (start, end)),
            (self._surface, (surface,)), (self._out, (end,)), (self._in, (start,)),
        ):  # fmt: skip
            artist.set_data(*np.array(points).T)
