"""Frost and defrost under the hand: a run from clean coil to the defrost and back, the gap between two fins, tables and words.

What lives here: `Frost`.  What does not: how frost grows and melts (machine), one moment of it (frost_moment), its pictures
(frost_pictures) and sentences (frost_words).
"""

from __future__ import annotations

from collections.abc import Mapping

import ipywidgets

from hpteach.diagrams import SCREEN, Style
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine import DEMO_MACHINES, Operation, demo_machine
from hpteach.machine.defrost import Control, Demand, TimeTemperature
from hpteach.machine.frost import FrostCycle, Growth
from hpteach.panels.foresight import Told
from hpteach.panels.frost_moment import FrostMoment, lost, moment_at
from hpteach.panels.frost_pictures import FrostChart, GapDrawing
from hpteach.panels.frost_words import defrost_table, from_the_room, frost_in_words, moment_table
from hpteach.panels.parts import WRAPPED, buttons, dropdown, labelled, paragraphs
from hpteach.panels.scales import Scale, slider, turn_scales
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.panels.weather import HEATING
from hpteach.panels.weather import SCALES as OF_THE_WEATHER
from hpteach.questions import Variant
from hpteach.units import read, show

CLOCK, DEMAND = "by the clock", "on demand"
STARTS = (CLOCK, DEMAND)

_AIR = ("outdoor_temperature", "outdoor_humidity", "indoor_temperature", "indoor_humidity")

SCALES: Mapping[str, Scale] = {
    **{name: OF_THE_WEATHER[HEATING][name] for name in _AIR},
    "interval": Scale("interval of the clock", "duration", {"SI": (20.0, 120.0, 5.0), "IP": (20.0, 120.0, 5.0)}),
    "excess": Scale("excess that starts it", "temperature difference", {"SI": (0.5, 6.0, 0.5), "IP": (1.0, 11.0, 1.0)}),
    "auxiliary_heat": Scale("auxiliary heat", "power", {"SI": (0.0, 10.0, 0.5), "IP": (0.0, 34000.0, 1000.0)}),
    "moment": Scale("along run and defrost, %", "ratio", {"SI": (0.0, 100.0, 1.0), "IP": (0.0, 100.0, 1.0)}),
}
"""What the sliders measure."""

_CODED = {("excess", "IP"): (0.0, 12.0, 1.0), ("auxiliary_heat", "IP"): (0.0, 35000.0, 1000.0)}
"""Spans of a picture code that reach further than the slider: a value from an end of the other unit system has a place as well."""

WORKING = "Working out how frost grows in this weather …"


class Frost(View):
    """A demo machine (invented), the air at both coils, and what starts the defrost; the run, the gap between fins, tables and words follow.

    `controls` has machine, start ("by the clock" or "on demand"), units, and the sliders outdoor_temperature, outdoor_humidity,
    indoor_temperature, indoor_humidity, interval (of the clock), excess (by which the coil must fall further below the air), auxiliary_heat
    and moment: per cent of the way, the run up to 80, then the defrost, and at the end a little of the next run.  `cycle` is the last cycle of frost
    and defrost, `moment` its marked moment.

    >>> view = Frost(outdoor="1C", outdoor_humidity="90%")
    >>> view.cycle.begins_because, 0.8 < view.cycle.capacity_share < 1.0
    ('the clock', True)
    >>> view.controls["moment"].value = 0
    >>> view.moment.frost
    0.0
    """

    KEYS = {
        "m": "machine", "s": "start", "u": "units", "t": "outdoor_temperature", "h": "outdoor_humidity", "i": "indoor_temperature",
        "j": "indoor_humidity", "c": "interval", "d": "excess", "x": "auxiliary_heat", "a": "moment",
    }  # fmt: skip

    def __init__(
        self,
        *,
        machine: str = "R-32",
        start: str = CLOCK,
        outdoor: str = "1C",
        outdoor_humidity: str = "85%",
        indoor: str = "20C",
        indoor_humidity: str = "50%",
        interval: str = "60min",
        excess: str = "1K",
        auxiliary_heat: str = "5kW",
        moment: float = 60.0,
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("frost")
        units = self.take_units(units)
        if start not in STARTS:
            raise UnknownNameError.among("start of the defrost", start, STARTS)
        self.style, self._system = style, units
        self.cycle: FrostCycle | None = None
        self.moment: FrostMoment | None = None
        self._growths: dict[tuple, Growth] = {}
        self._chart, self._gap = FrostChart(), GapDrawing()
        self._pictures = {"run": self._chart.picture, "gap": self._gap.picture}
        self.table, self.defrost_table = ipywidgets.HTML(), ipywidgets.HTML()
        values = {
            "outdoor_temperature": read(outdoor, "temperature"),
            "outdoor_humidity": read(outdoor_humidity, "relative humidity"),
            "indoor_temperature": read(indoor, "temperature"),
            "indoor_humidity": read(indoor_humidity, "relative humidity"),
            "interval": read(interval, "duration"),
            "excess": read(excess, "temperature difference"),
            "auxiliary_heat": read(auxiliary_heat, "power"),
            "moment": moment,
        }
        name = demo_machine(machine) and next(one for one in DEMO_MACHINES if demo_machine(one) == demo_machine(machine))
        self.controls = {
            "machine": dropdown("machine (invented)", [(one.replace("-variable-speed", ", variable speed"), one) for one in DEMO_MACHINES], name),
            "start": buttons(list(STARTS), start, "start of the defrost"),
            "units": buttons(["SI", "IP"], units, "units"),
            **{one: slider(SCALES[one], value, units) for one, value in values.items()},
        }
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.watch(one for one in self.controls if one != "units")

    @classmethod
    def for_question(cls, variant: Variant) -> Frost:
        """The panel in the weather of a dealt question, in its units, at the end of the run.

        Raises `InputError` where the question has no weather, or one of a machine or in air that the panel has not.

        >>> from hpteach.questions import deal, read_bank
        >>> Frost.for_question(deal(read_bank().question("predict-when-frost-grows"), 1)).cycle.clean.frosting
        True
        """
        found: Operation | None = variant.weather
        if found is None or found.valve_position is not HEATING:
            raise InputError(f"question {variant.question.id!r} has no machine in heating to look at: choose one that states it in weather")
        name = next((one for one in DEMO_MACHINES if demo_machine(one) == found.machine), None)
        if name is None or found.speed_ratio != 1.0:
            raise InputError(f"question {variant.question.id!r} is of {found.machine.name}, which this panel has not: use a demo machine at its nominal speed")
        view = cls(machine=name, units=variant.system, moment=80.0)
        values = (found.outdoor.dry_bulb, found.outdoor.relative_humidity, found.indoor.dry_bulb, found.indoor.relative_humidity)
        view.set({one: SCALES[one].within(value, view.system) for one, value in zip(_AIR, values)})
        view.mark_start()
        return view

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Let frost grow in the present weather, start the defrost, then move both pictures, the tables and the reading."""
        si = {name: scale.base(self.controls[name].value, self._system) for name, scale in SCALES.items()}
        by_clock, auxiliary_heat = self.controls["start"].value == CLOCK, si["auxiliary_heat"]
        for name, used in (("interval", by_clock), ("excess", not by_clock)):
            self.controls[name].layout.display = None if used else "none"
        growth = self._growth(si)
        control: Control = TimeTemperature(interval=si["interval"]) if by_clock else Demand(excess=si["excess"])
        cycle = growth.cycle(control)
        moment = moment_at(growth, cycle, si["moment"])
        self._chart.show(growth, cycle, moment, si["moment"], auxiliary_heat, self._system, self.style)
        self._gap.show(moment, growth.machine.frost.gap, self._system, self.style)
        self.table.value = _wide(moment_table(cycle, moment, self._system))
        self.defrost_table.value = _wide(defrost_table(growth, cycle, auxiliary_heat, self._system))
        self.reading.value = paragraphs([*frost_in_words(growth, cycle, moment, by_clock, auxiliary_heat, self._system), growth.machine.name + "."])
        self.growth, self.cycle, self.moment = growth, cycle, moment

    def told(self) -> dict[str, Told]:
        """What can be predicted: the mean capacity and COP, the frost, the defrost and its price, and whether ice grows."""
        cycle = self.cycle
        if cycle is None:
            return {}
        found, share = cycle.defrost, lost(self.growth, cycle)
        ice = "grows" if self.growth.grows else "does not grow"
        per_run, duration, heat = (found.melted, found.duration, from_the_room(cycle)) if found else (0.0, 0.0, 0.0)

        def one(value: float, kind: str) -> Told:
            return Told(value, show(value, kind, self._system))

        return {
            "the mean capacity": one(cycle.capacity, "power"),
            "the mean COP": Told(cycle.cop, f"{cycle.cop:.2f}"),
            "the share of capacity lost": Told(share.all, f"{share.all:.1%}"),
            "frost on the outdoor coil": Told(ice, ice, ("grows", "does not grow")),
            "the frost that a defrost melts": one(per_run, "mass"),
            "the duration of the defrost": one(duration, "duration"),
            "the heat taken from the room": one(heat, "heat"),
            "the frost at this moment": one(self.moment.frost, "mass"),
            "the capacity at this moment": one(self.moment.capacity, "power"),
        }

    CODED = _CODED

    @property
    def scales(self) -> Mapping[str, Scale]:
        """The scales of the sliders."""
        return SCALES

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Tables and reading."""
        return (self.table, self.defrost_table, self.reading)

    def _edition(self) -> str:
        return f"{super()._edition()}|{_CODED}|{[scale.ranges for scale in SCALES.values()]}"

    def _growth(self, si: Mapping[str, float]) -> Growth:
        """How frost grows in a weather, worked out once and kept while nothing but the control and the moment changes."""
        key = (self.controls["machine"].value, *(si[name] for name in _AIR))
        if key not in self._growths:
            self.say(WORKING)
            outdoor, indoor = (self._air(si, place) for place in ("outdoor", "indoor"))
            self._growths = {key: Growth(demo_machine(key[0]), outdoor, indoor)}
        return self._growths[key]

    @staticmethod
    def _air(si: Mapping[str, float], place: str) -> MoistAir:
        return moist_air(si[f"{place}_temperature"], relative_humidity=si[f"{place}_humidity"])

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, SCALES, before, self._system)

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        c["start"].style.button_width = "120px"
        rows = [labelled(text, c[name]) for text, name in (("start of the defrost", "start"), ("units", "units"))]
        left = ipywidgets.VBox([c["machine"], *rows, *(c[name] for name in ("interval", "excess", "auxiliary_heat"))], layout=column)
        right = ipywidgets.VBox([*(c[name] for name in _AIR), c["moment"]], layout=column)
        pictures = tuple(self._pictures.values())
        for picture, flex, most in zip(pictures, ("1 1 480px", "0 1 420px"), ("860px", "470px")):
            layout = picture.image.layout
            layout.flex, layout.min_width, layout.max_width = flex, "0", most
        drawn = ipywidgets.Box([picture.image for picture in pictures], layout=WRAPPED)
        drawn.add_class("hpteach-drawn")
        tables = ipywidgets.VBox([self.table, self.defrost_table], layout={"flex": "1 1 540px", "min_width": "300px"})
        words = ipywidgets.VBox([self.reading], layout={"flex": "1 1 480px", "min_width": "300px"})
        self.sharpen(*pictures)
        self.arrange([ipywidgets.Box([left, right], layout=WRAPPED)], [drawn, ipywidgets.Box([tables, words], layout=WRAPPED)])


def _wide(table) -> str:  # noqa: ANN001
    return f'<div class="hpteach-wide" style="white-space: nowrap">{table._repr_html_()}</div>'
