"""One cycle laid over a chart: a closed line, markers and labels.

What lives here: `CycleTrace`.  What does not: the chart and its background (chart), where labels may stand (placing).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D

from hpteach.cycle import Cycle
from hpteach.diagrams.cycle_path import Process, cycle_path
from hpteach.diagrams.placing import LabelPlaces, Taken, frame_of, on_page, sampled
from hpteach.diagrams.stamp import Stamp
from hpteach.diagrams.style import Look

if TYPE_CHECKING:
    from hpteach.diagrams.chart import Chart

_ORDER = ("1", "2", "3", "4", "2a", "2b", "4a")
"""The order in which labels choose their places."""

_PAD = 0.18  # of the size of a label's letters, from the letters to its box


class CycleTrace:
    """The artists of one cycle on one chart: a closed line, markers and labels.

    Labels stand where they cover no marker, no other label and, if there is room, no line, inside the axes.
    Those of a still trace choose their places whenever the chart is drawn.
    """

    def __init__(self, chart: Chart, look: Look, label: str, animated: bool) -> None:
        self.chart = chart
        self.label = label
        self.animated = animated
        self.cycle: Cycle | None = None
        self.processes: tuple[Process, ...] = ()
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
        self._reach = 0.5 * look.marker_size
        make = self._stamp if animated else self._annotation
        self._homes = {name: _beside(name, chart.offsets[name], look) for name in _ORDER}
        self._labels = {name: make(name, offset, look) for name, offset in self._homes.items()}
        self._places: LabelPlaces | None = None
        self._taken: Taken | None = None

    @property
    def artists(self) -> list[Artist]:
        """Everything of the trace that is to be drawn, lowest first."""
        return [self._line, self._crossings, self._points, *(a for a in self._labels.values() if a.get_visible())]

    def show(self, cycle: Cycle) -> None:
        """Move the trace to a cycle, of a refrigerant of the chart.

        Raises `InputError` for a cycle of another refrigerant.
        """
        chart = self.chart
        self.cycle = cycle
        self.processes = cycle_path(chart.fluid_of(cycle), cycle)
        parts = [np.column_stack(chart.place(process)) for process in self.processes]
        self._line.set_data(*np.concatenate(parts).T)
        met = {point.label: chart.place(point) for point in cycle.points}
        self._points.set_data(*np.array([place for name, place in met.items() if name.isdigit()]).T)
        self._crossings.set_data(*np.array([place for name, place in met.items() if not name.isdigit()]).T)
        for name, annotation in self._labels.items():
            annotation.set_visible(name in met)
            if name in met:
                annotation.xy = met[name]
        if self.animated:
            self.settle(Taken.nothing(chart.axes))

    def set_visible(self, visible: bool) -> None:
        """Show or hide the whole trace."""
        for artist in (self._line, self._points, self._crossings, *self._labels.values()):
            artist.set_visible(visible)

    def settle(self, others: Taken) -> None:
        """Let the labels choose their places, clear of what `others` take."""
        if not self._line.get_visible():
            return
        axes = self.chart.axes
        frame = frame_of(axes)
        if self._places is None:
            self._places = LabelPlaces(list(self._homes.values()), [self._half(label) for label in self._labels.values()], self._reach)
        shown = [index for index, label in enumerate(self._labels.values()) if label.get_visible()]
        labels = [list(self._labels.values())[index] for index in shown]
        line = np.column_stack(self._line.get_data())
        page = on_page(axes, np.concatenate([[label.xy for label in labels], line]))
        markers = page[: len(labels)]
        sizes = np.array([self._reach * (0.8 if name.isdigit() else 0.56) for name in np.array(_ORDER)[shown]])
        own = Taken(frame, np.column_stack([markers, sizes]), np.empty((0, 4)), sampled(page[len(labels) :]))
        offsets = self._places.choose(markers, others.joined(own), shown)
        for label, offset in zip(labels, offsets):
            if self.animated:
                label.offset = offset
            else:
                label.xyann = tuple(offset)
        own.markers[:, 2] = self._reach
        own.boxes = np.column_stack([markers + offsets, self._places.halves[shown]])
        self._taken = own

    def taken(self) -> Taken:
        """What the trace covers, in points: its markers, the boxes of its labels and its line, as last settled."""
        if self._taken is None or not self._line.get_visible():
            return Taken.nothing(self.chart.axes)
        return self._taken

    def _half(self, label: Any) -> np.ndarray:
        if self.animated:
            return label.half
        box = label.get_window_extent()
        points = 36.0 / label.figure.dpi
        return np.array([box.width * points, box.height * points]) + _PAD * label.get_fontsize() + 0.5

    def _text_style(self, name: str, look: Look) -> dict[str, Any]:
        style = self.chart.style
        box = {"boxstyle": f"round,pad={_PAD}", "facecolor": style.paper, "edgecolor": look.colour, "linewidth": 0.8, "alpha": 0.9}
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
