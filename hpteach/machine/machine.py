"""A machine: its parts with their sizes, one object for both positions of the valve.

What lives here: `Machine` and `WorkingLimits`.  What does not: reading it from a file
(machine_files), making one of another size (sizing), what it does (balance).
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError
from hpteach.machine.coils import Coil, PressureLoss
from hpteach.machine.compressor import DisplacementCompressor, require
from hpteach.machine.compressor_map import CompressorMap
from hpteach.machine.frost_surface import FrostSurface
from hpteach.machine.metering import Metering


@dataclass(frozen=True, kw_only=True)
class WorkingLimits:
    """Within what the maker lets the compressor work: K, and ratios of absolute pressures.

    The last two, left out, are common practice, no source.

    >>> WorkingLimits(discharge_temperature=388.15, pressure_ratio=8.0, least_saturated_suction_temperature=243.15,
    ...               saturated_condensing_temperature=338.15).pressure_ratio
    8.0
    """

    discharge_temperature: float
    pressure_ratio: float
    least_saturated_suction_temperature: float
    saturated_condensing_temperature: float
    least_pressure_ratio: float = 1.5
    most_saturated_suction_temperature: float = 293.15

    def __post_init__(self) -> None:
        require(self.discharge_temperature, "highest discharge temperature in K", "above 273.15", above=273.15)
        require(self.pressure_ratio, "highest pressure ratio", "above 1", above=1.0)
        require(self.least_saturated_suction_temperature, "lowest saturated suction temperature in K", "above 0", above=0.0)
        require(self.saturated_condensing_temperature, "highest saturated condensing temperature in K", "above 0", above=0.0)
        require(self.least_pressure_ratio, "lowest pressure ratio", f"from 1 to less than the highest of {self.pressure_ratio:g}", least=1.0, most=self.pressure_ratio)
        require(
            self.most_saturated_suction_temperature, "highest saturated suction temperature in K", "above the lowest",
            above=self.least_saturated_suction_temperature,
        )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Machine:
    """An air-to-air heat pump: the same two coils in both positions of the valve, a metering device with a check valve at each.

    `indoor_metering` meters towards the indoor coil and works in cooling, `outdoor_metering` in heating.
    `charge` (kg) is all the refrigerant; in heating `held_aside` (kg) of it stands in a vessel, as the indoor coil needs less.
    `liquid_line_volume` in m3.

    >>> from hpteach.machine import demo_machine
    >>> demo_machine("R-32").indoor_coil.place
    'indoor coil'
    """

    name: str
    refrigerant: str
    note: str
    compressor: DisplacementCompressor | CompressorMap
    indoor_coil: Coil
    outdoor_coil: Coil
    indoor_metering: Metering
    outdoor_metering: Metering
    charge: float
    held_aside: float
    liquid_line_volume: float
    suction_loss: PressureLoss
    discharge_loss: PressureLoss
    liquid_loss: PressureLoss
    limits: WorkingLimits
    frost: FrostSurface

    def __post_init__(self) -> None:
        require(self.charge, "charge in kg", "above 0", above=0.0)
        require(self.held_aside, "charge held aside in heating, in kg", f"from 0 to less than the charge of {self.charge:g}", least=0.0)
        require(self.liquid_line_volume, "volume of the liquid line in m³", "of 0 or more", least=0.0)
        if not self.held_aside < self.charge:
            raise LimitError(f"charge held aside in heating of {self.held_aside:g} kg leaves nothing of {self.charge:g} kg: hold less aside")
        for coil, place in ((self.indoor_coil, "indoor coil"), (self.outdoor_coil, "outdoor coil")):
            if coil.place != place:
                raise LimitError(f"the {place} of the machine says that its place is the {coil.place}: use 'indoor coil' indoors and 'outdoor coil' outdoors")

    def coils(self, valve_position: ValvePosition) -> tuple[Coil, Coil]:
        """The coil that boils and the coil that condenses, with the valve in heating or cooling."""
        heating = valve_position is ValvePosition.HEATING
        return (self.outdoor_coil, self.indoor_coil) if heating else (self.indoor_coil, self.outdoor_coil)

    def metering(self, valve_position: ValvePosition) -> Metering:
        """The metering device that works: the one at the coil that boils."""
        return self.outdoor_metering if valve_position is ValvePosition.HEATING else self.indoor_metering

    def circulating(self, valve_position: ValvePosition) -> float:
        """The charge that circulates (kg)."""
        return self.charge - (self.held_aside if valve_position is ValvePosition.HEATING else 0.0)
