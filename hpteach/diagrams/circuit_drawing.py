"""The circuit as a drawing that turns with the reversing valve: lines, arrows, roles, state points.

What lives here: `CircuitDrawing`.  What does not: where parts stand (circuit_layout), which way
the refrigerant flows (circuit), readings of a cycle (cycle).

Colour never carries meaning alone: phase and pressure side are told by the kind of line and by a
short word on it; a part that is open has another shape than one that is shut, a stuck one a frame, and each a word.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.text import Text

from hpteach.circuit import INDOOR_COIL, LIQUID_LINE, REVERSING_VALVE, VAPOUR_LINE, Circuit, Flow, ValvePosition, flow
from hpteach.cycle import Cycle
from hpteach.diagrams import circuit_layout as layout
from hpteach.diagrams.circuit_layout import HIGH_LIQUID, HIGH_VAPOUR, LOW_MIXTURE, LOW_VAPOUR, STILL, UNMETERED, Place
from hpteach.diagrams.pressure_temperature import MovingLabel
from hpteach.diagrams.stamp import rendered
from hpteach.diagrams.style import SCREEN, Style
from hpteach.errors import LimitError
from hpteach.units import show

# kind of line: (weight in points, dashes in weights, which of the style's looks has its colour)
_LINES: dict[str, tuple[float, Any, int]] = {
    STILL: (1.3, (0, (1.0, 2.5)), 0),
    UNMETERED: (1.6, "-", 0),
    LOW_VAPOUR: (5.0, "-", 0),
    LOW_MIXTURE: (2.8, (0, (4.0, 1.2, 1.0, 1.2)), 0),
    HIGH_LIQUID: (3.2, (0, (2.2, 1.0)), 1),
    HIGH_VAPOUR: (4.4, "-", 1),
}
_HOLLOW = 2.4  # points of paper along the middle of the double line
_MARKERS = {"right": ">", "left": "<", "up": "^", "down": "v"}
_SMALL, _USUAL = 9.0, 10.0  # points

# Where the moving words stand: (place, across, up).
_LINE_WORDS = {
    "discharge line": ((37.2, 68.3), "left", "center"),
    "suction line": ((34.9, 48.2), "right", "center"),
    VAPOUR_LINE: ((58.0, 48.4), "center", "center"),
    LIQUID_LINE: ((58.0, 17.6), "center", "center"),
}
_READINGS = {
    "compressor, suction": ((33.6, 44.0), (1.0, 0.5)),
    "compressor, discharge": ((40.6, 32.4), (0.0, 0.5)),
    "outdoor coil, liquid side": ((12.0, 26.6), (1.0, 0.5)),
    "indoor coil, liquid side": ((87.1, 26.6), (0.0, 0.5)),
}


@dataclass(frozen=True)
class Word:
    """A text with its place on the sheet; `box` draws a frame round it."""

    text: str
    place: Place
    across: str = "center"
    up: str = "center"
    size: float = _SMALL
    weight: str = "normal"
    box: bool = False


class Words(Artist):
    """Words that change at a move; as pixels, rendered once for each text, or as text for a file."""

    def __init__(self, axes: Axes, style: Style, *, pixels: bool) -> None:
        super().__init__()
        self.words: dict[str, Word] = {}
        self._style, self._as_pixels = style, pixels
        self._kept: dict[tuple[Any, ...], np.ndarray] = {}
        self._texts: dict[str, Text] = {}
        axes.add_artist(self)
        self.set_zorder(8.0)

    def boxes(self, renderer: Any) -> dict[str, tuple[float, float, float, float]]:
        """Left, bottom, right and top of each word in pixels."""
        return {name: self._box(name, word, renderer) for name, word in self.words.items()}

    def draw(self, renderer: Any) -> None:
        """Set the words down."""
        if not self.get_visible():
            return
        graphics = renderer.new_gc()
        for name, word in self.words.items():
            if self._as_pixels:
                left, bottom, _, _ = self._box(name, word, renderer)
                renderer.draw_image(graphics, left, bottom, self._pixels(word))
            else:
                self._text(name, word).draw(renderer)
        graphics.restore()

    def _box(self, name: str, word: Word, renderer: Any) -> tuple[float, float, float, float]:
        if not self._as_pixels:
            return self._text(name, word).get_window_extent(renderer).extents
        height, width = self._pixels(word).shape[:2]
        x, y = self.axes.transData.transform(word.place)
        left = round(x - width * {"left": 0.0, "center": 0.5, "right": 1.0}[word.across])
        bottom = round(y - height * {"bottom": 0.0, "center": 0.5, "top": 1.0}[word.up])
        return left, bottom, left + width, bottom + height

    def _look(self, word: Word) -> dict[str, Any]:
        frame = {"boxstyle": "circle,pad=0.16" if len(word.text) == 1 else "round,pad=0.2", "facecolor": self._style.paper, "linewidth": 1.2}
        return {"fontsize": word.size, "fontweight": word.weight, "color": self._style.ink, "bbox": frame if word.box else None}

    def _pixels(self, word: Word) -> np.ndarray:
        key = (word.text, word.size, word.weight, word.box)
        if key not in self._kept:
            self._kept[key] = rendered(word.text, self.figure.dpi, self._look(word))
        return self._kept[key]

    def _text(self, name: str, word: Word) -> Text:
        text = Text(*word.place, word.text, ha=word.across, va=word.up, transform=self.axes.transData, **self._look(word))
        text.set_figure(self.figure)
        return text


class CircuitDrawing:
    """A reversible circuit drawn on given Axes; `show` turns it to a flow, with the readings of a cycle.

    `system` ("SI" or "IP") sets the units of the readings.  With `animated` every artist of `artists` is
    left to a live picture to draw, on an Agg canvas; else the drawing can be saved in any format.

    >>> from matplotlib.figure import Figure
    >>> from hpteach.circuit import reversible_circuit
    >>> circuit = reversible_circuit()
    >>> drawing = CircuitDrawing(Figure(figsize=(7, 5)).add_axes((0, 0, 1, 1)), circuit)
    >>> drawing.show(flow(circuit, ValvePosition.HEATING))
    >>> drawing.words["indoor coil"].text, drawing.words["outdoor metering device"].text
    ('condenser', 'meters')
    """

    def __init__(self, axes: Axes, circuit: Circuit, *, system: str = "SI", style: Style = SCREEN, animated: bool = False) -> None:
        self.axes, self.circuit, self.system, self.style = axes, circuit, system, style
        self.pipework = layout.Pipework(circuit)
        self.flow: Flow | None = None
        self._said: dict[str, Word] = {}
        self._animated = animated
        axes.set(xlim=(0.0, layout.WIDTH), ylim=(0.0, layout.HEIGHT))
        axes.set_axis_off()
        self._draw_still()
        self._lines = {kind: self._collection(kind, 3.0 + 0.01 * k) for k, kind in enumerate(_LINES)}
        self._hollow = self._add(LineCollection([], colors=style.paper, linewidths=_HOLLOW, zorder=3.025))
        self._arrows = {way: self._arrow(marker) for way, marker in _MARKERS.items()}
        self._still_signs = layout.device_signs(circuit, self.pipework.fittings)
        self._signs = self._add(PolyCollection([], edgecolors=style.ink, linewidths=1.4, zorder=5.0))
        self._slide = axes.add_patch(Polygon([(0.0, 0.0)] * 3, closed=False, fill=False, edgecolor=style.ink, linewidth=2.2, zorder=5.3, animated=animated))
        self._words = self._add(Words(axes, style, pixels=animated))
        small = replace(style, isoline_size=_SMALL - 1.0)
        labels = [MovingLabel(axes, style.ink, small, align=align, offset=(0.0, 0.0)) for _, align in _READINGS.values()] if animated else []
        self._labels = dict(zip(_READINGS, labels))

    @property
    def artists(self) -> list[Artist]:
        """Everything that moves, lowest first."""
        low = [self._lines[kind] for kind in (STILL, UNMETERED, LOW_VAPOUR)]
        rest = [collection for kind, collection in self._lines.items() if kind not in (STILL, UNMETERED, LOW_VAPOUR)]
        above = [*self._arrows.values(), self._signs, self._slide, self._words, *self._labels.values()]
        return [artist for artist in (*low, self._hollow, *rest, *above) if artist.get_visible()]

    @property
    def words(self) -> dict[str, Word]:
        """The words that the drawing says at the moment, by what they are about."""
        return dict(self._words.words)

    @property
    def arrows(self) -> dict[str, np.ndarray]:
        """The places of the arrow heads by the way that they point: "right", "left", "up", "down"."""
        return {way: np.asarray(line.get_xydata()) for way, line in self._arrows.items()}

    def show(self, flow: Flow, cycle: Cycle | None = None) -> None:
        """Turn the drawing to a flow of its circuit; with a cycle, temperature and pressure stand at the state points."""
        self._stand(layout.slide_centre(self.circuit.reversing_valve, flow.valve_position))
        if flow != self.flow:
            flowing = self.pipework.flowing(flow)
            self._lay_lines(flow, flowing)
            self._set_signs(flow, runs=bool(flowing))
            self._said = self._status_words(flow, runs=bool(flowing)) | self._line_words(flowing)
            self.flow = flow
        places = {flow.place(label): label for label in "1234"} if flow.condenser and flow.evaporator else {}
        words = {f"state {label}": Word(label, layout.STATE_PLACES[place], size=_USUAL, weight="bold", box=True) for place, label in places.items()}
        self._words.words = self._said | words | self._show_readings(places, cycle)

    def between(self, share: float) -> None:
        """Draw the spool at a share of its travel: 0 where it stands in cooling, 1 in heating.

        On its way the lines are those of a spool between its seats.  Raises `LimitError` for a share outside 0 to 1.
        """
        if not 0.0 <= share <= 1.0:
            raise LimitError(f"share of the spool's travel of {share:g} is outside 0 to 1: use 0 for cooling, 1 for heating")
        position = {0.0: ValvePosition.COOLING, 1.0: ValvePosition.HEATING}.get(share, ValvePosition.BETWEEN)
        if self.flow is None or self.flow.valve_position is not position:
            self.show(flow(self.circuit, position))
        cooling, heating = (layout.slide_centre(self.circuit.reversing_valve, end) for end in (ValvePosition.COOLING, ValvePosition.HEATING))
        self._stand(cooling + share * (heating - cooling))

    # What moves ---------------------------------------------------------------------------

    def _stand(self, centre: float) -> None:
        bottom, top = layout.VALVE_BODY[1], layout.VALVE_BODY[1] + 3.5
        self._slide.set_xy([(centre - 5.0, bottom), (centre - 4.6, top - 0.9), (centre - 3.6, top), (centre + 3.6, top), (centre + 4.6, top - 0.9), (centre + 5.0, bottom)])

    def _lay_lines(self, flow: Flow, flowing: list[layout.Stretch]) -> None:
        filled = {kind: [stretch.line for stretch in flowing if stretch.filled == kind] for kind in _LINES}
        filled[STILL] = self.pipework.still(flow)
        for kind, collection in self._lines.items():
            collection.set_segments([piece for line in filled[kind] for piece in layout.parted(line)])
            collection.set_visible(bool(filled[kind]))
        self._hollow.set_segments(self._lines[LOW_VAPOUR].get_segments())
        self._hollow.set_visible(bool(filled[LOW_VAPOUR]))
        avoid = [*layout.STATE_PLACES.values(), layout.HOP, *(fitting.place for fitting in self.pipework.fittings)]
        heads: dict[str, list[Place]] = {way: [] for way in _MARKERS}
        for stretch in flowing:
            if stretch.component in (None, VAPOUR_LINE, LIQUID_LINE):
                for place, way in layout.arrows(stretch.line, avoid):
                    heads[way].append(place)
        for way, line in self._arrows.items():
            line.set_data(*np.reshape(heads[way], (-1, 2)).T)

    def _set_signs(self, flow: Flow, *, runs: bool) -> None:
        """Each part as it is: hollow, or full where it is shut; a frame round one that is stuck, a drop at one that leaks."""
        paper, ink, clear = self.style.paper, self.style.ink, (0.0, 0.0, 0.0, 0.0)
        signs = [(name, sign, ink if flow.stuck.get(name) == "shut" else paper) for name, sign in self._still_signs]
        for valve in self.circuit.check_valves:
            x = layout.DEVICE_ACROSS[layout.where(valve.name)]
            (start, _), (end, _) = self.pipework.insides[valve.name]
            ahead = 1.0 if (end > start) == (valve.opens_towards == INDOOR_COIL) else -1.0
            opened = self._state(valve.name, flow, runs) == "open"
            body, seat = layout.check_signs(x, ahead, opened=opened)
            signs += [(valve.name, body, paper if opened else ink), (valve.name, seat, ink)]
            if valve.name in flow.leaks:
                signs.append(("", layout.drop(x + 3.3 * ahead, layout.CHECK_LEVEL + 1.2), ink))
        left, bottom, right, top = layout.VALVE_BODY
        signs.append((REVERSING_VALVE, [(left, bottom), (right, bottom), (right, top), (left, top)], clear))
        if REVERSING_VALVE in flow.leaks:
            signs.append(("", layout.drop(layout.slide_centre(self.circuit.reversing_valve, flow.valve_position), bottom + 4.5), ink))
        clamped = [part for part, state in flow.stuck.items() if state != "leaking"]
        frames = [layout.clamp([sign for name, sign, _ in signs if name == part]) for part in clamped]
        self._signs.set_verts([*(sign for _, sign, _ in signs), *frames])
        self._signs.set_facecolor([*(face for _, _, face in signs), *(clear for _ in frames)])

    def _status_words(self, flow: Flow, *, runs: bool) -> dict[str, Word]:
        stuck = flow.stuck.get(REVERSING_VALVE, "leaking") != "leaking"
        said = f"stuck {'' if flow.valve_position is ValvePosition.BETWEEN else 'in '}" if stuck else ""
        said += f"{flow.valve_position.value}{', leaks' if REVERSING_VALVE in flow.leaks else ''}"
        words = {REVERSING_VALVE: Word(said, (24.3, 58.3), across="right", size=_USUAL, weight="bold")}
        for coil, (left, bottom, right, top) in layout.COIL_BODIES.items():
            words[coil] = Word(flow.role(coil) or "no role", ((left + right) / 2.0 - 0.6, (bottom + top) / 2.0), size=_USUAL, weight="bold")
        for device in self.circuit.metering_devices:
            place = (layout.DEVICE_ACROSS[layout.where(device.name)], layout.DEVICE_LEVEL + 4.9)
            words[device.name] = Word(self._doing(device.name, flow, runs), place, size=_USUAL, weight="bold")
        for valve in self.circuit.check_valves:
            said = f"stuck {flow.stuck[valve.name]}" if flow.stuck.get(valve.name, "leaking") != "leaking" else self._state(valve.name, flow, runs)
            said = "leaks" if valve.name in flow.leaks else said
            words[valve.name] = Word(f"check valve {said}", layout.CHECK_WORDS[layout.where(valve.name)])
        for fitting in self.pipework.fittings:
            if fitting.name in flow.stuck:
                words[fitting.name] = Word(f"stuck {flow.stuck[fitting.name]}", (fitting.words[0], fitting.words[1] + 4.6), weight="bold")
        # A part that covers its line is drawn over it, so it moves with the lines.
        words |= {one.name: Word(one.said, one.place, box=True) for one in self.pipework.fittings if one.place == one.words}
        return words

    @staticmethod
    def _state(check_valve: str, flow: Flow, runs: bool) -> str:
        """"open" or "shut"; where nothing runs, a check valve rests on its seat unless it is stuck off it."""
        held = flow.stuck.get(check_valve)
        if held in ("open", "shut"):
            return held
        return "open" if runs and flow.check_valves[layout.where(check_valve)] == "open" else "shut"

    @staticmethod
    def _doing(device: str, flow: Flow, runs: bool) -> str:
        if device in flow.stuck:
            return f"stuck {flow.stuck[device]}"
        if runs and device in (flow.metering.working, *flow.series):
            return "meters"
        if runs and device in {step.component for step in flow.path}:
            return "free"
        return "bypassed" if runs and device in (flow.metering.bypassed or "").split(" and ") else "no flow"

    def _line_words(self, flowing: list[layout.Stretch]) -> dict[str, Word]:
        filled = {stretch.component: stretch.filled for stretch in flowing}
        kinds = {
            "discharge line": flowing[0].filled if flowing else STILL,
            "suction line": flowing[-1].filled if flowing else STILL,
            VAPOUR_LINE: filled.get(VAPOUR_LINE, STILL),
            LIQUID_LINE: filled.get(LIQUID_LINE, STILL),
        }
        words = {line: Word(layout.SHORT[kind], *_LINE_WORDS[line]) for line, kind in kinds.items()}
        if any(fitting.place[0] == 36.0 for fitting in self.pipework.fittings):
            words["suction line"] = replace(words["suction line"], place=(29.4, 48.2))
        return words

    def _show_readings(self, places: dict[str, str], cycle: Cycle | None) -> dict[str, Word]:
        words = {}
        for place, (at, (across, _)) in _READINGS.items():
            rows: list[str] = []
            if cycle is not None and place in places:
                point = cycle.point(places[place])
                rows = [show(point.temperature, "temperature", self.system), show(point.pressure, "pressure", self.system)]
            if self._animated:
                self._labels[place].show(at, rows)
            elif rows:
                words[f"reading {places[place]}"] = Word("\n".join(rows), at, across="right" if across else "left")
        return words

    # What is still ------------------------------------------------------------------------

    def _draw_still(self) -> None:
        axes, style = self.axes, self.style
        for (left, bottom, right, top), name in ((layout.OUTDOOR_PART, "outdoor part"), (layout.INDOOR_PART, "indoor part")):
            axes.add_patch(Rectangle((left, bottom), right - left, top - bottom, fill=False, edgecolor=style.ink, linewidth=1.0, linestyle=(0, (7.0, 3.0)), zorder=1.0))
            self._say(name, (left + 1.2, top - 1.9), ha="left", size=_USUAL + 1.0, weight="bold")
        for coil, (left, bottom, right, top) in layout.COIL_BODIES.items():
            axes.add_patch(Rectangle((left, bottom), right - left, top - bottom, facecolor=style.paper, edgecolor=style.ink, linewidth=1.6, zorder=2.0))
            self._say(coil, ((left + right) / 2.0, 53.4), size=_USUAL)
        x, y = layout.COMPRESSOR_PLACE
        radius = layout.COMPRESSOR_RADIUS
        axes.add_patch(Circle((x, y), radius, facecolor=style.paper, edgecolor=style.ink, linewidth=1.8, zorder=2.0))
        axes.add_collection(LineCollection([[(x - 4.1, y + 1.9), (x + 3.5, y + 0.9)], [(x - 4.1, y - 1.9), (x + 3.5, y - 0.9)]], colors=style.ink, linewidths=1.4, zorder=2.1), autolim=False)
        self._say("compressor", (x - 1.9, y - 6.2), size=_USUAL)
        left, bottom, right, top = layout.VALVE_BODY
        axes.add_patch(Rectangle((left, bottom), right - left, top - bottom, facecolor=style.paper, edgecolor=style.ink, linewidth=1.8, zorder=2.0))
        self._say(REVERSING_VALVE, (24.3, 61.3), ha="right", size=_USUAL)
        for device in self.circuit.metering_devices:
            self._say("metering device", (layout.DEVICE_ACROSS[layout.where(device.name)], layout.DEVICE_LEVEL + 7.5))
        for name, y in ((VAPOUR_LINE, 53.8), (LIQUID_LINE, 23.0)):
            self._say(name, (58.0, y))
        for fitting in self.pipework.fittings:
            if fitting.said and fitting.place != fitting.words:
                self._say(fitting.said, fitting.words)
        self._draw_key()

    def _draw_key(self) -> None:
        for k, kind in enumerate((HIGH_VAPOUR, LOW_VAPOUR, HIGH_LIQUID, LOW_MIXTURE, STILL, UNMETERED)):
            x, y = 2.0 + 27.0 * (k // 2), 6.2 - 4.0 * (k % 2)
            weight, dashes, look = _LINES[kind]
            self.axes.add_line(Line2D([x, x + 9.0], [y, y], color=self._colour(kind, look), linewidth=weight, linestyle=dashes, zorder=2.0))
            if kind == LOW_VAPOUR:
                self.axes.add_line(Line2D([x, x + 9.0], [y, y], color=self.style.paper, linewidth=_HOLLOW, zorder=2.1))
            self._say(layout.SHORT[kind], (x + 10.4, y), ha="left")
        self._say("HP high pressure\nLP low pressure", (81.0, 4.2), ha="left")

    def _say(self, text: str, place: Place, *, ha: str = "center", size: float = _SMALL, weight: str = "normal") -> Text:
        return self.axes.text(*place, text, ha=ha, va="center", fontsize=size, fontweight=weight, color=self.style.ink, zorder=4.0)

    # Makers -------------------------------------------------------------------------------

    def _add(self, artist: Any) -> Any:
        artist.set_animated(self._animated)
        if isinstance(artist, Words):
            return artist
        return self.axes.add_collection(artist, autolim=False)

    def _colour(self, kind: str, look: int) -> str:
        return self.style.ink if kind in (STILL, UNMETERED) else self.style.looks[look].colour

    def _collection(self, kind: str, zorder: float) -> LineCollection:
        weight, dashes, look = _LINES[kind]
        how = {"colors": self._colour(kind, look), "linewidths": weight, "linestyles": [dashes], "zorder": zorder, "capstyle": "butt"}
        return self._add(LineCollection([], label=kind, **how))

    def _arrow(self, marker: str) -> Line2D:
        how = {"marker": marker, "markersize": 10.0, "markerfacecolor": self.style.ink, "markeredgecolor": self.style.paper, "markeredgewidth": 0.8}
        return self.axes.add_line(Line2D([], [], linestyle="none", zorder=4.5, animated=self._animated, **how))
