"""Dealing a question: from a seed to numbers, a printed prompt, and the answers to them.

What lives here: `deal` and what it deals.  What does not: question files (bank), solving
and going wrong (scenarios, mistakes), judging (checking).

The numbers are drawn as they will be printed and read back from the print, so that
whoever works with the printed numbers comes to the same answer.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, replace

from hpteach import units
from hpteach.cycle import Cycle
from hpteach.errors import CircuitError, DataError, HpteachError, InputError, LimitError, PropertyError, UnknownNameError
from hpteach.machine import Operation
from hpteach.machine.faults import Fault
from hpteach.questions.air import AirAlone
from hpteach.questions.answers import folded
from hpteach.questions.bank import Question
from hpteach.questions.expressions import fill, gaps
from hpteach.questions.fault_conditions import FaultWeather
from hpteach.questions.mistakes import wrong_answer
from hpteach.questions.orders import CORRECTIONS, right_order, scrambled, wrong_orders
from hpteach.questions.parts import Choice, QuestionPart
from hpteach.questions.paths import flow_of, standing, turned
from hpteach.questions.scenarios import KINDS_OF, OTHER, UNIT_OF_MASS, WORKED_OUT, Printed, Situation, Solved, solve
from hpteach.questions.stating import situation_of
from hpteach.questions.weather import Weather, worked

TRIES = 20
"""How often a draw that cannot be solved is drawn again."""

UNSOLVABLE = (LimitError, PropertyError, CircuitError, UnknownNameError)
"""Refusals that other numbers may avoid (the last where a cycle does not make a named crossing)."""

_POSITIVE = ("temperature", "pressure", "density", "specific volume")


@dataclass(frozen=True)
class Foreseen:
    """A foreseen mistake of a part: its permanent id, the answer it leads to, the correction.

    `accepts` is the (lowest, highest) number that is taken for it, None for a choice.
    """

    id: str
    value: float | str
    correction: str
    accepts: tuple[float, float] | None = None


@dataclass(frozen=True)
class Part:
    """One thing asked, with its answer in SI ("gauge pressure" is Pa gauge) or as a choice's text.

    `accepts` is the (lowest, highest) accepted number, None for a choice or an order, whose
    `choices` are then the scrambled parts and whose answer is their numbers ("3 1 2"); `unit` is the
    label in which the question's system shows the quantity; `only` is "absolute" where a
    gauge pressure would miss the point.
    """

    id: str
    kind: str
    text: str
    quantity: str
    unit: str
    only: str | None
    choices: tuple[str, ...]
    answer: float | str
    accepts: tuple[float, float] | None
    mistakes: tuple[Foreseen, ...]
    hints: tuple[str, ...]
    solution: str


@dataclass(frozen=True, repr=False)
class Variant:
    """A question with its numbers; prints as it is asked, without the answers.

    `cycle` is the solved cycle for a view to draw, `other` the one to compare with; both
    are None where the question states none.  `air` is the air at a coil that it states, `weather` the machine in weather that it states,
    `other_weather` the one to compare with, else None; both without the `fault` that it states.  `atmosphere` (Pa) is what gauges count from.
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
        lines = [self.prompt]
        for part in self.parts:
            unit = f" ({part.unit})" if part.unit else ""
            lines += ["", f"{part.text}{unit}", *(f"  {letter}) {text}" for letter, text in lettered(part.choices, part.kind))]
        return "\n".join(lines)

    __repr__ = __str__


def lettered(choices: tuple[str, ...], kind: str = "choice") -> tuple[tuple[str, str], ...]:
    """Choices with the letters by which they may be answered; parts to be put in order have numbers.

    >>> lettered(("rises", "falls")), lettered(("compressor", "liquid line"), "order")
    ((('A', 'rises'), ('B', 'falls')), (('1', 'compressor'), ('2', 'liquid line')))
    """
    return tuple(zip("12345678" if kind == "order" else "ABCDEFGH", choices))


def deal(question: Question, seed: int, system: str = "SI") -> Variant:
    """The variant of a question that belongs to a seed, printed in "SI" or "IP".

    The same seed gives the same variant everywhere.  A draw that cannot be solved is drawn
    again from the same seed.  Raises `DataError` where none of 20 draws can be solved, or
    where a choice question has not exactly one right choice.

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
            return _dealt(question, seed, system, _drawn(question, seed, attempt, system))
        except UNSOLVABLE as error:
            refusal = error
    raise DataError(f"{question.id}: none of {TRIES} draws of seed {seed} can be solved; the last one: {refusal}")


def _drawn(question: Question, seed: int, attempt: int, system: str) -> dict[str, str]:
    """A printed text for each draw.  Only `random()` is used, whose numbers Python promises to
    keep from version to version, and both systems take theirs from the same place in the list."""
    source = random.Random(f"{question.id}/{question.version}/{seed}/{attempt}")
    places = {name: source.random() for name in sorted(question.draws)}
    return {name: _at(question.draws[name].texts[system], place) for name, place in places.items()}


def _at(texts: tuple[str, ...], place: float) -> str:
    return texts[int(place * len(texts))]


def _dealt(question: Question, seed: int, system: str, drawn: Mapping[str, str]) -> Variant:
    situation = situation_of(question, drawn)
    writer = _Writer(drawn, question, system, situation.atmosphere)
    printed: dict[str, Printed] = {}
    writer.solved = solve(situation)
    asked = [(name, kind) for name, kind in gaps(question.prompt) if name not in drawn and name in writer.solved.quantities]
    # State points first, because what is derived from them rests on them as printed.
    for name, kind in sorted(asked, key=lambda gap: gap[0].removeprefix(OTHER) in WORKED_OUT):
        if name in printed:
            continue
        shown = units.read(writer(name, kind), writer.kind(name), atmosphere=situation.atmosphere)
        printed[name] = Printed(writer.solved.quantities[name], shown)
        writer.solved = solve(situation, printed)
    solved = writer.solved
    return Variant(
        question=question,
        seed=seed,
        system=system,
        prompt=writer.text(question.prompt),
        parts=tuple(_part(part, question, seed, situation, printed, writer) for part in question.parts),
        cycle=solved.cycle,
        other=solved.other,
        atmosphere=situation.atmosphere,
        air=situation.around if isinstance(situation.around, AirAlone) else None,
        weather=worked(situation.around) if isinstance(situation.around, Weather) else None,
        other_weather=worked(situation.other_around) if isinstance(situation.other_around, Weather) else None,
        fault=situation.around.amiss if isinstance(situation.around, FaultWeather) else None,
    )


class _Writer:
    """Fills the gaps of a text: drawn quantities as printed, solved ones in the system's units."""

    def __init__(self, drawn: Mapping[str, str], question: Question, system: str, atmosphere: float) -> None:
        self.drawn, self.question, self.system, self.atmosphere = drawn, question, system, atmosphere
        self.solved: Solved | None = None

    def text(self, template: str, **extra: str) -> str:
        return fill(template, lambda name, kind: extra[name] if name in extra else self(name, kind))

    def __call__(self, name: str, kind: str | None = None) -> str:
        if name == UNIT_OF_MASS:
            return {"SI": "kilogram", "IP": "pound"}[self.system]
        if name in self.drawn and kind is None:
            return self.drawn[name]
        if name in self.solved.words:
            return self.solved.words[name]
        if name not in self.solved.quantities:
            raise LimitError(f"this cycle does not make the point of {name}: draw other conditions")
        value, own = self.solved.quantities[name], self.kind(name)
        return self.shown(value + self.atmosphere if own == "gauge pressure" else value, kind or own)

    def kind(self, name: str) -> str:
        if name in self.question.draws:
            return self.question.draws[name].kind
        return "pressure" if name == "atmosphere" else KINDS_OF[name.removeprefix(OTHER)]

    def shown(self, value: float, kind: str) -> str:
        return units.show(value, kind, self.system, atmosphere=self.atmosphere)


def _listed(part: QuestionPart, question: Question, seed: int) -> tuple[Choice, ...]:
    """The choices in the order that belongs to a seed, so that no letter is always the right one.
    They have a source of their own, which leaves the drawn numbers as they are."""
    if part.keep_order:
        return part.choices
    source = random.Random(f"{question.id}/{question.version}/{seed}/order of {part.id}")
    return tuple(sorted(part.choices, key=lambda choice: source.random()))


def _part(
    part: QuestionPart, question: Question, seed: int, situation: Situation, printed: Mapping[str, Printed], writer: _Writer
) -> Part:
    listed, follows = _listed(part, question, seed), ""
    choices = tuple(writer.text(choice.text) for choice in listed)
    if part.kind == "number":
        answer: float | str = part.answer.number(writer.solved.quantities)
        around = part.tolerance.around(answer)
        accepts = (answer - around, answer + around)
        mistakes = _offered(part, answer, situation, printed, writer)
        shown = writer.shown(answer + situation.atmosphere if part.quantity == "gauge pressure" else answer, part.quantity)
    elif part.kind == "order":
        choices, answer, mistakes = _ordered(part, question, seed, situation, writer)
        between = "; " if any("," in choice for choice in choices) else ", "
        accepts, shown = None, between.join(choices[int(number) - 1] for number in answer.split())
    else:
        answer = shown = _right_choice(part.id, listed, choices, writer)
        accepts = None
        follows = next(writer.text(choice.solution) for choice, text in zip(listed, choices) if text == answer)
        mistakes = tuple(
            Foreseen(choice.mistake, text, writer.text(choice.correction))
            for choice, text in zip(listed, choices)
            if choice.mistake and text != answer
        )
    return Part(
        id=part.id,
        kind=part.kind,
        text=writer.text(part.text),
        quantity=part.quantity,
        unit=units.unit_shown(part.quantity, writer.system).label if part.quantity else "",
        only=part.only,
        choices=choices,
        answer=answer,
        accepts=accepts,
        mistakes=mistakes,
        hints=tuple(writer.text(hint) for hint in part.hints),
        solution=" ".join(filter(None, (writer.text(part.solution, answer=shown), follows))),
    )


def _ordered(
    part: QuestionPart, question: Question, seed: int, situation: Situation, writer: _Writer
) -> tuple[tuple[str, ...], str, tuple[Foreseen, ...]]:
    """The scrambled parts, the numbers in the right order, and the orders of known thoughts."""
    names = tuple(writer.text(name) for name in part.listed)
    stands = situation.standing or standing({key: getattr(situation.setting, key) for key in ("valve_position", "metering_layout")})
    found, other = writer.solved.flow, flow_of(replace(stands, valve_position=turned(stands.valve_position)))
    right = right_order(found, names)
    mixed = scrambled(names, right, random.Random(f"{question.id}/{question.version}/{seed}/order of {part.id}"))

    def written(order: tuple[int, ...]) -> str:
        return " ".join(str(mixed.index(place) + 1) for place in order)

    wrong = wrong_orders(found, other, names)
    mistakes = tuple(Foreseen(id, written(order), CORRECTIONS[id]) for id, order in wrong.items())
    return tuple(names[place] for place in mixed), written(right), mistakes


def _offered(
    part: QuestionPart, answer: float, situation: Situation, printed: Mapping[str, Printed], writer: _Writer
) -> tuple[Foreseen, ...]:
    """The foreseen mistakes that can be told apart, in this variant, from the answer and from each
    other: their bands of tolerance do not touch."""
    offered: list[Foreseen] = []
    for mistake in part.mistakes:
        try:
            if mistake.way:
                value = wrong_answer(mistake.way, part.answer, situation, printed, writer.system)
            else:
                value = mistake.value.number(writer.solved.quantities)
        except UNSOLVABLE:
            continue
        if part.quantity in _POSITIVE and value <= 0.0:
            continue
        around = part.tolerance.around
        taken = [answer, *(other.value for other in offered)]
        if all(abs(value - other) > 1.000001 * (around(value) + around(other)) for other in taken):
            band = (value - around(value), value + around(value))
            offered.append(Foreseen(mistake.id, value, writer.text(mistake.correction), band))
    return tuple(offered)


def _right_choice(part: str, listed: tuple[Choice, ...], choices: tuple[str, ...], writer: _Writer) -> str:
    if len({folded(choice) for choice in choices}) < len(choices):
        raise DataError(f"{writer.question.id}: two choices of {part} read alike in this variant: {', '.join(choices)}")
    right = [text for choice, text in zip(listed, choices) if _holds(choice, writer.solved.quantities)]
    if len(right) != 1:
        raise DataError(f"{writer.question.id}: {len(right)} choices of {part} hold in this variant ({', '.join(right)}): exactly one must")
    return right[0]


def _holds(choice: Choice, quantities: Mapping[str, float]) -> bool:
    return choice.right if choice.when is None else choice.when.truth(quantities)
