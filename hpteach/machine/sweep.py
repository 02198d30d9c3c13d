"""A machine over the outdoor temperature: its capacity as a curve, and where that meets what the house needs.

What lives here: `LoadLine`, `Sweep`, `sweep`.  What does not: one balance (balance), frost and defrost (frost), a season (season).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from hpteach.circuit import ValvePosition
from hpteach.errors import HpteachError, InputError, LimitError, Measure
from hpteach.fluids import MoistAir, moist_air
from hpteach.machine.balance import operate
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation
from hpteach.units import STANDARD_ATMOSPHERE

ZERO_LOAD = 289.15
"""K outdoors at which a house needs neither heating nor cooling: 16 C in Regulation (EU) 206/2012, Annex I (15)."""

DESIGN_TEMPERATURES = {ValvePosition.HEATING: 263.15, ValvePosition.COOLING: 308.15}
"""K outdoors at which the design load is stated: -10 and 35 C, of the average heating season and of the cooling season of Regulation (EU) 206/2012."""

_CLOSE = 5e-3
"""K to which a balance point is searched."""

_MOST_CHORDS = 12


@dataclass(frozen=True)
class LoadLine:
    """What a house needs over the outdoor temperature: `design_load` (W) at `design_temperature` (K), nothing at `zero_load_temperature` (K) and beyond.

    A design temperature below the zero-load temperature is that of heating, one above that of cooling.  Source: part load
    ratio (T - 16)/(T_design - 16) of Regulation (EU) 206/2012, Annex I (15).
    Raises `LimitError` for a design load that is not positive and for equal temperatures.

    >>> LoadLine(8000.0, 263.15).at(276.15), LoadLine(8000.0, 308.15).at(276.15)
    (4000.0, 0.0)
    """

    design_load: float
    design_temperature: float
    zero_load_temperature: float = ZERO_LOAD

    def __post_init__(self) -> None:
        if not 0.0 < self.design_load < math.inf:
            raise LimitError(
                "design load of {given} is not positive: give what the house needs on the design day", given=Measure(self.design_load, "power")
            )
        if self.design_temperature == self.zero_load_temperature:
            raise LimitError(
                "design temperature of {given} is also the zero-load temperature: use a colder one for heating, a warmer one for cooling",
                given=Measure(self.design_temperature, "temperature"),
            )

    def at(self, outdoor_temperature: float) -> float:
        """The load (W) at an outdoor temperature (K)."""
        span = self.design_temperature - self.zero_load_temperature
        return max(self.design_load * (outdoor_temperature - self.zero_load_temperature) / span, 0.0)


@dataclass(frozen=True)
class BalancePoint:
    """Where capacity meets load, coming from mild weather: `found` is "met", or else the machine "covers all", "covers none", or "stops" before.

    `temperature` (K outdoors) is None unless met.
    """

    found: str
    temperature: float | None = None


@dataclass(frozen=True)
class Sweep:
    """A machine at several outdoor temperatures, with all else of the weather unchanged: its operations, coldest first.

    `cold_end` and `warm_end` are the refusals beyond which it does not run, None where it runs at every temperature asked for.
    """

    operations: tuple[Operation, ...]
    cold_end: HpteachError | None
    warm_end: HpteachError | None
    _at: Callable[[float], Operation] = field(repr=False, compare=False)

    @property
    def temperatures(self) -> tuple[float, ...]:
        """Outdoor temperatures (K), coldest first."""
        return tuple(one.outdoor.dry_bulb for one in self.operations)

    @property
    def capacities(self) -> tuple[float, ...]:
        """Capacities (W) at them."""
        return tuple(one.capacity for one in self.operations)

    def at(self, outdoor_temperature: float) -> Operation:
        """The machine at another outdoor temperature (K); raises what `operate` raises."""
        return self._at(outdoor_temperature)

    def balance_point(self, load: LoadLine) -> BalancePoint:
        """Where the capacity falls below the load on the way from mild to hard weather, searched with the machine itself."""
        heating = self.operations[0].valve_position is ValvePosition.HEATING
        on_the_way = list(reversed(self.operations)) if heating else list(self.operations)
        margins = [one.capacity - load.at(one.outdoor.dry_bulb) for one in on_the_way]
        for index, margin in enumerate(margins):
            if margin < 0.0:
                if index == 0:
                    return BalancePoint("covers none")
                ends = [(one.outdoor.dry_bulb, margins[at]) for at, one in ((index - 1, on_the_way[index - 1]), (index, on_the_way[index]))]
                return BalancePoint("met", self._crossing(load, *ends))
        return BalancePoint("stops" if (self.cold_end if heating else self.warm_end) is not None else "covers all")

    def _crossing(self, load: LoadLine, enough: tuple[float, float], short: tuple[float, float]) -> float:
        """By chords, the end that stays halved in weight (rule of false position, Illinois form)."""
        (a, at_a), (b, at_b) = enough, short
        middle = a
        for _ in range(_MOST_CHORDS):
            before, middle = middle, a + (b - a) * at_a / (at_a - at_b)
            if abs(middle - before) < _CLOSE:
                break
            margin = self.at(middle).capacity - load.at(middle)
            if margin < 0.0:
                b, at_b, at_a = middle, margin, at_a if before == a else 0.5 * at_a
            else:
                a, at_a, at_b = middle, margin, at_b if before == b else 0.5 * at_b
        return middle


def sweep(
    machine: Machine,
    valve_position: ValvePosition,
    temperatures: Iterable[float],
    *,
    relative_humidity: float,
    indoor: MoistAir,
    speed_ratio: float = 1.0,
    pressure: float = STANDARD_ATMOSPHERE,
) -> Sweep:
    """The machine at outdoor temperatures (K) of one relative humidity (0 to 1), from the middle one outwards until it does not run.

    Where it stops between two of them, the last temperature at which it was found to run is taken in too.
    Raises what `operate` raises where it does not run at the middle one, and `InputError` for no temperatures.

    >>> from hpteach.machine.machine_files import demo_machine
    >>> found = sweep(demo_machine("R-32"), ValvePosition.HEATING, (258.15, 268.15, 278.15), relative_humidity=0.85,
    ...               indoor=moist_air(293.15, relative_humidity=0.5))
    >>> found.balance_point(LoadLine(8000.0, 263.15)).found
    'met'
    """
    asked = sorted(temperatures)
    if not asked:
        raise InputError("a sweep needs outdoor temperatures: give one or more")

    def at(outdoor_temperature: float) -> Operation:
        outdoor = moist_air(outdoor_temperature, relative_humidity=relative_humidity, pressure=pressure)
        return operate(machine, valve_position, outdoor, indoor, speed_ratio=speed_ratio)

    middle = len(asked) // 2
    begins = at(asked[middle])
    colder, cold_end = _outwards(at, asked[middle], asked[:middle][::-1])
    warmer, warm_end = _outwards(at, asked[middle], asked[middle + 1 :])
    return Sweep((*reversed(colder), begins, *warmer), cold_end, warm_end, at)


def _outwards(at: Callable[[float], Operation], last: float, temperatures: Sequence[float]) -> tuple[list[Operation], HpteachError | None]:
    """The operations one after the other until one is refused, then the last before that which its refusal names."""
    found: list[Operation] = []
    for temperature in temperatures:
        try:
            found.append(at(temperature))
        except HpteachError as refusal:
            for measure in ("last_cold", "last_warm"):
                between = refusal.measures[measure].value if measure in refusal.measures else last
                if min(last, temperature) < between < max(last, temperature):
                    try:
                        found.append(at(between))
                    except HpteachError:
                        pass
                    break
            return found, refusal
        last = temperature
    return found, None
