"""A whole chart as a figure, and as a file.

What lives here: `chart_figure` and `save_chart`.  What does not: what a chart shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.cycle import Cycle
from hpteach.diagrams.chart import Chart
from hpteach.diagrams.pressure_enthalpy import PressureEnthalpyChart
from hpteach.diagrams.style import SCREEN, Style
from hpteach.diagrams.temperature_entropy import TemperatureEntropyChart
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import Refrigerant

CHARTS: dict[str, type[Chart]] = {
    "pressure-enthalpy": PressureEnthalpyChart,
    "temperature-entropy": TemperatureEntropyChart,
}

ENDINGS = (".svg", ".png", ".pdf")


def chart_figure(
    kind: str, refrigerant: Refrigerant, cycles: Sequence[Cycle], *, system: str = "SI", style: Style = SCREEN
) -> Figure:
    """A figure with one chart and the given cycles, each named by the valve's position.

    `kind` is a key of `CHARTS`; `system` is "SI" or "IP" and sets the units on the axes.  Up to
    three cycles differ in line and marker.  The figure belongs to the caller.

    Raises `UnknownNameError` for another kind or system.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> r410a = refrigerant("R-410A")
    >>> cycle = solve(r410a, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15))
    >>> chart_figure("pressure-enthalpy", r410a, [cycle]).axes[0].get_ylabel()
    'absolute pressure p, bar'
    """
    if kind not in CHARTS:
        raise UnknownNameError.among("kind of chart", kind, CHARTS)
    figure = Figure(figsize=(8.0, 6.4), dpi=150, layout="constrained")
    FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    chart = CHARTS[kind](axes, refrigerant, system=system, style=style, covering=cycles)
    traces = [
        chart.add_cycle(cycle, label=cycle.conditions.valve_position.value, look=index)
        for index, cycle in enumerate(cycles)
    ]
    if traces:
        chart.name_cycles(traces)
    return figure


def save_chart(
    kind: str,
    refrigerant: Refrigerant,
    cycles: Sequence[Cycle],
    path: Path,
    system: str = "SI",
    *,
    style: Style = SCREEN,
) -> Path:
    """Write a chart to a file whose ending (.svg, .png or .pdf) says its format.

    As `chart_figure`, and returns the path.  Raises `InputError` for another ending or a place
    that cannot be written, and what `chart_figure` raises.

    >>> import tempfile
    >>> from hpteach.fluids import refrigerant
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_chart("temperature-entropy", refrigerant("R-32"), [], Path(folder) / "chart.png").name
    'chart.png'
    """
    path = Path(path)
    if path.suffix.lower() not in ENDINGS:
        raise InputError(f"file {path.name!r} has no known ending: use one of {', '.join(ENDINGS)}")
    figure = chart_figure(kind, refrigerant, cycles, system=system, style=style)
    try:
        figure.savefig(path, metadata=None)
    except OSError as error:
        raise InputError(f"file {str(path)!r} cannot be written ({error.strerror or error}): choose another place") from None
    return path
