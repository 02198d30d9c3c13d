"""The charts, looked at through their artists and their pixels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.diagrams import CHARTS, PAPER, chart_figure, save_chart
from hpteach.diagrams.cycle_path import cycle_path
from hpteach.diagrams.style import FAMILIES
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.units import base_number, shown_number

CONDITIONS = Conditions(ValvePosition.HEATING, "outdoor coil", 268.15, 318.15, 5.0, 5.0, 0.7)


def usual(name: str) -> Conditions:
    """The usual conditions, or cooler ones where the critical temperature asks for them."""
    return replace(CONDITIONS, saturated_condensing_temperature=298.15) if name == "R-744" else CONDITIONS


def drawn(kind: str, name: str, system: str = "SI"):
    """A chart with one cycle on an axes of its own, rendered."""
    fluid = refrigerant(name)
    figure = Figure(figsize=(5.4, 4.7))  # as in the cycle explorer
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.135, 0.175, 0.83, 0.755))
    chart = CHARTS[kind](axes, fluid, system=system)
    trace = chart.add_cycle(solve(fluid, usual(name)), label="heating")
    figure.canvas.draw()
    return chart, trace, figure


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("name", catalogue())
def test_every_state_point_lies_in_the_window(name: str, kind: str, system: str) -> None:
    """Every state point and every label of a usual cycle lies inside the axes."""
    chart, trace, figure = drawn(kind, name, system)
    window = chart.axes.get_window_extent()
    for annotation in trace._labels.values():
        box = annotation.get_window_extent()
        assert window.x0 <= box.x0 and box.x1 <= window.x1, annotation.get_text()
        assert window.y0 <= box.y0 and box.y1 <= window.y1, annotation.get_text()


@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("name", catalogue())
def test_no_text_is_clipped_by_the_figure(name: str, kind: str) -> None:
    """Titles, tick labels and the key stand inside the figure."""
    chart, _, figure = drawn(kind, name)
    page = figure.bbox
    texts = [chart.axes.title, chart.axes._left_title, chart.axes.xaxis.label, chart.axes.yaxis.label]
    texts += chart.axes.get_legend().get_texts()
    for axis, (low, high) in ((chart.axes.xaxis, chart.axes.get_xlim()), (chart.axes.yaxis, chart.axes.get_ylim())):
        texts += [label for place, label in zip(axis.get_ticklocs(), axis.get_ticklabels()) if low <= place <= high]
    for text in texts:
        if text.get_text():
            box = text.get_window_extent()
            assert page.x0 <= box.x0 and box.x1 <= page.x1 and page.y0 <= box.y0 and box.y1 <= page.y1, text.get_text()


@pytest.mark.parametrize("kind", CHARTS)
def test_markers_stand_at_the_solved_numbers(kind: str) -> None:
    """The markers 1 to 4 stand at the numbers of the solved state points, in the shown units."""
    chart, trace, _ = drawn(kind, "R-32", "IP")
    cycle = solve(refrigerant("R-32"), CONDITIONS)
    x, y = trace._points.get_data()
    for index, label in enumerate("1234"):
        point = cycle.point(label)
        axis = chart.x_axis, chart.y_axis
        expected = [shown_number(getattr(point, a.attribute), a.kind, "IP") for a in axis]
        assert expected == pytest.approx([x[index], y[index]], rel=1e-12)


def test_the_pressure_axis_has_plain_numbers() -> None:
    """The logarithmic pressure axis is labelled 2, 5, 10, 20, not with powers of ten."""
    chart, _, _ = drawn("pressure-enthalpy", "R-410A")
    low, high = chart.axes.get_ylim()
    shown = [label.get_text() for place, label in zip(chart.axes.get_yticks(), chart.axes.get_yticklabels()) if low <= place <= high]
    assert ["2", "5", "10", "20", "50"] == shown


def test_a_moved_trace_equals_a_fresh_one() -> None:
    """A trace moved to another cycle has the same data as one drawn for it."""
    fluid = refrigerant("R-290")
    chart, trace, _ = drawn("pressure-enthalpy", "R-290")
    other = solve(fluid, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 313.15, 8.0, 3.0, 0.8))
    trace.show(other)
    fresh = chart.add_cycle(other)
    for mine, theirs in zip(trace.artists[:3], fresh.artists[:3]):
        assert np.array_equal(mine.get_xydata(), theirs.get_xydata())


def test_a_path_follows_what_stays_the_same() -> None:
    """Condensing and boiling keep their pressure, metering keeps its enthalpy, and the path closes."""
    fluid = refrigerant("R-410A")
    compressing, condensing, metering, boiling = cycle_path(fluid, solve(fluid, CONDITIONS))
    assert np.ptp(condensing.pressure) == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(boiling.pressure) == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(metering.enthalpy) == pytest.approx(0.0, abs=1e-3)
    assert (compressing.pressure[0], compressing.enthalpy[0]) == (boiling.pressure[-1], boiling.enthalpy[-1])


def test_a_wet_discharge_has_no_point_2a() -> None:
    """A cycle whose discharge is wet hides the label of the dew point that it never meets."""
    fluid = refrigerant("R-1234yf")
    chart, trace, _ = drawn("temperature-entropy", "R-1234yf")
    trace.show(solve(fluid, Conditions(ValvePosition.HEATING, "outdoor coil", 273.15, 318.15)))
    assert [False, True] == [trace._labels[name].get_visible() for name in ("2a", "2b")]


@pytest.mark.parametrize("ending", [".svg", ".png", ".pdf"])
def test_a_chart_is_saved_by_its_ending(tmp_path, ending: str) -> None:
    """A chart is written in the format that the file's ending names."""
    fluid = refrigerant("R-32")
    path = save_chart("pressure-enthalpy", fluid, [solve(fluid, CONDITIONS)], tmp_path / f"chart{ending}")
    begins = {".svg": b"<?xml", ".png": b"\x89PNG", ".pdf": b"%PDF"}[ending]
    assert path.read_bytes().startswith(begins)


def test_paper_style_is_black_and_white() -> None:
    """The style for paper uses no colour, and tells cycles apart by line and marker."""
    greys = {PAPER.ink, PAPER.isotherm, PAPER.isentrope, PAPER.quality, PAPER.isobar, PAPER.isochore, *(look.colour for look in PAPER.looks)}
    assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in greys)
    assert len({(look.line_style, look.marker) for look in PAPER.looks}) == len(PAPER.looks)


def test_two_cycles_are_named_above_the_chart() -> None:
    """Cycles laid over each other are named by the valve's position."""
    fluid = refrigerant("R-32")
    cooling = Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15)
    figure = chart_figure("temperature-entropy", fluid, [solve(fluid, cooling), solve(fluid, CONDITIONS)])
    figure.canvas.draw()
    names = [t.get_text() for a in figure.axes[0].artists for t in getattr(a, "get_texts", list)()]
    assert ["cooling", "heating"] == names


@pytest.mark.parametrize(
    ("path", "error"),
    [("chart.gif", InputError), ("no/such/folder/chart.svg", InputError)],
)
def test_a_file_that_cannot_be_is_refused(tmp_path, path: str, error: type) -> None:
    """An unknown ending and a place that cannot be written are refused in a sentence."""
    with pytest.raises(error, match="chart"):
        save_chart("pressure-enthalpy", refrigerant("R-32"), [], tmp_path / path)


def test_an_unknown_chart_is_refused() -> None:
    """A kind of chart that does not exist is refused with the kinds that do."""
    with pytest.raises(UnknownNameError, match="pressure-enthalpy"):
        chart_figure("pressure-volume", refrigerant("R-32"), [])


def test_a_chart_reaches_as_far_as_its_cycles() -> None:
    """A chart made for a very cold cycle covers it; a usual one says that it does not."""
    fluid = refrigerant("R-32")
    cold = solve(fluid, Conditions(ValvePosition.HEATING, "outdoor coil", 213.15, 293.15, 5.0, 5.0, 0.9))
    for kind, chart in CHARTS.items():
        usual = chart(Figure().add_subplot(), fluid)
        wide = chart(Figure().add_subplot(), fluid, covering=[cold])
        assert (False, True) == (usual.covers(cold), wide.covers(cold)), kind


def test_two_cycles_on_each_other_are_both_seen() -> None:
    """The second look has larger, hollow markers, so that equal cycles show both kinds."""
    first, second = PAPER.looks[:2]
    assert second.hollow and not first.hollow and first.marker_size < second.marker_size


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", catalogue())
def test_every_isobar_of_the_chart_carries_its_number(name: str, system: str) -> None:
    """On the temperature-entropy chart each isobar has its number, inside the axes, and no two overlap, once no cycle lies on them."""
    chart, trace, figure = drawn("temperature-entropy", name, system)
    trace.set_visible(False)
    figure.canvas.draw()
    pascals = 4.4482216152605 / 0.0254**2 if system == "IP" else 1e5  # the pound-force and the inch as defined
    mine = [text for text in chart.axes.texts if text.get_color() == chart.style.isobar and text.get_visible()]
    assert sorted(round(p / pascals) for p in chart._pressures()) == sorted(int(text.get_text()) for text in mine)
    window = chart.axes.get_window_extent()
    for index, text in enumerate(mine):
        box = text.get_window_extent()
        assert window.x0 <= box.x0 and box.x1 <= window.x1 and window.y0 <= box.y0 and box.y1 <= window.y1, text.get_text()
        assert [] == [other.get_text() for other in mine[index + 1 :] if box.overlaps(other.get_window_extent())], text.get_text()


# Pressure in a unit of its own ------------------------------------------------------------


@pytest.mark.parametrize(("unit", "pascals"), [("bar", 1e5), ("kPa", 1e3), ("psia", 4.4482216152605 / 0.0254**2)])
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_pressure_unit_is_chosen_apart_from_the_system(system: str, unit: str, pascals: float) -> None:
    """Pressure stands in the chosen unit on the axis, at the points and on the isobars; the other quantities follow the system."""
    fluid, cycle = refrigerant("R-32"), solve(refrigerant("R-32"), CONDITIONS)
    figure = Figure(figsize=(5.4, 4.7))
    FigureCanvasAgg(figure)
    chart = CHARTS["pressure-enthalpy"](figure.add_axes((0.135, 0.175, 0.83, 0.755)), fluid, system=system, pressure_unit=unit)
    trace = chart.add_cycle(cycle)
    figure.canvas.draw()
    assert f"absolute pressure p, {unit}" == chart.axes.get_ylabel()
    assert {"SI": "specific enthalpy h, kJ/kg", "IP": "specific enthalpy h, Btu/lb"}[system] == chart.axes.get_xlabel()
    assert [cycle.point(n).pressure / pascals for n in "1234"] == pytest.approx(list(trace._points.get_ydata()), rel=1e-9)
    assert 0.0 <= chart.axes.yaxis.label.get_window_extent().x0
    low, high = chart.axes.get_ylim()
    shown = [label.get_text() for place, label in zip(chart.axes.get_yticks(), chart.axes.get_yticklabels()) if low <= place <= high]
    assert shown and all(text.isdigit() and text.rstrip("0") in ("1", "2", "5") for text in shown)
    other = CHARTS["temperature-entropy"](figure.add_subplot(), fluid, system=system, pressure_unit=unit)
    assert f"isobar, {unit}" == other.axes.get_legend().get_texts()[0].get_text()
    mine = [int(text.get_text()) for text in other.axes.texts if text.get_color() == other.style.isobar]
    assert [round(p / pascals) for p in other._pressures()] == mine


def test_the_usual_pressure_unit_is_that_of_the_system() -> None:
    """Without a choice pressure stands in bar in SI and in psia in IP."""
    assert ["bar", "psia"] == [drawn("pressure-enthalpy", "R-32", system)[0].pressure_unit for system in ("SI", "IP")]


@pytest.mark.parametrize("unit", ["psi", "MPa", "barg", ""])
def test_another_pressure_unit_is_refused(unit: str) -> None:
    """A pressure unit that a chart does not have is refused with those that it has."""
    with pytest.raises(UnknownNameError, match="pressure unit.*bar, kPa, psia"):
        CHARTS["pressure-enthalpy"](Figure().add_subplot(), refrigerant("R-32"), pressure_unit=unit)


# Two refrigerants -------------------------------------------------------------------------

PAIRS = [("R-410A", "R-32"), ("R-1234yf", "R-744"), ("R-744", "R-454C"), ("R-290", "R-410A"), ("R-454B", "R-407C")]


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize(("first", "second"), PAIRS)
def test_two_refrigerants_share_a_chart(first: str, second: str, kind: str, system: str) -> None:
    """Both domes and both cycles lie in the window, each cycle is traced with its own refrigerant, names and key stand inside the figure."""
    fluids = [refrigerant(name) for name in (first, second)]
    cycles = [solve(fluid, usual(fluid.name)) for fluid in fluids]
    figure = Figure(figsize=(5.4, 4.7))
    FigureCanvasAgg(figure)
    chart = CHARTS[kind](figure.add_axes((0.135, 0.175, 0.83, 0.755)), fluids[0], system=system, covering=cycles, beside=fluids[1])
    traces = [chart.add_cycle(cycle, look=look) for look, cycle in enumerate(cycles)]
    figure.canvas.draw()
    assert [True, True] == [chart.covers(cycle) for cycle in cycles]
    window = [sorted(chart.axes.get_xlim()), sorted(chart.axes.get_ylim())]
    for fluid, cycle, trace in zip(fluids, cycles, traces):
        for (low, high), number in zip(window, chart.place(fluid.critical_state())):
            assert low < number < high, fluid.name
        expected = np.concatenate([np.column_stack(chart.place(process)) for process in cycle_path(fluid, cycle)])
        assert np.array_equal(expected, trace._line.get_xydata())
    domes = [line for line in chart.axes.lines if line.get_color() == chart.style.dome and line.get_zorder() == 2.5]
    assert [False, True] == [line.is_dashed() for line in domes]
    assert domes[0].get_linewidth() > domes[1].get_linewidth()
    names = {text.get_text(): text for text in chart.axes.texts if text.get_zorder() == 2.6}
    assert [first, second] == list(names)
    assert [True, True] == [text.get_visible() for text in names.values()]
    title, (key, *_) = chart.axes._left_title, chart.axes.get_legend().get_texts()
    assert f"{first} and {second}: {chart.title}" == title.get_text()
    assert key.get_text().startswith(f"{first}: ")
    for box in (title.get_window_extent(), chart.axes.get_legend().get_window_extent()):
        assert 0.0 <= box.x0 and box.x1 <= figure.bbox.x1 and 0.0 <= box.y0


@pytest.mark.parametrize("kind", CHARTS)
def test_a_cycle_of_a_third_refrigerant_is_refused(kind: str) -> None:
    """A cycle of a refrigerant that a chart does not have is refused, naming both, and leaves nothing on the chart."""
    cycle = solve(refrigerant("R-290"), CONDITIONS)
    chart = CHARTS[kind](Figure().add_subplot(), refrigerant("R-410A"), beside=refrigerant("R-32"))
    before = len(chart.axes.get_children())
    with pytest.raises(InputError, match="R-290.*R-410A and R-32"):
        chart.add_cycle(cycle)
    assert before == len(chart.axes.get_children())
    trace = chart.add_cycle(solve(refrigerant("R-32"), CONDITIONS))
    with pytest.raises(InputError, match="R-290.*R-410A and R-32"):
        trace.show(cycle)
    with pytest.raises(InputError, match="R-290.*R-410A"):
        CHARTS[kind](Figure().add_subplot(), refrigerant("R-410A"), covering=[cycle])


def test_a_refrigerant_beside_itself_or_counted_from_elsewhere_is_refused() -> None:
    """The second refrigerant must be another one on the same reference state."""
    for other, said in ((refrigerant("R-32"), "beside itself"), (refrigerant("R-290", "ashrae"), "'iir'.*'ashrae'")):
        with pytest.raises(InputError, match=said):
            CHARTS["pressure-enthalpy"](Figure().add_subplot(), refrigerant("R-32"), beside=other)


# Isochores --------------------------------------------------------------------------------


def isochore_labels(chart) -> list:
    """The labels of the isochores, known by their colour; a hidden one has no room on the saved chart."""
    return [text for text in chart.axes.texts if text.get_color() == chart.style.isochore]


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", catalogue())
def test_labels_of_isochores_stand_free(name: str, system: str) -> None:
    """Three to six isochores carry their number, inside the axes and clear of every other small label."""
    chart, _, _ = drawn("pressure-enthalpy", name, system)
    mine = isochore_labels(chart)
    window = chart.axes.get_window_extent()
    assert 3 <= len(mine) <= 6
    small = [text for text in chart.axes.texts if text.get_fontsize() == chart.style.isoline_size and not hasattr(text, "xyann") and text.get_visible()]
    for text in (text for text in mine if text.get_visible()):
        box = text.get_window_extent()
        assert window.x0 <= box.x0 and box.x1 <= window.x1 and window.y0 <= box.y0 and box.y1 <= window.y1, text.get_text()
        touched = [other.get_text() for other in small if other is not text and box.overlaps(other.get_window_extent())]
        assert [] == touched, text.get_text()


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", catalogue())
def test_every_isochore_is_labelled_and_ends_inside_the_chart(name: str, system: str) -> None:
    """Each isochore is labelled with its volume in the shown unit, and its states stay between the chart's pressures."""
    chart, _, _ = drawn("pressure-enthalpy", name, system)
    fluid = chart.refrigerant
    unit = 0.3048**3 / 0.45359237 if system == "IP" else 1e-3  # the foot and the pound as defined; the cubic decimetre
    volumes = [unit * float(text.get_text()) for text in isochore_labels(chart)]
    window = chart.axes.get_ylim()
    for collection in chart.axes.collections:
        if collection.get_colors()[0] == pytest.approx(to_rgba(chart.style.isochore)):
            assert len(volumes) == len(collection.get_paths())
            for volume, path in zip(volumes, collection.get_paths()):
                enthalpy, pressure = path.vertices.T
                assert window[0] * (1.0 - 1e-9) <= pressure.min() and pressure.max() <= window[1]
                assert chart.axes.get_xlim()[0] <= enthalpy.min() and enthalpy.max() <= chart.axes.get_xlim()[1]
                h, p = (base_number(float(n), kind, system) for n, kind in zip(path.vertices[-3], ("specific energy", "pressure")))
                if p < fluid.highest_saturation_pressure:
                    assert volume == pytest.approx(1.0 / fluid.state_ph(p, h).density, rel=1e-6)
            break
    else:
        pytest.fail("no isochores drawn")


def test_families_differ_in_their_line_style() -> None:
    """The four families of lines on the pressure-enthalpy chart have four line styles, so that grey is enough."""
    assert 4 == len({FAMILIES[family][0] for family in ("temperature", "entropy", "quality", "volume")})


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("kind", CHARTS)
def test_the_key_fits_under_the_chart(kind: str, system: str) -> None:
    """The key, with its lines, is no wider than the figure."""
    chart, _, figure = drawn(kind, "R-410A", system)
    box = chart.axes.get_legend().get_window_extent()
    assert figure.bbox.x0 <= box.x0 and box.x1 <= figure.bbox.x1
