"""The page of a marked class: scores, what to teach again, questions, learners, rows that were not marked.

What lives here: what stands on the page, whose layout is in templates/class.html.  What does not: the figures (assessment), their words
(class_words), a learner's own sheet (feedback_page).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import NamedTuple

from jinja2 import Environment, StrictUndefined, Template

from hpteach.assessment.marked import ClassMistake, MarkedClass, QuestionMarks
from hpteach.papers.class_words import FEW, difficulty_in_words, limits_in_words, question_in_words, reliability_in_words, scores_in_words
from hpteach.papers.score_plot import score_plot

MOST_MISTAKES = 10
"""That are told with their correction; all stand in mistakes.csv."""

_HAIR = 1e-6  # per cent by which a computer's rounding may fall short of a whole one
_MOST_ROWS = 200
_WEAK = 0.6
"""A topic of which a class got less than this share of the marks is to be taught again (chosen)."""


class Lesson(NamedTuple):
    """A lesson: its two digits, its title, and a link to it ("" for none)."""

    number: str
    title: str
    link: str = ""


def class_page(marked: MarkedClass, lessons: Mapping[str, Lesson]) -> str:
    """The page as HTML, which fetches nothing and runs nothing."""
    shares = [one.share for one in marked.marked if one.share is not None]
    judged = [one for one in marked.questions if one.given >= min(FEW, max(1, len(marked.marked) // 2))]
    shown = {number: lessons.get(number, Lesson(number, "")) for number in {one.lesson for one in (*marked.mistakes, *marked.questions)} if number}
    return template("class.html").render(
        marked=marked,
        blueprint=marked.blueprint,
        plot=score_plot(shares, marked.blueprint.pass_mark) if shares else "",
        said=scores_in_words(marked),
        reliability=reliability_in_words(marked),
        limits=limits_in_words(marked),
        mistakes=marked.mistakes[:MOST_MISTAKES],
        more_mistakes=len(marked.mistakes) - MOST_MISTAKES,
        weak=[(one, _lessons_of(marked.questions, one.title, shown)) for one in marked.topics if one.share < _WEAK],
        lessons=shown,
        linked=any(lesson.link for lesson in shown.values()),
        questions=[(one, difficulty_in_words(one), question_in_words(one), _named(one, marked.mistakes)) for one in _hardest_first(judged)],
        more_questions=len(marked.questions) - len(judged),
        not_marked=marked.not_marked[:_MOST_ROWS],
        more_rows=len(marked.not_marked) - _MOST_ROWS,
    )


def per_cent(share: float | None) -> str:
    """A share in per cent; rounded down, so that no score looks like a pass that is none.

    >>> per_cent(0.5999), per_cent(0.57), per_cent(None)
    ('59 %', '57 %', '-')
    """
    return "-" if share is None else f"{math.floor(100.0 * share + _HAIR)} %"


@cache
def template(name: str) -> Template:
    """A page's layout, with whatever is put in escaped."""
    text = resources.files(__package__).joinpath("templates").joinpath(name).read_text(encoding="utf-8")
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True)
    environment.filters |= {"per_cent": per_cent, "marks": lambda marks: f"{marks:.4g}"}
    return environment.from_string(text)


def _hardest_first(questions: Sequence[QuestionMarks]) -> list[QuestionMarks]:
    return sorted(questions, key=lambda one: (one.difficulty.value is None, one.difficulty.value or 0.0, one.task, one.id))


def _lessons_of(questions: Sequence[QuestionMarks], topic: str, lessons: Mapping[str, Lesson]) -> list[Lesson]:
    """The lessons of the questions of a topic."""
    return [lessons[number] for number in sorted({one.lesson for one in questions if one.topic == topic and one.lesson})]


def _named(question: QuestionMarks, mistakes: Sequence[ClassMistake]) -> list[tuple[str, int]]:
    """The mistakes of a question in words, with their times."""
    words = {one.id: one.words for one in mistakes}
    return [(words[id], times) for id, times in question.mistakes]
