"""The result of a mock exam: scores and mistakes, the worked solutions one by one, practice of the weak topics.

What lives here: `MockExamResult`.  What does not: marking (assessment.sitting), its texts (mock_exam_words), what to practise next (assessment.study).
"""

from __future__ import annotations

from datetime import UTC, datetime
from html import escape

import ipywidgets

from hpteach.assessment import Progress, Restriction, Suggestion, next_question
from hpteach.assessment.marked import RIGHT, PartMark
from hpteach.assessment.rounds import practised
from hpteach.assessment.sitting import Result, Sitting
from hpteach.assessment.variant_store import VariantStore
from hpteach.errors import InputError
from hpteach.panels import mock_exam_words as words
from hpteach.panels.exercise import Exercise
from hpteach.panels.parts import WRAPPED, closed, dropdown, lines, press
from hpteach.panels.question_picture import solution_widgets
from hpteach.panels.verdict_words import answer_in_words
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.questions import read_bank

_CHOOSE = "choose a question"


class MockExamResult(View):
    """What came of a sitting that is handed in.

    `controls` has solution: the number of the question whose worked solution is shown, 0 for none.  `practice` is the exercise under way, or None.
    """

    def __init__(self, sitting: Sitting, found: Result, store: VariantStore, *, units: Units = None, progress: Progress | None = None) -> None:
        super().__init__("result of a mock exam")
        self._bank = read_bank()
        self.sitting, self.found, self._store = sitting, found, store
        self.take_units(units)
        self._progress = progress
        self.practice: Exercise | None = None
        self._practised: list[Suggestion] = []
        known = {question.topic for question in practised(self._bank)}
        self.topics = tuple(topic for topic in found.weak_topics if topic in known)
        self.reading.value = words.result(sitting, found, self._bank)
        outcomes = {one.number: _outcome([part for part in found.marks.parts if part.number == one.number]) for one in sitting.form.questions}
        self.controls = {"solution": dropdown("worked solution", [(_CHOOSE, 0), *((f"{number}: {said}", number) for number, said in outcomes.items())], 0)}
        self._solved, self._practice = ipywidgets.VBox(), ipywidgets.VBox()
        self._following = press("Practise the weak topics")
        self._following.on_click(lambda _: self.practise())
        self._following.layout.display = "" if self.topics else "none"
        following = press("Next solution")
        following.on_click(lambda _: self.guard(self._next_solution))
        self.watch(("solution",))
        row = ipywidgets.Box([self.controls["solution"], following], layout=WRAPPED)
        self.sheet(self.reading, row, self._solved, self._practice, self._following, self.status)
        self.turns_units()

    @property
    def system(self) -> str:
        """The unit system of the exam."""
        return self.sitting.form.questions[0].system

    def refresh(self) -> None:
        """Show the worked solution that was chosen."""
        number = self.controls["solution"].value
        before, self._solved.children = self._solved.children, self._solution(number) if number else []
        closed(before)

    def practise(self) -> None:
        """Ask the best next question of the weak topics."""
        self.guard(self._practise)

    def _practise(self) -> None:
        if not self.topics:
            raise InputError("there is no weak topic to practise: choose any other exam, or the practice on the page “Where I stand”")
        progress = self._progress = self._progress or Progress.open()
        found = next_question(self._bank, progress.attempts(), datetime.now(UTC), asked=self._practised, only=Restriction(topics=self.topics))
        self.practice = Exercise(found.question, seed=found.seed, units=self.inner_units, progress=progress, takes_focus=True)
        self._practised.append(found)
        why = ipywidgets.HTML(f"<h3>Practice: the weak topics</h3><p><b>Why this one:</b> {escape(found.why)}</p>")
        before, self._practice.children = self._practice.children, [why, self.practice]
        closed(before)
        self._following.description = "Next question of the weak topics"
        self.say(progress.notice)

    def _next_solution(self) -> None:
        self.controls["solution"].value = self.controls["solution"].value % len(self.sitting.form.questions) + 1

    def _solution(self, number: int) -> list[ipywidgets.Widget]:
        asked = self.sitting.form.questions[number - 1]
        variant = self._store.variant(asked.question, asked.seed, asked.system)
        marks = {part.part: part for part in self.found.marks.parts if part.number == number}
        blocks = [f"<h3>Question {number}: {escape(variant.question.title)}</h3><p>{lines(variant.prompt)}</p>"]
        for part in variant.parts:
            given, mark = self.sitting.answer(number, part.id), marks.get(part.id)
            came = f" ({escape(mark.outcome)}{f': {escape(mark.said)}' if mark.said else ''})" if mark else ""
            worked = "\n".join(filter(None, [answer_in_words(part), part.solution.strip()]))
            blocks.append(
                f"<p><b>{lines(part.text)}</b></p><p>Your answer: {escape(given) or 'none'}{came}</p><div class='hpteach-note'>{lines(worked)}</div>"
            )
        return [ipywidgets.HTML("".join(blocks)), *solution_widgets(variant)]


def _outcome(parts: list[PartMark]) -> str:
    """How a question came out, in a word or two."""
    got = sum(part.outcome == RIGHT for part in parts)
    if not parts:
        return "not marked"
    if got == len(parts):
        return "right"
    return parts[0].outcome if len(parts) == 1 else f"{got} of {len(parts)} right"
