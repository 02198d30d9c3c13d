"""Which way the refrigerant flows: the walk from the compressor's discharge to its suction.

What lives here: `flow` and what it found.  What does not: parts and joints.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

from hpteach.circuit.assembly import Circuit
from hpteach.circuit.parts import (
    COMPRESSOR,
    INDOOR_COIL,
    LIQUID_LINE,
    OUTDOOR_COIL,
    REVERSING_VALVE,
    VAPOUR_LINE,
    MeteringDevice,
    MeteringLayout,
    Passage,
    Port,
    ValvePosition,
    towards,
)
from hpteach.errors import CircuitError, UnknownNameError

LEAKING_SPOOL = (
    "Hot discharge gas passes the spool into the suction: the coils keep their roles, but the suction line leaves the valve "
    "warmer than the line that enters it from the evaporator, and the capacity falls."
)
"""What follows from a spool that leaks (common practice, no source)."""

BI_FLOW = "has to be a bi-flow thermostatic valve: an ordinary one meters in one direction only."
"""What a single thermostatic valve has to be, since it meters either way (common practice, no source)."""


@dataclass(frozen=True)
class Metering:
    """Which device meters, which is bypassed (by its check valve, or lifted off its seat), and towards which coil."""

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
    flow blocked, nothing meters); `remarks` says why in sentences.  `series` are the
    devices that meter one after the other, where there are two; `leaks` the parts that
    leak, in this position or only after the changeover; `passed_freely` the devices passed
    without metering.  Where the flow is blocked nothing meters, is bypassed or passed freely.
    `check_valves` says open or closed as the flow leaves them, or as they are stuck;
    `stuck` each part with a fault and the state it is stuck in.
    """

    valve_position: ValvePosition
    metering_layout: MeteringLayout
    condenser: str | None
    evaporator: str | None
    metering: Metering
    check_valves: Mapping[str, str | None]
    path: tuple[Step, ...]
    remarks: tuple[str, ...] = field(default=())
    series: tuple[str, ...] = ()
    leaks: tuple[str, ...] = ()
    passed_freely: tuple[str, ...] = ()
    stuck: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}), hash=False)

    def role(self, coil: str) -> str | None:
        """What a coil is at the moment: "condenser", "evaporator" or None.

        >>> from hpteach.circuit import reversible_circuit
        >>> flow(reversible_circuit(), ValvePosition.HEATING).role("indoor coil")
        'condenser'
        """
        return {self.condenser: "condenser", self.evaporator: "evaporator"}.get(coil)

    def place(self, label: str) -> str:
        """Where the state point `label` ("1" to "4", "2a", "2b", "4a") is found.

        Raises `CircuitError` where the flow gives the coils no role, and `UnknownNameError` for another label.

        >>> from hpteach.circuit import reversible_circuit
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


def flow(circuit: Circuit, valve_position: ValvePosition, *, stuck: Mapping[str, str] = MappingProxyType({})) -> Flow:
    """Walk from the compressor's discharge to its suction and say what was met.

    At each joint the walk takes the way that the pressure opens; where a check valve and
    a metering device both let it through, it takes the check valve and the device is
    bypassed.  `stuck` names parts and the state they are stuck in (`Circuit.stickable`).

    Raises `UnknownNameError` for a part or state that the circuit does not have.

    >>> from hpteach.circuit import reversible_circuit
    >>> cooling = flow(reversible_circuit(), ValvePosition.COOLING)
    >>> cooling.condenser, cooling.metering.working, cooling.check_valves["outdoor"]
    ('outdoor coil', 'indoor metering device', 'open')
    """
    valve_position, stuck = ValvePosition.named(valve_position), dict(stuck)
    if not stuck:
        return _sound_flow(circuit, valve_position)
    for part, state in stuck.items():
        states = circuit.stickable()
        if part not in states:
            raise UnknownNameError.among("part", part, states)
        if state not in states[part]:
            raise UnknownNameError.among(f"state of the {part}", state, states[part])
    spool = stuck.get(REVERSING_VALVE, "leaking")
    position = valve_position if spool == "leaking" else ValvePosition(spool)
    steps, arrived = _walk(circuit, _ways(circuit, position, stuck))
    return _describe(circuit, position, tuple(steps), arrived, stuck)


@lru_cache(maxsize=64)
def _sound_flow(circuit: Circuit, position: ValvePosition) -> Flow:
    steps, arrived = _walk(circuit, _ways(circuit, position, {}))
    return _describe(circuit, position, tuple(steps), arrived, {})


def _ways(circuit: Circuit, position: ValvePosition, stuck: Mapping[str, str]) -> dict[str, tuple[Passage, ...]]:
    """Every component with its passages; the order of the check valves before the devices is the walk's preference."""
    both_sides = (Passage("vapour side", "liquid side"), Passage("liquid side", "vapour side"))
    return {
        COMPRESSOR: (Passage("suction", "discharge"),),
        REVERSING_VALVE: circuit.reversing_valve.passages(position),
        OUTDOOR_COIL: both_sides,
        INDOOR_COIL: both_sides,
        VAPOUR_LINE: towards("either"),
        LIQUID_LINE: towards("either"),
        **{part.name: part.passages(stuck.get(part.name)) for part in (*circuit.fittings, *circuit.check_valves, *circuit.metering_devices)},
    }


def _walk(circuit: Circuit, ways: Mapping[str, tuple[Passage, ...]]) -> tuple[list[Step], bool]:
    """The steps from the compressor on, and whether the walk came back to its suction."""
    joint_of = {port: joint for joint in circuit.joints for port in joint}
    steps, passed = [Step(COMPRESSOR, "suction", "discharge")], set()
    while True:
        joint = joint_of[Port(steps[-1].component, steps[-1].leaves)]
        if Port(COMPRESSOR, "suction") in joint:
            return steps, True
        passed.add(joint)
        # Never back to a joint already passed: there the pressure is higher.
        onward = [
            Step(component, passage.enters, passage.leaves)
            for component, passages in ways.items()
            for passage in passages
            if Port(component, passage.enters) in joint and joint_of[Port(component, passage.leaves)] not in passed
        ]
        if not onward:
            return steps, False
        steps.append(onward[0])


def _describe(circuit: Circuit, position: ValvePosition, steps: tuple[Step, ...], arrived: bool, stuck: Mapping[str, str]) -> Flow:
    met = {step.component: Passage(step.enters, step.leaves) for step in steps}
    coils = [step.component for step in steps if step.component in (INDOOR_COIL, OUTDOOR_COIL)]
    devices = {device.name: device for device in circuit.metering_devices}
    passed = tuple(name for name in met if name in devices) if arrived else ()
    working = tuple(name for name in passed if devices[name].meters(met[name], stuck.get(name)))
    freely = tuple(name for name in passed if name not in working)
    gone_round = [name for name in devices if name not in met] if arrived and coils else []
    lifted = [name for name in freely if devices[name].free_the_other_way]
    stays = {"open": "open", "shut": "closed"}
    checks = {valve.name: stays.get(stuck.get(valve.name)) or ("open" if valve.name in met else "closed") for valve in circuit.check_valves}
    leaking = [valve.name for valve in circuit.check_valves if stuck.get(valve.name) == "leaking"]
    loose = [name for name in leaking if checks[name] == "closed"]
    evaporating = _other(coils[0]) if coils else None
    remarks = [f"The {part} is leaking." if state == "leaking" else f"The {part} is stuck: {state}." for part, state in stuck.items()]
    whole = arrived and len(coils) == 2 and bool(working)
    spool_leaks = stuck.get(REVERSING_VALVE) == "leaking"
    if whole and circuit.metering_layout is not MeteringLayout.EACH_COIL and devices[working[0]].kind == "thermostatic valve":
        remarks.append(f"The {working[0]} meters either way, so it {BI_FLOW}")
    if spool_leaks:
        remarks.append(LEAKING_SPOOL if whole else _idle_spool(position, arrived))
    remarks += [f"The leak of the {name} is harmless in this position, where the flow opens it; it shows after the changeover." for name in leaking if name in met]
    if not whole:
        at_the_block = {port.component for joint in circuit.joints if Port(steps[-1].component, steps[-1].leaves) in joint for port in joint}
        remarks += [_idle_check(name, position, arrived, name in at_the_block) for name in loose]
    if position is ValvePosition.BETWEEN:
        remarks.append("The spool stands between its seats: most of the discharge gas goes straight back to the suction, and no coil condenses.")
    elif not arrived:
        remarks.append(f"Flow is blocked after the {steps[-1].component}: nothing passes from there but what leaks.")
    elif not working:
        ways = [f"goes round the {' and the '.join(gone_round)}"] if gone_round else []
        ways += [f"passes the {' and the '.join(freely)} freely"] if freely else []
        remarks.append(f"Nothing meters: the flow {' and '.join(ways)}, so both coils stand at nearly the same pressure.")
    else:
        remarks += _metering_remarks(devices, working, freely, evaporating, loose)
    return Flow(
        valve_position=position,
        metering_layout=circuit.metering_layout,
        condenser=coils[0] if whole else None,
        evaporator=coils[1] if whole else None,
        metering=Metering(
            working=working[-1] if working else None,
            bypassed=" and ".join(gone_round + lifted) or None,
            flow=f"towards the {evaporating}" if working else None,
        ),
        check_valves=MappingProxyType({where: checks.get(f"{where} check valve") for where in ("indoor", "outdoor")}),
        path=steps,
        remarks=tuple(remarks),
        series=working if len(working) > 1 else (),
        leaks=(REVERSING_VALVE, *leaking) if spool_leaks else tuple(leaking),
        passed_freely=freely,
        stuck=MappingProxyType(dict(stuck)),
    )


def _metering_remarks(
    devices: Mapping[str, MeteringDevice], working: Sequence[str], freely: Sequence[str], evaporating: str, loose: Sequence[str]
) -> Iterator[str]:
    """What is not as it should be where something meters: two in series, the wrong one, or only a part of the liquid."""
    if len(working) > 1:
        yield f"Two devices meter in series, the {' and then the '.join(working)}: the pressure falls twice, and too little liquid reaches the {evaporating}."
    for device in devices.values():
        if device.meters_towards in (evaporating, "either") and device.name not in working:
            how = "passed freely" if device.name in freely else "bypassed"
            yield f"The {device.name} should meter and is {how}: the {working[0]} meters in its place, so liquid boils already in the {LIQUID_LINE}."
    for valve in loose:
        if (device := valve.replace("check valve", "metering device")) in working:
            yield f"Part of the liquid slips past the {valve}, round the {device} that should meter all of it."
        else:
            yield f"Part of the liquid slips past the {valve}."


def _idle_spool(position: ValvePosition, arrived: bool) -> str:
    """What a leak of the spool does where no coil has a role."""
    if position is ValvePosition.BETWEEN:
        return "The leak of the spool is harmless in this position, where the gas passes it anyway; it shows after the changeover."
    if arrived:
        return "Hot discharge gas passes the spool into the suction as well."
    return "Hot discharge gas passes the spool into the suction, round the block."


def _idle_check(name: str, position: ValvePosition, arrived: bool, at_the_block: bool) -> str:
    """What the leak of a check valve that should hold does where no coil has a role."""
    if not arrived and at_the_block:
        return f"What slips past the {name} gets round the block."
    if position is ValvePosition.BETWEEN:
        why = "between, where no refrigerant reaches it"
    else:
        why = "while nothing meters" if arrived else "while the flow is blocked"
    return f"The leak of the {name} changes nothing {why}."


def _other(coil: str) -> str:
    return INDOOR_COIL if coil == OUTDOOR_COIL else OUTDOOR_COIL
