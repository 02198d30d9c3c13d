"""The reversible circuit: what is joined to what, and which way the refrigerant flows.

What lives here: components with ports, the reversing valve's position, metering
direction, check valves, and the walk that finds the path.
What does not: any thermodynamics, and any drawing.

    outdoors                                              indoors

    compressor --discharge--> reversing valve <--vapour line--> indoor coil
        ^                      |        |                           |
        +------suction---------+    outdoor coil                    |
                                        |                           |
                        outdoor metering device        indoor metering device
                        | outdoor check valve |        | indoor check valve |
                                        |                           |
                                        +-------liquid line---------+

*Places stay, roles move*: the indoor coil and the outdoor coil are places, condenser
and evaporator are roles.  State points are numbered from the compressor's suction in
flow order, with the same numbers in both modes; only the place changes.

    1   compressor suction            2   compressor discharge
    2a  condenser, first liquid (dew) 2b  condenser, last vapour (bubble)
    3   leaving the condenser         4   entering the evaporator
    4a  evaporator, last liquid (dew)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
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
        return _towards(self.meters_towards)


@dataclass(frozen=True)
class CheckValve:
    """A valve that the flow opens in one direction and shuts in the other."""

    name: str
    opens_towards: str

    def passages(self, stuck: str | None = None) -> tuple[Passage, ...]:
        """The ways through the valve, sound or stuck "open" or "shut"."""
        if stuck == "shut":
            return ()
        return _towards("either" if stuck == "open" else self.opens_towards)


@dataclass(frozen=True)
class Circuit:
    """One reversible circuit: its reversing valve, metering devices and check valves.

    Joints say which ports meet; the walk through them is `flow`.
    """

    metering_layout: MeteringLayout
    reversing_valve: ReversingValve
    metering_devices: tuple[MeteringDevice, ...]
    check_valves: tuple[CheckValve, ...]
    joints: tuple[frozenset[Port], ...]

    def stickable(self) -> dict[str, tuple[str, ...]]:
        """The parts that can be stuck, each with the states it can be stuck in."""
        return {
            REVERSING_VALVE: tuple(position.value for position in ValvePosition),
            **{valve.name: ("open", "shut") for valve in self.check_valves},
            **{device.name: ("shut",) for device in self.metering_devices},
        }


@dataclass(frozen=True)
class Metering:
    """Which device meters, which is bypassed by its check valve, and towards which coil."""

    working: str | None
    bypassed: str | None
    flow: str | None


@dataclass(frozen=True)
class Step:
    """One component on the path, with the side by which it is entered and left."""

    component: str
    enters: str
    leaves: str


@dataclass(frozen=True)
class Flow:
    """The path of the refrigerant, with the role that each place has taken.

    `condenser` and `evaporator` are None where there is no such role (spool between,
    or flow blocked); `remarks` says why in sentences.
    """

    valve_position: ValvePosition
    metering_layout: MeteringLayout
    condenser: str | None
    evaporator: str | None
    metering: Metering
    check_valves: Mapping[str, str | None]
    path: tuple[Step, ...]
    remarks: tuple[str, ...] = field(default=())

    def role(self, coil: str) -> str | None:
        """What a coil is at the moment: "condenser", "evaporator" or None.

        >>> flow(reversible_circuit(), ValvePosition.HEATING).role("indoor coil")
        'condenser'
        """
        return {self.condenser: "condenser", self.evaporator: "evaporator"}.get(coil)

    def place(self, label: str) -> str:
        """Where the state point `label` ("1" to "4", "2a", "2b", "4a") is found.

        Raises `CircuitError` where the flow gives the coils no role.

        >>> flow(reversible_circuit(), ValvePosition.HEATING).place("3")
        'indoor coil, liquid side'
        """
        if self.condenser is None or self.evaporator is None:
            raise CircuitError(f"with this flow there is no condenser and no evaporator: {' '.join(self.remarks)}")
        places = {
            "1": "compressor, suction",
            "2": "compressor, discharge",
            "2a": f"{self.condenser}, inside, near the vapour side",
            "2b": f"{self.condenser}, inside, near the liquid side",
            "3": f"{self.condenser}, liquid side",
            "4": f"{self.evaporator}, liquid side",
            "4a": f"{self.evaporator}, inside, near the vapour side",
        }
        if label not in places:
            raise UnknownNameError.among("state point", label, places)
        return places[label]


def reversible_circuit(
    metering: MeteringLayout = MeteringLayout.EACH_COIL,
    *,
    reversing_valve: ReversingValve = ReversingValve(energised_in=ValvePosition.COOLING),
    kind: str = "thermostatic valve",
) -> Circuit:
    """The circuit of an air-source heat pump with the given metering layout.

    With a device at each coil, each check valve opens away from its coil: liquid leaving
    a condensing coil goes round that coil's device and meets the other one.

    >>> [device.name for device in reversible_circuit(MeteringLayout.OUTDOOR).metering_devices]
    ['outdoor metering device']
    """
    each = metering is MeteringLayout.EACH_COIL
    coils = {
        MeteringLayout.EACH_COIL: ("outdoor", "indoor"),
        MeteringLayout.OUTDOOR: ("outdoor",),
        MeteringLayout.INDOOR: ("indoor",),
    }[metering]
    devices = tuple(
        MeteringDevice(f"{where} metering device", kind if each else "electronic valve", f"{where} coil" if each else "either")
        for where in coils
    )
    away = {"outdoor": INDOOR_COIL, "indoor": OUTDOOR_COIL}
    checks = tuple(CheckValve(f"{where} check valve", opens_towards=away[where]) for where in coils) if each else ()
    vapour_side = [
        {Port(COMPRESSOR, "discharge"), Port(REVERSING_VALVE, "discharge")},
        {Port(REVERSING_VALVE, "suction"), Port(COMPRESSOR, "suction")},
        {Port(REVERSING_VALVE, OUTDOOR_COIL), Port(OUTDOOR_COIL, "vapour side")},
        {Port(REVERSING_VALVE, INDOOR_COIL), Port(VAPOUR_LINE, OUTDOOR_COIL)},
        {Port(VAPOUR_LINE, INDOOR_COIL), Port(INDOOR_COIL, "vapour side")},
    ]
    joints = [*vapour_side, *_liquid_side({*(d.name for d in devices), *(c.name for c in checks)})]
    return Circuit(metering, reversing_valve, devices, checks, tuple(frozenset(joint) for joint in joints))


def flow(circuit: Circuit, valve_position: ValvePosition, *, stuck: Mapping[str, str] = MappingProxyType({})) -> Flow:
    """Walk from the compressor's discharge to its suction and say what was met.

    At each joint the walk takes the way that the pressure opens; where a check valve and
    a metering device both let it through, it takes the check valve and the device is
    bypassed.  `stuck` names parts and the state they are stuck in (`Circuit.stickable`).

    Raises `UnknownNameError` for a part or state that the circuit does not have.

    >>> cooling = flow(reversible_circuit(), ValvePosition.COOLING)
    >>> cooling.condenser, cooling.metering.working, cooling.check_valves["outdoor"]
    ('outdoor coil', 'indoor metering device', 'open')
    """
    stuck = dict(stuck)
    for part, state in stuck.items():
        states = circuit.stickable()
        if part not in states:
            raise UnknownNameError.among("part", part, states)
        if state not in states[part]:
            raise UnknownNameError.among(f"state of the {part}", state, states[part])
    position = ValvePosition(stuck.get(REVERSING_VALVE, valve_position))
    steps, arrived = _walk(circuit, _ways(circuit, position, stuck))
    return _describe(circuit, position, tuple(steps), arrived, stuck)


def _ways(circuit: Circuit, position: ValvePosition, stuck: Mapping[str, str]) -> dict[str, tuple[Passage, ...]]:
    """Every component with its passages; the order of the check valves before the devices is the walk's preference."""
    both_sides = (Passage("vapour side", "liquid side"), Passage("liquid side", "vapour side"))
    return {
        COMPRESSOR: (Passage("suction", "discharge"),),
        REVERSING_VALVE: circuit.reversing_valve.passages(position),
        OUTDOOR_COIL: both_sides,
        INDOOR_COIL: both_sides,
        VAPOUR_LINE: _towards("either"),
        LIQUID_LINE: _towards("either"),
        **{valve.name: valve.passages(stuck.get(valve.name)) for valve in circuit.check_valves},
        **{d.name: () if d.name in stuck else d.passages() for d in circuit.metering_devices},
    }


def _walk(circuit: Circuit, ways: Mapping[str, tuple[Passage, ...]]) -> tuple[list[Step], bool]:
    """The steps from the compressor on, and whether the walk came back to its suction."""
    steps = [Step(COMPRESSOR, "suction", "discharge")]
    while True:
        here = Port(steps[-1].component, steps[-1].leaves)
        joint = next(joint for joint in circuit.joints if here in joint)
        if Port(COMPRESSOR, "suction") in joint:
            return steps, True
        onward = [
            Step(component, passage.enters, passage.leaves)
            for component, passages in ways.items()
            for passage in passages
            if Port(component, passage.enters) in joint and component != here.component
        ]
        if not onward:
            return steps, False
        steps.append(onward[0])


def _describe(
    circuit: Circuit, position: ValvePosition, steps: tuple[Step, ...], arrived: bool, stuck: Mapping[str, str]
) -> Flow:
    met = [step.component for step in steps]
    coils = [step for step in steps if step.component in (INDOOR_COIL, OUTDOOR_COIL)]
    devices = [device.name for device in circuit.metering_devices]
    working = [name for name in met if name in devices]
    remarks = [f"The {part} is stuck: {state}." for part, state in stuck.items()]
    towards = _other(coils[0].component) if coils else None
    bypassed = next((name for name in devices if name not in met and arrived and towards), None)
    if position is ValvePosition.BETWEEN:
        remarks.append("The spool stands between its seats: discharge gas goes straight back to the suction, and no coil condenses.")
    elif not arrived:
        remarks.append(f"Flow is blocked after the {met[-1]}: nothing lets the refrigerant through from there.")
    elif not working:
        remarks.append("Nothing meters: both devices are bypassed, so the two coils stand at nearly the same pressure.")
    elif len(working) > 1:
        remarks.append(f"Two devices meter in series: the {working[0]} and the {working[1]}.")
    whole = arrived and len(coils) == 2 and bool(working)
    names = {valve.name: "open" if valve.name in met else "closed" for valve in circuit.check_valves}
    return Flow(
        valve_position=position,
        metering_layout=circuit.metering_layout,
        condenser=coils[0].component if whole else None,
        evaporator=coils[1].component if whole else None,
        metering=Metering(working[-1] if working else None, bypassed, f"towards the {towards}" if towards else None),
        check_valves=MappingProxyType({where: names.get(f"{where} check valve") for where in ("indoor", "outdoor")}),
        path=steps,
        remarks=tuple(remarks),
    )


def _liquid_side(between: set[str]) -> list[set[Port]]:
    """The joints from one coil's liquid side to the other's, through whatever sits there."""
    outdoor = {name for name in between if name.startswith("outdoor")}
    indoor = between - outdoor
    near_outdoor = {Port(OUTDOOR_COIL, "liquid side"), *(Port(n, OUTDOOR_COIL) for n in outdoor or {LIQUID_LINE})}
    near_indoor = {Port(INDOOR_COIL, "liquid side"), *(Port(n, INDOOR_COIL) for n in indoor or {LIQUID_LINE})}
    joints = [near_outdoor, near_indoor]
    if outdoor:
        joints.append({Port(LIQUID_LINE, OUTDOOR_COIL), *(Port(n, INDOOR_COIL) for n in outdoor)})
    if indoor:
        joints.append({Port(LIQUID_LINE, INDOOR_COIL), *(Port(n, OUTDOOR_COIL) for n in indoor)})
    return joints


def _towards(coil: str) -> tuple[Passage, ...]:
    """The passage of a line-like part, whose two sides are named by the coil they face."""
    ways = {INDOOR_COIL: (Passage(OUTDOOR_COIL, INDOOR_COIL),), OUTDOOR_COIL: (Passage(INDOOR_COIL, OUTDOOR_COIL),)}
    return ways.get(coil) or (*ways[INDOOR_COIL], *ways[OUTDOOR_COIL])


def _other(coil: str) -> str:
    return INDOOR_COIL if coil == OUTDOOR_COIL else OUTDOOR_COIL


def _named(kind, what: str, name: str):  # noqa: ANN001, ANN202
    try:
        return kind(name)
    except ValueError:
        raise UnknownNameError.among(what, str(name), [member.value for member in kind]) from None
