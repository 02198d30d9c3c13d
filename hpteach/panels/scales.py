"""What a slider measures: its quantity, and how far it goes in each unit system.

What lives here: `Scale`, those of a cycle's conditions, and turning sliders to the other system.
What does not: the widgets themselves (parts).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import ipywidgets

from hpteach.errors import InputError
from hpteach.panels.parts import readout_format, set_slider
from hpteach.panels.parts import slider as plain_slider
from hpteach.units import base_number, shown_number, unit_shown


@dataclass(frozen=True)
class Scale:
    """A label, a kind of quantity, and least, most and step by unit system, in shown numbers; SI says how far it reaches.

    >>> superheat = CYCLE_SCALES["superheat"]
    >>> superheat.described("IP"), superheat.within(5.0, "IP"), superheat.base(9.0, "IP")
    ('superheat, °F', 9.0, 5.0)
    """

    label: str
    kind: str
    ranges: Mapping[str, tuple[float, float, float]]

    def described(self, system: str) -> str:
        """What stands before the slider: its quantity and unit."""
        unit = unit_shown(self.kind, system).label
        return f"{self.label}, {unit}" if unit else self.label

    def shown(self, value: float, system: str) -> float:
        """The shown number of a value in base units."""
        return round(shown_number(value, self.kind, system), 6)

    def base(self, number: float, system: str) -> float:
        """The value in base units of a shown number."""
        return round(base_number(number, self.kind, system), 10)

    def within(self, value: float, system: str, where: str = "") -> float:
        """The shown number of a value; raises `InputError` for one that the slider would have to move to its end.

        `where` says in the refusal of what the value is, such as "in heating".
        """
        least, most, _ = self.ranges["SI"]
        number = self.shown(value, system)
        if not least <= self.shown(value, "SI") <= most:
            least, most, _ = self.ranges[system]
            unit = unit_shown(self.kind, system).label
            raise InputError(f"{self.label} of {number:g} {unit}{where and ' ' + where} is outside the panel's {least:g} to {most:g} {unit}: choose one within")
        return number

    def reach(self, number: float, system: str) -> tuple[float, float, float]:
        """Least, most and step of a slider that holds a number; an end of the other system can lie just beyond, and stretches it."""
        least, most, step = self.ranges[system]
        return min(least, number), max(most, number), step


CYCLE_SCALES: Mapping[str, Scale] = {
    "saturated_suction_temperature": Scale("saturated suction", "temperature", {"SI": (-35.0, 25.0, 0.5), "IP": (-31.0, 77.0, 1.0)}),
    "saturated_condensing_temperature": Scale("saturated condensing", "temperature", {"SI": (15.0, 65.0, 0.5), "IP": (59.0, 149.0, 1.0)}),
    "superheat": Scale("superheat", "temperature difference", {"SI": (0.0, 25.0, 0.5), "IP": (0.0, 45.0, 1.0)}),
    "subcooling": Scale("subcooling", "temperature difference", {"SI": (0.0, 25.0, 0.5), "IP": (0.0, 45.0, 1.0)}),
    "isentropic_efficiency": Scale("isentropic efficiency", "ratio", {"SI": (0.4, 1.0, 0.01), "IP": (0.4, 1.0, 0.01)}),
}
"""The conditions of a cycle; the refrigerant narrows the temperatures."""


def slider(scale: Scale, value: float, system: str) -> ipywidgets.FloatSlider:
    """A slider of a scale at a value in base units; raises `InputError` for one that it does not reach."""
    number = scale.within(value, system)
    return plain_slider(scale.described(system), *scale.reach(number, system), number)


def turn_scales(controls: Mapping[str, ipywidgets.Widget], scales: Mapping[str, Scale], before: str, after: str) -> None:
    """Turn sliders to the other unit system: the same quantities, in its numbers, steps and names."""
    for name, scale in scales.items():
        control = controls[name]
        number = scale.shown(scale.base(control.value, before), after)
        with control.hold_sync():
            set_slider(control, *scale.reach(number, after), number)
            control.description = scale.described(after)
            control.readout_format = readout_format(control.step)
