"""Where labels stand so that they cover nothing: a few places to choose from, the least covering one taken.

What lives here: `Taken`, `LabelPlaces` and the artist that settles a still chart.  What does not: which labels
there are.  Everything is in points (1/72 inch) from the figure's left bottom corner, so that it holds at any resolution.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes

_OUTSIDE, _ON_A_LABEL, _ON_A_MARKER, _ON_THE_LINE = 1000.0, 100.0, 40.0, 5.0
"""What a place costs for leaving the axes and for what it covers; farther rings cost up to 6."""

_STEADY = 2.5
"""Points by which another place must be freer than the present one, so that labels do not flicker while a slider is dragged."""

_SPACING = 4.0  # points between two samples of a line
_RINGS = ((2.0, 1.0), (11.0, 3.0), (22.0, 6.0))  # points clear of the marker, and what it costs
_COMPASS = np.array([(1, 1), (1, -1), (-1, 1), (-1, -1), (0, 1), (0, -1), (1, 0), (-1, 0)], dtype=float)


def on_page(axes: Axes, places: Any) -> np.ndarray:
    """Data places, shape (n, 2), in points on the page.

    >>> from matplotlib.figure import Figure
    >>> on_page(Figure(figsize=(1, 1)).add_axes((0, 0, 1, 1)), [(0.5, 0.25)]).tolist()
    [[36.0, 18.0]]
    """
    return axes.transData.transform(places) * (72.0 / axes.figure.dpi)


def frame_of(axes: Axes) -> np.ndarray:
    """The corners of the axes, [[left, bottom], [right, top]], in points."""
    return axes.transAxes.transform([(0.0, 0.0), (1.0, 1.0)]) * (72.0 / axes.figure.dpi)


def sampled(line: np.ndarray) -> np.ndarray:
    """Samples along a line of points on the page, a few points apart.

    >>> len(sampled(np.array([(0.0, 0.0), (0.0, 40.0)])))
    11
    """
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    steps = np.linspace(0.0, along[-1], int(along[-1] / _SPACING) + 1)
    return np.column_stack([np.interp(steps, along, line[:, 0]), np.interp(steps, along, line[:, 1])])


@dataclass
class Taken:
    """What labels should not cover: the frame to stay in, markers (centre, half side), boxes (centre, half size) and samples of lines."""

    frame: np.ndarray
    markers: np.ndarray
    boxes: np.ndarray
    samples: np.ndarray

    @classmethod
    def nothing(cls, axes: Axes) -> Taken:
        """An empty chart."""
        return cls(frame_of(axes), np.empty((0, 3)), np.empty((0, 4)), np.empty((0, 2)))

    def joined(self, other: Taken) -> Taken:
        """What both take."""
        both = (np.concatenate(pair) for pair in ((self.markers, other.markers), (self.boxes, other.boxes), (self.samples, other.samples)))
        return Taken(self.frame, *both)

    def with_box(self, centre: Any, half: Any) -> Taken:
        """This and one box more."""
        return Taken(self.frame, self.markers, np.vstack([self.boxes, [*centre, *half]]), self.samples)

    def cost(self, centres: np.ndarray, halves: np.ndarray, margins: np.ndarray | float = 0.0) -> np.ndarray:
        """What boxes at `centres`, shape (..., 2), with half sizes `halves` cost; `margins` is the room they want around them."""
        low, high = self.frame
        outside = ((centres - halves < low) | (centres + halves > high)).any(axis=-1)
        wide = halves + np.asarray(margins)[..., None]
        lines = np.zeros(outside.shape, dtype=bool)
        if len(self.samples):
            x, y = self.samples.T
            across, up = np.abs(centres[..., :1] - x) < wide[..., :1], np.abs(centres[..., 1:] - y) < wide[..., 1:]
            lines = (across & up).any(axis=-1)
        return (
            _OUTSIDE * outside
            + _ON_A_MARKER * _covered(centres, halves + 0.4 * (wide - halves), self.markers[:, :2], self.markers[:, 2:])
            + _ON_A_LABEL * _covered(centres, wide, self.boxes[:, :2], self.boxes[:, 2:])
            + _ON_THE_LINE * lines
        )


def _covered(centres: np.ndarray, halves: np.ndarray, others: np.ndarray, sizes: np.ndarray) -> np.ndarray:
    if not len(others):
        return np.zeros(centres.shape[:-1])
    return (np.abs(centres[..., None, :] - others) < halves[..., None, :] + sizes).all(axis=-1).sum(axis=-1)


def touches(box: Any, taken: Taken) -> bool:
    """Whether anything lies on a box (left, bottom, right, top), in points."""
    left, bottom, right, top = box
    centre, half = np.array([(left + right) / 2.0, (bottom + top) / 2.0]), np.array([(right - left) / 2.0, (top - bottom) / 2.0])
    return Taken(np.array([(-np.inf, -np.inf), (np.inf, np.inf)]), taken.markers, taken.boxes, taken.samples).cost(centre, half) > 0.0


class LabelPlaces:
    """The places among which the labels of one trace choose, and their present choice.

    `homes` are their usual offsets in points from their markers, shape (n, 2), `halves` half the sizes of their boxes and `clear`
    how far a marker reaches.

    >>> places = LabelPlaces([(13.0, -13.0)], [(7.0, 8.0)], 4.0)
    >>> axes = __import__("matplotlib.figure").figure.Figure(figsize=(4, 4)).add_axes((0, 0, 1, 1))
    >>> places.choose(np.array([(100.0, 100.0)]), Taken.nothing(axes)).tolist()
    [[13.0, -13.0]]
    >>> places.choose(np.array([(100.0, 5.0)]), Taken.nothing(axes)).tolist()  # at the bottom it stands above
    [[12.2, 13.2]]
    """

    def __init__(self, homes: Any, halves: Any, clear: float) -> None:
        self.halves = np.array(halves, dtype=float)
        homes = np.array(homes, dtype=float)
        offsets, costs = [homes], [np.zeros(len(homes))]
        away = homes / np.hypot(*homes.T)[:, None]
        for gap, cost in _RINGS:
            for direction in _COMPASS:
                offsets.append(direction * (self.halves + 0.8 * clear + gap))
                turned = 1.0 - away @ direction / np.hypot(*direction)
                costs.append(cost + 0.3 * turned)
        self._offsets = np.stack(offsets, axis=1)
        self._costs = np.stack(costs, axis=1)
        self._chosen = np.full(len(homes), -1)
        self.free = np.zeros(0, dtype=bool)

    def choose(self, markers: np.ndarray, taken: Taken, which: Any = None) -> np.ndarray:
        """The offsets of the labels `which` (all, unless given), whose markers stand at `markers`, one for each.

        `free` then says of each whether it covers no marker and no label.
        """
        which = np.arange(len(self.halves)) if which is None else np.asarray(which)
        offsets, halves = self._offsets[which], self.halves[which]
        centres = markers[:, None, :] + offsets
        margins = np.where(np.arange(offsets.shape[1]) == self._chosen[which][:, None], 0.0, _STEADY)
        costs = self._costs[which] + taken.cost(centres, halves[:, None, :], margins)
        best = np.empty(len(which), dtype=int)
        for index in range(len(which)):
            best[index] = chosen = int(np.argmin(costs[index]))
            rest = slice(index + 1, None)
            wide = halves[rest, None, :] + margins[rest, :, None] + halves[index]
            costs[rest] += _ON_A_LABEL * (np.abs(centres[rest] - centres[index, chosen]) < wide).all(axis=-1)
        self._chosen[which] = best
        self.free = costs[np.arange(len(which)), best] < _ON_A_MARKER
        return offsets[np.arange(len(which)), best]


class Settling(Artist):
    """Draws nothing: calls `settle` whenever the axes are drawn, when their final size is known and nothing lies on them yet."""

    def __init__(self, axes: Axes, settle: Callable[[Any], None]) -> None:
        super().__init__()
        self.set_zorder(-1.0)
        self.set_in_layout(False)
        self._settle = settle
        axes.add_artist(self)

    def draw(self, renderer: Any) -> None:
        """Let the chart settle its labels."""
        self._settle(renderer)
