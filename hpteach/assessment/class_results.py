"""What a class's marks tell of its questions, its mistakes and its topics.

What lives here: putting the marks of all learners together.  What does not: giving them (marking), the formulas (statistics).

Only learners who gave an answer count.  A question that was asked and the same one set as a drawing are two.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np

from hpteach.assessment.repeating import lesson_to_repeat
from hpteach.assessment.marked import BLANK, UNREADABLE, ClassMistake, LearnerMarks, PartMark, QuestionMarks, Tally
from hpteach.assessment.statistics import FiveNumbers, QuestionStatistics, Reliability, five_number_summary, question_statistics, reliability
from hpteach.questions import Bank
from hpteach.questions.mistakes import WAYS

Key = tuple[str, str]
"""A task and the id of a question."""


def question_results(learners: Sequence[LearnerMarks], bank: Bank) -> tuple[tuple[QuestionMarks, ...], Reliability]:
    """What the class made of each question, by task and id, and the reliability of the scores.

    >>> question_results((), None)[1].reason
    'nobody was marked'
    """
    of_learners = [_by_question(one.parts) for one in learners]
    keys = sorted({key for one in of_learners for key in one})
    if not keys:
        return (), Reliability("none", None, "nobody was marked")
    marks = np.full((len(learners), len(keys)), math.nan)
    possible = np.zeros(len(keys))
    places = {key: place for place, key in enumerate(keys)}
    for row, one in enumerate(of_learners):
        for key, parts in one.items():
            possible[places[key]] = worth = _sum(part.possible for part in parts)
            marks[row, places[key]] = min(worth, _sum(part.marks for part in parts))
    told = question_statistics(marks, possible)
    found = tuple(_question(key, [one[key] for one in of_learners if key in one], bank, told[places[key]]) for key in keys)
    return found, reliability(marks, possible)


def _by_question(parts: Sequence[PartMark]) -> dict[Key, list[PartMark]]:
    found: dict[Key, list[PartMark]] = {}
    for part in parts:
        found.setdefault((part.task, part.question), []).append(part)
    return found


def _question(key: Key, of: Sequence[Sequence[PartMark]], bank: Bank, told: QuestionStatistics) -> QuestionMarks:
    """One question; `of` are its parts on the forms that held it."""
    task, id = key
    question = bank.question(id)
    mistakes = Counter(part.mistake for parts in of for part in parts if part.mistake)
    return QuestionMarks(
        id=id,
        version=question.version,
        task=task,
        title=question.title,
        topic=question.topic,
        lesson=question.lesson if question.lesson.isdigit() else "",
        level=question.level,
        given=len(of),
        right=sum(all(part.marks == part.possible for part in parts) for parts in of),
        blank=sum(all(part.outcome == BLANK for part in parts) for parts in of),
        unreadable=sum(any(part.outcome == UNREADABLE for part in parts) for parts in of),
        difficulty=told.difficulty,
        discrimination=told.discrimination,
        upper_lower=told.upper_lower,
        mistakes=tuple(sorted(mistakes.items(), key=lambda one: (-one[1], one[0]))),
    )


def class_mistakes(learners: Sequence[LearnerMarks], bank: Bank) -> tuple[ClassMistake, ...]:
    """The foreseen mistakes of a class, first those that most learners made.

    A mistake that is a named way of going wrong has one correction for all questions; of any other the one that was told most often stands for all, as
    an example.
    """
    parts: dict[str, list[PartMark]] = {}
    learners_of: Counter[str] = Counter()
    for one in learners:
        learners_of.update(mistake.id for mistake in one.mistakes)
        for part in one.parts:
            if part.mistake:
                parts.setdefault(part.mistake, []).append(part)
    found = []
    for id, made in parts.items():
        said = Counter(part.said for part in made)
        often = min(said, key=lambda text: (-said[text], text))
        correction = WAYS[id].correction if id in WAYS else often if len(said) == 1 else f"For example: {often}"
        questions = tuple(sorted({part.question for part in made}))
        found.append(ClassMistake(id, learners_of[id], len(made), questions, correction, lesson_to_repeat(bank, [part.question for part in made], id)))
    return tuple(sorted(found, key=lambda one: (-one.learners, -one.times, one.id)))


def topics_of(learners: Sequence[LearnerMarks]) -> tuple[Tally, ...]:
    """The marks of a class by topic, the weakest first."""
    of: dict[str, list[Tally]] = {}
    for one in learners:
        for tally in one.topics:
            of.setdefault(tally.title, []).append(tally)
    found = [Tally(title, _sum(one.marks for one in tallies), _sum(one.possible for one in tallies)) for title, tallies in of.items()]
    return tuple(sorted(found, key=lambda one: (one.share, one.title)))


def scores_of(learners: Sequence[LearnerMarks]) -> tuple[FiveNumbers | None, float | None]:
    """The five-number summary and the mean of the shares of a class; None where nobody was marked.

    >>> scores_of(())
    (None, None)
    """
    shares = [one.share for one in learners if one.share is not None]
    return five_number_summary(shares), math.fsum(shares) / len(shares) if shares else None


def _sum(marks: object) -> float:
    return round(math.fsum(marks), 6)
