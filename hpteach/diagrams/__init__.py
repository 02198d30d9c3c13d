"""Charts drawn on given Axes from solved state points.

What lives here: the pressure-enthalpy and temperature-entropy charts, their style, and
saving a chart to a file.  What does not: computing, widgets, global drawing state.
"""

from hpteach.diagrams.chart import Chart, CycleTrace
from hpteach.diagrams.pressure_enthalpy import PressureEnthalpyChart
from hpteach.diagrams.saving import CHARTS, chart_figure, save_chart
from hpteach.diagrams.style import PAPER, SCREEN, Look, Style
from hpteach.diagrams.temperature_entropy import TemperatureEntropyChart

__all__ = [
    "CHARTS",
    "PAPER",
    "SCREEN",
    "Chart",
    "CycleTrace",
    "Look",
    "PressureEnthalpyChart",
    "Style",
    "TemperatureEntropyChart",
    "chart_figure",
    "save_chart",
]
