"""Charts drawn on given Axes from solved state points.

What lives here: the pressure-enthalpy, temperature-entropy and pressure-temperature charts,
the drawing of the circuit, their style, and saving a chart to a file.  What does not: computing, widgets, global drawing state.
"""

from hpteach.diagrams.capacity_chart import CapacityChart, CapacityMarks
from hpteach.diagrams.chart import PRESSURE_UNITS, Chart
from hpteach.diagrams.circuit_drawing import CircuitDrawing
from hpteach.diagrams.cycle_path import cycle_path
from hpteach.diagrams.cycle_trace import CycleTrace
from hpteach.diagrams.energies import EnergyTrace
from hpteach.diagrams.fine_grid import lay_fine_grid
from hpteach.diagrams.pressure_enthalpy import PressureEnthalpyChart
from hpteach.diagrams.pressure_temperature import LineReading, PressureTemperatureChart, PressureTemperatureMarks, saturation_lines, shown_pressure
from hpteach.diagrams.saving import CHART_KINDS, CHARTS, chart_figure, save_chart
from hpteach.diagrams.sheet import axes_rectangle, fitting_title, row_of_names
from hpteach.diagrams.style import PAPER, SCREEN, Look, Style
from hpteach.diagrams.temperature_entropy import TemperatureEntropyChart

__all__ = [
    "CHARTS",
    "CHART_KINDS",
    "PAPER",
    "PRESSURE_UNITS",
    "SCREEN",
    "CapacityChart",
    "CapacityMarks",
    "Chart",
    "CircuitDrawing",
    "CycleTrace",
    "EnergyTrace",
    "LineReading",
    "Look",
    "PressureEnthalpyChart",
    "PressureTemperatureChart",
    "PressureTemperatureMarks",
    "Style",
    "TemperatureEntropyChart",
    "axes_rectangle",
    "chart_figure",
    "cycle_path",
    "fitting_title",
    "lay_fine_grid",
    "row_of_names",
    "saturation_lines",
    "save_chart",
    "shown_pressure",
]
