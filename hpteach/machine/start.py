"""Where a search for the balance begins: unknowns that lie near it, from a few states and dry coils.

What lives here: `likely`.  What does not: the search (balance), the equations (trial).

Sought is the evaporating temperature at which the superheat that the evaporator gives is the superheat that the metering
device needs to pass what the compressor takes.  On the way from two common saturated temperatures, ln p is a straight line in 1/T and
vapour an ideal gas; the start need not be exact.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from hpteach.errors import LimitError
from hpteach.fluids import State
from hpteach.machine.trial import Trials

_BELOW = {"indoor coil": 12.0, "outdoor coil": 6.0}
_ABOVE, _LEAST_LIFT = 12.0, 15.0
"""K by which refrigerant commonly boils below and condenses above the air; the least between the two, for the figures to begin with."""

_MOST_BELOW = 60.0
_SUBCOOLING = 5.0
_FLOODED = -100.0
"""K of superheat, below zero as in the balance, with which an orifice is begun that passes much more than the compressor takes."""

_HALVINGS = 14


def likely(trials: Trials, superheat: float, above: float) -> np.ndarray | None:
    """The unknowns of a search (balance) near which it will close; None where the figures come to nothing.

    `superheat` (K) is that of a valve amid its band; `above` is the share of what the condensing temperature lies above the air that is used.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air, refrigerant
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.air_side import AirStream
    >>> machine, airs = demo_machine("R-32"), (moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5))
    >>> coils = machine.coils(ValvePosition.HEATING)
    >>> streams = [AirStream(air, coil.air_flow, coil.air_conductance) for air, coil in zip(airs, coils)]
    >>> trials = Trials(machine, refrigerant("R-32"), *coils, machine.outdoor_metering, *streams, charge=1.5, speed_ratio=1.0)
    >>> below, condensing, superheat = likely(trials, 5.0, 1.0).tolist()
    >>> 305.0 < condensing < 325.0, 3.0 < superheat < 8.0
    (True, True)
    """
    try:
        found = _Likely(trials)
        below, condensing, superheat = found.unknowns(superheat)
        return np.array([below, found.warm + above * (condensing - found.warm), superheat])
    except (ValueError, ArithmeticError):  # refusals, and figures far beyond what a machine can be
        return None


class _Curve:
    """ln p on a straight line in 1/T, through two states of saturation."""

    def __init__(self, low: State, high: State) -> None:
        self._slope = math.log(high.pressure / low.pressure) / (1.0 / high.temperature - 1.0 / low.temperature)
        self._low = low

    def pressure(self, temperature: float) -> float:
        return self._low.pressure * math.exp(self._slope * (1.0 / temperature - 1.0 / self._low.temperature))

    bubble_pressure = pressure

    def kelvin(self, loss: float, temperature: float) -> float:
        """By how much a loss of pressure (Pa) lowers the temperature of saturation."""
        return -loss * temperature**2 / (self._slope * self.pressure(temperature))


class _Likely:
    """Flow and differences of temperature at common saturated temperatures."""

    def __init__(self, trials: Trials) -> None:
        self.trials, self.metering = trials, trials.metering
        fluid, cold, warm, evaporator = trials.refrigerant, trials.boiling_air, trials.condensing_air, trials.evaporator
        self.cold, self.warm = cold.inlet.dry_bulb, warm.inlet.dry_bulb
        warmer = _BELOW[evaporator.place]
        self.suction = suction = fluid.saturated_vapour(fluid.dew_pressure(min(self.cold - warmer, self.warm + _ABOVE - _LEAST_LIFT)))
        bubble = fluid.saturated_liquid(suction.pressure)
        discharge = fluid.saturated_vapour(fluid.dew_pressure(self.warm + _ABOVE))
        self.liquid = liquid = fluid.saturated_liquid(discharge.pressure)
        self.dew, self.bubble = _Curve(suction, discharge), _Curve(bubble, liquid)
        self.condensing_glide = discharge.temperature - liquid.temperature
        compression = trials.machine.compressor.run(fluid, suction, discharge.pressure, trials.speed_ratio)
        self.flow = compression.mass_flow
        given = self.flow * (compression.discharge_enthalpy - liquid.enthalpy)
        self.above = given / (warm.capacity_flow * warm.effectiveness(trials.condenser.condensing_conductance))
        self.warm += 0.5 * self.condensing_glide  # what the dew point of a blend lies above the middle of the condensing zone
        effect = suction.enthalpy - liquid.enthalpy
        self.glide = (suction.temperature - bubble.temperature) * effect / (suction.enthalpy - bubble.enthalpy)
        self.boiling = self.flow * effect * warmer / cold.meets(self.cold - warmer, evaporator.boiling_conductance).heat
        loss = evaporator.boiling_loss.at(self.flow, suction.density)
        self.farther = 0.5 * (self.glide - self.dew.kelvin(loss, suction.temperature))
        heat = 0.25 * (fluid.superheated(suction.pressure, 4.0).enthalpy - suction.enthalpy)
        self.superheating = self.flow * heat / (cold.capacity_flow * cold.effectiveness(evaporator.vapour_conductance))

    def unknowns(self, superheat: float) -> np.ndarray:
        """The logarithm of what the leaving vapour stays below the air, the condensing dew temperature, the superheat."""
        low, high = 0.2, _MOST_BELOW
        for _ in range(_HALVINGS):
            warmer = 0.5 * (low + high)
            ratio, condensing, share = self._flowing(warmer)
            dry = 1.0 - ratio * self.boiling / max(warmer + self.farther, 0.3 * warmer)
            below = warmer * math.exp(-max(dry, 0.0) / (ratio * self.superheating))
            if not self.metering.holds_superheat:
                too_little = share > 1.0 or dry < 0.0
            elif share > 1.0:
                too_little = True
            else:
                superheat = self.metering.opens_at + share * (self.metering.fully_open_at - self.metering.opens_at)
                too_little = warmer - below < superheat
            low, high = (warmer, high) if too_little else (low, warmer)
        if not self.metering.holds_superheat and share < 0.95:
            return np.array([math.log(warmer), condensing, _FLOODED * (1.0 - share)])
        if dry <= 0.0:
            return np.array([math.log(warmer), condensing, superheat])
        return np.array([math.log(below), condensing, max(warmer - below, 0.5)])

    def _flowing(self, warmer: float) -> tuple[float, float, float]:
        """With the dew point so far (K) below the air: the flow over that of the first figures, the condensing temperature, the opening it needs."""
        evaporating = self.cold - warmer
        low = self.dew.pressure(evaporating)
        ratio = low / self.suction.pressure * self.suction.temperature / evaporating
        suction = replace(self.suction, pressure=low, temperature=evaporating, density=ratio * self.suction.density)
        high = self.dew.pressure(self.warm + ratio * self.above)
        if high > low:
            ratio = self._intake(suction, high) / self.flow
        condensing = self.warm + ratio * self.above
        high = self.dew.pressure(condensing)
        liquid = replace(self.liquid, temperature=condensing - self.condensing_glide - _SUBCOOLING, quality=None)
        passes = self.metering.passes(self.bubble, liquid, high, low)
        return ratio, condensing, ratio * self.flow / passes if passes > 0.0 else math.inf

    def _intake(self, suction: State, high: float) -> float:
        """What the compressor takes in; next to nothing at a pressure ratio that it refuses."""
        try:
            return self.trials.machine.compressor.intake(self.trials.refrigerant, suction, high, self.trials.speed_ratio)
        except LimitError:
            return 1e-3 * self.flow
