"""A whole chart as a figure, and as a file.

What lives here: `chart_figure`, `save_chart` and `save_figure`.  What does not: what a chart shows, the grid for paper (fine_grid).
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from hpteach.circuit import Circuit, reversible_circuit
from hpteach.cycle import Cycle
from hpteach.diagrams.chart import Chart
from hpteach.diagrams.circuit_drawing import CircuitDrawing
from hpteach.diagrams.energies import EnergyTrace
from hpteach.diagrams.fine_grid import lay_fine_grid
from hpteach.diagrams.pressure_enthalpy import PressureEnthalpyChart
from hpteach.diagrams.style import PAPER, SCREEN, Style
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

A4 = (297.0 / 25.4, 210.0 / 25.4)
"""Inches; the width and height of a sheet that lies on its long side (ISO 216)."""

NAME_AND_DATE = "name ______________________   date ____________"
"""What a blank chart asks for in its margin."""

ON_A4 = (0.085, 0.155, 0.875, 0.765)
"""The frame's left, bottom, width and height as shares of the sheet: every margin is wider than what printers leave white."""

_CIRCUIT_MARGIN = 0.025
"""What stays white at each side of a circuit on paper, as a share of the room that the sheet has for it."""

_UNDATED = {".svg": {"Date": None}, ".pdf": {"CreationDate": None}, ".png": {}}
"""What is not to be written into a file, so that the same chart is the same file on any day."""


def chart_figure(
    kind: str,
    refrigerant: Refrigerant,
    cycles: Sequence[Cycle],
    *,
    system: str = "SI",
    style: Style | None = None,
    circuit: Circuit | None = None,
    paper: bool = False,
    blank: bool = False,
    energies: bool = False,
    pressure_unit: str | None = None,
    beside: Refrigerant | None = None,
) -> Figure:
    """A figure with one chart and the given cycles, each named by the valve's position.

    `kind` is one of `CHART_KINDS`; `system` is "SI" or "IP" and sets the units on the axes.  Up to
    three cycles differ in line and marker.  Kind "circuit" draws the circuit once for each cycle, one
    below the other; `circuit` is the usual one of the cycle's metering layout, unless given.  The figure
    belongs to the caller.

    `paper` draws in black and white on a sheet of A4, a chart with a grid fine enough to read numbers from.  `blank` is
    such a chart without a cycle, with a line for name and date.  `energies` draws heat and work of one cycle in (`EnergyTrace`).
    `pressure_unit` and `beside` are those of `Chart`; with a second refrigerant each cycle has its refrigerant's name too.
    A cycle that lies on an earlier one has no numbers of its own.  `style` is `PAPER` on paper and `SCREEN` otherwise, unless given.

    Raises `UnknownNameError` for another kind, system or pressure unit, and `InputError` for a circuit without a cycle or with anything that
    only charts have, a blank chart with cycles, energies of none or several cycles, and what `Chart` refuses.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.fluids import refrigerant
    >>> r410a = refrigerant("R-410A")
    >>> cycle = solve(r410a, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15))
    >>> chart_figure("pressure-enthalpy", r410a, [cycle]).axes[0].get_ylabel()
    'absolute pressure p, bar'
    >>> chart_figure("pressure-enthalpy", r410a, [], blank=True, pressure_unit="kPa").axes[0].get_ylabel()
    'absolute pressure p, kPa'
    """
    if kind not in CHART_KINDS:
        raise UnknownNameError.among("kind of chart", kind, CHART_KINDS)
    if blank and (cycles or energies):
        raise InputError("a blank chart has no cycle and no energies: leave them out, or draw a chart that is not blank")
    if energies and len(cycles) != 1:
        raise InputError(f"energies are drawn for one cycle on a chart, not for {len(cycles)}: give one cycle, or leave the energies out")
    paper = paper or blank
    style = style or (PAPER if paper else SCREEN)
    if kind == CIRCUIT:
        if blank or energies or pressure_unit or beside:
            raise InputError("a drawing of the circuit cannot be blank and has no energies, pressure unit or second refrigerant: leave them out")
        return _circuit_figure(cycles, system, style, circuit, paper)
    screen = (8.0 if beside is None else 10.0, 6.4)  # two names take more room
    figure = Figure(figsize=A4 if paper else screen, dpi=150, layout=None if paper else ConstrainedLayoutEngine(h_pad=0.11))
    FigureCanvasAgg(figure)
    axes = figure.add_axes(ON_A4) if paper else figure.add_subplot()
    chart = CHARTS[kind](axes, refrigerant, system=system, style=style, covering=cycles, beside=beside, pressure_unit=pressure_unit)
    if paper:
        lay_fine_grid(chart)
        axes.yaxis.labelpad = 5.0  # a sheet has room for it
    states = [[(point.label, point.pressure, point.enthalpy) for point in cycle.points] for cycle in cycles]
    traces = [
        chart.add_cycle(cycle, label=_label(cycle, beside), look=index, numbered=states[index] not in states[:index])
        for index, cycle in enumerate(cycles)
    ]
    if traces:
        chart.name_cycles(traces)
    if energies:
        EnergyTrace(chart).show(cycles[0])
    if blank:
        axes.set_title(NAME_AND_DATE, fontsize=style.tick_size, color=style.ink, loc="right", pad=12.0)
    return figure


def _label(cycle: Cycle, beside: Refrigerant | None) -> str:
    valve = cycle.conditions.valve_position.value
    return f"{cycle.refrigerant} {valve}" if beside is not None else valve


def _circuit_figure(cycles: Sequence[Cycle], system: str, style: Style, circuit: Circuit | None, paper: bool) -> Figure:
    if not cycles:
        raise InputError("a drawing of the circuit needs a cycle, which says how the valve stands: give one")
    size, margin = (8.0, 5.76 * len(cycles)), 0.0
    if paper:
        size, margin = A4 if len(cycles) == 1 else A4[::-1], _CIRCUIT_MARGIN
    figure = Figure(figsize=size, dpi=150)
    FigureCanvasAgg(figure)
    for above, cycle in enumerate(cycles, 1):
        share = (1.0 - 2.0 * margin) / len(cycles)
        axes = figure.add_axes((margin, 1.0 - (above - margin) / len(cycles), 1.0 - 2.0 * margin, share))
        CircuitDrawing(axes, circuit or reversible_circuit(cycle.flow.metering_layout), system=system, style=style).show(cycle.flow, cycle)
    return figure


def save_chart(kind: str, refrigerant: Refrigerant, cycles: Sequence[Cycle], path: Path, system: str = "SI", **drawn: Any) -> Path:
    """Write a chart to a file whose ending (.svg, .png or .pdf) says its format.

    As `chart_figure`, whose other options `drawn` are, and returns the path.  The same chart gives the same bytes.  Raises `InputError` for
    another ending or a place that cannot be written, and what `chart_figure` raises.

    >>> import tempfile
    >>> from hpteach.fluids import refrigerant
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_chart("temperature-entropy", refrigerant("R-32"), [], Path(folder) / "chart.png").name
    'chart.png'
    """
    _ending_of(path)  # before anything is drawn
    return save_figure(chart_figure(kind, refrigerant, cycles, system=system, **drawn), path)


def save_figure(figure: Figure, path: Path) -> Path:
    """Write a figure to a file whose ending (.svg, .png or .pdf) says its format; the same figure gives the same bytes.

    Returns the path.  Raises `InputError` for another ending or a place that cannot be written.

    >>> save_figure(Figure(), "picture.bmp")
    Traceback (most recent call last):
    hpteach.errors.InputError: file 'picture.bmp' has no known ending: use one of .svg, .png, .pdf
    """
    path, ending = Path(path), _ending_of(path)
    written = io.BytesIO()
    figure.savefig(written, format=ending[1:], metadata=_UNDATED[ending])
    try:
        path.write_bytes(_renumbered(written.getvalue()) if ending == ".svg" else written.getvalue())
    except OSError as error:
        raise InputError.unwritable(path, error) from None
    return path


def _ending_of(path: Path) -> str:
    ending = Path(path).suffix.lower()
    if ending not in ENDINGS:
        raise InputError(f"file {Path(path).name!r} has no known ending: use one of {', '.join(ENDINGS)}")
    return ending


def _renumbered(svg: bytes) -> bytes:
    """The same drawing with its drawn-by-lot names counted instead, in the order in which they stand.

    >>> _renumbered(b'<path id="m0123456789"/><use href="#m0123456789"/>')
    b'<path id="m1"/><use href="#m1"/>'
    """
    names = dict.fromkeys(re.findall(rb'id="([a-z])([0-9a-f]{10})"', svg))
    counted = {letter + lot: letter + str(number).encode() for number, (letter, lot) in enumerate(names, 1)}
    return re.sub(rb"(?<=[\"#])[a-z][0-9a-f]{10}(?=[\")])", lambda name: counted.get(name[0], name[0]), svg)
