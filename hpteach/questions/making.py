"""Making the parts of a dealt question: what all kinds share, and numbers, choices and orders.

What lives here: `Dealing`, a question with its numbers put in, and `make_number`, `make_choice`, `make_order`.
What does not: drawing the numbers (variants), the kinds that have a module of their own.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from hpteach import units
from hpteach.errors import CircuitError, DataError, LimitError, PropertyError, UnknownNameError
from hpteach.questions.answers import folded
from hpteach.questions.dealt_parts import Foreseen, Part
from hpteach.questions.expressions import Expression
from hpteach.questions.mistakes import wrong_answer, wrong_world
from hpteach.questions.orders import CORRECTIONS, right_order, scrambled, wrong_orders
from hpteach.questions.paths import StatedCircuit, flow_of, stated_circuit, turned
from hpteach.questions.scenarios import Printed, Situation, Solved
from hpteach.questions.stated_parts import Choice, Mistake, QuestionPart, Tolerance
from hpteach.questions.writing import Writer

UNSOLVABLE = (LimitError, PropertyError, CircuitError, UnknownNameError)
"""Refusals that other numbers may avoid (the last where a cycle does not make a named crossing)."""

_POSITIVE = ("temperature", "pressure", "density", "specific volume")
_Thing = TypeVar("_Thing")


@dataclass(frozen=True)
class Dealing:
    """A question with its numbers put in: what its parts are made from.

    `id` is the question's, `key` that from which its orders are made ("cooling-cop/1/7": id, version, seed).
    """

    id: str
    key: str
    situation: Situation
    printed: Mapping[str, Printed]
    writer: Writer

    @property
    def solved(self) -> Solved:
        """The question solved, with its printed numbers as printed."""
        return self.writer.solved

    @property
    def stands(self) -> StatedCircuit:
        """The circuit that the question states, with a cycle or without."""
        setting = self.situation.setting
        return self.situation.stated_circuit or stated_circuit({key: getattr(setting, key) for key in ("valve_position", "metering_layout")})

    def order_of(self, part: str) -> random.Random:
        """The source of the order in which a part is listed; it leaves the drawn numbers as they are."""
        return random.Random(f"{self.key}/order of {part}")

    def listed(self, part: QuestionPart, things: Sequence[_Thing]) -> tuple[_Thing, ...]:
        """Choices in the order that belongs to the seed, so that no letter is always the right one."""
        if part.keep_order:
            return tuple(things)
        source = self.order_of(part.id)
        return tuple(sorted(things, key=lambda thing: source.random()))

    def by_ways(self, stated: QuestionPart, answer_in: Callable[[Solved], str | None], taken: Sequence[str]) -> tuple[Foreseen, ...]:
        """What those answer who go the part's named ways: `answer_in` gives the answer in such a one's world, None where it has none.

        An answer that is `taken`, by the right one or by another mistake, is left out.
        """
        found: dict[str, Foreseen] = {}
        for mistake in stated.mistakes:
            try:
                answer = answer_in(wrong_world(mistake.way, self.situation, self.printed, self.writer.system))
            except UNSOLVABLE:
                continue
            if answer is not None and answer not in (*taken, *found):
                found[answer] = Foreseen(mistake.id, answer, self.writer.text(mistake.correction))
        return tuple(found.values())

    def part(
        self, stated: QuestionPart, answer: float | str, *, choices: tuple[str, ...] = (), mistakes: tuple[Foreseen, ...] = (), shown: str = "", follows: str = ""
    ) -> Part:
        """A part that is no number: `shown` is the answer in the solution (by default itself), `follows` what is told behind that."""
        return Part(
            id=stated.id,
            kind=stated.kind,
            text=self.writer.text(stated.text),
            quantity="",
            unit="",
            only=None,
            choices=choices,
            answer=answer,
            accepts=None,
            mistakes=mistakes,
            hints=tuple(self.writer.text(hint) for hint in stated.hints),
            solution=" ".join(filter(None, (self.writer.text(stated.solution, answer=shown or str(answer)), follows))),
            read_from=stated.read_from,
        )

    def number(self, stated: QuestionPart, answer: Expression, tolerance: Tolerance, mistakes: Sequence[Mistake]) -> Part:
        """A number with its accepted band, and the foreseen mistakes that can be told apart from it."""
        value = answer.number(self.solved.quantities)
        around = tolerance.around(value)
        shown = self.writer.shown(value + self.situation.atmosphere if stated.quantity == "gauge pressure" else value, stated.quantity)
        part = self.part(stated, value, shown=shown, mistakes=self._offered(stated.quantity, value, answer, tolerance, mistakes))
        unit = units.unit_shown(stated.quantity, self.writer.system).label
        return replace(part, kind="number", quantity=stated.quantity, unit=unit, only=stated.only, accepts=(value - around, value + around))

    def _offered(
        self, quantity: str, answer: float, right: Expression, tolerance: Tolerance, mistakes: Sequence[Mistake]
    ) -> tuple[Foreseen, ...]:
        """The foreseen mistakes that can be told apart, in this variant, from the answer and from each
        other: their bands of tolerance do not touch."""
        offered: list[Foreseen] = []
        around = tolerance.around
        for mistake in mistakes:
            try:
                if mistake.way:
                    value = wrong_answer(mistake.way, right, self.situation, self.printed, self.writer.system, quantity)
                else:
                    value = mistake.value.number(self.solved.quantities)
            except UNSOLVABLE:
                continue
            if quantity in _POSITIVE and value <= 0.0:
                continue
            taken = [answer, *(other.value for other in offered)]
            if all(abs(value - other) > 1.000001 * (around(value) + around(other)) for other in taken):
                band = (value - around(value), value + around(value))
                offered.append(Foreseen(mistake.id, value, self.writer.text(mistake.correction), band))
        return tuple(offered)


def make_number(stated: QuestionPart, dealing: Dealing) -> Part:
    """A number asked."""
    return dealing.number(stated, stated.answer, stated.tolerance, stated.mistakes)


def holds(choice: Choice, solved: Solved) -> bool:
    """Whether a choice is right in a question as solved, rightly or by a wrong thought."""
    return choice.right if choice.when is None else choice.when.truth(solved.quantities)


def make_choice(stated: QuestionPart, dealing: Dealing) -> Part:
    """Choices of which one is right; one that a named way leads to is a mistake of that way, unless it has one of its own.

    Raises `DataError` where not exactly one choice holds.
    """
    listed = dealing.listed(stated, stated.choices)
    choices = written_choices(stated, listed, dealing)

    def held(solved: Solved) -> list[str]:
        return [text for choice, text in zip(listed, choices) if holds(choice, solved)]

    right = held(dealing.solved)
    if len(right) != 1:
        raise DataError(f"{dealing.id}: {len(right)} choices of {stated.id} hold in this variant ({', '.join(right)}): exactly one must")
    answer = right[0]
    mistakes = tuple(
        Foreseen(choice.mistake, text, dealing.writer.text(choice.correction))
        for choice, text in zip(listed, choices)
        if choice.mistake and text != answer
    )
    mistakes += dealing.by_ways(stated, lambda world: only_one(held(world)), [answer, *(mistake.value for mistake in mistakes)])
    follows = next(dealing.writer.text(choice.solution) for choice, text in zip(listed, choices) if text == answer)
    return dealing.part(stated, answer, choices=choices, mistakes=mistakes, follows=follows)


def only_one(found: Sequence[str]) -> str | None:
    """The only text of a list, or None.

    >>> only_one(["it rises"]), only_one(["it rises", "it falls"])
    ('it rises', None)
    """
    return found[0] if len(found) == 1 else None


def written_choices(stated: QuestionPart, listed: Sequence[Choice], dealing: Dealing) -> tuple[str, ...]:
    """The texts of choices; raises `DataError` where two read alike."""
    choices = tuple(dealing.writer.text(choice.text) for choice in listed)
    if len({folded(choice) for choice in choices}) < len(choices):
        raise DataError(f"{dealing.id}: two choices of {stated.id} read alike in this variant: {', '.join(choices)}")
    return choices


def make_order(stated: QuestionPart, dealing: Dealing) -> Part:
    """Scrambled parts of the circuit, the numbers in the right order, and the orders of known thoughts."""
    names, stands = tuple(dealing.writer.text(name) for name in stated.listed), dealing.stands
    found, other = dealing.solved.flow, flow_of(replace(stands, valve_position=turned(stands.valve_position)))
    right = right_order(found, names)
    mixed = scrambled(names, right, dealing.order_of(stated.id))

    def written(order: tuple[int, ...]) -> str:
        return " ".join(str(mixed.index(place) + 1) for place in order)

    choices, answer = tuple(names[place] for place in mixed), written(right)
    mistakes = tuple(Foreseen(id, written(order), CORRECTIONS[id]) for id, order in wrong_orders(found, other, names).items())
    mistakes += dealing.by_ways(stated, lambda world: written(right_order(world.flow, names)), [answer, *(mistake.value for mistake in mistakes)])
    between = "; " if any("," in choice for choice in choices) else ", "
    return dealing.part(stated, answer, choices=choices, mistakes=mistakes, shown=between.join(choices[int(number) - 1] for number in answer.split()))
