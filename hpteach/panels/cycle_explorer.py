"""One cycle under the hand: both charts, the state-point table and a reading in words.

What lives here: `CycleExplorer`.  What does not: the cycle itself, the charts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import ipywidgets

from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import Cycle, conditions_for, solve
from hpteach.diagrams import CHARTS, PRESSURE_UNITS, SCREEN, Chart, CycleTrace, EnergyTrace, Style, axes_rectangle, cycle_path
from hpteach.errors import HpteachError, InputError
from hpteach.fluids import Refrigerant, catalogue, listing, refrigerant
from hpteach.live import LiveFigure, Picture, Still
from hpteach.panels.foresight import Told, changed_since, cycle_told
from hpteach.panels.parts import WRAPPED, buttons, chart_words, dropdown, labelled, paragraphs
from hpteach.panels.scales import CYCLE_SCALES, slider, turn_scales
from hpteach.panels.shelf import Shelf
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.readouts import cautions, points_table
from hpteach.units import read, sentence
from hpteach.wording import cycle_in_words, flow_in_words

_MOST_KEPT = 8
"""Refrigerants, unit systems and styles whose charts stay ready; each is two pictures of 2.4 MB (one copy to restore, one to compare
with), and of more than three times that on a screen of high density."""

_NOTHING_KEPT = "Nothing is kept: only a cycle that is shown can be, so mend the controls first."


@dataclass(frozen=True)
class _Scene:
    """One chart of one refrigerant in one unit system, with what moves over it."""

    chart: Chart
    trace: CycleTrace
    kept: CycleTrace
    energies: EnergyTrace
    still: Still


class CycleExplorer(View):
    """Refrigerant, valve position and five sliders; both charts and the table follow.

    `controls` has refrigerant, valve_position, metering, units, and the sliders
    saturated_suction_temperature, saturated_condensing_temperature, superheat, subcooling
    and isentropic_efficiency (in the shown units); energies ("off" or "on": heat and work drawn as lengths and
    areas), pressure_axis, and keep: "on" keeps the cycle shown at that moment under the ones that follow.
    `cycle` is the last solved cycle, `kept` the kept one, None where the present refrigerant has no such cycle.

    >>> view = CycleExplorer(valve_position="heating")
    >>> view.controls["superheat"].value = 8
    >>> round(view.cycle.conditions.superheat, 6)
    8.0
    """

    KEYS = {
        "r": "refrigerant", "v": "valve_position", "m": "metering", "u": "units", "e": "saturated_suction_temperature",
        "c": "saturated_condensing_temperature", "h": "superheat", "s": "subcooling", "i": "isentropic_efficiency", "a": "energies", "k": "keep", "p": "pressure_axis",
    }  # fmt: skip

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
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("cycle explorer")
        units = self.take_units(units)
        if ValvePosition.named(valve_position) is ValvePosition.BETWEEN:
            raise InputError("a panel cannot stand between heating and cooling: name one of the two")
        self.style = style
        self.cycle: Cycle | None = None
        self.kept: Cycle | None = None
        self._before: dict[str, float] = {}
        self._note = self._not_kept = ""
        self._taking = False  # whether a picture code or the start is being taken up
        self._system = units
        self._pictures = {kind: LiveFigure(540, 470, scale=1.1, words=chart_words(kind)) for kind in CHARTS}
        self._kept: Shelf[dict[str, _Scene]] = Shelf(_MOST_KEPT, lambda scenes: [scene.chart.axes for scene in scenes.values()])
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
                [("at each coil, with check valves", "each-coil"), ("one outdoors, either way", "outdoor"), ("one indoors, either way", "indoor")],
                MeteringLayout.named(metering).value,
            ),
            "units": buttons(["SI", "IP"], units, "units"),
            **{name: slider(CYCLE_SCALES[name], value, units) for name, value in values.items()},
            "energies": buttons(["off", "on"], "off", "heat and work"),
            "keep": buttons(["off", "on"], "off", "keep this cycle"),
            "pressure_axis": dropdown("pressure on the charts", [("as the units", ""), *((unit, unit) for unit in PRESSURE_UNITS)], ""),
        }
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.controls["keep"].observe(self._keep, "value")
        self.watch(name for name in self.controls if name not in ("units", "keep"))

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
        view.set({name: scale.within(getattr(conditions, name), view.system) for name, scale in CYCLE_SCALES.items()})
        view.mark_start()
        return view

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Solve for the present controls, then move both charts, the table and the reading."""
        chosen = {name: self.controls[name].value for name in self.controls}
        note, self._not_kept = self._not_kept, ""
        fluid = refrigerant(chosen["refrigerant"])
        circuit = reversible_circuit(MeteringLayout(chosen["metering"]))
        path = flow(circuit, ValvePosition(chosen["valve_position"]))
        cycle = solve(fluid, conditions_for(path, **self._conditions()), circuit)
        kept = None
        if self._before:
            try:
                kept = solve(fluid, conditions_for(path, **self._before), circuit)
            except HpteachError as error:
                note = f"The kept cycle is left out: {sentence(error, self._system)}"
        self._draw(fluid, cycle, kept)
        self.table.value = f'<div class="hpteach-wide">{points_table(cycle, self._system)._repr_html_()}</div>'
        since = [changed_since(kept, cycle, self._system)] if kept else []
        self.reading.value = paragraphs([*since, *flow_in_words(path), *cycle_in_words(cycle, self._system), *cautions(fluid.listing)])
        self.cycle, self.kept, self._note = cycle, kept, note

    def note(self) -> str:
        """Why a cycle was not kept, or why the kept one is left out."""
        return self._note

    def told(self) -> dict[str, Told]:
        """What can be predicted: temperatures, pressures, heat, work, COP, and the coil that condenses."""
        return {} if self.cycle is None else cycle_told(self.cycle, self._system)

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider in shown numbers."""
        return CYCLE_SCALES[name].ranges[self._system]

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table and reading."""
        return (self.table, self.reading)

    def numbers(self) -> list[tuple[str, float]]:
        """The sliders, then those of the kept cycle."""
        return [*super().numbers(), *((name, CYCLE_SCALES[name].within(value, self._system)) for name, value in self._before.items())]

    def take_choices(self, indices: Mapping[str, int]) -> None:
        """Set the choices; the numbers of a kept cycle follow."""
        self._taking = True
        try:
            super().take_choices(indices)
        finally:
            self._taking = False

    def take_numbers(self, numbers: Iterable[tuple[str, float]]) -> None:
        """Set the sliders and the kept cycle."""
        numbers = list(numbers)
        super().take_numbers(numbers[: len(CYCLE_SCALES)])
        self._before = {name: CYCLE_SCALES[name].base(number, self._system) for name, number in numbers[len(CYCLE_SCALES) :]}

    def _keep(self, change: dict) -> None:
        with self.lock:
            if change["new"] == "on" and not self._taking and not self._is_shown:
                self._not_kept = _NOTHING_KEPT
                self.controls["keep"].value = "off"
                if self.refusal is not None and not self._held:
                    self.say(f"{self.refusal}. {_NOTHING_KEPT}", refused=True)
                return
            with self.held():
                self._before = {} if change["new"] == "off" else self._conditions() if self._taking else self._conditions_shown()

    @property
    def _is_shown(self) -> bool:
        """Whether a cycle is shown that is no leftover of a refused state; one that waits for a prediction is shown."""
        return self.cycle is not None and (self._waits() or self.refusal is None)

    def _conditions_shown(self) -> dict[str, float]:
        return {name: getattr(self.cycle.conditions, name) for name in CYCLE_SCALES}

    def _conditions(self) -> dict[str, float]:
        return {name: CYCLE_SCALES[name].base(self.controls[name].value, self._system) for name in CYCLE_SCALES}

    def _draw(self, fluid: Refrigerant, cycle: Cycle, kept: Cycle | None) -> None:
        key = (fluid.name, self._system, self.controls["pressure_axis"].value)
        energies, shown = self.controls["energies"].value == "on", [cycle, *([kept] if kept else [])]

        def fits(scenes: Mapping[str, _Scene]) -> bool:
            return all(scene.chart.covers(one) for scene in scenes.values() for one in shown)

        scenes = self._kept.take(key, self.style, lambda: {kind: self._scene(kind, fluid, shown) for kind in self._pictures}, fits=fits)
        paths = [cycle_path(fluid, one) for one in ([kept, cycle] if kept else [cycle])]
        for kind, picture in self._pictures.items():
            scene = scenes[kind]
            picture.lay(scene.still)
            scene.kept.set_visible(kept is not None)
            scene.energies.set_visible(energies)
            scene.chart.show_cycles({**({scene.kept: kept} if kept else {}), scene.trace: cycle}, paths)
            if energies:
                scene.energies.show(cycle)
            parts = [scene.trace, *([scene.kept] if kept else []), *([scene.energies] if energies else [])]
            picture.draw(sorted((artist for part in parts for artist in part.artists), key=lambda artist: artist.get_zorder()))

    def _scene(self, kind: str, fluid: Refrigerant, shown: list[Cycle]) -> _Scene:
        picture = self._pictures[kind]
        for others in picture.figure.axes:
            others.set_visible(False)
        unit = self.controls["pressure_axis"].value or None
        chart = CHARTS[kind](picture.figure.add_axes(axes_rectangle(picture.figure, self.style)), fluid, system=self._system, style=self.style, covering=shown, pressure_unit=unit)
        trace, kept = (chart.add_cycle(shown[0], look=look, animated=True, numbered=look == 0) for look in (0, 1))
        return _Scene(chart, trace, kept, EnergyTrace(chart, animated=True), picture.keep())

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, CYCLE_SCALES, before, self._system)

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        left = ipywidgets.VBox([c["refrigerant"], labelled("valve position", c["valve_position"]), c["metering"], labelled("units", c["units"]), c["pressure_axis"]], layout=column)
        also = ipywidgets.Box([labelled("heat and work", c["energies"]), labelled("keep this cycle", c["keep"])], layout=WRAPPED)
        for name in ("energies", "keep"):
            c[name].style.button_width = "50px"
        right = ipywidgets.VBox([*(c[name] for name in CYCLE_SCALES), also], layout=column)
        pictures = ipywidgets.Box([_growing(picture.image) for picture in self._pictures.values()], layout=WRAPPED)
        pictures.add_class("hpteach-drawn")
        same = ipywidgets.HTML("<i>The same state in figures and in words:</i>")
        self.sharpen(*self._pictures.values())
        self.arrange([ipywidgets.Box([left, right], layout=WRAPPED)], [pictures, same, self.table, self.reading])


def _growing(image: Picture) -> Picture:
    """A picture that shares a row with its neighbour, or has a row of its own where it is narrow."""
    image.layout.flex = "1 1 400px"
    image.layout.min_width = "0"
    image.layout.max_width = "720px"
    return image
