"""A question whose answer opens what comes next: commit first, then see.

What lives here: `Prediction`.  What does not: a question that is practised (exercise), dealing and checking (questions).
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape

import ipywidgets

from hpteach.assessment import Progress
from hpteach.panels.answer_entries import AnswerForm, same_answer
from hpteach.panels.parts import WRAPPED, buttons, labelled, lines
from hpteach.panels.tries import Tries
from hpteach.panels.unit_choice import Units
from hpteach.panels.verdict_words import said_of
from hpteach.panels.view import View
from hpteach.questions import Variant, deal, read_bank


class Prediction(View):
    """One question, and below it what its answer opens.

    `then` is called once with the dealt question, when the learner has committed, and what it
    returns is shown below; left out, only the verdict and the reason appear.  The first answer goes into `progress`, the record of
    this user unless another is given.

    >>> prediction = Prediction("predict-which-coil", then=lambda variant: ipywidgets.HTML("the circuit"))
    >>> prediction.revealed is None
    True
    """

    def __init__(
        self, question: str, *, then: Callable[[Variant], ipywidgets.Widget] | None = None, seed: int = 1, units: Units = None, progress: Progress | None = None
    ) -> None:
        super().__init__("prediction")
        units = self.take_units(units)
        self.question = read_bank().question(question)
        self.variant: Variant | None = None
        self.revealed: ipywidgets.Widget | None = None
        self._then, self._seed, self._tries = then, seed, Tries(progress)
        self._judged = ""  # the answer whose verdict stands there
        self._prompt, self._choices = ipywidgets.HTML(), ipywidgets.VBox()
        self._shown = ipywidgets.VBox()
        self.controls = {"units": buttons(["SI", "IP"], units, "units")}
        self._changed(None)
        units_row = ipywidgets.Box([labelled("units", self.controls["units"])], layout=WRAPPED)
        self.sheet(self._prompt, self._choices, self.reading, units_row, self.status, self._shown)
        self.turns_units(self._changed)

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self.controls["units"].value

    def refresh(self) -> None:
        """Put the question in the present units, with what was chosen and its verdict."""
        old, self.variant = self.variant, deal(self.question, self._seed, self.system)
        part = self.variant.parts[0]
        chosen = "" if old is None else self.controls["prediction"].value
        self._prompt.value = f"<h3>Before you look: {escape(self.question.title)}</h3><p>{lines(self.variant.prompt)}</p>"
        self.controls["prediction"] = AnswerForm(part, lambda _: self.commit(), button="Commit, then show")
        before, self._choices.children = self._choices.children, [self.controls["prediction"]]
        for form in before:
            form.close()
        self.reading.value = ""
        if chosen:
            self.controls["prediction"].value = same_answer(old.parts[0], part, chosen)
        if self._judged:
            if chosen == self._judged:
                self._say_verdict()
            self._judged = same_answer(old.parts[0], part, self._judged)
            self._say_reason()

    def commit(self) -> None:
        """Judge the prediction and show what it opens."""
        self.guard(self._committed)

    def _committed(self) -> None:
        text, variant = self.controls["prediction"].value, self.variant
        if not text:
            self.say("Choose what you expect first; a wrong guess teaches as much as a right one.", refused=True)
            return
        if not self._say_verdict():
            self.say("")
            return
        self._say_reason()
        told = "" if self._judged else self._tries.keep(variant, variant.parts[0].id, text)
        self._judged = text
        if self.revealed is None and self._then is not None:
            self.revealed = self._then(variant)
            self._shown.children = [self.revealed]
        self.say(told)

    def _say_verdict(self) -> bool:
        """Show the verdict on what is chosen; whether it could be read."""
        form, part = self.controls["prediction"], self.variant.parts[0]
        verdict = self._tries.judge(self.variant, part.id, form.value)
        form.say({part.id: said_of(self.variant, part, form.value, verdict)})
        return verdict.readable

    def _say_reason(self) -> None:
        self.reading.value = f'<div class="hpteach-note">{lines(self.variant.solution)}</div>'
