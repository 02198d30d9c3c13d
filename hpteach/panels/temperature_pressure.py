"""Boiling under the hand: temperature and altitude move a fluid's pressure, and what a gauge shows of it.

What lives here: `TemperaturePressure`.  What does not: saturation (fluids), the chart, the air's pressure (units).
"""

from __future__ import annotations

import math

import ipywidgets

from hpteach.diagrams import SCREEN, LineReading, PressureTemperatureChart, PressureTemperatureMarks, Style, axes_rectangle, saturation_lines, shown_pressure
from hpteach.diagrams.pressure_temperature import COLDEST, HOTTEST
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import Refrigerant, catalogue, listing, refrigerant, water
from hpteach.live import LiveFigure
from hpteach.panels.foresight import Told
from hpteach.panels.parts import beside, buttons, dropdown, hands, labelled, paragraphs, slider
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.readouts import cautions
from hpteach.tables import Table
from hpteach.units import STANDARD_ATMOSPHERE, atmosphere_at, base_number, read, sentence, show, shown_number, unit_shown

_WIDEST_NUMBER = 3.1  # 0.001, of its size
_ALTITUDES = {"SI": (0.0, 3048.0, 50.0), "IP": (0.0, 10000.0, 100.0)}
"""Least, most and step of the slider.  10000 ft are 3048 m: turning the units loses nothing."""
_STEPS = {"SI": 0.5, "IP": 1.0}
_GRID = 5.0
"""K between the temperatures at which the slider may end: whole degrees on both scales."""


class TemperaturePressure(View):
    """A refrigerant, another fluid beside it, a temperature and an altitude; chart, table and words follow.

    `controls` has refrigerant, compare_with ("none", "water" or a refrigerant), units, and the
    sliders temperature and altitude (in the shown units).  `readings` are those of every line shown.
    What the fluid beside cannot do at a temperature is left out and said in the status line.

    >>> view = TemperaturePressure(temperature="20C")
    >>> view.controls["temperature"].value = -10
    >>> round(view.readings[0].pressure), view.refusal is None
    (572676, True)
    """

    KEYS = {"r": "refrigerant", "w": "compare_with", "t": "temperature", "a": "altitude", "u": "units"}

    def __init__(
        self,
        *,
        refrigerant: str = "R-410A",
        compare_with: str = "water",
        temperature: str = "20C",
        altitude: str = "0m",
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("temperature and pressure")
        units = self.take_units(units)
        beside = ["none", "water", *catalogue()]
        if compare_with not in beside:
            raise UnknownNameError.among("fluid to compare with", compare_with, beside)
        self.style = style
        self.readings: tuple[LineReading, ...] = ()
        self._system = units
        self._shown_for: tuple = ()
        self._picture = LiveFigure(760, 580, scale=1.25, words="Saturation pressure over temperature. Table and sentences tell the same.")
        self._chart: PressureTemperatureChart
        self._marks: PressureTemperatureMarks
        self._beside_says = ""
        self._air = STANDARD_ATMOSPHERE
        self.table = ipywidgets.HTML()
        name = listing(refrigerant).name
        self.controls = {
            "refrigerant": dropdown("refrigerant", list(catalogue()), name),
            "compare_with": dropdown("compare with", beside, compare_with),
            "temperature": self._slider("temperature", read(temperature, "temperature"), self._temperatures(_fluid(name))),
            "altitude": self._slider("altitude", read(altitude, "length"), _ALTITUDES[units]),
            "units": buttons(["SI", "IP"], units, "units"),
        }
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.watch(name for name in self.controls if name != "units")

    @classmethod
    def for_question(cls, variant: Variant) -> TemperaturePressure:
        """The panel at the saturated temperature and in the air that a dealt question states, in its units.

        Beside the refrigerant stands that of the cycle to compare with, or else water.  Raises
        `InputError` where the question has no cycle, or air that is not on the altitude slider.

        >>> from hpteach.questions import deal, read_bank
        >>> variant = deal(read_bank().question("predict-altitude-gauge"), 1)
        >>> TemperaturePressure.for_question(variant).controls["refrigerant"].value == variant.cycle.refrigerant
        True
        """
        if variant.cycle is None:
            raise InputError(f"question {variant.question.id!r} has no refrigerant to show: choose one with a scenario")
        conditions, other = variant.cycle.conditions, variant.other
        stated = [name for name in ("saturated_suction_temperature", "saturated_condensing_temperature") if name in variant.question.scenario]
        altitude = _altitude_of(variant.atmosphere, variant.system)
        return cls(
            refrigerant=variant.cycle.refrigerant,
            compare_with=other.refrigerant if other and other.refrigerant != variant.cycle.refrigerant else "water",
            temperature=f"{getattr(conditions, (stated or ['saturated_suction_temperature'])[0]):.6f}K",
            altitude=f"{altitude:g}{'ft' if variant.system == 'IP' else 'm'}",
            units=variant.system,
        )

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Read every line at the present temperature and altitude, then move the marks, the table and the words."""
        chosen, beside = self.controls["refrigerant"].value, self.controls["compare_with"].value
        fluids = [_fluid(name) for name in (chosen, beside) if name != "none"]
        twice = len(fluids) == 2 and fluids[0] is fluids[1]
        fluids = fluids[:1] if twice else fluids
        self._set_range(self._temperatures(fluids[0]))
        temperature, altitude = self._base("temperature", "temperature"), self._base("altitude", "length")
        atmosphere = atmosphere_at(altitude)
        shown_for = (*(fluid.name for fluid in fluids), self._system, self.style)
        lines = [saturation_lines(fluid) for fluid in fluids] if shown_for != self._shown_for else self._chart.lines
        readings = [[line.read(temperature, atmosphere) for line in of_fluid] for of_fluid in lines]
        for reading in readings[0]:
            if reading.pressure is None:
                raise reading.refusals[0]
        self._beside_says = f"{chosen} is set beside itself: choose another fluid to compare with." if twice else self._left_out(readings)
        self._air = atmosphere
        self.readings = tuple(reading for of_fluid in readings for reading in of_fluid)
        self._draw(fluids, shown_for, temperature, altitude)
        self.table.value = f'<div class="hpteach-wide">{self._figures(temperature, altitude)._repr_html_()}</div>'
        self.reading.value = paragraphs(self._words(readings, temperature, altitude))

    def told(self) -> dict[str, Told]:
        """What can be predicted: the pressures of the first fluid, absolute and gauge, and where it boils in free air."""
        air = self._air
        if not self.readings or self.readings[0].pressure is None:
            return {}
        first = self.readings[0]
        found = {"the absolute pressure of the refrigerant": Told(first.pressure, shown_pressure(first.pressure, self._system))}
        found["the gauge pressure of the refrigerant"] = Told(first.pressure - air, show(first.pressure, "gauge pressure", self._system, atmosphere=air))
        if first.boiling is not None:
            found["its boiling temperature in free air"] = Told(first.boiling, show(first.boiling, "temperature", self._system))
        return found

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider in shown numbers; the temperatures are those of the refrigerant."""
        return _ALTITUDES[self._system] if name == "altitude" else self._temperatures(_fluid(self.controls["refrigerant"].value))

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table and reading."""
        return (self.table, self.reading)

    def note(self) -> str:
        """What is left out of the picture, and why."""
        return self._beside_says

    def _draw(self, fluids: list[Refrigerant], shown_for: tuple, temperature: float, altitude: float) -> None:
        if shown_for != self._shown_for:
            self._picture.figure.clear()
            axes = self._picture.figure.add_axes(axes_rectangle(self._picture.figure, self.style, widest=_WIDEST_NUMBER))
            self._chart = PressureTemperatureChart(axes, fluids, system=self._system, style=self.style)
            self._marks = self._chart.add_marks()
            self._picture.keep()
            self._shown_for = shown_for
        self._marks.show(temperature, altitude, self.readings)
        self._picture.draw(self._marks.artists)

    def _left_out(self, readings: list[list[LineReading]]) -> str:
        refusals = {sentence(refusal, self._system): None for of_fluid in readings for reading in of_fluid for refusal in reading.refusals}
        return " ".join(f"Left out: {refusal}." for refusal in refusals)

    # Figures and words ------------------------------------------------------------------

    def _figures(self, temperature: float, altitude: float) -> Table:
        at, air = show(altitude, "length", self._system), atmosphere_at(altitude)
        rows = [
            (
                reading.line.name,
                "-" if reading.pressure is None else shown_pressure(reading.pressure, self._system),
                "-" if reading.pressure is None else show(reading.pressure, "gauge pressure", self._system, atmosphere=air),
                "-" if reading.boiling is None else show(reading.boiling, "temperature", self._system),
            )
            for reading in self.readings
        ]
        caption = f"At {show(temperature, 'temperature', self._system)}; the air {at} above sea level presses with {shown_pressure(air, self._system)}"
        return Table(caption, ("fluid", "absolute", "gauge", "boils in free air"), rows, right=(1, 2, 3))

    def _words(self, readings: list[list[LineReading]], temperature: float, altitude: float) -> list[str]:
        said = [self._sentence(of_fluid, temperature, altitude) for of_fluid in readings]
        warm = show(temperature, "temperature", self._system)
        first = readings[0][0].line
        if first.side == "both":  # a blend with glide boils over a range, of which this is one end
            said.append(
                f"A coil in which {first.fluid.name} boils at {warm} takes up heat only from something warmer than {warm}, "
                "however cold it would boil in free air."
            )
        at_rest = show(readings[0][-1].pressure, "gauge pressure", self._system, atmosphere=atmosphere_at(altitude))
        said.append(
            f"Caution: a circuit or cylinder at rest that is at {warm} and holds liquid stands at {at_rest}. "
            "Gauges go on with goggles and gloves, by trained people, under your local codes."
        )
        return [*filter(None, said), *cautions(first.fluid.listing)]

    def _sentence(self, of_fluid: list[LineReading], temperature: float, altitude: float) -> str:
        """One fluid in words, or nothing where it has no pressure at this temperature."""
        system, air, first, last = self._system, atmosphere_at(altitude), of_fluid[0], of_fluid[-1]
        name, at = first.line.fluid.name, show(altitude, "length", system)
        if first.pressure is None or last.pressure is None:
            return ""
        warm, absolute = show(temperature, "temperature", system), shown_pressure(first.pressure, system)
        gauge = show(first.pressure, "gauge pressure", system, atmosphere=air)
        if first.line.side == "both":
            text = f"At {warm} {name} boils at an absolute pressure of {absolute}, which a gauge at {at} shows as {gauge}."
        else:
            text = (
                f"At {warm} liquid {name} begins to boil at an absolute pressure of {shown_pressure(last.pressure, system)}, and the last of it "
                f"is vapour at {absolute}, which a gauge at {at} shows as {gauge}."
            )
        if first.pressure < air:
            text += " That is below the pressure of the air: through a leak, air would come in."
        if first.boiling is None or last.boiling is None:
            return f"{text} In free air it would not boil as a liquid."
        boiling = show(last.boiling, "temperature", system)
        if first.line.side != "both":
            return f"{text} In free air it would begin to boil at {boiling} and end at {show(first.boiling, 'temperature', system)}."
        return f"{text} In free air it would boil at {boiling}."

    # Controls ---------------------------------------------------------------------------

    def _base(self, name: str, kind: str) -> float:
        return round(base_number(self.controls[name].value, kind, self._system), 10)

    def _temperatures(self, fluid: Refrigerant) -> tuple[float, float, float]:
        """Least, most and step of the slider for a fluid, in shown numbers."""
        least = 273.15 + _GRID * math.ceil(round((max(fluid.lowest_temperature, COLDEST) - 273.15) / _GRID, 6))
        most = 273.15 + _GRID * math.floor(round((min(fluid.highest_saturation_temperature, HOTTEST) - 273.15) / _GRID, 6))
        ends = (round(shown_number(end, "temperature", self._system), 6) for end in (least, most))
        return *ends, _STEPS[self._system]

    def _slider(self, name: str, value: float, ends: tuple[float, float, float]) -> ipywidgets.FloatSlider:
        kind = "length" if name == "altitude" else "temperature"
        least, most, step = ends
        number, unit = round(shown_number(value, kind, self._system), 6), unit_shown(kind, self._system).label
        if not least <= number <= most:
            raise InputError(f"{name} of {number:g} {unit} is outside the panel's {least:g} to {most:g} {unit}: choose one within")
        return slider(f"{name}, {unit}", least, most, step, number)

    def _set_range(self, ends: tuple[float, float, float]) -> None:
        """Range and step of the temperature slider; a value beyond it stays, and is refused, not moved."""
        control, (least, most, step) = self.controls["temperature"], ends
        with control.hold_sync():
            control.min, control.max, control.step = min(least, control.value), max(most, control.value), step

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            ranges = {"temperature": self._temperatures(_fluid(self.controls["refrigerant"].value)), "altitude": _ALTITUDES[self._system]}
            for name, (least, most, step) in ranges.items():
                control, kind = self.controls[name], "length" if name == "altitude" else "temperature"
                number = round(shown_number(base_number(control.value, kind, before), kind, self._system), 6)
                with control.hold_sync():
                    control.min, control.max = min(least, number, control.min), max(most, number, control.max)
                    control.value = number
                    control.min, control.max, control.step = min(least, number), max(most, number), step
                    control.description = f"{name}, {unit_shown(kind, self._system).label}"

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        left = ipywidgets.VBox([c["refrigerant"], c["compare_with"], labelled("units", c["units"])], layout=column)
        right = ipywidgets.VBox([c["temperature"], c["altitude"]], layout=column)
        picture = self._picture.image
        picture.layout.flex, picture.layout.min_width = "1 1 520px", "0"
        said = ipywidgets.VBox([self.table, self.reading], layout={"flex": "1 1 380px", "min_width": "300px"})
        self.sharpen(self._picture)
        self.arrange([hands(left, right)], [beside(ipywidgets.Box([picture], layout={"flex": "1 1 520px", "min_width": "0"}), said)])
        self.add_class("hpteach-single")


def _fluid(name: str) -> Refrigerant:
    return water() if name == "water" else refrigerant(name)


def _altitude_of(atmosphere: float, system: str) -> float:
    """The altitude of the slider (a shown number) whose air has this pressure (Pa), to the nearest step."""
    least, most, step = _ALTITUDES[system]
    altitudes = [least + step * number for number in range(int((most - least) / step) + 1)]

    def away(altitude: float) -> float:
        return abs(atmosphere_at(base_number(altitude, "length", system)) - atmosphere)

    nearest = min(altitudes, key=away)
    if away(nearest) > 500.0:
        raise InputError(f"air of {show(atmosphere, 'pressure', system)} is not on the panel's altitude slider: choose a question at {least:g} to {most:g}")
    return nearest
