"""Air that passes a cold coil: what leaves, how much heat is sensible and how much latent, how much water stays.

What lives here: `AirAtCoil`, and the leaving air by the temperature of the surface or as it was measured.  What does not: the refrigerant
that keeps the surface cold (air_side, coils), frost.

A share of the air, the bypass, leaves as it came; the rest meets the surface and leaves saturated at its temperature, or dry
where the surface is not below the dew point:

    t_out = t_s + bypass (t_in - t_s);    wet: W_out and h_out in the same way
    Q = m (h_in - h_out),  Q_sensible = m c_p (t_in - t_out),  Q_latent = Q - Q_sensible,  water = m (W_in - W_out)

m: dry air (kg/s).  The heat that leaves with the water itself, about 1 % of the latent heat at 10 C, is left in Q.
Source: bypass factor and apparatus dew point as any textbook of air conditioning has them (from memory, not seen here).
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.errors import LimitError, Measure
from hpteach.fluids import MoistAir, saturated_air
from hpteach.machine.air_side import air_with

FREEZING = 273.15


@dataclass(frozen=True)
class AirAtCoil:
    """Air before (`entering`) and behind (`leaving`) a coil that cools it; `air_flow` (m3/s) is counted at the inlet.

    Raises `LimitError` for air that comes out moister or warmer than it went in, and for a flow that is not above 0.

    >>> from hpteach.fluids import moist_air
    >>> found = AirAtCoil(moist_air(299.15, relative_humidity=0.5), moist_air(286.15, relative_humidity=0.95), 0.5)
    >>> round(found.heat), round(found.sensible), round(found.latent)
    (10153, 7729, 2423)
    """

    entering: MoistAir
    leaving: MoistAir
    air_flow: float

    def __post_init__(self) -> None:
        if not self.air_flow > 0.0:
            raise LimitError("air flow of {given} cannot be: use one above 0", given=Measure(self.air_flow, "air flow"))
        if self.leaving.dry_bulb > self.entering.dry_bulb:
            raise LimitError(
                "air that leaves a cold coil at {out} cannot be warmer than the {into} at which it entered: use a lower temperature behind the coil",
                out=Measure(self.leaving.dry_bulb, "temperature"), into=Measure(self.entering.dry_bulb, "temperature"),
            )  # fmt: skip
        if self.leaving.humidity_ratio > self.entering.humidity_ratio * (1.0 + 1e-9):
            raise LimitError(
                "air behind a cold coil with {out} cannot hold more water than the {into} with which it entered: use drier or colder air behind the coil",
                out=Measure(self.leaving.humidity_ratio, "humidity ratio"), into=Measure(self.entering.humidity_ratio, "humidity ratio"),
            )  # fmt: skip

    @property
    def dry_flow(self) -> float:
        """Dry air that passes (kg/s)."""
        return self.air_flow / self.entering.specific_volume

    @property
    def heat(self) -> float:
        """All the heat that the air gives (W)."""
        return self.dry_flow * (self.entering.enthalpy - self.leaving.enthalpy)

    @property
    def sensible(self) -> float:
        """The part that makes the air colder (W); on a dry coil all of it."""
        if self.leaving.humidity_ratio >= self.entering.humidity_ratio:
            return self.heat
        specific_heat = 0.5 * (self.entering.specific_heat + self.leaving.specific_heat)
        return self.dry_flow * specific_heat * (self.entering.dry_bulb - self.leaving.dry_bulb)

    @property
    def latent(self) -> float:
        """The part that turns vapour to water (W)."""
        return self.heat - self.sensible

    @property
    def water(self) -> float:
        """Water that stays on the coil (kg/s)."""
        return self.dry_flow * (self.entering.humidity_ratio - self.leaving.humidity_ratio)

    @property
    def sensible_heat_ratio(self) -> float:
        """Sensible over all heat; 1 for a dry coil.  Raises `LimitError` where no heat flows."""
        if not self.heat > 0.0:
            raise LimitError("no heat flows, so it has no sensible share: use a colder surface")
        return self.sensible / self.heat


def air_at_coil(entering: MoistAir, surface_temperature: float, air_flow: float, *, bypass: float = 0.1) -> AirAtCoil:
    """Air that passes a coil whose surface is at a temperature (K); `bypass` (0 to less than 1) is the share that never touches it.

    Raises `LimitError` for a surface below 0 C, where frost would grow, or warmer than the air, and for a bypass outside its range.

    >>> from hpteach.fluids import moist_air
    >>> found = air_at_coil(moist_air(299.15, relative_humidity=0.5), 283.15, 0.5)
    >>> round(found.leaving.dry_bulb - 273.15, 1), round(3600.0 * found.water, 2)
    (11.6, 5.42)
    """
    if not 0.0 <= bypass < 1.0:
        raise LimitError("bypass of {given} cannot be: use a share from 0 to less than 1", given=Measure(bypass, "ratio"))
    if surface_temperature < FREEZING:
        raise LimitError(
            "surface of {given} is below freezing, where frost grows: use {least} or more",
            given=Measure(surface_temperature, "temperature"), least=Measure(FREEZING, "temperature", "least"),
        )  # fmt: skip
    if surface_temperature > entering.dry_bulb:
        raise LimitError(
            "surface of {given} is warmer than the air of {air}: use a colder surface, as this coil cools",
            given=Measure(surface_temperature, "temperature"), air=Measure(entering.dry_bulb, "temperature"),
        )  # fmt: skip
    saturated = saturated_air(entering.pressure)
    at_surface = saturated.humidity_ratio(surface_temperature)
    if at_surface >= entering.humidity_ratio:
        leaving = MoistAir(surface_temperature + bypass * (entering.dry_bulb - surface_temperature), entering.humidity_ratio, entering.pressure)
    else:
        enthalpy = saturated.enthalpy(surface_temperature)
        leaving = air_with(
            enthalpy + bypass * (entering.enthalpy - enthalpy), at_surface + bypass * (entering.humidity_ratio - at_surface), entering.pressure,
        )  # fmt: skip
    return AirAtCoil(entering, leaving, air_flow)
