"""Lots for one form: which questions of each stratum, with which of their seeds.

What lives here: `Urn`, which holds what can be drawn, and draws.  What does not: whose form it is and that no two are alike (forms).

All forms take the same number of questions from each stratum.  So that they are also nearly equally hard, and nearly equally long,
questions are exchanged for others of their stratum until the form's difficulty (the mean over its marks) lies within 0.015 of what
a form has on average, and its marks within 5 % of the average or one mark.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.difficulty import Difficulties, difficulty_of_drawing
from hpteach.assessment.drawing_tasks import DRAWING_MARKS
from hpteach.assessment.marks import question_marks
from hpteach.assessment.strata import Stratum, assign, fits
from hpteach.questions import Bank, Question

SEEDS = 16
"""How many variants of a question are dealt to a class."""

SEEDS_IN_WEATHER = 4
"""The same for a question on a machine in weather, whose variants take long, where a paper draws from more than `FEW_QUESTIONS`."""

FEW_QUESTIONS = 40

DIFFICULTY_WITHIN = 0.015
"""How far from the average a form's difficulty may lie: half of the spread that a class may have."""

MARKS_WITHIN = 0.05
"""The share of the average by which a form's marks may differ from it, but one mark at least."""

_MOST_EXCHANGES = 12


@dataclass(frozen=True)
class Drawn:
    """What was drawn for one form, in its order.

    `questions` are places in the urn; of each there are the place of its seed, its section, and whether it is a drawing task.
    `difficulty` and `marks` are those of the form.
    """

    questions: tuple[int, ...]
    seeds: tuple[int, ...]
    sections: tuple[int, ...]
    drawings: tuple[bool, ...]
    difficulty: float
    marks: float


class Urn:
    """What can be drawn for a blueprint from a bank.

    Raises `DataError` where the bank cannot fill the blueprint.
    """

    def __init__(self, blueprint: Blueprint, bank: Bank, difficulties: Difficulties) -> None:
        self.strata: tuple[Stratum, ...] = fits(blueprint, bank)
        self.ids = tuple(dict.fromkeys(id for stratum in self.strata for id in stratum.questions))
        place_of = {id: place for place, id in enumerate(self.ids)}
        questions = [bank.question(id) for id in self.ids]
        self.seeds = tuple(seeds_of(question, len(questions)) for question in questions)
        self._counts = [stratum.count for stratum in self.strata]
        self._candidates = [[place_of[id] for id in stratum.questions] for stratum in self.strata]
        asked = [question_marks(question) for question in questions]
        missed = [marks * difficulties.of(question) for marks, question in zip(asked, questions)]
        drawn = [DRAWING_MARKS] * len(questions), [DRAWING_MARKS * difficulty_of_drawing(question) for question in questions]
        self._marks = [drawn[0] if stratum.drawing else asked for stratum in self.strata]
        self._missed = [drawn[1] if stratum.drawing else missed for stratum in self.strata]
        self._average_marks = self._average(self._marks)
        self._average_difficulty = self._average(self._missed) / self._average_marks
        self._marks_within = max(1.0, MARKS_WITHIN * self._average_marks)

    def _average(self, of: Sequence[Sequence[float]]) -> float:
        """What the forms have of a thing on average, if each question of a stratum is as likely as the others."""
        return sum(count * sum(here[one] for one in candidates) / len(candidates) for count, candidates, here in zip(self._counts, self._candidates, of))

    def draw(self, stream: random.Random, even: bool = True) -> Drawn:
        """The lots that a stream of numbers draws; the same stream draws the same lots.  Nothing is exchanged unless they are to be `even`."""
        number = stream.random
        lots = [number() for _ in self.ids]
        ordered = [sorted(candidates, key=lots.__getitem__) for candidates in self._candidates]
        taken = assign(self._counts, ordered)
        marks, missed = self._exchange(taken, ordered, _MOST_EXCHANGES if even else 0)
        placed = sorted((stratum.section, stratum.drawing, number(), question) for stratum, questions in zip(self.strata, taken) for question in questions)
        return Drawn(
            questions=tuple(question for *_, question in placed),
            seeds=tuple(int(number() * self.seeds[question]) for *_, question in placed),
            sections=tuple(section for section, *_ in placed),
            drawings=tuple(drawing for _, drawing, *_ in placed),
            difficulty=missed / marks,
            marks=marks,
        )

    def _exchange(self, taken: list[list[int]], ordered: list[list[int]], most: int) -> tuple[float, float]:
        """Exchange questions for others of their stratum, in the order of the lots, until the form is near enough to the average.

        Returns the marks of the form, and those that an average class is expected to miss.
        """
        used = {question for questions in taken for question in questions}
        marks, missed = (sum(here[question] for questions, here in zip(taken, of) for question in questions) for of in (self._marks, self._missed))
        off = self._off(marks, missed)
        for _ in range(most):
            best = self._best_exchange(taken, ordered, used, marks, missed, off) if off > 1.0 else None
            if best is None:
                break
            off, stratum, place, other = best
            before = taken[stratum][place]
            taken[stratum][place] = other
            used.remove(before)
            used.add(other)
            marks += self._marks[stratum][other] - self._marks[stratum][before]
            missed += self._missed[stratum][other] - self._missed[stratum][before]
        return marks, missed

    def _best_exchange(
        self, taken: list[list[int]], ordered: list[list[int]], used: set[int], marks: float, missed: float, off: float
    ) -> tuple[float, int, int, int] | None:
        """The first exchange that is near enough, else the one that helps most, if one does: how far off it leads, stratum, place, question."""
        best = None
        for stratum, questions in enumerate(taken):
            here, here_missed = self._marks[stratum], self._missed[stratum]
            for place, before in enumerate(questions):
                marks_but, missed_but = marks - here[before], missed - here_missed[before]
                for other in ordered[stratum]:
                    if other in used:
                        continue
                    now = self._off(marks_but + here[other], missed_but + here_missed[other])
                    if now <= 1.0:
                        return now, stratum, place, other
                    if now < off:
                        off, best = now, (now, stratum, place, other)
        return best

    def _off(self, marks: float, missed: float) -> float:
        """How far a form is from the average, 1 at the limit of what is near enough."""
        return max(abs(missed / marks - self._average_difficulty) / DIFFICULTY_WITHIN, abs(marks - self._average_marks) / self._marks_within)


def seeds_of(question: Question, of: int) -> int:
    """How many variants of a question are dealt to a class, where a paper draws from so many questions.

    >>> from hpteach.questions import read_bank
    >>> seeds_of(read_bank().question("read-a-gauge"), 150), seeds_of(read_bank().question("cop-on-a-cold-day"), 150)
    (16, 4)
    """
    return SEEDS_IN_WEATHER if question.weather and of > FEW_QUESTIONS else SEEDS
