"""The pictures of the changeover: the circuit drawing and both charts, kept ready for what was shown before.

What lives here: `ChangeoverPictures`.  What does not: which cycle is shown and when (changeover).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hpteach.circuit import Circuit, Flow
from hpteach.cycle import Cycle
from hpteach.diagrams import CHARTS, Chart, CircuitDrawing, CycleTrace, Style, axes_rectangle, cycle_path
from hpteach.fluids import Refrigerant
from hpteach.live import LiveFigure, Still
from hpteach.panels.changeover_words import MODES
from hpteach.panels.parts import chart_words
from hpteach.panels.shelf import Shelf

_TRAVELLED = (0.0, 0.0, 0.25, 0.5, 1.0, 1.0)  # share of the spool's way at each step, for the drawing only
_DRAWN = (0.0, 0.0, 1.0, 1.0)
_MOST_KEPT = 4  # refrigerants, unit systems and styles whose charts stay ready
_MOST_DRAWINGS = 6  # layouts, unit systems and styles whose drawing stays ready


@dataclass(frozen=True)
class _Scene:
    """One chart with a trace for each mode, and its still part without and with the names of both."""

    chart: Chart
    traces: Mapping[str, CycleTrace]
    unnamed: Still
    named: Still


class ChangeoverPictures:
    """Three live pictures: `circuit`, and `charts` by kind."""

    def __init__(self) -> None:
        self.circuit = LiveFigure(720, 518, scale=1.1, words="The circuit with its flow. The sentences below tell the path, the roles and what meters.")
        self.circuit.image.add_class("hpteach-circuit")
        self.charts = {kind: LiveFigure(540, 470, scale=1.1, words=chart_words(kind)) for kind in CHARTS}
        self._drawings: Shelf[tuple[CircuitDrawing, Still]] = Shelf(_MOST_DRAWINGS, lambda kept: [kept[0].axes])
        self._scenes: Shelf[dict[str, _Scene]] = Shelf(_MOST_KEPT, lambda scenes: [scene.chart.axes for scene in scenes.values()])
        self._laid: tuple | None = None  # what the charts show, unless they are faded

    def forget(self) -> None:
        """The charts are faded: they are drawn at the next chance, also where nothing else has changed."""
        self._laid = None

    def draw_circuit(self, circuit: Circuit, path: Flow, cycle: Cycle | None, system: str, style: Style, *, start: str, step: int) -> None:
        """Draw the circuit with its flow, and the spool at a step of its way from the mode `start`."""
        picture = self.circuit
        drawing, still = self._drawings.take((circuit.metering_layout.value, system), style, lambda: self._drawing(circuit, system, style))
        picture.lay(still)
        drawing.show(path, cycle)
        begins = float(start == "heating")
        drawing.between(begins + (1.0 - 2.0 * begins) * _TRAVELLED[step])
        picture.draw(drawing.artists)

    def draw_charts(self, fluid: Refrigerant, cycles: Mapping[str, Cycle], system: str, style: Style, *, covering: Sequence[Cycle]) -> None:
        """Draw the cycle of each mode on both charts, the last on top; without any the charts are faded.

        A new chart reaches over the cycles of `covering`.
        """
        wanted = (fluid.name, system, style, [*cycles.items()])  # the last lies on top
        if self._laid == wanted:
            return
        self._laid = wanted

        def fits(scenes: Mapping[str, _Scene]) -> bool:
            return all(scene.chart.covers(cycle) for scene in scenes.values() for cycle in cycles.values())

        def make() -> dict[str, _Scene]:
            return {kind: self._scene(kind, fluid, covering, system, style) for kind in CHARTS}

        scenes = self._scenes.take((fluid.name, system), style, make, fits=fits)
        paths = [cycle_path(fluid, cycle) for cycle in cycles.values()]
        for kind, picture in self.charts.items():
            scene = scenes[kind]
            picture.lay(scene.named if len(cycles) == len(MODES) else scene.unnamed)
            scene.chart.show_cycles({scene.traces[mode]: cycle for mode, cycle in cycles.items()}, paths)
            artists = [artist for mode in cycles for artist in scene.traces[mode].artists]
            picture.draw(sorted(artists, key=lambda artist: artist.get_zorder()))  # no line of one mode over a number of the other
            if not cycles:
                picture.veil()

    def _drawing(self, circuit: Circuit, system: str, style: Style) -> tuple[CircuitDrawing, Still]:
        for others in self.circuit.figure.axes:
            others.set_visible(False)
        drawing = CircuitDrawing(self.circuit.figure.add_axes(_DRAWN), circuit, system=system, style=style, animated=True)
        return drawing, self.circuit.keep()

    def _scene(self, kind: str, fluid: Refrigerant, covering: Sequence[Cycle], system: str, style: Style) -> _Scene:
        picture = self.charts[kind]
        for others in picture.figure.axes:
            others.set_visible(False)
        chart = CHARTS[kind](picture.figure.add_axes(axes_rectangle(picture.figure, style)), fluid, system=system, style=style, covering=covering)
        traces = {mode: chart.add_cycle(covering[0], label=mode, look=look, animated=True) for look, mode in enumerate(MODES)}
        unnamed = picture.keep()
        # The names take the place of most of the title; the axes say which chart it is.
        chart.axes.set_title(fluid.name, fontsize=style.title_size, color=style.ink, loc="left")
        chart.name_cycles(list(traces.values()))
        return _Scene(chart, traces, unnamed, picture.keep())
