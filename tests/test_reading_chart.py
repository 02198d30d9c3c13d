"""Charts from which numbers are to be read: thin lines, a fine grid, points that are named, and no number of the answer."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, Cycle, solve
from hpteach.diagrams import SCREEN, PressureEnthalpyChart, axes_rectangle
from hpteach.diagrams.reading_chart import KINDS, draw_reading_chart, save_reading_chart
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import refrigerant
from hpteach.units import shown_number


def cycle(name: str = "R-32") -> Cycle:
    """A usual cycle."""
    return solve(refrigerant(name), Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7))


def drawn(kind: str, name: str = "R-32", marked: tuple[str, ...] = ("1", "2"), system: str = "SI"):  # noqa: ANN201
    """A chart on a figure that has been drawn."""
    figure = Figure(figsize=(7.6, 6.2), dpi=100)
    canvas = FigureCanvasAgg(figure)
    chart = draw_reading_chart(figure.add_axes(axes_rectangle(figure, SCREEN)), kind, refrigerant(name), cycle(name), marked, system=system)
    canvas.draw()
    return chart


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_grid_is_fine_and_every_heavier_line_has_its_number(kind: str, system: str) -> None:
    """Both axes have thin lines between numbered ones."""
    axes = drawn(kind, system=system).axes
    for axis in (axes.xaxis, axes.yaxis):
        low, high = sorted(axis.get_view_interval())
        numbered, between = (sorted(at for at in places if low <= at <= high) for places in (axis.get_majorticklocs(), axis.get_minorticklocs()))
        assert len(numbered) >= 5 and len(between) >= 2 * len(numbered)
        assert all(axis.get_major_formatter()(at, 0) for at in numbered)


@pytest.mark.parametrize("kind", KINDS[:2])
def test_only_the_marked_points_are_named(kind: str) -> None:
    """The cycle is drawn whole; points that the question does not speak of bear no label."""
    named = [text.get_text() for text in drawn(kind, marked=("1", "3")).axes.texts if re.fullmatch("[1-4][ab]?", text.get_text()) and text.get_bbox_patch() and text.get_fontweight() == "bold"]
    assert ["1", "3"] == named


def test_a_chart_can_be_without_a_cycle() -> None:
    """Then it has its lines alone."""
    figure = Figure(figsize=(7.6, 6.2))
    chart = draw_reading_chart(figure.add_axes(axes_rectangle(figure, SCREEN)), "pressure-enthalpy", refrigerant("R-32"))
    assert isinstance(chart, PressureEnthalpyChart) and [] == chart._overlays


@pytest.mark.parametrize(("name", "lines"), [("R-32", ["dew line and bubble line"]), ("R-454B", ["dew line", "bubble line"]), ("R-407C", ["dew line", "bubble line"])])
def test_the_saturation_lines_are_named_in_the_key(name: str, lines: list[str]) -> None:
    """A blend has two lines and says which is which; a pure refrigerant has one."""
    chart = drawn("pressure-temperature", name)
    assert lines == [text.get_text() for text in chart.axes.get_legend().get_texts()]


@pytest.mark.parametrize("name", ["R-32", "R-454B", "R-744", "R-1234yf"])
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_saturation_lines_go_where_the_refrigerant_has_them(name: str, system: str) -> None:
    """A point of the dew line lies on the drawn line, to a fifth of a percent in pressure, and the whole line inside the frame."""
    fluid = refrigerant(name)
    chart = draw_reading_chart(Figure(figsize=(7.6, 6.2)).add_subplot(), "pressure-temperature", fluid, system=system)
    line = chart.axes.lines[0].get_xydata()
    (left, right), (low, high) = chart.axes.get_xlim(), chart.axes.get_ylim()
    assert left <= line[0, 0] and low <= line[:, 1].min() and line[:, 1].max() <= high
    for temperature in (263.15, 283.15):
        x = shown_number(temperature, "temperature", system)
        after = int((line[:, 0] < x).sum())
        (x0, y0), (x1, y1) = line[after - 1], line[after]
        share = (x - x0) / (x1 - x0)
        assert y0 ** (1.0 - share) * y1**share == pytest.approx(shown_number(fluid.dew_pressure(temperature), "pressure", system), rel=2e-3)
    assert right > x > left


def test_lines_are_thin_enough_to_read_at() -> None:
    """Half of what they weigh where a chart only shows."""
    chart = drawn("pressure-enthalpy")
    weights = {line.get_linewidth() for line in chart.axes.lines}
    assert 0.5 * SCREEN.cycle_weight in weights and SCREEN.cycle_weight not in weights


def test_a_chart_of_another_kind_is_refused() -> None:
    """The sentence names what can be read."""
    with pytest.raises(UnknownNameError, match="kind of chart 'circuit'"):
        draw_reading_chart(Figure().add_subplot(), "circuit", refrigerant("R-32"))


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_a_sheet_of_paper_is_written_and_is_the_same_each_time(ending: str, tmp_path: Path) -> None:
    """Two files of the same chart have the same bytes."""
    paths = [save_reading_chart("pressure-enthalpy", refrigerant("R-32"), cycle(), ("1", "2"), tmp_path / f"{number}.{ending}") for number in (1, 2)]
    assert paths[0].read_bytes() == paths[1].read_bytes() and len(paths[0].read_bytes()) > 10_000


def test_a_file_of_another_format_is_refused(tmp_path: Path) -> None:
    """Nothing is written."""
    with pytest.raises(InputError, match="known ending"):
        save_reading_chart("pressure-enthalpy", refrigerant("R-32"), None, (), tmp_path / "chart.bmp")
    assert [] == list(tmp_path.iterdir())
