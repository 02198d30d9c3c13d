"""Heat and work as lengths and areas: they measure what the cycle says, stay on the chart and cover neither cycle nor labels."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.diagrams import CHARTS, PAPER, SCREEN
from hpteach.diagrams.cycle_path import cycle_path
from hpteach.diagrams.energies import EnergyTrace
from hpteach.diagrams.placing import frame_of, on_page, sampled
from hpteach.errors import InputError
from hpteach.fluids import catalogue, refrigerant
from hpteach.live import LiveFigure
from hpteach.units import show

LENGTHS, AREAS = CHARTS
AXES = (0.135, 0.175, 0.83, 0.755)  # as in the cycle explorer


def cycle_of(name: str, evaporating: float = 273.15, condensing: float = 313.15, superheat: float = 5.0, subcooling: float = 5.0):
    """A cycle; that of R-744 condenses below its critical point."""
    condensing = min(condensing, 295.15) if name == "R-744" else condensing
    return solve(refrigerant(name), Conditions(ValvePosition.COOLING, "indoor coil", evaporating, condensing, superheat, subcooling, 0.7))


def laid(kind: str, cycle, *, system: str = "SI", animated: bool = False, style=SCREEN):
    """A chart with a cycle and its energies, rendered."""
    live = LiveFigure(540, 470, scale=1.1)
    chart = CHARTS[kind](live.figure.add_axes(AXES), refrigerant(cycle.refrigerant), system=system, covering=[cycle], style=style)
    trace = chart.add_cycle(cycle, animated=animated)
    energies = EnergyTrace(chart, animated=animated)
    energies.show(cycle)
    if animated:
        live.keep()
        live.draw(sorted([*trace.artists, *energies.artists], key=lambda artist: artist.get_zorder()))
    else:
        live.canvas.draw()
    return chart, trace, energies


# The rule of areas ------------------------------------------------------------------------


@pytest.mark.parametrize("name", catalogue())
def test_the_area_under_an_isobar_is_its_heat(name: str) -> None:
    """The integral of T ds along the boiling and the condensing line is q_e and q_c, from absolute zero up.

    Gibbs: T ds = dh - v dp, so at constant pressure q = h2 - h1.  Between 200 states the trapezoids of a smooth line
    are off by the square of their width: 1e-4 of the heat, chosen beforehand.
    """
    cycle = cycle_of(name)
    path = {process.name: process for process in cycle_path(refrigerant(name), cycle, steps=200)}
    taken_up, given_off = (float(np.trapezoid(path[line].temperature, path[line].entropy)) for line in ("boiling", "condensing"))
    assert taken_up == pytest.approx(cycle.refrigerating_effect, rel=1e-4)
    assert -given_off == pytest.approx(cycle.heat_rejected, rel=1e-4)
    assert -given_off - taken_up == pytest.approx(cycle.specific_work, rel=1e-4 * cycle.heat_rejected / cycle.specific_work)


@pytest.mark.parametrize("animated", [False, True])
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_areas_are_those_of_the_lines_above_the_edge(system: str, animated: bool) -> None:
    """Each hatched area, and the strip from the chart's edge down to absolute zero, add up to its heat."""
    cycle = cycle_of("R-32")
    chart, _, energies = laid(AREAS, cycle, system=system, animated=animated)
    zero = {"SI": -273.15, "IP": -459.67}[system]  # absolute zero on the Celsius and on the Fahrenheit scale
    per_unit = {"SI": 1e3, "IP": 2326.0}[system]  # J/kg in 1 kJ/kg, and in 1 Btu/lb (exact by definition of the IT Btu)
    edge = chart.axes.get_ylim()[0]
    for symbol, heat in (("q_e", cycle.refrigerating_effect), ("q_c", cycle.heat_rejected)):
        x, y = energies._marks._areas[symbol].get_xy().T
        drawn = 0.5 * abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))
        below = (edge - zero) * np.ptp(x)
        assert (drawn + below) * per_unit == pytest.approx(heat, rel=5e-3)  # the line of a chart has eight states to a part
        assert edge == pytest.approx(y.min(), abs=1e-9)


def test_areas_differ_in_more_than_colour() -> None:
    """The two heats have two hatchings and carry their symbol, also in black and white."""
    _, _, energies = laid(AREAS, cycle_of("R-290"), style=PAPER)
    hatches = [energies._marks._areas[symbol].get_hatch() for symbol in ("q_e", "q_c")]
    assert ["//", "\\\\"] == hatches
    assert ["q_e", "q_c", "w ="] == [text[:3] for text in energies.texts[:3]]


# What is said -----------------------------------------------------------------------------


@pytest.mark.parametrize("animated", [False, True])
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_energies_carry_symbol_number_and_unit(system: str, animated: bool) -> None:
    """Every energy stands with its symbol and its number in the reader's unit; on the areas the words say where they end."""
    cycle = cycle_of("R-410A")
    q_e, w, q_c = (show(e, "specific energy", system) for e in (cycle.refrigerating_effect, cycle.specific_work, cycle.heat_rejected))
    _, _, lengths = laid(LENGTHS, cycle, system=system, animated=animated)
    assert (f"q_e {q_e}", f"w {w}", f"q_c {q_c}") == lengths.texts
    chart, _, areas = laid(AREAS, cycle, system=system, animated=animated)
    assert (f"q_e {q_e}", f"q_c {q_c}", f"w = q_c - q_e = {w}") == areas.texts[:3]
    edge = f"{chart.axes.get_ylim()[0]:.0f} {'°F' if system == 'IP' else '°C'}"
    assert ("(compressing has no area)", "areas count from 0 K up;", f"shown: above {edge}") == areas.texts[3:]


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_brackets_reach_from_enthalpy_to_enthalpy(system: str) -> None:
    """The brackets end at h4, h1 and h2 below the cycle and at h3 and h2 above it."""
    cycle = cycle_of("R-454B")
    chart, _, energies = laid(LENGTHS, cycle, system=system)
    bars = 72.0 * energies._marks._bars.get_xydata()
    h, p = zip(*(on_page(chart.axes, [chart.place(cycle.point(label))])[0] for label in "1234"))
    horizontal = [(a, b) for a, b in zip(bars, bars[1:]) if abs(a[1] - b[1]) < 1e-6]
    assert [pytest.approx((h[3], h[0])), pytest.approx((h[0], h[1])), pytest.approx((h[2], h[1]))] == [(a[0], b[0]) for a, b in horizontal]
    assert [True, True, True] == [a[1] < p[0] for a, _ in horizontal[:2]] + [horizontal[2][0][1] > p[1]]


# Where it stands --------------------------------------------------------------------------

STATES = [(273.15, 313.15, 5.0, 5.0), (245.15, 308.15, 0.0, 0.0), (248.15, 308.15, 0.0, 0.0), (283.15, 295.15, 10.0, 3.0)]


def boxes_of(energies) -> dict[str, tuple]:
    """Left, bottom, right and top in points of each label; the words in the corner are one."""
    boxes = {}
    for word in energies._marks.words:
        extents = word.artist.box() if energies.animated else word.artist.get_window_extent().extents
        boxes[word.rows[0]] = tuple(72.0 / energies.chart.axes.figure.dpi * np.array(extents))
    return boxes


def overlap(a: tuple, b: tuple) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > 0.5 and min(a[3], b[3]) - max(a[1], b[1]) > 0.5


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("animated", [False, True])
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("name", catalogue())
def test_labels_of_energies_stand_free(name: str, kind: str, animated: bool, state: tuple) -> None:
    """Labels of energies lie inside the axes, apart from each other and from the labels of the state points, and under no marker."""
    cycle = cycle_of(name, *state)
    chart, trace, energies = laid(kind, cycle, animated=animated, system="IP" if animated else "SI")
    (left, bottom), (right, top) = frame_of(chart.axes)
    boxes = boxes_of(energies)
    for text, box in boxes.items():
        assert left <= box[0] and box[2] <= right and bottom <= box[1] and box[3] <= top, text
    corner = [text for text in boxes if text.startswith("w = ") or text.startswith("(")]
    assert [] == [pair for pair in combinations(boxes, 2) if set(pair) != set(corner) and overlap(boxes[pair[0]], boxes[pair[1]])]
    points = {f"point {index}": (x - a, y - b, x + a, y + b) for index, (x, y, a, b) in enumerate(trace.taken().boxes)}
    assert [] == [(text, point) for text, box in boxes.items() for point, other in points.items() if overlap(box, other)]
    markers = on_page(chart.axes, [chart.place(point) for point in cycle.points])
    assert [] == [text for text, box in boxes.items() for x, y in markers if box[0] < x < box[2] and box[1] < y < box[3]]


def test_usual_brackets_cross_no_line_of_the_cycle() -> None:
    """At usual conditions neither brackets nor their numbers touch the cycle."""
    cycle = cycle_of("R-410A", 280.15, 318.15)
    chart, trace, energies = laid(LENGTHS, cycle)
    line = sampled(on_page(chart.axes, trace._line.get_xydata()))
    for x, y, a, b in energies.taken().boxes:
        assert [] == [place for place in line.tolist() if abs(place[0] - x) < a and abs(place[1] - y) < b]


@pytest.mark.parametrize("superheat", [0.0, 5.0])
@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("type_by", [1.0, 1.3])
def test_no_number_stands_on_a_bracket(type_by: float, system: str, superheat: float) -> None:
    """In a cold state, where there is little room below the cycle, each number stands clear of the brackets of the others and of the labels of the points."""
    cycle = cycle_of("R-410A", 248.15, 308.15, superheat, 0.0)
    chart, trace, energies = laid(LENGTHS, cycle, system=system, animated=True, style=SCREEN.enlarged(type_by, 1.0))
    bars = 72.0 * energies._marks._bars.get_xydata()
    brackets = [(a[0], a[1] - 1.0, b[0], a[1] + 1.0) for a, b in zip(bars, bars[1:]) if abs(a[1] - b[1]) < 1e-6]
    points = [(x - a, y - b, x + a, y + b) for x, y, a, b in trace.taken().boxes]
    boxes = boxes_of(energies)
    assert 3 == len(brackets) and 3 == len(boxes)
    assert [] == [text for text, box in boxes.items() for other in (*brackets, *points) if overlap(box, other)]


# Moving -----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", CHARTS)
def test_moved_energies_equal_fresh_ones(kind: str) -> None:
    """Energies moved to another cycle say and draw what fresh ones do."""
    first, other = cycle_of("R-32"), cycle_of("R-32", 268.15, 308.15)
    _, trace, moved = laid(kind, first, animated=True)
    trace.show(other)
    moved.show(other)
    _, _, fresh = laid(kind, other, animated=True)
    assert fresh.texts == moved.texts
    if kind == AREAS:
        for symbol in ("q_e", "q_c"):
            x, y = (energies._marks._areas[symbol].get_xy() for energies in (moved, fresh))
            assert x == pytest.approx(y)


@pytest.mark.parametrize("kind", CHARTS)
def test_energies_can_be_hidden(kind: str) -> None:
    """Hidden energies have no artists to draw and take no room; shown again they do."""
    _, _, energies = laid(kind, cycle_of("R-32"), animated=True)
    drawn = energies.artists
    energies.set_visible(False)
    assert ([], 0) == (energies.artists, len(energies.taken().boxes))
    energies.set_visible(True)
    assert drawn == energies.artists


@pytest.mark.parametrize("kind", CHARTS)
def test_energies_of_a_foreign_refrigerant_are_refused(kind: str) -> None:
    """Energies of a cycle of a refrigerant that the chart does not have are refused, naming both."""
    chart = CHARTS[kind](Figure().add_subplot(), refrigerant("R-32"))
    with pytest.raises(InputError, match="R-290.*R-32"):
        EnergyTrace(chart).show(cycle_of("R-290"))


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_energies_are_saved_in_every_format(tmp_path, ending: str) -> None:
    """A still chart with energies is written as picture and as drawing, at any resolution."""
    cycle = cycle_of("R-410A")
    for kind in CHARTS:
        figure = Figure(figsize=(8.0, 6.4), dpi=150, layout="constrained")
        FigureCanvasAgg(figure)
        chart = CHARTS[kind](figure.add_subplot(), refrigerant("R-410A"))
        chart.add_cycle(cycle)
        EnergyTrace(chart).show(cycle)
        figure.savefig(tmp_path / f"{kind}.{ending}")
        assert (tmp_path / f"{kind}.{ending}").stat().st_size > 10_000
