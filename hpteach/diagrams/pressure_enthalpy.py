"""The pressure-enthalpy chart.

What lives here: its axes, window and background lines.  What does not: cycles (chart).
"""

from __future__ import annotations

import math

import numpy as np
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from hpteach.diagrams.chart import Axis, Chart
from hpteach.fluids.isolines import dome, isentrope, isochore, isotherm, least_isochore, quality_line
from hpteach.units import base_number, shown_number


_ROOM = 19.0
"""Points between the middles of two labels in a row, so that they do not touch."""


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
        fluid, system = self.refrigerant, self.system
        low = 0.97 * fluid.dew_pressure(self.coldest)
        high = 1.25 * fluid.critical_pressure
        top_temperature = self.hottest
        cold = fluid.dome_state(self.coldest, 0.0)
        hot = fluid.state_pt(low, top_temperature)
        span = hot.enthalpy - cold.enthalpy
        self._window(cold.enthalpy - 0.06 * span, hot.enthalpy - 0.02 * span, low, high)
        # The bubble line of a blend reaches the lowest pressure only below the dew temperature there.
        bottom = max(fluid.lowest_temperature, self.coldest - 1.0 - 1.2 * fluid.glide(fluid.dew_pressure(self.coldest)))
        temperatures = self._temperatures(cold.temperature, top_temperature)
        isotherms = [isotherm(fluid, t, lowest_pressure=0.8 * low, highest_pressure=1.1 * high) for t in temperatures]
        entropies = self._entropies(cold.entropy, hot.entropy)
        isentropes = [isentrope(fluid, s, lowest_pressure=low, highest_pressure=high) for s in entropies]
        isochores = [
            isochore(fluid, v, lowest_pressure=low, highest_pressure=0.97 * high, highest_temperature=top_temperature - 10.0)
            for v in self._volumes(low, top_temperature - 10.0)
        ]
        qualities = [quality_line(fluid, q, lowest_temperature=bottom) for q in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)]
        self._draw_dome(dome(fluid, lowest_temperature=bottom))
        for family in (isotherms, isentropes, qualities):
            self._draw_family(family)
        self._mark_isotherms(isotherms, low, high)
        self._mark_isentropes(isentropes)
        for line in qualities[1::2]:
            level = shown_number(1.35 * low, "pressure", system)
            x, y = self.place(line)
            self._mark(float(np.interp(level, y, x)), level, f"{line.value:.1f}", "quality")
        self._draw_family(self._mark_isochores(isochores))
        degrees = "°F" if system == "IP" else "°C"
        volume = "v, ft³/lb" if system == "IP" else "v, m³/kg"
        self._key({"temperature": f"T, {degrees}", "quality": "quality x", "entropy": "s, " + self._entropy_unit(), "volume": volume})

    def _window(self, left: float, right: float, low: float, high: float) -> None:
        axes, system = self.axes, self.system
        axes.set_yscale("log")
        axes.set_xlim(shown_number(left, "specific energy", system), shown_number(right, "specific energy", system))
        axes.set_ylim(shown_number(low, "pressure", system), shown_number(high, "pressure", system))
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
        unit = base_number(1.0, "specific volume", "IP") if self.system == "IP" else 1.0
        values = [number * 10.0**power * unit for power in range(-4, 3) for number in (1, 2, 5)]
        return [v for v in values if least <= v <= most][-6:]

    def _entropy_unit(self) -> str:
        return "Btu/(lb·°R)" if self.system == "IP" else "kJ/(kg·K)"

    def _mark_isotherms(self, isotherms: list, low: float, high: float) -> None:
        top = shown_number(0.93 * high, "pressure", self.system)
        bottom = shown_number(1.1 * low, "pressure", self.system)
        middle = self.refrigerant.critical_state().enthalpy
        last = -math.inf
        for line in isotherms:
            text = f"{shown_number(line.value, 'temperature', self.system):.0f}"
            x, y = self.place(line)
            if line.value < self.refrigerant.critical_temperature:
                self._mark(float(np.interp(top, y, x)), top, text, "temperature")
            place = float(np.interp(bottom, y, x))
            pixels = self.axes.transData.transform((place, bottom))[0] * 72.0 / self.axes.figure.dpi
            if line.enthalpy[0] > middle and pixels - last > _ROOM:
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
                self._mark(float(x[-2]), float(y[-2]), text, "entropy")

    def _mark_isochores(self, isochores: list) -> list:
        """Label each isochore as near to its hot end as the frame and the labels already there leave room, and return those labelled.

        One without room for its number lies in a corner and would say nothing.
        """
        labelled = []
        axes = self.axes
        points = 72.0 / axes.figure.dpi
        left, bottom, right, top = points * np.ravel(axes.transAxes.transform([(0.0, 0.0), (1.0, 1.0)]))
        for line in isochores:
            volume = shown_number(line.value, "specific volume", "IP") if self.system == "IP" else line.value
            text = f"{volume:.4g}"
            half = _half(text)
            taken = points * axes.transData.transform([other.get_position() for other in axes.texts])
            room = half + np.array([_half(other.get_text()) for other in axes.texts]) + 0.2
            x, y = self.place(line)
            places = np.linspace(x[-1], x[len(x) // 2], 80)
            levels = np.interp(places, x, y)
            across, up = points * axes.transData.transform(np.column_stack([places, levels])).T
            edge = max(half + 0.5, 0.036 * (right - left))
            inside = (left + edge < across) & (across < right - edge) & (bottom + 9.0 < up) & (up < top - 9.0)
            clear = (np.abs(taken[:, :1] - across) > room[:, None]) | (np.abs(taken[:, 1:] - up) > 14.0)
            free = np.flatnonzero(inside & clear.all(axis=0))
            if len(free):
                self._mark(float(places[free[0]]), float(levels[free[0]]), text, "volume")
                labelled.append(line)
        return labelled


def _half(text: str) -> float:
    """About half the width in points of a small label with its box."""
    return 3.2 * len(text) - 1.6 * text.count(".") + 0.8
