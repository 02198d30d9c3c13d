"""Machines in weather for the tests of the balance: a settled trial, a seeded grid of weather, machines made for one trouble."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

from hpteach.circuit import ValvePosition
from hpteach.fluids import MoistAir, moist_air, refrigerant
from hpteach.machine import Machine, demo_machine
from hpteach.machine.air_side import AirStream
from hpteach.machine.balance import settled
from hpteach.machine.metering import Metering
from hpteach.machine.sizing import sized
from hpteach.machine.trial import Trial, Trials

COOLING, HEATING = ValvePosition.COOLING, ValvePosition.HEATING


def air(celsius: float, humidity: float = 0.5) -> MoistAir:
    return moist_air(celsius + 273.15, relative_humidity=humidity)


def trials_of(machine: Machine, valve_position: ValvePosition, outdoor: MoistAir, indoor: MoistAir) -> Trials:
    airs = {"outdoor coil": outdoor, "indoor coil": indoor}
    evaporator, condenser = machine.coils(valve_position)
    streams = [AirStream(airs[coil.place], coil.air_flow, coil.air_conductance) for coil in (evaporator, condenser)]
    return Trials(
        machine, refrigerant(machine.refrigerant), evaporator, condenser, machine.metering(valve_position), *streams,
        charge=machine.circulating(valve_position), speed_ratio=1.0,
    )  # fmt: skip


def settled_trial(machine: Machine, valve_position: ValvePosition, outdoor: MoistAir, indoor: MoistAir) -> tuple[Trials, Trial]:
    trials = trials_of(machine, valve_position, outdoor, indoor)
    return trials, settled(trials)


@cache
def machine_for(name: str) -> Machine:
    """The bench unit (invented) sized for a refrigerant of the catalogue."""
    return sized(demo_machine("R-32"), name)


def weather(seed: str, count: int):  # noqa: ANN201
    """Valve position, outdoor and indoor air: -25 to 50 °C and 10 to 32 °C, 20 to 95 % relative humidity each, by a seed."""
    chance = random.Random(seed)  # noqa: S311
    for _ in range(count):
        position = chance.choice((HEATING, COOLING))
        celsius, inside = chance.uniform(-25.0, 50.0), chance.uniform(10.0, 32.0)
        yield position, air(celsius, chance.uniform(0.2, 0.95)), air(inside, chance.uniform(0.2, 0.95))


def with_orifices(machine: Machine, share: float) -> Machine:
    """The machine with fixed orifices, each a share of what its valve is when fully open."""

    def orifice(device: Metering) -> Metering:
        return Metering(kind="fixed orifice", opening=share * device.opening)

    return replace(machine, indoor_metering=orifice(machine.indoor_metering), outdoor_metering=orifice(machine.outdoor_metering))


def with_charge(machine: Machine, share: float) -> Machine:
    """The machine with a share of its charge."""
    return replace(machine, charge=share * machine.charge, held_aside=share * machine.held_aside)
