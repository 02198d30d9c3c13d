"""The drawing of the circuit, looked at through its artists, its words and their places."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from hpteach.circuit import INDOOR_COIL, OUTDOOR_COIL, MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import conditions_for, solve
from hpteach.diagrams import PAPER, SCREEN, CircuitDrawing, chart_figure
from hpteach.diagrams.circuit_layout import HIGH_LIQUID, HIGH_VAPOUR, LOW_MIXTURE, LOW_VAPOUR, SHORT, STATE_PLACES, STILL, UNMETERED
from hpteach.errors import InputError, LimitError
from hpteach.fluids import refrigerant
from hpteach.live import LiveFigure
from hpteach.units import show

LAYOUTS, MODES = list(MeteringLayout), [ValvePosition.COOLING, ValvePosition.HEATING]
FITTINGS = ("suction accumulator", "service valves", "one-way filter-driers")
CIRCUITS = {
    **{layout.value: reversible_circuit(layout) for layout in LAYOUTS},
    "fixed orifices": reversible_circuit(kind="fixed orifice"),
    **{f"{layout.value}, fitted": reversible_circuit(layout, fittings=FITTINGS) for layout in LAYOUTS},
    "bi-flow drier": reversible_circuit(fittings=["bi-flow filter-drier"]),
}
STUCK = [{}, {"indoor check valve": "open"}, {"outdoor check valve": "shut"}, {"outdoor metering device": "shut"}, {"indoor metering device": "shut"}]


def cycle_of(path, circuit, fluid: str = "R-744"):
    """A cycle with figures as long as they get, in a flow that has both roles."""
    chosen = {"saturated_suction_temperature": 258.15, "saturated_condensing_temperature": 301.15, "superheat": 10.0, "isentropic_efficiency": 0.6}
    return solve(refrigerant(fluid), conditions_for(path, **chosen), circuit)


def drawn(circuit, position, *, system="SI", style=SCREEN, animated=False, stuck=None, read=True) -> CircuitDrawing:
    """A drawing of 7 by 5 inches, rendered."""
    figure = Figure(figsize=(7.0, 5.0), dpi=100.0)
    FigureCanvasAgg(figure)
    drawing = CircuitDrawing(figure.add_axes((0.0, 0.0, 1.0, 1.0)), circuit, system=system, style=style, animated=animated)
    path = flow(circuit, position, stuck=stuck or {})
    drawing.show(path, cycle_of(path, circuit) if read and path.condenser else None)
    figure.canvas.draw()
    return drawing


def boxes(drawing: CircuitDrawing) -> dict[str, np.ndarray]:
    """Left, bottom, right and top in pixels of every text that is drawn."""
    renderer = drawing.axes.figure.canvas.get_renderer()
    found = {text.get_text(): text.get_window_extent(renderer).extents for text in drawing.axes.texts if text.get_text()}
    found |= {f"{name}: {drawing.words[name].text}": box for name, box in drawing._words.boxes(renderer).items()}
    found |= {f"reading at the {place}": label.box() for place, label in drawing._labels.items() if label.rows}
    return {name: np.array(box) for name, box in found.items()}


def segments(drawing: CircuitDrawing, kind: str) -> list[np.ndarray]:
    """The lines drawn in one kind of line."""
    return [line for line in drawing._lines[kind].get_segments() if drawing._lines[kind].get_visible()]


def looks_of_signs(drawing: CircuitDrawing) -> set:
    """Each sign with its shape and filling."""
    shapes = (tuple(map(tuple, np.round(path.vertices, 6))) for path in drawing._signs.get_paths())
    return set(zip(shapes, map(tuple, drawing._signs.get_facecolor())))


def heads_on_level(drawing: CircuitDrawing, level: float, left: float, right: float) -> set[str]:
    """The ways that arrow heads point on a level line, between two places across."""
    return {way for way, places in drawing.arrows.items() for x, y in places if y == level and left < x < right}


@pytest.mark.parametrize("name", CIRCUITS)
@pytest.mark.parametrize("position", MODES)
def test_arrows_follow_the_path(name, position) -> None:
    """In the vapour line, the liquid line, the discharge and the suction the heads point the way that the path goes."""
    circuit = CIRCUITS[name]
    drawing = drawn(circuit, position)
    across = {(OUTDOOR_COIL, INDOOR_COIL): {"right"}, (INDOOR_COIL, OUTDOOR_COIL): {"left"}}
    steps = {step.component: (step.enters, step.leaves) for step in drawing.flow.path}
    assert across[steps["vapour line"]] == heads_on_level(drawing, 51.0, 52.0, 64.0)
    assert across[steps["liquid line"]] == heads_on_level(drawing, 20.2, 52.0, 64.0)
    assert ({"left"}, {"right"}) == (heads_on_level(drawing, 66.0, 36.0, 48.5), heads_on_level(drawing, 37.0, 40.0, 48.5))
    assert {"down" if position is ValvePosition.HEATING else "up"} == {way for way, at in drawing.arrows.items() for x, y in at if x == 43.0}
    assert {"up" if position is ValvePosition.HEATING else "down"} == {way for way, at in drawing.arrows.items() for x, y in at if x == 14.0}


@pytest.mark.parametrize("name", CIRCUITS)
@pytest.mark.parametrize("position", ValvePosition)
def test_every_head_stands_on_a_line_that_carries_flow(name, position) -> None:
    """No arrow head stands on a dotted line."""
    drawing = drawn(CIRCUITS[name], position)
    kinds = [kind for kind in drawing._lines if kind != STILL]
    legs = [leg for kind in kinds for line in segments(drawing, kind) for leg in zip(line, line[1:])]
    heads = [place for places in drawing.arrows.values() for place in places]
    assert heads
    for x, y in heads:
        assert any(min(a[0], b[0]) <= x <= max(a[0], b[0]) and min(a[1], b[1]) <= y <= max(a[1], b[1]) for a, b in legs), (x, y)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("position", ValvePosition)
def test_roles_and_devices_say_what_the_flow_found(layout, position) -> None:
    """Each coil says its role, each device whether it meters, each check valve whether it is open."""
    drawing = drawn(reversible_circuit(layout), position)
    path, words = drawing.flow, drawing.words
    for coil in (INDOOR_COIL, OUTDOOR_COIL):
        assert (path.role(coil) or "no role") == words[coil].text
    for device in drawing.circuit.metering_devices:
        assert (path.metering.working == device.name) == (words[device.name].text == "meters")
        assert (path.metering.bypassed == device.name) == (words[device.name].text == "bypassed")
    for valve in drawing.circuit.check_valves:
        assert f"check valve {'open' if path.check_valves[valve.name.split()[0]] == 'open' else 'shut'}" == words[valve.name].text
    assert position.value == words["reversing valve"].text


def test_orifice_that_lifts_off_its_seat_is_free() -> None:
    """A fixed orifice that the flow passes without metering says that it is free."""
    words = drawn(CIRCUITS["fixed orifices"], "cooling").words
    assert ("meters", "free") == (words["indoor metering device"].text, words["outdoor metering device"].text)
    assert [] == [name for name in words if "check" in name]


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("position", MODES)
def test_state_numbers_stand_where_the_flow_finds_them(layout, position) -> None:
    """The numbers 1 to 4 stand at the places that the flow names, and nowhere without roles."""
    drawing = drawn(reversible_circuit(layout), position)
    for label in "1234":
        assert STATE_PLACES[drawing.flow.place(label)] == drawing.words[f"state {label}"].place
    drawing.show(flow(drawing.circuit, "between"))
    assert [] == [name for name in drawing.words if name.startswith(("state", "reading"))]


@pytest.mark.parametrize(
    ("layout", "position", "filled"),
    [
        ("each-coil", "cooling", HIGH_LIQUID), ("each-coil", "heating", HIGH_LIQUID),
        ("outdoor", "cooling", LOW_MIXTURE), ("outdoor", "heating", HIGH_LIQUID),
        ("indoor", "cooling", HIGH_LIQUID), ("indoor", "heating", LOW_MIXTURE), ("outdoor", "between", STILL),
    ],
)  # fmt: skip
def test_liquid_line_is_drawn_as_what_it_carries(layout, position, filled) -> None:
    """The liquid line carries liquid before the device and mixture after it (follows from throttling, no source needed)."""
    drawing = drawn(reversible_circuit(layout), position)
    found = {kind for kind in drawing._lines for line in segments(drawing, kind) if {52.0, 64.0} <= {x for x, y in line if y == 20.2}}
    assert {filled} == found


@pytest.mark.parametrize(("name", "position", "system"), [*product(CIRCUITS, ValvePosition, ["SI", "IP"])])
@pytest.mark.parametrize("animated", [False, True])
def test_no_text_overlaps_or_leaves_the_sheet(name, position, system, animated) -> None:
    """All words, numbers and readings stand apart, inside the figure, as text and as pixels."""
    found = boxes(drawn(CIRCUITS[name], position, system=system, animated=animated))
    for (one, a), (other, b) in combinations(found.items(), 2):
        assert not (min(a[2], b[2]) - max(a[0], b[0]) > 0.5 and min(a[3], b[3]) - max(a[1], b[1]) > 0.5), (one, other)
    for text, (left, bottom, right, top) in found.items():
        assert 0.0 <= left and right <= 700.0 and 0.0 <= bottom and top <= 500.0, text


@pytest.mark.parametrize(
    ("stuck", "part", "said"),
    [
        ({"reversing valve": "leaking"}, "reversing valve", "cooling, leaks"),
        ({"indoor check valve": "leaking"}, "indoor check valve", "check valve leaks"),
        ({"reversing valve": "heating"}, "reversing valve", "stuck in heating"),
        ({"reversing valve": "between"}, "reversing valve", "stuck between"),
        ({"indoor check valve": "open"}, "indoor check valve", "check valve stuck open"),
        ({"outdoor check valve": "shut"}, "outdoor check valve", "check valve stuck shut"),
        ({"outdoor check valve": "open", "outdoor metering device": "shut"}, "outdoor check valve", "check valve stuck open"),
        ({"indoor check valve": "open", "reversing valve": "between"}, "indoor check valve", "check valve stuck open"),
        ({"indoor metering device": "shut"}, "indoor metering device", "stuck shut"),
        ({"indoor metering device": "open"}, "indoor metering device", "stuck open"),
        ({"vapour service valve": "shut"}, "vapour service valve", "stuck shut"),
        ({"liquid service valve": "shut"}, "liquid service valve", "stuck shut"),
    ],
)
def test_faults_are_said_and_drawn_at_the_part(stuck, part, said) -> None:
    """A part that leaks or is stuck says so where it stands, and its sign is another than that of the sound part."""
    circuit = reversible_circuit(fittings=["service valves"])
    drawing = drawn(circuit, "cooling", stuck=stuck)
    sound = drawn(circuit, drawing.flow.valve_position)
    assert said == drawing.words[part].text
    assert looks_of_signs(sound) != looks_of_signs(drawing)


@pytest.mark.parametrize(
    "part", ["indoor check valve", "outdoor check valve", "indoor metering device", "outdoor metering device"]
)
def test_stuck_shut_and_stuck_open_have_different_signs(part) -> None:
    """The sign of a part stuck shut is none of the part stuck open, in the same flow or another."""
    signs = [looks_of_signs(drawn(reversible_circuit(), "cooling", stuck={part: state})) for state in ("open", "shut")]
    assert signs[0] - signs[1] and signs[1] - signs[0]


FAULTS = [
    (name, {part: state})
    for name in ("each-coil", "fixed orifices", "outdoor, fitted", "each-coil, fitted")
    for part, states in CIRCUITS[name].stickable().items()
    for state in states
]


@pytest.mark.parametrize(("name", "stuck"), FAULTS, ids=str)
@pytest.mark.parametrize("position", MODES)
def test_words_at_a_stuck_part_stand_apart(name, stuck, position) -> None:
    """Also with a fault no two words overlap, none leaves the sheet, and no frame of a stuck part cuts a word."""
    drawing = drawn(CIRCUITS[name], position, stuck=stuck)
    found = boxes(drawing)
    for (one, a), (other, b) in combinations(found.items(), 2):
        assert not (min(a[2], b[2]) - max(a[0], b[0]) > 0.5 and min(a[3], b[3]) - max(a[1], b[1]) > 0.5), (one, other)
    framed = {f"{name}: {word.text}" for name, word in drawing.words.items() if word.box}
    edges = [drawing.axes.transData.transform(path.vertices) for path in drawing._signs.get_paths()]
    for text, (left, bottom, right, top) in found.items():
        assert 0.0 <= left and right <= 700.0 and 0.0 <= bottom and top <= 500.0, text
        for low, high in [] if text in framed else [(edge.min(axis=0), edge.max(axis=0)) for edge in edges]:
            assert not (low[0] < right and left < high[0] and low[1] < top and bottom < high[1]), (text, low, high)


@pytest.mark.parametrize("stuck", [{"outdoor check valve": "shut"}, {"indoor metering device": "shut"}, {"vapour service valve": "shut"}], ids=str)
@pytest.mark.parametrize("position", MODES)
def test_blocked_flow_meters_nowhere_and_opens_nothing(stuck, position) -> None:
    """Where nothing flows, a sound device says "no flow" and a sound check valve rests on its seat."""
    drawing = drawn(reversible_circuit(fittings=["service valves"]), position, stuck=stuck)
    sound = {name: word.text for name, word in drawing.words.items() if name not in stuck}
    if drawing.pipework.flowing(drawing.flow):
        assert "meters" in sound.values()
        return
    assert {"no flow"} == {said for name, said in sound.items() if name.endswith("metering device")}
    assert {"check valve shut"} == {said for name, said in sound.items() if name.endswith("check valve")}


def test_every_kind_of_line_stands_in_the_key() -> None:
    """Each kind of line that a flow can bring is named under the drawing, the unmetered one too."""
    drawing = drawn(reversible_circuit(), "cooling", stuck={"indoor check valve": "open"})
    assert segments(drawing, UNMETERED)
    assert set(SHORT.values()) <= {text.get_text() for text in drawing.axes.texts}


@pytest.mark.parametrize("stuck", STUCK, ids=str)
@pytest.mark.parametrize("position", MODES)
def test_stuck_parts_are_drawn(stuck, position) -> None:
    """A blocked flow is drawn without heads; one that goes round is drawn with them."""
    circuit = reversible_circuit()
    drawing = drawn(circuit, position, stuck=stuck, read=False)
    blocked = any("blocked" in remark for remark in drawing.flow.remarks)
    assert blocked == (0 == sum(len(places) for places in drawing.arrows.values()))
    assert blocked == ([] == [line for kind in drawing._lines if kind != STILL for line in segments(drawing, kind)])


@pytest.mark.parametrize("name", CIRCUITS)
def test_every_artist_that_moves_is_animated(name) -> None:
    """What `artists` holds is left out of an ordinary drawing when asked for, and only then; it comes lowest first."""
    for animated in (True, False):
        drawing = drawn(CIRCUITS[name], "heating", animated=animated)
        artists = drawing.artists
        still = [artist for artist in drawing.axes.get_children() if artist.get_animated() and artist.get_visible() and artist not in artists]
        assert [] == still
        orders = [artist.get_zorder() for artist in artists]
        assert {animated} == {artist.get_animated() for artist in artists}
        assert animated or sorted(orders) == orders


def test_moved_drawing_equals_a_new_one() -> None:
    """Turned from cooling through between to heating, the picture is the one drawn in heating at once."""
    circuit, pictures = reversible_circuit(), []
    for positions in (["heating"], ["cooling", "between", "heating"]):
        live = LiveFigure(700, 500)
        drawing = CircuitDrawing(live.figure.add_axes((0.0, 0.0, 1.0, 1.0)), circuit, animated=True)
        live.keep()
        for position in positions:
            path = flow(circuit, position)
            drawing.show(path, cycle_of(path, circuit) if path.condenser else None)
            live.draw(drawing.artists)
        pictures.append(np.asarray(live.canvas.buffer_rgba()).copy())
    assert np.array_equal(*pictures)


@pytest.mark.parametrize(("name", "position", "system"), [*product(CIRCUITS, ValvePosition, ["SI", "IP"])])
def test_no_line_runs_through_a_word(name, position, system) -> None:
    """Only the numbers of the state points, and a part that has its name in it, stand on a line."""
    drawing = drawn(CIRCUITS[name], position, system=system)
    walls = [np.array([(x, 8.8), (x, 71.0)]) for x in (1.0, 52.0, 64.0, 99.0)]
    legs = [np.array(leg) for kind in drawing._lines for line in segments(drawing, kind) for leg in zip(line, line[1:])]
    framed = {f"{name}: {word.text}" for name, word in drawing.words.items() if word.box}
    for text, (left, bottom, right, top) in boxes(drawing).items():
        for leg in [] if text in framed else [drawing.axes.transData.transform(leg) for leg in (*legs, *walls)]:
            (x0, y0), (x1, y1) = leg.min(axis=0), leg.max(axis=0)
            assert not (x0 < right and left < x1 and y0 < top and bottom < y1), (text, leg)


def test_part_on_the_suction_is_drawn_over_its_line() -> None:
    """A suction accumulator stands on the suction line, and a one-way drier lets flow through one way."""
    drawing = drawn(CIRCUITS["each-coil, fitted"], "cooling")
    assert ("suction\naccumulator", True) == (drawing.words["suction accumulator"].text, drawing.words["suction accumulator"].box)
    met = {stretch.component for stretch in drawing.pipework.flowing(drawing.flow)}
    assert ["filter-drier towards the indoor coil"] == [name for name in met if name and name.startswith("filter-drier")]


@pytest.mark.parametrize(("share", "position"), [(0.0, "cooling"), (0.25, "between"), (0.5, "between"), (1.0, "heating")])
def test_spool_travels(share, position) -> None:
    """The slide stands at the share of its way asked for, and the lines say the position that goes with it."""
    drawing = drawn(reversible_circuit(), "cooling")
    places = {}
    for at in (0.0, 1.0, share):
        drawing.between(at)
        places[at] = drawing._slide.get_xy()[:, 0].mean()
    assert places[0.0] + share * (places[1.0] - places[0.0]) == pytest.approx(places[share])
    assert places[1.0] < places[0.0]
    assert position == drawing.words["reversing valve"].text


@pytest.mark.parametrize("share", [-0.1, 1.1, float("nan")])
def test_spool_does_not_leave_its_body(share) -> None:
    """A share of travel outside 0 to 1 is refused."""
    with pytest.raises(LimitError, match="share of the spool's travel"):
        drawn(reversible_circuit(), "cooling").between(share)


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_readings_are_those_of_the_cycle(system) -> None:
    """Temperature and pressure stand beside the number of each state point, in the units chosen."""
    circuit = reversible_circuit()
    path = flow(circuit, "heating")
    cycle = cycle_of(path, circuit, "R-410A")
    drawing, live = drawn(circuit, "heating", system=system), drawn(circuit, "heating", system=system, animated=True)
    for one in (drawing, live):
        one.show(path, cycle)
    for label in "1234":
        point = cycle.point(label)
        rows = (show(point.temperature, "temperature", system), show(point.pressure, "pressure", system))
        assert "\n".join(rows) == drawing.words[f"reading {label}"].text
        assert rows == live._labels[point.place].rows


def test_kinds_of_line_differ_without_colour() -> None:
    """On paper all is drawn in greys, and no two kinds of line have equal weight and dashes."""
    drawing = drawn(reversible_circuit(), "cooling", style=PAPER)
    looks = {(float(c.get_linewidth()[0]), str(c.get_linestyle())) for c in drawing._lines.values()}
    assert len(drawing._lines) == len(looks)
    picture = np.asarray(drawing.axes.figure.canvas.buffer_rgba())[..., :3].astype(int)
    assert 0 == (picture.max(axis=2) - picture.min(axis=2)).max()
    assert segments(drawing, LOW_VAPOUR) and segments(drawing, HIGH_VAPOUR)
    assert to_rgb(PAPER.paper) == tuple(drawing._hollow.get_color()[0][:3])


def test_figure_of_two_modes_has_two_drawings() -> None:
    """The circuit is drawn once for each cycle; without a cycle it is refused."""
    circuit = reversible_circuit()
    cycles = [cycle_of(flow(circuit, mode), circuit, "R-410A") for mode in MODES]
    assert 2 == len(chart_figure("circuit", refrigerant("R-410A"), cycles).axes)
    with pytest.raises(InputError, match="needs a cycle"):
        chart_figure("circuit", refrigerant("R-410A"), [])
