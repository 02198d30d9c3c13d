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

import math
from dataclasses import dataclass, replace

from hpteach.errors import LimitError
from hpteach.fluids import MoistAir, Refrigerant, State
from hpteach.machine.air_side import AirStream
from hpteach.machine.charge import mean_density
from hpteach.machine.coils import Coil, Condensed, Ends, OffTheCoil, Zone, boil, condense
from hpteach.machine.compressor import Compression
from hpteach.machine.defects import Defects
from hpteach.machine.machine import Machine
from hpteach.machine.metering import Metering

_SOUND = Defects()
_MOST_LEAK = 0.9
_MOST_ROUNDS, _SAME_SHARE = 80, 1e-11
"""Rounds by which leaked gas and suction agree, and how far."""

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
    mass_flow: float
    foreign_gas: float


class Trials:
    """Trials of one machine in one weather: `boiling_air` and `condensing_air` are the air at both coils."""

    def __init__(
        self, machine: Machine, refrigerant: Refrigerant, evaporator: Coil, condenser: Coil, metering: Metering,
        boiling_air: AirStream, condensing_air: AirStream, charge: float, speed_ratio: float, defects: Defects = _SOUND,
    ) -> None:  # fmt: skip
        self.machine, self.refrigerant = machine, refrigerant
        self.evaporator, self.condenser, self.metering = evaporator, condenser, metering
        self.boiling_air, self.condensing_air = boiling_air, condensing_air
        self.charge, self.speed_ratio, self.defects = charge, speed_ratio, defects
        self._dew_pressures: dict[float, float] = {}

    def in_air(self, boiling: MoistAir, condensing: MoistAir) -> Trials:
        """The same machine with other air at both coils."""
        return Trials(
            self.machine, self.refrigerant, self.evaporator, self.condenser, self.metering,
            replace(self.boiling_air, inlet=boiling), replace(self.condensing_air, inlet=condensing), self.charge, self.speed_ratio, self.defects,
        )  # fmt: skip

    def against(self, body: AirStream) -> Trials:
        """The same machine with something else in place of the air at the condenser, such as melting ice."""
        return Trials(
            self.machine, self.refrigerant, self.evaporator, self.condenser, self.metering, self.boiling_air, body, self.charge, self.speed_ratio, self.defects,
        )  # fmt: skip

    def at(self, below: float, condensing: float, superheat: float) -> Trial:
        """The trial at a superheat (K), so far (K) `below` the air where it leaves the evaporator, and at a condensing dew temperature (K).

        A superheat below zero is an outlet that is wet by as much enthalpy.  Raises `OffTheCoil` where heat would flow the wrong way, and what the refrigerant and the compressor raise.
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
        dew = fluid.saturated_vapour(high)
        foreign = self.defects.foreign_gas
        discharge_pressure = high + foreign + machine.discharge_loss.at(estimate, dew.density)
        suction, discharge, compression, flow = self._compressed(outlet, suction_pressure, discharge_pressure)
        ends = self._ends(dew, high - self.condenser.condensing_loss.at(flow, dew.density))
        liquid_pressure = ends.bubble.pressure + foreign
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
        share_open = self._share_open(superheat)
        return Trial(
            evaporating=evaporating, condensing=condensing, superheat=superheat, below=below, outlet=outlet, suction=suction, discharge=discharge,
            compression=compression, condensed=condensed, liquid_pressure=liquid_pressure, liquid=liquid, inlet_pressure=inlet_pressure,
            boiling=zones, charge=held,
            evaporator_residual=sum(zone.share for zone in zones) - 1.0,
            charge_residual=held / self.charge - 1.0,
            metering_residual=share_open * self._fully_open(liquid, ends.bubble.density, flow, inlet_pressure, foreign) / flow - 1.0,
            share_open=share_open, mass_flow=flow, foreign_gas=foreign,
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

    def _fully_open(self, liquid: State, density: float, mass_flow: float, outlet_pressure: float, foreign: float) -> float:
        """What the metering device passes when it is fully open (kg/s), behind the loss of a liquid line full of liquid and of a narrow place in it."""
        pressure = liquid.pressure + foreign - self.loss_before_metering(liquid, density, mass_flow)
        if self.defects.narrow < math.inf and liquid.quality is None and outlet_pressure < pressure < self.refrigerant.bubble_pressure(liquid.temperature):
            liquid = self.refrigerant.state_ph(pressure, liquid.enthalpy)
        return self.metering.passes(self.refrigerant, liquid, pressure, outlet_pressure)

    def loss_before_metering(self, liquid: State, density: float, mass_flow: float) -> float:
        """What the pressure falls by (Pa) in the liquid line, full of liquid of a density, and in a narrow place in it."""
        loss = self.machine.liquid_loss.at(mass_flow, density)
        return loss + (self.defects.loss(mass_flow, liquid.density) if self.defects.narrow < math.inf else 0.0)

    def _share_open(self, superheat: float) -> float:
        """How far the way past the metering device is open, by its own opening."""
        defects = self.defects
        if defects.stuck_at is not None:
            return defects.stuck_at + defects.bypass / self.metering.opening
        if defects.bypass == 0.0:
            return self.metering.share_open(superheat)
        return max(self.metering.share_open(superheat), 0.0) + defects.bypass / self.metering.opening

    def _compressed(self, outlet: State, suction_pressure: float, discharge_pressure: float) -> tuple[State, State, Compression, float]:
        """Suction, discharge, compression and what of its flow reaches the coils, with the gas that a gap at the spool lets through."""
        fluid, run = self.refrigerant, self.machine.compressor.run
        suction = fluid.state_ph(suction_pressure, outlet.enthalpy)
        compression = run(fluid, suction, discharge_pressure, self.speed_ratio)
        discharge = self._discharge(discharge_pressure, compression.discharge_enthalpy)
        share = 0.0
        for _ in range(_MOST_ROUNDS if self.defects.spool_gap else 0):
            before, share = share, self.defects.leak(discharge.density, discharge_pressure, suction_pressure) / compression.mass_flow
            if abs(share - before) < _SAME_SHARE:
                break
            if share >= _MOST_LEAK:
                raise OffTheCoil("nearly all the gas leaks past the spool")
            # Mixed: h1 = (1 - share) h_outlet + share h2, and h2 = h1 + work on the gas.
            work = compression.discharge_enthalpy - suction.enthalpy
            suction = fluid.state_ph(suction_pressure, outlet.enthalpy + share / (1.0 - share) * work)
            compression = run(fluid, suction, discharge_pressure, self.speed_ratio)
            discharge = self._discharge(discharge_pressure, compression.discharge_enthalpy)
        return suction, discharge, compression, compression.mass_flow * (1.0 - share)

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
