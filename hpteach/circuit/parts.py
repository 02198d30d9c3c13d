"""The parts of the circuit, each with its sides and the ways through it.

What lives here: positions, layouts, reversing valve, metering devices, check valves, fittings.
What does not: what is joined to what (assembly) and which way the flow goes (walk).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from hpteach.errors import CircuitError, LimitError, UnknownNameError

INDOOR_COIL = "indoor coil"
OUTDOOR_COIL = "outdoor coil"
COMPRESSOR = "compressor"
REVERSING_VALVE = "reversing valve"
VAPOUR_LINE = "vapour line"
LIQUID_LINE = "liquid line"


class ValvePosition(StrEnum):
    """Where the spool of the reversing valve stands; BETWEEN is stuck in mid-travel."""

    HEATING = "heating"
    COOLING = "cooling"
    BETWEEN = "between"

    @classmethod
    def named(cls, name: str) -> ValvePosition:
        """The position called `name`; raises `UnknownNameError` for any other word.

        >>> ValvePosition.named("heating")
        <ValvePosition.HEATING: 'heating'>
        """
        return _named(cls, "valve position", name)


class MeteringLayout(StrEnum):
    """Where the metering devices sit: one at each coil with a check-valve bypass, or a single one that meters either way, outdoors or indoors."""

    EACH_COIL = "each-coil"
    OUTDOOR = "outdoor"
    INDOOR = "indoor"

    @classmethod
    def named(cls, name: str) -> MeteringLayout:
        """The layout called `name`; raises `UnknownNameError` for any other word.

        >>> MeteringLayout.named("each-coil")
        <MeteringLayout.EACH_COIL: 'each-coil'>
        """
        return _named(cls, "metering layout", name)


class Port(NamedTuple):
    """A connection of a component, such as the outdoor coil's liquid side."""

    component: str
    side: str


class Passage(NamedTuple):
    """A way through a component, from one of its sides to another."""

    enters: str
    leaves: str


@dataclass(frozen=True)
class ReversingValve:
    """A four-port valve whose spool joins the discharge to one coil and the suction to the other.

    `energised_in` says in which mode its solenoid carries current: both wiring
    conventions are in use, so it is never assumed.  `least_pressure_difference` (Pa) between
    discharge and suction is what the pilot-operated spool needs to travel; its default of
    1 bar is common practice, no source.

    >>> ReversingValve(energised_in=ValvePosition.COOLING).position(energised=False)
    <ValvePosition.HEATING: 'heating'>
    """

    energised_in: ValvePosition
    name: str = REVERSING_VALVE
    least_pressure_difference: float = 100e3

    def __post_init__(self) -> None:
        object.__setattr__(self, "energised_in", ValvePosition.named(self.energised_in))
        if self.energised_in is ValvePosition.BETWEEN:
            raise CircuitError("a reversing valve is energised in heating or in cooling, never between: name one of the two")
        _pressure_difference("least pressure difference", self.least_pressure_difference)

    def position(self, energised: bool) -> ValvePosition:
        """Where the spool stands with the solenoid energised, or not."""
        if energised:
            return self.energised_in
        other = {ValvePosition.COOLING: ValvePosition.HEATING, ValvePosition.HEATING: ValvePosition.COOLING}
        return other[self.energised_in]

    def shift(self, standing: ValvePosition, *, energised: bool, pressure_difference: float) -> ValvePosition:
        """Where the spool stands once the solenoid is energised, or not, at a `pressure_difference` (Pa) of discharge and suction.

        Raises `CircuitError` where the difference is too small to push the spool, and
        `LimitError` for a difference that is negative or no number.

        >>> valve = ReversingValve(energised_in=ValvePosition.COOLING)
        >>> valve.shift(ValvePosition.HEATING, energised=True, pressure_difference=8e5)
        <ValvePosition.COOLING: 'cooling'>
        """
        _pressure_difference("pressure difference", pressure_difference)
        standing, wanted = ValvePosition.named(standing), self.position(energised)
        if standing is not wanted and pressure_difference < self.least_pressure_difference:
            is_there, takes = _told_apart(pressure_difference, self.least_pressure_difference)
            between = standing is ValvePosition.BETWEEN
            todo = (
                "running the compressor does not build that difference, because between the seats the discharge goes straight to the suction; "
                "stop the compressor and have licensed people find out why the spool stands there"
                if between
                else "let the compressor run until the pressures are further apart, then shift"
            )
            raise CircuitError(
                f"a pressure difference of {is_there} between discharge and suction does not shift the {self.name} from "
                f"{'between its seats' if between else standing.value} to {wanted.value}, which takes {takes}: the spool is pilot-operated, "
                f"and what pushes it is the difference of discharge and suction; {todo}"
            )
        return wanted

    def passages(self, position: ValvePosition) -> tuple[Passage, ...]:
        """The ways through the valve; between, the discharge is joined to the suction."""
        return {
            ValvePosition.COOLING: (Passage("discharge", OUTDOOR_COIL), Passage(INDOOR_COIL, "suction")),
            ValvePosition.HEATING: (Passage("discharge", INDOOR_COIL), Passage(OUTDOOR_COIL, "suction")),
            ValvePosition.BETWEEN: (Passage("discharge", "suction"),),
        }[position]


@dataclass(frozen=True)
class MeteringDevice:
    """A restriction that drops the pressure of the liquid on its way to the evaporator.

    `meters_towards` is "indoor coil", "outdoor coil" or "either": the direction of flow
    in which it meters.  Against it a thermostatic valve lets nothing through (its check
    valve does), an electronic valve and a fixed orifice meter all the same, and a device
    that is `free_the_other_way` lifts off its seat and passes freely (common practice, no
    source).
    """

    name: str
    kind: str
    meters_towards: str
    free_the_other_way: bool = False

    KINDS = ("thermostatic valve", "electronic valve", "fixed orifice")
    METER_BACKWARDS = ("electronic valve", "fixed orifice")

    def __post_init__(self) -> None:
        if self.kind not in self.KINDS:
            raise UnknownNameError.among("kind of metering device", self.kind, self.KINDS)
        if self.meters_towards not in (INDOOR_COIL, OUTDOOR_COIL, "either"):
            raise UnknownNameError.among("metering direction", self.meters_towards, (INDOOR_COIL, OUTDOOR_COIL, "either"))
        if self.free_the_other_way and self.meters_towards == "either":
            raise CircuitError(f"the {self.name} meters either way, so it has no free way: name the coil towards which it meters")

    def states(self) -> tuple[str, ...]:
        """The states in which it can be stuck: one that lifts off its seat can stay seated or lifted."""
        return ("seated", "lifted", "shut") if self.free_the_other_way else ("open", "shut")

    def passages(self, stuck: str | None = None) -> tuple[Passage, ...]:
        """The ways through the device, metering or not."""
        _known_state("metering device", stuck, self.states())
        if stuck == "shut":
            return ()
        both = self.free_the_other_way or self.kind in self.METER_BACKWARDS
        return towards("either" if both else self.meters_towards)

    def meters(self, passage: Passage, stuck: str | None = None) -> bool:
        """Whether the pressure falls at the device on this way through it.

        >>> orifice = MeteringDevice("orifice", "fixed orifice", INDOOR_COIL, free_the_other_way=True)
        >>> [orifice.meters(passage) for passage in orifice.passages()]
        [True, False]
        """
        _known_state("metering device", stuck, self.states())
        if stuck in ("open", "lifted", "shut"):
            return False
        return stuck == "seated" or not self.free_the_other_way or passage in towards(self.meters_towards)


@dataclass(frozen=True)
class CheckValve:
    """A valve that the flow opens in one direction and shuts in the other; leaking, it does not hold the other quite.

    Raises `UnknownNameError` for another direction than towards a coil.

    >>> CheckValve("indoor check valve", INDOOR_COIL).passages()
    (Passage(enters='outdoor coil', leaves='indoor coil'),)
    """

    name: str
    opens_towards: str

    STATES = ("open", "shut", "leaking")

    def __post_init__(self) -> None:
        if self.opens_towards not in (INDOOR_COIL, OUTDOOR_COIL):
            raise UnknownNameError.among("direction of a check valve", self.opens_towards, (INDOOR_COIL, OUTDOOR_COIL))

    def passages(self, stuck: str | None = None) -> tuple[Passage, ...]:
        """The ways through the valve, sound or stuck; what leaks is no way of its own."""
        _known_state("check valve", stuck, self.STATES)
        if stuck == "shut":
            return ()
        return towards("either" if stuck == "open" else self.opens_towards)


@dataclass(frozen=True)
class Fitting:
    """A part of the pipework beside valves and devices: the ways through it, and the states in which it can be stuck.

    >>> Fitting("liquid service valve", towards("either"), ("shut",)).passages("shut")
    ()
    """

    name: str
    ways: tuple[Passage, ...]
    states: tuple[str, ...] = ()

    def passages(self, stuck: str | None = None) -> tuple[Passage, ...]:
        """The ways through the fitting, none when it is shut."""
        _known_state(self.name, stuck, self.states)
        return () if stuck == "shut" else self.ways


def towards(coil: str) -> tuple[Passage, ...]:
    """The ways through a line-like part, whose two sides are named by the coil they face.

    >>> towards(INDOOR_COIL)
    (Passage(enters='outdoor coil', leaves='indoor coil'),)
    """
    ways = {INDOOR_COIL: (Passage(OUTDOOR_COIL, INDOOR_COIL),), OUTDOOR_COIL: (Passage(INDOOR_COIL, OUTDOOR_COIL),)}
    return ways.get(coil) or (*ways[INDOOR_COIL], *ways[OUTDOOR_COIL])


def _known_state(what: str, stuck: str | None, states: tuple[str, ...]) -> None:
    if stuck is not None and stuck not in states:
        raise UnknownNameError.among(f"state of a {what}", stuck, states)


def _pressure_difference(quantity: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0.0):
        raise LimitError(f"{quantity} of {_bar(value)} is none between discharge and suction: use 0 bar or more")


def _bar(value: float, digits: int = 4) -> str:
    # Not a Measure: a difference of pressures is neither gauge nor absolute, and the edge would show it as one of them.
    return f"{value / 1e5:.{digits}g} bar"


def _told_apart(one: float, other: float) -> tuple[str, str]:
    """Two differences with as many digits as it takes to tell them apart."""
    digits = next((digits for digits in range(4, 18) if _bar(one, digits) != _bar(other, digits)), 17)
    return _bar(one, digits), _bar(other, digits)


def _named(kind, what: str, name: str):  # noqa: ANN001, ANN202
    try:
        return kind(name)
    except ValueError:
        raise UnknownNameError.among(what, str(name), [member.value for member in kind]) from None
