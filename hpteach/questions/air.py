"""Air that passes a cold coil, as a question states it: what it comes to, and the names for it.

What lives here: `AirAlone`, a question's air before a coil and, where it is stated, behind it.
What does not: reading it from a file (air_conditions), the air itself (fluids), the heat that it gives (machine).

    dry_bulb wet_bulb dew_point relative_humidity humidity_ratio air_enthalpy air_density    the air that enters
    leaving_dry_bulb leaving_wet_bulb …                                                      the same behind the coil
    humidity_drop enthalpy_drop                                                              entering less leaving, for each kg of dry air
    dry_air_flow heat sensible latent water sensible_heat_ratio                              where an air flow is stated too
    surface_humidity_ratio                                                                   of saturated air at the coil's surface
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from hpteach.errors import LimitError
from hpteach.fluids import MoistAir, saturated_air
from hpteach.machine.air_at_coil import AirAtCoil, air_at_coil

MOIST = {
    "wet_bulb": "temperature", "dew_point": "temperature", "relative_humidity": "relative humidity", "humidity_ratio": "humidity ratio",
}  # fmt: skip
"""The ways in which a question may state how moist air is, with their kinds."""

_OF_AIR = {"dry_bulb": "temperature", **MOIST, "air_enthalpy": "specific energy", "air_density": "density"}

ENTERING: Mapping[str, str] = _OF_AIR
"""The quantities of the air that enters, with their kinds."""

LEAVING: Mapping[str, str] = {
    **{f"leaving_{name}": kind for name, kind in _OF_AIR.items()},
    "humidity_drop": "humidity ratio",
    "enthalpy_drop": "specific energy",
}
"""What follows where the air behind the coil is known too."""

FLOWING: Mapping[str, str] = {
    "dry_air_flow": "mass flow", "heat": "power", "sensible": "power", "latent": "power", "water": "water flow", "sensible_heat_ratio": "ratio",
}  # fmt: skip
"""What follows where the air flow is known as well."""

SURFACE: Mapping[str, str] = {"surface_humidity_ratio": "humidity ratio"}
"""What follows from the temperature of the coil's surface."""

DERIVED = ("humidity_drop", "latent", "sensible_heat_ratio")
"""What is worked out from others, as they are printed."""


@dataclass(frozen=True)
class AirAlone:
    """Air (`entering`), the air behind the coil or the temperature (K) of the coil's surface and its bypass, and the air flow (m3/s).

    >>> from hpteach.fluids import moist_air
    >>> air = AirAlone(moist_air(299.15, relative_humidity=0.5), surface_temperature=283.15, air_flow=0.5)
    >>> round(air.found()["leaving_dry_bulb"], 1)
    284.8
    """

    entering: MoistAir
    leaving: MoistAir | None = None
    surface_temperature: float | None = None
    bypass: float = 0.1
    air_flow: float | None = None

    def found(self) -> dict[str, float]:
        """Every quantity in SI; raises the refusals of `air_at_coil` and `AirAtCoil`."""
        quantities = _of(self.entering, "")
        leaving = self.leaving
        flow = 1.0 if self.air_flow is None else self.air_flow
        passing = None
        if self.surface_temperature is not None:
            passing = air_at_coil(self.entering, self.surface_temperature, flow, bypass=self.bypass)
            leaving = passing.leaving
            quantities["surface_humidity_ratio"] = saturated_air(self.entering.pressure).humidity_ratio(self.surface_temperature)
        if leaving is None:
            return quantities
        passing = passing or AirAtCoil(self.entering, leaving, flow)
        quantities |= _of(leaving, "leaving_") | {"enthalpy_drop": self.entering.enthalpy - leaving.enthalpy}
        if self.air_flow is not None:
            quantities |= {"dry_air_flow": passing.dry_flow, "heat": passing.heat, "sensible": passing.sensible, "water": passing.water}
        return quantities

    @staticmethod
    def derived(found: Mapping[str, float]) -> dict[str, float]:
        """What rests on the others as they are printed."""
        quantities = {}
        if "leaving_humidity_ratio" in found:
            quantities["humidity_drop"] = found["humidity_ratio"] - found["leaving_humidity_ratio"]
        if "heat" in found:
            quantities["latent"] = found["heat"] - found["sensible"]
            if found["heat"]:
                quantities["sensible_heat_ratio"] = found["sensible"] / found["heat"]
        return quantities

    def words(self) -> dict[str, str]:
        """Air has no words of its own."""
        return {}


def names_of(keys: Mapping[str, object]) -> dict[str, str]:
    """The quantities, with their kinds, that follow from the keys that a question states.

    >>> "water" in names_of({"dry_bulb": 0, "wet_bulb": 0, "coil_surface": 0, "air_flow": 0})
    True
    """
    found = dict(ENTERING)
    if "coil_surface" in keys:
        found |= SURFACE
    if "coil_surface" in keys or "leaving_dry_bulb" in keys:
        found |= LEAVING
        if "air_flow" in keys:
            found |= FLOWING
    return found


def _of(air: MoistAir, prefix: str) -> dict[str, float]:
    found = {
        "dry_bulb": air.dry_bulb,
        "wet_bulb": air.wet_bulb,
        "relative_humidity": air.relative_humidity,
        "humidity_ratio": air.humidity_ratio,
        "air_enthalpy": air.enthalpy,
        "air_density": air.density,
    }
    try:
        found["dew_point"] = air.dew_point
    except LimitError:
        pass  # so dry that it has none
    return {prefix + name: value for name, value in found.items()}
