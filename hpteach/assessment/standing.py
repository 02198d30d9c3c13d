"""How a learner stands: by topic, and which misunderstandings stand behind the wrong answers.

What lives here: `standing` and what it finds.  What does not: boxes (rounds), the next question (study), the picture of it (diagrams).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from hpteach.assessment.attempts import Attempt
from hpteach.assessment.rounds import PREDICTION, boxes_of, foreseen, practised
from hpteach.errors import HpteachError
from hpteach.questions import Bank, Question, check, deal
from hpteach.questions.mistakes import WAYS
from hpteach.tables import Table

MOST_SHOWN = 6
"""Misunderstandings that are told with their correction."""


@dataclass(frozen=True)
class TopicStanding:
    """A topic: its questions, how many of them were tried, the answers that were right and wrong, and the questions that are due again.

    >>> TopicStanding("units", questions=7, tried=4, right=6, wrong=2, due=1).share_right
    0.75
    """

    topic: str
    questions: int
    tried: int
    right: int
    wrong: int
    due: int

    @property
    def answers(self) -> int:
        """The answers in this topic."""
        return self.right + self.wrong

    @property
    def share_right(self) -> float | None:
        """The right answers as a share of all; None before any."""
        return self.right / self.answers if self.answers else None


@dataclass(frozen=True)
class Misunderstanding:
    """A mistake that was made: its id, how often, when last and in which question, what corrects the thought, the lesson to repeat ("" for none).

    `put_right` says whether a question that needs the same thought was answered rightly since.

    >>> Misunderstanding("cop_upside_down", 2, datetime(2026, 5, 4, tzinfo=UTC), "cooling-cop", "", "05", put_right=True).now
    'put right since'
    """

    id: str
    times: int
    last: datetime
    question: str
    correction: str
    lesson: str
    put_right: bool

    @property
    def words(self) -> str:
        """The mistake in words."""
        return self.id.replace("_", " ")

    @property
    def now(self) -> str:
        """Whether it is still open, in words."""
        return "put right since" if self.put_right else "still open"


@dataclass(frozen=True, repr=False)
class Standing:
    """How a learner stands; prints as a table with the misunderstandings below it.

    `topics` are all of the bank in the order of the course; `misunderstandings` the most frequent ones, those that are still open first;
    `predictions` counts the predictions of the lessons, which are no tries.
    """

    topics: tuple[TopicStanding, ...]
    misunderstandings: tuple[Misunderstanding, ...]
    predictions: int

    @property
    def answers(self) -> int:
        """All answers, without predictions."""
        return sum(topic.answers for topic in self.topics)

    @property
    def right(self) -> int:
        """The right ones of them."""
        return sum(topic.right for topic in self.topics)

    @property
    def due(self) -> int:
        """The questions that are due again."""
        return sum(topic.due for topic in self.topics)

    def topic_table(self) -> Table:
        """The topics as a table, those not tried too."""
        rows = [
            (one.topic.replace("-", " "), f"{one.tried} of {one.questions}", str(one.answers), str(one.right), str(one.wrong), _per_cent(one.share_right), str(one.due))
            for one in self.topics
        ]
        return Table("Where you stand", ("topic", "questions tried", "answers", "right", "wrong", "share right", "due again"), rows, right=(1, 2, 3, 4, 5, 6))

    def mistakes_in_words(self) -> tuple[str, ...]:
        """A sentence or two for each misunderstanding: how often, whether it is still open, what corrects it, which lesson to repeat."""
        return tuple(
            " ".join(filter(None, (f"{one.words.capitalize()} ({_times(one.times)}, {one.now}):", one.correction, f"See lesson {one.lesson}." if one.lesson else "")))
            for one in self.misunderstandings
        )

    def __str__(self) -> str:
        mistakes = ["Thoughts that went astray", *self.mistakes_in_words()] if self.misunderstandings else []
        return "\n\n".join([str(self.topic_table()), *(["\n".join(mistakes)] if mistakes else [])])

    __repr__ = __str__


def standing(bank: Bank, attempts: Sequence[Attempt], now: datetime) -> Standing:
    """How a learner stands at a moment.  Answers to questions that the bank no longer has count for nothing.

    >>> from hpteach.questions import read_bank
    >>> attempts = [Attempt("read-a-gauge", 1, "start", "00", 7, "SI", "absolute", "8 bar", False, "gauge_read_as_absolute")]
    >>> found = standing(read_bank(), attempts, datetime(2026, 5, 4, tzinfo=UTC))
    >>> [(one.topic, one.wrong) for one in found.topics if one.answers], found.misunderstandings[0].words
    ([('start', 1)], 'gauge read as absolute')
    """
    now = now.astimezone(UTC)
    known = [attempt for attempt in attempts if attempt.question in bank.questions]
    tries = [attempt for attempt in known if not attempt.question.startswith(PREDICTION)]
    boxes = boxes_of(bank, attempts, now)
    right, wrong = (Counter(bank.questions[one.question].topic for one in tries if one.correct is whether) for whether in (True, False))
    of_topic: dict[str, list[Question]] = {}
    for question in practised(bank):
        of_topic.setdefault(question.topic, []).append(question)
    topics = [
        TopicStanding(
            topic=topic,
            questions=len(questions),
            tried=sum(question.id in boxes.questions for question in questions),
            right=right[topic],
            wrong=wrong[topic],
            due=sum(question.id in boxes.questions and boxes.questions[question.id].due <= now for question in questions),
        )
        for topic, questions in sorted(of_topic.items(), key=_in_the_course)
    ]
    return Standing(tuple(topics), _misunderstandings(bank, known, {id: one.box > 0 for id, one in boxes.mistakes.items()}), len(known) - len(tries))


def _in_the_course(topic: tuple[str, list[Question]]) -> tuple:
    """Where a topic stands: at the lesson in the middle of its questions; those of the exam stand behind all."""
    name, questions = topic
    lessons = sorted((not question.lesson.isdigit(), question.lesson) for question in questions)
    return *lessons[(len(lessons) - 1) // 2], name


def _misunderstandings(bank: Bank, attempts: Sequence[Attempt], put_right: dict[str, bool]) -> tuple[Misunderstanding, ...]:
    """The mistakes, those that are open and frequent first."""
    times = Counter(attempt.mistake for attempt in attempts if attempt.mistake)
    last = {attempt.mistake: attempt for attempt in attempts if attempt.mistake}
    order = sorted(times, key=lambda id: (put_right[id], -times[id], -last[id].moment.timestamp(), id))
    return tuple(
        Misunderstanding(id, times[id], last[id].moment, last[id].question, _correction(bank, last[id]), _lesson(bank, last[id]), put_right[id]) for id in order[:MOST_SHOWN]
    )


def _correction(bank: Bank, attempt: Attempt) -> str:
    """What corrects the thought behind a wrong answer: the sentence for all questions, else the one that the learner was told."""
    if attempt.mistake in WAYS:
        return WAYS[attempt.mistake].correction
    try:
        variant = deal(bank.question(attempt.question), attempt.seed, attempt.system)
        verdict = check(variant, attempt.text, attempt.part)
    except HpteachError:  # a part that the question no longer has
        return ""
    told = [note.sentence for note in verdict.notes if note.id == attempt.mistake]
    return next(iter([*told, *(wrong.correction for part in variant.parts for wrong in part.mistakes if wrong.id == attempt.mistake)]), "")


def _lesson(bank: Bank, attempt: Attempt) -> str:
    """The lesson to repeat: that of the question, else the first whose questions foresee the mistake."""
    lesson = bank.question(attempt.question).lesson
    if lesson.isdigit():
        return lesson
    return min((question.lesson for question in practised(bank) if question.lesson.isdigit() and attempt.mistake in foreseen(question)), default="")


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _per_cent(share: float | None) -> str:
    return "-" if share is None else f"{100.0 * share:.0f} %"
