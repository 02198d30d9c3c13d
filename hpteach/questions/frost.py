"""Frost and defrost of a machine in weather, as a question states them: what they come to, and the names for it.

What lives here: `FrostWeather` and its names.  What does not: reading it from a file (air_conditions), how frost grows and melts (machine).

A [weather] in heating that states `defrost` ("clock" or "demand"; with `defrost_interval`, or `defrost_excess` by which the coil must
fall further below the air) has all names of a machine in weather, which are those of its clean coil, and besides

    integrated_capacity integrated_power integrated_cop lost_share    means over a run and its defrost, and the share of capacity that they lose
    running_time frost_mass frost_thickness frosted_capacity frosted_air_share    the run in heating and its end (0 where nothing starts a defrost)
    defrosts blocked                                                  1 where a defrost starts, and where the coil is blocked before
    defrost_duration melted_frost defrost_heat heat_from_room         the defrost, its heat to the outdoor coil and its heat from the room
    defrost_supply_temperature                                        air that reaches the room while it melts, without auxiliary heat
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from hpteach.circuit import ValvePosition
from hpteach.errors import InputError
from hpteach.machine.defrost import Control, Demand, TimeTemperature
from hpteach.machine.frost import FrostCycle, Growth, thickness
from hpteach.questions.weather import QUANTITIES as OF_THE_WEATHER
from hpteach.questions.weather import DERIVED as DERIVED_OF_THE_WEATHER
from hpteach.questions.weather import Weather, worked

CLOCK, DEMAND = "clock", "demand"
STARTS = (CLOCK, DEMAND)

_WORKED_OUT = {"integrated_cop": "ratio", "lost_share": "ratio"}

QUANTITIES: Mapping[str, str] = {
    **OF_THE_WEATHER,
    **_WORKED_OUT,
    **{name: "power" for name in ("integrated_capacity", "frosted_capacity")},
    "integrated_power": "electric power",
    **{name: "duration" for name in ("running_time", "defrost_duration")},
    **{name: "mass" for name in ("frost_mass", "melted_frost")},
    **{name: "heat" for name in ("defrost_heat", "heat_from_room")},
    **{name: "ratio" for name in ("frosted_air_share", "defrosts", "blocked")},
    "frost_thickness": "thickness", "defrost_supply_temperature": "temperature",
}  # fmt: skip
"""Every quantity that an expression may name where a defrost is stated, with its kind."""

DERIVED = (*DERIVED_OF_THE_WEATHER, *_WORKED_OUT)
"""What is worked out from others, as they are printed."""


def start_of_defrost(text: str) -> str:
    """A way to start a defrost by its name; raises `InputError` for another one.

    >>> start_of_defrost("clock")
    'clock'
    """
    if text not in STARTS:
        raise InputError(f"defrost by {text!r} is not known: use {' or '.join(STARTS)}")
    return text


@dataclass(frozen=True)
class FrostWeather(Weather):
    """A machine in weather with what starts its defrost: the clock with its interval (s), or the excess (K) by which the coil falls further below the air.

    Raises `InputError` with the valve in cooling.

    >>> from hpteach.fluids import moist_air
    >>> damp = FrostWeather("R-32", ValvePosition.HEATING, moist_air(274.15, relative_humidity=0.9), moist_air(293.15, relative_humidity=0.5))
    >>> 0.05 < damp.derived(damp.found())["lost_share"] < 0.2
    True
    """

    defrost: str = CLOCK
    interval: float | None = None
    excess: float | None = None

    def __post_init__(self) -> None:
        start_of_defrost(self.defrost)
        if self.valve_position is not ValvePosition.HEATING:
            raise InputError("a defrost belongs to heating: state the valve in heating, or no defrost")

    @property
    def control(self) -> Control:
        """What starts the defrost, with the library's usual interval or excess where none is stated."""
        if self.defrost == CLOCK:
            return TimeTemperature() if self.interval is None else TimeTemperature(interval=self.interval)
        return Demand() if self.excess is None else Demand(excess=self.excess)

    def found(self) -> dict[str, float]:
        """Every quantity in SI; raises the refusals of `operate` and `defrost`."""
        return super().found() | _found(cycle_of(self))

    @staticmethod
    def derived(found: Mapping[str, float]) -> dict[str, float]:
        """What rests on the others as they are printed."""
        return Weather.derived(found) | {
            "integrated_cop": found["integrated_capacity"] / found["integrated_power"],
            "lost_share": 1.0 - found["integrated_capacity"] / found["capacity"],
        }


@lru_cache(maxsize=256)
def cycle_of(weather: FrostWeather) -> FrostCycle:
    """The cycle of frost and defrost of a question; raises the refusals of `operate` and `defrost`."""
    return Growth(worked(weather).machine, weather.outdoor, weather.indoor, weather.speed_ratio).cycle(weather.control)


def _found(cycle: FrostCycle) -> dict[str, float]:
    defrost, last = cycle.defrost, cycle.moments[-1]
    surface = cycle.clean.machine.frost
    quantities = {
        "integrated_capacity": cycle.capacity,
        "integrated_power": cycle.power,
        "running_time": cycle.running or 0.0,
        "frost_mass": last.frost,
        "frost_thickness": thickness(surface, last.frost),
        "frosted_capacity": last.capacity,
        "frosted_air_share": last.air_flow_share,
        "defrosts": float(defrost is not None),
        "blocked": float(cycle.begins_because == "the coil is blocked"),
        **{name: 0.0 for name in ("defrost_duration", "melted_frost", "defrost_heat", "heat_from_room")},
        "defrost_supply_temperature": cycle.clean.supply_air.dry_bulb,
    }
    if defrost is None:
        return quantities
    return quantities | {
        "defrost_duration": defrost.duration,
        "melted_frost": defrost.melted,
        "defrost_heat": defrost.heat,
        "heat_from_room": defrost.heat_from_room - defrost.duration * defrost.fan_power,
        "defrost_supply_temperature": defrost.supply_temperature,
    }
