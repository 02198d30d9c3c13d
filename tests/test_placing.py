"""Where the labels of a cycle stand: inside the axes, apart from each other, off the markers; and which numbers of lines give way."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, Cycle, solve
from hpteach.diagrams import CHARTS
from hpteach.diagrams.placing import LabelPlaces, Taken, frame_of, on_page, sampled, touches
from hpteach.fluids import catalogue, refrigerant

AXES = (0.135, 0.175, 0.83, 0.755)  # as in the cycle explorer

# name: evaporating and condensing (K from the hottest saturated vapour where negative), superheat, subcooling, efficiency
CASES = {
    "usual": (273.15, -50.0, 5.0, 5.0, 0.7),
    "hot discharge": (258.15, -40.0, 20.0, 0.0, 0.6),
    "near critical": (280.15, -2.0, 0.0, 0.0, 0.8),
    "no superheat, no subcooling": (263.15, -45.0, 0.0, 0.0, 1.0),
    "small lift": (283.15, 293.15, 3.0, 3.0, 0.9),
    "far superheated": (268.15, -60.0, 25.0, 8.0, 0.65),
}
COLD = {"usual": (253.15, -12.0), "hot discharge": (233.15, -15.0), "no superheat, no subcooling": (253.15, -10.0), "far superheated": (243.15, -30.0)}


def cycle_of(name: str, case: str) -> Cycle:
    """A cycle of the case; R-744 at temperatures of its own."""
    fluid = refrigerant(name)
    evaporating, condensing, superheat, subcooling, efficiency = CASES[case]
    if name == "R-744":
        evaporating, condensing = COLD.get(case, (evaporating, condensing))
    condensing += fluid.highest_saturation_temperature if condensing < 0.0 else 0.0
    return solve(fluid, Conditions(ValvePosition.HEATING, "outdoor coil", evaporating, condensing, superheat, subcooling, efficiency))


def chart_of(kind: str, name: str, system: str, cycles: list[Cycle]):
    """A chart as large as in the cycle explorer."""
    figure = Figure(figsize=(5.4, 4.7), dpi=110)
    FigureCanvasAgg(figure)
    return CHARTS[kind](figure.add_axes(AXES), refrigerant(name), system=system, covering=cycles), figure


def boxes_of(trace) -> dict[str, tuple]:
    """Left, bottom, right and top in points of the box of each visible label."""
    boxes = {}
    for name, label in trace._labels.items():
        if label.get_visible():
            middle = on_page(trace.chart.axes, [label.xy])[0] + np.array(label.offset if trace.animated else label.xyann)
            if trace.animated:
                half = 36.0 / label.figure.dpi * np.array(label._painted().shape[1::-1])
            else:
                half = 36.0 / label.figure.dpi * np.array(label.get_bbox_patch().get_window_extent().size)
            boxes[name] = (*(middle - half), *(middle + half))
    return boxes


def overlap(a: tuple, b: tuple) -> bool:
    return min(a[2], b[2]) > max(a[0], b[0]) and min(a[3], b[3]) > max(a[1], b[1])


def check_labels(trace) -> None:
    """Every label box inside the axes, apart from the others, and off the markers of other points."""
    boxes = boxes_of(trace)
    (left, bottom), (right, top) = frame_of(trace.chart.axes)
    places = {point.label: on_page(trace.chart.axes, [trace.chart.place(point)])[0] for point in trace.cycle.points}
    assert set(places) == set(boxes)
    for name, box in boxes.items():
        assert left <= box[0] and box[2] <= right and bottom <= box[1] and box[3] <= top, name
        assert [] == [other for other, (x, y) in places.items() if box[0] < x < box[2] and box[1] < y < box[3]], name
    assert [] == [pair for pair in combinations(boxes, 2) if overlap(boxes[pair[0]], boxes[pair[1]])]


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("name", catalogue())
def test_moving_labels_stand_free(name: str, kind: str, system: str) -> None:
    """From cycle to cycle, usual and extreme, every label of a moving trace stands inside the axes, off other labels and other markers."""
    cycles = [cycle_of(name, case) for case in CASES]
    chart, _ = chart_of(kind, name, system, cycles)
    trace = chart.add_cycle(cycles[0], animated=True)
    for cycle in (*cycles, *cycles[::-1]):
        trace.show(cycle)
        check_labels(trace)


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("name", catalogue())
def test_no_number_of_a_still_chart_is_half_covered(name: str, kind: str, case: str) -> None:
    """On a still chart the labels stand free, and no number of a line that is still shown lies under a label, a marker or the cycle's line."""
    system = "IP" if case in ("usual", "near critical") else "SI"
    cycle = cycle_of(name, case)
    chart, figure = chart_of(kind, name, system, [cycle])
    trace = chart.add_cycle(cycle)
    figure.canvas.draw()
    check_labels(trace)
    boxes = list(boxes_of(trace).values())
    markers = on_page(chart.axes, [chart.place(point) for point in cycle.points])
    line = sampled(on_page(chart.axes, trace._line.get_xydata()))
    numbers = [text for text in chart.axes.texts if text.get_fontsize() == chart.style.isoline_size and not hasattr(text, "xyann")]
    shown = [text for text in numbers if text.get_visible()]
    assert 0.4 * len(numbers) < len(shown)
    for text in shown:
        left, bottom, right, top = 72.0 / figure.dpi * text.get_window_extent().extents
        assert [] == [box for box in boxes if overlap(box, (left, bottom, right, top))], text.get_text()
        assert [] == [(x, y) for x, y in markers if left - 3.0 < x < right + 3.0 and bottom - 3.0 < y < top + 3.0], text.get_text()
        assert [] == [(x, y) for x, y in line if left < x < right and bottom < y < top], text.get_text()


@pytest.mark.parametrize("kind", CHARTS)
def test_labels_do_not_flicker(kind: str) -> None:
    """While condensing warms in small steps, a label changes its place seldom, and a step back and forth changes none."""
    fluid = refrigerant("R-410A")
    conditions = [Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 303.15 + 0.25 * step, 5.0, 5.0, 0.7) for step in range(100)]
    cycles = [solve(fluid, one) for one in conditions]
    chart, _ = chart_of(kind, "R-410A", "SI", cycles)
    trace = chart.add_cycle(cycles[0], animated=True)
    changes = 0
    for before, cycle in zip(cycles, cycles[1:]):
        old = {name: label.offset for name, label in trace._labels.items()}
        trace.show(cycle)
        new = {name: label.offset for name, label in trace._labels.items()}
        changes += sum(old[name] != new[name] for name in old)
        trace.show(before)
        trace.show(cycle)
        assert new == {name: label.offset for name, label in trace._labels.items()}
    assert changes <= 14  # twice for each of the seven labels, over 25 K


def test_the_same_cycle_keeps_its_labels_where_they_are() -> None:
    """Shown twice, a cycle has its labels at the same places."""
    cycles = [cycle_of("R-32", case) for case in CASES]
    chart, _ = chart_of("temperature-entropy", "R-32", "SI", cycles)
    trace = chart.add_cycle(cycles[0], animated=True)
    for cycle in cycles:
        trace.show(cycle)
        once = [label.offset for label in trace._labels.values()]
        trace.show(cycle)
        assert once == [label.offset for label in trace._labels.values()]


def test_a_later_cycle_keeps_its_labels_off_the_earlier_one() -> None:
    """On a still chart the labels of two cycles that lie on each other do not overlap."""
    cycle = cycle_of("R-410A", "usual")
    for kind in CHARTS:
        chart, figure = chart_of(kind, "R-410A", "SI", [cycle])
        traces = [chart.add_cycle(cycle, look=look) for look in (0, 1)]
        figure.canvas.draw()
        both = [boxes_of(trace) for trace in traces]
        assert [] == [(a, b) for a in both[0] for b in both[1] if overlap(both[0][a], both[1][b])]


@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("cases", [("usual", "far superheated"), ("usual", "usual"), ("no superheat, no subcooling", "usual")])
def test_live_cycles_shown_together_keep_their_labels_apart(kind: str, cases: tuple[str, str]) -> None:
    """Labels of two live cycles stand off each other and, those of the corners, off every marker; crossings without room have none."""
    cycles = [cycle_of("R-410A", case) for case in cases]
    chart, _ = chart_of(kind, "R-410A", "SI", cycles)
    traces = [chart.add_cycle(cycle, look=look, animated=True) for look, cycle in enumerate(cycles)]
    chart.show_cycles(dict(zip(traces, cycles)))
    boxes = [box for trace in traces for box in trace.taken().boxes]
    assert [] == [(a, b) for (a, b) in combinations(range(len(boxes)), 2) if (np.abs(boxes[a][:2] - boxes[b][:2]) < boxes[a][2:] + boxes[b][2:] - 0.5).all()]
    for trace in traces:
        shown = [name for name, label in trace._labels.items() if label.get_visible()]
        assert {"1", "2", "3", "4"} <= set(shown) and len(shown) == len(trace.taken().boxes)


def test_a_cycle_without_numbers_has_no_labels_and_others_keep_off_it() -> None:
    """A cycle that is not numbered is a line with markers; the labels of the one shown with it stand off its markers."""
    kept, cycle = cycle_of("R-410A", "usual"), cycle_of("R-410A", "far superheated")
    chart, _ = chart_of("pressure-enthalpy", "R-410A", "SI", [kept, cycle])
    plain, trace = chart.add_cycle(kept, look=1, animated=True, numbered=False), chart.add_cycle(cycle, animated=True)
    chart.show_cycles({plain: kept, trace: cycle})
    assert 3 == len(plain.artists) and 0 == len(plain.taken().boxes)
    assert len(kept.points) == len(plain.outline().markers)
    assert [] == [(b, m) for b in trace.taken().boxes for m in plain.outline().markers if (np.abs(b[:2] - m[:2]) < b[2:]).all()]


def test_places_say_which_labels_are_free() -> None:
    """A label that can only stand on another is not free."""
    places = LabelPlaces([(13.0, -13.0)], [(7.0, 8.0)], 4.0)
    axes = Figure(figsize=(4, 4)).add_axes((0, 0, 1, 1))
    places.choose(np.array([(100.0, 100.0)]), Taken.nothing(axes))
    assert [True] == places.free.tolist()
    places.choose(np.array([(100.0, 100.0)]), Taken.nothing(axes).with_box((100.0, 100.0), (90.0, 90.0)))
    assert [False] == places.free.tolist()


def test_a_number_comes_back_when_nothing_covers_it() -> None:
    """Numbers that give way to a cycle stand again at their usual places once it is hidden."""
    cycle = cycle_of("R-410A", "hot discharge")
    chart, figure = chart_of("pressure-enthalpy", "R-410A", "SI", [cycle])
    figure.canvas.draw()
    usual = [(text.get_text(), text.get_position(), text.get_visible()) for text in chart._marks]
    trace = chart.add_cycle(cycle)
    figure.canvas.draw()
    assert usual != [(text.get_text(), text.get_position(), text.get_visible()) for text in chart._marks]
    trace.set_visible(False)
    figure.canvas.draw()
    assert [(text, tuple(place), shown) for text, place, shown in usual] == [
        (text.get_text(), tuple(text.get_position()), text.get_visible()) for text in chart._marks
    ]


FRAME = np.array([(0.0, 0.0), (300.0, 300.0)])
NONE = Taken(FRAME, np.empty((0, 3)), np.empty((0, 4)), np.empty((0, 2)))


@pytest.mark.parametrize(
    ("what", "taken"),
    [
        ("a marker", Taken(FRAME, np.array([(120.0, 80.0, 4.0)]), NONE.boxes, NONE.samples)),
        ("a label", NONE.with_box((120.0, 80.0), (8.0, 8.0))),
        ("a line", Taken(FRAME, NONE.markers, NONE.boxes, sampled(np.array([(112.0, 60.0), (125.0, 95.0)])))),
    ],
)
def test_a_label_leaves_its_usual_place_for_what_lies_there(what: str, taken: Taken) -> None:
    """A marker, another label or a line at the usual place moves a label elsewhere, where nothing lies."""
    places = LabelPlaces([(18.0, -18.0)], [(7.0, 8.0)], 4.0)
    marker = np.array([(100.0, 100.0)])
    assert [[18.0, -18.0]] == places.choose(marker, NONE).tolist()
    x, y = marker[0] + places.choose(marker, taken)[0]
    assert [18.0, -18.0] != [x - 100.0, y - 100.0], what
    assert not touches((x - 7.0, y - 8.0, x + 7.0, y + 8.0), taken), what
    assert touches((111.0, 74.0, 125.0, 90.0), taken), what
