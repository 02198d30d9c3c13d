"""The marks of energies: brackets with a number, and hatched areas with a number.

What lives here: `Word`, `Lengths` and `Areas`.  What does not: when they are shown (energies).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.lines import Line2D
from matplotlib.markers import CARETLEFT, CARETRIGHT
from matplotlib.patches import Polygon

from hpteach.cycle import Cycle
from hpteach.diagrams.placing import Taken, frame_of, on_page
from hpteach.diagrams.pressure_temperature import MovingLabel
from hpteach.units import show

if TYPE_CHECKING:
    from hpteach.diagrams.chart import Chart

_STEADY = 3.0  # what another place must save before a mark moves there
_TICK = 4.0  # points, half the height of the ends of a bracket
_GAP = 3.0  # points between a bracket and its number
_SHORTEST_ARROW = 14.0  # points; a shorter bracket has no room for two arrowheads

# Points from the line of pressure to a bracket, the side on which its number stands, and what that place costs.
_BELOW = ((-27, -1, 0.0), (-35, -1, 0.5), (-19, -1, 1.0), (-46, -1, 1.5), (-12, -1, 2.0), (13, 1, 4.0), (25, 1, 4.5), (40, 1, 5.0))
_ABOVE = ((27, 1, 0.0), (35, 1, 0.5), (19, 1, 1.0), (46, 1, 1.5), (12, 1, 2.0), (-13, -1, 4.0), (-25, -1, 4.5), (-40, -1, 5.0), (-60, -1, 6.0))
_NO_ROOM = 40.0  # what a place costs that covers a marker or a label

_SHARES = np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8])
"""Where in an area its number may stand, the middle first."""


class Word:
    """Rows of text centred at a place on the page: quick where it is animated, ordinary text where it is still."""

    def __init__(self, chart: Chart, animated: bool, align: float = 0.5) -> None:
        self.rows: tuple[str, ...] = ()
        self._axes, self._animated, style = chart.axes, animated, chart.style
        if animated:
            self.artist: Any = MovingLabel(chart.axes, style.ink, style, align=(align, 0.5), offset=(0.0, 0.0))
            self._anchor = (chart.axes.get_xlim()[0], chart.axes.get_ylim()[0])
            return
        box = {"facecolor": style.paper, "edgecolor": "none", "pad": 1.0, "alpha": 0.85}
        rows = {"ha": "center", "va": "center", "multialignment": "left" if align == 0.0 else "center"}
        size = style.isoline_size + 1.0
        page = chart.axes.figure.dpi_scale_trans
        self.artist = chart.axes.text(0.0, 0.0, "", fontsize=size, color=style.ink, zorder=5.5, bbox=box, transform=page, **rows)

    def say(self, rows: Sequence[str]) -> np.ndarray:
        """Take up rows; half the size of the label in points."""
        self.rows = tuple(rows)
        points = 36.0 / self._axes.figure.dpi
        if self._animated:
            self.artist.show(self._anchor, self.rows)
            left, bottom, right, top = self.artist.box()
            return np.array([right - left, top - bottom]) * points
        self.artist.set_text("\n".join(self.rows))
        box = self.artist.get_window_extent()
        return np.array([box.width, box.height]) * points + 1.0

    def stand(self, centre: np.ndarray, half: np.ndarray) -> None:
        """Move the middle of the label, of half size `half`, to a place on the page (points)."""
        if self._animated:
            corner = centre + (2.0 * np.array(self.artist.align) - 1.0) * half
            self.artist.offset = tuple(corner - on_page(self._axes, [self._anchor])[0])
        else:
            self.artist.set_position(tuple(centre / 72.0))


class Marks(ABC):
    """What lengths and areas share: words, and the places that they hold on to."""

    def __init__(self, chart: Chart, animated: bool) -> None:
        self.chart, self.animated = chart, animated
        self.words: list[Word] = []
        self.taken: Taken | None = None
        self._cycle: Cycle | None = None
        self._kept: dict[str, int] = {}

    @property
    @abstractmethod
    def artists(self) -> list[Artist]:
        """Everything to be drawn, lowest first."""

    @abstractmethod
    def show(self, cycle: Cycle) -> None:
        """Take up a cycle's numbers."""

    @abstractmethod
    def settle(self, others: Taken) -> None:
        """Choose places."""

    def _least(self, what: str, costs: np.ndarray) -> int:
        """The cheapest place, or the present one where none is much cheaper."""
        kept = self._kept.get(what)
        if kept is not None:
            costs = costs.copy()
            costs[kept] -= _STEADY
        self._kept[what] = int(np.argmin(costs))
        return self._kept[what]

    def _put(self, word: Word, half: np.ndarray, what: str, centres: np.ndarray, usual: np.ndarray, taken: Taken, room: float = 2.5) -> Taken:
        """Stand a word at the best of some centres, and count it as taken."""
        best = centres[self._least(what, usual + taken.cost(centres, half, room))]
        word.stand(best, half)
        return taken.with_box(best, half)

    def _shown(self, energy: float) -> str:
        return show(energy, "specific energy", self.chart.system)


class Lengths(Marks):
    """Brackets between enthalpies, each with its symbol and number."""

    def __init__(self, chart: Chart, animated: bool) -> None:
        super().__init__(chart, animated)
        how = {"color": chart.style.ink, "animated": animated, "zorder": 3.5, "transform": chart.axes.figure.dpi_scale_trans}
        self._bars = chart.axes.add_line(Line2D([], [], linewidth=1.3, **how))
        self._heads = [chart.axes.add_line(Line2D([], [], linestyle="none", marker=m, markersize=5.5, **how)) for m in (CARETLEFT, CARETRIGHT)]
        self.words = [Word(chart, animated) for _ in range(3)]

    @property
    def artists(self) -> list[Artist]:
        """Brackets, arrowheads, words."""
        return [self._bars, *self._heads, *(word.artist for word in self.words)]

    def show(self, cycle: Cycle) -> None:
        """Take up a cycle's numbers."""
        self.chart.fluid_of(cycle)
        self._cycle = cycle
        energies = (("q_e", cycle.refrigerating_effect), ("w", cycle.specific_work), ("q_c", cycle.heat_rejected))
        self._halves = [word.say([f"{symbol} {self._shown(energy)}"]) for word, (symbol, energy) in zip(self.words, energies)]

    def settle(self, others: Taken) -> None:
        """Choose the level of the brackets, then the places of their numbers."""
        if self._cycle is None:
            return
        axes, point = self.chart.axes, self._cycle.point
        ends = on_page(axes, [self.chart.place(point(label)) for label in ("4", "1", "2", "3")])
        (x4, inlet), (x1, suction), (x2, high), (x3, _) = ends
        low = min(inlet, suction)  # a loss of pressure leads down from 4 to 1, and up from 3 to 2
        rise = max(half[1] for half in self._halves)
        lower, upper = self._level("low", low, _BELOW, x4, x2, rise, others), self._level("high", high, _ABOVE, x3, x2, rise, others)
        spans = [(x4, x1, *lower), (x1, x2, *lower), (x3, x2, *upper)]
        taken = others
        for begins, ends_at, y, _ in spans:
            taken = taken.with_box(((begins + ends_at) / 2.0, y), (abs(ends_at - begins) / 2.0, _TICK - 0.5))
        for symbol, word, half, span in zip(("q_e", "w", "q_c"), self.words, self._halves, spans):
            taken = self._number(symbol, word, half, span, taken)
        self._draw(spans)
        rest = len(others.boxes)
        self.taken = Taken(frame_of(axes), np.empty((0, 3)), taken.boxes[rest:], np.empty((0, 2)))

    def _level(self, what: str, line: float, choices: tuple, left: float, right: float, rise: float, taken: Taken) -> tuple[float, int]:
        """The height of a row of brackets on the page and the side of its numbers; `rise` is half the height of one."""
        offset, side, usual = np.array(choices, dtype=float).T
        centres = np.column_stack([np.full(len(offset), (left + right) / 2.0), line + offset + (rise + _GAP / 2.0) * side])
        half = np.array([max((right - left) / 2.0 - 1.5, 1.0), rise + _TICK + _GAP / 2.0])
        best = self._least(what, usual + taken.cost(centres, half))
        return line + offset[best], int(side[best])

    def _number(self, symbol: str, word: Word, half: np.ndarray, span: tuple, taken: Taken) -> Taken:
        begins, ends, y, side = span
        middle, first = (begins + ends) / 2.0, np.array([begins + half[0], ends + half[0] + 4.0, ends - half[0], begins - half[0] - 4.0])
        across = np.array([middle, first[0], first[2], middle, first[0], first[2], first[1], first[3], middle])
        rise = half[1] + _TICK + _GAP
        up = side * (np.array([1, 1, 1, 1, 1, 1, 0, 0, -1]) * rise + np.array([0, 0, 0, 2, 2, 2, 0, 0, 0]) * (half[1] + _GAP))
        usual = np.array([0.0, 0.5, 1.0, 3.0, 3.2, 3.4, 2.0, 2.5, 4.0])
        return self._put(word, half, symbol, np.column_stack([across, y + up]), usual, taken)

    def _draw(self, spans: list) -> None:
        gap = (np.nan, np.nan)
        rows, left, right = [], [], []
        for begins, ends, y, _ in spans:
            rows += [(begins, y - _TICK), (begins, y + _TICK), gap, (begins, y), (ends, y), gap, (ends, y - _TICK), (ends, y + _TICK), gap]
            if ends - begins >= _SHORTEST_ARROW:
                left.append((begins, y))
                right.append((ends, y))
        self._bars.set_data(*np.array(rows).T / 72.0)
        for heads, places in zip(self._heads, (left, right)):
            heads.set_data(*np.array(places).reshape(-1, 2).T / 72.0)


class Areas(Marks):
    """The heats as hatched areas with symbol and number, and in words what has no area."""

    def __init__(self, chart: Chart, animated: bool) -> None:
        super().__init__(chart, animated)
        self._areas = {}
        for symbol, hatch, look in (("q_e", "//", chart.style.looks[0]), ("q_c", "\\\\", chart.style.looks[1])):
            area = Polygon(np.zeros((3, 2)), closed=True, fill=False, hatch=hatch, linewidth=0.8, edgecolor=look.colour, animated=animated, zorder=1.2)
            area.set_alpha(0.55)
            self._areas[symbol] = chart.axes.add_patch(area)
        self.words = [Word(chart, animated), Word(chart, animated), Word(chart, animated), Word(chart, animated, 0.0)]
        edge = chart.axes.get_ylim()[0]
        unit = "°F" if chart.system == "IP" else "°C"
        note = ("(compressing has no area)", "areas count from 0 K up;", f"shown: above {edge:.0f} {unit}")
        self._note_half = self.words[3].say(note)

    @property
    def artists(self) -> list[Artist]:
        """Areas, words."""
        return [*self._areas.values(), *(word.artist for word in self.words)]

    def show(self, cycle: Cycle) -> None:
        """Take up a cycle's numbers and lines."""
        self._cycle = cycle
        path = {process.name: process for process in self.chart.processes_of(cycle)}
        edge = self.chart.axes.get_ylim()[0]
        for symbol, name in (("q_e", "boiling"), ("q_c", "condensing")):
            line = np.column_stack(self.chart.place(path[name]))
            self._areas[symbol].set_xy(np.vstack([line, (line[-1, 0], edge), (line[0, 0], edge)]))
        said = (f"q_e {self._shown(cycle.refrigerating_effect)}", f"q_c {self._shown(cycle.heat_rejected)}")
        work = f"w = q_c - q_e = {self._shown(cycle.specific_work)}"
        self._said = (*said, work)

    def settle(self, others: Taken) -> None:
        """Stand the numbers in their areas and the words in a corner."""
        if self._cycle is None:
            return
        axes, point = self.chart.axes, self._cycle.point
        met = {one.label: one for one in self._cycle.points}
        boiled = met.get("4a", met["1"])  # with liquid in the suction boiling does not end in the coil
        (s4, t4), (s1, _), (s2, _), (s3, t3), (_, t4a) = on_page(axes, [self.chart.place(p) for p in (*map(point, "4123"), boiled)])
        (left, bottom), (right, top) = frame_of(axes)
        cold, warm = min(t4, t4a), t3
        (e, c, w), note = (word.say([text]) for word, text in zip(self.words, self._said)), self._note_half
        inside, finely = s4 + _SHARES * (s1 - s4), s4 + np.array([0.5, 0.45, 0.42, 0.4, 0.38, 0.35, 0.55, 0.6, 0.3, 0.65, 0.25, 0.7]) * (s1 - s4)
        beside_e = np.concatenate([(s4 - e[0] - gap, s1 + e[0] + gap) for gap in (6.0, 24.0, 42.0)])
        beside_c = np.array([s2 + c[0] + 6.0, s3 - c[0] - 6.0])
        taken = self._in_area("q_e", 0, e, np.append(finely, beside_e), bottom + (cold - bottom) * _SHARES[:5], others)
        taken = self._in_area("q_c", 1, c, np.concatenate([inside, s3 + _SHARES * (s2 - s3), beside_c]), cold + (warm - cold) * _SHARES, taken)
        block = np.array([max(w[0], note[0]), w[1] + note[1]])
        across, up = np.linspace(left + block[0] + 3.0, right - block[0] - 3.0, 5), np.linspace(top - block[1] - 3.0, bottom + block[1] + 3.0, 7)
        centres = np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)
        area = taken.with_box(((s4 + s1) / 2.0, (bottom + cold) / 2.0), ((s1 - s4) / 2.0, (cold - bottom) / 2.0))
        usual = np.add.outer(np.arange(7), 1.5 * np.arange(5)).ravel()  # the left top corner, where no line is
        best = centres[self._least("note", usual + area.cost(centres, block, 2.0))]
        self.words[2].stand(best + (w[0] - block[0], block[1] - w[1]), w)
        self.words[3].stand(best + (note[0] - block[0], note[1] - block[1]), note)
        taken = taken.with_box(best, block)
        rest = len(others.boxes)
        self.taken = Taken(frame_of(axes), np.empty((0, 3)), taken.boxes[rest:], np.empty((0, 2)))

    def _in_area(self, symbol: str, index: int, half: np.ndarray, across: np.ndarray, up: np.ndarray, taken: Taken) -> Taken:
        centres = np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)
        usual = 0.6 * np.add.outer(np.arange(len(up)), np.arange(len(across)))
        if taken.cost(centres, half).min() >= _NO_ROOM:
            half = self.words[index].say([symbol])  # the symbol alone, where the number has no room
        return self._put(self.words[index], half, symbol, centres, usual.ravel(), taken, 0.0)
