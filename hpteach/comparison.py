"""Two refrigerants at one duty, or one refrigerant before and after a change.

What lives here: a solved cycle at a duty (mass flow, suction volume flow, power), the
conditions that make two refrigerants comparable, and what the second has over the first.
What does not: the cycle itself (cycle), sentences and tables (panels.comparison).

The duty is the useful heat of the valve's position: what the evaporating coil takes up in
cooling, what the condensing coil gives off in heating.  Nothing is said of coils and
compressors: in a real machine they would change with the refrigerant.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from hpteach.circuit import Circuit, ValvePosition
from hpteach.cycle import Cycle, solve
from hpteach.errors import InputError, LimitError, Measure, PropertyError, UnknownNameError
from hpteach.fluids import Refrigerant

EQUAL = ("dew", "mean")
"""What two refrigerants may have in common: dew temperatures, or mean temperatures of the coils."""

QUANTITIES = {
    "mass_flow": "mass flow",
    "suction_volume_flow": "volume flow",
    "volumetric_capacity": "volumetric capacity",
    "compressor_power": "power",
    "other_heat": "power",
    "cop": "ratio",
    "evaporating_pressure": "pressure",
    "condensing_pressure": "pressure",
    "pressure_ratio": "ratio",
    "discharge_temperature": "temperature",
    "evaporating_glide": "temperature difference",
    "condensing_glide": "temperature difference",
}
"""What is compared, with its kind of `hpteach.units`."""

_DIFFERENCES = ("temperature", "temperature difference")
_CLOSE = 1e-7
"""K; how near the mean temperature comes to the one that is wanted."""
_MOST_STEPS = 30


@dataclass(frozen=True)
class AtDuty:
    """A cycle at a duty: all in SI, per machine and not per kilogram.

    duty, compressor_power and other_heat (what the other coil moves) in W; mass_flow in kg/s;
    suction_volume_flow in m3/s at point 1, which is what the compressor has to displace at a volumetric
    efficiency of 1; volumetric_capacity, the duty for each cubic metre of suction vapour, in J/m3;
    temperatures in K, pressures in Pa absolute; glide in K, from bubble to dew at each pressure.
    """

    cycle: Cycle
    duty: float
    mass_flow: float
    suction_volume_flow: float
    volumetric_capacity: float
    compressor_power: float
    other_heat: float
    cop: float
    evaporating_pressure: float
    condensing_pressure: float
    pressure_ratio: float
    discharge_temperature: float
    evaporating_glide: float
    condensing_glide: float


@dataclass(frozen=True)
class Compared:
    """Two cycles at one duty; `ratio` and `difference` are of the second to the first.

    >>> from hpteach.cycle import Conditions
    >>> from hpteach.fluids import refrigerant
    >>> r22, r290 = refrigerant("R-22"), refrigerant("R-290")
    >>> first = solve(r22, Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7))
    >>> second = same_conditions(r290, first)
    >>> found = compare(at_duty(r22, first, 10e3), at_duty(r290, second, 10e3))
    >>> round(found.ratio("mass_flow"), 2), round(found.ratio("suction_volume_flow"), 2)
    (0.57, 1.18)
    >>> round(found.difference("discharge_temperature"), 1)
    -16.5
    """

    first: AtDuty
    second: AtDuty

    def ratio(self, quantity: str) -> float:
        """Second divided by first, for a name of `QUANTITIES`.

        Raises `UnknownNameError` for any other name, and `InputError` for temperatures and glides: a ratio of
        temperatures depends on where the scale begins, and one of the glides may be zero.
        """
        if _kind(quantity) in _DIFFERENCES:
            raise InputError(f"a ratio of {quantity.replace('_', ' ')}s says nothing: take the difference")
        return getattr(self.second, quantity) / getattr(self.first, quantity)

    def difference(self, quantity: str) -> float:
        """Second minus first, in SI; K for temperatures.  Raises `UnknownNameError` for a name that is not in `QUANTITIES`."""
        _kind(quantity)
        return getattr(self.second, quantity) - getattr(self.first, quantity)


def at_duty(refrigerant: Refrigerant, cycle: Cycle, duty: float) -> AtDuty:
    """What a solved cycle of a refrigerant needs for a duty (W).

        mass flow = duty / q,  V1 = mass flow / density at 1,  power = mass flow * w

    with q the refrigerating effect in cooling and the heat rejected in heating.  Raises `LimitError` for a
    duty that is not positive, and `InputError` where the cycle is of another refrigerant.

    Source: ASHRAE Handbook - Fundamentals, chapter Thermodynamics and Refrigeration Cycles, compares refrigerants
    in this way, for each kilowatt (from memory, not seen here).

    >>> from hpteach.cycle import Conditions
    >>> from hpteach.fluids import refrigerant
    >>> r134a = refrigerant("R-134a")
    >>> found = at_duty(r134a, solve(r134a, Conditions(ValvePosition.COOLING, "indoor coil", 253.15, 303.15)), 50e3)
    >>> round(found.mass_flow, 3), round(found.suction_volume_flow, 4)
    (0.345, 0.0509)
    """
    if cycle.refrigerant != refrigerant.name:
        raise InputError(f"the cycle is one of {cycle.refrigerant}, not of {refrigerant.name}: give both of one refrigerant")
    if not 0.0 < duty < math.inf:
        raise LimitError("duty of {duty} is not possible: use a positive one, such as {example}",
                         duty=Measure(duty, "power"), example=Measure(10e3, "power"))  # fmt: skip
    one, two = cycle.point("1"), cycle.point("2")
    heating = cycle.flow.valve_position is ValvePosition.HEATING
    useful, other = (cycle.heat_rejected, cycle.refrigerating_effect) if heating else (cycle.refrigerating_effect, cycle.heat_rejected)
    mass_flow = duty / useful
    return AtDuty(
        cycle=cycle,
        duty=duty,
        mass_flow=mass_flow,
        suction_volume_flow=mass_flow / one.density,
        volumetric_capacity=useful * one.density,
        compressor_power=mass_flow * cycle.specific_work,
        other_heat=mass_flow * other,
        cop=useful / cycle.specific_work,
        evaporating_pressure=one.pressure,
        condensing_pressure=two.pressure,
        pressure_ratio=cycle.pressure_ratio,
        discharge_temperature=two.temperature,
        evaporating_glide=refrigerant.glide(one.pressure),
        condensing_glide=refrigerant.glide(two.pressure),
    )


def compare(first: AtDuty, second: AtDuty) -> Compared:
    """The second beside the first, both at one duty.

    Raises `LimitError` where the duties differ, `InputError` where one heats and the other cools.

    >>> from hpteach.cycle import Conditions
    >>> from hpteach.fluids import refrigerant
    >>> conditions = Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15)
    >>> first, second = (at_duty(fluid, solve(fluid, conditions), 10e3) for fluid in map(refrigerant, ("R-410A", "R-32")))
    >>> compare(first, second).ratio("mass_flow") < 1.0
    True
    """
    if not math.isclose(first.duty, second.duty, rel_tol=1e-9):
        raise LimitError(
            "duties of {first} and {second} differ: compare both at the same one", first=Measure(first.duty, "power"), second=Measure(second.duty, "power")
        )
    one, other = (at.cycle.flow.valve_position.value for at in (first, second))
    if one != other:
        raise InputError(f"the first cycle is in {one} and the second in {other}, where the duty is that of another coil: compare both in one position")
    return Compared(first, second)


def mean_evaporating_temperature(cycle: Cycle) -> float:
    """The middle (K) between the evaporator's inlet, point 4, and the end of boiling: 4a, or 1 where the suction carries liquid.

    >>> from hpteach.cycle import Conditions
    >>> from hpteach.fluids import refrigerant
    >>> cycle = solve(refrigerant("R-407C"), Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15))
    >>> round(mean_evaporating_temperature(cycle), 1)
    277.9
    """
    return 0.5 * (cycle.point("4").temperature + _ends(cycle, "4a", "1"))


def mean_condensing_temperature(cycle: Cycle) -> float:
    """The middle (K) between the dew point of the high pressure and the end of condensing: 2b, or 3 where not all condenses.

    >>> from hpteach.cycle import Conditions
    >>> from hpteach.fluids import refrigerant
    >>> cycle = solve(refrigerant("R-407C"), Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15))
    >>> round(mean_condensing_temperature(cycle), 1)
    315.7
    """
    return 0.5 * (cycle.conditions.saturated_condensing_temperature + _ends(cycle, "2b", "3"))


def _ends(cycle: Cycle, crossing: str, otherwise: str) -> float:
    met = {point.label: point.temperature for point in cycle.points}
    return met.get(crossing, met[otherwise])


def same_conditions(refrigerant: Refrigerant, first: Cycle, equal: str = "dew", circuit: Circuit | None = None) -> Cycle:
    """The cycle of a refrigerant at the conditions of another cycle.

    Valve position, superheat, subcooling and isentropic efficiency are those of `first`.  `equal` says what of the
    temperatures is: "dew", the saturated (dew) temperatures, as AHRI 540 and EN 12900 rate compressors; or
    "mean", the mean temperatures of both coils (`mean_evaporating_temperature`, `mean_condensing_temperature`), which
    are fairer to a blend with glide, as its coil is on average colder than its dew point.

    Raises `UnknownNameError` for another word, and `LimitError` or `PropertyError`, which name the refrigerant, where it
    has no cycle at these conditions.  Source of both conventions: AHRI 540 and EN 12900 (from memory, not seen here).

    >>> from hpteach.cycle import Conditions
    >>> from hpteach.fluids import refrigerant
    >>> first = solve(refrigerant("R-22"), Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 318.15, 5.0, 5.0, 0.7))
    >>> second = same_conditions(refrigerant("R-407C"), first, "mean")
    >>> round(mean_condensing_temperature(second), 3), round(second.conditions.saturated_condensing_temperature, 2)
    (318.15, 320.54)
    """
    if equal not in EQUAL:
        raise UnknownNameError.among("equal temperature", equal, EQUAL)
    conditions = first.conditions
    try:
        if equal == "mean":
            condensing = _dew_for_mean(lambda dew: _mean_condensing(refrigerant, dew), mean_condensing_temperature(first))
            high = refrigerant.dew_pressure(condensing)
            enthalpy = refrigerant.subcooled(high, conditions.subcooling).enthalpy
            evaporating = _dew_for_mean(lambda dew: _mean_evaporating(refrigerant, dew, enthalpy), mean_evaporating_temperature(first))
            conditions = replace(conditions, saturated_suction_temperature=evaporating, saturated_condensing_temperature=condensing)
        return solve(refrigerant, conditions, circuit)
    except LimitError as error:
        raise LimitError(f"{refrigerant.name} cannot be compared at these conditions: {error.template}", **error.measures) from error
    except PropertyError as error:
        raise PropertyError(f"{refrigerant.name} cannot be compared at these conditions: {error.template}", **error.measures) from error


def _kind(quantity: str) -> str:
    if quantity not in QUANTITIES:
        raise UnknownNameError.among("quantity", quantity, QUANTITIES)
    return QUANTITIES[quantity]


def _mean_condensing(refrigerant: Refrigerant, dew: float) -> float:
    return 0.5 * (dew + refrigerant.bubble_temperature(refrigerant.dew_pressure(dew)))


def _mean_evaporating(refrigerant: Refrigerant, dew: float, enthalpy: float) -> float:
    return 0.5 * (dew + refrigerant.state_ph(refrigerant.dew_pressure(dew), enthalpy).temperature)


def _dew_for_mean(mean_at: Callable[[float], float], wanted: float) -> float:
    """The dew temperature (K) whose mean is the wanted one, by a straight line between two ends that hold it.

    The mean lies below the dew temperature by half of the warming along the coil, which hardly changes with the
    pressure: so the dew temperature lies above `wanted` by about that, and not by twice as much.
    """
    near, lack = wanted, wanted - mean_at(wanted)
    if abs(lack) <= _CLOSE:
        return wanted
    far = wanted + 2.0 * lack
    beyond = wanted - mean_at(far)
    if lack * beyond > 0.0:
        raise LimitError("a mean temperature of {wanted} is not reached near it: choose another", wanted=Measure(wanted, "temperature"))
    for _ in range(_MOST_STEPS):
        between = (near * beyond - far * lack) / (beyond - lack)
        left = wanted - mean_at(between)
        if abs(left) <= _CLOSE:
            return between
        if left * beyond < 0.0:
            near, lack = far, beyond
        else:  # the same end stays twice: half its weight, so that the line does not creep (the Illinois rule)
            lack *= 0.5
        far, beyond = between, left
    raise PropertyError(f"no dew temperature found for a mean temperature of {wanted:.6g} K")
