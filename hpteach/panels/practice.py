"""Practice: the best question to ask next, with the sentence why, and the next one after it.

What lives here: `Practice`.  What does not: choosing (assessment.study), the question itself (exercise).
"""

from __future__ import annotations

from datetime import UTC, datetime
from html import escape

import ipywidgets

from hpteach.assessment import Attempt, Progress, Restriction, Suggestion, next_question
from hpteach.assessment.rounds import practised
from hpteach.errors import ProgressError, UnknownNameError
from hpteach.panels.exercise import Exercise
from hpteach.panels.parts import WRAPPED, buttons, closed, dropdown, labelled, press
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View
from hpteach.panels.where_i_stand import OFF
from hpteach.questions import Bank, read_bank

ANY = "any"
LAWS = {"EU 2024/2215, Annex I": "EU 2024/2215", "EU 2015/2067, Annex I": "EU 2015/2067", "US 40 CFR 82": "US 40 CFR 82"}
"""Exam lists by the name in the list, and how the codes of their topics begin."""


class Practice(View):
    """One question after the other, each the best one to ask next; what is answered goes into `progress`, the record of this user unless another is given.

    `controls` has topic, lesson, level and exam ("any" for all), from which the questions are chosen.  `suggestion` is the present one, `exercise` its panel.

    >>> view = Practice(progress=Progress.off(), topic="gauges")
    >>> view.exercise.question.topic
    'gauges'
    """

    def __init__(self, *, topic: str = ANY, lesson: str = ANY, level: int | str = ANY, exam: str = ANY, units: Units = None, progress: Progress | None = None) -> None:
        super().__init__("practice")
        self._bank = read_bank()
        self.progress = progress or Progress.open()
        self.suggestion: Suggestion | None = None
        self.exercise: Exercise | None = None
        self._sitting: list[Suggestion] = []
        self._units, self._said = self.take_units(units), ""
        self._body = ipywidgets.VBox()
        self.controls = _controls(self._bank, topic, lesson, level, exam)
        following = press("Next question")
        following.on_click(lambda _: self.following())
        self._changed(None)
        self.watch()
        lists = ipywidgets.Box([self.controls[name] for name in ("topic", "lesson", "exam")], layout=WRAPPED)
        chosen = ipywidgets.VBox([lists, labelled("level", self.controls["level"])])
        folded = ipywidgets.Accordion([chosen], titles=["What to practise"], selected_index=None)
        self.sheet(folded, self.reading, self._body, following, self.status)
        self.turns_units()

    @property
    def system(self) -> str:
        """The unit system of the reader: that of the last question."""
        return self.exercise.system if self.exercise else self._units

    @property
    def restriction(self) -> Restriction:
        """What the questions are chosen from."""
        topic, lesson, level, exam = (self.controls[name].value for name in ("topic", "lesson", "level", "exam"))
        return Restriction(
            topics=() if topic == ANY else (topic,),
            lessons=() if lesson == ANY else (lesson,),
            levels=() if level == ANY else (int(level),),
            law="" if exam == ANY else LAWS[exam],
        )

    def following(self) -> None:
        """The next question."""
        self._changed(None)

    def refresh(self) -> None:
        """Choose the next question and ask it, in the chosen units."""
        found = next_question(self._bank, self._answered(), datetime.now(UTC), asked=self._sitting, only=self.restriction)
        exercise = Exercise(found.question, seed=found.seed, units=self.inner_units, progress=self.progress, takes_focus=self.exercise is not None)
        self.suggestion, self.exercise = found, exercise
        self._sitting.append(found)
        self.reading.value = f"<p><b>Why this one:</b> {escape(found.why)}</p>"
        before, self._body.children = self._body.children, [exercise]
        closed(before)

    def note(self) -> str:
        """What is to be said of the record."""
        return self._said

    def _answered(self) -> tuple[Attempt, ...]:
        """The record, or nothing where it cannot be read: practice goes on without it."""
        try:
            attempts = self.progress.attempts()
        except ProgressError as error:
            self._said = str(error)
            return ()
        self._said = self.progress.notice or ("" if self.progress.kept else OFF)
        return attempts


def _controls(bank: Bank, topic: str, lesson: str, level: int | str, exam: str) -> dict[str, ipywidgets.Widget]:
    """The lists to choose from, with what is chosen at the start; raises `UnknownNameError` for what is in none."""
    questions = practised(bank)
    topics = {one.topic: one.topic.replace("-", " ") for one in questions}
    lessons = {one.lesson: f"lesson {one.lesson}" if one.lesson.isdigit() else "exam only" for one in questions}
    levels = [str(one) for one in sorted({one.level for one in questions})]
    for what, name, known in (("topic", topic, topics), ("lesson", lesson, lessons), ("level", str(level), levels), ("exam", exam, LAWS)):
        if name != ANY and name not in known:
            raise UnknownNameError.among(f"{what} to practise", name, [ANY, *sorted(known)])
    return {
        "topic": dropdown("topic", [(ANY, ANY), *sorted((words, name) for name, words in topics.items())], topic),
        "lesson": dropdown("lesson", [(ANY, ANY), *((lessons[name], name) for name in sorted(lessons))], lesson),
        "exam": dropdown("topics of an exam", [ANY, *LAWS], exam),
        "level": buttons([ANY, *levels], str(level), "level"),
    }
