"""Two refrigerants at one duty under the hand: both cycles on both charts, the table and a reading in words.

What lives here: `Comparison`.  What does not: what is compared (hpteach.comparison), its sentences (comparison_words), the charts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import ipywidgets

from hpteach.circuit import ValvePosition, flow, reversible_circuit
from hpteach.comparison import EQUAL, Compared, at_duty, compare, same_conditions
from hpteach.cycle import conditions_for, solve
from hpteach.diagrams import CHARTS, SCREEN, Chart, CycleTrace, Style, axes_rectangle, cycle_path, fitting_title, row_of_names
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.live import LiveFigure, Still
from hpteach.panels.comparison_words import comparison_cautions, comparison_in_words, comparison_table
from hpteach.panels.foresight import Told
from hpteach.panels.parts import WRAPPED, buttons, chart_words, dropdown, labelled, paragraphs
from hpteach.panels.scales import CYCLE_SCALES, Scale, slider, turn_scales
from hpteach.panels.shelf import Shelf
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.units import read, show

_SCALES = {"duty": Scale("duty", "power", {"SI": (1.0, 30.0, 0.5), "IP": (4000.0, 100000.0, 1000.0)}), **CYCLE_SCALES}

_TOLD = {
    "mass_flow": "the mass flow",
    "suction_volume_flow": "the suction volume flow",
    "compressor_power": "the compressor power",
    "cop": "the COP",
    "condensing_pressure": "the high pressure",
    "discharge_temperature": "the discharge temperature",
}

_MOST_KEPT = 6
"""Pairs, unit systems and styles whose charts stay ready; each is two pictures of 2.4 MB (one copy to restore, one to compare with), and of
more than three times that on a screen of high density."""

_CODED = {("duty", "IP"): (3000.0, 103000.0, 1000.0)}
"""Spans of a picture code that reach further than the slider: a duty from an end of the other unit system has a place as well."""


@dataclass(frozen=True)
class _Scene:
    """One chart of two refrigerants in one unit system and style, with what moves over it."""

    chart: Chart
    traces: tuple[CycleTrace, CycleTrace]
    still: Still


class Comparison(View):
    """Two refrigerants, the valve position, what is equal, the duty and five sliders; charts, table and words follow.

    `controls` has first, second, valve_position, equal ("dew" or "mean"), units, and the sliders duty,
    saturated_suction_temperature, saturated_condensing_temperature (dew temperatures of the first), superheat, subcooling and
    isentropic_efficiency, in the shown units.  The duty is cooling or heating capacity, as the valve stands.
    `compared` is the last comparison.  Twice the same refrigerant is refused in the status line.

    >>> view = Comparison(first="R-410A", second="R-290")
    >>> round(view.compared.ratio("suction_volume_flow"), 2)
    1.71
    """

    KEYS = {
        "f": "first", "s": "second", "v": "valve_position", "q": "equal", "u": "units", "d": "duty", "e": "saturated_suction_temperature",
        "c": "saturated_condensing_temperature", "h": "superheat", "l": "subcooling", "i": "isentropic_efficiency",
    }  # fmt: skip

    def __init__(
        self,
        *,
        first: str = "R-410A",
        second: str = "R-290",
        valve_position: str = "cooling",
        equal: str = "dew",
        duty: str = "10kW",
        evaporating: str = "7C",
        condensing: str = "45C",
        superheat: str = "5K",
        subcooling: str = "5K",
        isentropic_efficiency: float = 0.7,
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("comparison")
        units = self.take_units(units)
        if ValvePosition.named(valve_position) is ValvePosition.BETWEEN:
            raise InputError("a panel cannot stand between heating and cooling: name one of the two")
        if equal not in EQUAL:
            raise UnknownNameError.among("equal temperature", equal, EQUAL)
        self.style = style
        self.compared: Compared | None = None
        self._system = units
        self._circuit = reversible_circuit()
        self._pictures = {kind: LiveFigure(540, 470, scale=1.1, words=chart_words(kind)) for kind in CHARTS}
        self._kept: Shelf[dict[str, _Scene]] = Shelf(_MOST_KEPT, lambda scenes: [scene.chart.axes for scene in scenes.values()])
        self.table = ipywidgets.HTML()
        values = {
            "duty": read(duty, "power"),
            "saturated_suction_temperature": read(evaporating, "temperature"),
            "saturated_condensing_temperature": read(condensing, "temperature"),
            "superheat": read(superheat, "temperature difference"),
            "subcooling": read(subcooling, "temperature difference"),
            "isentropic_efficiency": isentropic_efficiency,
        }
        self.controls = {
            "first": dropdown("first refrigerant", list(catalogue()), listing(first).name),
            "second": dropdown("second refrigerant", list(catalogue()), listing(second).name),
            "valve_position": buttons(["cooling", "heating"], valve_position, "valve position"),
            "equal": buttons(list(EQUAL), equal, "equal temperatures"),
            "units": buttons(["SI", "IP"], units, "units"),
            **{name: slider(_SCALES[name], value, units) for name, value in values.items()},
        }
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.watch(name for name in self.controls if name != "units")

    @classmethod
    def for_question(cls, variant: Variant) -> Comparison:
        """The comparison of a dealt question's two refrigerants at the conditions of its first cycle, in its units.

        Raises `InputError` where the question does not compare two refrigerants.

        >>> from hpteach.questions import deal, read_bank
        >>> view = Comparison.for_question(deal(read_bank().question("predict-suction-volume"), 1))
        >>> [view.controls[name].value for name in ("first", "second")]
        ['R-454B', 'R-134a']
        """
        if variant.cycle is None or variant.other is None or variant.cycle.refrigerant == variant.other.refrigerant:
            raise InputError(f"question {variant.question.id!r} has no two refrigerants to compare: choose one that states both")
        conditions = variant.cycle.conditions
        view = cls(
            first=variant.cycle.refrigerant,
            second=variant.other.refrigerant,
            valve_position=conditions.valve_position.value,
            units=variant.system,
        )
        view.set({name: scale.within(getattr(conditions, name), view.system) for name, scale in CYCLE_SCALES.items()})
        view.mark_start()
        return view

    def _edition(self) -> str:
        return f"{super()._edition()}|{_CODED}"

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Solve both cycles for the present controls, then move both charts, the table and the reading.  Raises `InputError` for one refrigerant twice."""
        chosen = {name: self.controls[name].value for name in self.controls}
        if chosen["first"] == chosen["second"]:
            raise InputError(f"both refrigerants are {chosen['first']}: choose another one to compare it with")
        fluids = [refrigerant(chosen[name]) for name in ("first", "second")]
        path = flow(self._circuit, ValvePosition(chosen["valve_position"]))
        si = {name: scale.base(chosen[name], self._system) for name, scale in _SCALES.items()}
        duty = si.pop("duty")
        first = solve(fluids[0], conditions_for(path, **si), self._circuit)
        cycles = (first, same_conditions(fluids[1], first, chosen["equal"], self._circuit))
        found = compare(*(at_duty(fluid, cycle, duty) for fluid, cycle in zip(fluids, cycles)))
        self._draw(found)
        self.table.value = f'<div class="hpteach-wide" style="white-space: nowrap">{comparison_table(found, self._system)._repr_html_()}</div>'
        self.reading.value = paragraphs([*comparison_in_words(found, chosen["equal"], self._system), *comparison_cautions(found)])
        self.compared = found

    def told(self) -> dict[str, Told]:
        """What can be predicted: flows, power, COP, high pressure and discharge of the second refrigerant."""
        if self.compared is None:
            return {}
        kinds = {"mass_flow": "mass flow", "suction_volume_flow": "volume flow", "compressor_power": "power", "cop": "ratio",
                 "condensing_pressure": "pressure", "discharge_temperature": "temperature"}  # fmt: skip
        values = {name: getattr(self.compared.second, name) for name in _TOLD}
        return {
            f"{words} of the second": Told(values[name], show(values[name], kinds[name], self._system, decimals=2 if name == "cop" else None))
            for name, words in _TOLD.items()
        }

    CODED = _CODED

    @property
    def scales(self) -> Mapping[str, Scale]:
        """The scales of the sliders."""
        return _SCALES

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table and reading."""
        return (self.table, self.reading)

    def _draw(self, found: Compared) -> None:
        cycles = (found.first.cycle, found.second.cycle)
        key = (cycles[0].refrigerant, cycles[1].refrigerant, self._system)

        def fits(scenes: Mapping[str, _Scene]) -> bool:
            return all(scene.chart.covers(cycle) for scene in scenes.values() for cycle in cycles)

        scenes = self._kept.take(key, self.style, lambda: {kind: self._scene(kind, found) for kind in self._pictures}, fits=fits)
        paths = [cycle_path(refrigerant(cycle.refrigerant), cycle) for cycle in cycles]
        for kind, picture in self._pictures.items():
            scene = scenes[kind]
            picture.lay(scene.still)
            scene.chart.show_cycles(dict(zip(scene.traces, cycles)), paths)
            picture.draw([artist for trace in scene.traces for artist in trace.artists])

    def _scene(self, kind: str, found: Compared) -> _Scene:
        picture = self._pictures[kind]
        for others in picture.figure.axes:
            others.set_visible(False)
        cycles = (found.first.cycle, found.second.cycle)
        one, other = (refrigerant(cycle.refrigerant) for cycle in cycles)
        chart = CHARTS[kind](picture.figure.add_axes(axes_rectangle(picture.figure, self.style, names=True)), one, system=self._system, style=self.style, covering=cycles, beside=other)
        traces = [chart.add_cycle(cycle, label=cycle.refrigerant, look=look, animated=True) for look, cycle in enumerate(cycles)]
        # Both names stand in the row below, beside the lines of their cycles.
        fitting_title(chart.axes, [chart.title.capitalize()], self.style.title_size, self.style, above=row_of_names(self.style))
        chart.name_cycles(traces)
        return _Scene(chart, (traces[0], traces[1]), picture.keep())

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, _SCALES, before, self._system)

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        rows = [labelled(text, c[name]) for text, name in (("valve position", "valve_position"), ("equal temperatures", "equal"), ("units", "units"))]
        left = ipywidgets.VBox([c["first"], c["second"], *rows, c["duty"]], layout=column)
        right = ipywidgets.VBox([c[name] for name in CYCLE_SCALES], layout=column)
        for picture in self._pictures.values():
            layout = picture.image.layout
            layout.flex, layout.min_width, layout.max_width = "1 1 400px", "0", "720px"
        pictures = ipywidgets.Box([picture.image for picture in self._pictures.values()], layout=WRAPPED)
        pictures.add_class("hpteach-drawn")
        table = ipywidgets.VBox([self.table], layout={"flex": "1 1 480px", "min_width": "300px"})
        words = ipywidgets.VBox([self.reading], layout={"flex": "1 1 420px", "min_width": "300px"})
        self.sharpen(*self._pictures.values())
        self.arrange([ipywidgets.Box([left, right], layout=WRAPPED)], [pictures, ipywidgets.Box([table, words], layout=WRAPPED)])
