"""What a question states, and everything that follows from it when it is solved.

What lives here: the situation of one dealt question (drawn quantities and up to two
cycles), its solution, and the list of quantities that expressions and texts may name.
What does not: wrong ways of solving it (mistakes), drawing and printing (variants).

    h1 h2 h3 h4 h2a h2b h4a, T… p… s…    the state points, h2s T2s the ideal discharge
    v1 x4                                specific volume at the suction, flash gas
    w q_e q_c q_indoor q_outdoor         work and heat per kilogram, by role and by place
    cop_cooling cop_heating pressure_ratio
    heating cooling condenser_indoors …  1 where it holds, else 0: the flags of paths

A situation may state the circuit alone; then only the flags and the words of its path are there.  Air that passes a
coil and a machine in weather have names of their own, listed in air and in weather.
With a cycle to compare with, the same names again behind the prefix other_.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from types import MappingProxyType

from hpteach.circuit import Circuit, Flow, MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import Cycle, conditions_for, solve as solve_cycle
from hpteach.errors import LimitError, Measure
from hpteach.fluids import Refrigerant, refrigerant
from hpteach.questions import air, fault_conditions, frost
from hpteach.questions.air import AirAlone
from hpteach.questions.cycle_quantities import derived, state_quantities
from hpteach.questions.paths import StatedCircuit, flags, flow_of, stated_words, words as words_of
from hpteach.questions.weather import Weather
from hpteach.units import STANDARD_ATMOSPHERE

OTHER = "other_"
"""Prefix of every quantity of the cycle, air or weather that a question compares with."""

KINDS_OF: Mapping[str, str] = {**air.ENTERING, **air.LEAVING, **air.FLOWING, **air.SURFACE, **frost.QUANTITIES, **fault_conditions.QUANTITIES}
"""Every quantity that any question may name, with its kind; those of a cycle and of weather are among those of frost."""

WORKED_OUT = frozenset({*air.DERIVED, *frost.DERIVED, *fault_conditions.DERIVED})
"""What rests on others as they are printed."""

UNIT_OF_MASS = "unit_of_mass"
"""The word that any text may name: kilogram or pound, as the reader's system has it."""


@dataclass(frozen=True)
class Given:
    """A stated quantity in SI ("gauge pressure" counted from the air, "pressure" from a vacuum)."""

    kind: str
    value: float


@dataclass(frozen=True)
class Setting:
    """The conditions of one cycle as a question states them, or as a wrong thought takes them.

    Each side has either its saturated temperature (K, dew point) or its pressure; superheat
    and subcooling (K) are given, or follow from the temperature of the line.  `saturation`
    says from which column of the table saturation is read, `liquid_saturation` from which subcooling
    is counted, `compression` how the isentropic efficiency is used.
    """

    refrigerant: str
    valve_position: ValvePosition
    metering_layout: MeteringLayout = MeteringLayout.EACH_COIL
    saturated_suction_temperature: float | None = None
    saturated_condensing_temperature: float | None = None
    suction_pressure: Given | None = None
    discharge_pressure: Given | None = None
    superheat: float = 0.0
    subcooling: float = 0.0
    suction_line_temperature: float | None = None
    liquid_line_temperature: float | None = None
    isentropic_efficiency: float = 1.0
    saturation: str = "dew"
    liquid_saturation: str = "bubble"
    compression: str = "divided"


@dataclass(frozen=True)
class Situation:
    """What a dealt question states: drawn quantities, the air's pressure (Pa), the cycle(s), or the air or machine(s) in weather.

    `air` names the drawn quantity that is the air's pressure, if one is.  `stated_circuit` is the
    circuit of a question that states one without a cycle.
    """

    drawn: Mapping[str, Given] = field(default_factory=dict)
    atmosphere: float = STANDARD_ATMOSPHERE
    air: str | None = None
    setting: Setting | None = None
    other: Setting | None = None
    stated_circuit: StatedCircuit | None = None
    around: AirAlone | Weather | None = None
    other_around: AirAlone | Weather | None = None

    def with_settings(self, **changes: object) -> Situation:
        """The same situation with the conditions of its cycle(s) changed."""
        return replace(
            self,
            setting=self.setting and replace(self.setting, **changes),
            other=self.other and replace(self.other, **changes),
        )


@dataclass(frozen=True)
class Printed:
    """A solved quantity that the prompt prints: its exact value and the value as printed.

    The exact value tells a quantity that stands as printed from one that a wrong thought
    has changed.
    """

    exact: float
    shown: float


@dataclass(frozen=True)
class Solved:
    """A situation solved: the cycle(s), every quantity in SI and every word by name."""

    cycle: Cycle | None
    other: Cycle | None
    quantities: Mapping[str, float]
    words: Mapping[str, str]
    flow: Flow | None = None


Source = Setting | AirAlone | Weather
"""What quantities are solved from."""

Change = Callable[[Mapping[str, float], Source], Mapping[str, float]]
"""What a wrong thought makes of solved quantities, before anything is worked out from them."""


def solve(situation: Situation, printed: Mapping[str, Printed] = MappingProxyType({}), change: Change | None = None) -> Solved:
    """Everything that follows from a situation.

    A quantity that the prompt prints counts as printed, also for what is derived from it,
    unless a wrong thought has changed it; `change` is such a thought.  Raises the refusals of `cycle.solve`.

    >>> cooling = Setting("R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15,
    ...                   saturated_condensing_temperature=303.15)
    >>> round(solve(Situation(setting=cooling)).quantities["cop_cooling"], 2)
    3.97
    """
    quantities = {name: given.value for name, given in situation.drawn.items()}
    quantities["atmosphere"] = situation.atmosphere
    cycles, words = [], {}
    for prefix, setting in (("", situation.setting), (OTHER, situation.other)):
        if setting is None:
            cycles.append(None)
            continue
        cycle, exact = _solve_setting(setting, situation.atmosphere)
        quantities |= _as_printed(_changed(exact, change, setting), derived, prefix, printed)
        words |= {prefix + name: word for name, word in _words(cycle).items()}
        cycles.append(cycle)
    for prefix, around in (("", situation.around), (OTHER, situation.other_around)):
        if around is not None:
            quantities |= _as_printed(_changed(around.found(), change, around), around.derived, prefix, printed)
            words |= {prefix + name: word for name, word in around.words().items()}
    stands = cycles[0].flow if cycles[0] else None
    if situation.stated_circuit:
        stands = flow_of(situation.stated_circuit)
        quantities |= flags(stands)
        words |= words_of(stands) | stated_words(situation.stated_circuit)
    return Solved(cycles[0], cycles[1], quantities, words, stands)


def _changed(exact: Mapping[str, float], change: Change | None, source: Source) -> Mapping[str, float]:
    return {**exact, **change(exact, source)} if change else exact


@lru_cache(maxsize=256)
def _solve_setting(setting: Setting, atmosphere: float) -> tuple[Cycle, Mapping[str, float]]:
    fluid = refrigerant(setting.refrigerant)
    low, thought_suction = _side(setting, fluid, "suction", atmosphere)
    high, thought_condensing = _side(setting, fluid, "condensing", atmosphere)
    dew_suction = thought_suction if setting.saturation == "dew" else fluid.dew_temperature(low)
    dew_condensing = thought_condensing if setting.saturation == "dew" else fluid.dew_temperature(high)
    superheat = thought_superheat = setting.superheat
    subcooling = thought_subcooling = setting.subcooling
    too_warm = 0.0 if setting.liquid_saturation == "bubble" else dew_condensing - fluid.bubble_temperature(high)
    if setting.suction_line_temperature is not None:
        superheat = setting.suction_line_temperature - dew_suction
        thought_superheat = setting.suction_line_temperature - thought_suction
    if setting.liquid_line_temperature is not None:
        subcooling = fluid.bubble_temperature(high) - setting.liquid_line_temperature
        thought_subcooling = subcooling + too_warm
    else:
        subcooling -= too_warm
    cycle = solve_cycle(
        fluid,
        conditions_for(
            _flow(setting.metering_layout, setting.valve_position),
            saturated_suction_temperature=dew_suction,
            saturated_condensing_temperature=dew_condensing,
            superheat=superheat,
            subcooling=subcooling,
            isentropic_efficiency=setting.isentropic_efficiency,
        ),
        _circuit(setting.metering_layout),
    )
    found = {
        **state_quantities(cycle),
        "saturated_suction_temperature": thought_suction,
        "saturated_condensing_temperature": thought_condensing,
        "superheat": thought_superheat,
        "subcooling": thought_subcooling,
        "isentropic_efficiency": setting.isentropic_efficiency,
    }
    if setting.compression == "multiplied":
        found |= _efficiency_multiplied(fluid, found)
    return cycle, MappingProxyType(found)


def _side(setting: Setting, fluid: Refrigerant, side: str, atmosphere: float) -> tuple[float, float]:
    """(pressure, saturated temperature) of a side, read off the column that the setting names."""
    temperature = getattr(setting, f"saturated_{side}_temperature")
    if temperature is not None:
        read = fluid.dew_pressure if setting.saturation == "dew" else fluid.bubble_pressure
        return read(temperature), temperature
    line = "suction" if side == "suction" else "discharge"
    pressure = absolute(getattr(setting, f"{line}_pressure"), atmosphere)
    if not pressure > 0.0:
        raise LimitError(f"{line} pressure of {{given}} is a perfect vacuum or below: use a higher one", given=Measure(pressure, "pressure"))
    return pressure, (fluid.dew_temperature if setting.saturation == "dew" else fluid.bubble_temperature)(pressure)


def absolute(pressure: Given, atmosphere: float) -> float:
    """A stated pressure in Pa absolute.

    >>> absolute(Given("gauge pressure", 800e3), 101325.0)
    901325.0
    """
    return pressure.value + atmosphere if pressure.kind == "gauge pressure" else pressure.value


def _efficiency_multiplied(fluid: Refrigerant, found: Mapping[str, float]) -> dict[str, float]:
    """The discharge of whoever takes w = (h2s - h1) * efficiency instead of dividing by it."""
    efficiency = found["isentropic_efficiency"]
    discharge = fluid.state_ph(found["p2"], found["h1"] + (found["h2s"] - found["h1"]) * efficiency)
    return {
        "h2": discharge.enthalpy,
        "T2": discharge.temperature,
        "s2": discharge.entropy,
        "isentropic_efficiency": 1.0 / efficiency,
    }


def _as_printed(
    exact: Mapping[str, float], work_out: Callable[[Mapping[str, float]], Mapping[str, float]], prefix: str, printed: Mapping[str, Printed]
) -> dict[str, float]:
    """Quantities, with what is worked out from them, as the prompt prints them."""
    found = dict(exact)
    _take_printed(found, prefix, printed)
    found |= work_out(found)
    _take_printed(found, prefix, printed)
    return {prefix + name: value for name, value in found.items()}


def _take_printed(found: dict[str, float], prefix: str, printed: Mapping[str, Printed]) -> None:
    for name, value in found.items():
        pair = printed.get(prefix + name)
        if pair and math.isclose(value, pair.exact, rel_tol=1e-9):
            found[name] = pair.shown


def _words(cycle: Cycle) -> dict[str, str]:
    return words_of(cycle.flow) | {"refrigerant": cycle.refrigerant}


@cache
def _circuit(layout: MeteringLayout) -> Circuit:
    return reversible_circuit(layout)


@cache
def _flow(layout: MeteringLayout, position: ValvePosition) -> Flow:
    return flow(_circuit(layout), position)
