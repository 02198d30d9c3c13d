"""How a picture is shared out: nothing that stands around a chart is cut off, whatever the size of its type."""

from __future__ import annotations

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.diagrams import CHARTS, PRESSURE_UNITS, SCREEN
from hpteach.diagrams.sheet import axes_rectangle, fitting_title, key_below, row_of_names
from hpteach.fluids import catalogue, refrigerant

LARGER = SCREEN.enlarged(1.3, 1.5)
STYLES = {"usual": SCREEN, "larger": LARGER}
SIZES = {"one of two": (5.4, 4.7), "alone": (6.6, 5.0)}


def picture(size: str = "one of two") -> Figure:
    """A picture as large as in a panel."""
    figure = Figure(figsize=SIZES[size], dpi=110)
    FigureCanvasAgg(figure)
    return figure


def texts_around(axes) -> dict[str, object]:
    """The extents of title, axis titles, numbers inside the window and key, by what they say."""
    found = {text.get_text(): text for text in (axes._left_title, axes.xaxis.label, axes.yaxis.label)}
    for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
        found |= {f"{axis.axis_name} {label.get_text()}": label for place, label in zip(axis.get_ticklocs(), axis.get_ticklabels()) if low <= place <= high}
    return {name: text.get_window_extent() for name, text in found.items()} | {"key": axes.get_legend().get_window_extent()}


def cut_off(figure: Figure, axes) -> list[str]:
    """What reaches beyond the picture."""
    page = figure.bbox
    boxes = texts_around(axes)
    return [name for name, box in boxes.items() if box.x0 < 0.0 or box.y0 < 0.0 or box.x1 > page.x1 or box.y1 > page.y1]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("unit", PRESSURE_UNITS)
@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("style", STYLES)
def test_nothing_around_a_chart_is_cut_off(style: str, kind: str, system: str, unit: str, size: str) -> None:
    """Title, numbers, axis titles and key stand inside the picture in usual and in larger type, in every unit, and the key below the axis title."""
    figure = picture(size)
    axes = figure.add_axes(axes_rectangle(figure, STYLES[style]))
    CHARTS[kind](axes, refrigerant("R-32"), system=system, style=STYLES[style], pressure_unit=unit)
    figure.canvas.draw()
    assert [] == cut_off(figure, axes)
    assert axes.get_legend().get_window_extent().y1 <= axes.xaxis.label.get_window_extent().y0 + 1.0


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("name", catalogue())
def test_every_title_fits(name: str, kind: str, style: str) -> None:
    """The title names the refrigerant and is not cut off, whatever its name."""
    figure = picture()
    axes = figure.add_axes(axes_rectangle(figure, STYLES[style]))
    CHARTS[kind](axes, refrigerant(name), style=STYLES[style])
    figure.canvas.draw()
    assert [] == cut_off(figure, axes)
    assert axes.get_title(loc="left").startswith(f"{name}:")


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("kind", CHARTS)
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_two_refrigerants_and_their_names_fit(system: str, kind: str, style: str) -> None:
    """With two refrigerants the row of names stands between title and axes, and a longer key still fits, in two rows where it must."""
    first, second = refrigerant("R-454B"), refrigerant("R-1234yf")
    cycles = [solve(fluid, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7)) for fluid in (first, second)]
    figure = picture()
    axes = figure.add_axes(axes_rectangle(figure, STYLES[style], names=True))
    chart = CHARTS[kind](axes, first, system=system, style=STYLES[style], covering=cycles, beside=second)
    fitting_title(axes, [chart.title.capitalize()], STYLES[style].title_size, STYLES[style], above=row_of_names(STYLES[style]))
    chart.name_cycles([chart.add_cycle(cycle, label=cycle.refrigerant, look=look, animated=True) for look, cycle in enumerate(cycles)])
    figure.canvas.draw()
    assert [] == cut_off(figure, axes)
    (names,) = [artist for artist in axes.artists if hasattr(artist, "get_texts")]
    box, title = names.get_window_extent(), axes._left_title.get_window_extent()
    assert not box.overlaps(title) and box.x0 >= 0.0 and box.y1 <= title.y0 + 4.0


@pytest.mark.parametrize("style", STYLES)
def test_names_of_cycles_stand_clear_of_the_title(style: str) -> None:
    """Where title and names share a row they do not touch, also in larger type."""
    fluid = refrigerant("R-1234yf")
    cycle = solve(fluid, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7))
    figure = picture()
    axes = figure.add_axes(axes_rectangle(figure, STYLES[style]))
    chart = CHARTS["pressure-enthalpy"](axes, fluid, style=STYLES[style])
    axes.set_title(fluid.name, fontsize=STYLES[style].title_size, loc="left")
    chart.name_cycles([chart.add_cycle(cycle, label=mode, look=look, animated=True) for look, mode in enumerate(("cooling", "heating"))])
    figure.canvas.draw()
    (names,) = [artist for artist in axes.artists if hasattr(artist, "get_texts")]
    assert not names.get_window_extent().overlaps(axes._left_title.get_window_extent())


def test_a_title_becomes_smaller_before_it_becomes_shorter() -> None:
    """A title somewhat too wide is set smaller; one far too wide gives way to the next, and the last stays however wide it is."""
    figure = picture()
    axes = figure.add_axes(axes_rectangle(figure))
    shown = []
    for texts in (["w" * 30, "short"], ["w" * 34, "short"], ["w" * 80, "short"], ["w" * 80, "w" * 90]):
        fitting_title(axes, texts, 15.0, SCREEN)
        shown.append((len(axes.get_title(loc="left")), axes._left_title.get_fontsize() < 15.0))
    assert [(30, True), (5, False), (5, False), (90, False)] == shown


@pytest.mark.parametrize(("count", "rows"), [(2, 1), (4, 1), (6, 2)])
def test_a_wide_key_has_two_rows(count: int, rows: int) -> None:
    """A key that is too wide for one row is set in two."""
    figure = picture()
    axes = figure.add_axes(axes_rectangle(figure))
    key = key_below(axes, [Line2D([], [], label="quality x") for _ in range(count)], SCREEN)
    figure.canvas.draw()
    assert rows == len({round(text.get_window_extent().y0) for text in key.get_texts()})
    assert key.get_window_extent().width <= figure.bbox.width
