"""One cycle laid over a chart: a closed line, markers and labels.

What lives here: `CycleTrace`.  What does not: the chart and its background (chart), where labels may stand (placing).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D

from hpteach.cycle import Cycle
from hpteach.diagrams.cycle_path import Process, cycle_path
from hpteach.diagrams.placing import LabelPlaces, Taken, frame_of, on_page, sampled
from hpteach.diagrams.stamp import Stamp
from hpteach.diagrams.style import SCREEN, Look

if TYPE_CHECKING:
    from hpteach.diagrams.chart import Chart

_ORDER = ("1", "2", "3", "4", "2a", "2b", "4a")
"""The order in which labels choose their places."""

_PAD = 0.18  # of the size of a label's letters, from the letters to its box


class CycleTrace:
    """The artists of one cycle on one chart: a closed line, markers and labels.

    Labels stand where they cover no marker, no other label and, if there is room, no line, inside the axes.
    Those of a still trace choose their places whenever the chart is drawn.  Beside another cycle the labels of crossings of
    the dome (2a, 2b, 4a) are left out where they would cover a marker or another label.  A trace that is not `numbered` has none.
    """

    def __init__(self, chart: Chart, look: Look, label: str, animated: bool, numbered: bool = True) -> None:
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
        larger = style.point_size / SCREEN.point_size
        self._homes = {name: tuple(larger * np.array(_beside(name, chart.offsets[name], look))) for name in _ORDER}
        self._labels = {name: make(name, offset, look) for name, offset in self._homes.items()} if numbered else {}
        self._met: dict[str, tuple] = {}
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
        self.move(cycle)
        if self.animated:
            self.settle(Taken.nothing(self.chart.axes))

    def move(self, cycle: Cycle, processes: Sequence[Process] | None = None) -> None:
        """As `show`, but the labels have still to choose their places: `settle` lets them.

        `processes` are those of the cycle, where the caller has them already.
        """
        chart = self.chart
        self.cycle = cycle
        self.processes = tuple(processes) if processes else cycle_path(chart.fluid_of(cycle), cycle)
        parts = [np.column_stack(chart.place(process)) for process in self.processes]
        self._line.set_data(*np.concatenate(parts).T)
        self._met = met = {point.label: chart.place(point) for point in cycle.points}
        self._points.set_data(*np.array([place for name, place in met.items() if name.isdigit()]).T)
        self._crossings.set_data(*np.array([place for name, place in met.items() if not name.isdigit()]).reshape(-1, 2).T)
        for name, annotation in self._labels.items():
            annotation.set_visible(name in met)
            if name in met:
                annotation.xy = met[name]

    def set_visible(self, visible: bool) -> None:
        """Show or hide the whole trace."""
        for artist in (self._line, self._points, self._crossings, *self._labels.values()):
            artist.set_visible(visible)

    def settle(self, others: Taken) -> None:
        """Let the labels choose their places, clear of what `others` take."""
        if not self._line.get_visible():
            return
        outline = self._outline(np.array([0.8 if name.isdigit() else 0.56 for name in self._shown]))
        markers = outline.markers[:, :2]
        if self._labels:
            if self._places is None:
                self._places = LabelPlaces(list(self._homes.values()), [self._half(label) for label in self._labels.values()], self._reach)
            which = [_ORDER.index(name) for name in self._shown]
            offsets = self._places.choose(markers, others.joined(outline), which)
            alone = not len(others.markers)
            stands = np.array([alone or name.isdigit() for name in self._shown]) | self._places.free
            for name, offset, seen in zip(self._shown, offsets, stands):
                self._labels[name].set_visible(seen)
                if self.animated:
                    self._labels[name].offset = offset
                else:
                    self._labels[name].xyann = tuple(offset)
            outline.boxes = np.column_stack([markers + offsets, self._places.halves[which]])[stands]
        outline.markers[:, 2] = self._reach
        self._taken = outline

    def outline(self) -> Taken:
        """What the trace covers without its labels: its markers and its line."""
        return self._outline(1.0) if self._line.get_visible() else Taken.nothing(self.chart.axes)

    @property
    def _shown(self) -> list[str]:
        return [name for name in _ORDER if name in self._met]

    def _outline(self, share: Any) -> Taken:
        axes, names = self.chart.axes, self._shown
        page = on_page(axes, np.concatenate([[self._met[name] for name in names], np.column_stack(self._line.get_data())]))
        markers, line = page[: len(names)], page[len(names) :]
        sizes = np.broadcast_to(self._reach * share, len(names))
        return Taken(frame_of(axes), np.column_stack([markers, sizes]), np.empty((0, 4)), sampled(line))

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
