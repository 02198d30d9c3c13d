"""The grid of charts on paper: where its lines are, and what numbers they have (hpteach/diagrams/fine_grid.py)."""

from __future__ import annotations

import numpy as np
import pytest

from hpteach.diagrams import CHARTS, chart_figure
from hpteach.diagrams.fine_grid import STEPS, even_lines, log_lines
from hpteach.fluids import catalogue, refrigerant
from hpteach.units import base_number

SHEETS = [(kind, system) for kind in CHARTS for system in ("SI", "IP")]


def blank(kind: str, name: str, system: str = "SI", **how):
    """A blank chart, drawn."""
    figure = chart_figure(kind, refrigerant(name), [], system=system, blank=True, **how)
    figure.set_dpi(300)
    figure.canvas.draw()
    return figure


def dark_runs(shades: np.ndarray) -> list[float]:
    """The middles of the runs of pixels that are not white."""
    dark = np.flatnonzero(shades < 250)
    runs = np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1)
    return [float(run.mean()) + 0.5 for run in runs]


# (kind, system, row or column that meets no other line: (its x or y, from, to), where lines have to be)
PRINTED = [
    ("pressure-enthalpy", "SI", "row", (54.0, 121.0, 164.0), [130, 140, 150, 160]),
    ("pressure-enthalpy", "SI", "column", (124.0, 1.94, 11.3), [
        2, 2.2, 2.4, 2.6, 2.8, 3, 3.2, 3.4, 3.6, 3.8, 4, 4.2, 4.4, 4.6, 4.8, 5, 5.5, 6, 6.5, 7, 7.5, 8, 8.5, 9, 9.5, 10, 11,
    ]),
    ("pressure-enthalpy", "IP", "row", (770.0, 52.0, 73.0), [55, 60, 65, 70]),
    ("pressure-enthalpy", "IP", "column", (53.0, 39.0, 101.0), [40, 42, 44, 46, 48, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95, 100]),
    ("temperature-entropy", "SI", "row", (102.0, 0.72, 1.12), [0.75, 0.8, 0.85, 0.9, 0.95, 1.0, 1.05, 1.1]),
    ("temperature-entropy", "SI", "column", (0.73, 22.0, 62.0), [25, 30, 35, 40, 45, 50, 55, 60]),
    ("temperature-entropy", "IP", "row", (215.0, 0.172, 0.225), [0.18, 0.19, 0.2, 0.21, 0.22]),
    ("temperature-entropy", "IP", "column", (0.175, 95.0, 135.0), [100, 110, 120, 130]),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "system", "way", "along", "expected"), PRINTED)
def test_printed_lines_stand_where_their_numbers_are(kind, system, way, along, expected) -> None:
    """On the printed sheet the lines met along a row or column stand at round numbers, to one pixel of 300 in an inch.

    Lines are set on whole pixels, so that one of them can be off by half its width and half a pixel.
    """
    figure = blank(kind, "R-410A", system)
    axes, shades = figure.axes[0], np.asarray(figure.canvas.buffer_rgba())[::-1, :, 0].astype(int)
    at, first, last = along
    places = [(value, at) if way == "row" else (at, value) for value in (first, last, *expected)]
    pixels = axes.transData.transform(places)
    across = 0 if way == "row" else 1
    begin, end, *wanted = pixels[:, across]
    line = int(pixels[0, 1 - across])
    strip = shades[line, int(begin) : int(end)] if way == "row" else shades[int(begin) : int(end), line]
    found = [int(begin) + middle for middle in dark_runs(strip)]
    assert [pytest.approx(place, abs=1.0) for place in wanted] == found


@pytest.mark.parametrize(("kind", "system"), SHEETS)
@pytest.mark.parametrize("name", catalogue())
def test_numbers_on_the_axes_are_those_of_their_lines(name, kind, system) -> None:
    """Every heavier line inside the frame has the number of its place on the axis, there are at least four on each, and none touch."""
    axes = blank(kind, name, system).axes[0]
    for axis, limits, side in ((axes.xaxis, axes.get_xlim(), 0), (axes.yaxis, axes.get_ylim(), 1)):
        shown = list(zip(axis.get_majorticklocs(), axis.get_ticklabels(), strict=True))
        assert [place for place, _ in shown] == [float(label.get_text()) for _, label in shown]
        assert all(limits[0] <= place <= limits[1] for place, _ in shown) and len(shown) >= 4
        boxes = [label.get_window_extent() for _, label in shown]
        ends = [(box.x0, box.x1) if side == 0 else (box.y0, box.y1) for box in boxes]
        assert [] == [pair for pair in zip(ends, ends[1:]) if pair[0][1] >= pair[1][0]]
        page = axes.figure.bbox
        assert all(page.x0 <= box.x0 and box.x1 <= page.x1 for box in boxes)


@pytest.mark.parametrize("kind", CHARTS)
def test_heavier_lines_are_heavier(kind) -> None:
    """Lines with a number are wider and darker than those between, and both are grey and shown."""
    axes = blank(kind, "R-32").axes[0]
    for axis in (axes.xaxis, axes.yaxis):
        major, minor = axis.get_major_ticks()[0].gridline, axis.get_minor_ticks()[0].gridline
        assert (True, True) == (major.get_visible(), minor.get_visible())
        assert major.get_linewidth() > minor.get_linewidth() and major.get_color() < minor.get_color()


def test_grid_lies_under_the_chart() -> None:
    """The grid lies below the dome and the lines of the chart."""
    axes = blank("pressure-enthalpy", "R-32").axes[0]
    assert axes.xaxis.get_zorder() < min(line.get_zorder() for line in (*axes.lines, *axes.collections))


def test_steps_of_a_number_hold_whole_steps_of_lines() -> None:
    """From number to number there is always a whole number of lines."""
    ratios = [numbered / step for choices in STEPS.values() for step, numbered in choices]
    assert [round(ratio) for ratio in ratios] == pytest.approx(ratios, rel=1e-12)


@pytest.mark.parametrize(("low", "high", "tenths"), [(0.1, 1.0, 0.1), (1.0, 10.0, 1.0), (100.0, 1000.0, 100.0)])
def test_every_decade_has_the_same_lines(low, high, tenths) -> None:
    """Each decade holds 10 lines up to 2, 15 up to 5 and 11 up to 10, among them every whole number from 1 to 10."""
    numbered, between = log_lines(low, high)
    lines = sorted([*numbered, *between])
    assert [1, 1.5, 2, 3, 4, 5, 6, 8, 10] == pytest.approx([place / tenths for place in numbered])
    assert (36, low, high) == (len(lines), lines[0], lines[-1])
    assert set() == {round(tenths * digit, 9) for digit in range(1, 11)} - {round(place, 9) for place in lines}


def test_lines_at_the_edges_belong_to_the_grid() -> None:
    """A line that stands just at an edge is drawn, and nothing stands outside."""
    assert ([0.0, 100.0], [20.0, 40.0, 60.0, 80.0]) == even_lines(0.0, 100.0, 20.0, 100.0)
    assert ([], [20.0, 40.0]) == even_lines(0.5, 59.0, 20.0, 100.0)


def test_unit_of_pressure_moves_the_grid() -> None:
    """In kPa the lines are round in kPa: the same frame, in pascals, as in bar."""
    in_bar, in_kpa = (blank("pressure-enthalpy", "R-32", pressure_unit=unit).axes[0] for unit in ("bar", "kPa"))
    assert [1e5 * edge for edge in in_bar.get_ylim()] == pytest.approx([1e3 * edge for edge in in_kpa.get_ylim()])
    assert [1e5 * place for place in in_bar.get_yticks()] == pytest.approx([1e3 * place for place in in_kpa.get_yticks()])
    in_psia = blank("pressure-enthalpy", "R-32", pressure_unit="psia").axes[0]
    assert in_bar.get_ylim()[0] * 1e5 == pytest.approx(base_number(in_psia.get_ylim()[0], "pressure", "IP"))
