"""The pressure-temperature chart, looked at through its artists and their pixels."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.diagrams import SCREEN, PressureTemperatureChart
from hpteach.diagrams.pressure_temperature import COLDEST, HOTTEST, MovingLabel, SaturationLine, saturation_lines
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import Refrigerant, catalogue, refrigerant, water
from hpteach.units import atmosphere_at, show, shown_number

HIGHEST = 3048.0  # m, the end of the panel's slider


def chart_of(*fluids: Refrigerant, system: str = "SI") -> PressureTemperatureChart:
    """A chart on axes of the size that the panel has."""
    figure = Figure(figsize=(7.6, 5.8), dpi=125.0)
    FigureCanvasAgg(figure)
    return PressureTemperatureChart(figure.add_axes((0.115, 0.16, 0.87, 0.77)), fluids, system=system)


def marked(chart: PressureTemperatureChart, temperature: float, altitude: float):
    """The chart's marks at a temperature (K) and an altitude (m), and the readings that they show."""
    marks = chart.add_marks()
    readings = [line.read(temperature, atmosphere_at(altitude)) for lines in chart.lines for line in lines]
    marks.show(temperature, altitude, readings)
    return marks, readings


def boxes(marks) -> dict[str, tuple[float, float, float, float]]:
    """Left, bottom, right and top in pixels of every label that is shown, by its text."""
    return {" / ".join(label.rows): label.box() for label in marks.artists if isinstance(label, MovingLabel)}


def within(box: tuple[float, float, float, float], window) -> bool:
    return window.x0 <= box[0] and box[2] <= window.x1 and window.y0 <= box[1] and box[3] <= window.y1


def ends(fluid: Refrigerant) -> tuple[float, float]:
    """The coldest and the hottest temperature (K) that the chart draws of a refrigerant."""
    return max(COLDEST, fluid.lowest_temperature), min(HOTTEST, fluid.highest_saturation_temperature)


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", catalogue())
def test_the_line_is_the_saturation_of_the_fluid(name: str, system: str) -> None:
    """Every line is dew or bubble pressure over temperature, in the shown units, from end to end."""
    chart = chart_of(refrigerant(name), system=system)
    drawn = {line.get_label(): line.get_xydata() for line in chart.axes.get_lines()}
    for line in chart.lines[0]:
        for x, y in drawn[line.name][[1, 20, -2]]:
            temperature = (x + 459.67) / 1.8 if system == "IP" else x + 273.15
            pressure = y * (6894.757293168 if system == "IP" else 1e5)
            expected = line.fluid.bubble_pressure(temperature) if line.side == "bubble" else line.fluid.dew_pressure(temperature)
            assert expected == pytest.approx(pressure, rel=1e-8)


def test_blends_with_a_visible_glide_have_two_lines() -> None:
    """R-407C (glide about 7 K) has a dashed bubble line above its dew line; R-410A (0.1 K) and R-32 have one line."""
    assert ["both"] == [line.side for line in saturation_lines(refrigerant("R-410A"))]
    assert ["both"] == [line.side for line in saturation_lines(refrigerant("R-32"))]
    chart = chart_of(refrigerant("R-407C"))
    dew, bubble = chart.axes.get_lines()
    assert ("R-407C, dew line", "R-407C, bubble line") == (dew.get_label(), bubble.get_label())
    assert ("-", "--") == (dew.get_linestyle(), bubble.get_linestyle())
    assert np.all(bubble.get_ydata() > dew.get_ydata())
    assert "bubble line" in [text.get_text() for text in chart.axes.get_legend().get_texts()]


def test_two_fluids_differ_in_more_than_colour() -> None:
    """Line style, marker and name tell the fluids apart in grey print."""
    chart = chart_of(refrigerant("R-410A"), water())
    first, second = chart.look(0), chart.look(1)
    assert first.line_style != second.line_style and first.marker != second.marker and first.hollow != second.hollow
    assert {"R-410A", "water"} <= {text.get_text() for text in chart.axes.texts}
    assert [first.line_style, second.line_style] == [line.get_linestyle() for line in chart.axes.get_lines()]


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_marks_stand_at_the_read_numbers(system: str) -> None:
    """The point stands at the chosen temperature and its pressure, the triangle at the air's pressure, which is a level line."""
    chart = chart_of(refrigerant("R-290"), system=system)
    marks, (reading,) = marked(chart, 263.15, 500.0)
    air = shown_number(atmosphere_at(500.0), "pressure", system)
    point, triangle = marks._marks[0]._points.get_xydata(), marks._marks[0]._boiling.get_xydata()
    assert [chart.place(263.15, refrigerant("R-290").dew_pressure(263.15))] == [pytest.approx(tuple(row)) for row in point]
    assert [(shown_number(reading.boiling, "temperature", system), air)] == [pytest.approx(tuple(row)) for row in triangle]
    assert [air, air] == list(marks._air.get_ydata())
    said = " ".join(boxes(marks))
    for kind in ("pressure", "gauge pressure"):
        assert show(reading.pressure, kind, system, atmosphere=atmosphere_at(500.0)) in said
    assert show(reading.boiling, "temperature", system) in said and show(500.0, "length", system) in said


@pytest.mark.parametrize(("beside", "system"), [("none", "SI"), ("water", "IP"), ("R-32", "IP"), ("R-407C", "SI")])
@pytest.mark.parametrize("name", catalogue())
def test_no_label_is_clipped(name: str, beside: str, system: str) -> None:
    """At the ends of the temperature and of the altitude every moving label lies inside the axes, and every name and number inside the figure."""
    if name == beside:
        beside = "none"
    fluids = [refrigerant(name), *([] if beside == "none" else [water() if beside == "water" else refrigerant(beside)])]
    chart = chart_of(*fluids, system=system)
    chart.axes.figure.canvas.draw()
    window, page = chart.axes.get_window_extent(), chart.axes.figure.bbox
    for temperature in (*ends(fluids[0]), 273.65):
        for altitude in (0.0, HIGHEST):
            for text, box in boxes(marked(chart, temperature, altitude)[0]).items():
                assert within(box, window), (text, temperature, altitude)
    texts = [*chart.axes.texts, chart.axes._left_title, chart.axes.xaxis.label, chart.axes.yaxis.label, *chart.axes.get_legend().get_texts()]
    for axis, (low, high) in ((chart.axes.xaxis, chart.axes.get_xlim()), (chart.axes.yaxis, chart.axes.get_ylim())):
        texts += [label for place, label in zip(axis.get_ticklocs(), axis.get_ticklabels()) if low <= place <= high]
    for text in texts:
        assert within(text.get_window_extent().extents, page), text.get_text()


@pytest.mark.parametrize("name", catalogue())
def test_numbers_never_lie_on_each_other(name: str) -> None:
    """Wherever the sliders stand, the numbers at the marks stay clear of each other."""
    chart = chart_of(refrigerant("R-410A"), refrigerant("R-22") if name == "R-410A" else refrigerant(name))
    coldest, hottest = ends(refrigerant("R-410A"))
    for temperature in np.linspace(coldest, hottest, 8):
        marks, _ = marked(chart, float(temperature), 600.0)
        shown = [label.box() for own in marks._marks for label in own.labels if label.get_visible()]
        for index, one in enumerate(shown):
            for other in shown[:index]:
                assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_what_water_cannot_do_is_left_out() -> None:
    """Below its triple point water has no pressure to mark; its boiling point in free air is marked all the same."""
    chart = chart_of(refrigerant("R-410A"), water())
    marks, readings = marked(chart, 263.15, 0.0)
    assert readings[1].pressure is None and "water cannot be saturated" in str(readings[1].refusals[0])
    assert [True, False] == [own._points.get_visible() for own in marks._marks]
    assert [True, True] == [own._boiling.get_visible() for own in marks._marks]


def test_what_never_boils_in_free_air_has_no_triangle() -> None:
    """R-744 at the pressure of the air is below its triple point; the line of the air is still in the window."""
    chart = chart_of(refrigerant("R-744"))
    marks, (reading,) = marked(chart, 273.15, HIGHEST)
    assert reading.boiling is None and not marks._marks[0]._boiling.get_visible()
    low, high = chart.axes.get_ylim()
    assert low < marks._air.get_ydata()[0] < high


def test_the_pressure_axis_has_plain_numbers() -> None:
    """A refrigerant alone has 1, 2, 5, 10 on its axis; beside water there is room for decades only."""
    for fluids, expected in (((refrigerant("R-410A"),), ["1", "2", "5", "10", "20", "50"]), ((refrigerant("R-410A"), water()), ["0.01", "0.1", "1", "10"])):
        chart = chart_of(*fluids)
        chart.axes.figure.canvas.draw()
        shown = [label.get_text() for label in chart.axes.get_yticklabels()]
        assert "".join(f" {number} " for number in expected) in "".join(f" {number} " for number in shown)


def test_a_moved_label_equals_a_fresh_one() -> None:
    """A label that said something else before paints the same pixels as one that never did."""
    axes = chart_of(refrigerant("R-32")).axes
    labels = [MovingLabel(axes, "#000000", SCREEN, align=(0.0, 0.0), offset=(0.0, 0.0)) for _ in range(2)]
    labels[0].show((0.0, 1.0), ["10.00 bar"])
    before = labels[0]._pixels()
    for label in labels:
        label.show((20.0, 2.0), ["-17.5 °C", "9"])
    assert np.array_equal(labels[0]._pixels(), labels[1]._pixels()) and not np.array_equal(before, labels[0]._pixels())


def test_a_label_of_single_characters_looks_like_ordinary_text() -> None:
    """Set character by character, a label is as wide as matplotlib's own text of the same size, to a pixel for each ten characters."""
    axes = chart_of(refrigerant("R-32")).axes
    for text in ("13.42 bar g", "-51.4 °C", "R-1234yf", "air at 3000 m: 0.70 bar, a gauge shows 0"):
        label = MovingLabel(axes, "#000000", SCREEN, align=(0.0, 0.0), offset=(0.0, 0.0))
        label.show((20.0, 2.0), [text])
        left, _, right, _ = label.box()
        own = axes.text(20.0, 2.0, text, fontsize=SCREEN.isoline_size + 1.0).get_window_extent()
        assert own.width == pytest.approx(right - left, abs=1.0 + len(text) / 10.0)
        painted = label._pixels()[..., :3].min(axis=(0, 2)) < 128
        assert painted.any()


def test_a_line_reads_dew_for_pressure_and_bubble_for_boiling() -> None:
    """Where both lines are one, the pressure is the dew pressure and the boiling point that of the liquid, as everywhere here."""
    r410a = refrigerant("R-410A")
    reading = SaturationLine(r410a, "both").read(263.15, 101325.0)
    assert (r410a.dew_pressure(263.15), r410a.bubble_temperature(101325.0)) == (reading.pressure, reading.boiling)


@pytest.mark.parametrize("count", [0, 3])
def test_none_or_three_fluids_are_refused(count: int) -> None:
    """A chart is of one fluid or of two."""
    with pytest.raises(InputError, match="one or two"):
        PressureTemperatureChart(Figure().add_subplot(), [water()] * count)


def test_an_unknown_unit_system_is_refused() -> None:
    """A unit system that does not exist is refused with those that do."""
    with pytest.raises(UnknownNameError, match="SI"):
        PressureTemperatureChart(Figure().add_subplot(), [water()], system="CGS")
