"""The state of the refrigerant at a place: which of six it is, read off the path of the flow.

What lives here: the six states, the state at a place, what a file says of it, its dealing, the
reading of an answer in letters or words, and its judging.  What does not: the path itself (hpteach.circuit).

    kind = "state"
    place = "vapour line"       or "{condenser}" (inside it), "outdoor coil, liquid side", "outdoor pipe", "suction line",
                                "discharge line", "liquid line", "indoor metering device, inlet", "indoor check valve"

It needs a [scenario] that states the position of the valve.  The machine runs, its liquid leaves the condenser
subcooled and its vapour leaves the evaporator superheated; where a cycle says otherwise, other numbers are drawn.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from hpteach.circuit import COMPRESSOR, OUTDOOR_COIL, Flow
from hpteach.cycle import Cycle
from hpteach.errors import CircuitError, HpteachError, InputError, LimitError
from hpteach.fluids.state import MIXTURE, SUBCOOLED_LIQUID, SUPERHEATED_VAPOUR
from hpteach.questions.answers import folded, read_choice, tidied
from hpteach.questions.dealt_parts import Foreseen, Part
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import shortened
from hpteach.questions.making import Dealing
from hpteach.questions.mistakes import WAYS
from hpteach.questions.part_names import Names
from hpteach.questions.paths import flow_of, turned
from hpteach.questions.stated_parts import QuestionPart
from hpteach.questions.verdicts import RIGHT, Verdict, unread, wrong


@dataclass(frozen=True)
class TradeState:
    """A state as the trade names it: its phase, and on which side of the circuit it is."""

    phase: str
    pressure: str

    def __str__(self) -> str:
        return f"{self.phase} at {self.pressure} pressure"


HOT_GAS, CONDENSING, WARM_LIQUID, COOL_VAPOUR, BOILING, COLD_LIQUID = STATES = tuple(
    TradeState(phase, pressure) for pressure in ("high", "low") for phase in (SUPERHEATED_VAPOUR, MIXTURE, SUBCOOLED_LIQUID)
)
"""The six states in the order in which they are listed; the last is found nowhere."""

OTHER_POSITION = "coils_swapped"
PRESSURE = "pressure_side_confused"
PHASE = "phase_confused"
FLASH = "flash_gas_ignored"
ELSEWHERE = "state_of_another_place"

_FOUND = {
    HOT_GAS: "is what the compressor gives off, as far as the condenser",
    CONDENSING: "is what stands inside the condenser",
    WARM_LIQUID: "is what leaves the condenser, as far as the device that meters",
    BOILING: "is what leaves the device that meters, and what boils inside the evaporator",
    COOL_VAPOUR: "is what leaves the evaporator, as far as the compressor",
}
"""Where each state is found."""

_CORRECTIONS = {
    OTHER_POSITION: f"That is the state with the reversing valve in its other position. {WAYS[OTHER_POSITION].correction}",
    PRESSURE: "The phase is right, the side of the circuit is not: from the compressor's discharge to the device that meters "
    "the pressure is high, from there to the compressor's suction it is low.",
    PHASE: "The pressure is right, the phase is not: the condenser turns vapour into liquid, the evaporator turns liquid into vapour, "
    "and inside each of them both stand together.",
    FLASH: "Subcooled liquid is not found at low pressure: where the pressure falls, a part of the liquid boils at once, as flash gas.",
}

_ALIASES = {
    "suction line": "compressor, suction",
    "discharge line": "compressor, discharge",
    "outdoor pipe": f"{OUTDOOR_COIL}, vapour side",
}


def read_place(entry: Entry, names: Names) -> str:
    """The place at which a state is asked; that it is met is known when it is dealt."""
    place = names.template(entry, "place")
    if not names.circuit:
        raise entry.refuse("place", place, "a place only beside a [scenario] that states the position of the valve")
    return place


def make_state(stated: QuestionPart, dealing: Dealing) -> Part:
    """The six states, the one at the place, and what each of the others says about a learner's thought."""
    place, stands = dealing.writer.text(stated.place), dealing.stands
    found = state_at(dealing.solved.flow, place)
    _check_met(found, dealing.solved.cycle)
    other = None
    if turned(stands.valve_position) is not stands.valve_position:
        other = _or_none(flow_of(replace(stands, valve_position=turned(stands.valve_position))), place)
    by_ways = dealing.by_ways(stated, lambda world: str(state_at(world.flow, place)), [str(found)])
    taken = {mistake.value for mistake in by_ways}
    others = tuple(_mistake(state, found, other) for state in STATES if state != found and str(state) not in taken)
    return dealing.part(stated, str(found), choices=tuple(map(str, STATES)), mistakes=(*by_ways, *others))


def state_at(flow: Flow, place: str) -> TradeState:
    """The state of the refrigerant at a place: a component, one of its sides, or a line by its usual name.

    Raises `CircuitError` where no coil condenses, where the place is not on the path, or where two states meet in it.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.questions.paths import StatedCircuit
    >>> print(state_at(flow_of(StatedCircuit(ValvePosition.HEATING)), "vapour line"))
    superheated vapour at high pressure
    """
    if flow.condenser is None or flow.series:
        raise CircuitError(f"the state at the {place} cannot be told with this flow: {' '.join(flow.remarks)}")
    component, _, side = _ALIASES.get(place, place).partition(", ")
    now, met = COOL_VAPOUR, []
    behind = {COMPRESSOR: HOT_GAS, flow.condenser: WARM_LIQUID, flow.metering.working: BOILING, flow.evaporator: COOL_VAPOUR}
    for step in flow.path:
        before, now = now, behind.get(step.component, now)
        if step.component != component:
            continue
        inside = {flow.condenser: CONDENSING, flow.evaporator: BOILING}.get(component, now if now == before else None)
        met.append({"": inside, step.enters: before, step.leaves: now, "inlet": before, "outlet": now}.get(side))
    found = [state for state in met if state]
    if len(found) != 1:
        ask = "name another place, or say which side of it, such as 'liquid side', 'inlet' or 'outlet'"
        raise CircuitError(f"the {place} has no one state on this path: {ask}")
    return found[0]


def _or_none(flow: Flow, place: str) -> TradeState | None:
    """The state at a place, or None where a flow does not come there."""
    try:
        return state_at(flow, place)
    except CircuitError:
        return None


def _check_met(found: TradeState, cycle: Cycle | None) -> None:
    """Refuse a cycle whose vapour or liquid is saturated where a superheated or subcooled one is meant."""
    label = {HOT_GAS: "2", WARM_LIQUID: "3", COOL_VAPOUR: "1"}.get(found)
    if cycle and label and cycle.point(label).phase != found.phase:
        raise LimitError(f"at point {label} the refrigerant is {cycle.point(label).phase}, not {found.phase}: draw other conditions")


def _mistake(state: TradeState, right: TradeState, other: TradeState | None) -> Foreseen:
    """What a wrong state says about the thought that led to it."""
    if state == other:
        id = OTHER_POSITION
    elif state not in _FOUND:
        id = FLASH
    elif state.phase == right.phase:
        id = PRESSURE
    elif state.pressure == right.pressure:
        id = PHASE
    else:
        id = ELSEWHERE
    elsewhere = f"{str(state).capitalize()} {_FOUND.get(state, '')}: follow the flow from the compressor to the place that is asked."
    return Foreseen(id, str(state), _CORRECTIONS.get(id, elsewhere))


def judge_state(part: Part, text: str) -> Verdict:
    """The verdict on a state named by its letter or in words."""
    try:
        given = read_state(text)
    except HpteachError as error:
        return unread(error)
    if given == part.answer:
        return RIGHT
    return wrong(part.kind, next((mistake for mistake in part.mistakes if mistake.value == given), None))


_SPELLED = {"vapor": "vapour", "gas": "vapour", "hp": "high", "lp": "low", "2": "two", "twophase": "mixture", "supercooled": "subcooled", "undercooled": "subcooled"}
_PHRASES = {"sub cooled": "subcooled", "super heated": "superheated", "two phase": "mixture", "wet vapour": "mixture"}
_PHASES = {
    frozenset(words.split()): phase
    for phase, spellings in {
        SUPERHEATED_VAPOUR: ("vapour", "superheated", "superheated vapour"),
        MIXTURE: ("mixture", "liquid vapour", "mixture liquid", "mixture vapour", "mixture liquid vapour"),
        SUBCOOLED_LIQUID: ("liquid", "subcooled", "subcooled liquid"),
    }.items()
    for words in spellings
}
_NO_MATTER = frozenset("a an and at cold cool hot in is it its mixed of on only pressure refrigerant side state the under warm with".split())
_WITHOUT_PRESSURE = {"hot vapour": HOT_GAS, "discharge vapour": HOT_GAS, "suction vapour": COOL_VAPOUR}


def read_state(text: str) -> str:
    """The state that a learner's text names, by its letter or in words of any order.

    Raises `InputError` where phase or pressure is missing, there are two of one, or a word belongs to no state.

    >>> read_state("high-pressure liquid"), read_state("Hot gas")
    ('subcooled liquid at high pressure', 'superheated vapour at high pressure')
    """
    choices = tuple(map(str, STATES))
    try:
        return read_choice(text, choices)
    except InputError:
        words = " ".join(_SPELLED.get(word, word) for word in re.sub("[-/]", " ", folded(tidied(text))).split())
    for phrase, word in _PHRASES.items():
        words = words.replace(phrase, word)
    if words in _WITHOUT_PRESSURE:
        return str(_WITHOUT_PRESSURE[words])
    found = set(words.split()) - _NO_MATTER
    pressures, phase = sorted(found & {"high", "low"}), _PHASES.get(frozenset(found - {"high", "low"}))
    if len(pressures) != 1 or phase is None:
        example = "phase and pressure, such as 'liquid, high pressure'"
        raise InputError(f"{shortened(text)} is not one of the six states: answer with a letter from A to F, or with {example}")
    return str(TradeState(phase, pressures[0]))
