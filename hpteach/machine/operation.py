"""What a machine does once its pressures have settled.

What lives here: `Operation` and how it is made from the trial that agrees.  What does not: the search (balance), showing it (machine_readouts).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from hpteach.circuit import Flow, ValvePosition, flow, reversible_circuit
from hpteach.cycle import NAMES, Conditions, Cycle, StatePoint
from hpteach.errors import LimitError, Measure
from hpteach.fluids import MoistAir, Refrigerant, State
from hpteach.machine.air_side import FUSION, AirStream, air_with
from hpteach.machine.coils import Zone
from hpteach.machine.limits import Limit, limits_of
from hpteach.machine.machine import Machine
from hpteach.machine.trial import Trial, Trials


@dataclass(frozen=True)
class CoilAtWork:
    """A coil as it works: its role, its zones, heat that the refrigerant gives the air (W, negative where it takes), the air at both ends.

    `sensible` and `latent` (W) are what the air gains; `water` (kg/s) is what it leaves on the coil, `frost` the share of that which freezes.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> coil = operate(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.5)).indoor_coil
    >>> coil.role, coil.given_to_air < 0.0 < coil.water
    ('evaporator', True)
    """

    place: str
    role: str
    zones: tuple[Zone, ...]
    heat: float
    sensible: float
    latent: float
    air_flow: float
    entering: MoistAir
    leaving: MoistAir
    dry_flow: float
    water: float
    frost: float

    @property
    def given_to_air(self) -> float:
        """What the air gains by its own enthalpies, less the heat of fusion of what freezes (W); it is `heat` again, but for rounding."""
        return self.dry_flow * (self.leaving.enthalpy - self.entering.enthalpy) - FUSION * self.frost * self.water


@dataclass(frozen=True)
class Operation:
    """A machine that has settled in weather; powers in W, temperatures in K, mass flow in kg/s.

    `superheat` and `subcooling` (K) are read at the compressor and at the condenser's outlet; each is 0 where
    there is liquid, or vapour, instead.  Fan heat of the indoor fan reaches the room.  `mass_flow` passes the coils;
    `leaked_flow` (kg/s) comes on top of it where discharge gas leaks into the suction.
    """

    machine: Machine
    valve_position: ValvePosition
    outdoor: MoistAir
    indoor: MoistAir
    speed_ratio: float
    cycle: Cycle
    mass_flow: float
    compressor_power: float
    heat_loss: float
    isentropic_efficiency: float
    volumetric_efficiency: float | None
    saturated_suction_temperature: float
    saturated_condensing_temperature: float
    superheat: float
    coil_superheat: float
    subcooling: float
    charge: float
    share_open: float
    evaporator_outlet: State
    before_metering: State
    leaked_flow: float
    indoor_coil: CoilAtWork
    outdoor_coil: CoilAtWork

    @property
    def capacity(self) -> float:
        """Heat given to the room (heating) or taken from it (cooling), the indoor fan's own heat counted."""
        sign = 1.0 if self.valve_position is ValvePosition.HEATING else -1.0
        return sign * (self.indoor_coil.heat + self.machine.indoor_coil.fan_power)

    @property
    def sensible(self) -> float:
        """The part of the capacity that changes the room's temperature; in heating all of it."""
        sign = 1.0 if self.valve_position is ValvePosition.HEATING else -1.0
        return sign * (self.indoor_coil.sensible + self.machine.indoor_coil.fan_power)

    @property
    def latent(self) -> float:
        """The part of the capacity that takes moisture from the room."""
        return self.capacity - self.sensible

    @property
    def fan_power(self) -> float:
        """Both fans."""
        return self.machine.indoor_coil.fan_power + self.machine.outdoor_coil.fan_power

    @property
    def power(self) -> float:
        """Compressor and fans."""
        return self.compressor_power + self.fan_power

    @property
    def cop(self) -> float:
        """Capacity over the power of compressor and fans."""
        return self.capacity / self.power

    @property
    def pressure_ratio(self) -> float:
        """p2 / p1 at the compressor, absolute."""
        return self.cycle.pressure_ratio

    @property
    def discharge_temperature(self) -> float:
        """T2."""
        return self.cycle.point("2").temperature

    @cached_property
    def supply_air(self) -> MoistAir:
        """The air that reaches the room, behind coil and fan; raises `LimitError` where it is hotter than moist air is computed."""
        leaving = self.indoor_coil.leaving
        warmer = self.machine.indoor_coil.fan_power / (self.indoor_coil.dry_flow * leaving.specific_heat)
        try:
            return MoistAir(leaving.dry_bulb + warmer, leaving.humidity_ratio, leaving.pressure)
        except LimitError as error:
            raise _beyond("air that reaches the room", self.indoor_coil.entering, error) from None

    @property
    def fully_open(self) -> bool:
        """Whether a valve that should hold superheat is fully open because it needs more; one that has stuck open needs none."""
        device = self.machine.metering(self.valve_position)
        return device.holds_superheat and self.share_open >= 1.0 and self.coil_superheat >= device.fully_open_at

    @property
    def frosting(self) -> bool:
        """Whether ice grows on the coil that boils."""
        return self.frost_rate > 0.0

    @property
    def frost_rate(self) -> float:
        """Ice that grows on the coil that boils (kg/s): the outdoor coil in heating, the indoor coil in cooling."""
        return self.boiling_coil.water * self.boiling_coil.frost

    @property
    def boiling_coil(self) -> CoilAtWork:
        """The coil that is the evaporator."""
        return self.outdoor_coil if self.valve_position is ValvePosition.HEATING else self.indoor_coil

    @cached_property
    def limits(self) -> tuple[Limit, ...]:
        """The limits that are reached."""
        return limits_of(self)

    @property
    def energy_residual(self) -> float:
        """How far the energies are from closing, as a share of the power: refrigerant against air at both coils, and the whole."""
        refrigerant = self.mass_flow * (self.cycle.point("2").enthalpy - self.cycle.point("3").enthalpy)
        boiled = self.mass_flow * (self.evaporator_outlet.enthalpy - self.cycle.point("4").enthalpy)
        heating = self.valve_position is ValvePosition.HEATING
        condenser, evaporator = (self.indoor_coil, self.outdoor_coil) if heating else (self.outdoor_coil, self.indoor_coil)
        offs = (
            condenser.heat - refrigerant,
            evaporator.heat + boiled,
            refrigerant + self.heat_loss - boiled - self.compressor_power,
            *(coil.heat - coil.given_to_air for coil in (condenser, evaporator)),
        )
        return max(abs(off) for off in offs) / self.compressor_power


def operation_of(
    machine: Machine, refrigerant: Refrigerant, valve_position: ValvePosition, outdoor: MoistAir, indoor: MoistAir, trials: Trials, trial: Trial
) -> Operation:
    """The operation that the trial at which all agrees amounts to."""
    course = flow(reversible_circuit(), valve_position)
    cycle = _cycle(refrigerant, course, trial)
    mass_flow = trial.mass_flow
    evaporator = at_work(trials.evaporator.place, "evaporator", trial.boiling, trials.boiling_air)
    condenser = at_work(trials.condenser.place, "condenser", trial.condensed.zones, trials.condensing_air)
    coils = {coil.place: coil for coil in (evaporator, condenser)}
    return Operation(
        machine=machine,
        valve_position=valve_position,
        outdoor=outdoor,
        indoor=indoor,
        speed_ratio=trials.speed_ratio,
        cycle=cycle,
        mass_flow=mass_flow,
        compressor_power=trial.compression.power,
        heat_loss=trial.compression.heat_loss,
        isentropic_efficiency=trial.compression.isentropic_efficiency,
        volumetric_efficiency=trial.compression.volumetric_efficiency,
        saturated_suction_temperature=cycle.conditions.saturated_suction_temperature,
        saturated_condensing_temperature=cycle.conditions.saturated_condensing_temperature,
        superheat=cycle.conditions.superheat,
        coil_superheat=max(trial.superheat, 0.0),
        subcooling=cycle.conditions.subcooling,
        charge=trial.charge,
        share_open=trial.share_open,
        evaporator_outlet=trial.outlet,
        before_metering=_before_metering(refrigerant, trials, trial),
        leaked_flow=trial.compression.mass_flow - trial.mass_flow,
        indoor_coil=coils["indoor coil"],
        outdoor_coil=coils["outdoor coil"],
    )


def _before_metering(refrigerant: Refrigerant, trials: Trials, trial: Trial) -> State:
    """The state at the metering device's inlet: that of the liquid behind its line, flashing where the pressure has fallen too far."""
    density = refrigerant.saturated_liquid(trial.liquid_pressure - trial.foreign_gas).density
    pressure = trial.liquid_pressure - trials.loss_before_metering(trial.liquid, density, trial.mass_flow)
    return refrigerant.state_ph(max(pressure, trial.inlet_pressure), trial.condensed.enthalpy)


def _cycle(refrigerant: Refrigerant, course: Flow, trial: Trial) -> Cycle:
    inlet = refrigerant.state_ph(trial.inlet_pressure, trial.condensed.enthalpy)
    liquid = refrigerant.state_ph(trial.liquid_pressure, trial.condensed.enthalpy)
    suction, discharge = trial.suction, trial.discharge
    condensing = refrigerant.dew_pressure(trial.condensing)
    passed = {zone.name for zone in trial.condensed.zones}
    met: dict[str, State | None] = {
        "1": suction,
        "2": discharge,
        "2a": refrigerant.saturated_vapour(condensing) if "vapour" in passed else None,
        "2b": refrigerant.saturated_liquid(trial.liquid_pressure - trial.foreign_gas) if "liquid" in passed else None,
        "3": liquid,
        "4": inlet,
        "4a": refrigerant.saturated_vapour(trial.outlet.pressure) if suction.quality is None and trial.superheat >= 0.0 else None,
    }
    points = tuple(_point(label, state, course) for label, state in met.items() if state is not None)
    bubble = refrigerant.bubble_temperature(trial.liquid_pressure)
    evaporating = refrigerant.dew_temperature(suction.pressure)
    conditions = Conditions(
        valve_position=course.valve_position,
        meters_towards=course.evaporator or "",
        saturated_suction_temperature=evaporating,
        saturated_condensing_temperature=refrigerant.dew_temperature(discharge.pressure),
        superheat=max(suction.temperature - evaporating, 0.0) if suction.quality is None else 0.0,
        subcooling=bubble - liquid.temperature if liquid.quality is None else 0.0,
        isentropic_efficiency=trial.compression.isentropic_efficiency,
    )
    return Cycle(refrigerant.name, conditions, course, points, refrigerant.state_ps(discharge.pressure, suction.entropy))


def _point(label: str, state: State, course: Flow) -> StatePoint:
    number = int(label) if label.isdigit() else None
    return StatePoint(**vars(state), number=number, label=label, name=NAMES[label], place=course.place(label))


def at_work(place: str, role: str, zones: tuple[Zone, ...], stream: AirStream) -> CoilAtWork:
    """A coil as its zones and its air have it; raises `LimitError` where the air comes out hotter or colder than moist air is computed."""
    try:
        return _at_work(place, role, zones, stream)
    except LimitError as error:
        raise _beyond(f"air that leaves the {place}", stream.inlet, error) from None


def _at_work(place: str, role: str, zones: tuple[Zone, ...], stream: AirStream) -> CoilAtWork:
    heat = sum(zone.heat for zone in zones)
    wet = [zone for zone in zones if zone.met.wet]
    dry = [zone for zone in zones if not zone.met.wet]
    frost = wet[0].met.frozen_share if wet else 0.0
    parts = [(zone.share, stream.leaving(zone.heat, zone.share, zone.met)) for zone in wet]
    if dry:
        share = sum(zone.share for zone in dry)
        parts.append((share, stream.leaving(sum(zone.heat for zone in dry), share, replace(dry[0].met, frozen_share=frost))))
    entering = stream.inlet
    leaving = parts[0][1]
    if len(parts) > 1:
        enthalpy, humidity = (sum(share * getattr(air, of) for share, air in parts) for of in ("enthalpy", "humidity_ratio"))
        leaving = air_with(enthalpy, humidity, entering.pressure, fusion=FUSION * frost)
    water = stream.dry_flow * (entering.humidity_ratio - leaving.humidity_ratio)
    latent = -water * (0.5 * (_of_vapour(entering) + _of_vapour(leaving)) + FUSION * frost) if water > 0.0 else 0.0
    return CoilAtWork(
        place=place, role=role, zones=zones, heat=-heat, sensible=-heat - latent, latent=latent, air_flow=stream.volume_flow,
        entering=entering, leaving=leaving, dry_flow=stream.dry_flow, water=max(water, 0.0), frost=frost,
    )  # fmt: skip


def _beyond(which: str, entering: MoistAir, error: LimitError) -> LimitError:
    """That air comes out hotter or colder than moist air is computed, and what to change; anything else as it was said."""
    measures = error.measures
    if not {"given", "least", "most"} <= set(measures) or measures["given"].kind != "temperature":
        return LimitError(f"{which}: {error.template}", **measures)
    hot = measures["given"].value > measures["most"].value
    return LimitError(
        f"{which} would be at {{given}}, {'above the {limit} up' if hot else 'below the {limit} down'} to which moist air is computed: "
        f"use {'colder' if hot else 'warmer'} air than {{entering}} at this coil, or a machine with more air flow",
        given=measures["given"], limit=measures["most" if hot else "least"]._replace(bound=""), entering=Measure(entering.dry_bulb, "temperature"),
    )  # fmt: skip


def _of_vapour(air: MoistAir) -> float:
    """What a kilogram of vapour adds to the enthalpy of air at its dry bulb (J/kg)."""
    return (air.enthalpy - MoistAir(air.dry_bulb, 0.0, air.pressure).enthalpy) / air.humidity_ratio
