"""What marking finds: of each learner, of each question, of the class; and what could not be marked.

What lives here: the results, as plain data.  What does not: coming to them (marking, class_results), showing them (papers).

Marks are rounded to six decimals, so that shares of a mark add up to what they should.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.roster import Learner
from hpteach.assessment.statistics import Estimate, FiveNumbers, Reliability

RIGHT, PARTLY, WRONG, BLANK, UNREADABLE = "right", "partly right", "wrong", "blank", "unreadable"
"""What may come of a part.  "Partly right" is a drawing with some of its points."""

ASKED, DRAWING = "asked", "drawing"
"""The tasks that a question may set: to answer it, or to draw its cycle."""

_SHORT = ("cop", "gwp", "odp")
"""Words of ids that are written in capitals."""


class PartMark(NamedTuple):
    """What came of one part of one form.

    `number` is the question's on the paper, `letter` the part's ("" where it is the only one); `said` is what the learner should know: the correction
    of the mistake, why nobody could read the answer, or a remark on a right one.
    """

    number: int
    question: str
    part: str
    letter: str
    section: str
    outcome: str
    answer: str
    marks: float
    possible: float
    mistake: str = ""
    said: str = ""
    task: str = ASKED


class Tally(NamedTuple):
    """Marks got of marks possible, under a title."""

    title: str
    marks: float
    possible: float

    @property
    def share(self) -> float:
        """Marks over possible marks.

        >>> Tally("Circuit", 3.0, 4.0).share
        0.75
        """
        return self.marks / self.possible


class MistakeMade(NamedTuple):
    """A foreseen mistake of one learner: its id, the numbers of the questions, what corrects it, the lesson to repeat ("" for none)."""

    id: str
    numbers: tuple[int, ...]
    correction: str
    lesson: str

    @property
    def words(self) -> str:
        """The mistake in words.

        >>> MistakeMade("gauge_read_as_absolute", (3,), "", "").words
        'gauge read as absolute'
        """
        return in_words(self.id)


@dataclass(frozen=True)
class LearnerMarks:
    """What came of one learner's form.

    Who is `absent` gave no answer at all and has no marks.  `share` and `passed` are None then, and where nothing on the form could be judged.

    >>> from hpteach.assessment.roster import Learner
    >>> LearnerMarks(Learner("7"), "K7QM-2XAD", False, 6.0, 8.0, True).share
    0.75
    """

    learner: Learner
    form: str
    absent: bool
    marks: float
    possible: float
    passed: bool | None
    sections: tuple[Tally, ...] = ()
    topics: tuple[Tally, ...] = ()
    mistakes: tuple[MistakeMade, ...] = ()
    parts: tuple[PartMark, ...] = ()

    @property
    def share(self) -> float | None:
        """Marks over possible marks."""
        return None if self.absent or not self.possible else self.marks / self.possible


@dataclass(frozen=True)
class QuestionMarks:
    """What the class made of one question.

    `given` is how many marked learners had it on their forms, `right` how many of them got all its marks, `blank` how many left all of it empty,
    `unreadable` in how many something could not be read yet; `mistakes` are the foreseen ones with their times, the most frequent first.
    `task` is "asked" or "drawing".
    """

    id: str
    version: int
    task: str
    title: str
    topic: str
    lesson: str
    level: int
    given: int
    right: int
    blank: int
    unreadable: int
    difficulty: Estimate
    discrimination: Estimate
    upper_lower: Estimate
    mistakes: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class ClassMistake:
    """A foreseen mistake in the class: how many learners made it, how often, in which questions, what corrects it, the lesson to repeat ("" for none).

    >>> ClassMistake("cop_upside_down", 3, 4, ("cooling-cop",), "COP is what is wanted over what is paid for.", "05").words
    'COP upside down'
    """

    id: str
    learners: int
    times: int
    questions: tuple[str, ...]
    correction: str
    lesson: str

    @property
    def words(self) -> str:
        """The mistake in words."""
        return in_words(self.id)


class NotMarked(NamedTuple):
    """Something that was handed in and not marked: where it stands, why, and what to do.

    `line` is that of a sheet, or the place of an answer in a hand-in; 0 where a whole file is meant.  Whatever is not known is "".
    """

    file: str
    line: int
    learner: str
    form: str
    number: str
    part: str
    answer: str
    reason: str
    sentence: str


class Rows(NamedTuple):
    """How many rows of the sheet, and answers handed in by file, were judged, were blank, and are listed as not marked."""

    judged: int
    blank: int
    listed: int


@dataclass(frozen=True)
class MarkedClass:
    """A marked class: learners in the order of the papers, questions by id, mistakes by how many learners made them.

    `scores` sums up the shares of all marked learners, None where there are none; `topics` are the class's marks by topic, the weakest first.
    `remarks` are sentences on what the instructor should know.
    """

    blueprint: Blueprint
    learners: tuple[LearnerMarks, ...]
    questions: tuple[QuestionMarks, ...]
    mistakes: tuple[ClassMistake, ...]
    topics: tuple[Tally, ...]
    scores: FiveNumbers | None
    mean: float | None
    reliability: Reliability
    not_marked: tuple[NotMarked, ...]
    rows: Rows
    remarks: tuple[str, ...]

    @property
    def marked(self) -> tuple[LearnerMarks, ...]:
        """The learners who have a score."""
        return tuple(one for one in self.learners if one.share is not None)

    @property
    def absent(self) -> tuple[LearnerMarks, ...]:
        """The learners who gave no answer."""
        return tuple(one for one in self.learners if one.absent)


def in_words(id: str) -> str:
    """The id of a mistake in words.

    >>> in_words("cop_upside_down")
    'COP upside down'
    """
    return " ".join(word.upper() if word in _SHORT else word for word in id.split("_"))
