"""Air at a cold coil under the hand: when it leaves water, how cold it comes out, how its heat is shared out.

What lives here: `AirAtTheCoil`.  What does not: moist air (fluids), what a coil does to it (machine), the chart.
"""

from __future__ import annotations

from collections.abc import Mapping

import ipywidgets

from hpteach.diagrams import SCREEN, Style, axes_rectangle
from hpteach.diagrams.air_chart import AirChart, AirMarks
from hpteach.errors import InputError
from hpteach.fluids import MoistAir, moist_air
from hpteach.live import LiveFigure
from hpteach.machine.air_at_coil import AirAtCoil, air_at_coil
from hpteach.panels.foresight import Told
from hpteach.panels.parts import beside, buttons, hands, labelled, paragraphs
from hpteach.panels.scales import Scale, slider, turn_scales
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.questions.air import AirAlone
from hpteach.tables import Table
from hpteach.units import read, show

SCALES: Mapping[str, Scale] = {
    "room": Scale("air before the coil", "temperature", {"SI": (15.0, 32.0, 0.5), "IP": (59.0, 90.0, 1.0)}),
    "humidity": Scale("its humidity", "relative humidity", {"SI": (10.0, 80.0, 1.0), "IP": (10.0, 80.0, 1.0)}),
    "surface": Scale("surface of the coil", "temperature", {"SI": (0.0, 25.0, 0.5), "IP": (32.0, 77.0, 1.0)}),
    "air_flow": Scale("air flow", "air flow", {"SI": (400.0, 3000.0, 50.0), "IP": (230.0, 1770.0, 10.0)}),
}
"""What the sliders measure."""

BYPASS = 0.1
"""Share of the air that passes without touching the surface (common practice, no source: a tenth or so for a coil of three or four rows)."""

_CODED = {("room", "SI"): (15.0, 33.0, 0.5), ("air_flow", "SI"): (350.0, 3050.0, 50.0)}
"""Spans of a picture code that reach further than the slider: a number from an end of the other unit system has a place as well."""

_ROWS = (
    ("dry bulb", "dry_bulb", "temperature"), ("wet bulb", "wet_bulb", "temperature"), ("dew point", "dew_point", "temperature"),
    ("relative humidity", "relative_humidity", "relative humidity"), ("humidity ratio", "humidity_ratio", "humidity ratio"),
)  # fmt: skip


class AirAtTheCoil(View):
    """Air of a room, its humidity, the temperature of a coil's surface and the air flow; chart, tables and words follow.

    `controls` has units and the sliders room, humidity, surface and air_flow, in the shown units.  `passing` is the air before and behind the coil.

    >>> view = AirAtTheCoil(room="26C", humidity="50%", surface="10C")
    >>> view.passing.water > 0.0
    True
    >>> view.controls["surface"].value = 18
    >>> view.passing.water
    0.0
    """

    KEYS = {"r": "room", "h": "humidity", "s": "surface", "f": "air_flow", "u": "units"}

    def __init__(
        self, *, room: str = "26C", humidity: str = "50%", surface: str = "10C", air_flow: str = "2000m3/h", units: Units = None, style: Style = SCREEN
    ) -> None:
        super().__init__("air at the coil")
        units = self.take_units(units)
        self.style, self._system = style, units
        self.passing: AirAtCoil | None = None
        self._picture = LiveFigure(640, 540, scale=1.2, words="Water in the air over its temperature. Tables and sentences tell the same.")
        self._shown_for: tuple = ()
        self._chart: AirChart
        self._marks: AirMarks
        self.table, self.heat_table = ipywidgets.HTML(), ipywidgets.HTML()
        values = {"room": (room, "temperature"), "humidity": (humidity, "relative humidity"), "surface": (surface, "temperature"), "air_flow": (air_flow, "air flow")}
        self.controls = {
            **{name: slider(SCALES[name], read(*value), units) for name, value in values.items()},
            "units": buttons(["SI", "IP"], units, "units"),
        }
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.watch(name for name in self.controls if name != "units")

    @classmethod
    def for_question(cls, variant: Variant) -> AirAtTheCoil:
        """The panel with the air and the surface of a dealt question, in its units; of a machine in cooling, those at its indoor coil.

        Raises `InputError` where the question states neither a coil's surface nor a machine that cools, or air beyond the sliders.

        >>> from hpteach.questions import deal, read_bank
        >>> AirAtTheCoil.for_question(deal(read_bank().question("predict-wet-or-dry-coil"), 1)).refusal is None
        True
        """
        stated = variant.air
        if variant.weather is not None and variant.weather.indoor_coil.role == "evaporator":
            coil = variant.weather.indoor_coil
            surface = max(coil.zones, key=lambda zone: zone.share).met.surface_temperature
            stated = AirAlone(coil.entering, surface_temperature=surface, air_flow=coil.air_flow)
        if stated is None or stated.surface_temperature is None:
            raise InputError(f"question {variant.question.id!r} has no air at a cold coil to look at: choose one that states the coil's surface")
        view = cls(units=variant.system)
        values = {"room": stated.entering.dry_bulb, "humidity": stated.entering.relative_humidity, "surface": stated.surface_temperature}
        if stated.air_flow is not None:
            values["air_flow"] = stated.air_flow
        view.set({name: SCALES[name].within(value, view.system) for name, value in values.items()})
        view.mark_start()
        return view

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Send the air past the coil, then move the marks, the tables and the words."""
        si = {name: scale.base(self.controls[name].value, self._system) for name, scale in SCALES.items()}
        entering = moist_air(si["room"], relative_humidity=si["humidity"])
        passing = air_at_coil(entering, si["surface"], si["air_flow"], bypass=BYPASS)
        if (self._system, self.style) != self._shown_for:
            self._picture.figure.clear()
            self._chart = AirChart(self._picture.figure.add_axes(axes_rectangle(self._picture.figure, self.style)), system=self._system, style=self.style)
            self._marks = self._chart.add_marks()
            self._picture.keep()
            self._shown_for = (self._system, self.style)
        self._marks.show(passing, si["surface"], entering.dew_point)
        self._picture.draw(self._marks.artists)
        self.passing = passing
        for place, table in ((self.table, self._airs(passing)), (self.heat_table, self._heats(passing))):
            place.value = f'<div class="hpteach-wide">{table._repr_html_()}</div>'
        self.reading.value = paragraphs(self._words(passing, si["surface"]))

    def told(self) -> Mapping[str, Told]:
        """What can be predicted: the air behind the coil, all the heat and its parts, the water, and whether the surface is wet."""
        found = self.passing
        if found is None:
            return {}
        system = self._system
        kinds = {
            "the temperature of the air behind the coil": (found.leaving.dry_bulb, "temperature"),
            "the relative humidity of the air behind the coil": (found.leaving.relative_humidity, "relative humidity"),
            "all the heat": (found.heat, "power"),
            "the sensible heat": (found.sensible, "power"),
            "the latent heat": (found.latent, "power"),
            "the water that runs off": (found.water, "water flow"),
        }
        state = "wet" if found.water > 0.0 else "dry"
        return {
            **{name: Told(value, show(value, kind, system)) for name, (value, kind) in kinds.items()},
            "the surface of the coil": Told(state, state, ("wet", "dry")),
        }

    CODED = _CODED

    @property
    def scales(self) -> Mapping[str, Scale]:
        """The scales of the sliders."""
        return SCALES

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Tables and reading."""
        return (self.table, self.heat_table, self.reading)

    def _airs(self, passing: AirAtCoil) -> Table:
        def cell(air: MoistAir, name: str, kind: str) -> str:
            return show(getattr(air, name), kind, self._system)

        rows = [(label, cell(passing.entering, name, kind), cell(passing.leaving, name, kind)) for label, name, kind in _ROWS]
        return Table("The air", ("", "before the coil", "behind it"), rows, right=(1, 2))

    def _heats(self, passing: AirAtCoil) -> Table:
        ratio = f"{passing.sensible_heat_ratio:.2f}" if passing.heat > 0.0 else "-"
        values = ((passing.heat, "power"), (passing.sensible, "power"), (passing.latent, "power"), (passing.water, "water flow"))
        labels = ("all the heat", "sensible heat", "latent heat", "water in an hour")
        rows = [(label, show(*value, self._system)) for label, value in zip(labels, values)]
        return Table("What the coil takes from it", ("", ""), [*rows, ("sensible heat ratio", ratio)], right=(1,))

    def _words(self, passing: AirAtCoil, surface: float) -> list[str]:
        def say(value: float, kind: str) -> str:
            return show(value, kind, self._system)

        entering, leaving = passing.entering, passing.leaving
        cold, dew = say(surface, "temperature"), say(entering.dew_point, "temperature")
        if passing.water > 0.0:
            first = (
                f"The surface, at {cold}, is colder than the dew point of the air, {dew}: it is wet. The air comes with {say(entering.humidity_ratio, 'humidity ratio')} "
                f"of water and leaves with {say(leaving.humidity_ratio, 'humidity ratio')}; {say(passing.water, 'water flow')} run off."
            )
            shared = (
                f"Of {say(passing.heat, 'power')} in all, {say(passing.sensible, 'power')} make the air colder (sensible) and {say(passing.latent, 'power')} "
                f"turn vapour to water (latent), which no thermometer in the air shows. On the picture the dashed step goes across with the sensible heat and down with the latent."
            )
        else:
            first = f"The surface, at {cold}, is not colder than the dew point of the air, {dew}: it stays dry, and the air keeps its water."
            shared = f"All the heat, {say(passing.heat, 'power')}, is sensible: it makes the air colder and nothing else."
        mixed = (
            f"A tenth of the air passes without touching the surface. So it leaves at {say(leaving.dry_bulb, 'temperature')}, somewhat warmer than the surface, "
            f"with {say(leaving.relative_humidity, 'relative humidity')} relative humidity: colder air holds less, so this is a larger share."
        )
        given = "The surface is given here, whatever the air flow. On a machine it settles by itself: with less air it becomes colder."
        return [first, shared, mixed, given, "Caution: keep hands out of running fans and clear of sharp fins; condensate on the floor is slippery and must not reach live parts."]

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, SCALES, before, self._system)

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        left = ipywidgets.VBox([c["room"], c["humidity"], labelled("units", c["units"])], layout=column)
        right = ipywidgets.VBox([c["surface"], c["air_flow"]], layout=column)
        picture = self._picture.image
        picture.layout.flex, picture.layout.min_width = "1 1 480px", "0"
        said = ipywidgets.VBox([self.table, self.heat_table, self.reading], layout={"flex": "1 1 380px", "min_width": "300px"})
        self.sharpen(self._picture)
        self.arrange([hands(left, right)], [beside(ipywidgets.Box([picture], layout={"flex": "1 1 480px", "min_width": "0"}), said)])
        self.add_class("hpteach-single")
