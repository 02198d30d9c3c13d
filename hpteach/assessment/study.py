"""Which question is the best to ask next.

What lives here: `next_question`, what it may choose from, and why it chose.  What does not: boxes and intervals (rounds), how a
learner stands (standing).

Three things call for a question: what went wrong is to be put right (*repair*: box 0), what was learnt is to be met again
when it is due (*review*), and something new is to be tried (*new*).  They take turns, so that none of them starves:

    turn 3n        repair, else new, else review
    turn 3n + 1    new, else review, else repair
    turn 3n + 2    review, else repair, else new

and where none has anything, what is due soonest is asked *ahead* of its time.  Within each:

    repair    the oldest first, once three other questions were asked since.  A mistake goes before the question in which it was
              made, and is asked in another question that foresees it, if there is one that the learner has reached
    review    what is overdue the longest, measured in its own interval
    new       topics with the fewest rounds first, then easy before hard, in the lessons up to the furthest that was reached; the
              lesson after it opens when three of its questions were tried, or all that it has
    all       none of the last three questions again, always other numbers

The same record and moment give the same question.  The rule is our own and plain (common practice, no source).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from hpteach.assessment.attempts import Attempt, written
from hpteach.assessment.rounds import PREDICTION, Boxed, Boxes, boxes_of, foreseen, interval, practised
from hpteach.errors import InputError, UnknownNameError
from hpteach.questions import Bank, Question

REPAIR, REVIEW, NEW, AHEAD = "repair", "review", "new", "ahead"
TURNS = ((REPAIR, NEW, REVIEW), (NEW, REVIEW, REPAIR), (REVIEW, REPAIR, NEW))
APART = 3
"""How many other questions lie between two rounds of the same one, where there are as many to choose from."""

ENOUGH = 3
"""How many questions of the furthest lesson are tried before the next one opens."""

_SEEDS = 10_000
_BEYOND = 99


@dataclass(frozen=True)
class Restriction:
    """What the next question is chosen from: topics, lessons, levels, and how a code of the law that it covers begins; all where nothing is said.

    >>> from hpteach.questions import read_bank
    >>> {question.level for question in Restriction(topics=("gauges",), levels=(1,)).among(read_bank())}
    {1}
    """

    topics: tuple[str, ...] = ()
    lessons: tuple[str, ...] = ()
    levels: tuple[int, ...] = ()
    law: str = ""

    def among(self, bank: Bank) -> tuple[Question, ...]:
        """The questions of a bank to choose from; raises `InputError` where there is none, `UnknownNameError` for a topic or lesson of no question."""
        found = practised(bank)
        for what, names, known in (("topic", self.topics, {q.topic for q in found}), ("lesson", self.lessons, {q.lesson for q in found})):
            for name in names:
                if name not in known:
                    raise UnknownNameError.among(f"{what} of a question", name, sorted(known))
        found = tuple(question for question in found if self._holds(question))
        if not found:
            raise InputError("no question has all that was chosen: choose fewer of topic, lesson, level and law")
        return found

    def _holds(self, question: Question) -> bool:
        return (
            (not self.topics or question.topic in self.topics)
            and (not self.lessons or question.lesson in self.lessons)
            and (not self.levels or question.level in self.levels)
            and (not self.law or any(code.startswith(self.law) for code in question.covers))
        )


ALL = Restriction()


@dataclass(frozen=True)
class Suggestion:
    """The question to ask next with its numbers, why in a sentence, and which of the four kinds that is."""

    question: str
    seed: int
    why: str
    kind: str


def next_question(
    bank: Bank, attempts: Sequence[Attempt], now: datetime, *, asked: Iterable[Suggestion] = (), only: Restriction = ALL
) -> Suggestion:
    """The question to ask next, by the rule at the top of this module.

    `asked` are the suggestions of this sitting in their order: also one that was passed over is not repeated at once.
    Raises what `Restriction.among` does.

    >>> from hpteach.questions import read_bank
    >>> first = next_question(read_bank(), (), datetime(2026, 5, 4, 12, 0, tzinfo=UTC))
    >>> first.kind, read_bank().question(first.question).lesson
    ('new', '00')
    """
    now = now.astimezone(UTC)
    pool = only.among(bank)
    return _Choosing(bank, pool, attempts, now, tuple(asked)).suggestion()


class _Choosing:
    """One choice: what was shown, what lies in which box, and what may be asked."""

    def __init__(self, bank: Bank, pool: Sequence[Question], attempts: Sequence[Attempt], now: datetime, asked: Sequence[Suggestion]) -> None:
        self.bank, self.now, self.attempts = bank, now, attempts
        self.boxes: Boxes = boxes_of(bank, attempts, now)
        self.pool = {question.id: question for question in pool}
        sitting = {(one.question, one.seed) for one in asked}
        rounds = [(one.question, one.seed) for one in self.boxes.rounds if not one.question.startswith(PREDICTION)]
        self.shown = [*(one for one in rounds if one not in sitting), *((one.question, one.seed) for one in asked)]
        self.times = Counter(question for question, _ in self.shown)
        self.passed = Counter(one.question for one in asked)
        self.open = self._open_lesson()
        apart = min(APART, len(self.pool) - 1)
        self.resting = set(list(dict.fromkeys(question for question, _ in reversed(self.shown) if question in self.pool))[:apart])
        self.apart = apart

    def suggestion(self) -> Suggestion:
        ways = {REPAIR: self._repair, REVIEW: self._review, NEW: self._new}
        for kind in TURNS[len(self.shown) % len(TURNS)]:
            for id, why in ways[kind]():
                return Suggestion(id, self._seed(id), why, kind)
        id, why = self._ahead()
        return Suggestion(id, self._seed(id), why, AHEAD)

    # The four kinds -------------------------------------------------------------------

    def _repair(self) -> Iterator[tuple[str, str]]:
        """What lies in box 0, the oldest first, a mistake before the question in which it was made."""
        waiting = [(one.round, 0, one) for one in self.boxes.mistakes.values()] + [(one.round, 1, one) for one in self.boxes.questions.values()]
        for _, is_question, one in sorted((entry for entry in waiting if entry[2].box == 0), key=lambda entry: (*entry[:2], entry[2].id)):
            if self._shown_since(one) < self.apart:
                continue
            if is_question:
                if self._free(one.id):
                    yield one.id, "Your last round of this question was not right. Here it is again, with other numbers."
            elif id := self._for_mistake(one):
                where = self._title(one.question)
                same = "In this same question" if id == one.question else f"In “{where}”"
                yield id, f"{same} a thought of yours went astray {self._ago(one.last)}. The same thought is needed here."

    def _review(self) -> Iterator[tuple[str, str]]:
        """What is due, by how overdue it is in its own interval."""
        due = [(one, False) for one in self.boxes.questions.values() if one.box] + [(one, True) for one in self.boxes.mistakes.values() if one.box]
        due = [entry for entry in due if entry[0].due <= self.now]
        for one, is_mistake in sorted(due, key=lambda entry: (-(self.now - entry[0].last) / interval(entry[0].box), entry[0].id)):
            if not is_mistake and self._free(one.id):
                yield one.id, f"You had this question right {self._ago(one.last)}: it is time to see whether that stays."
            elif is_mistake and (id := self._for_mistake(one)):
                yield id, f"A thought that had gone astray was put right {self._ago(one.last)}. The same thought is needed here: see whether that stays."

    def _new(self) -> Iterator[tuple[str, str]]:
        rounds = Counter(self.bank.questions[id].topic for id, _ in self.shown if id in self.bank.questions)

        def order(question: Question) -> tuple:
            ahead = max(0, _place(question.lesson) - self.open)
            return self.passed[question.id], ahead, rounds[question.topic], question.level, _place(question.lesson), question.id

        for question in sorted((one for one in self.pool.values() if one.id not in self.boxes.questions and self._free(one.id)), key=order):
            whence = f"lesson {question.lesson}" if question.lesson.isdigit() else "the exam"
            topic = question.topic.replace("-", " ")
            first = f"The topic “{topic}” is new to you" if not rounds[question.topic] else f"New to you, on “{topic}”"
            yield question.id, f"{first}: a question of level {question.level}, for {whence}."

    def _ahead(self) -> tuple[str, str]:
        """What is due soonest; what was passed over often comes last."""

        def order(id: str) -> tuple:
            one = self.boxes.questions.get(id)
            return self.passed[id], one.due if one else self.now, id

        id = min((id for id in self.pool if self._free(id)), key=order)
        one = self.boxes.questions.get(id)
        if one is None or one.due <= self.now:
            return id, "Nothing else is waiting, so this one comes again."
        return id, f"Nothing is due now. This one would be on {one.due.day} {one.due:%B %Y}: you are ahead of time."

    # Inside ---------------------------------------------------------------------------

    def _for_mistake(self, one: Boxed) -> str | None:
        """The question in which a mistake is met again: another one that the learner has reached, the one least often shown first."""

        def order(question: Question) -> tuple:
            return question.id == one.question, not question.lesson.isdigit(), self.times[question.id], question.level, question.id

        fit = [q for q in self.pool.values() if self._free(q.id) and (q.id == one.question or (one.id in foreseen(q) and self._within_reach(q)))]
        return min(fit, key=order).id if fit else None

    def _within_reach(self, question: Question) -> bool:
        return question.id in self.boxes.questions or _place(question.lesson) <= self.open or not question.lesson.isdigit()

    def _open_lesson(self) -> int:
        """The furthest lesson from which new questions come: the one reached, or the next one when enough of it was tried."""
        places = sorted({_place(question.lesson) for question in practised(self.bank) if question.lesson.isdigit()})
        met = [_place(self.bank.questions[one.question].lesson) for one in self.boxes.rounds if one.question in self.bank.questions]
        reached = max((place for place in met if place != _BEYOND), default=-1)
        of_it = [question.id for question in practised(self.bank) if _place(question.lesson) == reached]
        tried = sum(id in self.boxes.questions for id in of_it)
        return reached if tried < min(ENOUGH, len(of_it)) else min((place for place in places if place > reached), default=reached)

    def _free(self, id: str) -> bool:
        return id in self.pool and id not in self.resting

    def _shown_since(self, one: Boxed) -> int:
        """How many other questions were shown since the last round of a box."""
        last = self.boxes.rounds[one.round]
        places = [place for place, shown in enumerate(self.shown) if shown == (last.question, last.seed)]
        return len({question for question, _ in self.shown[places[-1] + 1 :]} - {last.question}) if places else self.apart

    def _seed(self, id: str) -> int:
        """Numbers that the learner has not had, as far as there are any; of another learner they are others."""
        used = {seed for question, seed in self.shown if question == id}
        began = self.attempts[0].at if self.attempts else written(self.now)
        source = random.Random(f"{began} {id} {len(used)}")  # noqa: S311
        return next(seed for seed in (source.randrange(1, _SEEDS + len(used)) for _ in range(10 * _SEEDS)) if seed not in used)

    def _title(self, id: str) -> str:
        return self.bank.questions[id].title if id in self.bank.questions else id

    def _ago(self, moment: datetime) -> str:
        days = (self.now.date() - moment.date()).days
        return "earlier today" if days <= 0 else "yesterday" if days == 1 else f"{days} days ago"


def _place(lesson: str) -> int:
    """Where a lesson stands in the course; what belongs to none stands behind all."""
    return int(lesson) if lesson.isdigit() else _BEYOND
