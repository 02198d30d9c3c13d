"""Defrost: when it starts, and what the machine does with the valve in cooling position and the outdoor fan off.

What lives here: the two ways to start, `Defrost`, `defrost`.  What does not: how frost grows, what a whole cycle of frost and
defrost comes to (frost).

The outdoor coil condenses against melting ice at 0 C, then against its own metal up to the temperature at which the
defrost ends; the indoor coil boils with the room's air.  Heat that the outdoor coil needs:

    frost (L + c_ice (0 C - T_frost)) + metal (T_end - T_frost),    a share more for what the outdoor air takes

Each of the two stretches is taken as steady: melting at 0 C, and warming at the middle of its temperatures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError, Measure
from hpteach.fluids import MoistAir, refrigerant
from hpteach.machine.air_side import FUSION, AirStream
from hpteach.machine.balance import Search
from hpteach.machine.compressor import require
from hpteach.machine.machine import Machine
from hpteach.machine.operation import CoilAtWork, at_work
from hpteach.machine.trial import Trial, Trials

ICE_HEAT = 2.1e3
"""J/(kg K), specific heat of ice near 0 C (from memory, not seen here)."""

_MELTING = 273.15
_WARM = 308.15
_STARTS = ((4.0, 5.0, 20.0), (2.0, 4.0, 28.0), (8.0, 6.0, 12.0))
"""K by which a search begins below the room's air less the superheat, above the outdoor coil, and the superheat."""

_SHORTEST = 1.0 / 64.0


@dataclass(frozen=True, kw_only=True)
class TimeTemperature:
    """Defrost by the clock: every `interval` (s) of running with the coil below `coil_below` (K), needed or not.

    >>> TimeTemperature().interval
    3600.0
    """

    interval: float = 3600.0
    coil_below: float = 272.15

    def __post_init__(self) -> None:
        require(self.interval, "interval between defrosts in s", "from 600 to 36000", least=600.0, most=36000.0)
        require(self.coil_below, "coil temperature below which the clock runs, in K", "from 253.15 to 278.15", least=253.15, most=278.15)


@dataclass(frozen=True, kw_only=True)
class Demand:
    """Defrost on demand: as soon as the coil lies `excess` (K) further below the outdoor air than it did when clean; at the latest after `longest` (s).

    >>> Demand().excess
    1.0
    """

    excess: float = 1.0
    longest: float = 21600.0

    def __post_init__(self) -> None:
        require(self.excess, "excess of the difference between air and coil in K", "above 0 and up to 15", above=0.0, most=15.0)
        require(self.longest, "longest time between defrosts in s", "from 600 to 86400", least=600.0, most=86400.0)


Control = TimeTemperature | Demand


@dataclass(frozen=True, kw_only=True)
class Ending:
    """How a defrost ends: when the coil has reached `coil_temperature` (K), at the latest after `longest` (s); `lost` is the share that the outdoor air takes.

    >>> Ending().longest
    600.0
    """

    coil_temperature: float = 285.15
    longest: float = 600.0
    lost: float = 0.3

    def __post_init__(self) -> None:
        require(self.coil_temperature, "coil temperature at which a defrost ends, in K", "above 273.15 and up to 303.15", above=273.15, most=303.15)
        require(self.longest, "longest defrost in s", "from 60 to 3600", least=60.0, most=3600.0)
        require(self.lost, "share of the defrost's heat that the outdoor air takes", "from 0 to 1", least=0.0, most=1.0)


@dataclass(frozen=True)
class Body:
    """What the outdoor coil condenses against in a defrost, at one temperature (K); it takes what the refrigerant side lets through."""

    temperature: float
    capacity_flow: float = 1.0

    @property
    def inlet(self) -> Body:
        """Itself, read as the air at an inlet is."""
        return self

    @property
    def dry_bulb(self) -> float:
        """Its temperature."""
        return self.temperature

    def effectiveness(self, refrigerant_conductance: float) -> float:
        """The whole conductance of the refrigerant side (W/K), as its temperature does not change along the coil."""
        return refrigerant_conductance


@dataclass(frozen=True)
class Stretch:
    """The machine while it warms the outdoor coil at one temperature: heat to it, heat from the room (W), power (W), the indoor coil."""

    coil_temperature: float
    heat: float
    heat_from_room: float
    compressor_power: float
    saturated_suction_temperature: float
    saturated_condensing_temperature: float
    indoor_coil: CoilAtWork


@dataclass(frozen=True)
class Defrost:
    """One defrost: how long it takes (s), what it melts (kg) and costs.

    Energies in J: `heat` to the outdoor coil, `heat_from_room` by the indoor coil (the fan's own heat not taken off), `work` of compressor and indoor fan.
    `left` (kg) is frost that is still there when the longest time is over.
    """

    duration: float
    melted: float
    left: float
    heat: float
    heat_from_room: float
    work: float
    melting: Stretch
    warming: Stretch
    fan_power: float

    @cached_property
    def supply_temperature(self) -> float:
        """The air that reaches the room while the frost melts (K), without auxiliary heat."""
        leaving = self.melting.indoor_coil.leaving
        return leaving.dry_bulb + self.fan_power / (self.melting.indoor_coil.dry_flow * leaving.specific_heat)

    def supply_with(self, auxiliary_heat: float) -> float:
        """The same with auxiliary heat (W) in the air stream."""
        require(auxiliary_heat, "auxiliary heat in W", "of 0 or more", least=0.0)
        coil = self.melting.indoor_coil
        return self.supply_temperature + auxiliary_heat / (coil.dry_flow * coil.leaving.specific_heat)


def defrost(machine: Machine, indoor: MoistAir, frost: float, frost_temperature: float, ending: Ending | None = None, *, speed_ratio: float = 1.0) -> Defrost:
    """The defrost of an outdoor coil that carries `frost` (kg) at a temperature (K), with the room's air at `indoor`.

    Raises `LimitError` for a frost mass below zero and where the machine finds no balance.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> found = defrost(demo_machine("R-32"), moist_air(293.15, relative_humidity=0.4), 1.5, 268.15)
    >>> 60.0 < found.duration < 600.0, found.left
    (True, 0.0)
    """
    ending = Ending() if ending is None else ending
    require(frost, "frost in kg", "of 0 or more", least=0.0)
    colder = max(_MELTING - frost_temperature, 0.0)
    metal = machine.frost.metal_heat
    more = 1.0 + ending.lost
    melting = stretch(machine, indoor, _MELTING, speed_ratio)
    warming = stretch(machine, indoor, 0.5 * (_MELTING + ending.coil_temperature), speed_ratio)
    to_melt = more * (frost * (FUSION + ICE_HEAT * colder) + metal * colder)
    to_warm = more * metal * (ending.coil_temperature - _MELTING)
    first = to_melt / melting.heat
    second = to_warm / warming.heat
    left = 0.0
    if first > ending.longest:  # what has been given so far has warmed metal and frost, and melted a part
        given = ending.longest * melting.heat / more - metal * colder - frost * ICE_HEAT * colder
        left = frost - min(max(given / FUSION, 0.0), frost)
        first, second = ending.longest, 0.0
    second = min(second, ending.longest - first)
    fan = machine.indoor_coil.fan_power
    return Defrost(
        duration=first + second,
        melted=frost - left,
        left=left,
        heat=first * melting.heat + second * warming.heat,
        heat_from_room=first * melting.heat_from_room + second * warming.heat_from_room,
        work=first * (melting.compressor_power + fan) + second * (warming.compressor_power + fan),
        melting=melting,
        warming=warming,
        fan_power=fan,
    )


@lru_cache(maxsize=32)
def stretch(machine: Machine, indoor: MoistAir, coil_temperature: float, speed_ratio: float = 1.0) -> Stretch:
    """The machine in cooling position, outdoor fan off, with its outdoor coil at a temperature (K); raises `LimitError` where it finds no balance.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> found = stretch(demo_machine("R-32"), moist_air(293.15, relative_humidity=0.4), 273.15)
    >>> found.heat > found.heat_from_room > 0.0
    True
    """
    fluid = refrigerant(machine.refrigerant)
    coil = machine.indoor_coil
    trials = Trials(
        machine, fluid, coil, machine.outdoor_coil, machine.metering(ValvePosition.COOLING), AirStream(indoor, coil.air_flow, coil.air_conductance),
        Body(coil_temperature), charge=machine.circulating(ValvePosition.COOLING), speed_ratio=speed_ratio,
    )  # fmt: skip
    trial = _settled(trials)
    if trial is None:
        raise LimitError(
            "defrost with the room at {indoor} and the outdoor coil at {coil} finds no balance in this machine: use another room temperature",
            indoor=Measure(indoor.dry_bulb, "temperature"),
            coil=Measure(coil_temperature, "temperature"),
        )
    flow = trial.compression.mass_flow
    return Stretch(
        coil_temperature=coil_temperature,
        heat=flow * (trial.compression.discharge_enthalpy - trial.condensed.enthalpy),
        heat_from_room=flow * (trial.outlet.enthalpy - trial.condensed.enthalpy),
        compressor_power=trial.compression.power,
        saturated_suction_temperature=fluid.dew_temperature(trial.suction.pressure),
        saturated_condensing_temperature=fluid.dew_temperature(trial.discharge.pressure),
        indoor_coil=at_work(coil.place, "evaporator", trial.boiling, trials.boiling_air),
    )


def _settled(trials: Trials) -> Trial | None:
    """The balance, gone to by steps from a warm outdoor coil where it does not close at once."""
    target = trials.condensing_air.temperature
    search = Search(trials)
    for start in _STARTS:
        found = search.run(search.start(*start))
        if found is not None:
            return found
    on_the_way = Search(trials.against(Body(_WARM)))
    trial = on_the_way.run(on_the_way.start(8.0, 8.0, 5.0))
    reached, step = 0.0, 0.25
    while trial is not None and reached < 1.0:
        share = min(1.0, reached + step)
        following = search if share == 1.0 else Search(trials.against(Body(_WARM + share * (target - _WARM))))
        found = following.run(following.near(trial))
        if found is not None:
            reached, trial, step = share, found, min(2.0 * step, 0.5)
        elif step > _SHORTEST:
            step *= 0.5
        else:
            return None
    return trial
