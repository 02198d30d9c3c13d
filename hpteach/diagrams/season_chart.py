"""A heating season as a picture: above, what a machine gives and a house needs; below, the heat of each bin and who gives it.

What lives here: `SeasonChart`, its frame, and what moves in it.  What does not: adding a season up (machine.season).
One hatching means auxiliary heat in both halves, so that the picture reads in grey too.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, PathPatch
from matplotlib.path import Path
from matplotlib.ticker import MaxNLocator, MultipleLocator

from hpteach.diagrams.placing import Taken, frame_of, on_page, sampled
from hpteach.diagrams.pressure_temperature import MovingLabel
from hpteach.diagrams.sheet import axes_rectangle, fitting_title, key_below
from hpteach.diagrams.style import SCREEN, Style
from hpteach.machine.season import BuildingLoad, Season
from hpteach.units import show, shown_number, unit_shown

_UPPER, _BETWEEN = 0.56, 0.06  # of the height of both
_WIDEST_NUMBER = 2.9  # of its size: 2000
_ROOM_OF_NUMBER = 2.6  # of its size, on the level axis
_BAR = 0.86  # of a bin
_KILOWATT_HOUR = 3.6e6  # J
_KEY_ROW, _KEY_WIDTH = 1.8, 41.0  # height of a row of the key, and the width of all of it, of the size of its type
_LOAD_STYLE, _LOAD_STYLE_OF_KEY = (0, (6, 2)), (0, (2.6, 1.2))
_MACHINE_FILL = "#b9cde6"
_HATCH = "////"
_AROUND = ((1, 1), (1, 0.4), (0, 1), (-1, 1), (1, -1), (-1, -1), (0, -1))
_FARTHER = (0.0, 12.0, 26.0, 44.0)

Runs = Sequence[tuple[float, float]]
"""Outdoor temperatures (K) and what a machine gives there at most (W), from cold to warm."""


def reach(most: float, least: float) -> float:
    """The upper edge of an axis that holds `most`: `least` times one of 1, 1.5, 2, 3, 4, 6, 8 ..., so that it seldom moves.

    >>> [reach(most, 4000.0) for most in (3000.0, 4100.0, 11500.0, 13000.0)]
    [4000.0, 6000.0, 12000.0, 16000.0]
    """
    steps = (factor * 2.0**power for power in range(64) for factor in (1.0, 1.5))
    return next(least * step for step in steps if least * step >= most)


class SeasonChart:
    """Two axes over one outdoor temperature on a figure that has no others to be seen; what moves is shown by `show`.

    `bins` are the temperatures (K) of the bins, evenly apart; `most_power` (W) and `most_heat` (J in a bin) the upper edges.

    >>> SeasonChart(Figure(figsize=(7.6, 6.4)), (263.15, 268.15, 273.15), most_power=12e3, most_heat=3.6e9).lower.get_ylabel()
    'kWh per bin'
    """

    def __init__(
        self, figure: Figure, bins: Sequence[float], *, most_power: float, most_heat: float, title: str = "", system: str = "SI", style: Style = SCREEN
    ) -> None:
        self.system, self.style, self.bins = system, style, tuple(bins)
        self.width = min(warm - cold for cold, warm in zip(bins, bins[1:]))
        left, bottom, width, height = _rectangle(figure, style)
        self.lower = figure.add_axes((left, bottom, width, height * (1.0 - _UPPER - _BETWEEN)))
        self.upper = figure.add_axes((left, bottom + height * (1.0 - _UPPER), width, height * _UPPER))
        self._frame(most_power, most_heat, title)
        one, other = style.looks[:2]

        def line(**how: Any) -> Line2D:
            return self.upper.add_line(Line2D([], [], animated=True, **how))

        def patch(axes: Any, **how: Any) -> PathPatch:
            return axes.add_patch(PathPatch(Path(np.empty((0, 2))), animated=True, **how))

        hatched = {"facecolor": style.paper, "edgecolor": other.colour, "hatch": _HATCH, "linewidth": 0.45 * style.cycle_weight}
        self._short = patch(self.upper, **{**hatched, "linewidth": 0.0}, zorder=2.0)
        self._by_machine = patch(self.lower, facecolor=_MACHINE_FILL, edgecolor=one.colour, linewidth=0.35 * style.cycle_weight, zorder=2.5)
        self._by_auxiliary = patch(self.lower, **hatched, zorder=2.6)
        self._gives = line(color=one.colour, linewidth=style.cycle_weight, zorder=3.0)
        self._needs = line(color=other.colour, linewidth=0.8 * style.cycle_weight, linestyle=_LOAD_STYLE, zorder=3.1)
        self._drop = line(color=style.ink, linewidth=1.1, linestyle=":", zorder=2.8)
        self._drop_below = self.lower.add_line(Line2D([], [], animated=True, color=style.ink, linewidth=1.1, linestyle=":", zorder=3.2))
        self._point = line(color=style.ink, linestyle="none", marker="D", markersize=1.4 * one.marker_size, markerfacecolor="none", markeredgewidth=2.0, zorder=4.0)
        self._reach = 0.75 * one.marker_size
        self._label = MovingLabel(self.upper, style.ink, style, align=(0.5, 0.5), offset=(0.0, 0.0))
        self._kept = 0

    @property
    def artists(self) -> list[Artist]:
        """Everything that is to be drawn, lowest first."""
        found = [self._short, self._by_machine, self._by_auxiliary, self._drop, self._drop_below, self._gives, self._needs, self._point, self._label]
        return [artist for artist in found if artist.get_visible()]

    @property
    def said(self) -> tuple[str, ...]:
        """What stands at the balance point, nothing where there is none."""
        return self._label.rows if self._label.get_visible() else ()

    def place(self, temperature: Any, power: Any) -> tuple[Any, Any]:
        """Where an outdoor temperature (K) and a power (W) stand in the upper half, in shown numbers."""
        return shown_number(temperature, "temperature", self.system), shown_number(power, "power", self.system) / self._per

    def show(self, season: Season, load: BuildingLoad, runs: Runs) -> None:
        """Move to a season of a house; `runs` are what the machine gives at most."""
        ends = np.array([self.bins[0] - 0.5 * self.width, load.zero_load_temperature])
        needs = np.column_stack(self.place(ends, np.array([load.at(float(end)) for end in ends])))
        gives = np.column_stack(self.place(*np.array(runs, dtype=float).reshape(-1, 2).T))
        self._needs.set_data(*needs.T)
        self._gives.set_data(*gives.T)
        self._short.set_path(Path(self._shortfall(season, load, runs), closed=False) if season.heat_auxiliary > 0.0 else Path(np.empty((0, 2))))
        heated = [one for one in season.bins if one.load > 0.0]
        self._by_machine.set_path(self._bars([(one.outdoor_temperature, 0.0, one.machine_heat * one.hours) for one in heated]))
        self._by_auxiliary.set_path(self._bars([(one.outdoor_temperature, one.machine_heat * one.hours, one.load * one.hours) for one in heated]))
        met = season.balance_point if season.balance_point is not None else season.stops_below
        for artist in (self._drop, self._drop_below, self._point, self._label):
            artist.set_visible(met is not None)
        if met is not None:
            self._show_balance(met, load, gives, needs, stops=season.balance_point is None)

    # Inside ---------------------------------------------------------------------------

    @property
    def _per(self) -> float:
        return 1000.0 if self.system == "IP" else 1.0

    def _frame(self, most_power: float, most_heat: float, title: str) -> None:
        style, system = self.style, self.system
        if title:
            fitting_title(self.upper, [title, title.partition(":")[0]], style.title_size, style)
        degrees = unit_shown("temperature", system).label
        unit = "1000 Btu/h" if system == "IP" else unit_shown("power", system).label
        self.lower.set_xlabel(f"outdoor temperature, {degrees}", fontsize=style.label_size, color=style.ink)
        self.upper.set_ylabel(f"heat, {unit}", fontsize=style.label_size, color=style.ink)
        self.lower.set_ylabel("kWh per bin", fontsize=style.label_size, color=style.ink)
        ends = [shown_number(end, "temperature", system) for end in (self.bins[0] - 0.7 * self.width, self.bins[-1] + 1.3 * self.width)]
        span, points = ends[1] - ends[0], 72.0 / self.lower.figure.dpi
        steps = (5.0, 10.0, 20.0, 40.0) if system == "IP" else (2.0, 5.0, 10.0, 20.0)
        step = next((one for one in steps if span / one * _ROOM_OF_NUMBER * style.tick_size <= self.lower.bbox.width * points), steps[-1])
        for axes, top in ((self.upper, self.place(273.15, most_power)[1]), (self.lower, most_heat / _KILOWATT_HOUR)):
            axes.set_facecolor(style.paper)
            axes.tick_params(labelsize=style.tick_size, colors=style.ink)
            axes.set_xlim(*ends)
            axes.set_ylim(0.0, top)
            axes.xaxis.set_major_locator(MultipleLocator(step))
            rows = max(2, int(axes.bbox.height * points / (1.7 * style.tick_size)))
            axes.yaxis.set_major_locator(MaxNLocator(min(6, rows), steps=[1, 2, 2.5, 4, 5, 10]))
            axes.grid(True, which="major", color="#d8d8d8", linewidth=0.6, zorder=0.5)
        self.upper.tick_params(labelbottom=False)
        one, other = style.looks[:2]
        handles = [
            Line2D([], [], color=one.colour, linewidth=style.cycle_weight, label="machine gives"),
            Line2D([], [], color=other.colour, linewidth=0.8 * style.cycle_weight, linestyle=_LOAD_STYLE_OF_KEY, label="house needs"),
            Patch(facecolor=_MACHINE_FILL, edgecolor=one.colour, label="by the machine"),
            Patch(facecolor=style.paper, edgecolor=other.colour, hatch=_HATCH, label="auxiliary heat"),
        ]
        key_below(self.lower, handles, style, size=style.isoline_size + 1.0)

    def _shortfall(self, season: Season, load: BuildingLoad, runs: Runs) -> np.ndarray:
        """The area between load and capacity, where the load is higher: along the load, and back along the lower of the two."""
        given = dict(runs)
        short = [one.outdoor_temperature for one in season.bins if one.load > 0.0 and one.auxiliary > 0.0]
        warm = next((at for at in (season.balance_point, season.stops_below) if at is not None), short[-1])
        cold = [*(at for at in short if at < warm), warm]
        above = [self.place(at, load.at(at)) for at in cold]
        below = [self.place(at, min(given.get(at, 0.0), load.at(at)) if at != warm or at in given else load.at(at)) for at in cold]
        return np.array([*above, *reversed(below), above[0]])

    def _bars(self, bars: Iterable[tuple[float, float, float]]) -> Path:
        """Bars (temperature in K, from, to, in watt-hours) as one path; those without height are left out."""
        half = 0.5 * _BAR * abs(shown_number(self.width, "temperature difference", self.system))
        corners = []
        for temperature, low, high in bars:
            if high - low > 1e-9 * high:
                x = shown_number(temperature, "temperature", self.system)
                corners.append([(x - half, low / 1e3), (x - half, high / 1e3), (x + half, high / 1e3), (x + half, low / 1e3), (x - half, low / 1e3)])
        if not corners:
            return Path(np.empty((0, 2)))
        codes = np.tile([Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY], len(corners))
        return Path(np.array(corners).reshape(-1, 2), codes)

    def _show_balance(self, temperature: float, load: BuildingLoad, gives: np.ndarray, needs: np.ndarray, *, stops: bool) -> None:
        x, y = self.place(temperature, load.at(temperature))
        self._drop.set_data([x, x], [0.0, y])
        self._drop_below.set_data([x, x], list(self.lower.get_ylim()))
        self._point.set_data([x], [y])
        self._point.set_marker("x" if stops else "D")
        self._label.show((x, y), ["machine stops" if stops else "balance point", show(temperature, "temperature", self.system)])
        left, bottom, right, top = self._label.box()
        half = np.array([right - left, top - bottom]) * 36.0 / self.upper.figure.dpi + 1.0
        offsets = np.array([np.array(side) * (half + self._reach + 1.0) + np.array(side) * more for more in _FARTHER for side in _AROUND])
        costs = np.array([0.4 * index + 0.15 * more for index, more in enumerate(np.repeat(_FARTHER, len(_AROUND)))])
        mark = on_page(self.upper, [(x, y)])[0]
        samples = np.concatenate([sampled(on_page(self.upper, line)) for line in (gives, needs) if len(line) > 1])
        taken = Taken(frame_of(self.upper), np.array([[*mark, 1.1 * self._reach]]), np.empty((0, 4)), samples)
        costs = costs + taken.cost(mark + offsets, half, 1.5)
        costs[self._kept] -= 3.0  # so that it does not flicker while a slider is dragged
        self._kept = int(np.argmin(costs))
        self._label.offset = tuple(offsets[self._kept])


def _rectangle(figure: Figure, style: Style) -> tuple[float, float, float, float]:
    """Where both axes stand, with room for a key of two rows where one is too wide."""
    left, bottom, width, height = axes_rectangle(figure, style, widest=_WIDEST_NUMBER)
    across, up = (72.0 * float(inches) for inches in figure.get_size_inches())
    more = _KEY_ROW * style.isoline_size / up if across < _KEY_WIDTH * style.isoline_size else 0.0
    return left, bottom + more, width, height - more


def bin_heat(season: Season) -> float:
    """The most heat (J) that any bin of a season needs, for the upper edge of the bars.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> round(bin_heat(season(lambda outdoor: Running(6000.0, 2000.0), average, load_in(average, 5000.0))) / 3.6e6)
    892
    """
    return 3600.0 * max((one.load * one.hours for one in season.bins), default=math.nan)
