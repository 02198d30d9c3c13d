"""Gauges and clamp probes under the hand: superheat, subcooling, the cycle on the chart, and what is doubtful.

What lives here: `GaugeReading`.  What does not: what the readings say (gauges), its tables and sentences (gauge_readouts).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import ipywidgets

from hpteach.circuit import ValvePosition, flow, reversible_circuit
from hpteach.cycle import Cycle, conditions_for, solve
from hpteach.diagrams import CHARTS, SCREEN, Chart, CycleTrace, Style, axes_rectangle
from hpteach.errors import HpteachError, InputError
from hpteach.fluids import Refrigerant, catalogue, listing, refrigerant
from hpteach.gauge_readouts import doubts_in_words, gauge_cautions, gauges_in_words, probes_in_words, readings_table
from hpteach.gauges import FieldReadings, GaugeFindings, closed_cycle, read_gauges
from hpteach.live import LiveFigure, Still
from hpteach.panels.foresight import Told
from hpteach.panels.parts import beside, buttons, chart_words, dropdown, hands, labelled, paragraphs, press, readout_format, slider
from hpteach.panels.shelf import Shelf
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.units import STANDARD_ATMOSPHERE, atmosphere_at, base_number, read, sentence, show, shown_number, unit_shown

_MOST_KEPT = 8
_GRID = {"SI": 5.0, "IP": 50.0}
"""The pressure sliders end at a multiple of this, above what the refrigerant can have."""
_WARMEST_EVAPORATING = 303.15
_AIR_ALIKE = 500.0
"""Pa by which a question's air may differ from the sea level of the panel's start."""

# name: (label, kind, least, most, step) in shown numbers; the refrigerant sets the most of a pressure.
_SLIDERS = {
    "suction_pressure": ("suction gauge", "pressure", {"SI": (-0.5, 0.0, 0.05), "IP": (-7.0, 0.0, 0.5)}),
    "discharge_pressure": ("discharge gauge", "pressure", {"SI": (-0.5, 0.0, 0.05), "IP": (-7.0, 0.0, 0.5)}),
    "suction_line": ("suction line", "temperature", {"SI": (-45.0, 60.0, 0.5), "IP": (-49.0, 140.0, 1.0)}),
    "liquid_line": ("liquid line", "temperature", {"SI": (-25.0, 80.0, 0.5), "IP": (-13.0, 176.0, 1.0)}),
    "discharge_line": ("discharge line", "temperature", {"SI": (0.0, 150.0, 0.5), "IP": (32.0, 302.0, 1.0)}),
    "altitude": ("altitude", "length", {"SI": (0.0, 3048.0, 50.0), "IP": (0.0, 10000.0, 100.0)}),
}
_READ = tuple(name for name in _SLIDERS if name != "altitude")


@dataclass
class _Scene:
    """The chart of one refrigerant in one unit system and style, with the cycle that moves over it once there is one."""

    chart: Chart
    still: Still
    trace: CycleTrace | None = None


class GaugeReading(View):
    """Refrigerant, valve position, altitude and five readings as on the manifold; chart, table, words and doubts follow.

    `controls` has refrigerant, valve_position, units, and the sliders suction_pressure and discharge_pressure (gauge),
    suction_line, liquid_line, discharge_line and altitude, in the shown units.  `findings` is what was found last, `cycle` the
    cycle that it closes, or None.  Readings that close none leave the last picture, faded; `table`, `reading` and
    `places` (where the probes go) are always theirs.

    >>> view = GaugeReading(suction_pressure="118psig", suction_line="52F", units="IP")
    >>> round(1.8 * view.findings.superheat, 1)
    12.2
    >>> view.controls["suction_line"].value = 35.0
    >>> [doubt.id for doubt in view.findings.doubts], view.cycle
    (['suction_line_below_bubble'], None)
    """

    KEYS = {
        "r": "refrigerant", "v": "valve_position", "u": "units", "e": "suction_pressure", "c": "discharge_pressure", "s": "suction_line",
        "l": "liquid_line", "d": "discharge_line", "a": "altitude",
    }  # fmt: skip

    def __init__(
        self,
        *,
        refrigerant: str = "R-410A",
        valve_position: str = "cooling",
        suction_pressure: str | None = None,
        discharge_pressure: str | None = None,
        suction_line: str | None = None,
        liquid_line: str | None = None,
        discharge_line: str | None = None,
        altitude: str = "0m",
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("gauge reading")
        units = self.take_units(units)
        position = ValvePosition.named(valve_position)
        if position is ValvePosition.BETWEEN:
            raise InputError("a panel cannot stand between heating and cooling: name one of the two")
        self.style, self._system = style, units
        self.findings: GaugeFindings | None = None
        self.cycle: Cycle | None = None
        self._says = ""
        self._shown_for: tuple | None = None
        self._kept: Shelf[_Scene] = Shelf(_MOST_KEPT, lambda scene: [scene.chart.axes])
        self._picture = LiveFigure(660, 500, scale=1.2, words=chart_words("pressure-enthalpy"))
        self.table, self.places = ipywidgets.HTML(), ipywidgets.HTML()
        name = listing(refrigerant).name
        air = atmosphere_at(read(altitude, "length"))
        numbers = {**self._sound(name, position), "altitude": self._shown(read(altitude, "length"), "length")}
        given = (suction_pressure, discharge_pressure, suction_line, liquid_line, discharge_line)
        for one, text in zip(_READ, given):
            if text is not None:
                kind = _SLIDERS[one][1]
                numbers[one] = self._shown(read(text, kind, atmosphere=air) - (air if kind == "pressure" else 0.0), kind)
        self.controls = {
            "refrigerant": dropdown("refrigerant", list(catalogue()), name),
            "valve_position": buttons(["cooling", "heating"], position.value, "valve position"),
            "units": buttons(["SI", "IP"], units, "units"),
        }
        self.controls |= {one: self._slider(one, numbers[one]) for one in _SLIDERS}
        self.sound = press("Readings of a sound machine")
        self._lay_out()
        self._changed(None)
        self.sound.on_click(lambda _: self._take_sound())
        self.turns_units(self._turn_units)
        self.watch(one for one in self.controls if one != "units")

    @classmethod
    def for_question(cls, variant: Variant) -> GaugeReading:
        """The panel at the cycle of a dealt question, read as gauges and probes would, in its units and at sea level.

        Raises `InputError` where the question has no cycle, or air of another altitude.

        >>> from hpteach.questions import deal, read_bank
        >>> view = GaugeReading.for_question(deal(read_bank().question("predict-which-column"), 1))
        >>> view.findings.doubts
        ()
        """
        if variant.cycle is None:
            raise InputError(f"question {variant.question.id!r} has no cycle to read: choose one with a scenario")
        if abs(variant.atmosphere - STANDARD_ATMOSPHERE) > _AIR_ALIKE:
            raise InputError(f"question {variant.question.id!r} is not at sea level: choose one that is")
        point = variant.cycle.point
        above = {name: f"{point(label).pressure - variant.atmosphere + STANDARD_ATMOSPHERE:.6f}Pa" for name, label in zip(_READ[:2], "12")}
        lines = {name: f"{point(label).temperature:.6f}K" for name, label in zip(_READ[2:], "132")}
        position = variant.cycle.conditions.valve_position.value
        return cls(refrigerant=variant.cycle.refrigerant, valve_position=position, units=variant.system, **above, **lines)

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Read the gauges, then move the chart, the table and the words."""
        fluid = refrigerant(self.controls["refrigerant"].value)
        air = atmosphere_at(self._base("altitude"))
        self._set_ranges()
        pressures = [self._base(name) + air for name in _READ[:2]]
        lines = [self._base(name) for name in _READ[2:]]
        found = read_gauges(fluid, FieldReadings(ValvePosition(self.controls["valve_position"].value), *pressures, *lines), atmosphere=air)
        self._says = ""
        try:
            cycle = closed_cycle(fluid, found)
        except HpteachError as refusal:
            cycle, self._says = None, sentence(refusal, self._system)
        if cycle is None and not self._says:
            self._says = "These readings close no cycle, so the chart is faded: read the doubts."
        self._draw(fluid, cycle)
        self.table.value = f'<div class="hpteach-wide">{readings_table(found, self._system, atmosphere=air)._repr_html_()}</div>'
        words = (gauges_in_words, doubts_in_words)
        said = [one for in_words in words for one in in_words(found, self._system, atmosphere=air)]
        self.reading.value = paragraphs([*said, *gauge_cautions(fluid.listing)])
        self.places.value = f"<h3>Where the probes go</h3>{paragraphs(probes_in_words(found))}"
        self.findings, self.cycle = found, cycle

    def told(self) -> dict[str, Told]:
        """What can be predicted: both saturated temperatures, superheat, subcooling, and the efficiency that is implied."""
        found = self.findings
        if found is None or not found.runs:
            return {}
        told = {
            "the saturated suction temperature": (found.saturated_suction_temperature, "temperature"),
            "the saturated condensing temperature": (found.saturated_condensing_temperature, "temperature"),
            "the superheat": (found.superheat, "temperature difference"),
            "the subcooling": (found.subcooling, "temperature difference"),
            "the implied isentropic efficiency": (found.isentropic_efficiency, "ratio"),
        }
        return {name: Told(value, show(value, kind, self._system)) for name, (value, kind) in told.items() if value is not None}

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider in shown numbers; a pressure goes up to what the refrigerant can have."""
        least, most, step = _SLIDERS[name][2][self._system]
        if _SLIDERS[name][1] == "pressure":
            fluid, grid = refrigerant(self.controls["refrigerant"].value), _GRID[self._system]
            warmest = min(_WARMEST_EVAPORATING, fluid.highest_saturation_temperature)
            top = fluid.critical_pressure if name == "discharge_pressure" else fluid.dew_pressure(warmest)
            most = grid * math.ceil(self._shown(top - STANDARD_ATMOSPHERE, "pressure") / grid)
        return least, most, step

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table, reading, and where the probes go."""
        return (self.table, self.reading, self.places)

    def note(self) -> str:
        """Why the chart is faded, where it is."""
        return self._says

    # The picture ------------------------------------------------------------------------

    def _draw(self, fluid: Refrigerant, cycle: Cycle | None) -> None:
        key = (fluid.name, self._system, self.style)

        def make() -> _Scene:
            self._hide_charts()
            self._shown_for = key
            axes = self._picture.figure.add_axes(axes_rectangle(self._picture.figure, self.style))
            chart = CHARTS["pressure-enthalpy"](axes, fluid, system=self._system, style=self.style, covering=[] if cycle is None else [cycle])
            return _Scene(chart, self._picture.keep())

        scene = self._kept.take((fluid.name, self._system), self.style, make, fits=lambda kept: cycle is None or kept.chart.covers(cycle))
        if cycle is None:
            if key != self._shown_for:  # the canvas holds another chart
                self._hide_charts()
                scene.chart.axes.set_visible(True)
                scene.still = self._picture.keep()
            self._picture.veil()
        else:
            self._picture.lay(scene.still)
            if scene.trace is None:
                scene.trace = scene.chart.add_cycle(cycle, animated=True)
            scene.trace.show(cycle)
            self._picture.draw(scene.trace.artists)
        self._shown_for = key

    def _hide_charts(self) -> None:
        for axes in self._picture.figure.axes:
            axes.set_visible(False)

    # Controls ---------------------------------------------------------------------------

    def _shown(self, value: float, kind: str) -> float:
        return round(shown_number(value, kind, self._system), 6)

    def _base(self, name: str) -> float:
        return round(base_number(self.controls[name].value, _SLIDERS[name][1], self._system), 6)

    def _described(self, name: str) -> str:
        label, kind, _ = _SLIDERS[name]
        return f"{label}, {unit_shown('gauge pressure' if kind == 'pressure' else kind, self._system).label}"

    def _slider(self, name: str, number: float) -> ipywidgets.FloatSlider:
        least, most, step = self.span(name)
        if not least <= number <= most:
            unit = self._described(name).rpartition(", ")[2]
            raise InputError(f"{_SLIDERS[name][0]} of {number:g} {unit} is outside the panel's {least:g} to {most:g} {unit}: choose one within")
        return slider(self._described(name), least, most, step, number)

    def _sound(self, name: str, position: ValvePosition) -> dict[str, float]:
        """Readings as on a sound machine, in shown numbers to the sliders' steps."""
        fluid = refrigerant(name)
        cycle = solve(
            fluid,
            conditions_for(
                flow(reversible_circuit(), position),
                saturated_suction_temperature=280.15 if position is ValvePosition.COOLING else 273.15,
                saturated_condensing_temperature=min(318.15, fluid.highest_saturation_temperature - 6.0),
                superheat=6.0,
                subcooling=5.0,
                isentropic_efficiency=0.7,
            ),
        )
        suction, discharge, liquid = (cycle.point(label) for label in "123")
        pressures = (suction.pressure - STANDARD_ATMOSPHERE, discharge.pressure - STANDARD_ATMOSPHERE)
        values = (*pressures, suction.temperature, liquid.temperature, discharge.temperature)
        steps = [_SLIDERS[one][2][self._system][2] for one in _READ]
        return {one: round(step * round(self._shown(value, _SLIDERS[one][1]) / step), 6) for one, value, step in zip(_READ, values, steps)}

    def _take_sound(self) -> None:
        numbers = self._sound(self.controls["refrigerant"].value, ValvePosition(self.controls["valve_position"].value))
        with self.lock:
            self._set_ranges()
            self.set(numbers | {"altitude": 0.0})

    def _set_ranges(self) -> None:
        """The ranges of the pressure sliders for the refrigerant; a value beyond stays, and is refused or doubted, not moved."""
        for name in _READ[:2]:
            control, (least, most, step) = self.controls[name], self.span(name)
            with control.hold_sync():
                control.min, control.max, control.step = min(least, control.value), max(most, control.value), step

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            for name, (_, kind, _) in _SLIDERS.items():
                control, (least, most, step) = self.controls[name], self.span(name)
                number = self._shown(base_number(control.value, kind, before), kind)
                with control.hold_sync():
                    control.min, control.max = min(least, number, control.min), max(most, number, control.max)
                    control.value = number
                    control.min, control.max, control.step = min(least, number), max(most, number), step
                    control.readout_format = readout_format(step)
                    control.description = self._described(name)

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        choices = [c["refrigerant"], labelled("valve position", c["valve_position"]), labelled("units", c["units"]), c["altitude"], self.sound]
        left, right = ipywidgets.VBox(choices, layout=column), ipywidgets.VBox([c[name] for name in _READ], layout=column)
        picture = self._picture.image
        picture.layout.flex, picture.layout.min_width = "0 1 auto", "0"
        drawn = ipywidgets.VBox([picture], layout={"flex": "1 1 460px", "min_width": "300px"})
        self.places.layout.flex = "1 1 100%"
        said = ipywidgets.VBox([self.table, self.reading], layout={"flex": "1 1 420px", "min_width": "300px"})
        self.sharpen(self._picture)
        self.arrange([hands(left, right)], [beside(drawn, said, self.places)])
        self.add_class("hpteach-single")
