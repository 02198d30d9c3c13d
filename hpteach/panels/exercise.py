"""A question in a lesson: typed or chosen answers, the verdict, hints, another one like it.

What lives here: `Exercise` and `Prediction`.  What does not: dealing and checking (questions).
"""

from __future__ import annotations

import random
from collections.abc import Callable
from html import escape

import ipywidgets

from hpteach.panels.parts import buttons, labelled, press
from hpteach.panels.view import View
from hpteach.questions import Part, Variant, Verdict, check, deal, read_bank


_ROW = {"display": "flex", "flex_flow": "row wrap", "width": "100%"}


class Exercise(View):
    """One question of the bank, dealt with a seed; every part has its own answer and verdict.

    `seed` makes the numbers: the same seed gives the same numbers to everybody.  Left
    out, a number is drawn and shown, so that it can be asked for again.
    `controls` has units, seed, and one entry for each part by its id.

    >>> exercise = Exercise("cooling-cop", seed=7)
    >>> exercise.answer("a lot")
    >>> exercise.verdict().readable
    False
    """

    def __init__(self, question: str, *, seed: int | None = None, units: str = "SI") -> None:
        super().__init__("exercise")
        self.question = read_bank().question(question)
        self.variant: Variant
        self._verdicts: dict[str, Verdict] = {}
        self._hints_shown = 0
        self._feedback: dict[str, ipywidgets.HTML] = {}
        self._body = ipywidgets.VBox()
        self._help = ipywidgets.HTML()
        start = random.randrange(1, 10_000) if seed is None else seed
        self.controls = {
            "units": buttons(["SI", "IP"], units, "units"),
            "seed": ipywidgets.BoundedIntText(
                description="set of numbers", value=start, min=0, max=999_999,
                style={"description_width": "195px"}, layout={"width": "320px"},
            ),
        }  # fmt: skip
        hint, solution, another = (press(text) for text in ("A hint", "Show the worked solution", "Another one like it"))
        hint.on_click(lambda _: self.hint())
        solution.on_click(lambda _: self.give_up())
        another.on_click(lambda _: self.another())
        self._changed(None)
        self.watch(("units", "seed"))
        self.sheet(
            self.reading,
            self._body,
            ipywidgets.Box([hint, solution, another], layout=_ROW),
            self._help,
            ipywidgets.Box([labelled("units", self.controls["units"]), self.controls["seed"]], layout=_ROW),
            self.status,
        )

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self.controls["units"].value

    def refresh(self) -> None:
        """Deal the question again for the present seed and units."""
        self.variant = deal(self.question, self.controls["seed"].value, self.system)
        self._verdicts, self._hints_shown, self._help.value = {}, 0, ""
        self.reading.value = f"<h3>{escape(self.question.title)}</h3><p>{_lines(self.variant.prompt)}</p>"
        before, rows = self._body.children, []
        for part in self.variant.parts:
            entry = _entry(part)
            self.controls[part.id] = entry
            self._feedback[part.id] = ipywidgets.HTML()
            entry.observe(self._answered(part.id), "value")
            ask = ipywidgets.HTML(_asked(part))
            judge = press("Check")
            judge.on_click(lambda _, name=part.id: self._judge(name))
            rows += [ask, ipywidgets.Box([entry, judge], layout=_ROW), self._feedback[part.id]]
        self._body.children = rows
        for row in before:
            _close(row)

    def answer(self, text: str, part: str | None = None) -> None:
        """Give an answer as if typed; `part` may be left out where there is only one."""
        name = part or self.variant.parts[0].id
        self.controls[name].value = text
        self._judge(name)

    def verdict(self, part: str | None = None) -> Verdict | None:
        """The last verdict of a part, or None before any answer."""
        return self._verdicts.get(part or self.variant.parts[0].id)

    def hint(self) -> None:
        """Show one more hint."""
        hints = self.variant.hints
        self._hints_shown = min(self._hints_shown + 1, len(hints))
        shown = hints[: self._hints_shown] or ("This question has no hint.",)
        self._help.value = "".join(f'<div class="hpteach-note"><b>Hint {n}:</b> {_lines(h)}</div>' for n, h in enumerate(shown, 1))

    def give_up(self) -> None:
        """Show the worked solution of these numbers."""
        self._help.value = f'<div class="hpteach-note"><b>Worked solution</b><br>{_lines(self.variant.solution)}</div>'

    def another(self) -> None:
        """The same question with other numbers."""
        self.controls["seed"].value = random.randrange(1, 10_000)

    def _answered(self, name: str) -> Callable[[dict], None]:
        def answered(change: dict) -> None:
            if change["new"]:
                self._judge(name)

        return answered

    def _judge(self, name: str) -> None:
        self.guard(lambda: self._judged(name))

    def _judged(self, name: str) -> None:
        text = self.controls[name].value
        if not text:
            self._feedback[name].value = '<div class="hpteach-note" role="status">Write or choose an answer first.</div>'
            return
        verdict = check(self.variant, text, name)
        self._verdicts[name] = verdict
        self._feedback[name].value = feedback(verdict)


class Prediction(View):
    """A question whose answer opens what comes next: commit first, then see.

    `then` is called once with the dealt question, when the learner has committed, and what it
    returns is shown below; left out, only the verdict and the reason appear.

    >>> prediction = Prediction("predict-which-coil", then=lambda variant: ipywidgets.HTML("the circuit"))
    >>> prediction.revealed is None
    True
    """

    def __init__(self, question: str, *, then: Callable[[Variant], ipywidgets.Widget] | None = None, seed: int = 1, units: str = "SI") -> None:
        super().__init__("prediction")
        self.question = read_bank().question(question)
        self.variant: Variant
        self.revealed: ipywidgets.Widget | None = None
        self._then, self._seed = then, seed
        self._prompt, self._choices = ipywidgets.HTML(), ipywidgets.VBox()
        self._shown = ipywidgets.VBox()
        self.controls = {"units": buttons(["SI", "IP"], units, "units")}
        commit = press("Commit, then show")
        commit.on_click(lambda _: self.commit())
        self._changed(None)
        self.watch(("units",))
        self.sheet(
            self._prompt,
            self._choices,
            ipywidgets.Box([commit, labelled("units", self.controls["units"])], layout=_ROW),
            self.status,
            self.reading,
            self._shown,
        )

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self.controls["units"].value

    def refresh(self) -> None:
        """Put the question in the present units."""
        self.variant = deal(self.question, self._seed, self.system)
        part = self.variant.parts[0]
        self._prompt.value = (
            f"<h3>Before you look: {escape(self.question.title)}</h3><p>{_lines(self.variant.prompt)}</p>{_asked(part)}"
        )
        self.controls["prediction"] = _entry(part)
        before, self._choices.children = self._choices.children, [self.controls["prediction"]]
        for row in before:
            _close(row)
        self.reading.value = ""

    def commit(self) -> None:
        """Judge the prediction and show what it opens."""
        self.guard(self._committed)

    def _committed(self) -> None:
        text = self.controls["prediction"].value
        if not text:
            self.say("Choose what you expect first; a wrong guess teaches as much as a right one.", refused=True)
            return
        verdict = check(self.variant, text, self.variant.parts[0].id)
        self.reading.value = feedback(verdict) + f'<div class="hpteach-note">{_lines(self.variant.solution)}</div>'
        if self.revealed is None and self._then is not None:
            self.revealed = self._then(self.variant)
            self._shown.children = [self.revealed]
        self.say("")


def feedback(verdict: Verdict) -> str:
    """A verdict as HTML: a word, a border of its own kind, and the notes."""
    if not verdict.readable:
        word, kind = "Not read yet (this costs nothing).", ""
    elif verdict.correct:
        word, kind = "Right.", " hpteach-right"
    else:
        word, kind = "Not right.", " hpteach-wrong"
    notes = " ".join(escape(note.sentence) for note in verdict.notes)
    return f'<div class="hpteach-note{kind}" role="status" aria-live="polite"><b>{word}</b> {notes}</div>'


def _asked(part: Part) -> str:
    """The text of a part as HTML; below it the numbered list of what is to be put in order."""
    rows = "".join(f"<li>{escape(name)}</li>" for name in part.choices if part.kind == "order")
    return f"<p>{_lines(part.text)}</p>" + (f"<ol>{rows}</ol>" if rows else "")


def _entry(part: Part) -> ipywidgets.Widget:
    if part.kind == "choice":
        return ipywidgets.RadioButtons(
            options=list(part.choices), value=None, description="your choice", layout={"width": "auto"}, style={"description_width": "95px"}
        )
    if part.kind == "order":
        placeholder = f"the numbers from 1 to {len(part.choices)} in order"
    else:
        placeholder = f"number and unit, for example in {part.unit}" if part.unit else "number"
    return ipywidgets.Text(
        description="your answer",
        style={"description_width": "95px"},
        placeholder=placeholder,
        continuous_update=False,
        layout={"width": "420px"},
    )


def _close(widget: ipywidgets.Widget) -> None:
    """Close a widget and what it holds, so that the browser forgets them."""
    for child in getattr(widget, "children", ()):
        _close(child)
    widget.close()


def _lines(text: str) -> str:
    return escape(text.strip()).replace("\n\n", "</p><p>").replace("\n", "<br>")
