"""What follows from a path through the circuit alone: who is who, what meters, what is felt.

What lives here: a circuit as a question states it without a cycle, its flow, and the flags
and words that expressions and texts may name.  What does not: a solved cycle (scenarios),
and the walk itself (hpteach.circuit).

Every answer comes from `circuit.flow`; no question states a place by a mode.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from hpteach.circuit import (
    COMPRESSOR,
    INDOOR_COIL,
    LIQUID_LINE,
    OUTDOOR_COIL,
    VAPOUR_LINE,
    Flow,
    MeteringLayout,
    ReversingValve,
    ValvePosition,
    flow,
    reversible_circuit,
)
from hpteach.errors import CircuitError, UnknownNameError

FLAGS = (
    "heating", "cooling", "between", "condenser_indoors", "condenser_outdoors",
    "indoor_device_meters", "outdoor_device_meters", "nothing_meters", "blocked", "indoor_check_open", "outdoor_check_open",
    "each_coil", "single_outdoors", "single_indoors", "liquid_towards_indoors", "liquid_towards_outdoors",
    "liquid_line_liquid", "liquid_line_mixture", "vapour_line_hot", "vapour_line_cool", "outdoor_pipe_hot", "outdoor_pipe_cool",
    "discharge_line_turns", "vapour_line_turns", "liquid_line_turns",
)  # fmt: skip
"""What is 1 where it holds and 0 where it does not; the outdoor pipe joins reversing valve and outdoor
coil, and what turns is what flows the other way in the valve's other position."""

WORDS = (
    "valve_position", "condenser", "evaporator", "working_device", "bypassed_device", "layout", "path",
    "vapour_line_feels", "liquid_line_feels", "outdoor_pipe_feels", "suction_line_feels",
    "place_1", "place_2", "place_3", "place_4", "other_position", "open_check", "closed_check",
    "outdoor_coil_inlet", "outdoor_coil_outlet", "indoor_coil_inlet", "indoor_coil_outlet",
    "liquid_line_holds", "liquid_line_misses", "vapour_line_holds", "vapour_line_misses",
)  # fmt: skip
"""The words of a flow that a text may name."""

STATED = ("stuck_part", "stated_position")
"""The words of a circuit stated without a cycle that a text may name beside those of its flow."""

NOTHING_STUCK = "nothing"

_OTHER = {ValvePosition.HEATING: ValvePosition.COOLING, ValvePosition.COOLING: ValvePosition.HEATING}
_VAPOURS = {"hot": "hot vapour at high pressure", "cool": "cool vapour at low pressure"}
_LIQUIDS = {"warm": "liquid at high pressure", "cold": "liquid mixed with vapour, at low pressure"}
_BETWEEN = {VAPOUR_LINE: "warm", "outdoor pipe": "warm", "suction line": "hot"}
_LAYOUTS = {
    MeteringLayout.EACH_COIL: "a metering device with a check-valve bypass at each coil",
    MeteringLayout.OUTDOOR: "a single electronic valve near the outdoor coil, which meters either way",
    MeteringLayout.INDOOR: "a single electronic valve near the indoor coil, which meters either way",
}


@dataclass(frozen=True)
class StatedCircuit:
    """A circuit as a question states it: the valve's position, the layout, and what is stuck ("outdoor check valve=open", or "nothing")."""

    valve_position: ValvePosition
    metering_layout: MeteringLayout = MeteringLayout.EACH_COIL
    stuck: str = NOTHING_STUCK


def turned(position: ValvePosition) -> ValvePosition:
    """The other position of the valve; between its seats there is none, and it stays.

    >>> turned(ValvePosition.HEATING)
    <ValvePosition.COOLING: 'cooling'>
    """
    return _OTHER.get(position, position)


def stated_circuit(stated: Mapping[str, str]) -> StatedCircuit:
    """The circuit that a question states by names; the position may follow from wiring and solenoid.

    >>> stated_circuit({"energised_in": "cooling", "solenoid": "not energised"}).valve_position
    <ValvePosition.HEATING: 'heating'>
    """
    if "valve_position" in stated:
        position = ValvePosition.named(stated["valve_position"])
    else:
        position = ReversingValve(energised_in=stated["energised_in"]).position(solenoid(stated["solenoid"]))
    layout = MeteringLayout.named(stated.get("metering_layout", MeteringLayout.EACH_COIL))
    return StatedCircuit(position, layout, stated.get("stuck", NOTHING_STUCK))


def solenoid(name: str) -> bool:
    """Whether the solenoid carries current, from "energised" or "not energised".  Raises `UnknownNameError` for other words.

    >>> solenoid("energised")
    True
    """
    names = ("energised", "not energised")
    if name not in names:
        raise UnknownNameError.among("state of the solenoid", name, names)
    return name == names[0]


def stuck(text: str) -> dict[str, str]:
    """What is stuck, from "PART=STATE" or "nothing"; raises `UnknownNameError` for any other text.

    >>> stuck("outdoor check valve=open")
    {'outdoor check valve': 'open'}
    """
    if text == NOTHING_STUCK:
        return {}
    part, _, state = text.partition("=")
    known: dict[str, set[str]] = {}
    for layout in MeteringLayout:
        for name, states in reversible_circuit(layout).stickable().items():
            known.setdefault(name, set()).update(states)
    if part not in known:
        raise UnknownNameError.among("stuck part", part, sorted(known))
    if state not in known[part]:
        raise UnknownNameError.among(f"state of the {part}", state, sorted(known[part]))
    return {part: state}


@lru_cache(maxsize=64)
def flow_of(stated: StatedCircuit) -> Flow:
    """The flow of a circuit as stated.

    >>> flow_of(StatedCircuit(ValvePosition.COOLING)).condenser
    'outdoor coil'
    """
    return flow(reversible_circuit(stated.metering_layout), stated.valve_position, stuck=stuck(stated.stuck))


def flags(found: Flow) -> dict[str, float]:
    """Every flag of a flow, 1.0 where it holds.

    >>> from hpteach.questions.paths import StatedCircuit, flags, flow_of
    >>> flags(flow_of(StatedCircuit(ValvePosition.HEATING)))["indoor_check_open"]
    1.0
    """
    leaves = {step.component: step.leaves for step in found.path}
    felt, working = _felt(found), found.metering.working or ""
    whole = found.condenser is not None
    turns = _turning(found)
    holds = {
        **{position.value: found.valve_position is position for position in ValvePosition},
        "condenser_indoors": found.condenser == INDOOR_COIL,
        "condenser_outdoors": found.condenser == OUTDOOR_COIL,
        "indoor_device_meters": working.startswith("indoor"),
        "outdoor_device_meters": working.startswith("outdoor"),
        "nothing_meters": not working,
        "blocked": found.path[-1].leaves != "suction",
        "indoor_check_open": found.check_valves["indoor"] == "open",
        "outdoor_check_open": found.check_valves["outdoor"] == "open",
        "each_coil": found.metering_layout is MeteringLayout.EACH_COIL,
        "single_outdoors": found.metering_layout is MeteringLayout.OUTDOOR,
        "single_indoors": found.metering_layout is MeteringLayout.INDOOR,
        "liquid_towards_indoors": leaves.get(LIQUID_LINE) == INDOOR_COIL,
        "liquid_towards_outdoors": leaves.get(LIQUID_LINE) == OUTDOOR_COIL,
        "liquid_line_liquid": whole and felt.get(LIQUID_LINE) == "warm",
        "liquid_line_mixture": whole and felt.get(LIQUID_LINE) == "cold",
        "vapour_line_hot": felt.get(VAPOUR_LINE) == "hot",
        "vapour_line_cool": felt.get(VAPOUR_LINE) == "cool",
        "outdoor_pipe_hot": felt.get("outdoor pipe") == "hot",
        "outdoor_pipe_cool": felt.get("outdoor pipe") == "cool",
        "discharge_line_turns": COMPRESSOR in turns,
        "vapour_line_turns": VAPOUR_LINE in turns,
        "liquid_line_turns": LIQUID_LINE in turns,
    }
    return {name: float(holds[name]) for name in FLAGS}


def words(found: Flow) -> dict[str, str]:
    """Every word of a flow.  What lines feel like supposes that the compressor runs.

    >>> words(flow_of(StatedCircuit(ValvePosition.HEATING)))["vapour_line_feels"]
    'hot'
    """
    felt, still = _felt(found), "about as warm as the air around it"
    sides = {step.component: step for step in found.path}
    checks = {state: f"{where} check valve" for where, state in found.check_valves.items() if state}
    return {
        "valve_position": found.valve_position.value,
        "condenser": found.condenser or "",
        "evaporator": found.evaporator or "",
        "working_device": found.metering.working or "",
        "bypassed_device": found.metering.bypassed or "",
        "layout": _LAYOUTS[found.metering_layout],
        "path": ", ".join(step.component for step in found.path),
        **{f"{line.replace(' ', '_')}_feels": felt.get(line, still) for line in (VAPOUR_LINE, LIQUID_LINE, "outdoor pipe")},
        "suction_line_feels": felt.get("suction line", still),
        **{f"place_{label}": found.place(label) if found.condenser else "" for label in "1234"},
        "other_position": turned(found.valve_position).value,
        "open_check": checks.get("open", ""),
        "closed_check": checks.get("closed", ""),
        **{f"{coil.replace(' ', '_')}_inlet": sides[coil].enters if coil in sides else "" for coil in (INDOOR_COIL, OUTDOOR_COIL)},
        **{f"{coil.replace(' ', '_')}_outlet": sides[coil].leaves if coil in sides else "" for coil in (INDOOR_COIL, OUTDOOR_COIL)},
        **_held("vapour_line", _VAPOURS, felt.get(VAPOUR_LINE)),
        **_held("liquid_line", _LIQUIDS, felt.get(LIQUID_LINE)),
    }


def stated_words(stated: StatedCircuit) -> dict[str, str]:
    """What a question has stated, in words: the position asked for, and the part that is stuck.

    >>> stated_words(StatedCircuit(ValvePosition.COOLING, stuck="outdoor check valve=open"))["stuck_part"]
    'outdoor check valve, stuck open'
    """
    held = ", ".join(f"{part}, stuck {state}" for part, state in stuck(stated.stuck).items())
    return {"stuck_part": held, "stated_position": stated.valve_position.value}


def ranked(found: Flow, listed: tuple[str, ...]) -> tuple[int, ...]:
    """The places in `listed` (from 0) in the order in which the refrigerant meets them.

    A name is a component that is met once ("liquid line"), or a component with one of its
    sides ("outdoor coil, liquid side").  A device that is bypassed takes the place of the
    check valve through which it is bypassed, and the other way round.  Raises `CircuitError`
    for what is not met, or met twice.  The walk begins at the compressor's discharge, so its
    suction comes last.

    >>> ranked(flow_of(StatedCircuit(ValvePosition.COOLING)), ("liquid line", "compressor", "outdoor coil"))
    (1, 2, 0)
    """
    places = [_place(found, name) for name in listed]
    return tuple(sorted(range(len(listed)), key=places.__getitem__))


def met(found: Flow, name: str) -> bool:
    """Whether a component lies on the path.

    >>> met(flow_of(StatedCircuit(ValvePosition.COOLING)), "outdoor metering device")
    False
    """
    return any(step.component == name.partition(", ")[0] for step in found.path)


def _place(found: Flow, name: str) -> int:
    component, _, side = name.partition(", ")
    if (component, side) == (COMPRESSOR, "suction"):
        return 2 * len(found.path)
    if not met(found, component):
        component = {"metering device": "check valve", "check valve": "metering device"}.get(component.partition(" ")[2], "")
        component = f"{name.partition(' ')[0]} {component}"
    places = [
        2 * number + (side == step.leaves)
        for number, step in enumerate(found.path)
        if step.component == component and (not side or side in (step.enters, step.leaves))
    ]
    if len(places) != 1:
        raise CircuitError(f"the {name} is met {len(places)} times on this path: list what is met once, or say which side of it")
    return places[0]


def _held(line: str, kinds: Mapping[str, str], feels: str | None) -> dict[str, str]:
    """What a line holds by how it feels, and what it would hold if it felt the other way."""
    misses = [held for felt, held in kinds.items() if felt != feels]
    return {f"{line}_holds": kinds.get(feels or "", ""), f"{line}_misses": misses[0]}


def _turning(found: Flow) -> set[str]:
    """The components through which the flow turns round when the valve goes over, nothing being stuck."""
    other = flow(reversible_circuit(found.metering_layout), turned(found.valve_position))
    ways = {step.component: step.enters for step in other.path}
    return {step.component for step in found.path if ways.get(step.component, step.enters) != step.enters}


def _felt(found: Flow) -> dict[str, str]:
    """How the lines on the path feel: hot before the condenser, warm behind it, cold behind
    the device, cool behind the evaporator; with the spool between its seats hot gas goes
    straight to the suction, and both pipes to the coils are warm (common practice, no source)."""
    felt: dict[str, str] = {}
    if found.condenser is None:
        return dict(_BETWEEN) if found.valve_position is ValvePosition.BETWEEN else felt
    feels = "hot"
    for step in found.path:
        if step.component in (found.condenser, found.evaporator):
            feels = {found.condenser: "warm", found.evaporator: "cool"}[step.component]
        elif step.component == found.metering.working:
            feels = "cold"
        elif step.component in (VAPOUR_LINE, LIQUID_LINE):
            felt[step.component] = feels
        elif step.component != COMPRESSOR and OUTDOOR_COIL in (step.enters, step.leaves) and {step.enters, step.leaves} & {"discharge", "suction"}:
            felt["outdoor pipe"] = feels
    return felt | {"suction line": feels}
