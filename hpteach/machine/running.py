"""How a machine heats through a season: its capacity and power at any outdoor temperature, frost and defrost counted in.

What lives here: the machine in weather as the functions that `season` asks.  What does not: the balance (balance), frost and
defrost (frost), hours and load (climate, season).

A compressor of variable speed gives the most at the highest speed that keeps it within its limits, and follows a smaller load by
turning slower (common practice, no source).  A fixed speed runs beyond a limit all the same, and the note says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cache

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine.balance import operate
from hpteach.machine.defrost import TimeTemperature
from hpteach.machine.frost import Growth
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation
from hpteach.machine.season import BEYOND, Following, Performance, Running
from hpteach.units import STANDARD_ATMOSPHERE

FROST_COUNTED = "with frost and defrost by the clock"
"""How the figures count frost; said wherever they are shown."""

PROTECTED = ("discharge_temperature", "pressure_ratio", "saturated_suction_temperature", "saturated_condensing_temperature")
"""The limits before which a compressor of variable speed slows down, by the ids of `limits.limits_of`."""

Moisture = Callable[[float], Mapping[str, float]]
"""How moist the air is at an outdoor temperature (K), in the words of `fluids.moist_air`, as `Climate.moisture` says it."""

_ROOM_HUMIDITY = 0.4
"""Of the room's air: a condensing coil does not feel it, and a defrost hardly does (computed)."""

_REASONS = (
    ("outside the compressor map", "the map of the compressor ends"),
    ("defrost with the room", "defrost finds no balance"),
    ("frost stops", "frost stops it as soon as it grows"),
    ("critical", "condensing near critical"),
    ("discharge of the compressor", "discharge beyond the equation of state"),
    ("nothing to take in", "the compressor takes in nothing at such a pressure ratio"),
    ("cannot be saturated", "evaporating below the equation of state"),
    ("moist air is computed", "air beyond what is computed"),
    ("saturated air", "air beyond what is computed"),
    ("does not suit the machine", "the metering device or the charge does not suit"),
)
"""Words of a refusal, and what they say of a machine that does not run, in the order in which they are looked for."""

_SPEEDS = 6
_SPEED_WITHIN = 1e-4
_LOAD_WITHIN = 4e-4
_ROUNDS = 20
_LESS_THAN_SPEED = 0.85
"""First guess of how capacity grows: with the speed to this power (computed with the demo machine)."""
_MAY_BE = 1.5
"""By how much that guess may be too low where the lowest speed is tried at all."""


def refused_in_ordinary_weather(machine: Machine, indoor_temperature: float, pressure: float = STANDARD_ATMOSPHERE) -> LimitError | None:
    """Why a machine does not heat a room (K) even at 7/6 C outdoors, in air at `pressure` (Pa); None where it does.

    Source: the rating point of EN 14511 for air to air (from memory, not seen here).

    >>> from hpteach.machine import demo_machine
    >>> refused_in_ordinary_weather(demo_machine("R-32"), 293.15) is None
    True
    """
    outdoor, indoor = moist_air(280.15, wet_bulb=279.15, pressure=pressure), moist_air(indoor_temperature, relative_humidity=_ROOM_HUMIDITY, pressure=pressure)
    try:
        operate(machine, ValvePosition.HEATING, outdoor, indoor)
    except LimitError as error:
        return error
    return None


class MachineInWinter:
    """A machine in heating position in the weather of a season: a room (K), the moisture outdoors, air at `pressure` (Pa).

    What was computed for a temperature is kept.  Raises `LimitError` for air that cannot be; weather in which the
    machine finds no balance is no error: it does not run there.

    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.climate import climate
    >>> winter = MachineInWinter(demo_machine("R-32 variable speed"), 293.15, climate("average").moisture)
    >>> round(winter.following(285.15, 7000.0).capacity, -2)
    7000.0
    """

    def __init__(self, machine: Machine, indoor_temperature: float, moisture: Moisture, *, pressure: float = STANDARD_ATMOSPHERE) -> None:
        self.machine, self.moisture, self.pressure = machine, moisture, pressure
        self.indoor = moist_air(indoor_temperature, relative_humidity=_ROOM_HUMIDITY, pressure=pressure)
        self._least, self._most = machine.compressor.least_speed_ratio, machine.compressor.most_speed_ratio
        self.performance: Performance = cache(self._performance)
        """The most that it gives at an outdoor temperature (K), or None where it does not run."""
        self.following: Following | None = self._following if self._least < self._most else None
        """At an outdoor temperature (K) the lowest speed that covers a load (W), or its lowest speed at all; None for a fixed speed."""
        self._borders: dict[float, float] = {}
        self._refused: dict[float, LimitError] = {}

    def running(self, outdoor_temperature: float, speed_ratio: float) -> Running | None:
        """At one speed, the means over running and defrost; None where the machine finds no balance.  Every figure of a season comes from here."""
        air = self._outdoor(outdoor_temperature)  # air that cannot be is refused, not taken for weather in which the machine stops
        try:
            growth = Growth(self.machine, air, self.indoor, speed_ratio)
            means = growth.cycle(TimeTemperature())
        except LimitError as error:
            self._refused[outdoor_temperature] = error
            return None
        told = [f"speed {speed_ratio:.2f}"] if self.following else []
        told += [f"{BEYOND}{id.replace('_', ' ')}" for id in _broken(growth.clean)]
        told += ["frost"] if growth.grows else ["defrost by the clock"] if means.defrost else []
        return Running(means.capacity, means.power, "; ".join(told))

    def refused(self, outdoor_temperature: float) -> LimitError | None:
        """Why the machine does not run at an outdoor temperature (K), as the balance said it; None where it was not refused."""
        self.performance(outdoor_temperature)
        return self._refused.get(outdoor_temperature)

    def reason(self, outdoor_temperature: float) -> str:
        """Why the machine does not run at an outdoor temperature (K), in a few words; "" where it was not refused.

        >>> from hpteach.machine import demo_machine
        >>> MachineInWinter(demo_machine("R-32"), 293.15, lambda outdoor: {"relative_humidity": 0.8}).reason(218.15)
        'discharge beyond the equation of state'
        """
        error = self.refused(outdoor_temperature)
        if error is None:
            return ""
        return next((reason for words, reason in _REASONS if words in error.template), "no pressures at which flow, heat and charge agree")

    def _outdoor(self, temperature: float) -> MoistAir:
        return moist_air(temperature, **self.moisture(temperature), pressure=self.pressure)

    def _clean(self, air: MoistAir, speed_ratio: float) -> Operation | None:
        try:
            return operate(self.machine, ValvePosition.HEATING, air, self.indoor, speed_ratio=speed_ratio)
        except LimitError:
            return None

    def _performance(self, temperature: float) -> Running | None:
        return self.running(temperature, self._fastest(temperature))

    def _fastest(self, temperature: float) -> float:
        """The highest speed within the compressor's limits; where there is none, the lowest at which the machine runs at all."""
        if not self.following:
            return self._most
        if temperature in self._borders:
            return self._borders[temperature]
        air = self._outdoor(temperature)

        def allowed(speed_ratio: float) -> bool:
            found = self._clean(air, speed_ratio)
            return found is not None and not _broken(found)

        def border(low: float, high: float) -> float:
            while high - low > _SPEED_WITHIN:
                middle = 0.5 * (low + high)
                low, high = (middle, high) if allowed(middle) else (low, middle)
            self._borders[temperature] = low
            return low

        near = self._near(temperature)
        if near and allowed(near[0]) and not allowed(near[1]):
            return border(*near)
        if allowed(self._most):
            return self._most
        beyond = self._most
        for speed_ratio in (1.0 - (1.0 - self._least) * step / _SPEEDS for step in range(_SPEEDS + 1)):
            if allowed(speed_ratio):
                return border(speed_ratio, beyond)
            beyond = speed_ratio
        return next((speed for speed in self._upwards() if self._clean(air, speed)), self._most)

    def _near(self, temperature: float) -> tuple[float, float] | None:
        """The fastest speeds at the next colder and the next warmer temperature that were limited: the one asked for lies between."""
        colder = max((one for one in self._borders if one < temperature), default=None)
        warmer = min((one for one in self._borders if one > temperature), default=None)
        if colder is None or warmer is None:
            return None
        return self._borders[colder], self._borders[warmer] + 2.0 * _SPEED_WITHIN

    def _upwards(self) -> tuple[float, ...]:
        return tuple(self._least + (self._most - self._least) * step / _SPEEDS for step in range(_SPEEDS + 1))

    def _following(self, temperature: float, load: float) -> Running | None:
        """By chords of the logarithms of capacity and speed, kept between a speed that is too low and one that covers.

        In cold air a machine may find no balance at its lowest speeds; then it cycles at the lowest that it has.
        """
        low, high, covers = self._least, self._fastest(temperature), self.performance(temperature)
        if covers is None or covers.capacity <= load:
            return covers
        if covers.capacity * (low / high) ** _LESS_THAN_SPEED > load / _MAY_BE:  # otherwise its lowest speed is far too low
            least = self.running(temperature, low)
            if least is not None and least.capacity >= load:
                return least
        known = (math.log(high), math.log(covers.capacity))
        slope = _LESS_THAN_SPEED
        for _ in range(_ROUNDS):
            guess = math.exp(known[0] + (math.log(load) - known[1]) / slope)
            speed_ratio = guess if low < guess < high else 0.5 * (low + high)
            running = self.running(temperature, speed_ratio)
            if running is not None:
                found = (math.log(speed_ratio), math.log(running.capacity))
                chord = (found[1] - known[1]) / (found[0] - known[0])
                known, slope = found, chord if 0.5 < chord < 1.5 else _LESS_THAN_SPEED
            if running is None or running.capacity < load * (1.0 - _LOAD_WITHIN):
                low = speed_ratio
            else:
                covers, high = running, speed_ratio
                if running.capacity < load * (1.0 + _LOAD_WITHIN):
                    break
            if high - low < 10.0 * _SPEED_WITHIN:
                break
        return covers


def _broken(found: Operation) -> list[str]:
    return [limit.id for limit in found.limits if limit.id in PROTECTED]
