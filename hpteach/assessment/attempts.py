"""One judged answer, as the learner's record keeps it.

What lives here: `Attempt`, and how a verdict becomes one.  What does not: where it is kept (record_file, progress), what
follows from many of them (rounds, study, standing).

Kept is what the next question depends on, and nothing that says who answered.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime

from hpteach.errors import InputError
from hpteach.questions import Variant, Verdict

_LONGEST = 200
"""Characters of an answer that are kept."""


def written(moment: datetime) -> str:
    """A moment as the record keeps it: UTC, to the millisecond.

    >>> written(datetime(2026, 5, 4, 12, 0, tzinfo=UTC))
    '2026-05-04T12:00:00.000Z'
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _now() -> str:
    return written(datetime.now(UTC))


@dataclass(frozen=True)
class Attempt:
    """One answer that could be read: which question with which numbers, what was written, whether it was right.

    `mistake` is the id of the foreseen mistake that was recognised, `hints` how many were shown before it, `solution_seen`
    whether the worked solution stood open, `at` the moment (UTC).  Raises `InputError` where `at` is no moment.

    >>> Attempt("read-a-gauge", 1, "start", "00", 7, "SI", "absolute", "8 bar", False, "gauge_read_as_absolute").correct
    False
    """

    question: str
    version: int
    topic: str
    lesson: str
    seed: int
    system: str
    part: str
    text: str
    correct: bool
    mistake: str | None = None
    hints: int = 0
    solution_seen: bool = False
    at: str = field(default_factory=_now)

    def __post_init__(self) -> None:
        try:
            datetime.fromisoformat(self.at).astimezone(UTC)
        except ValueError:
            raise InputError(f"moment {self.at[:40]!r} of an answer is not one: write it as 2026-05-04T12:00:00Z") from None

    @property
    def moment(self) -> datetime:
        """When it was, in UTC."""
        return datetime.fromisoformat(self.at).astimezone(UTC)


def attempt_of(variant: Variant, part: str, text: str, verdict: Verdict, *, hints: int = 0, solution_seen: bool = False) -> Attempt | None:
    """What is kept of an answer to a part; None where it could not be read, which is no try.

    >>> from hpteach.questions import check, deal, read_bank
    >>> variant = deal(read_bank().question("predict-gauge"), seed=1)
    >>> attempt_of(variant, variant.parts[0].id, "no idea", check(variant, "no idea")) is None
    True
    """
    if not verdict.readable:
        return None
    question = variant.question
    return Attempt(
        question=question.id,
        version=question.version,
        topic=question.topic,
        lesson=question.lesson,
        seed=variant.seed,
        system=variant.system,
        part=part,
        text=text[:_LONGEST],
        correct=bool(verdict.correct),
        mistake=verdict.mistake,
        hints=hints,
        solution_seen=solution_seen,
    )
