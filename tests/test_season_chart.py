"""A heating season as a picture: lines, hatching and bars stand where the season has them."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.diagrams import SCREEN
from hpteach.diagrams.season_chart import SeasonChart, bin_heat, reach
from hpteach.machine.climate import climate
from hpteach.machine.season import Running, Season, load_in, season

AVERAGE = climate("average")
BINS = [one.outdoor_temperature for one in AVERAGE.bins]


def runs(outdoor: float) -> Running:
    """A machine on a straight line: 6 kW at -10 °C, 10 kW at 10 °C."""
    return Running(6000.0 + 200.0 * (outdoor - 263.15), 2500.0)


def drawn(design_load: float, performance=runs, system: str = "SI", style=SCREEN) -> tuple[SeasonChart, Season]:  # noqa: ANN001
    """A chart that shows the season of a house."""
    load = load_in(AVERAGE, design_load)
    found = season(performance, AVERAGE, load)
    figure = Figure(figsize=(7.6, 6.4))
    FigureCanvasAgg(figure)
    chart = SeasonChart(figure, BINS, most_power=16e3, most_heat=reach(bin_heat(found), 9e8), title="Here: heat", system=system, style=style)
    chart.show(found, load, [(at, run.capacity) for at in BINS if (run := performance(at)) is not None])
    return chart, found


def areas(path: np.ndarray) -> list[float]:
    """Width times height of each bar of a path of five corners for each."""
    return [float(np.ptp(bar[:, 0]) * np.ptp(bar[:, 1])) for bar in path.reshape(-1, 5, 2)]


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_bars_hold_the_heat_of_the_season(system: str) -> None:
    """The heights of both kinds of bars, in kilowatt-hours, add up to the heat of the machine and the auxiliary heat, in either unit system."""
    chart, found = drawn(12e3, system=system)
    heights = [sum(float(np.ptp(bar[:, 1])) for bar in patch.get_path().vertices.reshape(-1, 5, 2)) for patch in (chart._by_machine, chart._by_auxiliary)]
    assert (found.heat_delivered - found.heat_auxiliary) / 3.6e6 == pytest.approx(heights[0], rel=1e-9)
    assert found.heat_auxiliary / 3.6e6 == pytest.approx(heights[1], rel=1e-9)


def test_the_hatching_is_what_the_machine_is_short_by() -> None:
    """The hatched triangle between load and capacity ends at the balance point, and has half its base times its height."""
    chart, found = drawn(12e3)
    corners = chart._short.get_path().vertices
    assert found.balance_point - 273.15 == pytest.approx(corners[:, 0].max(), abs=1e-3)
    x, y = corners[:-1].T
    area = 0.5 * abs(float(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))))
    assert 0.5 * (found.balance_point - 263.15) * 6.0 == pytest.approx(area, rel=1e-3)


def test_the_balance_point_is_marked_and_named() -> None:
    """The mark stands on both lines at the balance point, whose temperature is written beside it."""
    chart, found = drawn(12e3)
    (x,), (y,) = chart._point.get_data()
    assert found.balance_point - 273.15 == pytest.approx(x) and load_in(AVERAGE, 12e3).at(found.balance_point) / 1e3 == pytest.approx(y)
    assert ("balance point", f"{found.balance_point - 273.15:.1f} °C") == chart.said and "D" == chart._point.get_marker()


def test_a_machine_that_covers_all_has_no_mark_and_no_hatching() -> None:
    """Without auxiliary heat there is neither a balance point nor a hatched bar."""
    chart, found = drawn(5e3)
    assert "covers all" == found.balance and () == chart.said
    assert (0, 0) == tuple(len(patch.get_path().vertices) for patch in (chart._short, chart._by_auxiliary))


def test_where_a_machine_stops_a_cross_says_so() -> None:
    """A machine that stops while it still covers the load is marked with a cross there, and its auxiliary bars stand below."""
    chart, found = drawn(5e3, lambda outdoor: runs(outdoor) if outdoor > 268.0 else None)
    assert "stops" == found.balance and "machine stops" == chart.said[0] and "x" == chart._point.get_marker()
    assert sum(one.auxiliary > 0.0 for one in found.bins) == len(areas(chart._by_auxiliary.get_path().vertices))


def test_a_machine_that_covers_nothing_is_drawn() -> None:
    """A tiny machine: hatching under the whole load line, and no balance point."""
    chart, found = drawn(12e3, lambda outdoor: Running(100.0, 50.0))
    assert "covers none" == found.balance and () == chart.said and len(chart._short.get_path().vertices) > 4


@pytest.mark.parametrize("style", [SCREEN, SCREEN.enlarged(1.3, 1.5)], ids=["plain", "larger"])
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_nothing_stands_beyond_the_figure(system: str, style: object) -> None:
    """Titles, numbers, axis titles and the key lie within the figure and apart, in both sizes of type."""
    chart, _ = drawn(12e3, system=system, style=style)
    figure = chart.upper.figure
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    for axes in (chart.upper, chart.lower):
        box = axes.get_tightbbox(renderer)
        assert box.x0 >= -1.0 and box.y0 >= -1.0 and box.x1 <= figure.bbox.x1 + 1.0 and box.y1 <= figure.bbox.y1 + 1.0
    assert chart.lower.get_legend().get_window_extent().y1 <= chart.lower.xaxis.label.get_window_extent().y0 + 1.0


def test_the_label_stays_within_the_axes() -> None:
    """Wherever the balance point moves, its label stands within the upper half and not on the mark."""
    chart, _ = drawn(12e3)
    frame = chart.upper.bbox
    for design_load in np.linspace(8.2e3, 16e3, 20):
        load = load_in(AVERAGE, float(design_load))
        chart.show(season(runs, AVERAGE, load), load, [(at, runs(at).capacity) for at in BINS])
        left, bottom, right, top = chart._label.box()
        assert frame.x0 <= left and right <= frame.x1 and frame.y0 <= bottom and top <= frame.y1, design_load


@pytest.mark.parametrize(("most", "expected"), [(100.0, 4000.0), (4000.0, 4000.0), (6001.0, 8000.0), (12345.0, 16000.0)])
def test_the_edge_moves_in_wide_steps(most: float, expected: float) -> None:
    """The upper edge holds what is shown, and is one of few."""
    assert expected == reach(most, 4000.0)
