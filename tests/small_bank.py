"""A bank of questions that are nothing but their id, topic, lesson, level and mistakes, and a learner who answers them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from datetime import UTC, datetime, timedelta
from types import MappingProxyType

from hpteach.assessment import Attempt, Suggestion
from hpteach.assessment.attempts import written
from hpteach.questions import Bank, Question, read_bank
from hpteach.questions.expressions import expression
from hpteach.questions.stated_parts import Mistake

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


@cache
def model() -> Question:
    """The question of which all others are made."""
    return read_bank().question("read-a-gauge")


def question(id: str, topic: str = "gauges", lesson: str = "01", level: int = 1, mistakes: tuple[str, ...] = (), **other: object) -> Question:
    """A question that foresees these mistakes and no other."""
    part = replace(model().parts[0], mistakes=tuple(Mistake(one, expression("reading"), None, f"Correction of {one}.") for one in mistakes))
    return replace(model(), id=id, title=f"Title of {id}", topic=topic, lesson=lesson, level=level, parts=(part,), **other)


def bank(*questions: Question) -> Bank:
    """A bank of questions."""
    return Bank(MappingProxyType({one.id: one for one in questions}))


def answer(asked: Question, correct: bool = True, mistake: str | None = None, *, seed: int = 1, at: datetime = NOON, part: str = "absolute", **other: object) -> Attempt:
    """An answer to a question."""
    return Attempt(asked.id, asked.version, asked.topic, asked.lesson, seed, "SI", part, "x", correct, mistake, at=written(at), **other)


def answered(of: Bank, suggestion: Suggestion, correct: bool = True, mistake: str | None = None, *, at: datetime = NOON) -> Attempt:
    """An answer to what was suggested."""
    return answer(of.question(suggestion.question), correct, mistake, seed=suggestion.seed, at=at)
