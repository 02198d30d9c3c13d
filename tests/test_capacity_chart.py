"""The chart of capacity and load over the outdoor temperature, looked at through its artists."""

from __future__ import annotations

import itertools
from functools import cache

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.circuit import ValvePosition
from hpteach.diagrams import SCREEN, CapacityChart, axes_rectangle
from hpteach.diagrams.capacity_chart import upper_edge
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.sweep import DESIGN_TEMPERATURES, LoadLine, Sweep, sweep
from hpteach.units import show, shown_number

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
OUTDOORS = {HEATING: (248.15, 258.15, 268.15, 280.15, 293.15), COOLING: (288.15, 298.15, 308.15, 323.15)}
LARGER = SCREEN.enlarged(1.3, 1.5)
SYSTEMS = pytest.mark.parametrize("system", ["SI", "IP"])
POSITIONS = pytest.mark.parametrize("position", [HEATING, COOLING])


@cache
def swept(position: ValvePosition) -> Sweep:
    """The R-290 machine over its outdoor temperatures."""
    indoor = moist_air(293.15 if position is HEATING else 300.15, relative_humidity=0.5)
    return sweep(demo_machine("R-290"), position, OUTDOORS[position], relative_humidity=0.8, indoor=indoor)


def drawn(position: ValvePosition, system: str = "SI", style=SCREEN):  # noqa: ANN001, ANN201
    """A chart with its marks, as in the panel."""
    figure = Figure(figsize=(5.4, 4.7), dpi=110)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_axes(axes_rectangle(figure, style))
    chart = CapacityChart(axes, position.value, window=OUTDOORS[position][:: len(OUTDOORS[position]) - 1], most=max(swept(position).capacities), system=system, style=style)
    marks = chart.add_marks()
    canvas.draw()
    return chart, marks, canvas


@SYSTEMS
@POSITIONS
def test_the_dots_stand_on_their_lines(position: ValvePosition, system: str) -> None:
    """The dot of the machine stands at its capacity, that of the house on the load line, the diamond where both lines meet; each with its number."""
    found, load = swept(position), LoadLine(8000.0, DESIGN_TEMPERATURES[position])
    chart, marks, _ = drawn(position, system)
    now, balance = found.operations[2], found.balance_point(load)
    marks.show(found, now.outdoor.dry_bulb, now.capacity, load, balance)
    per = 1000.0 if system == "IP" else 1.0
    x = shown_number(now.outdoor.dry_bulb, "temperature", system)
    assert (x, shown_number(now.capacity, "power", system) / per) == tuple(float(one[0]) for one in marks._gives.get_data())
    assert (x, shown_number(load.at(now.outdoor.dry_bulb), "power", system) / per) == tuple(float(one[0]) for one in marks._needs.get_data())
    meets = marks._balance.get_data()
    assert np.interp(meets[0], *marks._curve.get_data()) == pytest.approx(float(meets[1][0]), rel=0.01)
    assert np.interp(meets[0], *marks._load.get_data()) == pytest.approx(float(meets[1][0]), rel=1e-9)
    weather, where = marks.said
    assert show(now.capacity, "power", system) in weather[1] and show(load.at(now.outdoor.dry_bulb), "power", system) in weather[2]
    assert ("balance point", show(balance.temperature, "temperature", system)) == where


@SYSTEMS
@POSITIONS
@pytest.mark.parametrize("style", [SCREEN, LARGER], ids=["screen", "larger"])
def test_nothing_is_cut_off(position: ValvePosition, system: str, style) -> None:  # noqa: ANN001
    """Title, numbers, axis titles and key stand inside the picture, and the moving labels inside the frame, at every weather and load."""
    chart, marks, canvas = drawn(position, system, style)
    page, frame = chart.axes.figure.bbox, chart.axes.get_window_extent()
    numbers = [tick.label1 for axis in (chart.axes.xaxis, chart.axes.yaxis) for tick in axis._update_ticks()]  # those that are drawn
    for text in (chart.axes._left_title, chart.axes.xaxis.label, chart.axes.yaxis.label, *numbers, *chart.axes.get_legend().get_texts()):
        box = text.get_window_extent()
        assert page.x0 <= box.x0 and box.x1 <= page.x1 and page.y0 <= box.y0 and box.y1 <= page.y1 + 1, text.get_text()
    for now, design_load in itertools.product(swept(position).operations, (3000.0, 8000.0, 15000.0)):
        load = LoadLine(design_load, DESIGN_TEMPERATURES[position])
        marks.show(swept(position), now.outdoor.dry_bulb, now.capacity, load, swept(position).balance_point(load))
        boxes = [label.box() for label in (marks._weather, marks._where) if label.get_visible()]
        for left, bottom, right, top in boxes:
            assert frame.x0 - 1 <= left and right <= frame.x1 + 1 and frame.y0 - 1 <= bottom and top <= frame.y1 + 1
        if len(boxes) == 2:
            (l0, b0, r0, t0), (l1, b1, r1, t1) = boxes
            assert r0 <= l1 + 1 or r1 <= l0 + 1 or t0 <= b1 + 1 or t1 <= b0 + 1


def test_without_a_balance_point_there_is_no_diamond() -> None:
    """A house that is always covered has no diamond and no number for it."""
    _, marks, _ = drawn(HEATING)
    found, load = swept(HEATING), LoadLine(1000.0, 263.15)
    marks.show(found, 280.15, found.capacities[3], load, found.balance_point(load))
    assert () == marks.said[1] and marks._balance not in marks.artists


def test_a_load_above_the_edge_is_an_arrow_there() -> None:
    """A need beyond the chart points upwards at the edge, and its number still stands there."""
    chart, marks, _ = drawn(HEATING)
    found, load = swept(HEATING), LoadLine(16000.0, 263.15)
    marks.show(found, 248.15, found.capacities[0], load, found.balance_point(load))
    assert "^" == marks._needs.get_marker() and marks._needs.get_ydata()[0] < chart.axes.get_ylim()[1]
    assert f"needs {show(load.at(248.15), 'power')}" == marks.said[0][2]
    marks.show(found, 288.15, found.capacities[3], load, found.balance_point(load))
    assert "s" == marks._needs.get_marker()


def test_a_cross_ends_a_curve_that_stops() -> None:
    """Where the machine does not run beyond, a cross stands on the last point; elsewhere there is none."""
    _, marks, _ = drawn(HEATING)
    load = LoadLine(8000.0, 263.15)
    indoor = moist_air(293.15, relative_humidity=0.5)
    stops = sweep(demo_machine("R-32 variable speed"), HEATING, (243.15, 253.15, 268.15, 283.15), relative_humidity=0.85, indoor=indoor, speed_ratio=1.5)
    marks.show(stops, 283.15, stops.capacities[-1], load, stops.balance_point(load))
    assert [shown_number(stops.temperatures[0], "temperature")] == list(marks._ends.get_xdata())
    marks.show(swept(HEATING), 280.15, swept(HEATING).capacities[3], load, swept(HEATING).balance_point(load))
    assert 0 == len(marks._ends.get_xdata())


@pytest.mark.parametrize(("most", "edge"), [(3000.0, 4e3), (10000.0, 12e3), (13600.0, 16e3), (200e3, 224e3)])
def test_the_upper_edge_is_round_and_above(most: float, edge: float) -> None:
    """The largest heat stays clear of the upper edge, which is one of a few round numbers."""
    assert edge == pytest.approx(upper_edge(most), rel=1e-12)
