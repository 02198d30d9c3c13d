"""The coils: refrigerant in zones, each against fresh air.

What lives here: `Coil`, what condensing and boiling in it come to.  What does not: the air side (air_side), which pressures settle (balance).

The refrigerant passes its zones one after the other; a zone has a share of the coil and as much
of the air.  With the temperature T on a straight line over the enthalpy in each zone, and q the
heat that the air would take from the whole coil at one refrigerant temperature,

    share = m (h_in - h_out) / LM(q(T_in), q(T_out))        LM: the logarithmic mean

and the shares of all zones add up to 1.  Derived from the balance of a bit of coil, m dh = -q(T) da.
A condenser has vapour, condensing and liquid zones; an evaporator boiling and, taken as dry, superheating zones.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hpteach.errors import LimitError
from hpteach.fluids import State
from hpteach.machine.air_side import AirStream, Met
from hpteach.machine.compressor import require


@dataclass(frozen=True, kw_only=True)
class PressureLoss:
    """A loss of pressure: `drop` (Pa) at a mass flow (kg/s) and a density (kg/m3), by drop ~ m^2 / density.

    >>> round(PressureLoss(drop=20e3, mass_flow=0.05, density=30.0).at(0.025, 30.0))
    5000
    """

    drop: float
    mass_flow: float
    density: float

    def __post_init__(self) -> None:
        require(self.drop, "pressure loss in Pa", "of 0 or more", least=0.0)
        require(self.mass_flow, "mass flow of a pressure loss in kg/s", "above 0", above=0.0)
        require(self.density, "density of a pressure loss in kg/m³", "above 0", above=0.0)

    def at(self, mass_flow: float, density: float) -> float:
        """The loss (Pa) at another mass flow (kg/s) and density (kg/m3); source: turbulent friction, any textbook."""
        return self.drop * (mass_flow / self.mass_flow) ** 2 * self.density / density


@dataclass(frozen=True, kw_only=True)
class Coil:
    """A finned coil with its fan; condenser or evaporator, as the valve stands.

    `air_flow` (m3/s, counted at the inlet) and `fan_power` (W) belong together; `air_conductance` (W/K)
    is that of the air side at this flow and changes with flow to the power `air_exponent`.  The four
    refrigerant-side conductances (W/K) hold for the whole coil, as if it were all one zone.
    `volume` (m3) is what refrigerant fills.

    >>> coil = Coil(place="indoor coil", air_flow=0.55, fan_power=150.0, air_conductance=1000.0, boiling_conductance=2500.0,
    ...             condensing_conductance=2200.0, liquid_conductance=800.0, vapour_conductance=500.0, volume=2e-3,
    ...             boiling_loss=PressureLoss(drop=20e3, mass_flow=0.05, density=60.0),
    ...             condensing_loss=PressureLoss(drop=20e3, mass_flow=0.05, density=150.0))
    >>> coil.place
    'indoor coil'
    """

    place: str
    air_flow: float
    fan_power: float
    air_conductance: float
    boiling_conductance: float
    condensing_conductance: float
    liquid_conductance: float
    vapour_conductance: float
    volume: float
    boiling_loss: PressureLoss
    condensing_loss: PressureLoss
    air_exponent: float = 0.5

    def __post_init__(self) -> None:
        for field, what in (
            ("air_flow", "air flow in m³/s"), ("air_conductance", "air-side conductance in W/K"), ("boiling_conductance", "boiling conductance in W/K"),
            ("condensing_conductance", "condensing conductance in W/K"), ("liquid_conductance", "liquid conductance in W/K"),
            ("vapour_conductance", "vapour conductance in W/K"), ("volume", "volume of the coil in m³"),
        ):  # fmt: skip
            require(getattr(self, field), f"{self.place}: {what}", "above 0", above=0.0)
        require(self.fan_power, f"{self.place}: fan power in W", "of 0 or more", least=0.0)
        require(self.air_exponent, f"{self.place}: exponent of the air-side conductance", "from 0 to 1", least=0.0, most=1.0)
        if self.place not in ("indoor coil", "outdoor coil"):
            raise LimitError(f"a coil at {self.place!r} is not known: use 'indoor coil' or 'outdoor coil'")

    def with_air(self, share: float) -> Coil:
        """The same coil with a share of its air flow; the fan's power stays, as that of a fan against a blocked coil nearly does.

        Raises `LimitError` for a share that is not above 0.
        """
        require(share, f"{self.place}: share of the air flow", "above 0", above=0.0)
        return replace(self, air_flow=self.air_flow * share, air_conductance=self.air_conductance * share**self.air_exponent)


@dataclass(frozen=True)
class Zone:
    """A zone: its name, its share of the coil, its heat (W, given to the refrigerant), and the air side in it."""

    name: str
    share: float
    heat: float
    met: Met


class OffTheCoil(ValueError):
    """A guess at which heat would flow the wrong way; the balance goes back from it."""


def logarithmic_mean(first: float, second: float) -> float:
    """(a - b) / ln(a / b), the arithmetic mean where both are nearly equal; raises `OffTheCoil` unless both are above 0.

    >>> round(logarithmic_mean(10.0, 5.0), 3)
    7.213
    """
    if not (first > 0.0 and second > 0.0):
        raise OffTheCoil("heat would flow the wrong way")
    ratio = first / second - 1.0
    if abs(ratio) < 1e-4:
        return 0.5 * (first + second) * (1.0 - ratio * ratio / 12.0)
    return (first - second) / (math.log1p(ratio) if abs(ratio) < 0.5 else math.log(first / second))


@dataclass(frozen=True)
class Ends:
    """Both ends of the dome along a coil, each at its own pressure, and the specific heat of liquid (J/(kg K)) near it."""

    dew: State
    bubble: State
    liquid_heat: float


@dataclass(frozen=True)
class Condensed:
    """What leaves a condenser: enthalpy (J/kg), and its zones; the quality is None for liquid."""

    enthalpy: float
    liquid_temperature: float
    zones: tuple[Zone, ...]


def condense(coil: Coil, air: AirStream, ends: Ends, mass_flow: float, enthalpy: float, temperature: float) -> Condensed:
    """Discharge vapour (J/kg, K) through a condenser: what is left of the coil behind the condensing zone subcools.

    Where the coil is too small the outlet is a mixture.  Raises `OffTheCoil` where the air is not colder.
    """
    cold = air.inlet.dry_bulb
    dew, bubble = ends.dew, ends.bubble
    if not bubble.temperature > cold:
        raise OffTheCoil("the air is not colder than the condensing refrigerant")
    zones = []
    left = 1.0

    def rate(conductance: float) -> float:
        return air.capacity_flow * air.effectiveness(conductance)

    flow = rate(coil.vapour_conductance)
    sensible = enthalpy - dew.enthalpy
    if sensible > 0.0:
        share = mass_flow * sensible / (flow * logarithmic_mean(temperature - cold, dew.temperature - cold))
        if share >= left:
            raise OffTheCoil("the whole coil is too small to cool the vapour to its dew point")
        zones.append(Zone("vapour", share, -mass_flow * sensible, _dry(dew.temperature, flow, cold)))
        left -= share
        first, first_temperature = dew.enthalpy, dew.temperature
    else:
        first, first_temperature = enthalpy, _between(ends, enthalpy)
    flow = rate(coil.condensing_conductance)
    latent = first - bubble.enthalpy
    share = mass_flow * latent / (flow * logarithmic_mean(first_temperature - cold, bubble.temperature - cold))
    if share >= left:
        slope = (first_temperature - bubble.temperature) / latent
        units = flow * left / mass_flow
        fall = (first_temperature - cold) * units * _expel(units * slope)
        zones.append(Zone("condensing", left, -mass_flow * fall, _dry(first_temperature, flow, cold)))
        return Condensed(first - fall, bubble.temperature, tuple(zones))
    zones.append(Zone("condensing", share, -mass_flow * latent, _dry(bubble.temperature, flow, cold)))
    left -= share
    flow = rate(coil.liquid_conductance)
    cooled = (bubble.temperature - cold) * -math.expm1(-flow * left / (mass_flow * ends.liquid_heat))
    zones.append(Zone("liquid", left, -mass_flow * ends.liquid_heat * cooled, _dry(bubble.temperature - cooled, flow, cold)))
    return Condensed(bubble.enthalpy - ends.liquid_heat * cooled, bubble.temperature - cooled, tuple(zones))


def boil(
    coil: Coil, air: AirStream, ends: Ends, inlet_temperature: float, mass_flow: float, inlet: float, outlet: State, superheat: float, below: float,
) -> tuple[Zone, ...]:  # fmt: skip
    """The zones that an evaporator needs to bring refrigerant from an enthalpy (J/kg) to an outlet state; their shares add up to 1 when it is right.

    The inlet lies at `inlet_temperature` (K); the outlet may lie in the dome.  `superheat` (K) and how far the leaving vapour
    stays `below` the air (K) are given besides: in a large coil so little is left of the latter that no difference of temperatures tells it.
    Raises `OffTheCoil` where the air is not warmer.
    """
    dew = ends.dew
    wet_end = min(outlet.enthalpy, dew.enthalpy)
    entering = air.meets(inlet_temperature, coil.boiling_conductance)
    if wet_end < dew.enthalpy:
        glide = (wet_end - inlet) / (dew.enthalpy - inlet)
        last = air.meets(inlet_temperature + glide * (dew.temperature - inlet_temperature), coil.boiling_conductance)
    else:
        last = air.meets(dew.temperature, coil.boiling_conductance)
    heat = mass_flow * (wet_end - inlet)
    wet = [met.frozen_share for met in (entering, last) if met.wet]
    middle = Met(
        0.5 * (entering.heat + last.heat), bool(wet), 0.5 * (entering.surface_temperature + last.surface_temperature), sum(wet) / len(wet) if wet else 0.0,
    )  # fmt: skip
    zones = [Zone("boiling", heat / logarithmic_mean(entering.heat, last.heat), heat, middle)]
    if superheat > 0.0:
        flow = air.capacity_flow * air.effectiveness(coil.vapour_conductance)
        taken = mass_flow * (outlet.enthalpy - wet_end)
        share = math.log1p(superheat / below) * taken / superheat / flow
        zones.append(Zone("superheating", share, taken, _dry(dew.temperature + superheat, flow, air.inlet.dry_bulb)))
    return tuple(zones)


def _dry(temperature: float, flow: float, air: float) -> Met:
    return Met(flow * (air - temperature), False, temperature, 0.0)


def _between(ends: Ends, enthalpy: float) -> float:
    share = (enthalpy - ends.bubble.enthalpy) / (ends.dew.enthalpy - ends.bubble.enthalpy)
    return ends.bubble.temperature + share * (ends.dew.temperature - ends.bubble.temperature)


def _expel(exponent: float) -> float:
    """(1 - exp(-z)) / z, 1 for z = 0."""
    return 1.0 if abs(exponent) < 1e-12 else -math.expm1(-exponent) / exponent
