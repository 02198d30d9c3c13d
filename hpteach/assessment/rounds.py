"""What the record says of each question and each mistake: rounds, boxes, and when each is due.

What lives here: how answers become rounds, and rounds move boxes.  What does not: which question comes next (study), how a
learner stands (standing).

A *round* is one question with one set of numbers, answered in one go.  It is

    right     if each part that was answered was right at the first try, without a hint
    helped    if each was right at the first try, with a hint
    wrong     otherwise, or where the worked solution stood open

Each question that was tried lies in a *box*, and so does each mistake that was made.  A right round moves the question up by one
box, and with it every mistake that the question foresees, or that was made in it before, and that was not made now; a helped round
leaves them where they are, but in box 1 at least; a wrong round puts the question into box 0 and leaves those mistakes where they
are.  A mistake that was made, in whatever try, goes into box 0.  What lies in box k is due again

    interval(0) = 0,    interval(k) = 1 day x 3^(k - 1)        1, 3, 9, 27, 81 days

after the last round that concerned it.  That growing intervals keep what was learnt is common practice, no source; so are these figures.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from hpteach.assessment.attempts import Attempt
from hpteach.questions import Bank, Question, orders, states

RIGHT, HELPED, WRONG = "right", "helped", "wrong"
LAST_BOX = 5
DAY = timedelta(days=1)
_BREAK = timedelta(hours=1)
"""An answer to the same numbers after a longer break begins a round of its own."""

_OF_KIND = {
    "order": {orders.OTHER_POSITION, orders.BACKWARDS},
    "state": {states.OTHER_POSITION, states.PRESSURE, states.PHASE, states.FLASH},
}
"""The thoughts that every part of such a kind foresees, without its file naming them."""

PREDICTION = "predict-"
"""How the ids of predictions begin: a lesson asks them before it shows anything, so that they count for no box."""


def interval(box: int) -> timedelta:
    """How long what lies in a box may rest.

    >>> [interval(box).days for box in range(6)]
    [0, 1, 3, 9, 27, 81]
    """
    return timedelta() if box == 0 else DAY * 3 ** (box - 1)


@dataclass(frozen=True)
class Round:
    """One question with one set of numbers, answered in one go; `mistakes` are those made in any try of it."""

    question: str
    version: int
    seed: int
    outcome: str
    mistakes: tuple[str, ...]
    ended: datetime


@dataclass(frozen=True)
class Boxed:
    """A question or a mistake in its box; `round` is the number of its last round, `question` that of this round."""

    id: str
    box: int
    last: datetime
    round: int
    question: str

    @property
    def due(self) -> datetime:
        """When it is to be asked again."""
        return self.last + interval(self.box)


@dataclass(frozen=True)
class Boxes:
    """The boxes of a learner: the rounds in their order, and questions and mistakes by id."""

    rounds: tuple[Round, ...]
    questions: Mapping[str, Boxed]
    mistakes: Mapping[str, Boxed]


def practised(bank: Bank) -> tuple[Question, ...]:
    """The questions that are dealt for practice, in the order of the bank: all but the predictions of the lessons.

    >>> from hpteach.questions import read_bank
    >>> ids = [question.id for question in practised(read_bank())]
    >>> "read-a-gauge" in ids, "predict-which-coil" in ids
    (True, False)
    """
    return tuple(question for question in bank.questions.values() if not question.id.startswith(PREDICTION))


def foreseen(question: Question) -> frozenset[str]:
    """The ids of the mistakes that a question foresees.

    >>> from hpteach.questions import read_bank
    >>> "gauge_read_as_absolute" in foreseen(read_bank().question("read-a-gauge"))
    True
    """
    ids = {mistake.id for part in question.parts for mistake in part.mistakes}
    ids |= {choice.mistake for part in question.parts for choice in part.choices if choice.mistake}
    return frozenset(ids.union(*(_OF_KIND.get(part.kind, ()) for part in question.parts)))


def rounds_of(attempts: Iterable[Attempt]) -> tuple[Round, ...]:
    """The answers put together to rounds, in the order in which these began."""
    groups: list[list[Attempt]] = []
    open_now: dict[tuple[str, int, int], list[Attempt]] = {}
    for attempt in attempts:
        key = (attempt.question, attempt.version, attempt.seed)
        group = open_now.get(key)
        if group is None or attempt.moment - group[-1].moment > _BREAK:
            group = open_now[key] = []
            groups.append(group)
        group.append(attempt)
    return tuple(_round(group) for group in groups)


def _round(group: list[Attempt]) -> Round:
    first: dict[str, Attempt] = {}
    for attempt in group:
        first.setdefault(attempt.part, attempt)
    if not all(attempt.correct and not attempt.solution_seen for attempt in first.values()):
        outcome = WRONG
    else:
        outcome = HELPED if any(attempt.hints for attempt in first.values()) else RIGHT
    last = group[-1]
    mistakes = tuple(dict.fromkeys(attempt.mistake for attempt in group if attempt.mistake))
    return Round(last.question, last.version, last.seed, outcome, mistakes, last.moment)


def boxes_of(bank: Bank, attempts: Iterable[Attempt], now: datetime) -> Boxes:
    """In which box each tried question of the bank and each mistake lies, after all rounds.

    Rounds of an earlier version of a question move no box of it, as its numbers or its meaning were others.  A round that
    claims to have been after `now` (the clock was set back) counts as of now.
    """
    rounds = rounds_of(attempts)
    questions: dict[str, Boxed] = {}
    mistakes: dict[str, Boxed] = {}
    for number, one in enumerate(rounds):
        known, ended = bank.questions.get(one.question), min(one.ended, now)
        for id in one.mistakes:
            mistakes[id] = Boxed(id, 0, ended, number, one.question)
        if known is None or known.version != one.version or one.question.startswith(PREDICTION):
            continue
        before = questions.get(one.question)
        questions[one.question] = Boxed(one.question, _moved(before.box if before else 0, one.outcome), ended, number, one.question)
        here = foreseen(known) | {id for id, boxed in mistakes.items() if boxed.question == one.question}
        for id in here & mistakes.keys() - set(one.mistakes):
            box = mistakes[id].box if one.outcome == WRONG else _moved(mistakes[id].box, one.outcome)
            mistakes[id] = Boxed(id, box, ended, number, mistakes[id].question)
    return Boxes(rounds, questions, mistakes)


def _moved(box: int, outcome: str) -> int:
    """The box after a round.

    >>> [_moved(2, outcome) for outcome in (RIGHT, HELPED, WRONG)], _moved(0, HELPED), _moved(LAST_BOX, RIGHT)
    ([3, 2, 0], 1, 5)
    """
    if outcome == WRONG:
        return 0
    return min(box + 1, LAST_BOX) if outcome == RIGHT else max(box, 1)
