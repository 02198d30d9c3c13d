"""How a machine heats through a season: its capacity and power at any outdoor temperature, defrosting counted in.

What lives here: the machine in weather as the functions that `season` asks.  What does not: the balance (balance), frost and
defrost (frost), hours and load (climate, season).

A compressor of variable speed gives the most at the highest speed that keeps it within its limits, and follows a smaller load by
turning slower (common practice, no source).  A fixed speed runs beyond a limit all the same, and the note says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine.balance import operate
from hpteach.machine.frost import integrated
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation
from hpteach.machine.season import Following, Performance, Running
from hpteach.units import STANDARD_ATMOSPHERE

DEFROSTING = "frost and defrost by the clock counted in"
"""How the figures count frost, said wherever they are shown."""

PROTECTED = ("discharge_temperature", "pressure_ratio", "saturated_suction_temperature", "saturated_condensing_temperature")
"""The limits before which a compressor of variable speed slows down, by the ids of `limits.limits_of`."""

Moisture = Callable[[float], Mapping[str, float]]
"""How moist the air is at an outdoor temperature (K), in the words of `fluids.moist_air`, as `Climate.moisture` says it."""

_ROOM_HUMIDITY = 0.4
"""Of the room's air: a condensing coil does not feel it, a defrosting one hardly does (computed)."""

_SPEED_WITHIN = 1e-4
_SPEEDS = 8
_LOAD_WITHIN = 3e-4
_ROUNDS = 30


def performance_of(machine: Machine, indoor_temperature: float, moisture: Moisture, *, pressure: float = STANDARD_ATMOSPHERE) -> Performance:
    """The most that a machine gives at an outdoor temperature (K) to a room (K), in air at `pressure` (Pa); None where it does not run.

    Each temperature is computed once.  The function that is returned raises `LimitError` for air that cannot be.

    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.climate import climate
    >>> warm = performance_of(demo_machine("R-32"), 293.15, climate("average").moisture)(285.15)
    >>> 10000.0 < warm.capacity < 13000.0, warm.note
    (True, '')
    """
    return _Winter(machine, indoor_temperature, moisture, pressure).most


def following_of(machine: Machine, indoor_temperature: float, moisture: Moisture, *, pressure: float = STANDARD_ATMOSPHERE) -> Following | None:
    """How a machine of variable speed follows a load: the lowest speed at which its capacity covers it.  None for one of fixed speed.

    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.climate import climate
    >>> follow = following_of(demo_machine("R-32 variable speed"), 293.15, climate("average").moisture)
    >>> round(follow(285.15, 7000.0).capacity, -2)
    7000.0
    >>> following_of(demo_machine("R-32"), 293.15, climate("average").moisture) is None
    True
    """
    winter = _Winter(machine, indoor_temperature, moisture, pressure)
    return winter.following if winter.varies else None


class _Winter:
    """A machine in heating position in the weather of a season, with what was computed."""

    def __init__(self, machine: Machine, indoor_temperature: float, moisture: Moisture, pressure: float) -> None:
        self.machine, self.moisture, self.pressure = machine, moisture, pressure
        self.indoor = moist_air(indoor_temperature, relative_humidity=_ROOM_HUMIDITY, pressure=pressure)
        self.most = cache(self._most)
        self.fastest = cache(self._fastest)

    @property
    def varies(self) -> bool:
        return self.machine.compressor.most_speed_ratio > self.machine.compressor.least_speed_ratio

    def outdoor(self, temperature: float) -> MoistAir:
        return moist_air(temperature, **self.moisture(temperature), pressure=self.pressure)

    def running(self, air: MoistAir, speed_ratio: float) -> Running | None:
        """At one speed, over running and defrost; None where the machine finds no balance.  Every figure of a season comes from here."""
        try:
            found = integrated(self.machine, air, self.indoor, speed_ratio=speed_ratio)
        except LimitError:
            return None
        told = [f"beyond limit: {id.replace('_', ' ')}" for id in _broken(found.clean)]
        told += ["frost"] if found.clean.frosting else ["defrost by the clock"] if found.defrost else []
        return Running(found.capacity, found.power, "; ".join(told))

    def clean(self, air: MoistAir, speed_ratio: float) -> Operation | None:
        try:
            return operate(self.machine, ValvePosition.HEATING, air, self.indoor, speed_ratio=speed_ratio)
        except LimitError:
            return None

    def _fastest(self, temperature: float) -> float:
        """The highest speed within the compressor's limits; where there is none, the lowest at which the machine runs at all."""
        air = self.outdoor(temperature)
        least, most = self.machine.compressor.least_speed_ratio, self.machine.compressor.most_speed_ratio
        found = {most: self.clean(air, most)}
        if _within_limits(found[most]) or least == most:
            return most
        speeds = [most - share * (most - least) / _SPEEDS for share in range(_SPEEDS + 1)]
        for above, below in zip(speeds, speeds[1:]):
            found[below] = self.clean(air, below)
            if _within_limits(found[below]):
                return self._border(air, below, above)
        return min((speed_ratio for speed_ratio, one in found.items() if one is not None), default=most)

    def _border(self, air: MoistAir, allowed: float, beyond: float) -> float:
        while beyond - allowed > _SPEED_WITHIN:
            middle = 0.5 * (allowed + beyond)
            allowed, beyond = (middle, beyond) if _within_limits(self.clean(air, middle)) else (allowed, middle)
        return allowed

    def _most(self, temperature: float) -> Running | None:
        speed_ratio = self.fastest(temperature)
        return self._told(self.running(self.outdoor(temperature), speed_ratio), speed_ratio)

    def following(self, temperature: float, load: float) -> Running | None:
        """The lowest speed that covers a load (W), by false position (Illinois) between the lowest and the highest.

        At its very lowest speed a machine may find no balance in cold air; then it gives nothing there.
        """
        air, low, high = self.outdoor(temperature), self.machine.compressor.least_speed_ratio, self.fastest(temperature)
        least, most = self.running(air, low), self.most(temperature)
        if most is None or (least is not None and least.capacity >= load):
            return self._told(least, low)
        at_low, at_high, side, covers = _short(least, load), _short(most, load), 0, most
        for _ in range(_ROUNDS):
            speed_ratio = 0.5 * (low + high) if at_low == load else high + at_high * (high - low) / (at_low - at_high)
            running = self.running(air, speed_ratio)
            short = _short(running, load)
            if short > _LOAD_WITHIN * load:
                at_high *= 0.5 if side > 0 else 1.0
                low, at_low, side = speed_ratio, short, 1
                continue
            covers = self._told(running, speed_ratio)
            if short > -_LOAD_WITHIN * load or high - low < _SPEED_WITHIN:
                break
            at_low *= 0.5 if side < 0 and at_low != load else 1.0
            high, at_high, side = speed_ratio, short, -1
        return covers

    def _told(self, running: Running | None, speed_ratio: float) -> Running | None:
        if running is None:
            return None
        speed = f"speed {speed_ratio:.2f}" if self.varies else ""
        return Running(running.capacity, running.power, "; ".join(filter(None, (speed, running.note))))


def _short(running: Running | None, load: float) -> float:
    """What is missing of a load (W); below 0 where there is more."""
    return load if running is None else load - running.capacity


def _within_limits(found: Operation | None) -> bool:
    return found is not None and not _broken(found)


def _broken(found: Operation) -> list[str]:
    return [limit.id for limit in found.limits if limit.id in PROTECTED]
