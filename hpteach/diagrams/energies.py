"""Heat and work as lengths on the pressure-enthalpy chart and as areas on the temperature-entropy chart.

What lives here: `EnergyTrace`.  What does not: the cycle's line and labels (cycle_trace), how lengths and areas are
drawn (energy_marks).
"""

from __future__ import annotations

from matplotlib.artist import Artist

from hpteach.cycle import Cycle
from hpteach.diagrams.chart import Chart
from hpteach.diagrams.energy_marks import Areas, Lengths
from hpteach.diagrams.placing import Taken


class EnergyTrace:
    """What a cycle takes up, gives off and needs, drawn to the chart's own scale.

    On the pressure-enthalpy chart each is a length: the refrigerating effect q_e = h1 - h4 and the specific work w = h2 - h1 end to end
    below the cycle, the heat rejected q_c = h2 - h3 above it.  On the temperature-entropy chart the heats are areas: at constant
    pressure q is the integral of T ds, so that q_e lies under the boiling line (hatched one way) and q_c under the condensing line
    (hatched the other way), both counted from absolute zero; the chart shows the part above its lower edge, and says so.  The work has no area of its own:
    w = q_c - q_e is the difference of the two, also where the compression is irreversible.  Where pressure is lost along a coil the
    area differs from its number by the integral of v dp, which is small beside it.

    With `animated` the artists are drawn by the caller at every move (the areas below the cycle: sort by zorder); show
    the cycle's own trace first, so that the labels here keep clear of it.

    Source: the integral of T ds along an isobar is the change of enthalpy (Gibbs equation T ds = dh - v dp); any textbook.

    >>> from matplotlib.figure import Figure
    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.cycle import Conditions, solve
    >>> from hpteach.diagrams import PressureEnthalpyChart
    >>> from hpteach.fluids import refrigerant
    >>> r32 = refrigerant("R-32")
    >>> energies = EnergyTrace(PressureEnthalpyChart(Figure().add_subplot(), r32))
    >>> energies.show(solve(r32, Conditions(ValvePosition.COOLING, "indoor coil", 280.0, 318.0, 5.0, 5.0, 0.7)))
    >>> energies.texts
    ('q_e 247.8 kJ/kg', 'w 59.9 kJ/kg', 'q_c 307.7 kJ/kg')
    """

    def __init__(self, chart: Chart, *, animated: bool = False) -> None:
        self.chart = chart
        self.animated = animated
        self._visible = True
        self._marks = (Lengths if chart.x_axis.attribute == "enthalpy" else Areas)(chart, animated)
        chart.lay(self)

    @property
    def artists(self) -> list[Artist]:
        """Everything that is to be drawn, lowest first."""
        return self._marks.artists if self._visible else []

    @property
    def texts(self) -> tuple[str, ...]:
        """What the labels say, row by row."""
        return tuple(row for word in self._marks.words for row in word.rows)

    def show(self, cycle: Cycle) -> None:
        """Move to a cycle; raises `InputError` for one of a refrigerant that the chart does not have."""
        self._marks.show(cycle)
        if self.animated:
            self.settle(self.chart.taken_by_cycles())

    def set_visible(self, visible: bool) -> None:
        """Show or hide all of it."""
        self._visible = visible
        for artist in self._marks.artists:
            artist.set_visible(visible)

    def settle(self, others: Taken) -> None:
        """Let lengths and labels choose their places, clear of what `others` take."""
        self._marks.settle(others)

    def taken(self) -> Taken:
        """What lengths and labels cover, as last settled."""
        nothing = Taken.nothing(self.chart.axes)
        return self._marks.taken if self._visible and self._marks.taken is not None else nothing
