"""Where the parts of the circuit stand on the drawing, and how its lines run between them.

What lives here: places of ports, routes of lines, and the stretches that a flow fills (`Pipework`).
What does not: anything that paints (circuit_drawing), or which way the flow goes (circuit).

The sheet is 100 wide and 72 high; every line runs level or upright.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from hpteach.circuit import COMPRESSOR, INDOOR_COIL, LIQUID_LINE, OUTDOOR_COIL, REVERSING_VALVE, VAPOUR_LINE, Circuit, Flow, Port, ReversingValve, Step, ValvePosition

Place = tuple[float, float]
Line = list[Place]

WIDTH, HEIGHT = 100.0, 72.0

HIGH_VAPOUR, HIGH_LIQUID = "high-pressure vapour", "high-pressure liquid"
LOW_MIXTURE, LOW_VAPOUR = "low-pressure mixture", "low-pressure vapour"
UNMETERED, STILL = "flow, unmetered", "no flow"
SHORT = {HIGH_VAPOUR: "HP vapour", HIGH_LIQUID: "HP liquid", LOW_MIXTURE: "LP mixture", LOW_VAPOUR: "LP vapour", UNMETERED: "unmetered", STILL: "no flow"}

OUTDOOR_PART, INDOOR_PART = (1.0, 8.8, 52.0, 71.0), (64.0, 8.8, 99.0, 71.0)
"""Left, bottom, right and top of the two parts."""

COMPRESSOR_PLACE, COMPRESSOR_RADIUS = (36.0, 37.0), 4.5
VALVE_BODY = (25.5, 56.0, 46.5, 63.0)
COIL_BODIES = {OUTDOOR_COIL: (6.0, 30.0, 22.0, 46.0), INDOOR_COIL: (77.0, 30.0, 93.0, 46.0)}
DEVICE_LEVEL, CHECK_LEVEL, _VAPOUR_LEVEL = 20.2, 14.4, 51.0
DEVICE_ACROSS = {"outdoor": 30.0, "indoor": 74.0}

CHECK_WORDS = {"outdoor": (30.0, CHECK_LEVEL - 3.6), "indoor": (76.2, CHECK_LEVEL - 3.6)}  # clear of the wall at 64
_VAPOUR_ROUTES: dict[Port, Line] = {
    Port(COMPRESSOR, "discharge"): [(40.5, 37.0), (48.5, 37.0), (48.5, 66.0), (36.0, 66.0), (36.0, 63.0)],
    Port(REVERSING_VALVE, "discharge"): [(36.0, 63.0)],
    Port(REVERSING_VALVE, "suction"): [(36.0, 56.0), (36.0, 41.5)],
    Port(COMPRESSOR, "suction"): [(36.0, 41.5)],
    Port(REVERSING_VALVE, OUTDOOR_COIL): [(29.0, 56.0), (29.0, 51.0), (14.0, 51.0), (14.0, 46.0)],
    Port(OUTDOOR_COIL, "vapour side"): [(14.0, 46.0)],
    Port(REVERSING_VALVE, INDOOR_COIL): [(43.0, 56.0), (43.0, 51.0), (52.0, 51.0)],
    Port(VAPOUR_LINE, OUTDOOR_COIL): [(52.0, 51.0)],
    Port(VAPOUR_LINE, INDOOR_COIL): [(64.0, 51.0), (85.0, 51.0), (85.0, 46.0)],
    Port(INDOOR_COIL, "vapour side"): [(85.0, 46.0)],
}

_LIQUID_PORTS: dict[Port, Place] = {
    Port(OUTDOOR_COIL, "liquid side"): (14.0, 30.0),
    Port(INDOOR_COIL, "liquid side"): (85.0, 30.0),
    Port(LIQUID_LINE, OUTDOOR_COIL): (52.0, DEVICE_LEVEL),
    Port(LIQUID_LINE, INDOOR_COIL): (64.0, DEVICE_LEVEL),
}

_NODES = {
    Port(OUTDOOR_COIL, "liquid side"): (20.0, DEVICE_LEVEL),
    Port(INDOOR_COIL, "liquid side"): (82.0, DEVICE_LEVEL),
    Port(LIQUID_LINE, OUTDOOR_COIL): (40.0, DEVICE_LEVEL),
    Port(LIQUID_LINE, INDOOR_COIL): (66.5, DEVICE_LEVEL),
}
"""Where the lines of a joint meet, by the port that makes it this joint; coils come first."""

_ONE_WAY, _DRIERS_ACROSS, _DRIER_LEVELS = "filter-drier towards the ", 45.0, (25.2, DEVICE_LEVEL)

STATE_PLACES = {
    "compressor, suction": (36.0, 44.0),
    "compressor, discharge": (43.5, 37.0),
    "outdoor coil, liquid side": (14.0, 27.4),
    "indoor coil, liquid side": (85.0, 27.4),
}
"""Where the number of a state point stands, by the words of `Flow.place`."""

HOP = (48.5, 51.0)
"""Where the discharge line passes over the vapour line without a joint."""


def where(component: str) -> str:
    """The part of the machine that a metering device or check valve belongs to: "outdoor" or "indoor"."""
    return "indoor" if component.startswith("indoor") else "outdoor"


def slide_centre(valve: ReversingValve, position: ValvePosition) -> float:
    """Where the slide stands: over the ports that it joins to the suction; between, halfway."""
    if position is ValvePosition.BETWEEN:
        return sum(slide_centre(valve, end) for end in (ValvePosition.COOLING, ValvePosition.HEATING)) / 2.0
    covered = next(passage for passage in valve.passages(position) if passage.leaves == "suction")
    return sum(_VAPOUR_ROUTES[Port(REVERSING_VALVE, side)][0][0] for side in covered) / 2.0


@dataclass(frozen=True)
class Stretch:
    """A piece of line in flow order, what fills it, and the component that it is in (None for a line)."""

    line: Line
    filled: str
    component: str | None = None


@dataclass(frozen=True)
class Fitting:
    """A part on a line that is drawn as a small sign: where it stands, and what is said of it where."""

    name: str
    place: Place
    said: str
    words: Place


@dataclass
class Pipework:
    """The lines of one circuit as drawn: a route from each port to its joint, and the way through each part."""

    circuit: Circuit
    routes: dict[Port, Line] = field(init=False)
    insides: dict[str, Line] = field(init=False)
    fittings: tuple[Fitting, ...] = field(init=False)

    def __post_init__(self) -> None:
        parts = [*(device.name for device in self.circuit.metering_devices), *(valve.name for valve in self.circuit.check_valves)]
        ports = dict(_LIQUID_PORTS)
        for name in parts:
            across = DEVICE_ACROSS[where(name)]
            level = CHECK_LEVEL if name in {valve.name for valve in self.circuit.check_valves} else DEVICE_LEVEL
            outer, inner = (across - 2.5, level), (across + 2.5, level)
            ports |= {Port(name, OUTDOOR_COIL): outer, Port(name, INDOOR_COIL): inner}
        driers = sorted({port.component for joint in self.circuit.joints for port in joint if port.component.startswith(_ONE_WAY)})
        for name, level in zip(driers, _DRIER_LEVELS):
            ports |= {Port(name, OUTDOOR_COIL): (_DRIERS_ACROSS - 1.6, level), Port(name, INDOOR_COIL): (_DRIERS_ACROSS + 1.6, level)}
        parts += driers
        known = {COMPRESSOR, REVERSING_VALVE, OUTDOOR_COIL, INDOOR_COIL, VAPOUR_LINE, LIQUID_LINE, *parts}
        self.routes = dict(_VAPOUR_ROUTES)
        self._joints = _contracted(self.circuit.joints, known)
        for joint, _ in self._joints:
            node = next((place for port, place in _NODES.items() if port in joint), None)
            if driers and Port(driers[0], INDOOR_COIL) in joint:
                node = (_DRIERS_ACROSS + 4.4, DEVICE_LEVEL)
            elif driers and Port(driers[0], OUTDOOR_COIL) in joint and node is None:
                node = _NODES[Port(LIQUID_LINE, OUTDOOR_COIL)]
            if node is not None:
                self.routes |= {port: _elbow(ports[port], node, upright=port.component in COIL_BODIES) for port in joint if port in ports}
        ends = {name: [ports[Port(name, side)] for side in (OUTDOOR_COIL, INDOOR_COIL)] for name in (*parts, LIQUID_LINE)}
        self.insides = {**ends, VAPOUR_LINE: [(52.0, 51.0), (64.0, 51.0)], **{coil: _winding(coil) for coil in COIL_BODIES}}
        said = ("", "one-way\nfilter-driers")
        places = ((_DRIERS_ACROSS, level) for level in _DRIER_LEVELS)
        self.fittings = (
            *self._placed(),
            *(Fitting(name, place, text, (_DRIERS_ACROSS + 1.3, DEVICE_LEVEL - 5.0)) for name, place, text in zip(driers, places, said)),
        )

    def flowing(self, flow: Flow) -> list[Stretch]:
        """The stretches that carry flow, from the discharge on; none where the flow is blocked."""
        steps = [step for step in flow.path if step.component in self.insides or step.component in (COMPRESSOR, REVERSING_VALVE)]
        last = Port(steps[-1].component, steps[-1].leaves)
        if not any({last, Port(COMPRESSOR, "suction")} <= joint for joint, _ in self._joints):
            return []
        found: list[Stretch] = []
        filled = HIGH_VAPOUR if flow.condenser or flow.valve_position is ValvePosition.BETWEEN else UNMETERED
        for step, onward in zip(steps, [*steps[1:], steps[0]]):
            after = self._after(flow, step, filled)
            found += self._through(step, filled, after)
            filled = after
            there = self.routes[Port(onward.component, onward.enters)]
            line = [*self.routes[Port(step.component, step.leaves)], *reversed(there)]
            found.append(Stretch(_plain(line), filled))
        return found

    def still(self, flow: Flow) -> list[Line]:
        """The lines and ways through parts that carry no flow."""
        flowing = self.flowing(flow)
        met = {stretch.component for stretch in flowing}
        used = {piece for stretch in flowing for piece in zip(stretch.line, stretch.line[1:])}
        used |= {(end, start) for start, end in used}
        lines = [line for name, line in self.insides.items() if name not in met]
        return [*lines, *(line for line in self.routes.values() if len(line) > 1 and not _within(line, used))]

    @staticmethod
    def _after(flow: Flow, step: Step, filled: str) -> str:
        """What fills the line after a part, from what filled it before."""
        if filled == UNMETERED:
            return filled
        if step.component == flow.condenser:
            return HIGH_LIQUID
        if step.component in (flow.metering.working, *flow.series):
            return LOW_MIXTURE
        if step.component == flow.evaporator or (step.component, step.enters, step.leaves) == (REVERSING_VALVE, "discharge", "suction"):
            return LOW_VAPOUR
        return filled

    def _through(self, step: Step, before: str, after: str) -> Iterator[Stretch]:
        if step.component == COMPRESSOR:
            return
        if step.component == REVERSING_VALVE:
            line = _through_valve(step)
        else:
            line = self.insides[step.component]
            line = line if line[0] == self.routes[Port(step.component, step.enters)][0] else line[::-1]
        for part, filled in zip([line] if before == after else _halves(line), (before, after)):
            yield Stretch(part, filled, step.component)

    def _placed(self) -> Iterator[Fitting]:
        for joint, names in self._joints:
            longest = max((self.routes[port] for port in joint if port in self.routes), key=_length, default=[])
            on_line = [name for name in names if "service valve" not in name]
            for name in names:
                if name not in on_line:
                    level = DEVICE_LEVEL if any(port.component == LIQUID_LINE for port in joint) else _VAPOUR_LEVEL
                    yield Fitting(name, (OUTDOOR_PART[2], level), _wrapped(name), (58.0, level + 8.2))
            for k, name in enumerate(on_line):
                if Port(COMPRESSOR, "suction") in joint:
                    place = (36.0, 49.5)
                    yield Fitting(name, place, _wrapped(name), place)
                elif Port(LIQUID_LINE, OUTDOOR_COIL) in joint:
                    yield Fitting(name, (45.5 + 3.6 * k, DEVICE_LEVEL), _wrapped(name), (45.5, DEVICE_LEVEL + (5.0 if k % 2 else -5.0)))
                elif longest:
                    x, y = along(longest, (k + 1.0) / (len(on_line) + 1.0))
                    yield Fitting(name, (x, y), _wrapped(name), (x, y + 3.5))


def device_signs(circuit: Circuit, fittings: Iterable[Fitting]) -> list[tuple[str, Line]]:
    """Two triangles, tip to tip, for each metering device, with a sign of its kind; fittings on a line likewise; each with its part."""
    signs: list[tuple[str, Line]] = []
    for device in circuit.metering_devices:
        x, y, name = DEVICE_ACROSS[where(device.name)], DEVICE_LEVEL, device.name
        if device.kind == "fixed orifice":
            signs += [(name, [(x - 2.5, y + 1.9), (x + 2.5, y + 1.9), (x, y + 0.4)]), (name, [(x - 2.5, y - 1.9), (x + 2.5, y - 1.9), (x, y - 0.4)])]
            continue
        top = y + 2.9
        head = _box(x, top - 0.6, 1.1, 0.6) if device.kind == "electronic valve" else [(x - 1.3, top - 0.9), (x + 1.3, top - 0.9), (x, top)]
        signs += [(name, _tip_to_tip(x, y)), (name, head)]
    for fitting in fittings:
        (x, y), name = fitting.place, fitting.name
        if "valve" in name:
            signs.append((name, _tip_to_tip(x, y, 1.6, 1.3)))
        elif "towards the" in name:
            ahead = 1.6 if name.endswith(INDOOR_COIL) else -1.6
            signs.append((name, [(x - ahead, y - 1.3), (x + ahead, y - 1.3), (x + ahead, y + 1.3), (x - ahead, y + 1.3)]))
            signs.append((name, [(x - 0.6 * ahead, y - 0.9), (x + 0.6 * ahead, y), (x - 0.6 * ahead, y + 0.9)]))
        elif fitting.place != fitting.words:
            signs.append((name, _box(x, y, 1.6, 1.3)))
    return signs


def check_signs(x: float, ahead: float, *, opened: bool) -> tuple[Line, Line]:
    """The body and the seat of a check valve: off its seat, or on it; `ahead` is 1 to the right, -1 to the left."""
    y, tip, seat = CHECK_LEVEL, x + ahead * (0.5 if opened else 1.6), x + ahead * (2.2 if opened else 1.6)
    return [(tip - 2.6 * ahead, y - 1.6), (tip - 2.6 * ahead, y + 1.6), (tip, y)], _box(seat, y, 0.1, 1.7)


def clamp(signs: Sequence[Line]) -> Line:
    """The frame round the signs of a part that is stuck."""
    xs, ys = zip(*(place for sign in signs for place in sign))
    wide, high = (max(xs) - min(xs)) / 2.0, (max(ys) - min(ys)) / 2.0
    return _box(min(xs) + wide, min(ys) + high, wide + 0.6, high + 0.35)


def drop(x: float, y: float) -> Line:
    """The drop beside a part that leaks."""
    return [(x, y + 1.0), (x - 0.6, y - 0.1), (x - 0.35, y - 0.6), (x + 0.35, y - 0.6), (x + 0.6, y - 0.1)]


def _box(x: float, y: float, wide: float, high: float) -> Line:
    return [(x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high)]


def _tip_to_tip(x: float, y: float, wide: float = 2.5, high: float = 1.7) -> Line:
    return [(x - wide, y - high), (x - wide, y + high), (x + wide, y - high), (x + wide, y + high)]


def parted(line: Line, gap: float = 1.1) -> list[Line]:
    """A line with a gap where the discharge line passes over it."""
    for k, ((x0, y0), (x1, y1)) in enumerate(zip(line, line[1:])):
        if y0 == y1 == HOP[1] and min(x0, x1) < HOP[0] < max(x0, x1):
            side = gap if x1 > x0 else -gap
            return [[*line[: k + 1], (HOP[0] - side, y0)], [(HOP[0] + side, y0), *line[k + 1 :]]]
    return [line]


def along(line: Line, share: float) -> Place:
    """The place at a share (0 to 1) of a line's length."""
    left = share * _length(line)
    for (x0, y0), (x1, y1) in zip(line, line[1:]):
        leg = abs(x1 - x0) + abs(y1 - y0)
        if left <= leg and leg > 0.0:
            return x0 + (x1 - x0) * left / leg, y0 + (y1 - y0) * left / leg
        left -= leg
    return line[-1]


def arrows(line: Line, avoid: Sequence[Place], shortest: float = 4.0, clear: float = 3.0) -> Iterator[tuple[Place, str]]:
    """Places of arrow heads on a line and the way each points ("right", "left", "up", "down")."""
    for start, end in zip(line, line[1:]):
        (x0, y0), (x1, y1) = start, end
        if abs(x1 - x0) + abs(y1 - y0) < shortest:
            continue
        way = ("right" if x1 > x0 else "left") if y0 == y1 else ("up" if y1 > y0 else "down")
        places = (along([start, end], share) for share in (0.5, 0.65, 0.35, 0.75, 0.25))
        free = [place for place in places if all(abs(place[0] - x) + abs(place[1] - y) >= clear for x, y in avoid)]
        if free:
            yield free[0], way


def _contracted(joints: Iterable[frozenset[Port]], known: set[str]) -> list[tuple[set[Port], list[str]]]:
    """The joints with every part that has no place of its own taken out, and the names of those parts."""
    left: list[tuple[set[Port], list[str]]] = [(set(joint), []) for joint in joints]
    others = sorted({port.component for joint in joints for port in joint} - known)
    for name in others:
        touching = [one for one in left if any(port.component == name for port in one[0])]
        left = [one for one in left if one not in touching]
        left.append(({p for ports, _ in touching for p in ports if p.component != name}, [*(n for _, names in touching for n in names), name]))
    return left


def _elbow(start: Place, end: Place, *, upright: bool) -> Line:
    corner = (start[0], end[1]) if upright else (end[0], start[1])
    return _plain([start, corner, end])


def _plain(line: Line) -> Line:
    """A line without repeated places and without corners that do not turn."""
    once = [place for k, place in enumerate(line) if k == 0 or place != line[k - 1]]
    turning = [b for a, b, c in zip(once, once[1:], once[2:]) if not (a[0] == b[0] == c[0] or a[1] == b[1] == c[1])]
    return [once[0], *turning, once[-1]] if len(once) > 1 else once


def _wrapped(name: str) -> str:
    """A name in short rows."""
    rows = [""]
    for word in name.split():
        rows = [*rows[:-1], f"{rows[-1]} {word}".strip()] if len(rows[-1]) + len(word) < 12 else [*rows, word]
    return "\n".join(row for row in rows if row)


def _within(line: Line, used: set[tuple[Place, Place]]) -> bool:
    """Whether each leg of a line lies on a leg that carries flow."""

    def covered(a: Place, b: Place) -> bool:
        return any(
            (a[0] == b[0] == p[0] == q[0] and min(p[1], q[1]) <= min(a[1], b[1]) and max(a[1], b[1]) <= max(p[1], q[1]))
            or (a[1] == b[1] == p[1] == q[1] and min(p[0], q[0]) <= min(a[0], b[0]) and max(a[0], b[0]) <= max(p[0], q[0]))
            for p, q in used
        )

    return all(covered(a, b) for a, b in zip(line, line[1:]))


def _length(line: Line) -> float:
    return sum(abs(x1 - x0) + abs(y1 - y0) for (x0, y0), (x1, y1) in zip(line, line[1:]))


def _halves(line: Line) -> list[Line]:
    """A line cut at the middle of its length."""
    left, middle = _length(line) / 2.0, along(line, 0.5)
    for k, (start, end) in enumerate(zip(line, line[1:])):
        leg = _length([start, end])
        if left <= leg:
            return [[*line[: k + 1], middle], [middle, *line[k + 1 :]]]
        left -= leg
    return [line, line[-1:]]


def _winding(coil: str) -> Line:
    """The tube of a coil, from its vapour side to its liquid side, clear of the words in the middle."""
    left, bottom, right, top = COIL_BODIES[coil]
    x = _VAPOUR_ROUTES[Port(coil, "vapour side")][0][0]
    w, e, half = left + 1.2, right - 1.0, (bottom + top) / 2.0
    upper = [(x, top), (x, top - 1.4), (w, top - 1.4), (w, top - 3.6), (e, top - 3.6), (e, half)]
    lower = [(e, bottom + 3.6), (w, bottom + 3.6), (w, bottom + 1.4), (x, bottom + 1.4), (x, bottom)]
    return [*upper, *lower]


def _through_valve(step: Step) -> Line:
    """The way through the reversing valve: over the slide from the discharge, under it to the suction."""
    start, end = (_VAPOUR_ROUTES[Port(REVERSING_VALVE, side)][0] for side in (step.enters, step.leaves))
    level = 61.4 if step.enters == "discharge" else 57.8
    return _plain([start, (start[0], level), (end[0], level), end])
