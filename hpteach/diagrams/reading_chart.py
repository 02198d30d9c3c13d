"""A chart from which numbers are to be read: a fine grid, the cycle and the names of some points, and no number of the answer.

What lives here: `draw_reading_chart` on given Axes, `add_cycle_to_read`, and `save_reading_chart` on a sheet of paper.  What does not: which question
asks for it (questions), the charts themselves, the grid (fine_grid).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from hpteach.cycle import Cycle
from hpteach.diagrams.chart import Axis, Chart
from hpteach.diagrams.fine_grid import STEPS, lay_fine_grid
from hpteach.diagrams.pressure_temperature import COLDEST, HOTTEST, PressureTemperatureChart, saturation_lines
from hpteach.diagrams.saving import A4, CHARTS, ON_A4, save_figure
from hpteach.diagrams.sheet import fitting_title, key_below
from hpteach.diagrams.style import PAPER, SCREEN, Style
from hpteach.errors import UnknownNameError
from hpteach.fluids import Refrigerant

PRESSURE_TEMPERATURE = "pressure-temperature"

KINDS = (*CHARTS, PRESSURE_TEMPERATURE)
"""The charts that can be read from."""

_TEMPERATURE = Axis("temperature", "temperature", "T", "temperature")
_PRESSURE = Axis("pressure", "pressure", "p", "absolute pressure")

_STEPS = {
    ("specific energy", "SI"): ((5.0, 50.0), *STEPS["specific energy", "SI"]),
    ("specific energy", "IP"): ((2.0, 20.0), *STEPS["specific energy", "IP"]),
    ("specific entropy", "SI"): ((0.02, 0.1), (0.02, 0.2), *STEPS["specific entropy", "SI"]),
    ("specific entropy", "IP"): ((0.005, 0.05), *STEPS["specific entropy", "IP"]),
    ("temperature", "SI"): ((2.0, 10.0), *STEPS["temperature", "SI"]),
    ("temperature", "IP"): ((5.0, 20.0), *STEPS["temperature", "IP"]),
}
"""As in fine_grid, and finer where there is room: here a number is to be read, not only found."""

_THIN = 0.5
"""Weight of lines and size of markers, of what they are on a chart that only shows: a thick line hides where it runs."""

_ROOM = 1.06
"""How far a pressure axis reaches beyond the lines of a pressure-temperature chart, as a factor."""


@dataclass(frozen=True)
class _Framed:
    """What the grid needs to know of a chart."""

    axes: Axes
    x_axis: Axis
    y_axis: Axis
    system: str


def draw_reading_chart(
    axes: Axes, kind: str, refrigerant: Refrigerant, cycle: Cycle | None = None, marked: Sequence[str] = (), *, system: str = "SI", style: Style = SCREEN
) -> Chart | PressureTemperatureChart:
    """Draw a chart of a kind on axes that stand where they are to stand; of the cycle's points only those `marked` are named.

    Raises `UnknownNameError` for another kind, and what `Chart` refuses.

    >>> from matplotlib.figure import Figure
    >>> from hpteach.fluids import refrigerant
    >>> draw_reading_chart(Figure(figsize=(9.0, 7.0)).add_subplot(), "pressure-temperature", refrigerant("R-32")).axes.get_xlabel()
    'temperature T, °C'
    """
    looks = tuple(replace(look, marker_size=_THIN * look.marker_size) for look in style.looks)
    style = replace(style, cycle_weight=_THIN * style.cycle_weight, dome_weight=_THIN * style.dome_weight, looks=looks)
    if kind == PRESSURE_TEMPERATURE:
        return _saturation(axes, refrigerant, system, style)
    if kind not in CHARTS:
        raise UnknownNameError.among("kind of chart", kind, KINDS)
    covering = [] if cycle is None else [cycle]
    chart = CHARTS[kind](axes, refrigerant, system=system, style=style, covering=covering)
    lay_fine_grid(chart, _STEPS)
    if cycle is not None:
        add_cycle_to_read(chart, cycle, marked)
    return chart


def add_cycle_to_read(chart: Chart, cycle: Cycle, marked: Sequence[str]) -> list[Artist]:
    """Lay a cycle over a chart of `draw_reading_chart`, with the names of the points that are `marked`; gives all that was drawn.

    Raises what `Chart.add_cycle` refuses.
    """
    return [*chart.add_cycle(cycle, numbered=False).artists, *_name_points(chart, cycle, marked)]


def save_reading_chart(kind: str, refrigerant: Refrigerant, cycle: Cycle | None, marked: Sequence[str], path: Path, system: str = "SI") -> Path:
    """Write such a chart to a file (.svg, .png or .pdf) as a sheet of A4, black on white; returns the path.

    The same chart gives the same bytes.  Raises what `save_chart` raises.
    """
    figure = Figure(figsize=A4, dpi=150)
    FigureCanvasAgg(figure)
    draw_reading_chart(figure.add_axes(ON_A4), kind, refrigerant, cycle, marked, system=system, style=PAPER)
    return save_figure(figure, path)


def _name_points(chart: Chart, cycle: Cycle, marked: Sequence[str]) -> list[Artist]:
    style, look, named = chart.style, chart.style.looks[0], []
    for label in marked:
        box = {"boxstyle": "round,pad=0.18", "facecolor": style.paper, "edgecolor": look.colour, "linewidth": 0.8, "alpha": 0.9}
        name = chart.axes.annotate(
            label, chart.place(cycle.point(label)), xytext=chart.offsets[label], textcoords="offset points", ha="center", va="center",
            fontsize=style.point_size, fontweight="bold", color=look.colour, bbox=box, zorder=6,
        )  # fmt: skip
        named.append(name)
    return named


def _saturation(axes: Axes, refrigerant: Refrigerant, system: str, style: Style) -> PressureTemperatureChart:
    """The lines of one refrigerant over the temperatures of lessons alone, so that the grid is as fine as can be."""
    chart = PressureTemperatureChart(axes, [refrigerant], system=system, style=style)
    coldest, hottest = max(COLDEST, refrigerant.lowest_temperature), min(HOTTEST, refrigerant.highest_saturation_temperature)
    lines = saturation_lines(refrigerant)
    ends = [line.pressure(end) for line in lines for end in (coldest, hottest)]
    left, low = chart.place(coldest, min(ends) / _ROOM)
    right, high = chart.place(hottest, max(ends) * _ROOM)
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    for name in list(axes.texts):  # at the ends of the lines, which now lie on the frame
        name.remove()
    fitting_title(axes, [f"{refrigerant.name}: pressure and temperature when saturated", f"{refrigerant.name}: saturated", refrigerant.name], style.title_size, style)
    axes.set_xlabel(_TEMPERATURE.label(system), fontsize=style.label_size, color=style.ink)
    said = {"both": "dew line and bubble line", "dew": "dew line", "bubble": "bubble line"}
    drawn = [Line2D([], [], color=line.get_color(), linestyle=line.get_linestyle(), linewidth=line.get_linewidth()) for line in axes.lines]
    for handle, line in zip(drawn, lines):
        handle.set_label(said[line.side])
    key_below(axes, drawn, style, size=style.isoline_size + 1.0)
    lay_fine_grid(_Framed(axes, _TEMPERATURE, _PRESSURE, system), _STEPS)
    return chart
