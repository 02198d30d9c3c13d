"""Conditions to state points, heat, work and COP of one steady cycle.

What lives here: `solve`, which closes the cycle for given saturated temperatures.
What does not: which way the refrigerant flows (circuit), properties (fluids), and a
machine whose pressures settle by themselves in weather (machine).

The model: no pressure drop in coils and lines, no heat gained or lost by the lines,
an adiabatic compressor with a given isentropic efficiency, throttling at constant
enthalpy.  Its limits are said in docs/the-model.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from hpteach import circuit as plumbing
from hpteach.circuit import Circuit, Flow, ValvePosition
from hpteach.errors import CircuitError, LimitError, Measure, UnknownNameError
from hpteach.fluids import Refrigerant, State

NAMES = {
    "1": "suction vapour",
    "2": "discharge vapour",
    "2a": "condensing begins",
    "2b": "condensing ends",
    "3": "liquid leaving the condenser",
    "4": "mixture entering the evaporator",
    "4a": "boiling ends",
}

_LEAST_LIFT = 1e-3
"""K between the two saturated temperatures; with less, the work drowns in rounding."""


@dataclass(frozen=True)
class Conditions:
    """What is chosen for a cycle, in SI.

    `valve_position` and `meters_towards` ("indoor coil" or "outdoor coil") are both
    stated, because they must agree: refrigerant is metered into the evaporating coil.
    Both saturated temperatures (K) are dew-point temperatures; superheat (K) is counted
    from the dew point at the suction, subcooling (K) from the bubble point;
    isentropic_efficiency is in (0, 1].

    >>> Conditions(ValvePosition.HEATING, "outdoor coil", 273.15, 318.15).superheat
    0.0
    """

    valve_position: ValvePosition
    meters_towards: str
    saturated_suction_temperature: float
    saturated_condensing_temperature: float
    superheat: float = 0.0
    subcooling: float = 0.0
    isentropic_efficiency: float = 1.0


@dataclass(frozen=True, kw_only=True)
class StatePoint(State):
    """A state with its number in flow order, its name and its place in the circuit.

    `number` is 1 to 4; the dome crossings 2a, 2b and 4a have a label only.
    """

    number: int | None
    label: str
    name: str
    place: str


@dataclass(frozen=True)
class Cycle:
    """A solved cycle: the state points in flow order and what follows from them.

    Energies are per kilogram of refrigerant (J/kg).
    """

    refrigerant: str
    conditions: Conditions
    flow: Flow
    points: tuple[StatePoint, ...]
    isentropic_discharge: State

    def point(self, label: str | int) -> StatePoint:
        """The state point "1" to "4", "2a", "2b" or "4a".

        Raises `UnknownNameError`, also for a crossing that this cycle does not make.

        >>> from hpteach.fluids import refrigerant
        >>> heating = Conditions(ValvePosition.HEATING, "outdoor coil", 273.15, 318.15, 5.0, 5.0, 0.7)
        >>> cycle = solve(refrigerant("R-410A"), heating)
        >>> cycle.point(3).place, round(cycle.point("3").temperature, 1)
        ('indoor coil, liquid side', 313.0)
        """
        return _labelled(self.points, str(label))

    @cached_property
    def specific_work(self) -> float:
        """w = h2 - h1, taken in by the compressor (J/kg)."""
        return self.point("2").enthalpy - self.point("1").enthalpy

    @cached_property
    def refrigerating_effect(self) -> float:
        """q_e = h1 - h4, taken up by the evaporating coil (J/kg)."""
        return self.point("1").enthalpy - self.point("4").enthalpy

    @cached_property
    def heat_rejected(self) -> float:
        """q_c = h2 - h3, given off by the condensing coil (J/kg)."""
        return self.point("2").enthalpy - self.point("3").enthalpy

    @property
    def cop_cooling(self) -> float:
        """COP = q_e / w."""
        return self.refrigerating_effect / self.specific_work

    @property
    def cop_heating(self) -> float:
        """COP = q_c / w = COP cooling + 1 for an adiabatic compressor."""
        return self.heat_rejected / self.specific_work

    @property
    def pressure_ratio(self) -> float:
        """p2 / p1, of absolute pressures."""
        return self.point("2").pressure / self.point("1").pressure

    @property
    def flash_gas(self) -> float:
        """x4, the share of vapour that enters the evaporator (kg/kg)."""
        quality = self.point("4").quality
        return 0.0 if quality is None else quality


def solve(refrigerant: Refrigerant, conditions: Conditions, circuit: Circuit | None = None) -> Cycle:
    """The cycle of a refrigerant at given conditions in a circuit (a device at each coil by default).

        h2 = h1 + (h2s - h1) / isentropic_efficiency,  s2s = s1,  h4 = h3

    Conditions in SI (`Conditions`).  Raises `CircuitError` where valve position and
    metering direction contradict each other or there is no cycle, and `LimitError` for
    conditions that cannot be, each naming the quantity, the limit and what to change.

    Source: any textbook of the cycle; ASHRAE Handbook - Fundamentals, chapter
    Thermodynamics and Refrigeration Cycles, has the worked example below (Example 3:
    R-134a, -20 and 30 C, COP 3.97; from memory, not seen here).

    >>> from hpteach.fluids import refrigerant
    >>> cooling = Conditions(ValvePosition.COOLING, "indoor coil", 253.15, 303.15)
    >>> round(solve(refrigerant("R-134a"), cooling).cop_cooling, 2)
    3.97
    """
    circuit = plumbing.reversible_circuit() if circuit is None else circuit
    flow = plumbing.flow(circuit, conditions.valve_position)
    _check_direction(conditions, flow)
    low, high = _pressures(refrigerant, conditions)
    suction = _suction(refrigerant, low, conditions)
    condensing_begins, condensing_ends = refrigerant.saturated_vapour(high), refrigerant.saturated_liquid(high)
    ideal = _ideal_discharge(refrigerant, high, suction.entropy, conditions)
    work = (ideal.enthalpy - suction.enthalpy) / conditions.isentropic_efficiency
    discharge = ideal if conditions.isentropic_efficiency == 1.0 else _discharge(refrigerant, high, suction.enthalpy + work, conditions)
    liquid = _liquid(refrigerant, low, high, condensing_ends, conditions)
    inlet = refrigerant.state_ph(low, liquid.enthalpy)
    met = {
        "1": suction,
        "2": discharge,
        "2a": condensing_begins if discharge.enthalpy >= condensing_begins.enthalpy else None,
        "2b": condensing_ends,
        "3": liquid,
        "4": inlet,
        "4a": refrigerant.saturated_vapour(low),
    }
    points = tuple(_point(label, state, flow) for label, state in met.items() if state is not None)
    return Cycle(refrigerant.name, conditions, flow, points, ideal)


def conditions_for(flow: Flow, **chosen: float) -> Conditions:
    """Conditions whose valve position and metering direction are those of a flow.

    Raises `CircuitError` where the flow has no evaporator to meter into.

    >>> cooling = plumbing.flow(plumbing.reversible_circuit(), ValvePosition.COOLING)
    >>> conditions_for(cooling, saturated_suction_temperature=280.0,
    ...                saturated_condensing_temperature=315.0).meters_towards
    'indoor coil'
    """
    if flow.evaporator is None:
        raise _no_cycle(flow)
    return Conditions(valve_position=flow.valve_position, meters_towards=flow.evaporator, **chosen)


def _check_direction(conditions: Conditions, flow: Flow) -> None:
    coils = (plumbing.INDOOR_COIL, plumbing.OUTDOOR_COIL)
    if conditions.meters_towards not in coils:
        raise UnknownNameError.among("metering direction", conditions.meters_towards, coils)
    if flow.evaporator is None:
        raise _no_cycle(flow)
    if conditions.meters_towards != flow.evaporator:
        raise CircuitError(
            f"metering towards the {conditions.meters_towards} contradicts the valve in {flow.valve_position.value}, "
            f"where the {flow.condenser} condenses: meter towards the {flow.evaporator}, or turn the valve"
        )


def _no_cycle(flow: Flow) -> CircuitError:
    return CircuitError(
        f"with the valve {flow.valve_position.value} there is no cycle to compute "
        f"({' '.join(remark.rstrip('.') + ';' for remark in flow.remarks).rstrip(';')}): choose heating or cooling, with sound parts"
    )


def _pressures(refrigerant: Refrigerant, conditions: Conditions) -> tuple[float, float]:
    efficiency = conditions.isentropic_efficiency
    if not 0.0 < efficiency <= 1.0:
        raise LimitError(f"isentropic efficiency of {efficiency:g} is outside 0 to 1: use a number above 0 and up to 1, such as 0.7")
    for quantity in ("superheat", "subcooling"):
        if not math.isfinite(getattr(conditions, quantity)):
            raise LimitError(f"{quantity} of {getattr(conditions, quantity)} is not a finite number: give a temperature difference")
    evaporating, condensing = conditions.saturated_suction_temperature, conditions.saturated_condensing_temperature
    low = _dew_pressure(refrigerant, evaporating, "saturated suction temperature")
    high = _dew_pressure(refrigerant, condensing, "saturated condensing temperature")
    if not condensing - evaporating >= _LEAST_LIFT:
        raise LimitError(
            "saturated condensing temperature of {condensing} is not above the saturated suction temperature of {evaporating}: "
            "raise the first or lower the second",
            condensing=Measure(condensing, "temperature"),
            evaporating=Measure(evaporating, "temperature"),
        )
    return low, high


def _dew_pressure(refrigerant: Refrigerant, temperature: float, quantity: str) -> float:
    try:
        return refrigerant.dew_pressure(temperature)
    except LimitError as error:
        raise LimitError(f"{quantity}: {error.template}", **error.measures) from None


def _suction(refrigerant: Refrigerant, low: float, conditions: Conditions) -> State:
    try:
        return refrigerant.superheated(low, conditions.superheat)
    except LimitError as error:
        if conditions.superheat < 0.0:
            raise
        raise LimitError(
            f"superheat of {{given}} puts the suction vapour beyond the equation of state of {refrigerant.name}, which ends at {{limit}}: "
            "use less",
            given=Measure(conditions.superheat, "temperature difference"),
            limit=Measure(refrigerant.highest_temperature, "temperature"),
        ) from error


def _ideal_discharge(refrigerant: Refrigerant, high: float, entropy: float, conditions: Conditions) -> State:
    try:
        return refrigerant.state_ps(high, entropy)
    except LimitError as error:
        raise LimitError(
            "saturated condensing temperature of {condensing}, with a saturated suction temperature of {evaporating} and {superheat} "
            f"of superheat, makes the discharge vapour hotter than the equation of state of {refrigerant.name}, which ends at {{limit}}: "
            "bring the two saturated temperatures closer, or lower the superheat",
            condensing=Measure(conditions.saturated_condensing_temperature, "temperature"),
            evaporating=Measure(conditions.saturated_suction_temperature, "temperature"),
            superheat=Measure(conditions.superheat, "temperature difference"),
            limit=Measure(refrigerant.highest_temperature, "temperature"),
        ) from error


def _discharge(refrigerant: Refrigerant, high: float, enthalpy: float, conditions: Conditions) -> State:
    try:
        return refrigerant.state_ph(high, enthalpy)
    except LimitError as error:
        raise LimitError(
            f"isentropic efficiency of {conditions.isentropic_efficiency:g} makes the discharge vapour too hot "
            f"for the equation of state of {refrigerant.name}, which ends at {{limit}}: "
            "raise the efficiency, lower the superheat or bring the two saturated temperatures closer",
            limit=Measure(refrigerant.highest_temperature, "temperature"),
        ) from error


def _liquid(refrigerant: Refrigerant, low: float, high: float, bubble: State, conditions: Conditions) -> State:
    evaporating = refrigerant.bubble_temperature(low)
    most = bubble.temperature - evaporating
    subcooling = conditions.subcooling
    if subcooling >= most:
        raise LimitError(
            "subcooling of {subcooling} puts the liquid line at {liquid}, not above the evaporating temperature of {evaporating}: "
            "use less than {most}",
            subcooling=Measure(subcooling, "temperature difference"),
            liquid=Measure(bubble.temperature - subcooling, "temperature"),
            evaporating=Measure(evaporating, "temperature"),
            most=Measure(most, "temperature difference"),
        )
    liquid = refrigerant.subcooled(high, subcooling)
    if liquid.enthalpy >= refrigerant.saturated_vapour(low).enthalpy:
        raise LimitError(
            "saturated condensing temperature of {condensing} is so far above the saturated suction temperature of {evaporating} "
            "that all the liquid flashes in the metering device and nothing is left to boil: bring them closer, or subcool more",
            condensing=Measure(conditions.saturated_condensing_temperature, "temperature"),
            evaporating=Measure(conditions.saturated_suction_temperature, "temperature"),
        )
    return liquid


def _point(label: str, state: State, flow: Flow) -> StatePoint:
    return StatePoint(
        **vars(state),
        number=int(label) if label.isdigit() else None,
        label=label,
        name=NAMES[label],
        place=flow.place(label),
    )


def _labelled(points: tuple[StatePoint, ...], label: str) -> StatePoint:
    for point in points:
        if point.label == label:
            return point
    raise UnknownNameError.among("state point", label, [point.label for point in points])
