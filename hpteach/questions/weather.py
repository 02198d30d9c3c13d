"""A machine in weather, as a question states it: what it comes to, and the names for it.

What lives here: `Weather`, its solution and the names that expressions and texts may use.
What does not: reading it from a file (air_conditions), how pressures settle (machine).

All names of a cycle (`cycle_quantities`) hold here too: h1 T2 p4 v1 x4 q_e pressure_ratio superheat …; and besides

    capacity sensible latent sensible_heat_ratio         of the room, the indoor fan's heat counted
    compressor_power fans_power power cop                electrical; cop counts the fans
    outdoor_heat mass_flow suction_density suction_flow  heat at the outdoor coil; vapour that the compressor takes in
    supply_temperature supply_humidity_ratio …           air that reaches the room, behind coil and fan
    outdoor_temperature outdoor_wet_bulb outdoor_dew_point outdoor_humidity outdoor_humidity_ratio outdoor_air_density
    outdoor_leaving_temperature … outdoor_surface outdoor_air_flow         the same with indoor_
    water frost_rate frosting within_limits too_hot      water that the evaporator takes from the air; ice on it; 1 where it holds
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from hpteach.circuit import ValvePosition
from hpteach.errors import UnknownNameError
from hpteach.fluids import MoistAir, listing
from hpteach.machine import Machine, Operation, demo_machine, operate
from hpteach.machine.operation import CoilAtWork
from hpteach.machine.sizing import sized
from hpteach.questions import cycle_quantities
from hpteach.questions.cycle_quantities import QUANTITIES as OF_THE_CYCLE
from hpteach.questions.paths import words

_OF_AIR = {
    "temperature": "temperature", "wet_bulb": "temperature", "dew_point": "temperature", "humidity": "relative humidity",
    "humidity_ratio": "humidity ratio", "air_density": "density",
}  # fmt: skip
_PLACES = ("outdoor", "indoor")

_WORKED_OUT = {"latent": "power", "sensible_heat_ratio": "ratio", "power": "electric power", "cop": "ratio"}

QUANTITIES: Mapping[str, str] = {
    **OF_THE_CYCLE,
    **_WORKED_OUT,
    **{name: "power" for name in ("capacity", "sensible", "outdoor_heat")},
    **{name: "electric power" for name in ("compressor_power", "fans_power")},
    "mass_flow": "mass flow", "suction_density": "density", "suction_flow": "volume flow", "volumetric_efficiency": "ratio",
    **{f"{place}_{name}": kind for place in _PLACES for name, kind in _OF_AIR.items()},
    **{f"{place}_leaving_{name}": _OF_AIR[name] for place in _PLACES for name in ("temperature", "humidity_ratio")},
    **{f"{place}_surface": "temperature" for place in _PLACES},
    **{f"{place}_air_flow": "air flow" for place in _PLACES},
    **{f"supply_{name}": _OF_AIR[name] for name in ("temperature", "humidity", "humidity_ratio")},
    "discharge_temperature": "temperature", "water": "water flow", "frost_rate": "water flow",
    **{name: "ratio" for name in ("frosting", "within_limits", "too_hot")},
}  # fmt: skip
"""Every quantity of a machine in weather that an expression may name, with its kind."""

DERIVED = (*cycle_quantities.DERIVED, *_WORKED_OUT)
"""What is worked out from others, as they are printed."""


@dataclass(frozen=True)
class Weather:
    """A machine by its name, the valve's position, the air at both coils; the shares of its own air flows that the fans still move.

    >>> from hpteach.fluids import moist_air
    >>> mild = Weather("R-32", ValvePosition.HEATING, moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5))
    >>> 3.0 < mild.derived(mild.found())["cop"] < 4.5
    True
    """

    machine: str
    valve_position: ValvePosition
    outdoor: MoistAir
    indoor: MoistAir
    speed_ratio: float = 1.0
    outdoor_air_share: float = 1.0
    indoor_air_share: float = 1.0

    def found(self) -> dict[str, float]:
        """Every quantity in SI; raises the refusals of `operate`."""
        return dict(_found(self))

    @staticmethod
    def derived(found: Mapping[str, float]) -> dict[str, float]:
        """What rests on the others as they are printed."""
        power = found["compressor_power"] + found["fans_power"]
        return cycle_quantities.derived(found) | {
            "power": power,
            "cop": found["capacity"] / power,
            "latent": found["capacity"] - found["sensible"],
            "sensible_heat_ratio": found["sensible"] / found["capacity"],
        }

    def words(self) -> dict[str, str]:
        """What a text may name: the refrigerant, and the words of the path."""
        at_work = worked(self)
        return words(at_work.cycle.flow) | {"refrigerant": at_work.machine.refrigerant}


@lru_cache(maxsize=512)
def worked(weather: Weather) -> Operation:
    """The machine settled in the weather of a question; raises the refusals of `operate`."""
    machine = machine_called(weather.machine)
    machine = replace(
        machine,
        indoor_coil=machine.indoor_coil.with_air(weather.indoor_air_share),
        outdoor_coil=machine.outdoor_coil.with_air(weather.outdoor_air_share),
    )
    return operate(machine, weather.valve_position, weather.outdoor, weather.indoor, speed_ratio=weather.speed_ratio)


@lru_cache(maxsize=32)
def machine_called(name: str) -> Machine:
    """A demo machine (invented) by its name, or the one for R-32 sized for another refrigerant of the catalogue.

    Raises `UnknownNameError` for a name that is neither.

    >>> machine_called("R-290").refrigerant
    'R-290'
    """
    try:
        return demo_machine(name)
    except UnknownNameError:
        return sized(demo_machine("R-32"), listing(name).name)


@lru_cache(maxsize=512)
def _found(weather: Weather) -> Mapping[str, float]:
    return quantities_of(worked(weather))


def quantities_of(at_work: Operation) -> dict[str, float]:
    """Every quantity of a machine that has settled, in SI, but for what is worked out from others."""
    suction = at_work.cycle.point("1")
    quantities = {
        **cycle_quantities.state_quantities(at_work.cycle),
        "capacity": at_work.capacity,
        "sensible": at_work.sensible,
        "compressor_power": at_work.compressor_power,
        "fans_power": at_work.fan_power,
        "outdoor_heat": abs(at_work.outdoor_coil.heat),
        "mass_flow": at_work.mass_flow,
        "suction_density": suction.density,
        "suction_flow": at_work.mass_flow / suction.density,
        "saturated_suction_temperature": at_work.saturated_suction_temperature,
        "saturated_condensing_temperature": at_work.saturated_condensing_temperature,
        "superheat": at_work.superheat,
        "subcooling": at_work.subcooling,
        "isentropic_efficiency": at_work.isentropic_efficiency,
        "discharge_temperature": at_work.discharge_temperature,
        "water": at_work.outdoor_coil.water + at_work.indoor_coil.water,
        "frost_rate": at_work.frost_rate,
        "frosting": float(at_work.frosting),
        "within_limits": float(not at_work.limits),
        "too_hot": float(any(limit.id == "discharge_temperature" for limit in at_work.limits)),
        **_air(at_work.supply_air, "supply", ("temperature", "humidity", "humidity_ratio")),
    }
    if at_work.volumetric_efficiency is not None:
        quantities["volumetric_efficiency"] = at_work.volumetric_efficiency
    for place, air, coil in (("outdoor", at_work.outdoor, at_work.outdoor_coil), ("indoor", at_work.indoor, at_work.indoor_coil)):
        quantities |= _air(air, place, tuple(_OF_AIR)) | _air(coil.leaving, f"{place}_leaving", ("temperature", "humidity_ratio"))
        quantities[f"{place}_surface"], quantities[f"{place}_air_flow"] = _surface(coil), coil.air_flow
    return quantities


def _air(air: MoistAir, prefix: str, names: tuple[str, ...]) -> dict[str, float]:
    attributes = {"temperature": "dry_bulb", "humidity": "relative_humidity", "air_density": "density"}
    return {f"{prefix}_{name}": getattr(air, attributes.get(name, name)) for name in names}


def _surface(coil: CoilAtWork) -> float:
    """The temperature of the surface in the largest zone: where it boils or condenses."""
    return max(coil.zones, key=lambda zone: zone.share).met.surface_temperature
