"""One cycle under the hand: both charts, the state-point table and a reading in words.

What lives here: `CycleExplorer`.  What does not: the cycle itself, the charts.
"""

from __future__ import annotations

from dataclasses import dataclass

import ipywidgets

from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import Cycle, conditions_for, solve
from hpteach.diagrams import CHARTS, SCREEN, Chart, CycleTrace, Style
from hpteach.errors import InputError
from hpteach.fluids import Refrigerant, catalogue, listing, refrigerant
from hpteach.live import LiveFigure, Still
from hpteach.panels.view import CSS, View, buttons, dropdown, labelled, paragraphs, slider
from hpteach.questions import Variant
from hpteach.readouts import cautions, points_table
from hpteach.units import base_number, read, shown_number, unit_shown
from hpteach.wording import cycle_in_words, flow_in_words

_AXES = (0.135, 0.175, 0.83, 0.755)

# name: (label, kind, least, most, step) in shown numbers; the refrigerant narrows the temperatures.
_SLIDERS = {
    "saturated_suction_temperature": ("saturated suction", "temperature", {"SI": (-35.0, 25.0, 0.5), "IP": (-31.0, 77.0, 1.0)}),
    "saturated_condensing_temperature": ("saturated condensing", "temperature", {"SI": (15.0, 65.0, 0.5), "IP": (59.0, 149.0, 1.0)}),
    "superheat": ("superheat", "temperature difference", {"SI": (0.0, 25.0, 0.5), "IP": (0.0, 45.0, 1.0)}),
    "subcooling": ("subcooling", "temperature difference", {"SI": (0.0, 25.0, 0.5), "IP": (0.0, 45.0, 1.0)}),
    "isentropic_efficiency": ("isentropic efficiency", "ratio", {"SI": (0.4, 1.0, 0.01), "IP": (0.4, 1.0, 0.01)}),
}


_MOST_KEPT = 8
"""Refrigerants and unit systems whose charts stay ready; two pictures of 1.2 MB each."""


@dataclass(frozen=True)
class _Scene:
    """One chart of one refrigerant in one unit system, with what moves over it."""

    chart: Chart
    trace: CycleTrace
    still: Still


class CycleExplorer(View):
    """Refrigerant, valve position and five sliders; both charts and the table follow.

    `controls` has refrigerant, valve_position, metering, units, and the sliders
    saturated_suction_temperature, saturated_condensing_temperature, superheat, subcooling
    and isentropic_efficiency (in the shown units).  `cycle` is the last solved cycle.

    >>> view = CycleExplorer(valve_position="heating")
    >>> view.controls["superheat"].value = 8
    >>> round(view.cycle.conditions.superheat, 6)
    8.0
    """

    def __init__(
        self,
        *,
        refrigerant: str = "R-410A",
        valve_position: str = "cooling",
        evaporating: str = "7C",
        condensing: str = "45C",
        superheat: str = "5K",
        subcooling: str = "5K",
        isentropic_efficiency: float = 0.7,
        metering: str = "each-coil",
        units: str = "SI",
        style: Style = SCREEN,
    ) -> None:
        super().__init__("cycle explorer")
        unit_shown("temperature", units)
        if ValvePosition.named(valve_position) is ValvePosition.BETWEEN:
            raise InputError("a panel cannot stand between heating and cooling: name one of the two")
        self.style = style
        self.cycle: Cycle | None = None
        self._system = units
        self._pictures = {kind: LiveFigure(540, 470, scale=1.1) for kind in CHARTS}
        self._kept: dict[tuple[str, str], dict[str, _Scene]] = {}
        self.table = ipywidgets.HTML()
        values = {
            "saturated_suction_temperature": read(evaporating, "temperature"),
            "saturated_condensing_temperature": read(condensing, "temperature"),
            "superheat": read(superheat, "temperature difference"),
            "subcooling": read(subcooling, "temperature difference"),
            "isentropic_efficiency": isentropic_efficiency,
        }
        self.controls = {
            "refrigerant": dropdown("refrigerant", list(catalogue()), listing(refrigerant).name),
            "valve_position": buttons(["cooling", "heating"], valve_position, "valve position"),
            "metering": dropdown(
                "metering device",
                [("one at each coil, with check valves", "each-coil"), ("one outdoors, either way", "outdoor"), ("one indoors, either way", "indoor")],
                MeteringLayout.named(metering).value,
            ),
            "units": buttons(["SI", "IP"], units, "units"),
            **{name: self._slider(name, value) for name, value in values.items()},
        }
        self._lay_out()
        self._changed(None)
        self.controls["units"].observe(self._turn_units, "value")
        self.watch(name for name in self.controls if name != "units")

    @classmethod
    def for_question(cls, variant: Variant) -> CycleExplorer:
        """The explorer at the scenario of a dealt question, in its units.

        Raises `InputError` where the question has no cycle.

        >>> from hpteach.questions import deal, read_bank
        >>> variant = deal(read_bank().question("predict-which-coil"), 1)
        >>> CycleExplorer.for_question(variant).cycle.flow.condenser
        'outdoor coil'
        """
        if variant.cycle is None:
            raise InputError(f"question {variant.question.id!r} has no cycle to explore: choose one with a scenario")
        conditions = variant.cycle.conditions
        view = cls(
            refrigerant=variant.cycle.refrigerant,
            valve_position=conditions.valve_position.value,
            metering=variant.cycle.flow.metering_layout.value,
            units=variant.system,
        )
        view.set({name: view._within(name, getattr(conditions, name)) for name in _SLIDERS})
        return view

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Solve for the present controls, then move both charts, the table and the reading."""
        chosen = {name: self.controls[name].value for name in self.controls}
        fluid = refrigerant(chosen["refrigerant"])
        circuit = reversible_circuit(MeteringLayout(chosen["metering"]))
        path = flow(circuit, ValvePosition(chosen["valve_position"]))
        si = {
            name: round(base_number(chosen[name], kind, self._system), 10) for name, (_, kind, _) in _SLIDERS.items()
        }
        cycle = solve(fluid, conditions_for(path, **si), circuit)
        self._draw(fluid, cycle)
        self.table.value = f'<div class="hpteach-wide">{points_table(cycle, self._system)._repr_html_()}</div>'
        self.reading.value = paragraphs([*flow_in_words(path), *cycle_in_words(cycle, self._system), *cautions(fluid.listing)])
        self.table.remove_class("hpteach-faded")
        self.reading.remove_class("hpteach-faded")
        self.cycle = cycle

    def fade(self) -> None:
        """Fade pictures, table and reading: they are those of the last state that could be solved."""
        for picture in self._pictures.values():
            picture.veil()
        self.table.add_class("hpteach-faded")
        self.reading.add_class("hpteach-faded")

    def _draw(self, fluid: Refrigerant, cycle: Cycle) -> None:
        key = (fluid.name, self._system)
        scenes = self._kept.pop(key, None)
        if scenes is not None and not all(scene.chart.covers(cycle) for scene in scenes.values()):
            _take_down(scenes)
            scenes = None
        scenes = scenes or {kind: self._scene(kind, fluid, cycle) for kind in self._pictures}
        self._kept[key] = scenes  # the last shown stands last, and is the last to go
        if len(self._kept) > _MOST_KEPT:
            _take_down(self._kept.pop(next(iter(self._kept))))
        for kind, picture in self._pictures.items():
            picture.lay(scenes[kind].still)
            scenes[kind].trace.show(cycle)
            picture.draw(scenes[kind].trace.artists)

    def _scene(self, kind: str, fluid: Refrigerant, cycle: Cycle) -> _Scene:
        picture = self._pictures[kind]
        for others in picture.figure.axes:
            others.set_visible(False)
        chart = CHARTS[kind](picture.figure.add_axes(_AXES), fluid, system=self._system, style=self.style, covering=[cycle])
        return _Scene(chart, chart.add_cycle(cycle, animated=True), picture.keep())

    def _slider(self, name: str, value: float) -> ipywidgets.FloatSlider:
        least, most, step = _SLIDERS[name][2][self._system]
        return slider(self._described(name), least, most, step, self._within(name, value))

    def _within(self, name: str, value: float) -> float:
        """The shown number of a slider; refuses one that the slider would move to its end."""
        label, kind, ranges = _SLIDERS[name]
        least, most, _ = ranges[self._system]
        number = round(shown_number(value, kind, self._system), 6)
        if not least <= number <= most:
            unit = unit_shown(kind, self._system).label
            raise InputError(f"{label} of {number:g} {unit} is outside the panel's {least:g} to {most:g} {unit}: choose one within")
        return number

    def _described(self, name: str) -> str:
        label, kind, _ = _SLIDERS[name]
        unit = unit_shown(kind, self._system).label
        return f"{label}, {unit}" if unit else label

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            for name, (_, kind, ranges) in _SLIDERS.items():
                control = self.controls[name]
                value = base_number(control.value, kind, before)
                least, most, step = ranges[self._system]
                # Both ranges are the same temperatures, so that turning the units loses nothing.
                number = round(shown_number(value, kind, self._system), 6)
                with control.hold_sync():
                    control.min, control.max = min(least, control.min), max(most, control.max)
                    control.value = number
                    control.min, control.max, control.step = least, most, step
                    control.description = self._described(name)

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        left = ipywidgets.VBox([c["refrigerant"], labelled("valve position", c["valve_position"]), c["metering"], labelled("units", c["units"])], layout=column)
        right = ipywidgets.VBox([c[name] for name in _SLIDERS], layout=column)
        wrap = {"display": "flex", "flex_flow": "row wrap", "width": "100%"}
        self.children = [
            ipywidgets.HTML(CSS),
            ipywidgets.Box([left, right], layout=wrap),
            self.status,
            ipywidgets.Box([_growing(picture.image) for picture in self._pictures.values()], layout=wrap),
            ipywidgets.HTML("<i>The same state in figures and in words:</i>"),
            self.table,
            self.reading,
        ]


def _take_down(scenes: dict[str, _Scene]) -> None:
    for scene in scenes.values():
        scene.chart.axes.remove()


def _growing(image: ipywidgets.Image) -> ipywidgets.Image:
    """A picture that shares a row with its neighbour, or has a row of its own where it is narrow."""
    image.layout.flex = "1 1 440px"
    image.layout.min_width = "0"
    image.layout.max_width = "720px"
    return image
