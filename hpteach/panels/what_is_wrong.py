"""What is wrong: a machine with a fault beside itself when healthy, in charts, circuit, signs, readings and words.

What lives here: `WhatIsWrong`.  What does not: the faults (machine), the pictures, the sentences (what_is_wrong_words, fault_readouts).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import ipywidgets

from hpteach.circuit import ValvePosition
from hpteach.diagrams import SCREEN, Style
from hpteach.errors import InputError, UnknownNameError
from hpteach.fault_readouts import DIFFERENT, WAYS, hiding, stopped, trouble_cautions, trouble_in_words, trouble_tables
from hpteach.fluids import MoistAir, listing, moist_air
from hpteach.machine import DEMO_MACHINES, Machine, demo_machine
from hpteach.machine.faults import KINDS, Fault, Kind, fault
from hpteach.machine.metering import Metering
from hpteach.machine.trouble import Trouble, trouble
from hpteach.panels.foresight import Told
from hpteach.panels.parts import WRAPPED, buttons, dropdown, grid_number, labelled, paragraphs, readout_format, set_slider
from hpteach.panels.scales import Scale, slider, turn_scales
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.panels.weather import SCALES as WEATHER_SCALES
from hpteach.panels.weather import USUAL
from hpteach.panels.what_is_wrong_pictures import WrongPictures
from hpteach.panels.what_is_wrong_words import FAULTS, LEFT_OUT, ORIFICE, SHOWN, VALVE, WORKING, alike, given, reading_cautions, scale_of, signs_told, why
from hpteach.questions import Variant
from hpteach.readouts import cautions
from hpteach.tables import Table
from hpteach.units import STANDARD_ATMOSPHERE, read

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
_CALLED = {COOLING.value: COOLING, HEATING.value: HEATING}

_ORIFICE_SHARE = 0.6
"""Opening of a fixed orifice over that of the valve in its place: about what the valve is open in usual weather (sized by trial)."""

_FINE = 1000
_EDGE = 1e-4
"""Share by which a size that came through other units may lie beyond an end, and is the end."""

_CODED_PRESSURE = (11.0, 117.0, 1.0)
"""psi; reaches over both ends of the slider in bar."""


@cache
def machine_of(name: str, metering: str) -> Machine:
    """A demo machine (invented) with its valves, or with fixed orifices in their place.

    >>> machine_of("R-32", "fixed orifice").indoor_metering.holds_superheat
    False
    """
    machine = demo_machine(name)
    if metering == VALVE:
        return machine
    devices = {
        place: Metering(kind="fixed orifice", opening=_ORIFICE_SHARE * getattr(machine, place).opening) for place in ("indoor_metering", "outdoor_metering")
    }
    return replace(machine, name=f"{machine.name}, with fixed orifices", **devices)


class WhatIsWrong(View):
    """A demo machine (invented), what is called for, the weather, a fault and its size; charts, circuit, signs, readings and words follow.

    `controls` has machine, metering (thermostatic valve or fixed orifice), called, fault (an id of `machine.faults.KINDS`, or "none"),
    alike ("shown" works out which other faults look the same: some seconds once in a weather), units, and the sliders
    size and outdoor_temperature.  Size goes as far as the fault may, in its unit; each fault begins at its usual size.
    `found` is the last `Trouble`.

    >>> view = WhatIsWrong(fault="undercharge")
    >>> view.found.signs["subcooling"].way, view.controls["size"].value
    ('down', 25.0)
    """

    KEYS = {
        "m": "machine", "d": "metering", "c": "called", "f": "fault", "s": "size", "t": "outdoor_temperature", "a": "alike", "u": "units",
    }  # fmt: skip

    def __init__(
        self,
        *,
        machine: str = "R-410A",
        metering: str = VALVE,
        called: str = "cooling",
        outdoor: str | None = None,
        fault: str = "undercharge",
        size: float | None = None,
        look_alikes: bool = False,
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("what is wrong")
        units = self.take_units(units)
        position = ValvePosition.named(called)
        if position is ValvePosition.BETWEEN:
            raise InputError("a position between the seats cannot be called for: call for heating or cooling, and name the fault valve_between")
        if metering not in (VALVE, ORIFICE):
            raise UnknownNameError.among("metering device", metering, (VALVE, ORIFICE))
        if fault not in FAULTS:
            raise UnknownNameError.among("fault", fault, FAULTS)
        name = demo_machine(machine) and next(one for one in DEMO_MACHINES if demo_machine(one) == demo_machine(machine))
        self.style = style
        self.found: Trouble | None = None
        self._system, self._position = units, position
        self._airs = {one: _usual_air(one) for one in _CALLED.values()}  # outdoor humidity, air indoors, air pressure
        self._outdoors = {one: USUAL[units][one]["outdoor_temperature"] for one in _CALLED.values()}
        if outdoor is not None:
            self._outdoors[position] = read(outdoor, "temperature")
        self._pictures = WrongPictures()
        self.table, self.readings = ipywidgets.HTML(), ipywidgets.HTML()
        self._kind: Kind | None = KINDS.get(fault)
        self.controls = {
            "machine": dropdown("machine (invented)", [(one.replace("-variable-speed", ", variable speed"), one) for one in DEMO_MACHINES], name),
            "metering": buttons([VALVE, ORIFICE], metering, "metering device"),
            "called": buttons([COOLING.value, HEATING.value], position.value, "called for"),
            "fault": dropdown("what is wrong", [(words, id) for id, words in FAULTS.items()], fault),
            "alike": buttons([LEFT_OUT, SHOWN], SHOWN if look_alikes else LEFT_OUT, "what looks alike"),
            "units": buttons(["SI", "IP"], units, "units"),
            "size": slider(self._scales()["size"], self._checked(size), units),
            "outdoor_temperature": slider(self._scales()["outdoor_temperature"], self._outdoors[position], units),
        }
        self._allow_size()
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        for control, act in (("called", self._turn_called), ("fault", self._change_fault)):
            self.controls[control].observe(act, "value")
        self.watch(one for one in self.controls if one not in ("units", "called", "fault"))

    @classmethod
    def for_question(cls, variant: Variant) -> WhatIsWrong:
        """The panel at the machine, weather and fault of a dealt question, in its units.

        Raises `InputError` where the question has no fault, or one of a machine that the panel has not.
        """
        hidden, found = getattr(variant, "fault", None), getattr(variant, "weather", None)
        if hidden is None or found is None:
            raise InputError(f"question {variant.question.id!r} has no fault to look at: choose one that states a machine with a fault in weather")
        choices = ((name, metering) for name in DEMO_MACHINES for metering in (VALVE, ORIFICE))
        name, metering = next((one for one in choices if _same(machine_of(*one), found.machine)), (None, None))
        if name is None:
            raise InputError(f"question {variant.question.id!r} is of {found.machine.name}, which is none of the panel's machines: use one of {', '.join(DEMO_MACHINES)}")
        view = cls(machine=name, metering=metering, called=found.valve_position.value, fault=hidden.kind.id, size=hidden.size, units=variant.system)
        view._airs[view._position] = (found.outdoor.relative_humidity, found.indoor, found.outdoor.pressure)
        view.set({"outdoor_temperature": view._scales()["outdoor_temperature"].within(found.outdoor.dry_bulb, view.system)})
        view.mark_start()
        return view

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    @property
    def fault(self) -> Fault | None:
        """The fault of the controls with its size; None for a healthy machine.  Raises `LimitError` for a size beyond what it may be."""
        if self._kind is None:
            return None
        if self._kind.size is None:
            return fault(self._kind.id)
        size = self._scales()["size"].base(self.controls["size"].value, self._system)
        for end in (self._kind.least, self._kind.most):
            size = end if abs(size / end - 1.0) < _EDGE else size
        return fault(self._kind.id, size)

    def refresh(self) -> None:
        """Run the machine healthy and with the fault, then move pictures, tables and reading."""
        humidity, indoor, pressure = self._airs[self._position]
        temperature = self._scales()["outdoor_temperature"].base(self.controls["outdoor_temperature"].value, self._system)
        machine = machine_of(self.controls["machine"].value, self.controls["metering"].value)
        one, outdoor = self.fault, moist_air(temperature, relative_humidity=humidity, pressure=pressure)
        found = trouble(machine, self._position, outdoor, indoor, [one] if one else [])
        looks = self._look_alikes(found, one)
        self._pictures.draw(found, system=self._system, style=self.style)
        tables = trouble_tables(found, self._system, atmosphere=pressure)
        self.table.value, self.readings.value = (_laid(table) for table in tables)
        reasons = why(found, one, self._system) if one else ()
        self.reading.value = paragraphs([
            given(found, self._system), *trouble_in_words(found, self._system), *reasons, *looks,
            *dict.fromkeys((*trouble_cautions(found), *reading_cautions(), *cautions(listing(machine.refrigerant)))), machine.name + ".",
        ])  # fmt: skip
        self.found = found

    def note(self) -> str:
        """Which switch stops the machine, or that the fault hides."""
        if self.found is None or not self.found.faults:
            return ""
        hidden = [hiding(self.found, one) for one in self.found.faults if not self.found.shows(one)]
        return " ".join((*stopped(self.found, self._system), *hidden))

    def told(self) -> dict[str, Told]:
        """What can be predicted: the quantities of the signs, which move only by what counts as a sign."""
        return {} if self.found is None else signs_told(self.found, self._system)

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider's places in a picture code, in shown numbers, for the present fault and what is called for."""
        if name == "size" and self._system == "IP" and self._kind is not None and self._kind.sized_by == "pressure":
            return _CODED_PRESSURE
        return super().span(name)

    @property
    def scales(self) -> Mapping[str, Scale]:
        """The scales of the sliders, for the present fault and what is called for."""
        return self._scales()

    def _edition(self) -> str:
        return f"{super()._edition()}|{_CODED_PRESSURE}|{self._airs}|{[scale_of(KINDS.get(id)).ranges for id in FAULTS]}"

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Both tables and the reading."""
        return (self.table, self.readings, self.reading)

    def _scales(self) -> Mapping[str, Scale]:
        """How the sliders go: that of the size by the fault, that of the weather by what is called for."""
        return {"size": scale_of(self._kind), "outdoor_temperature": WEATHER_SCALES[self._position]["outdoor_temperature"]}

    def _checked(self, size: float | None) -> float:
        """The size to begin with; raises what `faults.fault` does."""
        if self._kind is None:
            if size is not None:
                raise InputError(f"a healthy machine has no size of a fault: leave {size:g} out, or name a fault")
            return 0.0
        return fault(self._kind.id, size).size or 0.0

    def _look_alikes(self, found: Trouble, one: Fault | None) -> tuple[str, ...]:
        if self.controls["alike"].value != SHOWN:
            return ()
        if self.found is None or _weather(self.found) != _weather(found):
            self.say(WORKING)
        return alike(found, one)

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, self._scales(), before, self._system)

    def _turn_called(self, change: dict) -> None:
        """The weather that was set for the other comes back."""
        with self.held():
            self._outdoors[self._position] = self._scales()["outdoor_temperature"].base(self.controls["outdoor_temperature"].value, self._system)
            self._position = _CALLED[change["new"]]
            self._put("outdoor_temperature", self._outdoors[self._position])

    def _change_fault(self, change: dict) -> None:
        """A fault begins at its usual size."""
        with self.held():
            self._kind = KINDS.get(change["new"])
            self._put("size", (self._kind and self._kind.size) or 0.0)
            self._allow_size()

    def _put(self, name: str, value: float) -> None:
        """Give a slider the range of its scale and a value in base units, as a picture code can say it."""
        scale, control = self._scales()[name], self.controls[name]
        least, _, step = self.span(name)
        number = round(least + grid_number(scale.shown(value, self._system), least, step, _FINE) * step / _FINE, 6)
        with control.hold_sync():
            set_slider(control, *scale.reach(number, self._system), number)
            control.description, control.readout_format = scale.described(self._system), readout_format(control.step)

    def _allow_size(self) -> None:
        self.controls["size"].disabled = self._kind is None or self._kind.size is None

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        for name in ("metering", "alike"):
            c[name].style.button_width = "auto"
        rows = [labelled(text, c[name]) for text, name in (("metering device", "metering"), ("called for", "called"), ("units", "units"))]
        left = ipywidgets.VBox([c["machine"], *rows], layout=column)
        right = ipywidgets.VBox([c["fault"], c["size"], c["outdoor_temperature"], labelled("what looks alike", c["alike"])], layout=column)
        signs = ipywidgets.VBox([self.table], layout={"flex": "1 1 400px", "min_width": "300px", "padding": "0 0 0 10px"})
        words = ipywidgets.VBox([self.reading], layout={"flex": "1 1 520px", "min_width": "300px", "padding": "0 0 0 10px"})
        read_off = ipywidgets.VBox([self.readings], layout={"flex": "1 1 480px", "min_width": "300px"})
        self.sharpen(*self._pictures.live)
        drawing = ipywidgets.Box([self._pictures.circuit.image], layout={"display": "flex", "flex": "1 1 400px", "min_width": "0", "max_width": "720px"})
        beside = [ipywidgets.Box([drawing, signs], layout=WRAPPED), ipywidgets.Box([read_off, words], layout=WRAPPED)]
        self.arrange([ipywidgets.Box([left, right], layout=WRAPPED)], [self._pictures.row, *beside])


def _laid(table: Table) -> str:
    """A table in which no arrow parts from its word."""
    html = table._repr_html_()
    for way in (*WAYS.values(), DIFFERENT):
        html = html.replace(way, way.replace(" ", "&nbsp;"))
    return f'<div class="hpteach-wide">{html}</div>'


def _usual_air(position: ValvePosition) -> tuple[float, MoistAir, float]:
    usual = USUAL["SI"][position]
    indoor = moist_air(usual["indoor_temperature"], relative_humidity=usual["indoor_humidity"])
    return usual["outdoor_humidity"], indoor, STANDARD_ATMOSPHERE


def _weather(found: Trouble) -> tuple:
    """What the readings of all faults belong to."""
    return found.healthy.machine, found.called, found.healthy.outdoor, found.healthy.indoor


def _same(one: Machine, other: Machine) -> bool:
    """Whether two machines are the same but for what they are called."""
    return replace(one, name="", note="") == replace(other, name="", note="")
