"""A case of diagnosis in sentences and tables: the complaint, the readings, the verdict, what to mind before a repair, a transcript.

What lives here: words for `machine.diagnosis`, in the reader's units.  What does not: which fault fits (machine.diagnosis), the panel (panels).

Every sentence is made from the case.  The workshop and its customers are invented.
"""

from __future__ import annotations

import random
from collections.abc import Iterable

from hpteach.circuit import ValvePosition
from hpteach.fault_readouts import first_of, size_shown
from hpteach.fluids import listing
from hpteach.machine import Operation, operate
from hpteach.machine.diagnosis import SOUND, Case, Judgement, Suspect, judge, lineup, suspects, thriftiest
from hpteach.machine.faults import KINDS, Fault
from hpteach.machine.readings import READINGS, YES_OR_NO, read
from hpteach.readouts import cautions
from hpteach.tables import Table
from hpteach.units import show

ASKING = 10
"""Points that it costs to be told which suspects still fit, each time, before the fault is named."""

RULE = (
    "Points: the right fault in the fewest minutes that settle the case gives 100, with more minutes less, but never below 50. Right, while the readings still leave others: "
    f"60 at most. Wrong: 0. Each time you are told which suspects still fit takes {ASKING}. The healthy machine's readings cost nothing."
)

CUSTOMERS = ("A baker", "A dentist", "The caretaker of a school", "A librarian", "The keeper of a small hotel", "A tailor")

# When a customer notices what is amiss; common practice, no source.
_NEXT_TO_NOTHING, _MUCH_LESS, _LESS, _DEARER = 0.45, 0.75, 0.94, 1.12
_ICE, _MILD = 272.15, 276.15
_STOPS = {"discharge_temperature", "pressure_ratio", "saturated_suction_temperature", "saturated_condensing_temperature"}


def healthy(case: Case) -> Operation:
    """The same machine without its fault, in the same weather."""
    return operate(case.machine, case.called, case.outdoor, case.indoor)


def complaint(case: Case) -> str:
    """What the customer (invented) says: made from what the faulty machine does, beside the healthy one.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.diagnosis import deal_case
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(299.85, relative_humidity=0.51)
    >>> complaint(deal_case(demo_machine("R-410A"), ValvePosition.COOLING, *air, seed=1))
    'It blows warm, though it is set to cool.'
    """
    found, sound, cools = case.operation, healthy(case), case.called is ValvePosition.COOLING
    share = found.capacity / sound.capacity
    new = {limit.id for limit in found.limits} - {limit.id for limit in sound.limits}
    said = []
    if found.valve_position is not case.called:
        said.append("It blows warm, though it is set to cool." if cools else "It blows cold, though it is set to heat.")
    elif share < _NEXT_TO_NOTHING:
        said.append("It runs and runs, and next to no cold comes out of it." if cools else "It runs and runs, and next to no heat comes out of it.")
    elif share < _MUCH_LESS:
        short = "It is short of heat, even on a mild day like this." if case.outdoor.dry_bulb > _MILD else "It is short of heat, and the room gets cold."
        said.append("It blows, but not cold any more." if cools else short)
    elif share < _LESS:
        said.append("It does not cool as well as last year." if cools else "It blows cooler than last year.")
    if new & _STOPS:
        said.append("Now and then it stops, and some time later it starts again.")
    if cools and found.saturated_suction_temperature < _ICE:
        said.append("There is white frost on a pipe.")
    if "liquid_to_compressor" in new:
        said.append("Something in the outdoor unit knocks.")
    if found.valve_position is case.called and found.compressor_power / found.capacity > _DEARER * sound.compressor_power / sound.capacity:
        said.append("The electricity bill has grown.")
    return " ".join(said) or "I notice nothing. I only want to know that all is well."


def situation(case: Case, system: str = "SI") -> list[str]:
    """The machine, what is called for, the weather, and the complaint."""
    customer = random.Random(f"customer {case.seed}").choice(CUSTOMERS)  # noqa: S311
    out, room = (f"{show(air.dry_bulb, 'temperature', system)} and {air.relative_humidity:.0%} relative humidity" for air in (case.outdoor, case.indoor))
    return [
        f"{customer} calls the Fernhill Workshop (customer and workshop are invented): “{complaint(case)}”",
        f"You stand before {case.machine.name}. The thermostat calls for {case.called.value}. Outdoors: {out}. In the room: {room}.",
    ]


def reading_text(id: str, value: float, system: str = "SI") -> str:
    """A reading as the instrument shows it, or the answer of a look.

    >>> reading_text("suction_gauge", 914906.4, "IP"), reading_text("outdoor_fan", 1.0)
    ('118.0 psig', 'yes')
    """
    kind = READINGS[id].kind
    if kind == YES_OR_NO:
        return "yes" if value else "no"
    if id == "compressor_power":  # a power meter shows watts on either shore
        return show(value, kind)
    return show(value, kind, system)


def minutes_text(minutes: int) -> str:
    """Minutes in words.

    >>> minutes_text(1), minutes_text(12)
    ('1 minute', '12 minutes')
    """
    return f"{minutes} minute" if minutes == 1 else f"{minutes} minutes"


def spent(bought: Iterable[str]) -> int:
    """Minutes that readings have taken together."""
    return sum(READINGS[id].minutes for id in bought)


def readings_table(case: Case, bought: Iterable[str], system: str = "SI", *, beside: bool = False) -> Table:
    """The readings that were bought, where asked for beside those of the healthy machine: then all of these, as the data sheet has them."""
    bought = list(bought)
    sheet = read(healthy(case)) if beside else {}
    ids = [id for id in READINGS if id in bought or id in sheet]
    rows = []
    for id in ids:
        here = reading_text(id, case.readings[id], system) if id in bought else ""
        row = [READINGS[id].words, here, *([reading_text(id, sheet[id], system)] if beside else []), str(READINGS[id].minutes) if id in bought else ""]
        rows.append(row)
    rows.append(["all together", "", *([""] if beside else []), str(spent(bought))])
    headings = ("reading", "here", *(("healthy",) if beside else ()), "min")
    return Table("", headings, rows, right=tuple(range(1, len(headings))))


def cautions_of(bought: Iterable[str]) -> list[str]:
    """What to mind with the readings that were taken, each caution once."""
    return list(dict.fromkeys(READINGS[id].caution for id in bought))


def named_list(words: Iterable[str]) -> str:
    """Things in a row, with "or" before the last.

    >>> named_list(["one", "two", "three"])
    'one; two; or three'
    """
    words = list(words)
    return words[0] if len(words) == 1 else "; ".join(words[:-1]) + f"; or {words[-1]}"


def words_of(id: str) -> str:
    """A suspect in words.

    >>> words_of("undercharge"), words_of("sound")
    ('refrigerant missing', 'nothing is wrong')
    """
    return "nothing is wrong" if id == SOUND else KINDS[id].words


def fitting(case: Case, bought: Iterable[str]) -> str:
    """Which suspects still fit, in one sentence."""
    bought = list(bought)
    left, everyone = suspects(case, bought), lineup(case.machine, case.called, case.outdoor, case.indoor)
    readings = "1 reading" if len(bought) == 1 else f"{len(bought)} readings"
    return f"After {readings}, {len(left)} of {len(everyone)} suspects fit: {named_list(one.words for one in left)}."


def size_words(one: Fault, system: str = "SI") -> str:
    """The size of a fault in words; empty for one without a size.

    >>> from hpteach.machine.faults import fault
    >>> size_words(fault("undercharge")), size_words(fault("spool_leak")), size_words(fault("foreign_gas"), "IP"), size_words(fault("wrong_wiring"))
    ('share of the charge that is missing: 25 %', 'gap at the spool: 0.5 mm²', 'partial pressure of the gas in the condenser: 29.0 psi', '')
    """
    if one.size is None:
        return ""
    return f"{one.kind.quantity.removesuffix(' in mm²')}: {size_shown(one.kind, one.size, system)}"


_OPENED = (
    "Caution: the repair opens the circuit. That is licensed work under your local codes: isolate, lock off and prove dead; recover the refrigerant and weigh it, "
    "never let it out; no flame on a line that holds refrigerant, and nitrogen flowing while brazing; afterwards test with dry nitrogen through a regulator with relief "
    "(never oxygen, never air), pull a vacuum, and weigh in the charge (common practice, no source)."
)
_LIVE = "Caution: the repair is at live parts. Licensed people only: lock off the power, prove dead, wait for capacitors, and put the covers back before the power."
_AIR = "Caution: before anyone cleans a coil or filter the power is locked off, as fans start by themselves. Fins cut: gloves. Never chip ice off."
_AT_LIVE_PARTS = ("wrong_wiring", "outdoor_fan_failed", "indoor_fan_failed", "defrost_never_starts")
_AT_THE_AIR = ("outdoor_coil_dirty", "indoor_coil_dirty")


def repair_cautions(one: Fault | None, refrigerant: str) -> list[str]:
    """What to mind before a fault is repaired; with None for a sound machine, only what belongs to its refrigerant.

    >>> from hpteach.machine.faults import fault
    >>> [said[:36] for said in repair_cautions(fault("undercharge"), "R-410A")][:2]
    ['Refrigerant does not wear out: what ', 'Caution: the repair opens the circui']
    """
    said = []
    if one is not None:
        said = [_LIVE] if one.kind.id in _AT_LIVE_PARTS else [_AIR] if one.kind.id in _AT_THE_AIR else [*first_of(one), _OPENED]
    return [*said, *cautions(listing(refrigerant))]


def score_of(judgement: Judgement, asked: int = 0) -> int:
    """Points of a case, less those for having asked which suspects fit; never below 0."""
    return max(0, judgement.score - ASKING * asked)


def verdict(case: Case, bought: Iterable[str], named: str, system: str = "SI", *, asked: int = 0) -> list[str]:
    """Right or wrong, what it was, which suspects were left, what would have told them apart, the cheapest way, and the points.

    Raises `UnknownNameError` for a fault or a reading that is in no list.
    """
    bought = list(bought)
    found = judge(case, bought, named)
    return [
        _what_it_was(case, found, named, system),
        *_equal(found),
        _left(case, found, bought),
        *_telling(case, found, bought),
        _cheapest(case, found),
        _points(found, asked),
    ]


def _what_it_was(case: Case, found: Judgement, named: str, system: str) -> str:
    said = "Right" if found.right else f"Not right: you named “{words_of(named)}”"
    if case.hidden is None:
        return f"{said}. Nothing is wrong with this machine: not every complaint is a fault."
    size = size_words(case.hidden, system)
    return f"{said}. It was: {case.hidden.kind.words}{f' ({size})' if size else ''}. {case.hidden.kind.mechanism}"


def _equal(found: Judgement) -> list[str]:
    if not found.equal:
        return []
    others = named_list(words_of(id) for id in found.equal)
    if found.hidden_id == SOUND:
        return [f"A small fault can hide where the instruments here do not reach it: {others}. Naming any of these counts as right too."]
    return [f"All readings together would not tell it from: {others}. Naming any of these is right. A look-alike of this kind is told by another position, or by trying the part itself."]


def _others(found: Judgement, left: Iterable[str]) -> list[str]:
    return [id for id in left if id not in (found.hidden_id, *found.equal)]


def _left(case: Case, found: Judgement, bought: list[str]) -> str:
    others = _others(found, found.left)
    if not bought:
        return f"You took no reading, so all {len(found.left)} suspects were left."
    if not others:
        return "Your readings left no other suspect: the case was settled."
    luck = " You were right, but the readings did not show it yet." if found.right else ""
    return f"Besides, your readings still left: {named_list(words_of(id) for id in others)}.{luck}"


def _telling(case: Case, found: Judgement, bought: list[str]) -> list[str]:
    """The three readings that would have struck out most for a minute, and what each strikes out; or those that do so only together."""
    said = []
    for id in found.telling[:3]:
        kept = {one.id for one in suspects(case, [*bought, id])}
        struck = [words_of(other) for other in found.left if other not in kept]
        most = ", ".join(struck) if len(struck) <= 4 else f"{len(struck)} of them, such as {', '.join(struck[:3])}"
        if struck:
            said.append(f"{_with_minutes(id)} strikes out: {most}.")
    if found.telling and not said:
        said = [f"only together: {'; '.join(_with_minutes(id) for id in found.telling)}."]
    return [f"What would have told them apart: {' '.join(said)}"] if said else []


def _with_minutes(id: str) -> str:
    return f"{READINGS[id].words} ({minutes_text(READINGS[id].minutes)})"


def _cheapest(case: Case, found: Judgement) -> str:
    way = [READINGS[id].words for id in thriftiest(case)]
    return f"A way with few minutes: {'; '.join(way)}. Together {minutes_text(found.least_minutes)}; you spent {found.minutes}."


def _points(found: Judgement, asked: int) -> str:
    points = score_of(found, asked)
    taken = f" ({found.score} less {ASKING * asked} for asking which suspects fit)" if asked else ""
    return f"Points: {points} of 100{taken}."


def transcript(case: Case, bought: Iterable[str], named: str, system: str = "SI", *, asked: int = 0) -> str:
    """A case from the call to the verdict as plain text, for a terminal, a handbook or a learner's notes.

    Raises `UnknownNameError` for a fault or a reading that is in no list.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.diagnosis import deal_case
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(299.85, relative_humidity=0.51)
    >>> case = deal_case(demo_machine("R-410A"), ValvePosition.COOLING, *air, seed=1)
    >>> transcript(case, thriftiest(case), case.hidden_id).count("Points: 100 of 100.")
    1
    """
    bought = list(bought)
    parts = [
        f"Case {case.seed}, {case.machine.name}, {case.called.value}",
        "\n".join(situation(case, system)),
        str(readings_table(case, bought, system, beside=True)),
        "\n".join(cautions_of(bought)),
        f"Named: {words_of(named)}.",
        "\n".join(verdict(case, bought, named, system, asked=asked)),
        "\n".join(repair_cautions(case.hidden, case.machine.refrigerant)),
    ]
    return "\n\n".join(part for part in parts if part)


def choices(everyone: Iterable[Suspect]) -> list[tuple[str, str]]:
    """The suspects as (words, id), by their words."""
    return sorted((one.words, one.id) for one in everyone)
