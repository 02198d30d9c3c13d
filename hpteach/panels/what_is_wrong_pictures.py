"""The pictures of what is wrong: healthy and faulty cycle over each other on both charts, and the circuit with the faulty part marked.

What lives here: `WrongPictures`, the marks on the circuit.  What does not: which fault is shown (what_is_wrong), the charts and the drawing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import ipywidgets

from hpteach.circuit import INDOOR_COIL, OUTDOOR_COIL, REVERSING_VALVE, Circuit, Flow, flow, reversible_circuit
from hpteach.cycle import Cycle
from hpteach.diagrams import CHARTS, Chart, CircuitDrawing, CycleTrace, Style, axes_rectangle, cycle_path, fitting_title, row_of_names
from hpteach.diagrams import circuit_layout as layout
from hpteach.diagrams.circuit_drawing import Word, Words
from hpteach.fluids import refrigerant
from hpteach.live import LiveFigure, Still
from hpteach.machine.faults import Fault
from hpteach.machine.trouble import Trouble
from hpteach.panels.parts import WRAPPED, chart_words
from hpteach.panels.shelf import Shelf
from hpteach.panels.what_is_wrong_words import family

_MOST_KEPT, _MOST_DRAWINGS = 5, 4
"""Pairs of charts and drawings that stay ready; each picture is 2.4 MB, and more on a dense screen."""

_STEP = 40.0  # K
_DRAWN = (0.0, 0.0, 1.0, 1.0)
_CIRCUIT_WORDS = "The circuit as it runs, with the faulty part framed and named. The sentences below tell the same."

_MARKS = {
    "valve_stuck_heating": "valve stuck\nin heating", "valve_stuck_cooling": "valve stuck\nin cooling", "wrong_wiring": "valve wired\nthe other way",
    "valve_between": "valve stuck\nbetween", "spool_leak": "valve leaks\nacross", "check_valve_shut": "check valve\nstuck shut", "check_valve_leaking": "check valve\nleaks",
    "metering_stuck_open": "metering\nstuck open", "metering_restricted": "metering\nrestricted", "metering_stuck_shut": "metering\nstuck shut",
    "coil_dirty": "coil dirty", "fan_failed": "fan\nstands still", "undercharge": "refrigerant\nmissing", "overcharge": "too much\nrefrigerant",
    "liquid_line_restricted": "liquid line\nrestricted", "foreign_gas": "foreign gas", "compressor_worn": "valves of\ncompressor\nworn", "defrost_never_starts": "coil thick\nwith frost",
}  # fmt: skip
_WORD_PLACE = (58.0, 36.0)
"""Where the word of a fault stands: between both parts, where the drawing has nothing."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Mark:
    """A frame round the faulty part (None where it is everywhere), and the word on it."""

    frame: Box | None
    word: Word


@dataclass(frozen=True)
class _Scene:
    """One chart with the healthy and the faulty cycle that move over it; `sound` is its still part without the names of both."""

    chart: Chart
    healthy: CycleTrace
    faulty: CycleTrace
    sound: Still
    named: Still


@dataclass(frozen=True)
class _Drawn:
    """The circuit drawing with the frame and the word that mark a fault."""

    drawing: CircuitDrawing
    frame: Any
    words: Words
    still: Still


def mark_of(one: Fault, found: Trouble) -> Mark:
    """Where a fault is marked in the circuit, and with which word.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> from hpteach.machine.trouble import trouble
    >>> worn = fault("compressor_worn")
    >>> found = trouble(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47), [worn])
    >>> mark_of(worn, found).word.text.split()
    ['fault:', 'valves', 'of', 'compressor', 'worn']
    """
    of = family(one.kind.id)
    word = Word(f"fault{'' if found.shows(one) else ', hides'}:\n{_MARKS[of]}", _WORD_PLACE, size=10.0, weight="bold", box=True)
    return Mark(_frame_of(one, found), word)


def _frame_of(one: Fault, found: Trouble) -> Box | None:
    id, of, place = one.kind.id, family(one.kind.id), layout.where(one.kind.id)
    if id in ("undercharge", "overcharge"):
        return None
    if of.startswith(("check_valve", "metering")):
        x, y = layout.DEVICE_ACROSS[place], layout.CHECK_LEVEL if of.startswith("check") else layout.DEVICE_LEVEL
        return x - 4.6, y - 2.6, x + 4.6, y + 2.6
    if one.kind.part == REVERSING_VALVE:
        left, bottom, right, top = layout.VALVE_BODY
        return left - 0.7, bottom - 1.2, right + 0.9, top + 1.2
    if one.kind.part == "compressor":
        x, y, away = *layout.COMPRESSOR_PLACE, layout.COMPRESSOR_RADIUS + 0.5
        return x - away, y - away, x + layout.COMPRESSOR_RADIUS, y + away
    if one.kind.part == "liquid line":
        return 52.6, layout.DEVICE_LEVEL - 1.5, 63.4, layout.DEVICE_LEVEL + 1.5
    coil = INDOOR_COIL if place == "indoor" else OUTDOOR_COIL
    if id == "foreign_gas":
        coil = found.found.cycle.flow.condenser or OUTDOOR_COIL
    left, bottom, right, top = layout.COIL_BODIES[coil]
    return left - 1.2, bottom - 1.0, right + 1.2, top + 1.0


def flow_of(found: Trouble) -> Flow:
    """The flow with what is stuck or leaks, as far as the circuit knows it."""
    stuck: dict[str, str] = {}
    for one in found.faults:
        of = family(one.kind.id)
        if of in ("spool_leak", "valve_between"):
            stuck[REVERSING_VALVE] = "leaking"
        elif of.startswith("valve_stuck"):
            stuck[REVERSING_VALVE] = found.found.valve_position.value
        elif of.startswith("check_valve"):
            stuck[one.kind.part] = of.removeprefix("check_valve_")
    return flow(circuit_of(found), found.found.valve_position, stuck=stuck)


_USUAL, _BOTH_WAYS = reversible_circuit(), reversible_circuit(kind="electronic valve")


def circuit_of(found: Trouble) -> Circuit:
    """The circuit to draw: with devices that let liquid squeeze through backwards where a check valve has stuck shut, as the machine reckons it."""
    return _BOTH_WAYS if any(one.kind.id.endswith("check_valve_shut") for one in found.faults) else _USUAL


class WrongPictures:
    """Three live pictures: `charts` by kind, and `circuit`; `row` holds both charts."""

    def __init__(self) -> None:
        self.charts = {kind: LiveFigure(540, 470, scale=1.1, words=chart_words(kind)) for kind in CHARTS}
        self.circuit = LiveFigure(720, 518, scale=1.1, words=_CIRCUIT_WORDS)
        self.circuit.image.add_class("hpteach-circuit")
        self.live = (*self.charts.values(), self.circuit)
        self._scenes: Shelf[dict[str, _Scene]] = Shelf(_MOST_KEPT, lambda scenes: [scene.chart.axes for scene in scenes.values()])
        self._drawings: Shelf[_Drawn] = Shelf(_MOST_DRAWINGS, lambda kept: [kept.drawing.axes])
        for picture in self.live:
            layout_ = picture.image.layout
            layout_.flex, layout_.min_width, layout_.max_width = "1 1 400px", "0", "720px"
        self.row = ipywidgets.Box([picture.image for picture in self.charts.values()], layout=WRAPPED)
        self.row.add_class("hpteach-drawn")

    def draw(self, found: Trouble, *, system: str, style: Style) -> None:
        """Show the healthy cycle dashed under the faulty one, and the circuit; without a fault the healthy one alone."""
        self._draw_charts(found, system, style)
        circuit = circuit_of(found)
        kept = self._drawings.take((system, circuit is _USUAL), style, lambda: self._drawing(circuit, system, style))
        self.circuit.lay(kept.still)
        kept.drawing.show(flow_of(found), found.found.cycle)
        marks = [mark_of(one, found) for one in found.faults]
        frame = next((mark.frame for mark in marks if mark.frame is not None), None)
        kept.frame.set_visible(frame is not None)
        if frame is not None:
            left, bottom, right, top = frame
            kept.frame.set_data([left, right, right, left, left], [bottom, bottom, top, top, bottom])
        kept.words.words = {f"fault {number}": mark.word for number, mark in enumerate(marks)}
        self.circuit.draw([*kept.drawing.artists, *([kept.frame] if frame is not None else []), kept.words])

    def _draw_charts(self, found: Trouble, system: str, style: Style) -> None:
        healthy, faulty = found.healthy.cycle, found.found.cycle
        fluid, reaching = refrigerant(faulty.refrigerant), _reach([healthy, faulty])
        scenes = self._scenes.take((fluid.name, system, reaching), style, lambda: {kind: self._scene(kind, healthy, reaching, system, style) for kind in CHARTS})
        both = bool(found.faults)
        paths = [cycle_path(fluid, one) for one in ([healthy, faulty] if both else [faulty])]
        for kind, picture in self.charts.items():
            scene = scenes[kind]
            picture.lay(scene.named if both else scene.sound)
            scene.chart.show_cycles({**({scene.healthy: healthy} if both else {}), scene.faulty: faulty}, paths)
            traces = [scene.healthy, scene.faulty] if both else [scene.faulty]
            picture.draw(sorted((artist for trace in traces for artist in trace.artists), key=lambda artist: artist.get_zorder()))

    def _scene(self, kind: str, cycle: Cycle, reaching: tuple[float, float], system: str, style: Style) -> _Scene:
        picture, fluid = self.charts[kind], refrigerant(cycle.refrigerant)
        _hide(picture)
        figure = picture.figure
        chart = CHARTS[kind](figure.add_axes(axes_rectangle(figure, style, names=True)), fluid, system=system, style=style, reaching=reaching)
        healthy = chart.add_cycle(cycle, label="healthy", look=1, animated=True, numbered=False)
        faulty = chart.add_cycle(cycle, label="with the fault", look=0, animated=True)
        fitting_title(chart.axes, [f"{fluid.name}: {chart.title}", chart.title.capitalize()], style.title_size, style, above=row_of_names(style))
        sound = picture.keep()
        chart.name_cycles([healthy, faulty])
        return _Scene(chart, healthy, faulty, sound, picture.keep())

    def _drawing(self, circuit: Circuit, system: str, style: Style) -> _Drawn:
        _hide(self.circuit)
        drawing = CircuitDrawing(self.circuit.figure.add_axes(_DRAWN), circuit, system=system, style=style, animated=True)
        (frame,) = drawing.axes.plot([], [], color=style.ink, linewidth=2.6, linestyle=(0, (2.2, 1.2)), zorder=7.5, animated=True)
        words = Words(drawing.axes, style, pixels=True)
        words.set_animated(True)
        return _Drawn(drawing, frame, words, self.circuit.keep())


def _reach(cycles: list[Cycle]) -> tuple[float, float]:
    """Coldest and hottest temperature (K) of a chart for some cycles, in whole steps: so the same fault has the same chart, whatever was shown before."""
    temperatures = [point.temperature for cycle in cycles for point in cycle.points]
    return _STEP * math.floor(min(temperatures) / _STEP), _STEP * math.ceil(max(temperatures) / _STEP)


def _hide(picture: LiveFigure) -> None:
    for others in picture.figure.axes:
        others.set_visible(False)
