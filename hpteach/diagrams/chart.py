"""What both property charts share: a still background and cycles laid over it.

What lives here: `Chart` and `CycleTrace`.  What does not: which quantity is on which
axis and which lines make the background (pressure_enthalpy, temperature_entropy).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.legend import Legend
from matplotlib.lines import Line2D

from hpteach.cycle import Cycle
from hpteach.diagrams.cycle_path import cycle_path
from hpteach.diagrams.stamp import Stamp
from hpteach.diagrams.style import FAMILIES, SCREEN, Look, Style
from hpteach.fluids import Refrigerant
from hpteach.fluids.isolines import Isoline
from hpteach.units import shown_number, unit_shown


@dataclass(frozen=True)
class Axis:
    """One axis: the attribute of a state, its kind of quantity and its symbol."""

    attribute: str
    kind: str
    symbol: str
    title: str

    def label(self, system: str) -> str:
        """The axis title with symbol and unit."""
        return f"{self.title} {self.symbol}, {unit_shown(self.kind, system).label}"

    def numbers(self, states: Any, system: str) -> Any:
        """The shown numbers of a state's (or an isoline's) attribute."""
        return shown_number(getattr(states, self.attribute), self.kind, system)


COLDEST = 233.15
"""K; below the coldest outdoor coil of the lessons."""

_ABOVE_CRITICAL = 65.0
"""K above the critical temperature up to which a chart reaches."""


class Chart(ABC):
    """A property chart on given Axes: the background is drawn at once, cycles are added.

    The window covers the working range of heat pumps and any cycles in `covering`.
    Subclasses name the axes, the window and the background lines.
    """

    x_axis: Axis
    y_axis: Axis
    title: str

    # Where the label of each state point stands, in points from its marker.
    offsets: dict[str, tuple[float, float]] = {}

    def __init__(
        self,
        axes: Axes,
        refrigerant: Refrigerant,
        *,
        system: str = "SI",
        style: Style = SCREEN,
        covering: Sequence[Cycle] = (),
    ) -> None:
        self.coldest = min([COLDEST, *(point.temperature - 5.0 for cycle in covering for point in cycle.points)])
        self.coldest = max(self.coldest, refrigerant.lowest_temperature)
        self.hottest = refrigerant.critical_temperature + _ABOVE_CRITICAL
        self.hottest = max([self.hottest, *(point.temperature + 20.0 for cycle in covering for point in cycle.points)])
        self.hottest = min(self.hottest, refrigerant.highest_temperature - 0.1)
        self.axes = axes
        self.refrigerant = refrigerant
        self.system = system
        self.style = style
        self._frame()
        self._background()

    def add_cycle(self, cycle: Cycle, *, label: str = "", look: int = 0, animated: bool = False) -> CycleTrace:
        """Lay a cycle over the chart; the trace returned can be moved to another cycle.

        `look` picks one of the style's looks, so that several cycles differ in more than colour.
        """
        trace = CycleTrace(self, self.style.looks[look % len(self.style.looks)], label, animated)
        trace.show(cycle)
        return trace

    def covers(self, cycle: Cycle) -> bool:
        """Whether every state point of a cycle lies in the window."""
        (x0, x1), (y0, y1) = self.axes.get_xlim(), self.axes.get_ylim()
        places = [self.place(point) for point in cycle.points]
        return all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in places)

    def name_cycles(self, traces: Sequence[CycleTrace]) -> None:
        """Say above the chart which line is which cycle."""
        names = Legend(
            self.axes,
            handles=[trace.handle for trace in traces],
            labels=[trace.label for trace in traces],
            loc="lower right",
            bbox_to_anchor=(1.0, 1.0),
            ncols=len(traces),
            frameon=False,
            fontsize=self.style.tick_size,
            handlelength=3.2,
            borderaxespad=0.2,
        )
        names.set_clip_path(self.axes.figure.patch)
        self.axes.add_artist(names)

    def place(self, states: Any) -> tuple[Any, Any]:
        """Where states stand on this chart, in shown numbers."""
        return self.x_axis.numbers(states, self.system), self.y_axis.numbers(states, self.system)

    def _frame(self) -> None:
        axes, style = self.axes, self.style
        axes.set_facecolor(style.paper)
        axes.set_title(f"{self.refrigerant.name}: {self.title}", fontsize=style.title_size, color=style.ink, loc="left")
        axes.set_xlabel(self.x_axis.label(self.system), fontsize=style.label_size, color=style.ink)
        axes.set_ylabel(self.y_axis.label(self.system), fontsize=style.label_size, color=style.ink)
        axes.tick_params(labelsize=style.tick_size, colors=style.ink)

    @abstractmethod
    def _background(self) -> None:
        """Set the window and draw the still lines."""

    def _draw_dome(self, line: Isoline) -> None:
        x, y = self.place(line)
        self.axes.add_line(Line2D(x, y, color=self.style.dome, linewidth=self.style.dome_weight, zorder=2.5))

    def _draw_family(self, lines: Iterable[Isoline], weight: float = 1.0) -> None:
        lines = list(lines)
        line_style, colour = FAMILIES[lines[0].kind]
        self.axes.add_collection(
            LineCollection(
                [np.column_stack(self.place(line)) for line in lines],
                colors=getattr(self.style, colour),
                linewidths=self.style.isoline_weight * weight,
                linestyles=[line_style],
                zorder=1.5,
            ),
            autolim=False,
        )

    def _mark(self, x: float, y: float, text: str, family: str, **how: Any) -> None:
        """A small label on a background line; outside the window it is left out."""
        across, up = self.axes.transAxes.inverted().transform(self.axes.transData.transform((x, y)))
        if 0.035 <= across <= 0.965 and 0.0 <= up <= 1.0:
            colour = getattr(self.style, FAMILIES[family][1])
            how = {"ha": "center", "va": "center", "rotation": 0, **how}
            box = {"facecolor": self.style.paper, "edgecolor": "none", "pad": 0.8}
            self.axes.text(x, y, text, fontsize=self.style.isoline_size, color=colour, bbox=box, zorder=2.0, clip_on=True, **how)

    def _key(self, families: dict[str, str]) -> None:
        """The meaning of the line styles, under the chart."""
        handles = [
            Line2D([], [], color=getattr(self.style, FAMILIES[f][1]), linestyle=FAMILIES[f][0], linewidth=1.3, label=text)
            for f, text in families.items()
        ]
        self.axes.legend(
            handles=handles,
            loc="upper center",
            bbox_to_anchor=(0.5, -0.13),
            ncols=len(handles),
            frameon=False,
            fontsize=self.style.isoline_size,
            handlelength=2.2,
            columnspacing=1.0,
        )


class CycleTrace:
    """The artists of one cycle on one chart: a closed line, markers and labels."""

    def __init__(self, chart: Chart, look: Look, label: str, animated: bool) -> None:
        self.chart = chart
        self.label = label
        axes, style = chart.axes, chart.style
        common = {"color": look.colour, "animated": animated, "clip_on": True}
        self._line = axes.add_line(
            Line2D([], [], linestyle=look.line_style, linewidth=style.cycle_weight, zorder=4, label=label, **common)
        )
        size = {"marker": look.marker, "markersize": look.marker_size, "markeredgewidth": 1.6}
        fill = {"markerfacecolor": "none" if look.hollow else look.colour}
        self.handle = Line2D([], [], color=look.colour, linestyle=look.line_style, linewidth=style.cycle_weight, **size, **fill)
        self._points = axes.add_line(Line2D([], [], linestyle="none", zorder=5, **size, **fill, **common))
        small = {**size, "markersize": 0.7 * look.marker_size, "markerfacecolor": "none" if look.hollow else style.paper}
        self._crossings = axes.add_line(Line2D([], [], linestyle="none", zorder=5, **small, **common))
        make = self._stamp if animated else self._annotation
        self._labels = {name: make(name, _beside(name, offset, look), look) for name, offset in chart.offsets.items()}

    @property
    def artists(self) -> list[Artist]:
        """Everything of the trace that is to be drawn, lowest first."""
        return [self._line, self._crossings, self._points, *(a for a in self._labels.values() if a.get_visible())]

    def show(self, cycle: Cycle) -> None:
        """Move the trace to a cycle."""
        chart = self.chart
        parts = [np.column_stack(chart.place(process)) for process in cycle_path(chart.refrigerant, cycle)]
        self._line.set_data(*np.concatenate(parts).T)
        met = {point.label: chart.place(point) for point in cycle.points}
        self._points.set_data(*np.array([place for name, place in met.items() if name.isdigit()]).T)
        self._crossings.set_data(*np.array([place for name, place in met.items() if not name.isdigit()]).T)
        for name, annotation in self._labels.items():
            annotation.set_visible(name in met)
            if name in met:
                annotation.xy = met[name]

    def set_visible(self, visible: bool) -> None:
        """Show or hide the whole trace."""
        for artist in (self._line, self._points, self._crossings, *self._labels.values()):
            artist.set_visible(visible)

    def _text_style(self, name: str, look: Look) -> dict[str, Any]:
        style = self.chart.style
        box = {"boxstyle": "round,pad=0.18", "facecolor": style.paper, "edgecolor": look.colour, "linewidth": 0.8, "alpha": 0.9}
        numbered = name.isdigit()
        return {
            "fontsize": style.point_size if numbered else style.crossing_size,
            "fontweight": "bold" if numbered else "normal",
            "color": look.colour,
            "bbox": box,
        }

    def _stamp(self, name: str, offset: tuple[float, float], look: Look) -> Artist:
        return Stamp(self.chart.axes, name, offset=offset, **self._text_style(name, look))

    def _annotation(self, name: str, offset: tuple[float, float], look: Look) -> Artist:
        return self.chart.axes.annotate(
            name, (0.0, 0.0), xytext=offset, textcoords="offset points", ha="center", va="center", zorder=6, **self._text_style(name, look)
        )


def _beside(name: str, offset: tuple[float, float], look: Look) -> tuple[float, float]:
    """Where a label stands; with hollow markers those of the high side stand below, clear of a cycle that condenses nearly as warm."""
    x, y = offset
    if not look.hollow or name not in ("2", "2a", "2b", "3"):
        return offset
    return {"2": (x + 6.0, -y - 11.0), "2b": (abs(x) + 6.0, -y - 9.0)}.get(name, (x, -y - 9.0))
