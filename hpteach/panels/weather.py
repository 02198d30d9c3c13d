"""A machine in weather under the hand: its cycle, its capacity beside what the house needs, the table and a reading in words.

What lives here: `Weather`.  What does not: the balance of the machine (machine), the charts, the sentences (weather_words).
"""

from __future__ import annotations

from collections.abc import Mapping

import ipywidgets

from hpteach.circuit import ValvePosition
from hpteach.diagrams import SCREEN, Style
from hpteach.errors import InputError
from hpteach.fluids import MoistAir, listing, moist_air
from hpteach.fluids.humid_air import HIGHEST_PRESSURE, LOWEST_PRESSURE
from hpteach.machine import DEMO_MACHINES, Operation, demo_machine, operate
from hpteach.machine.sweep import DESIGN_TEMPERATURES, BalancePoint, LoadLine, Sweep, sweep
from hpteach.panels.foresight import Told
from hpteach.panels.parts import WRAPPED, buttons, dropdown, grid_number, labelled, paragraphs, set_slider
from hpteach.panels.scales import Scale, slider, turn_scales
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.panels.weather_pictures import WeatherPictures
from hpteach.panels.weather_words import limits_in_words, weather_in_words, weather_table
from hpteach.questions import Variant
from hpteach.readouts import cautions
from hpteach.units import read, show

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
_PLACES = {HEATING.value: HEATING, COOLING.value: COOLING}

_INDOOR = Scale("indoor temperature", "temperature", {"SI": (15.0, 30.0, 0.5), "IP": (59.0, 86.0, 1.0)})
_MOIST_OUT = Scale("humidity outdoors", "relative humidity", {"SI": (10.0, 100.0, 1.0), "IP": (10.0, 100.0, 1.0)})
_MOIST_IN = Scale("humidity indoors", "relative humidity", {"SI": (20.0, 80.0, 1.0), "IP": (20.0, 80.0, 1.0)})
_LOAD = Scale("design load", "power", {"SI": (2.0, 16.0, 0.5), "IP": (7000.0, 54000.0, 1000.0)})
_SPEED = Scale("speed, share of nominal", "ratio", {"SI": (0.35, 1.5, 0.05), "IP": (0.35, 1.5, 0.05)})


def _scales(outdoor: Mapping[str, tuple[float, float, float]]) -> dict[str, Scale]:
    return {
        "outdoor_temperature": Scale("outdoor temperature", "temperature", outdoor),
        "outdoor_humidity": _MOIST_OUT,
        "indoor_temperature": _INDOOR,
        "indoor_humidity": _MOIST_IN,
        "speed": _SPEED,
        "design_load": _LOAD,
    }


SCALES: Mapping[ValvePosition, Mapping[str, Scale]] = {
    HEATING: _scales({"SI": (-25.0, 20.0, 0.5), "IP": (-13.0, 68.0, 1.0)}),
    COOLING: _scales({"SI": (15.0, 50.0, 0.5), "IP": (59.0, 122.0, 1.0)}),
}
"""What the sliders measure in each position of the valve."""

def _usual(*shown: float, system: str) -> dict[str, float]:
    names = ("outdoor_temperature", "outdoor_humidity", "indoor_temperature", "indoor_humidity", "design_load")
    return {name: SCALES[HEATING][name].base(number, system) for name, number in zip(names, shown, strict=True)}


USUAL: Mapping[str, Mapping[ValvePosition, Mapping[str, float]]] = {
    "SI": {HEATING: _usual(7.0, 87.0, 20.0, 50.0, 8.0, system="SI"), COOLING: _usual(35.0, 40.0, 27.0, 47.0, 8.0, system="SI")},
    "IP": {HEATING: _usual(47.0, 73.0, 70.0, 50.0, 27000.0, system="IP"), COOLING: _usual(95.0, 40.0, 80.0, 51.0, 27000.0, system="IP")},
}
"""Usual weather by unit system, in SI: 7/6 C and 35/24 C outdoors, 20 C and 27/19 C indoors, of EN 14511 and Regulation (EU) 206/2012; 47/43 F and 95/75 F
outdoors, 70 F and 80/67 F indoors, of AHRI 210/240 (from memory); wet bulbs as whole per cents of humidity.  The design load is invented."""

_SWEPT = {
    HEATING: tuple(273.15 + one for one in (-25.0, -21.0, -17.0, -13.0, -9.0, -5.0, -1.0, 3.0, 7.0, 11.0, 15.0, 20.0)),
    COOLING: tuple(273.15 + one for one in (15.0, 18.5, 22.0, 25.5, 28.5, 32.0, 35.0, 38.0, 41.0, 44.0, 47.0, 50.0)),
}
"""K outdoors at which the machine is balanced for its curve; the usual weather of the reader's system comes in between."""

_MOST_SWEEPS = 24
_CODED = {("design_load", "IP"): (6000.0, 55000.0, 1000.0)}
"""Spans of a picture code that reach further than the slider: a load from an end of the other unit system has a place as well."""

_FINE = 1000
"""Parts of a slider's step to which a weather that comes back is told, as in a picture code."""

WORKING = "Working out the curve of this choice: the machine is balanced at a dozen outdoor temperatures …"


class Weather(View):
    """A demo machine (invented), the weather, and what the house needs; the cycle, the capacity curve, table and words follow.

    `controls` has machine, valve_position, chart, units, and the sliders outdoor_temperature, outdoor_humidity,
    indoor_temperature, indoor_humidity, speed (share of the nominal one, for a machine of variable speed) and design_load, in the shown
    units.  Each position of the valve has a weather and a load of its own, which turning the valve brings back.
    The air's pressure stays as it was at the start; gauges count from it.
    `operation` is the last balance, `sweep` its curve, `balance` the balance point.

    >>> view = Weather(machine="R-290")
    >>> view.controls["outdoor_temperature"].value = -7
    >>> view.operation.frosting
    True
    """

    KEYS = {
        "m": "machine", "v": "valve_position", "c": "chart", "u": "units", "t": "outdoor_temperature", "h": "outdoor_humidity",
        "i": "indoor_temperature", "j": "indoor_humidity", "s": "speed", "d": "design_load",
    }  # fmt: skip

    def __init__(
        self,
        *,
        machine: str = "R-32",
        valve_position: str = "heating",
        outdoor: str | None = None,
        outdoor_humidity: str | None = None,
        indoor: str | None = None,
        indoor_humidity: str | None = None,
        speed: float = 1.0,
        design_load: str | None = None,
        air_pressure: str = "1atm",
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("weather")
        units = self.take_units(units)
        position = ValvePosition.named(valve_position)
        if position is ValvePosition.BETWEEN:
            raise InputError("a panel cannot stand between heating and cooling: name one of the two")
        self.style = style
        self.operation: Operation | None = None
        self.sweep: Sweep | None = None
        self.balance = BalancePoint("covers none")
        self._system, self._position, self._air = units, position, _air_of(air_pressure, units)
        self._weather = {one: {**USUAL[units][one], "speed": speed} for one in USUAL[units]}  # of each position, in SI
        given = {
            "outdoor_temperature": (outdoor, "temperature"),
            "outdoor_humidity": (outdoor_humidity, "relative humidity"),
            "indoor_temperature": (indoor, "temperature"),
            "indoor_humidity": (indoor_humidity, "relative humidity"),
            "design_load": (design_load, "power"),
        }
        self._weather[position] |= {name: read(text, kind) for name, (text, kind) in given.items() if text is not None}
        name = demo_machine(machine) and next(one for one in DEMO_MACHINES if demo_machine(one) == demo_machine(machine))
        self._pictures = WeatherPictures()
        self._sweeps: dict[tuple, Sweep] = {}
        self._points: dict[str, object] = {}
        self.table = ipywidgets.HTML()
        self.controls = {
            "machine": dropdown("machine (invented)", [(one.replace("-variable-speed", ", variable speed"), one) for one in DEMO_MACHINES], name),
            "valve_position": buttons([COOLING.value, HEATING.value], position.value, "valve position"),
            "chart": buttons([("p over h", "pressure-enthalpy"), ("T over s", "temperature-entropy")], "pressure-enthalpy", "chart"),
            "units": buttons(["SI", "IP"], units, "units"),
            **{one: slider(scale, self._weather[position][one], units) for one, scale in SCALES[position].items()},
        }
        self._allow_speeds()
        if self.controls["speed"].value != speed:
            raise InputError(f"speed of {speed:g} of the nominal one cannot be, as the compressor of {name} has one speed: use 1, or the machine of variable speed")
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.controls["valve_position"].observe(self._turn_valve, "value")
        self.controls["machine"].observe(self._change_machine, "value")
        self.watch(one for one in self.controls if one not in ("units", "valve_position", "machine"))

    @classmethod
    def for_question(cls, variant: Variant) -> Weather:
        """The panel at the weather of a dealt question, in its units.

        Raises `InputError` where the question has no weather, or one of a machine or in air that the panel has not.
        """
        found: Operation | None = getattr(variant, "weather", None)
        if found is None:
            raise InputError(f"question {variant.question.id!r} has no weather to look at: choose one that states a machine in weather")
        name = next((one for one in DEMO_MACHINES if demo_machine(one) == found.machine), None)
        if name is None:
            raise InputError(f"question {variant.question.id!r} is of {found.machine.name}, which is none of the demo machines: use one of {', '.join(DEMO_MACHINES)}")
        view = cls(machine=name, valve_position=found.valve_position.value, units=variant.system)
        values = {
            "outdoor_temperature": found.outdoor.dry_bulb,
            "outdoor_humidity": found.outdoor.relative_humidity,
            "indoor_temperature": found.indoor.dry_bulb,
            "indoor_humidity": found.indoor.relative_humidity,
            "speed": found.speed_ratio,
        }
        view._air = found.outdoor.pressure
        view.set({one: SCALES[found.valve_position][one].within(value, view.system) for one, value in values.items()})
        view.mark_start()
        return view

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Balance the machine in the present weather, then move both pictures, the table and the reading."""
        machine = demo_machine(self.controls["machine"].value)
        si = self._values()
        outdoor = moist_air(si["outdoor_temperature"], relative_humidity=si["outdoor_humidity"], pressure=self._air)
        indoor = moist_air(si["indoor_temperature"], relative_humidity=si["indoor_humidity"], pressure=self._air)
        found = operate(machine, self._position, outdoor, indoor, speed_ratio=si["speed"])
        load = LoadLine(si["design_load"], DESIGN_TEMPERATURES[self._position])
        choice = self._choice(si)
        curve = self._swept(choice, si, indoor)
        balance = self._balance_point(choice, curve, load)
        usual = next((one for one in curve.operations if abs(one.outdoor.dry_bulb - self._usual_outdoors) < 1e-6), None)
        self._pictures.draw(
            found, curve, load, balance, kind=self.controls["chart"].value, window=_SWEPT[self._position][:: len(_SWEPT[self._position]) - 1],
            system=self._system, style=self.style,
        )  # fmt: skip
        self.table.value = f'<div class="hpteach-wide">{weather_table(found, usual, load, self._system)._repr_html_()}</div>'
        self.reading.value = paragraphs(
            [*weather_in_words(found, usual, curve, load, balance, self._system), *cautions(listing(machine.refrigerant)), machine.name + "."]
        )
        self.operation, self.sweep, self.balance = found, curve, balance

    def note(self) -> str:
        """The limits that are reached."""
        return "" if self.operation is None else " ".join(limits_in_words(self.operation, self._system))

    def told(self) -> dict[str, Told]:
        """What can be predicted: capacity, power, COP, pressures, discharge and supply air, and whether ice grows."""
        found = self.operation
        if found is None:
            return {}
        kinds = {
            "the capacity": (found.capacity, "power"),
            "the power of compressor and fans": (found.power, "electric power"),
            "the suction pressure": (found.cycle.point("1").pressure, "gauge pressure"),
            "the discharge pressure": (found.cycle.point("2").pressure, "gauge pressure"),
            "the discharge temperature": (found.discharge_temperature, "temperature"),
            "the temperature of the supply air": (found.supply_air.dry_bulb, "temperature"),
        }
        ice = "grows" if found.frosting else "does not grow"
        return {
            **{name: Told(value, show(value, kind, self._system, atmosphere=self._air)) for name, (value, kind) in kinds.items()},
            "the COP": Told(found.cop, f"{found.cop:.2f}"),
            "the pressure ratio": Told(found.pressure_ratio, f"{found.pressure_ratio:.2f}"),
            f"ice on the {found.boiling_coil.place}": Told(ice, ice, ("grows", "does not grow")),
        }

    CODED = _CODED

    @property
    def scales(self) -> Mapping[str, Scale]:
        """The scales of the sliders, for the present valve position."""
        return SCALES[self._position]

    def _edition(self) -> str:
        return f"{super()._edition()}|{_CODED}|{self._air}|{[scale.ranges for scales in SCALES.values() for scale in scales.values()]}"

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table and reading."""
        return (self.table, self.reading)

    def _values(self) -> dict[str, float]:
        return {name: scale.base(self.controls[name].value, self._system) for name, scale in SCALES[self._position].items()}

    @property
    def _usual_outdoors(self) -> float:
        """The outdoor temperature (K) with which the present weather is compared."""
        return USUAL[self._system][self._position]["outdoor_temperature"]

    def _choice(self, si: Mapping[str, float]) -> tuple:
        """What a curve belongs to: all but the outdoor temperature and the load."""
        return (self.controls["machine"].value, self._position, self._usual_outdoors, *(si[one] for one in ("outdoor_humidity", "indoor_temperature", "indoor_humidity", "speed")))

    def _swept(self, choice: tuple, si: Mapping[str, float], indoor: MoistAir) -> Sweep:
        """The curve of a choice, worked out once and kept."""
        kept = self._sweeps.pop(choice, None)
        if kept is None:
            self.say(WORKING)
            kept = sweep(
                demo_machine(choice[0]), self._position, {*_SWEPT[self._position], self._usual_outdoors},
                relative_humidity=si["outdoor_humidity"], indoor=indoor, speed_ratio=si["speed"], pressure=self._air,
            )  # fmt: skip
        self._sweeps[choice] = kept
        if len(self._sweeps) > _MOST_SWEEPS:
            self._sweeps.pop(next(iter(self._sweeps)))
        return kept

    def _balance_point(self, choice: tuple, curve: Sweep, load: LoadLine) -> BalancePoint:
        if self._points.get("of") != (choice, load):
            self._points = {"of": (choice, load), "point": curve.balance_point(load)}
        return self._points["point"]

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, SCALES[self._position], before, self._system)

    def _turn_valve(self, change: dict) -> None:
        """The weather of the other position comes back; the speed stays."""
        with self.held():
            self._weather[self._position] = self._values()
            speed, self._position = self._weather[self._position]["speed"], _PLACES[change["new"]]
            for name, scale in SCALES[self._position].items():
                number = scale.shown(speed if name == "speed" else self._weather[self._position][name], self._system)
                least, _, step = self.span(name)
                number = round(least + grid_number(number, least, step, _FINE) * step / _FINE, 6)  # as a picture code can say it
                set_slider(self.controls[name], *scale.reach(number, self._system), number)

    def _change_machine(self, _change: object) -> None:
        with self.held():
            self._allow_speeds()

    def _allow_speeds(self) -> None:
        """A compressor of one speed runs at that one."""
        compressor, control = demo_machine(self.controls["machine"].value).compressor, self.controls["speed"]
        fixed = getattr(compressor, "least_speed_ratio", 1.0) == getattr(compressor, "most_speed_ratio", 1.0)
        control.disabled = fixed
        if fixed:
            control.value = 1.0

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        rows = [labelled(text, c[name]) for text, name in (("valve position", "valve_position"), ("chart of the cycle", "chart"), ("units", "units"))]
        left = ipywidgets.VBox([c["machine"], *rows, c["speed"]], layout=column)
        right = ipywidgets.VBox([c[name] for name in ("outdoor_temperature", "outdoor_humidity", "indoor_temperature", "indoor_humidity", "design_load")], layout=column)
        table = ipywidgets.VBox([self.table], layout={"flex": "1 1 380px", "min_width": "300px"})
        words = ipywidgets.VBox([self.reading], layout={"flex": "1 1 520px", "min_width": "300px"})
        self.sharpen(*self._pictures.live)
        self.arrange([ipywidgets.Box([left, right], layout=WRAPPED)], [self._pictures.row, ipywidgets.Box([table, words], layout=WRAPPED)])


def _air_of(text: str, system: str) -> float:
    """The air's pressure (Pa); raises `InputError` for one at which moist air is not computed."""
    air = read(text, "pressure")
    if not LOWEST_PRESSURE <= air <= HIGHEST_PRESSURE:
        given, least, most = (show(value, "pressure", system) for value in (air, LOWEST_PRESSURE, HIGHEST_PRESSURE))
        raise InputError(f"air pressure of {text} is {given} absolute, outside the panel's {least} to {most}: choose one within, such as 1atm or 0.84bar")
    return air
