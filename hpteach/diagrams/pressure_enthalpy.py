"""The pressure-enthalpy chart.

What lives here: its axes, window and background lines.  What does not: cycles (chart).
"""

from __future__ import annotations

import math

import numpy as np
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from hpteach.diagrams.chart import Axis, Chart
from hpteach.diagrams.placing import frame_of
from hpteach.fluids import Refrigerant
from hpteach.fluids.isolines import isentrope, isochore, isotherm, least_isochore, quality_line
from hpteach.units import base_number, shown_number, unit_shown


_ROOM = 1.9
"""Between the middles of two labels in a row, so that they do not touch, of the size of their type."""

_BELOW_TOP = 0.7
"""From the top of the axes to the middle of the isotherms' numbers, of the size of their type, and 2.5 points."""


class PressureEnthalpyChart(Chart):
    """Pressure (logarithmic) over specific enthalpy, with dome, isotherms, quality lines, isentropes and isochores.

    Lengths along the enthalpy axis are energies per kilogram.

    >>> from matplotlib.figure import Figure
    >>> from hpteach.fluids import refrigerant
    >>> chart = PressureEnthalpyChart(Figure().add_subplot(), refrigerant("R-32"))
    >>> chart.axes.get_xlabel()
    'specific enthalpy h, kJ/kg'
    """

    x_axis = Axis("enthalpy", "specific energy", "h", "specific enthalpy")
    y_axis = Axis("pressure", "pressure", "p", "absolute pressure")
    title = "pressure and enthalpy"
    offsets = {"1": (13, -13), "2": (15, 10), "3": (-15, 10), "4": (-15, -11), "2a": (3, 15), "2b": (10, 15), "4a": (-2, -15)}

    def _background(self) -> None:
        fluid = self.refrigerant
        low = 0.97 * min(each.dew_pressure(self.coldest_of(each)) for each in self._fluids)
        high = 1.25 * max(each.critical_pressure for each in self._fluids)
        top_temperature = self.hottest
        cold = fluid.dome_state(self.coldest, 0.0)
        hot = fluid.state_pt(low, top_temperature)
        left = min(each.dome_state(self.coldest_of(each), 0.0).enthalpy for each in self._fluids)
        right = max(each.state_pt(low, self.hottest_of(each)).enthalpy for each in self._fluids)
        self._window(left - 0.06 * (right - left), right - 0.02 * (right - left), low, high)

        def bottom(each: Refrigerant) -> float:
            """The bubble line of a blend reaches the lowest pressure only below the dew temperature there."""
            coldest = self.coldest_of(each)
            if self.beside is not None:
                coldest = min(coldest, each.dew_temperature(max(low / 0.97, each.lowest_saturation_pressure)))
            return max(each.lowest_temperature, coldest - 1.0 - 1.2 * each.glide(each.dew_pressure(max(coldest, each.lowest_temperature))))

        temperatures = self._temperatures(cold.temperature, top_temperature)
        isotherms = [isotherm(fluid, t, lowest_pressure=0.8 * low, highest_pressure=1.1 * high, points=self.style.line_states) for t in temperatures]
        entropies = self._entropies(cold.entropy, hot.entropy)
        isentropes = [isentrope(fluid, s, lowest_pressure=low, highest_pressure=high, points=self.style.line_states) for s in entropies]
        begins = max(low, fluid.lowest_saturation_pressure)
        isochores = [
            isochore(fluid, v, lowest_pressure=begins, highest_pressure=0.97 * high, highest_temperature=top_temperature - 10.0, points=self.style.line_states)
            for v in self._volumes(begins, top_temperature - 10.0)
        ]
        shares = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
        qualities = [quality_line(fluid, share, lowest_temperature=bottom(fluid), points=self.style.line_states) for share in shares]
        self._draw_domes(bottom)
        for family in (isotherms, isentropes, qualities):
            self._draw_family(family)
        self._mark_isotherms(isotherms, low)
        self._mark_isentropes(isentropes)
        for line in qualities[1::2]:
            level = self.pressure_number(1.35 * max(low, float(line.pressure.min())))
            x, y = self.place(line)
            self._mark_where_free(np.interp([level], y, x), np.array([level]), f"{line.value:.1f}", "quality")
        self._draw_family(self._mark_isochores(isochores))
        unit = {kind: unit_shown(kind, self.system).label for kind in ("temperature", "specific entropy", "specific volume")}
        self._key(
            {"temperature": f"T, {unit['temperature']}", "quality": "quality x"}
            | {"entropy": f"s, {unit['specific entropy']}", "volume": f"v, {unit['specific volume']}"}
        )

    def _window(self, left: float, right: float, low: float, high: float) -> None:
        axes, system = self.axes, self.system
        axes.set_yscale("log")
        axes.set_xlim(shown_number(left, "specific energy", system), shown_number(right, "specific energy", system))
        axes.set_ylim(self.pressure_number(low), self.pressure_number(high))
        axes.yaxis.labelpad = 4.0 if self.pressure_number(high) < 1000.0 else 0.5  # room for a figure more
        axes.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axes.yaxis.set_minor_formatter(NullFormatter())
        axes.grid(True, which="major", color="#d8d8d8", linewidth=0.6, zorder=0.5)

    def _temperatures(self, coldest: float, hottest: float) -> list[float]:
        step = 40.0 if self.system == "IP" else 20.0
        first = math.ceil(shown_number(coldest, "temperature", self.system) / step) * step
        last = shown_number(hottest, "temperature", self.system)
        fluid = self.refrigerant
        values = [base_number(number, "temperature", self.system) for number in np.arange(first, last, step)]
        # The equation of state is not asked for an isotherm that grazes the critical point.
        return [t for t in values if not fluid.highest_saturation_temperature - 0.5 < t < fluid.critical_temperature + 0.5]

    def _entropies(self, lowest: float, highest: float) -> list[float]:
        step = 0.025 if self.system == "IP" else 0.1
        first = math.ceil(shown_number(lowest, "specific entropy", self.system) / step + 2) * step
        last = shown_number(highest, "specific entropy", self.system)
        return [base_number(number, "specific entropy", self.system) for number in np.arange(first, last, step)]

    def _volumes(self, low: float, hottest: float) -> list[float]:
        """At most six round volumes of vapour, the largest that have a line of some length."""
        fluid = self.refrigerant
        least, most = least_isochore(fluid), 0.6 / fluid.state_pt(low, hottest).density
        unit = base_number(1.0, "specific volume", self.system)
        values = [number * 10.0**power * unit for power in range(-3, 6) for number in (1, 2, 5)]
        return [v for v in values if least <= v <= most][-6:]

    def _mark_isotherms(self, isotherms: list, low: float) -> None:
        floor, ceiling = self.axes.get_ylim()
        height = float(np.diff(frame_of(self.axes)[:, 1])[0])
        top = ceiling * (floor / ceiling) ** ((_BELOW_TOP * self.style.isoline_size + 2.5) / height)
        bottom = self.pressure_number(1.1 * low)
        middle = self.refrigerant.critical_state().enthalpy
        last = -math.inf
        for line in isotherms:
            text = f"{shown_number(line.value, 'temperature', self.system):.0f}"
            x, y = self.place(line)
            if line.value < self.refrigerant.critical_temperature:
                self._mark_where_free(np.interp([top], y, x), np.array([top]), text, "temperature")
            place = float(np.interp(bottom, y, x))
            pixels = self.axes.transData.transform((place, bottom))[0] * 72.0 / self.axes.figure.dpi
            if line.enthalpy[0] > middle and pixels - last > _ROOM * self.style.isoline_size:
                self._mark(place, bottom, text, "temperature")
                last = pixels

    def _mark_isentropes(self, isentropes: list) -> None:
        for line in isentropes:
            x, y = self.place(line)
            if len(x) > 2 and line.enthalpy[-1] > self.refrigerant.critical_state().enthalpy:
                number = shown_number(line.value, "specific entropy", self.system)
                text = f"{number:.2f}" if self.system == "IP" else f"{number:.1f}"
                if abs(number - float(text)) > 1e-6:
                    continue  # in IP every other line is labelled
                self._mark_where_free(x[-2:-1], y[-2:-1], text, "entropy")

    def _mark_isochores(self, isochores: list) -> list:
        """Label each isochore as near to its hot end as the frame and the labels already there leave room, and return those labelled.

        One without room for its number lies in a corner and would say nothing.
        """
        labelled = []
        for line in isochores:
            x, y = self.place(line)
            places = np.linspace(x[-1], x[len(x) // 2], 80)
            text = f"{shown_number(line.value, 'specific volume', self.system):.4g}"
            if self._mark_where_free(places, np.interp(places, x, y), text, "volume"):
                labelled.append(line)
        return labelled
