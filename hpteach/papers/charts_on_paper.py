"""The charts of a paper, each drawn once: the one that a question is answered from, a blank one to draw on, and what the key shows.

What lives here: `ChartsOnPaper`.  What does not: what a chart shows (question_pictures, diagrams), how a drawing is written down (svg).

Drawing the background of a chart takes longer than all else on a paper, and there are few different ones.  So each is drawn once for
each refrigerant and unit system, and cycles are laid over it.  In the key it is written down once too, and pointed to from then on.  The chart of a
drawing task in the key is the very one that was handed out blank: both can be held against the light, one behind the other.
"""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup
from matplotlib.artist import Artist

from hpteach.cycle import Cycle
from hpteach.diagrams import PAPER, Chart, CycleTrace, PressureEnthalpyChart, axes_rectangle, lay_fine_grid
from hpteach.diagrams.reading_chart import add_cycle_to_read, draw_reading_chart
from hpteach.errors import HpteachError
from hpteach.fluids import refrigerant
from hpteach.papers.svg import figure_for, svg_marks, svg_picture
from hpteach.question_pictures import CyclesShown, NamedCycle, Picture, asked_picture, solution_picture
from hpteach.questions import Variant

WIDE = 176.0
"""Millimetres on the page: A4 and Letter both leave that much between their margins."""

SOLUTION_WIDE = 120.0

_DRAWN_ON = "pressure-enthalpy"
_BLANK = (200.0, 165.0)
_BLANK_TITLE = "Blank pressure-enthalpy chart of {} with a fine grid, to draw on"
_DRAWN_TITLE = "Pressure-enthalpy chart of {} with the cycle that was to be drawn"

Key = tuple[object, ...]


class ChartsOnPaper:
    """Pictures as SVG, kept once they are drawn; with `charts` false there are none but those that a form cannot do without."""

    def __init__(self, *, charts: bool = True) -> None:
        self._charts = charts
        self._blank: dict[Key, _Background] = {}
        self._shown: dict[Key, _Background] = {}
        self._kept: dict[Key, str] = {}

    def asked(self, variant: Variant) -> Markup:
        """The chart from which a question is answered; nothing where it is answered without one."""
        chart = variant.chart
        if chart is None:
            return Markup()
        picture = asked_picture(variant)
        cycle, usual = chart.cycle, ("to read", chart.kind, chart.refrigerant, variant.system)
        if usual not in self._shown:
            figure = figure_for(*_size(picture))
            axes = figure.add_axes(axes_rectangle(figure, PAPER))
            self._shown[usual] = _Background("", draw_reading_chart(axes, chart.kind, refrigerant(chart.refrigerant), system=variant.system, style=PAPER))
        background = self._shown[usual]
        if cycle is None:
            marks = background.marks
        elif background.covers([cycle]):
            marks = background.marks + background.to_read(cycle, chart.marked)
        else:
            marks = self._once(picture, variant.system)
        return _written(marks, _size(picture), picture.caption, WIDE)

    def blank(self, cycle: Cycle, system: str) -> Markup:
        """A chart of the cycle's refrigerant, without the cycle, which has room on it."""
        return _written(self._blank_for(cycle, system).marks, _BLANK, _BLANK_TITLE.format(cycle.refrigerant), WIDE)

    def drawn(self, cycle: Cycle, system: str) -> Markup:
        """The same chart with the cycle, for a page on which a chart need be written down only once."""
        background = self._blank_for(cycle, system)
        return _written(background.again() + background.over(CyclesShown((NamedCycle(cycle, "the cycle"),), _DRAWN_ON, system)), _BLANK, _DRAWN_TITLE.format(cycle.refrigerant), WIDE)

    def solution(self, variant: Variant) -> Markup:
        """What the worked solution shows, for such a page too; nothing where there is nothing to draw, or no charts are wanted."""
        picture = self._picture(variant) if self._charts else None
        if picture is None:
            return Markup()
        if picture.cycles is None:
            return _written(self._once(picture, variant.system), _size(picture), picture.caption, SOLUTION_WIDE)
        background = self._background_for(picture)
        return _written(background.again() + background.over(picture.cycles), _size(picture), picture.caption, SOLUTION_WIDE)

    def _once(self, picture: Picture, system: str) -> str:
        """The marks of a picture, drawn once for all that read alike."""
        key: Key = (picture.caption, picture.sentences, system)
        if not picture.sentences:
            return _marks_of(picture)
        if key not in self._kept:
            self._kept[key] = _marks_of(picture)
        return self._kept[key]

    @staticmethod
    def _picture(variant: Variant) -> Picture | None:
        try:
            return solution_picture(variant)
        except HpteachError:  # a machine whose fault keeps it from running has no cycle to show
            return None

    def _blank_for(self, cycle: Cycle, system: str) -> _Background:
        def chart(*covering: Cycle) -> Chart:
            figure = figure_for(*_BLANK)
            axes = figure.add_axes(axes_rectangle(figure, PAPER))
            made = PressureEnthalpyChart(axes, refrigerant(cycle.refrigerant), system=system, style=PAPER, covering=covering)
            lay_fine_grid(made)
            return made

        usual: Key = (cycle.refrigerant, system)
        if usual not in self._blank:
            self._blank[usual] = _Background(f"blank{len(self._blank)}", chart())
        if self._blank[usual].covers([cycle]):
            return self._blank[usual]
        own: Key = (*usual, cycle.points)
        if own not in self._blank:
            self._blank[own] = _Background(f"blank{len(self._blank)}", chart(cycle))
        return self._blank[own]

    def _background_for(self, picture: Picture) -> _Background:
        shown = picture.cycles
        usual: Key = (shown.kind, shown.fluids, shown.system, len(shown.named))
        if usual not in self._shown:
            self._shown[usual] = _Background(f"chart{len(self._shown)}", shown.chart(figure_for(*_size(picture)), PAPER, covering=False))
        if self._shown[usual].covers([one.cycle for one in shown.named]):
            return self._shown[usual]
        return _Background("", shown.chart(figure_for(*_size(picture)), PAPER))


class _Background:
    """A chart without a cycle, over which cycles can be laid; `name` is what a page calls it, or "" for one that is used once."""

    def __init__(self, name: str, chart: Chart) -> None:
        self._name, self._chart = name, chart
        self.marks = svg_marks(chart.axes.figure)
        self._traces: dict[bool, list[CycleTrace]] = {}
        self._written = False

    def covers(self, cycles: Sequence[Cycle]) -> bool:
        return all(self._chart.covers(cycle) for cycle in cycles)

    def again(self) -> str:
        """The chart's marks the first time, and afterwards only where they stand on the same page."""
        if not self._name:
            return self.marks
        if self._written:
            return f'<use href="#{self._name}"/>'
        self._written = True
        return f'<g id="{self._name}">{self.marks}</g>'

    def to_read(self, cycle: Cycle, marked: Sequence[str]) -> str:
        """The marks of a cycle from which numbers are read."""
        artists = add_cycle_to_read(self._chart, cycle, marked)
        marks = svg_marks(self._chart.axes.figure, artists)
        for artist in artists:
            artist.remove()
        return marks

    def over(self, shown: CyclesShown) -> str:
        """The marks of cycles alone."""
        several = len(shown.named) > 1
        if several not in self._traces:
            self._traces[several] = shown.traces(self._chart)
        traces = self._traces[several]
        for trace, one in zip(traces, shown.named):
            trace.label = one.name
        self._chart.show_cycles({trace: one.cycle for trace, one in zip(traces, shown.named)})
        artists: list[Artist] = [artist for trace in traces for artist in trace.artists]
        if several:
            self._chart.name_cycles(traces)
            names = self._chart.axes.artists[-1]
            marks = svg_marks(self._chart.axes.figure, [*artists, names])
            names.remove()
            return marks
        return svg_marks(self._chart.axes.figure, artists)


def _size(picture: Picture) -> tuple[float, float]:
    """Millimetres of a size in hundredths of an inch."""
    width, height = picture.size
    return 0.254 * width, 0.254 * height


def _marks_of(picture: Picture) -> str:
    figure = figure_for(*_size(picture))
    for artist in picture.draw(figure, PAPER):
        artist.set_animated(False)
    return svg_marks(figure)


def _written(marks: str, size: tuple[float, float], title: str, shown: float) -> Markup:
    return Markup(svg_picture(marks, *size, title, shown=min(size[0], shown)))
