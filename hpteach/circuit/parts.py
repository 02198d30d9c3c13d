"""The parts of the circuit, each with its sides and the ways through it.

What lives here: positions, layouts, reversing valve, metering devices, check valves.
What does not: what is joined to what (assembly) and which way the flow goes (walk).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from hpteach.errors import CircuitError, UnknownNameError

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
    """Where the metering devices sit: one at each coil with a check-valve bypass, or a
    single one that meters either way, outdoors or indoors."""

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
    conventions are in use, so it is never assumed.

    >>> ReversingValve(energised_in=ValvePosition.COOLING).position(energised=False)
    <ValvePosition.HEATING: 'heating'>
    """

    energised_in: ValvePosition
    name: str = REVERSING_VALVE

    def __post_init__(self) -> None:
        object.__setattr__(self, "energised_in", ValvePosition.named(self.energised_in))
        if self.energised_in is ValvePosition.BETWEEN:
            raise CircuitError("a reversing valve is energised in heating or in cooling, never between: name one of the two")

    def position(self, energised: bool) -> ValvePosition:
        """Where the spool stands with the solenoid energised, or not."""
        if energised:
            return self.energised_in
        other = {ValvePosition.COOLING: ValvePosition.HEATING, ValvePosition.HEATING: ValvePosition.COOLING}
        return other[self.energised_in]

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
    in which it meters.  Against it the device lets nothing through; its check valve does.
    """

    name: str
    kind: str
    meters_towards: str

    KINDS = ("thermostatic valve", "electronic valve", "fixed orifice")

    def __post_init__(self) -> None:
        if self.kind not in self.KINDS:
            raise UnknownNameError.among("kind of metering device", self.kind, self.KINDS)
        if self.meters_towards not in (INDOOR_COIL, OUTDOOR_COIL, "either"):
            raise UnknownNameError.among("metering direction", self.meters_towards, (INDOOR_COIL, OUTDOOR_COIL, "either"))

    def passages(self) -> tuple[Passage, ...]:
        """The ways through the device in which it meters."""
        return towards(self.meters_towards)


@dataclass(frozen=True)
class CheckValve:
    """A valve that the flow opens in one direction and shuts in the other."""

    name: str
    opens_towards: str

    def __post_init__(self) -> None:
        if self.opens_towards not in (INDOOR_COIL, OUTDOOR_COIL):
            raise UnknownNameError.among("direction of a check valve", self.opens_towards, (INDOOR_COIL, OUTDOOR_COIL))

    def passages(self, stuck: str | None = None) -> tuple[Passage, ...]:
        """The ways through the valve, sound or stuck "open" or "shut"."""
        if stuck not in (None, "open", "shut"):
            raise UnknownNameError.among("state of a check valve", stuck, ("open", "shut"))
        if stuck == "shut":
            return ()
        return towards("either" if stuck == "open" else self.opens_towards)


def towards(coil: str) -> tuple[Passage, ...]:
    """The ways through a line-like part, whose two sides are named by the coil they face.

    >>> towards(INDOOR_COIL)
    (Passage(enters='outdoor coil', leaves='indoor coil'),)
    """
    ways = {INDOOR_COIL: (Passage(OUTDOOR_COIL, INDOOR_COIL),), OUTDOOR_COIL: (Passage(INDOOR_COIL, OUTDOOR_COIL),)}
    return ways.get(coil) or (*ways[INDOOR_COIL], *ways[OUTDOOR_COIL])


def _named(kind, what: str, name: str):  # noqa: ANN001, ANN202
    try:
        return kind(name)
    except ValueError:
        raise UnknownNameError.among(what, str(name), [member.value for member in kind]) from None
