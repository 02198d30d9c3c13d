"""A whole chart as a figure, and as a file.

What lives here: `chart_figure` and `save_chart`.  What does not: what a chart shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.circuit import Circuit, reversible_circuit
from hpteach.cycle import Cycle
from hpteach.diagrams.chart import Chart
from hpteach.diagrams.circuit_drawing import CircuitDrawing
from hpteach.diagrams.pressure_enthalpy import PressureEnthalpyChart
from hpteach.diagrams.style import SCREEN, Style
from hpteach.diagrams.temperature_entropy import TemperatureEntropyChart
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import Refrigerant

CHARTS: dict[str, type[Chart]] = {
    "pressure-enthalpy": PressureEnthalpyChart,
    "temperature-entropy": TemperatureEntropyChart,
}

CIRCUIT = "circuit"
CHART_KINDS = (*CHARTS, CIRCUIT)
"""What can be drawn of a cycle: the charts by name, and the drawing of its circuit."""

ENDINGS = (".svg", ".png", ".pdf")


def chart_figure(
    kind: str, refrigerant: Refrigerant, cycles: Sequence[Cycle], *, system: str = "SI", style: Style = SCREEN, circuit: Circuit | None = None
) -> Figure:
    """A figure with one chart and the given cycles, each named by the valve's position.

    `kind` is one of `CHART_KINDS`; `system` is "SI" or "IP" and sets the units on the axes.  Up to
    three cycles differ in line and marker.  Kind "circuit" draws the circuit once for each cycle, one
    below the other; `circuit` is the usual one of the cycle's metering layout, unless given.  The figure
    belongs to the caller.

    Raises `UnknownNameError` for another kind or system, and `InputError` for a circuit without a cycle.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> r410a = refrigerant("R-410A")
    >>> cycle = solve(r410a, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15))
    >>> chart_figure("pressure-enthalpy", r410a, [cycle]).axes[0].get_ylabel()
    'absolute pressure p, bar'
    """
    if kind not in CHART_KINDS:
        raise UnknownNameError.among("kind of chart", kind, CHART_KINDS)
    if kind == CIRCUIT:
        return _circuit_figure(cycles, system, style, circuit)
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


def _circuit_figure(cycles: Sequence[Cycle], system: str, style: Style, circuit: Circuit | None) -> Figure:
    if not cycles:
        raise InputError("a drawing of the circuit needs a cycle, which says how the valve stands: give one")
    figure = Figure(figsize=(8.0, 5.76 * len(cycles)), dpi=150)
    FigureCanvasAgg(figure)
    for above, cycle in enumerate(cycles, 1):
        axes = figure.add_axes((0.0, 1.0 - above / len(cycles), 1.0, 1.0 / len(cycles)))
        CircuitDrawing(axes, circuit or reversible_circuit(cycle.flow.metering_layout), system=system, style=style).show(cycle.flow, cycle)
    return figure


def save_chart(
    kind: str,
    refrigerant: Refrigerant,
    cycles: Sequence[Cycle],
    path: Path,
    system: str = "SI",
    *,
    style: Style = SCREEN,
    circuit: Circuit | None = None,
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
    figure = chart_figure(kind, refrigerant, cycles, system=system, style=style, circuit=circuit)
    try:
        figure.savefig(path, metadata=None)
    except OSError as error:
        raise InputError(f"file {str(path)!r} cannot be written ({error.strerror or error}): choose another place") from None
    return path
