"""Diagnosis: a hidden fault, readings that cost minutes, and which faults fit what has been read so far.

What lives here: `Case`, `deal_case`, `suspects`, `telling_apart`, `judge`.  What does not: the faults (faults), the readings (readings).

Each kind of fault is computed at a few sizes.  Between two of them its readings are taken on a straight line; a fault fits where
a size exists at which every reading lies within what instruments may differ by.  The healthy machine is a suspect like the others.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from hpteach.circuit import ValvePosition
from hpteach.errors import HpteachError, UnknownNameError
from hpteach.fluids import MoistAir
from hpteach.machine.faults import KINDS, Fault, Kind, operate_with, position_with, shows
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation
from hpteach.machine.readings import READINGS, read
from hpteach.machine.switches import opened

SOUND = "sound"
"""The id of the suspect that nothing is wrong."""

_SIZES = 5
_SOUND_ONES = 1.0 / 12.0
"""Share of cases in which nothing is wrong."""

_MOST_DEALS = 40


@dataclass(frozen=True)
class Suspect:
    """A kind of fault (None: nothing is wrong) with its readings at rising sizes, shape (sizes, readings)."""

    id: str
    kind: Kind | None
    sizes: tuple[float | None, ...]
    readings: np.ndarray

    @property
    def words(self) -> str:
        """What is wrong, in words."""
        return "nothing is wrong" if self.kind is None else self.kind.words


@dataclass(frozen=True)
class Case:
    """A machine with a hidden fault: what is called for, the weather, and what its readings are."""

    machine: Machine
    called: ValvePosition
    outdoor: MoistAir
    indoor: MoistAir
    seed: int
    hidden: Fault | None
    operation: Operation
    readings: Mapping[str, float]

    @property
    def hidden_id(self) -> str:
        """The id of what is wrong."""
        return SOUND if self.hidden is None else self.hidden.kind.id


@dataclass(frozen=True)
class Judgement:
    """How a diagnosis was: right or wrong, which suspects the readings left, what would have told them apart, minutes and score.

    `equal` are suspects that no reading tells from the hidden fault in this position; naming one of them is right.
    `least_minutes` are those of `thriftiest`, and the score counts them over the minutes spent, at most 1.
    """

    right: bool
    hidden_id: str
    left: tuple[str, ...]
    equal: tuple[str, ...]
    telling: tuple[str, ...]
    minutes: int
    least_minutes: int
    score: int


def lineup(machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir) -> tuple[Suspect, ...]:
    """Every fault that shows in this machine when this is called for, with its readings, and the healthy machine first.

    A fault at which the machine stops or finds no balance is left out at that size.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> found = lineup(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47))
    >>> found[0].id, any(suspect.id == "indoor_check_valve_shut" for suspect in found)
    ('sound', False)
    """
    return _lineup(machine, called, outdoor, indoor)


@lru_cache(maxsize=16)
def _lineup(machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir) -> tuple[Suspect, ...]:
    found = [Suspect(SOUND, None, (None,), _row(operate_with(machine, called, outdoor, indoor), ())[None, :])]
    for kind in KINDS.values():
        sizes, rows = [], []
        for size in _sizes(kind):
            one = Fault(kind, size)
            if not shows(one, position_with(called, [one]), called):
                break
            try:
                operation = operate_with(machine, called, outdoor, indoor, [one])
            except HpteachError:
                continue
            if opened(operation) is None:
                rows.append(_row(operation, [one]))
                sizes.append(size)
        if rows:
            found.append(Suspect(kind.id, kind, tuple(sizes), np.array(rows)))
    return tuple(found)


def _sizes(kind: Kind) -> list[float | None]:
    if kind.size is None:
        return [None]
    return np.geomspace(kind.least, kind.most, _SIZES).tolist()


def _row(found: Operation, faults: Iterable[Fault]) -> np.ndarray:
    return np.array(list(read(found, faults).values()))


def deal_case(machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir, seed: int) -> Case:
    """The case of a seed: one hidden fault, or none in one of twelve cases, of a size amid what it may be.

    The same seed gives the same case.  Raises `CircuitError` for a position that cannot be called for.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> case = deal_case(demo_machine("R-32"), ValvePosition.COOLING, *air, seed=3)
    >>> case.hidden_id in {suspect.id for suspect in lineup(case.machine, case.called, *air)}
    True
    """
    chance = random.Random(f"case {seed} {machine.name} {called.value}")  # noqa: S311
    sound, *others = lineup(machine, called, outdoor, indoor)
    for _ in range(_MOST_DEALS if chance.random() >= _SOUND_ONES else 0):
        hidden = _chosen(chance, chance.choice(others))
        try:
            operation = operate_with(machine, called, outdoor, indoor, [hidden])
        except HpteachError:
            continue
        if opened(operation) is not None:
            continue
        case = Case(machine, called, outdoor, indoor, seed, hidden, operation, read(operation, [hidden]))
        if not _fits(sound, list(READINGS), np.array(list(case.readings.values()))):
            return case  # a fault that no instrument could find is not dealt
    operation = operate_with(machine, called, outdoor, indoor)
    return Case(machine, called, outdoor, indoor, seed, None, operation, read(operation))


def _chosen(chance: random.Random, suspect: Suspect) -> Fault:
    """A fault of the suspect's kind, near the middle of the sizes at which the machine runs."""
    usable = [one for one in suspect.sizes if one is not None]
    if not usable:
        return Fault(suspect.kind, None)
    first, last = usable[len(usable) // 4], usable[(3 * len(usable)) // 4]
    return Fault(suspect.kind, chance.uniform(min(first, last), max(first, last)))


def suspects(case: Case, bought: Iterable[str]) -> tuple[Suspect, ...]:
    """The suspects that fit all readings bought so far; all of them where nothing was bought.

    Raises `UnknownNameError` for an unknown reading.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> case = deal_case(demo_machine("R-32"), ValvePosition.COOLING, *air, seed=4)
    >>> [one.id for one in suspects(case, ["supply_air"])]
    ['indoor_coil_dirty']
    """
    columns = _columns(bought)
    values = np.array([case.readings[id] for id in columns])
    everyone = lineup(case.machine, case.called, case.outdoor, case.indoor)
    # The hidden fault fits its own readings, though its size may lie off the line between two computed ones.
    return tuple(one for one in everyone if one.id == case.hidden_id or _fits(one, columns, values))


def telling_apart(case: Case, left: Iterable[Suspect], bought: Iterable[str]) -> tuple[str, ...]:
    """Readings not yet bought that would tell the hidden fault from one or more of the suspects that are left, those that strike out most for a minute first.

    Where none does alone, those that do together; none where no reading can.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> case = deal_case(demo_machine("R-32"), ValvePosition.COOLING, *air, seed=4)
    >>> telling_apart(case, suspects(case, []), [])[0]
    'suction_line'
    """
    bought = _columns(bought)
    worth = _worth(case, left, bought)
    return tuple(sorted(worth, key=lambda id: (-worth[id], id))) if worth else _enough(case, bought)


def _worth(case: Case, left: Iterable[Suspect], bought: list[str]) -> dict[str, float]:
    """By reading not yet bought: how many of the suspects that are left it strikes out for a minute, where it strikes out any."""
    left = [one for one in left if one.id != case.hidden_id]
    worth = {}
    for id, reading in READINGS.items():
        if id in bought:
            continue
        columns = [*bought, id]
        values = np.array([case.readings[column] for column in columns])
        struck = sum(not _fits(one, columns, values) for one in left)
        if struck:
            worth[id] = struck / reading.minutes
    return worth


def judge(case: Case, bought: Iterable[str], named: str) -> Judgement:
    """The judgement of a diagnosis: score 100 for the right fault with the least minutes, down to 50 with many more; 0 for a wrong one.

    Raises `UnknownNameError` for a fault or a reading that is in no list.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> case = deal_case(demo_machine("R-32"), ValvePosition.COOLING, *air, seed=4)
    >>> judge(case, ["supply_air"], "indoor_coil_dirty").score, judge(case, ["supply_air"], "undercharge").score
    (100, 0)
    """
    everyone = lineup(case.machine, case.called, case.outdoor, case.indoor)
    ids = [one.id for one in everyone]
    if named not in ids:
        raise UnknownNameError.among("fault", named, ids)
    bought = _columns(bought)
    left = suspects(case, bought)
    equal = tuple(one.id for one in suspects(case, READINGS) if one.id != case.hidden_id)
    right = named == case.hidden_id or named in equal
    minutes = sum(READINGS[id].minutes for id in bought)
    least = sum(READINGS[id].minutes for id in thriftiest(case))
    thrift = 1.0 if minutes <= least else least / minutes
    luck = len([one for one in left if one.id not in (*equal, case.hidden_id)])
    score = round(50.0 + 50.0 * thrift) if right else 0
    if right and luck:  # right, but the readings did not show it yet
        score = min(score, 60)
    return Judgement(
        right=right, hidden_id=case.hidden_id, left=tuple(one.id for one in left), equal=equal, telling=telling_apart(case, left, bought),
        minutes=minutes, least_minutes=least, score=score,
    )  # fmt: skip


def thriftiest(case: Case) -> tuple[str, ...]:
    """Readings that leave no more suspects than all readings would, none of them to spare.

    Bought greedily, each time the one that strikes out most for a minute; then those are given back, the dearest first, without which the others settle it too.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> thriftiest(deal_case(demo_machine("R-32"), ValvePosition.COOLING, *air, seed=4))
    ('supply_air',)
    """
    return _enough(case, [])


def _enough(case: Case, bought: list[str]) -> tuple[str, ...]:
    """What has to be bought besides to settle the case."""
    settled = {one.id for one in suspects(case, READINGS)}
    more: list[str] = []
    while {one.id for one in suspects(case, [*bought, *more])} != settled:
        worth = _worth(case, suspects(case, [*bought, *more]), [*bought, *more])
        # Two readings may tell together what neither tells alone: then all are bought.
        more += [max(worth, key=lambda id: (worth[id], id))] if worth else [id for id in READINGS if id not in (*bought, *more)]
    for id in sorted(more, key=lambda id: (-READINGS[id].minutes, id)):
        rest = [one for one in more if one != id]
        if {one.id for one in suspects(case, [*bought, *rest])} == settled:
            more = rest
    return tuple(more)


def _columns(bought: Iterable[str]) -> list[str]:
    bought = list(dict.fromkeys(bought))
    for id in bought:
        if id not in READINGS:
            raise UnknownNameError.among("reading", id, READINGS)
    return bought


def _fits(one: Suspect, columns: list[str], values: np.ndarray) -> bool:
    """Whether a size exists at which all readings lie within their tolerance: a point on the line through the computed sizes."""
    if not columns:
        return True
    order = list(READINGS)
    rows = one.readings[:, [order.index(id) for id in columns]]
    tolerance = np.array([READINGS[id].tolerance(value) for id, value in zip(columns, values)])
    scaled = (rows - values) / tolerance
    if len(scaled) == 1:
        return bool(np.abs(scaled[0]).max() <= 1.0)
    return any(_nearest(first, last) <= 1.0 for first, last in zip(scaled, scaled[1:]))


def _nearest(first: np.ndarray, last: np.ndarray) -> float:
    """The least, over a straight line between two rows, of the largest distance from zero."""
    shares = np.linspace(0.0, 1.0, 41)[:, None]
    return float(np.abs(first + shares * (last - first)).max(axis=1).min())
