"""A house through a winter under the hand: capacity against load, the heat of each bin, figures and words.

What lives here: `SeasonOfHouse`.  What does not: the season (machine.season), its picture (diagrams.season_chart), its words (season_words).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import ipywidgets

from hpteach.diagrams import SCREEN, Style
from hpteach.diagrams.season_chart import SeasonChart, bin_heat, reach
from hpteach.errors import InputError, UnknownNameError
from hpteach.live import LiveFigure, Still
from hpteach.machine import DEMO_MACHINES, demo_machine
from hpteach.machine.climate import Climate, climate, climates
from hpteach.machine.running import FROST_COUNTED, MachineInWinter
from hpteach.machine.running_table import RunningTable, running_table
from hpteach.machine.season import BuildingLoad, Season, load_in, season
from hpteach.panels.foresight import Told
from hpteach.panels.parts import beside, buttons, dropdown, hands, labelled, paragraphs
from hpteach.panels.parts import slider as plain_slider
from hpteach.panels.scales import Scale, slider, turn_scales
from hpteach.panels.season_words import LARGER, TIGHTER, Compared, auxiliary_share, hours_with_auxiliary, kilowatt_hours, per_cent, season_figures, season_in_words
from hpteach.panels.shelf import Shelf
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import Variant
from hpteach.units import read, show

AUXILIARY = {"electric heater": 1.0, "boiler": 0.9}
"""Sources of auxiliary heat with the heat that each gives for its energy; 0.9 is an invented example."""

CLIMATES = {"average": "average (EN 14825)", "warmer": "warmer (EN 14825)", "colder": "colder (EN 14825)", "us-region-iv": "US region IV"}

_SCALES = {"design_load": Scale("design load", "power", {"SI": (2.0, 20.0, 0.5), "IP": (7000.0, 68000.0, 1000.0)})}
_CODED = {("design_load", "IP"): (6000.0, 69000.0, 1000.0)}
"""Spans of a picture code that reach further than the slider: a load from an end of the other unit system has a place as well."""

_PER_ENERGY = {
    "electricity_price": "electricity, money/kWh",
    "electricity_carbon": "electricity, kg CO2/kWh",
    "auxiliary_price": "boiler fuel, money/kWh",
    "auxiliary_carbon": "boiler fuel, kg CO2/kWh",
}
_PER_ENERGY_SPAN = (0.0, 1.0, 0.01)
_KILOWATT_HOUR = 3.6e6  # J

_INDOOR = 293.15
"""K; 20 °C, the room of the rating points of EN 14511 (from memory); appendix M1 has 70 °F, which is 1.1 K more."""

_MOST_KEPT = 6
_LEAST_POWER, _LEAST_HEAT = 4e3, 0.25 * 1000.0 * _KILOWATT_HOUR
"""W and J: the smallest upper edges of the two axes."""

_HEADROOM = 1.04


@dataclass(frozen=True)
class _Scene:
    """One frame with its axes, and what moves over it."""

    chart: SeasonChart
    still: Still


class SeasonOfHouse(View):
    """Machine, climate, source of auxiliary heat, design load, prices and carbon; picture, table and words follow.

    `controls` has machine, climate, auxiliary ("electric heater" or "boiler"), units, and the sliders design_load (in the
    shown units), electricity_price, electricity_carbon, auxiliary_price and auxiliary_carbon (per kWh of energy; the
    last two count for a boiler only).  `season` is the last one added up.  A new machine or climate is worked out once.

    >>> view = SeasonOfHouse(machine="R-32", design_load="12kW")
    >>> round(view.season.balance_point - 273.15), round(view.season.seasonal_cop, 1)
    (-1, 2.9)
    """

    KEYS = {
        "m": "machine", "c": "climate", "a": "auxiliary", "u": "units", "d": "design_load",
        "e": "electricity_price", "o": "electricity_carbon", "b": "auxiliary_price", "f": "auxiliary_carbon",
    }  # fmt: skip

    def __init__(
        self,
        *,
        machine: str = "R-32",
        climate: str = "average",
        auxiliary: str = "electric heater",
        design_load: str = "12kW",
        electricity_price: float = 0.3,
        electricity_carbon: float = 0.3,
        auxiliary_price: float = 0.12,
        auxiliary_carbon: float = 0.2,
        units: Units = None,
        style: Style = SCREEN,
    ) -> None:
        super().__init__("season of a house")
        units = self.take_units(units)
        for what, value, known in (("machine", machine, DEMO_MACHINES), ("climate", climate, CLIMATES), ("auxiliary heat", auxiliary, AUXILIARY)):
            if value not in known:
                raise UnknownNameError.among(what, value, known)
        self.style, self._system = style, units
        self.season: Season | None = None
        self._worked_out: tuple[str, str] | None = None
        self._picture = LiveFigure(
            760, 640, scale=1.25, words="Above, capacity and load over the outdoor temperature; below, the heat of each bin. Table and sentences tell the same."
        )
        self._kept: Shelf[_Scene] = Shelf(_MOST_KEPT, lambda scene: (scene.chart.upper, scene.chart.lower))
        self.table = ipywidgets.HTML()
        per_energy = {
            "electricity_price": electricity_price, "electricity_carbon": electricity_carbon,
            "auxiliary_price": auxiliary_price, "auxiliary_carbon": auxiliary_carbon,
        }  # fmt: skip
        self.controls = {
            "machine": dropdown("machine (invented)", list(DEMO_MACHINES), machine),
            "climate": dropdown("climate", [(text, name) for name, text in CLIMATES.items()], climate),
            "auxiliary": buttons(list(AUXILIARY), auxiliary, "auxiliary heat"),
            "units": buttons(["SI", "IP"], units, "units"),
            "design_load": slider(_SCALES["design_load"], read(design_load, "power"), units),
            **{name: plain_slider(_PER_ENERGY[name], *_PER_ENERGY_SPAN, _within(_PER_ENERGY[name], value)) for name, value in per_energy.items()},
        }
        self._lay_out()
        self._changed(None)
        self.turns_units(self._turn_units)
        self.watch(name for name in self.controls if name != "units")

    @classmethod
    def for_question(cls, variant: Variant) -> SeasonOfHouse:
        """The panel in the units of a dealt question.

        >>> from hpteach.questions import deal, read_bank
        >>> SeasonOfHouse.for_question(deal(read_bank().question("predict-tighter-house"), 1, "IP")).system
        'IP'
        """
        load = {"SI": "12kW", "IP": "41000Btu/h"}[variant.system]
        return cls(design_load=load, units=variant.system)

    def _edition(self) -> str:
        return f"{super()._edition()}|{_CODED}"

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self._system

    def refresh(self) -> None:
        """Add up the season for the present controls, then move the picture, the table and the words."""
        value = {name: control.value for name, control in self.controls.items()}
        here, boiler = climate(value["climate"]), value["auxiliary"] == "boiler"
        for name in ("auxiliary_price", "auxiliary_carbon"):
            self.controls[name].disabled = not boiler
        chosen = (value["machine"], value["climate"])
        if chosen != self._worked_out:
            self.say(f"Working out how the machine runs in the bins of this climate, {FROST_COUNTED}: once, some seconds at most.")
        table, larger = _tables(*chosen)
        self._worked_out = chosen
        load = load_in(here, _SCALES["design_load"].base(value["design_load"], self._system))
        money = {name: value[name if boiler else name.replace("auxiliary", "electricity")] / _KILOWATT_HOUR for name in _PER_ENERGY}
        with_money = {**money, "auxiliary_cop": AUXILIARY[value["auxiliary"]]}
        now = season(table.performance, here, load, following=table.following, **with_money)
        compared = Compared(
            now=now,
            tighter=season(table.performance, here, load_in(here, TIGHTER * load.design_load), following=table.following, **with_money),
            larger=season(larger.performance, here, load, following=larger.following, **with_money),
            steady=season(table.performance, here, load, following=table.following, degradation=0.0),
            full=season(table.performance, here, load, degradation=0.0),
            electricity_price=money["electricity_price"],
            auxiliary_price=money["auxiliary_price"],
            boiler=boiler,
            follows=table.following is not None,
        )
        self._draw(now, load, table)
        self.table.value = f'<div class="hpteach-wide">{season_figures(compared, self._system)._repr_html_()}</div>'
        self.reading.value = paragraphs(season_in_words(compared, table.performance, here, self._system))
        self.season = now

    def told(self) -> dict[str, Told]:
        """What can be predicted: seasonal COP, balance point, hours and share of auxiliary heat, electricity, cost."""
        now = self.season
        if now is None:
            return {}
        return {
            "the seasonal COP": Told(now.seasonal_cop, f"{now.seasonal_cop:.2f}"),
            **({} if now.balance_point is None else {"the balance point": Told(now.balance_point, show(now.balance_point, "temperature", self._system))}),
            "the hours with auxiliary heat": Told(hours_with_auxiliary(now), f"{hours_with_auxiliary(now):.0f} h"),
            "the share of auxiliary heat": Told(auxiliary_share(now), per_cent(auxiliary_share(now))),
            "the electricity of the machine": Told(now.energy_machine, kilowatt_hours(now.energy_machine)),
            "the cost of the season": Told(now.cost, f"{now.cost:.0f}"),
            "the carbon dioxide of the season": Told(now.carbon, f"{now.carbon:.0f} kg"),
        }

    def note(self) -> str:
        """How frost is counted, and that a heater has no price of its own."""
        text = f"Figures {FROST_COUNTED}, in a room of {show(_INDOOR, 'temperature', self._system)}."
        if self.controls["auxiliary"].value == "boiler":
            return text
        return f"{text} With an electric heater the sliders of boiler fuel do not count."

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider's places in a picture code, in shown numbers."""
        return _PER_ENERGY_SPAN if name in _PER_ENERGY else super().span(name)

    CODED = _CODED

    @property
    def scales(self) -> Mapping[str, Scale]:
        """The scales of the sliders that turn with the units."""
        return _SCALES

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """Table and reading."""
        return (self.table, self.reading)

    def _draw(self, now: Season, load: BuildingLoad, table: RunningTable) -> None:
        runs = [(at, run.capacity) for at in table.temperatures if (run := table.performance(at)) is not None]
        power = reach(_HEADROOM * max(load.design_load, *(capacity for _, capacity in runs)), _LEAST_POWER)
        heat = reach(_HEADROOM * bin_heat(now), _LEAST_HEAT)
        key = (now.climate, self._system, power, heat)
        scene = self._kept.take(key, self.style, lambda: self._scene(now.climate, table, power, heat))
        self._picture.lay(scene.still)
        scene.chart.show(now, load, runs)
        self._picture.draw(scene.chart.artists)

    def _scene(self, name: str, table: RunningTable, power: float, heat: float) -> _Scene:
        for others in self._picture.figure.axes:
            others.set_visible(False)
        title = {"us-region-iv": "US region IV"}.get(name, f"{name.capitalize()} climate") + ": heat over a winter"
        chart = SeasonChart(
            self._picture.figure, table.temperatures, most_power=power, most_heat=heat, title=title, system=self._system, style=self.style
        )
        return _Scene(chart, self._picture.keep())

    def _turn_units(self, change: dict) -> None:
        with self.held():
            before, self._system = self._system, change["new"]
            turn_scales(self.controls, _SCALES, before, self._system)

    def _lay_out(self) -> None:
        c = self.controls
        column = {"flex": "1 1 420px", "min_width": "300px"}
        c["auxiliary"].style.button_width = "130px"
        rows = [labelled(text, c[name]) for text, name in (("auxiliary heat", "auxiliary"), ("units", "units"))]
        left = ipywidgets.VBox([c["machine"], c["climate"], c["design_load"], *rows], layout=column)
        right = ipywidgets.VBox([c[name] for name in _PER_ENERGY], layout=column)
        picture = self._picture.image
        picture.layout.flex, picture.layout.min_width = "1 1 520px", "0"
        figures = ipywidgets.VBox([self.table], layout={"flex": "1 1 420px", "min_width": "300px"})
        self.sharpen(self._picture)
        self.arrange([hands(left, right)], [beside(ipywidgets.Box([picture], layout={"flex": "1 1 520px", "min_width": "0"}), figures), self.reading])
        self.add_class("hpteach-single")


def _within(label: str, value: float) -> float:
    least, most, _ = _PER_ENERGY_SPAN
    if not least <= value <= most:
        raise InputError(f"{label} of {value:g} is outside the panel's {least:g} to {most:g}: choose one within")
    return value


@lru_cache(maxsize=64)
def _tables(machine: str, name: str) -> tuple[RunningTable, RunningTable]:
    """How a demo machine runs in the bins of a climate, and how one does that is larger."""
    here = climate(name)
    table = running_table(_winter(machine, _moisture_of(here)), here)
    return table, table.larger(LARGER)


def _moisture_of(here: Climate) -> str:
    """The first climate with the same rule of moisture: what is worked out for its air holds for both."""
    return next(name for name, other in climates().items() if other.wet_bulb_depression == here.wet_bulb_depression)


@lru_cache(maxsize=64)
def _winter(machine: str, name: str) -> MachineInWinter:
    return MachineInWinter(demo_machine(machine), _INDOOR, climate(name).moisture)
