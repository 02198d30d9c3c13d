"""A machine of another size or for another refrigerant: the same coils, all else sized to a rating.

What lives here: `Rating`, `sized`.  What does not: what the machine does then (balance).

Sized are the swept volume (to the capacity), the charge (to the subcooling), what is held aside
in heating (to the same subcooling there), both metering devices (a share of their opening) and the
pressure losses, which keep their share of the pressure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hpteach.circuit import ValvePosition
from hpteach.errors import HpteachError, InputError
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine.balance import operate
from hpteach.machine.coils import Coil, PressureLoss
from hpteach.machine.compressor import DisplacementCompressor, require
from hpteach.machine.machine import Machine
from hpteach.machine.metering import Metering
from hpteach.machine.operation import Operation

_ROUNDS = 12
_CLOSE = 1e-5
_ANSWER = 1.75
"""A capacity a hundredth larger takes a swept volume about so many hundredths larger, as the coils stay."""


@dataclass(frozen=True)
class Rating:
    """The weather at which a machine is sized, and what it must reach there.

    `cooling_capacity` (W) with the air of `cooling` (outdoor, indoor), `subcooling` (K) in both positions,
    `share_open` of a valve in both.  Weather by default: 35 C and 27/19 C in cooling, 7/6 C and 20 C in
    heating, of EN 14511 and Regulation (EU) 206/2012.
    """

    cooling_capacity: float = 10e3
    subcooling: float = 6.0
    share_open: float = 0.6

    @property
    def cooling(self) -> tuple[MoistAir, MoistAir]:
        """Air outdoors and indoors at which it cools: 35/24 and 27/19 C, as EN 14511 rates air to air (from memory)."""
        return moist_air(308.15, wet_bulb=297.15), moist_air(300.15, wet_bulb=292.15)

    @property
    def heating(self) -> tuple[MoistAir, MoistAir]:
        """Air outdoors and indoors at which it heats: 7/6 and 20/15 C, as EN 14511 rates air to air (from memory)."""
        return moist_air(280.15, wet_bulb=279.15), moist_air(293.15, wet_bulb=288.15)


def sized(machine: Machine, refrigerant: str, rating: Rating | None = None) -> Machine:
    """The machine for a refrigerant, sized to a rating.

    Raises `InputError` where the refrigerant cannot do it in these coils, and for a compressor known by a map, which has its size.

    >>> from hpteach.machine import demo_machine
    >>> sized(demo_machine("R-32"), "R-1234yf").refrigerant
    'R-1234yf'
    """
    rating = Rating() if rating is None else rating
    require(rating.cooling_capacity, "cooling capacity in W", "above 0", above=0.0)
    require(rating.subcooling, "subcooling in K", "above 0 and up to 30", above=0.0, most=30.0)
    require(rating.share_open, "share to which a valve is open", "above 0 and less than 1", above=0.0, most=0.99)
    if not isinstance(machine.compressor, DisplacementCompressor):
        raise InputError(f"{machine.name} has a compressor known by its map, which has one size and one refrigerant: use one with a swept volume")
    candidate = replace(machine, refrigerant=refrigerant, name=f"{machine.name}, sized for {refrigerant}") if refrigerant != machine.refrigerant else machine
    try:
        candidate = _first_guess(candidate, machine, rating)
        for _ in range(_ROUNDS):
            before = candidate
            candidate = _cooling_round(candidate, rating)
            if abs(candidate.compressor.swept_volume / before.compressor.swept_volume - 1.0) < _CLOSE and abs(candidate.charge / before.charge - 1.0) < _CLOSE:
                return _for_heating(candidate, rating)
    except HpteachError as error:
        raise InputError(f"{machine.name} cannot be sized for {refrigerant}: {error.template}", **error.measures) from None
    raise InputError(f"{machine.name} cannot be sized for {refrigerant}: capacity and charge find no rest")


def _first_guess(candidate: Machine, machine: Machine, rating: Rating) -> Machine:
    """Swept volume by the heat that a volume of vapour carries, charge by the density of liquid, losses by pressure and flow."""
    from hpteach.fluids import refrigerant

    old, new = refrigerant(machine.refrigerant), refrigerant(candidate.refrigerant)

    def figures(fluid) -> tuple[float, float, float, float, float]:  # noqa: ANN001
        low, high = fluid.dew_pressure(280.15), fluid.dew_pressure(318.15)
        vapour, liquid = fluid.superheated(low, 5.0), fluid.subcooled(high, 5.0)
        return vapour.density, vapour.enthalpy - liquid.enthalpy, liquid.density, low, high

    (v0, q0, l0, low0, high0), (v1, q1, l1, low1, high1) = figures(old), figures(new)
    flow = rating.cooling_capacity / q1
    swept = machine.compressor.swept_volume * (v0 * q0) / (v1 * q1) * rating.cooling_capacity / 10e3

    def loss(one: PressureLoss, share: float, density: float) -> PressureLoss:
        if candidate.refrigerant == machine.refrigerant:
            return one
        return PressureLoss(drop=one.drop * share, mass_flow=flow, density=one.density * density)

    def coil(one: Coil) -> Coil:
        return replace(one, boiling_loss=loss(one.boiling_loss, low1 / low0, v1 / v0), condensing_loss=loss(one.condensing_loss, high1 / high0, v1 / v0))

    opening = math.sqrt(l0 * (high0 - low0) / (l1 * (high1 - low1))) * q0 / q1 * rating.cooling_capacity / 10e3

    def device(one: Metering) -> Metering:
        return replace(one, opening=one.opening * opening)

    return replace(
        candidate,
        compressor=replace(candidate.compressor, swept_volume=swept),
        indoor_coil=coil(candidate.indoor_coil),
        outdoor_coil=coil(candidate.outdoor_coil),
        charge=candidate.charge * l1 / l0,
        held_aside=candidate.held_aside * l1 / l0,
        suction_loss=loss(candidate.suction_loss, low1 / low0, v1 / v0),
        discharge_loss=loss(candidate.discharge_loss, high1 / high0, v1 / v0),
        liquid_loss=loss(candidate.liquid_loss, high1 / high0, l1 / l0),
        indoor_metering=device(candidate.indoor_metering),
        outdoor_metering=device(candidate.outdoor_metering),
    )  # fmt: skip


def _cooling_round(machine: Machine, rating: Rating) -> Machine:
    found = _run(machine, ValvePosition.COOLING, rating)
    swept = machine.compressor.swept_volume * (rating.cooling_capacity / found.capacity) ** _ANSWER
    machine = replace(machine, compressor=replace(machine.compressor, swept_volume=swept))
    opening = machine.indoor_metering.opening * _opened(machine.indoor_metering, found) / rating.share_open
    machine = replace(machine, indoor_metering=replace(machine.indoor_metering, opening=opening))

    def off(charge: float) -> float:
        return _subcooling(_run(replace(machine, charge=charge), ValvePosition.COOLING, rating)) - rating.subcooling

    charge = _root(off, machine.charge)
    return replace(machine, charge=charge, held_aside=min(machine.held_aside, 0.6 * charge))


def _for_heating(machine: Machine, rating: Rating) -> Machine:
    def off(charge: float) -> float:
        return _subcooling(_run(replace(machine, held_aside=machine.charge - charge), ValvePosition.HEATING, rating)) - rating.subcooling

    for _ in range(4):
        charge = _root(off, machine.charge - machine.held_aside)
        machine = replace(machine, held_aside=max(machine.charge - charge, 0.0))
        found = _run(machine, ValvePosition.HEATING, rating)
        opening = machine.outdoor_metering.opening * _opened(machine.outdoor_metering, found) / rating.share_open
        machine = replace(machine, outdoor_metering=replace(machine.outdoor_metering, opening=opening))
    return machine


def _opened(device: Metering, found: Operation) -> float:
    """How far a valve is open; an orifice is sized to let through the flow of the rating at the superheat that a valve would hold."""
    return found.share_open if device.holds_superheat else 0.6


def _subcooling(found: Operation) -> float:
    """Subcooling, going on below zero where the condenser does not condense all."""
    quality = found.cycle.point("3").quality
    return found.subcooling if quality is None else -40.0 * quality


def _root(off, start: float) -> float:  # noqa: ANN001
    from scipy.optimize import brentq  # loaded by whoever sizes a machine: a lesson does not

    low = high = start
    for _ in range(30):
        if off(low) < 0.0:
            break
        low *= 0.93
    for _ in range(30):
        if off(high) > 0.0:
            break
        high *= 1.07
    if not off(low) < 0.0 < off(high):
        raise InputError("no charge gives the subcooling of the rating: use a smaller capacity or larger coils")
    return float(brentq(off, low, high, xtol=1e-9, rtol=1e-9))


def _run(machine: Machine, valve_position: ValvePosition, rating: Rating) -> Operation:
    return operate(machine, valve_position, *(rating.heating if valve_position is ValvePosition.HEATING else rating.cooling))
