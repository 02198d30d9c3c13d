"""The compressor: what it takes in, the power it needs, and what leaves it.

What lives here: `DisplacementCompressor`, known by its swept volume and two efficiencies,
and `Compression`, which every compressor answers with.  What does not: the map of a
compressor that was measured (compressor_map), and which pressures a machine settles at
(balance).

    suction --> [ swept volume x speed x volumetric efficiency ] --> discharge
                        power |                | heat lost by the shell
"""

from __future__ import annotations

import math
import numbers
from dataclasses import dataclass

from hpteach.errors import LimitError, Measure, PropertyError
from hpteach.fluids import Refrigerant, State

_MOST_HEAT_LOSS = 0.5


@dataclass(frozen=True)
class Compression:
    """What a compressor does at one suction state and one discharge pressure.

    mass_flow (kg/s), power (W, electrical), discharge_enthalpy (J/kg), heat_loss (W, from the shell to the air); efficiencies are shares.
    The volumetric efficiency is None where the swept volume is not known.  What goes in comes out:

        power = mass_flow (discharge_enthalpy - suction enthalpy) + heat_loss
    """

    mass_flow: float
    power: float
    discharge_enthalpy: float
    isentropic_efficiency: float
    volumetric_efficiency: float | None
    heat_loss: float


@dataclass(frozen=True, kw_only=True)
class DisplacementCompressor:
    """A compressor known by its swept volume (m3 for each revolution) and its nominal speed (revolutions in a second).

        volumetric efficiency = volumetric_best - volumetric_fall (pressure ratio - 1)
        isentropic efficiency = isentropic_best / (1 + isentropic_fall ln(pressure ratio / best_pressure_ratio)^2)
                                                (1 - speed_fall (speed ratio - 1)^2)

    `heat_loss` is the share of the power that the shell gives to the air, 0 to 0.5.  The isentropic efficiency counts motor and
    mechanism too: it is the ideal work over the electrical work.  The speed may go from `least_speed_ratio` to `most_speed_ratio`
    times the nominal one; both are 1 for a fixed speed.  Raises `LimitError` for a field that cannot be.

    Source: that the volumetric efficiency falls in a straight line is the clearance formula of textbooks with an exponent of 1 (from
    memory, not seen here).  The hump of the isentropic efficiency over the pressure ratio is common practice, no source.

    >>> from hpteach.fluids import refrigerant
    >>> compressor = DisplacementCompressor(swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02,
    ...                                     isentropic_best=0.7, isentropic_fall=0.2, best_pressure_ratio=2.6, heat_loss=0.05)
    >>> r32 = refrigerant("R-32")
    >>> compression = compressor.run(r32, r32.superheated(r32.dew_pressure(280.15), 5.0), r32.dew_pressure(318.15))
    >>> round(compression.mass_flow, 4), round(compression.power)
    (0.0394, 2358)
    """

    swept_volume: float
    speed: float
    volumetric_best: float
    volumetric_fall: float
    isentropic_best: float
    isentropic_fall: float
    best_pressure_ratio: float
    heat_loss: float
    least_speed_ratio: float = 1.0
    most_speed_ratio: float = 1.0
    speed_fall: float = 0.0

    def __post_init__(self) -> None:
        require(self.swept_volume, "swept volume in m³ for each revolution", "above 0, such as 33e-6", above=0.0)
        require(self.speed, "nominal speed in revolutions per second", "above 0, such as 48", above=0.0)
        require(self.volumetric_best, "best volumetric efficiency", "above 0 and up to 1, such as 0.97", above=0.0, most=1.0)
        require(self.volumetric_fall, "fall of the volumetric efficiency", "of 0 or more, such as 0.02", least=0.0)
        require(self.isentropic_best, "best isentropic efficiency", "above 0 and up to 1, such as 0.7", above=0.0, most=1.0)
        require(self.isentropic_fall, "fall of the isentropic efficiency", "of 0 or more, such as 0.2", least=0.0)
        require(self.best_pressure_ratio, "best pressure ratio", "above 1, such as 2.6", above=1.0)
        require_heat_loss(self.heat_loss)
        require(self.least_speed_ratio, "least speed ratio", "above 0 and up to 1, which is the nominal speed", above=0.0, most=1.0)
        require(self.most_speed_ratio, "most speed ratio", "of 1 or more, where 1 is the nominal speed", least=1.0)
        require(self.speed_fall, "fall of the efficiency with speed", "of 0 or more, such as 0.1", least=0.0)
        farthest = max(1.0 - self.least_speed_ratio, self.most_speed_ratio - 1.0)
        if farthest and self.speed_fall * farthest**2 >= 1.0:
            raise LimitError(
                f"fall of the efficiency with speed of {self.speed_fall:g} leaves no efficiency at a speed {farthest:g} times "
                f"the nominal one away from it: use less than {farthest**-2:.4g}, or a narrower range of speed"
            )

    def volumetric_efficiency(self, pressure_ratio: float) -> float:
        """Vapour taken in over room swept, at a pressure ratio above 1; raises `LimitError` where nothing is left of it.

        >>> compressor = DisplacementCompressor(swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02,
        ...                                     isentropic_best=0.7, isentropic_fall=0.2, best_pressure_ratio=2.6, heat_loss=0.05)
        >>> round(compressor.volumetric_efficiency(3.0), 4)
        0.93
        """
        _require_pressure_ratio(pressure_ratio)
        efficiency = self.volumetric_best - self.volumetric_fall * (pressure_ratio - 1.0)
        if not efficiency > 0.0:
            raise LimitError(
                f"pressure ratio of {pressure_ratio:.4g} leaves this compressor nothing to take in, as its volumetric efficiency "
                f"is gone at {1.0 + self.volumetric_best / self.volumetric_fall:.4g}: raise the suction pressure or lower the discharge pressure"
            )
        return efficiency

    def isentropic_efficiency(self, pressure_ratio: float, speed_ratio: float = 1.0) -> float:
        """Ideal work over electrical work, at a pressure ratio above 1 and a speed ratio; raises `LimitError` for others.

        >>> compressor = DisplacementCompressor(swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02,
        ...                                     isentropic_best=0.7, isentropic_fall=0.2, best_pressure_ratio=2.6, heat_loss=0.05)
        >>> round(compressor.isentropic_efficiency(2.6), 4), round(compressor.isentropic_efficiency(6.0), 4)
        (0.7, 0.6141)
        """
        _require_pressure_ratio(pressure_ratio)
        self._require_speed(speed_ratio)
        away = math.log(pressure_ratio / self.best_pressure_ratio)
        left = 1.0 / (1.0 + self.isentropic_fall * away**2)
        return self.isentropic_best * left * (1.0 - self.speed_fall * (speed_ratio - 1.0) ** 2)

    def intake(self, refrigerant: Refrigerant, suction: State, discharge_pressure: float, speed_ratio: float = 1.0) -> float:  # noqa: ARG002
        """The mass flow alone (kg/s), as `run` has it, without the work: a search asks for it often.

        >>> from hpteach.fluids import refrigerant
        >>> compressor = DisplacementCompressor(swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02,
        ...                                     isentropic_best=0.7, isentropic_fall=0.2, best_pressure_ratio=2.6, heat_loss=0.05)
        >>> r290 = refrigerant("R-290")
        >>> round(compressor.intake(r290, r290.superheated(4.5e5, 5.0), 14e5), 5)
        0.01408
        """
        self._require_speed(speed_ratio)
        volumetric = self.volumetric_efficiency(pressure_ratio(suction, discharge_pressure))
        return volumetric * self.swept_volume * self.speed * speed_ratio * suction.density

    def run(self, refrigerant: Refrigerant, suction: State, discharge_pressure: float, speed_ratio: float = 1.0) -> Compression:
        """What the compressor does with a suction state against a discharge pressure (Pa, absolute).

            mass flow = volumetric efficiency x swept volume x speed x speed ratio x suction density
            power = mass flow (ideal discharge enthalpy - suction enthalpy) / isentropic efficiency
            discharge enthalpy = suction enthalpy + power (1 - heat_loss) / mass flow

        The suction state is one of `refrigerant`, on its reference state; it may be wet.  Raises `LimitError` for a speed ratio or
        a pressure ratio that the compressor cannot have and for a discharge beyond the equation of state.

        Source: definitions of the efficiencies; energy in the steady state.

        >>> from hpteach.fluids import refrigerant
        >>> compressor = DisplacementCompressor(swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02, isentropic_best=0.7,
        ...                                     isentropic_fall=0.2, best_pressure_ratio=2.6, heat_loss=0.05, least_speed_ratio=0.4)
        >>> r290 = refrigerant("R-290")
        >>> slow = compressor.run(r290, r290.superheated(4.5e5, 5.0), 14e5, speed_ratio=0.5)
        >>> round(slow.mass_flow, 5), round(slow.isentropic_efficiency, 3)
        (0.00704, 0.696)
        """
        ratio = pressure_ratio(suction, discharge_pressure)
        isentropic = self.isentropic_efficiency(ratio, speed_ratio)
        mass_flow = self.intake(refrigerant, suction, discharge_pressure, speed_ratio)
        power = mass_flow * ideal_work(refrigerant, suction, discharge_pressure) / isentropic
        return Compression(
            mass_flow=mass_flow,
            power=power,
            discharge_enthalpy=suction.enthalpy + power * (1.0 - self.heat_loss) / mass_flow,
            isentropic_efficiency=isentropic,
            volumetric_efficiency=self.volumetric_efficiency(ratio),
            heat_loss=power * self.heat_loss,
        )

    def _require_speed(self, speed_ratio: float) -> None:
        least, most = self.least_speed_ratio, self.most_speed_ratio
        allowed = f"from {least:g} to {most:g} times the nominal speed" if least < most else "of 1, as this compressor has a fixed speed"
        require(speed_ratio, "speed ratio", allowed, least=least, most=most)


def pressure_ratio(suction: State, discharge_pressure: float) -> float:
    """Discharge over suction pressure, both absolute (Pa); raises `LimitError` unless it is above 1.

    >>> from hpteach.fluids import refrigerant
    >>> pressure_ratio(refrigerant("R-32").saturated_vapour(1e6), 2.5e6)
    2.5
    """
    if not discharge_pressure > suction.pressure:
        raise LimitError(
            "discharge pressure of {discharge} is not above the suction pressure of {suction}: raise the first or lower the second",
            discharge=Measure(discharge_pressure, "pressure"),
            suction=Measure(suction.pressure, "pressure"),
        )
    return discharge_pressure / suction.pressure


def ideal_work(refrigerant: Refrigerant, suction: State, discharge_pressure: float) -> float:
    """Work (J/kg) of a perfect compression from a suction state to a pressure (Pa): h2s - h1 at s2s = s1.

    Raises `LimitError` that names the discharge where it lies beyond the equation of state.

    >>> from hpteach.fluids import refrigerant
    >>> r32 = refrigerant("R-32")
    >>> round(ideal_work(r32, r32.superheated(1e6, 5.0), 2.5e6))
    37480
    """
    try:
        ideal = refrigerant.state_ps(discharge_pressure, suction.entropy)
    except (LimitError, PropertyError) as error:
        raise type(error)(f"discharge of the compressor: {error.template}", **error.measures) from None
    return ideal.enthalpy - suction.enthalpy


def require(
    value: float, quantity: str, allowed: str, *, above: float = -math.inf, least: float = -math.inf, most: float = math.inf
) -> None:
    """Refuse, as a `LimitError`, what is no finite number or not above `above`, from `least` to `most`; `allowed` says so in words.

    >>> require(0.7, "efficiency", "above 0 and up to 1", above=0.0, most=1.0)
    >>> require(1.7, "efficiency", "above 0 and up to 1", above=0.0, most=1.0)
    Traceback (most recent call last):
    hpteach.errors.LimitError: efficiency of 1.7 cannot be: use a number above 0 and up to 1
    """
    number = isinstance(value, numbers.Real) and not isinstance(value, bool) and math.isfinite(value)
    if not (number and value > above and least <= value <= most):
        shown = f"{value:g}" if isinstance(value, numbers.Real) and not isinstance(value, bool) else repr(value)
        raise LimitError(f"{quantity} of {shown} cannot be: use a number {allowed}")


def require_heat_loss(heat_loss: float) -> None:
    """Refuse, as a `LimitError`, a share of the power that no shell gives to the air.

    >>> require_heat_loss(0.05)
    """
    require(heat_loss, "heat loss", f"from 0 to {_MOST_HEAT_LOSS:g}, the share of the power that the shell gives off", least=0.0, most=_MOST_HEAT_LOSS)


def _require_pressure_ratio(ratio: float) -> None:
    if not ratio > 1.0:
        raise LimitError(f"pressure ratio of {ratio:.4g} is not above 1: raise the discharge pressure or lower the suction pressure")
