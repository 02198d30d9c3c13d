"""One moment of a cycle of frost and defrost: what the coil carries, and what the machine gives just then.

What lives here: `FrostMoment`, `moment_at`, and what the means lose.  What does not: growth and defrost (machine), showing it (frost).
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from hpteach.machine.defrost import Defrost, Stretch
from hpteach.machine.frost import FrostCycle, Growth, thickness

HEATING, DEFROST, AGAIN = "heating", "defrost", "clean again"

RUN = 80.0
"""Per cent of the way along a cycle that the run in heating takes; the defrost has the rest."""

TAIL = 0.25
"""How far beyond the defrost the way goes on, in shares of its duration."""

WITHOUT_DEFROST = 3600.0
"""s of running that are shown where nothing starts a defrost."""


@dataclass(frozen=True)
class FrostMoment:
    """Stage, and time (s) since the stage began; frost (kg), its thickness and the free gap (m), the share of its air that the coil gets.

    `capacity` (W) is negative while the room gives heat; `saturated_suction_temperature` and `supply_temperature` (K, without auxiliary heat).
    """

    stage: str
    time: float
    frost: float
    thickness: float
    gap_left: float
    air_flow_share: float
    capacity: float
    power: float
    saturated_suction_temperature: float
    supply_temperature: float

    @property
    def cop(self) -> float | None:
        """Capacity over power; none in a defrost."""
        return None if self.stage == DEFROST else self.capacity / self.power


@dataclass(frozen=True)
class Lost:
    """Shares of the clean machine's capacity that the mean lacks: by frost while heating, and by the defrost."""

    by_frost: float
    by_defrost: float

    @property
    def all(self) -> float:
        """Both together."""
        return self.by_frost + self.by_defrost


def running_time(cycle: FrostCycle) -> float:
    """The run in heating that is shown (s)."""
    return WITHOUT_DEFROST if cycle.running is None else cycle.running


def moment_at(growth: Growth, cycle: FrostCycle, place: float) -> FrostMoment:
    """The moment at a place along the cycle, in per cent: up to `RUN` the run in heating, then the defrost, and a little of the next run.

    Without a defrost the whole way is heating.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.defrost import TimeTemperature
    >>> growth = Growth(demo_machine("R-32"), moist_air(274.15, relative_humidity=0.85), moist_air(293.15, relative_humidity=0.4))
    >>> cycle = growth.cycle(TimeTemperature())
    >>> [moment_at(growth, cycle, place).stage for place in (0.0, 80.0, 85.0, 100.0)]
    ['heating', 'heating', 'defrost', 'clean again']
    """
    if cycle.defrost is None:
        return _heating(growth, 0.0, place / 100.0 * WITHOUT_DEFROST, HEATING)
    if place <= RUN:
        time = place / RUN * running_time(cycle)
        return _heating(growth, _frost_at(cycle, time), time, HEATING)
    since = (place - RUN) / (100.0 - RUN) * (1.0 + TAIL) * cycle.defrost.duration
    if since >= cycle.defrost.duration:
        return _heating(growth, cycle.defrost.left, since - cycle.defrost.duration, AGAIN)
    return _defrosting(growth, cycle, since)


def lost(growth: Growth, cycle: FrostCycle) -> Lost:
    """What the mean lacks against the clean machine, and by what."""
    if cycle.running is None:
        return Lost(0.0, 0.0)
    heat, _ = growth.energies(cycle.moments[-1].frost, cycle.running)
    whole = cycle.clean.capacity * (cycle.running + cycle.defrost.duration)
    by_frost = (cycle.clean.capacity * cycle.running - heat) / whole
    return Lost(by_frost, 1.0 - cycle.capacity_share - by_frost)


def melting_time(found: Defrost) -> float:
    """How long of a defrost the frost melts (s): the heat of both stretches tells it.

    heat = melting heat x t + warming heat x (duration - t)
    """
    difference = found.melting.heat - found.warming.heat
    return (found.heat - found.duration * found.warming.heat) / difference if difference else found.duration


def supply_in(stretch: Stretch, fan_power: float, auxiliary_heat: float = 0.0) -> float:
    """The air that reaches the room in a stretch of a defrost (K), behind coil, fan and auxiliary heat (W)."""
    coil = stretch.indoor_coil
    return coil.leaving.dry_bulb + (fan_power + auxiliary_heat) / (coil.dry_flow * coil.leaving.specific_heat)


def _frost_at(cycle: FrostCycle, time: float) -> float:
    """Frost (kg) by the moments on both sides of a time (s)."""
    moments = cycle.moments
    after = min(bisect_right([one.time for one in moments], time), len(moments) - 1)
    first, second = moments[after - 1], moments[after]
    return first.frost + (second.frost - first.frost) * min((time - first.time) / (second.time - first.time), 1.0)


def _heating(growth: Growth, frost: float, time: float, stage: str) -> FrostMoment:
    found = growth.moment(frost, time)
    return FrostMoment(
        stage, time, frost, *_layer(growth, frost), found.air_flow_share, found.capacity, found.power, found.saturated_suction_temperature,
        found.supply_temperature,
    )  # fmt: skip


def _defrosting(growth: Growth, cycle: FrostCycle, since: float) -> FrostMoment:
    found = cycle.defrost
    melting = melting_time(found)
    stretch = found.melting if since <= melting else found.warming
    frost = found.left + found.melted * max(1.0 - since / melting, 0.0) if melting > 0.0 else found.left
    return FrostMoment(
        DEFROST, since, frost, *_layer(growth, frost), 0.0, found.fan_power - stretch.heat_from_room, stretch.compressor_power + found.fan_power,
        stretch.saturated_suction_temperature, supply_in(stretch, found.fan_power),
    )  # fmt: skip


def _layer(growth: Growth, frost: float) -> tuple[float, float]:
    surface = growth.machine.frost
    layer = thickness(surface, frost)
    return layer, surface.gap - 2.0 * layer
