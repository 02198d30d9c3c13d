"""The air side of a coil: what heat the air gives or takes at a refrigerant temperature, dry, wet or frosting.

What lives here: `AirStream`, the air that passes one coil at one moment.  What does not: the
refrigerant side and its zones (coils), how frost grows (frost).

Every bit of the coil meets fresh air, as in a coil one row deep: with a local effectiveness
eps = 1 - exp(-NTU), 1/UA = 1/UA_air + 1/UA_refrigerant.

    dry    q = C_air eps (T_air - T_r)
    wet    q = m_air eps* (h_air - h_sat(T_r))       eps* = 1 - exp(-NTU*)
           NTU* = UA_air / C_air / (1 + c_s UA_air / (c_p UA_r)),  c_s = slope of h_sat between T_r and the surface

Source: the enthalpy method of Threlkeld, in the form of Braun, Klein & Mitchell, ASHRAE
Transactions 95(1) (1989), from memory, not seen here.  A coil is taken as wholly dry or
wholly wet, whichever gives more heat.  Where water freezes on the surface its heat of fusion
counts too; between 0.5 K above and below freezing a part of the surface does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from hpteach.fluids import MoistAir, SaturatedAir, saturated_air

FUSION = 333.6e3
"""J/kg, heat of fusion of water at 0 C (common reference value; from memory, not seen here)."""

_VAPOUR = 2.501e6
"""J/kg, about the enthalpy of water vapour, for a first guess."""

_FREEZING = 273.15
_RAMP = 0.5
"""K on both sides of freezing within which a part of the surface freezes."""

_COLDEST = 213.15
"""K, where saturated air begins; and where it ends."""

_WARMEST = 333.15

_ROUNDS = 3
"""Rounds by which the surface temperature, and with it the slope of saturation, is found."""


@dataclass(frozen=True)
class Met:
    """What the air meets at one refrigerant temperature (K): heat that it gives (W, for the whole coil), on a surface (K)."""

    heat: float
    wet: bool
    surface_temperature: float
    frozen_share: float


@dataclass(frozen=True)
class AirStream:
    """Air (`inlet`) that passes a coil as `volume_flow` (m3/s, counted at the inlet), with UA of its side in W/K.

    >>> from hpteach.fluids import moist_air
    >>> stream = AirStream(moist_air(293.15, relative_humidity=0.5), 0.5, 900.0)
    >>> round(stream.dry_flow, 3)
    0.595
    """

    inlet: MoistAir
    volume_flow: float
    conductance: float

    @cached_property
    def dry_flow(self) -> float:
        """Dry air that passes (kg/s)."""
        return self.volume_flow / self.inlet.specific_volume

    @cached_property
    def capacity_flow(self) -> float:
        """C = m c_p (W/K)."""
        return self.dry_flow * self.inlet.specific_heat

    @cached_property
    def _saturated(self) -> SaturatedAir:
        return saturated_air(self.inlet.pressure)

    @cached_property
    def _enthalpy(self) -> float:
        return self.inlet.enthalpy

    def effectiveness(self, refrigerant_conductance: float) -> float:
        """eps = 1 - exp(-UA / C_air), of every bit of a dry coil.

        >>> from hpteach.fluids import moist_air
        >>> stream = AirStream(moist_air(293.15, relative_humidity=0.5), 0.5, 900.0)
        >>> round(stream.effectiveness(1800.0), 3)
        0.628
        """
        total = 1.0 / (1.0 / self.conductance + 1.0 / refrigerant_conductance)
        return -math.expm1(-total / self.capacity_flow)

    def meets(self, temperature: float, refrigerant_conductance: float) -> Met:
        """The heat that the air gives to a coil all of whose refrigerant is at T (K); negative where the air is colder.

        >>> from hpteach.fluids import moist_air
        >>> stream = AirStream(moist_air(300.15, relative_humidity=0.5), 0.5, 900.0)
        >>> met = stream.meets(281.15, 1800.0)
        >>> round(met.heat), met.wet
        (9004, True)
        """
        warmer = self.inlet.dry_bulb - temperature
        dry = self.capacity_flow * self.effectiveness(refrigerant_conductance) * warmer
        surface = temperature + dry / refrigerant_conductance
        if warmer <= 0.0:
            return Met(dry, False, surface, 0.0)
        heat = dry
        for _ in range(_ROUNDS):
            frozen, wet = self._wet_heat(temperature, max(surface, temperature + 0.05), refrigerant_conductance)
            heat = max(wet, dry)
            surface = temperature + heat / refrigerant_conductance
        return Met(heat, wet > dry, surface, frozen if wet > dry else 0.0)

    def _wet_heat(self, temperature: float, surface: float, refrigerant_conductance: float) -> tuple[float, float]:
        saturated = self._saturated
        frozen = frozen_share(surface)
        fusion = FUSION * frozen
        at_refrigerant = saturated.enthalpy(temperature) + fusion * saturated.humidity_ratio(temperature)
        at_surface = saturated.enthalpy(surface) + fusion * saturated.humidity_ratio(surface)
        slope = (at_surface - at_refrigerant) / (surface - temperature)
        ratio = slope / self.inlet.specific_heat
        units = self.conductance / self.capacity_flow / (1.0 + ratio * self.conductance / refrigerant_conductance)
        driving = self._enthalpy + fusion * self.inlet.humidity_ratio - at_refrigerant
        return frozen, self.dry_flow * -math.expm1(-units) * driving

    def leaving(self, heat_share: float, share: float, met: Met) -> MoistAir:
        """The air behind a share of the coil that has taken `heat_share` (W) from it, met as `met` says.

        Wet: it lies on the line from the inlet to saturation at the surface, at
        h_s = h_in - (h_in - h_out) / (1 - exp(-UA_air / C_air)).

        >>> from hpteach.fluids import moist_air
        >>> stream = AirStream(moist_air(300.15, relative_humidity=0.5), 0.5, 900.0)
        >>> met = stream.meets(281.15, 1800.0)
        >>> round(stream.leaving(met.heat, 1.0, met).dry_bulb - 273.15, 1)
        15.8
        """
        drop = heat_share / (self.dry_flow * share)
        fusion = FUSION * met.frozen_share
        if not met.wet:
            return air_with(self._enthalpy - drop, self.inlet.humidity_ratio, self.inlet.pressure, fusion=fusion)
        passed = math.exp(-self.conductance / self.capacity_flow)
        whole = self._enthalpy + fusion * self.inlet.humidity_ratio - drop / (1.0 - passed)
        surface = _saturated_with(self._saturated, whole, fusion, self.inlet.dry_bulb)
        mixed = surface + (self.inlet.dry_bulb - surface) * passed
        humidity = self._humidity_with(mixed, drop, fusion)
        if humidity > self._saturated.humidity_ratio(mixed):  # the line passes through fog, which clears to saturated air
            return _cleared(self._saturated, self._enthalpy + fusion * self.inlet.humidity_ratio - drop, fusion, self.inlet.dry_bulb)
        if humidity > self.inlet.humidity_ratio:  # where a wet coil takes hardly more than a dry one, the line may lead to more water than there was
            return air_with(self._enthalpy - drop, self.inlet.humidity_ratio, self.inlet.pressure, fusion=fusion)
        return MoistAir(mixed, humidity, self.inlet.pressure)

    def _humidity_with(self, dry_bulb: float, drop: float, fusion: float) -> float:
        """The humidity ratio at which the air has given `drop`, with the fusion of what it has left behind; enthalpy is very nearly a straight line in it."""
        pressure = self.inlet.pressure
        dry, most = MoistAir(dry_bulb, 0.0, pressure).enthalpy, self._saturated.humidity_ratio(dry_bulb)
        slope = (self._saturated.enthalpy(dry_bulb) - dry) / most + fusion
        sought = self._enthalpy + fusion * self.inlet.humidity_ratio - drop
        humidity = (sought - dry) / slope
        for _ in range(2):
            if not 0.0 < humidity < most:
                break
            humidity += (sought - fusion * humidity - MoistAir(dry_bulb, humidity, pressure).enthalpy) / slope
        return humidity


def air_with(enthalpy: float, humidity_ratio: float, pressure: float, *, fusion: float = 0.0) -> MoistAir:
    """Air of an enthalpy (J per kg dry air) and a humidity ratio; where that would be fog, the saturated air that is left when it has cleared.

    `fusion` (J/kg) is the heat that the water of the fog gives as it freezes.

    >>> from hpteach.fluids import moist_air
    >>> air = moist_air(293.15, relative_humidity=0.5)
    >>> round(air_with(air.enthalpy, air.humidity_ratio, air.pressure).dry_bulb, 3)
    293.15
    """
    saturated = saturated_air(pressure)
    dry_bulb = _FREEZING + (enthalpy - _VAPOUR * humidity_ratio) / (1006.0 + 1860.0 * humidity_ratio)
    for _ in range(5):
        most = saturated.humidity_ratio(dry_bulb)
        reached = MoistAir(dry_bulb, min(humidity_ratio, most), pressure).enthalpy + _VAPOUR * max(humidity_ratio - most, 0.0)
        step = (enthalpy - reached) / (1006.0 + 1860.0 * humidity_ratio)
        dry_bulb += step
        if abs(step) < 1e-6:
            break
    if humidity_ratio <= saturated.humidity_ratio(dry_bulb):
        return MoistAir(dry_bulb, humidity_ratio, pressure)
    return _cleared(saturated, enthalpy + fusion * humidity_ratio, fusion, dry_bulb + 30.0)


def _cleared(saturated: SaturatedAir, enthalpy: float, fusion: float, warmest: float) -> MoistAir:
    """Saturated air whose enthalpy, with the heat of fusion of its moisture, has a value."""
    dry_bulb = _saturated_with(saturated, enthalpy, fusion, warmest)
    air = MoistAir(dry_bulb, saturated.humidity_ratio(dry_bulb), saturated.pressure)
    # Saturated air is interpolated: what is left goes into its temperature, by the slope of saturation.
    slope = (saturated.enthalpy(dry_bulb) - saturated.enthalpy(dry_bulb - 0.1)) / 0.1
    dry_bulb += (enthalpy - fusion * air.humidity_ratio - air.enthalpy) / slope
    return MoistAir(dry_bulb, saturated.humidity_ratio(dry_bulb), saturated.pressure)


def _saturated_with(saturated: SaturatedAir, enthalpy: float, fusion: float, warmest: float) -> float:
    """The temperature of saturated air whose enthalpy, with the heat of fusion of its moisture, has a value."""
    low, high = _COLDEST, min(warmest, _WARMEST)
    for _ in range(60):
        middle = 0.5 * (low + high)
        reached = saturated.enthalpy(middle) + fusion * saturated.humidity_ratio(middle)
        low, high = (middle, high) if reached < enthalpy else (low, middle)
    return 0.5 * (low + high)


def frozen_share(surface_temperature: float) -> float:
    """The share of a wet surface on which water freezes: 0 above 0.5 C, 1 below -0.5 C, a straight line between.

    >>> frozen_share(273.15)
    0.5
    """
    return min(1.0, max(0.0, (_FREEZING + _RAMP - surface_temperature) / (2.0 * _RAMP)))
