"""One trial of a machine: what follows from guessed saturated temperatures, and how far it is from agreeing.

What lives here: `Trial` and `Trials.at`, with the equations.  What does not: the search for the trial at which all agrees (balance).

Guessed are how far the vapour that leaves the evaporator stays below the air, its superheat and the dew temperature
at the condenser's inlet.  Going once round the circuit gives everything else; three things must then agree:

    the evaporator     the zones that the flow needs fill just the whole coil
    the charge         liquid and vapour in coils and liquid line add up to the charge
    the metering       what the device lets through at this superheat is what the compressor takes

The condenser agrees by itself: behind the condensing zone, what is left of the coil subcools.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from hpteach.errors import LimitError
from hpteach.fluids import MoistAir, Refrigerant, State
from hpteach.machine.air_side import AirStream
from hpteach.machine.charge import mean_density
from hpteach.machine.coils import Coil, Condensed, Ends, OffTheCoil, Zone, boil, condense
from hpteach.machine.compressor import Compression
from hpteach.machine.machine import Machine
from hpteach.machine.metering import Metering

_NEAR_DOME = 4.0
"""K from the dome at which the specific heats of vapour and liquid are taken."""


@dataclass(frozen=True)
class Trial:
    """Everything that follows from one guess; pressures in Pa, residuals without unit, 0 where it agrees."""

    evaporating: float
    condensing: float
    superheat: float
    below: float
    outlet: State
    suction: State
    discharge: State
    compression: Compression
    condensed: Condensed
    liquid_pressure: float
    liquid: State
    inlet_pressure: float
    boiling: tuple[Zone, ...]
    charge: float
    evaporator_residual: float
    charge_residual: float
    metering_residual: float
    share_open: float


class Trials:
    """Trials of one machine in one weather: `boiling_air` and `condensing_air` are the air at both coils."""

    def __init__(
        self, machine: Machine, refrigerant: Refrigerant, evaporator: Coil, condenser: Coil, metering: Metering,
        boiling_air: AirStream, condensing_air: AirStream, charge: float, speed_ratio: float,
    ) -> None:  # fmt: skip
        self.machine, self.refrigerant = machine, refrigerant
        self.evaporator, self.condenser, self.metering = evaporator, condenser, metering
        self.boiling_air, self.condensing_air = boiling_air, condensing_air
        self.charge, self.speed_ratio = charge, speed_ratio
        self._dew_pressures: dict[float, float] = {}

    def in_air(self, boiling: MoistAir, condensing: MoistAir) -> Trials:
        """The same machine with other air at both coils."""
        return Trials(
            self.machine, self.refrigerant, self.evaporator, self.condenser, self.metering,
            replace(self.boiling_air, inlet=boiling), replace(self.condensing_air, inlet=condensing), self.charge, self.speed_ratio,
        )  # fmt: skip

    def against(self, body: AirStream) -> Trials:
        """The same machine with something else in place of the air at the condenser, such as melting ice."""
        return Trials(
            self.machine, self.refrigerant, self.evaporator, self.condenser, self.metering, self.boiling_air, body, self.charge, self.speed_ratio,
        )  # fmt: skip

    def at(self, below: float, condensing: float, superheat: float) -> Trial:
        """The trial at a superheat (K; below zero the outlet is wet by as much enthalpy), so far (K) `below` the air where it leaves
        the evaporator, and at a condensing dew temperature (K).

        Raises `OffTheCoil` where heat would flow the wrong way, and what the refrigerant and the compressor raise.
        """
        fluid, machine = self.refrigerant, self.machine
        evaporating = self.boiling_air.inlet.dry_bulb - max(superheat, 0.0) - below
        low = self._dew_pressure(evaporating)
        boiled = fluid.saturated_vapour(low)
        bubble = fluid.saturated_liquid(low)
        vapour_heat = (fluid.superheated(low, _NEAR_DOME).enthalpy - boiled.enthalpy) / _NEAR_DOME
        outlet = self._outlet(low, boiled, superheat, vapour_heat)
        high = self._dew_pressure(condensing)
        if not high > low:
            raise OffTheCoil("the condensing pressure is not above the evaporating pressure")
        estimate = machine.compressor.intake(fluid, outlet, high, self.speed_ratio)
        suction_pressure = low - machine.suction_loss.at(estimate, outlet.density)
        if not suction_pressure > 0.5 * low:
            raise OffTheCoil("the suction line loses more than half of the pressure")
        suction = fluid.state_ph(suction_pressure, outlet.enthalpy)
        dew = fluid.saturated_vapour(high)
        discharge_pressure = high + machine.discharge_loss.at(estimate, dew.density)
        compression = machine.compressor.run(fluid, suction, discharge_pressure, self.speed_ratio)
        flow = compression.mass_flow
        discharge = self._discharge(discharge_pressure, compression.discharge_enthalpy)
        liquid_pressure = high - self.condenser.condensing_loss.at(flow, dew.density)
        ends = self._ends(dew, liquid_pressure)
        condensed = condense(self.condenser, self.condensing_air, ends, flow, compression.discharge_enthalpy, discharge.temperature)
        if not condensed.enthalpy < boiled.enthalpy:
            raise OffTheCoil("no liquid is left to boil")
        liquid = self._liquid(ends, condensed)
        quality = (condensed.enthalpy - bubble.enthalpy) / (boiled.enthalpy - bubble.enthalpy)
        inlet_pressure = low + self.evaporator.boiling_loss.at(flow, boiled.density)
        # Clausius and Clapeyron: the dome's slope at the outlet gives the inlet's temperature, a fraction of a kelvin higher.
        slope = boiled.temperature * (1.0 / boiled.density - 1.0 / bubble.density) / (boiled.enthalpy - bubble.enthalpy)
        glide = boiled.temperature - bubble.temperature
        inlet_temperature = bubble.temperature + max(quality, 0.0) * glide + slope * (inlet_pressure - low)
        zones = boil(self.evaporator, self.boiling_air, Ends(boiled, bubble, 0.0), inlet_temperature, flow, condensed.enthalpy, outlet, superheat, below)
        held = self._held(condensed, ends, discharge, liquid, zones, boiled, bubble, outlet, max(quality, 0.0))
        share_open = self.metering.share_open(superheat)
        return Trial(
            evaporating=evaporating, condensing=condensing, superheat=superheat, below=below, outlet=outlet, suction=suction, discharge=discharge,
            compression=compression, condensed=condensed, liquid_pressure=liquid_pressure, liquid=liquid, inlet_pressure=inlet_pressure,
            boiling=zones, charge=held,
            evaporator_residual=sum(zone.share for zone in zones) - 1.0,
            charge_residual=held / self.charge - 1.0,
            metering_residual=share_open * self._fully_open(liquid, ends.bubble.density, flow, inlet_pressure) / flow - 1.0,
            share_open=share_open,
        )  # fmt: skip

    def _dew_pressure(self, temperature: float) -> float:
        if temperature not in self._dew_pressures:
            self._dew_pressures[temperature] = self.refrigerant.dew_pressure(temperature)
        return self._dew_pressures[temperature]

    def _discharge(self, pressure: float, enthalpy: float) -> State:
        try:
            return self.refrigerant.state_ph(pressure, enthalpy)
        except LimitError as error:
            raise LimitError(f"discharge of the compressor: {error.template}", **error.measures) from None

    def _fully_open(self, liquid: State, density: float, mass_flow: float, outlet_pressure: float) -> float:
        """What the metering device passes when it is fully open (kg/s), behind the loss of a liquid line full of liquid."""
        loss = self.machine.liquid_loss.at(mass_flow, density)
        return self.metering.passes(self.refrigerant, liquid, liquid.pressure - loss, outlet_pressure)

    def _outlet(self, pressure: float, boiled: State, superheat: float, vapour_heat: float) -> State:
        if superheat >= 0.0:
            return self.refrigerant.superheated(pressure, superheat)
        return self.refrigerant.state_ph(pressure, boiled.enthalpy + superheat * vapour_heat)

    def _liquid(self, ends: Ends, condensed: Condensed) -> State:
        """What leaves the condenser; where it is liquid, at the temperature that the specific heat near the dome gives."""
        bubble = ends.bubble
        if condensed.enthalpy <= bubble.enthalpy:
            return self.refrigerant.subcooled(bubble.pressure, bubble.temperature - condensed.liquid_temperature)
        return self.refrigerant.state_ph(bubble.pressure, condensed.enthalpy)

    def _ends(self, dew: State, liquid_pressure: float) -> Ends:
        fluid = self.refrigerant
        bubble = fluid.saturated_liquid(liquid_pressure)
        liquid_heat = (bubble.enthalpy - fluid.subcooled(liquid_pressure, _NEAR_DOME).enthalpy) / _NEAR_DOME
        return Ends(dew, bubble, liquid_heat)

    def _held(
        self, condensed: Condensed, ends: Ends, discharge: State, liquid: State, boiling: tuple[Zone, ...], boiled: State, bubble: State, outlet: State,
        quality: float,
    ) -> float:  # fmt: skip
        """The refrigerant (kg) in both coils and in the liquid line."""
        dew = ends.dew
        first = 1.0 if discharge.quality is None else discharge.quality
        reached = 0.0 if liquid.quality is None else liquid.quality
        densities = {
            "vapour": 0.5 * (discharge.density + dew.density),
            "condensing": mean_density(ends.bubble.density, dew.density, first, reached),
            "liquid": 0.5 * (ends.bubble.density + liquid.density),
        }
        of_condenser = self.condenser.volume * sum(zone.share * densities[zone.name] for zone in condensed.zones)
        last = 1.0 if outlet.quality is None else outlet.quality
        wet = mean_density(bubble.density, boiled.density, quality, last)
        dry = 0.5 * (boiled.density + outlet.density)
        total = sum(zone.share for zone in boiling)  # scaled to the whole coil, so that a guess holds no more than fits in
        of_evaporator = self.evaporator.volume * sum(zone.share * (wet if zone.name == "boiling" else dry) for zone in boiling) / total
        return of_condenser + of_evaporator + self.machine.liquid_line_volume * liquid.density
