"""Dealing a question: from a seed to numbers, a printed prompt, and the answers to them.

What lives here: `deal` and the variant that it deals.  What does not: making the parts (making, and
the module of each kind), question files (bank), solving and going wrong (scenarios, mistakes), judging (checking).

The numbers are drawn as they will be printed and read back from the print, so that
whoever works with the printed numbers comes to the same answer.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from hpteach import units
from hpteach.circuit import Flow
from hpteach.cycle import Cycle
from hpteach.errors import DataError, HpteachError, InputError, UnknownNameError
from hpteach.machine import Operation
from hpteach.machine.faults import Fault
from hpteach.questions.air import AirAlone
from hpteach.questions.asked_charts import asked_chart
from hpteach.questions.bank import Question
from hpteach.questions.dealt_parts import ChartAsked, Foreseen, Part, StateTable, lettered
from hpteach.questions.expressions import gaps
from hpteach.questions.fault_conditions import FaultWeather
from hpteach.questions.making import UNSOLVABLE, Dealing, make_choice, make_number, make_order
from hpteach.questions.scenarios import OTHER, WORKED_OUT, Printed, solve
from hpteach.questions.several import make_several
from hpteach.questions.state_tables import make_table
from hpteach.questions.states import make_state
from hpteach.questions.stating import situation_of
from hpteach.questions.truths import make_truth
from hpteach.questions.weather import Weather, worked
from hpteach.questions.writing import Writer

__all__ = ["TRIES", "UNSOLVABLE", "Foreseen", "Part", "Variant", "deal", "deal_with", "lettered"]

_MAKERS = {
    "number": make_number,
    "choice": make_choice,
    "several": make_several,
    "order": make_order,
    "state": make_state,
    "truth": make_truth,
}

TRIES = 20
"""How often a draw that cannot be solved is drawn again."""

@dataclass(frozen=True, repr=False)
class Variant:
    """A question with its numbers; prints as it is asked, without the answers.

    `cycle` is the solved cycle for a view to draw, `other` the one to compare with; both
    are None where the question states none.  `air` is the air at a coil that it states, `weather` the machine in weather that it states,
    `other_air` and `other_weather` the ones to compare with, else None; both without the `fault` that it states.  `atmosphere` (Pa) is what gauges count from.  `flow` is the path of the refrigerant, also where a
    circuit is stated without a cycle.  `tables` are the state tables whose cells are among the parts, `chart` is what the answers are read from.
    `drawn` are the texts of the draws.
    """

    question: Question
    seed: int
    system: str
    prompt: str
    parts: tuple[Part, ...]
    cycle: Cycle | None
    other: Cycle | None
    atmosphere: float
    air: AirAlone | None = None
    weather: Operation | None = None
    other_weather: Operation | None = None
    fault: Fault | None = None
    flow: Flow | None = None
    tables: tuple[StateTable, ...] = ()
    chart: ChartAsked | None = None
    drawn: Mapping[str, str] = field(default_factory=dict)
    other_air: AirAlone | None = None

    @property
    def hints(self) -> tuple[str, ...]:
        """The hints of all parts, in their order."""
        return tuple(hint for part in self.parts for hint in part.hints)

    @property
    def solution(self) -> str:
        """The worked solutions of all parts, one below the other."""
        return "\n".join(part.solution for part in self.parts)

    def part(self, id: str | None = None) -> Part:
        """The part called `id`, or the only one.

        Raises `UnknownNameError` for any other name, `InputError` where it must be said which.
        """
        if id is None and len(self.parts) == 1:
            return self.parts[0]
        known = [part.id for part in self.parts]
        if id is None:
            raise InputError(f"{self.question.id} asks {len(known)} things: say which part is answered, {' or '.join(known)}")
        if id not in known:
            raise UnknownNameError.among("part", id, known)
        return self.parts[known.index(id)]

    def __str__(self) -> str:
        lines, printed = [self.prompt], set()
        for part in self.parts:
            if not part.table:
                unit = f" ({part.unit})" if part.unit else ""
                lines += ["", f"{part.text}{unit}", *(f"  {letter}) {text}" for letter, text in lettered(part.choices, part.kind))]
            elif part.table not in printed:
                printed.add(part.table)
                table = next(table for table in self.tables if table.id == part.table)
                lines += ["", table.text, str(table.grid())]
        return "\n".join(lines)

    __repr__ = __str__


def deal(question: Question, seed: int, system: str = "SI") -> Variant:
    """The variant of a question that belongs to a seed, printed in "SI" or "IP".

    The same seed gives the same variant everywhere.  A draw that cannot be solved is drawn
    again from the same seed.  Raises `DataError` where none of 20 draws can be solved, or
    where a question of choices has not as many right ones as its kind asks for;
    `InputError` for a seed that is no whole number, `UnknownNameError` for another system.

    >>> from hpteach.questions.bank import read_bank
    >>> variant = deal(read_bank().question("read-a-gauge"), seed=7)
    >>> variant.prompt == deal(read_bank().question("read-a-gauge"), seed=7).prompt
    True
    """
    if type(seed) is not int:
        raise InputError(f"seed {str(seed)[:40]!r} is not a whole number: give one, such as 7")
    if system not in units.SYSTEMS:
        raise UnknownNameError.among("unit system", system, units.SYSTEMS)
    refusal: HpteachError | None = None
    for attempt in range(TRIES):
        try:
            return deal_with(question, seed, system, _drawn(question, seed, attempt, system))
        except UNSOLVABLE as error:
            refusal = error
    raise DataError(f"{question.id}: none of {TRIES} draws of seed {seed} can be solved; the last one: {refusal}")


def _drawn(question: Question, seed: int, attempt: int, system: str) -> dict[str, str]:
    """A printed text for each draw.  Only `random()` is used, whose numbers Python promises to
    keep from version to version, and both systems take theirs from the same place in the list."""
    source = random.Random(f"{question.id}/{question.version}/{seed}/{attempt}")
    places = {name: source.random() for name in sorted(question.draws)}
    return {name: _at(draw.texts[system], places[draw.follows or name]) for name, draw in question.draws.items()}


def _at(texts: tuple[str, ...], place: float) -> str:
    return texts[int(place * len(texts))]


def deal_with(question: Question, seed: int, system: str, drawn: Mapping[str, str]) -> Variant:
    """The variant of a question with given texts for its draws, whatever the seed would draw; the seed orders its choices.

    Raises the refusals of solving it, and `DataError` as `deal` does.

    >>> from hpteach.questions.bank import read_bank
    >>> variant = deal(read_bank().question("read-a-gauge"), seed=7)
    >>> deal_with(variant.question, 7, "SI", variant.drawn).prompt == variant.prompt
    True
    """
    situation = situation_of(question, drawn)
    kinds = {name: draw.kind for name, draw in question.draws.items()}
    writer = Writer(drawn, kinds, system, situation.atmosphere, solve(situation))
    printed: dict[str, Printed] = {}
    given = [symbol for part in question.parts if part.table for symbol in part.table.given]
    wanted = [*gaps(question.prompt), *((symbol, None) for symbol in given)]
    asked = [(name, kind) for name, kind in wanted if name not in drawn and name in writer.solved.quantities]
    # State points first, because what is derived from them rests on them as printed.
    for name, kind in sorted(asked, key=lambda gap: gap[0].removeprefix(OTHER) in WORKED_OUT):
        if name in printed:
            continue
        shown = units.read(writer(name, kind), writer.kind(name), atmosphere=situation.atmosphere)
        printed[name] = Printed(writer.solved.quantities[name], shown)
        writer.solved = solve(situation, printed)
    solved = writer.solved
    dealing = Dealing(question.id, f"{question.id}/{question.version}/{seed}", situation, printed, writer)
    parts, tables = [], []
    for stated in question.parts:
        if stated.table:
            table, cells = make_table(stated, dealing)
            tables.append(table)
            parts += cells
        else:
            parts.append(_MAKERS[stated.kind](stated, dealing))
    weather = worked(situation.around) if isinstance(situation.around, Weather) else None
    cycle = solved.cycle or (weather.cycle if weather else None)
    return Variant(
        question=question,
        seed=seed,
        system=system,
        prompt=writer.text(question.prompt),
        parts=tuple(parts),
        cycle=solved.cycle,
        other=solved.other,
        atmosphere=situation.atmosphere,
        air=situation.around if isinstance(situation.around, AirAlone) else None,
        other_air=situation.other_around if isinstance(situation.other_around, AirAlone) else None,
        weather=weather,
        other_weather=worked(situation.other_around) if isinstance(situation.other_around, Weather) else None,
        fault=situation.around.amiss if isinstance(situation.around, FaultWeather) else None,
        flow=solved.flow or (cycle.flow if cycle else None),
        tables=tuple(tables),
        chart=asked_chart(question.parts, cycle),
        drawn=MappingProxyType(dict(drawn)),
    )
