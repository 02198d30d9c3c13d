"""A mock exam: chosen, sat against the clock without a word on what is right, handed in; then its result.

What lives here: `MockExam`.  What does not: keeping a sitting (assessment.sitting), its texts (mock_exam_words), the result (mock_exam_result), the
countdown (exam_clock).
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from html import escape

import ipywidgets

from hpteach.assessment import Progress
from hpteach.assessment.blueprint import blueprints, read_blueprint
from hpteach.assessment.sitting import Sitting, Sittings, result_of
from hpteach.assessment.variant_store import VariantStore
from hpteach.errors import UnknownNameError
from hpteach.panels import mock_exam_words as words
from hpteach.panels.answer_entries import Asked, controls_of, entries_of
from hpteach.panels.exam_clock import ExamClock
from hpteach.panels.mock_exam_result import MockExamResult
from hpteach.panels.parts import WRAPPED, buttons, closed, dropdown, labelled, lines, press
from hpteach.panels.question_picture import asked_widgets
from hpteach.panels.unit_choice import Units
from hpteach.panels.verdict_words import Said
from hpteach.panels.view import View
from hpteach.questions import Variant, read_bank

KEPT = Said("Kept.", "You can change it until you hand in.", "")
_FIRST = "mock-eu-2024-2215"
_HAND_IN, _SURE = "Hand in", "Hand in now, for good"


class MockExam(View):
    """An exam of a blueprint: what it covers, "Begin", one question at a time with the time that is left, "Hand in", the result.

    `controls` has exam and units, and while one is sat questions (the list of them) and an entry for each part of the question that is shown.
    A sitting that is still open goes on where it was left, in whatever notebook or kernel.  `sittings` and `progress` are those of this user unless others are given.

    >>> exam = MockExam("lesson-01", sittings=Sittings.off())
    >>> exam.begin()
    >>> exam.sitting.open, exam.number
    (True, 1)
    """

    def __init__(self, blueprint: str = _FIRST, *, units: Units = None, sittings: Sittings | None = None, progress: Progress | None = None) -> None:
        super().__init__("mock exam")
        units = self.take_units(units)
        names = blueprints()
        if blueprint not in names:
            raise UnknownNameError.among("blueprint", blueprint, names)
        self._bank = read_bank()
        self.sittings = sittings or Sittings.open()
        self._progress = progress
        self.sitting: Sitting | None = None
        self.result: MockExamResult | None = None
        self._store = VariantStore(self._bank)
        self._asked: tuple[Asked, ...] = ()
        self._number, self._seen = 1, {}
        self._filling = self._sure = False
        titles = [(read_blueprint(name).title, name) for name in sorted(names, key=lambda name: (not name.startswith("mock"), name.startswith("lesson"), name))]
        self.controls = {
            "exam": dropdown("exam", titles, blueprint),
            "units": buttons(["SI", "IP"], units, "units"),
            "questions": ipywidgets.Select(description="questions", rows=12, layout={"width": "280px"}, style={"description_width": "80px"}),
        }
        self.clock = ExamClock(lambda: self.guard(self._look))
        self._chart, self._body, self._below = ipywidgets.VBox(), ipywidgets.VBox(), ipywidgets.VBox()
        self._begin, self._last = press("Begin"), press("Show the result of the last sitting")
        self._back, self._next, self._flag, self._hand_in, self._stay = (press(text) for text in ("Back", "Next", "Flag", _HAND_IN, "Go on with the exam"))
        acts: dict[ipywidgets.Button, Callable[[], None]] = {
            self._begin: self._begun, self._last: self._show_result, self._back: lambda: self._turn(self.number - 1), self._next: lambda: self._turn(self.number + 1),
            self._flag: self._flagged, self._hand_in: self._hand_in_pressed, self._stay: self._stayed,
        }  # fmt: skip
        for button, act in acts.items():
            button.on_click(lambda _, act=act: self.guard(act))
        self._chosen = ipywidgets.VBox([self.controls["exam"], labelled("units", self.controls["units"])])
        steps = ipywidgets.Box([self._back, self._next, self._flag, self._hand_in, self._stay], layout=WRAPPED)
        page = ipywidgets.VBox([self._chart, self._body, steps], layout={"flex": "1 1 480px", "min_width": "0"})
        self._page = ipywidgets.Box([page, self.controls["questions"]], layout=WRAPPED)
        start = ipywidgets.Box([self._begin, self._last], layout=WRAPPED)
        self.sheet(self._chosen, self.clock, self.reading, self._page, start, self.status, self._below)
        self._changed(None)
        self.watch(("exam",))
        self.controls["questions"].observe(lambda change: self._filling or self.guard(lambda: self._turn(change["new"])), "value")
        self.turns_units()

    @property
    def keeps_units(self) -> bool:
        """Whether an exam is sat: it is never turned in the middle."""
        return bool(self.sitting and self.sitting.open)

    @property
    def system(self) -> str:
        """The unit system of the exam."""
        return self.sitting.form.questions[0].system if self.sitting and self.sitting.open else self.controls["units"].value

    @property
    def number(self) -> int:
        """The number of the question that is shown here; another notebook at the same sitting may show another one."""
        return self._number

    @property
    def variant(self) -> Variant:
        """The question that is shown."""
        return self._variant(self.number)

    # As if a button was pressed ----------------------------------------------------------

    def begin(self) -> None:
        """Start the clock."""
        self.guard(self._begun)

    def turn_to(self, number: int) -> None:
        """Show another question."""
        self.guard(lambda: self._turn(number))

    def answer(self, text: str, part: str | None = None) -> None:
        """Give an answer to the question that is shown as if it was typed; `part` may be left out where there is only one."""
        self.controls[part or self.variant.parts[0].id].value = text

    def flag(self) -> None:
        """Mark the question that is shown, to come back to it, or take the mark away."""
        self.guard(self._flagged)

    def hand_in(self) -> None:
        """Hand in; the first time it is only asked, with what is still open."""
        self.guard(self._hand_in_pressed)

    # Before -------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show what an exam covers; or the sitting that is open."""
        last = self.sittings.latest()
        if last and last.open:
            self._resume(last)
            return
        self._arrange_for("choosing")
        self._last.layout.display = "" if last else "none"
        self.sitting = last
        self.reading.value = words.before(read_blueprint(self.controls["exam"].value))

    def note(self) -> str:
        """What is to be said of the record."""
        return self._note if self.sitting and self.sitting.open else self._said_of_record()

    _note = ""

    def _said_of_record(self) -> str:
        return self.sittings.notice or ("" if self.sittings.kept else words.OFF)

    def _begun(self) -> None:
        self._resume(self.sittings.begin(read_blueprint(self.controls["exam"].value), self._bank, units=self.controls["units"].value))
        self.say(self._said_of_record())

    def _resume(self, sitting: Sitting) -> None:
        fresh = not sitting.answers and sitting.place == 1
        self._note = self._said_of_record() if fresh else f"This exam goes on where it was left, begun at {sitting.started:%H:%M} UTC. Nothing that was kept is lost."
        self.result = None
        self._show_below([])
        self._take(sitting)
        self._number = sitting.place
        self._arrange_for("sitting")
        self._show_question()

    def _arrange_for(self, what: str) -> None:
        for widget, at in ((self._chosen, "choosing"), (self._begin, "choosing"), (self._last, "choosing"), (self._page, "sitting")):
            widget.layout.display = "" if at == what else "none"
        if what != "sitting":
            self.clock.stop()
            self._swap(self._chart, [])
            self._swap(self._body, [])

    # While it is sat ------------------------------------------------------------------------

    def _variant(self, number: int) -> Variant:
        asked = self.sitting.form.questions[number - 1]
        return self._store.variant(asked.question, asked.seed, asked.system)

    def _take(self, sitting: Sitting) -> bool:
        """Hold a sitting as it stands now; gives False where it has come to its end, whose result is shown."""
        self.sitting = sitting
        if not sitting.open:
            self._show_result()
            return False
        self.clock.show(sitting.seconds_left)
        return True

    def _look(self) -> None:
        """Look how the sitting stands, as the browser asks: the time may be over, or another notebook has handed in."""
        if self.sitting and self.sitting.open:
            self._take(self.sittings.sitting(self.sitting.id))

    def _show_question(self, *, moved: bool = False) -> None:
        asked, variant = self.sitting.form.questions[self.number - 1], self.variant
        self.reading.value = (
            f"<p>{escape(asked.section)}</p><h3>Question {self.number} of {len(self.sitting.form.questions)}</h3>"
            f"<p>{lines(variant.prompt)}</p>"
        )
        self._filling = True
        try:
            self._swap(self._chart, asked_widgets(variant, self._bank, exam=True))
            self._asked = entries_of(variant, self._kept, takes_focus=moved)
            self.controls |= controls_of(self._asked)
            self._seen = {part.id: self.sitting.answer(self.number, part.id) for part in variant.parts}
            for part, text in self._seen.items():
                self.controls[part].value = text
            for one in self._asked:
                one.form.button = "Keep"
                one.form.observe(lambda _, parts=one.form.parts: self._filling or self.guard(lambda: self._keep(parts)), "value")
            self._swap(self._body, [one.form for one in self._asked])
        finally:
            self._filling = False
        self._ask_no_more()
        self._list()

    def _list(self) -> None:
        states = []
        for asked in self.sitting.form.questions:
            parts = [part.id for part in self._variant(asked.number).parts]
            states.append((words.state(asked.number, self.sitting.answered(asked.number, parts), len(parts), asked.number in self.sitting.flagged), asked.number))
        self._filling = True
        try:
            self.controls["questions"].options = states
            self.controls["questions"].value = self.number
        finally:
            self._filling = False
        self._flag.description = "Take the flag away" if self.number in self.sitting.flagged else "Flag, to come back"
        self._back.disabled, self._next.disabled = self.number == 1, self.number == len(self.sitting.form.questions)

    def _keep(self, parts: tuple[str, ...], *, confirmed: bool = False) -> None:
        """Write into the record what was changed in a form here, and what stands in it where that is `confirmed`.

        What another notebook answered since then stays: it isn't seen here, so nobody took it back.
        """
        sitting = self.sitting
        for part in parts:
            text = self.controls[part].value.strip()
            if text != self._seen[part] or (confirmed and text):
                sitting = self.sittings.answer(sitting.id, self.number, part, text)
                self._seen[part] = text
        if self._take(sitting):
            self._ask_no_more()
            self._list()
            self.say("")

    def _kept(self, parts: tuple[str, ...]) -> None:
        """What the button of a form does: the answer is in the record already, and that is said."""
        self.guard(lambda: self._said_kept(parts))

    def _said_kept(self, parts: tuple[str, ...]) -> None:
        self._keep(parts, confirmed=True)
        if self.sitting.open:
            form = next(one.form for one in self._asked if one.form.parts == parts)
            form.say({"": KEPT if any(self.controls[part].value.strip() for part in parts) else Said("Still open.", "", "")})

    def _turn(self, number: int) -> None:
        if self._take(self.sittings.turn_to(self.sitting.id, number)):
            self._number = number
            self._show_question(moved=True)
            self.say("")

    def _flagged(self) -> None:
        if self._take(self.sittings.flag(self.sitting.id, self.number, self.number not in self.sitting.flagged)):
            self._list()
            self.say("")

    # The end --------------------------------------------------------------------------------

    def _hand_in_pressed(self) -> None:
        if not self._sure:
            self._sure = True
            self._hand_in.description = _SURE
            self._stay.layout.display = ""
            self.say(words.asked_before_handing_in(self._open_numbers(), sorted(self.sitting.flagged)))
            return
        self._take(self.sittings.hand_in(self.sitting.id))

    def _open_numbers(self) -> list[int]:
        found = []
        for asked in self.sitting.form.questions:
            parts = [part.id for part in self._variant(asked.number).parts]
            if self.sitting.answered(asked.number, parts) < len(parts):
                found.append(asked.number)
        return found

    def _stayed(self) -> None:
        self._ask_no_more()
        self.say("")

    def _ask_no_more(self) -> None:
        self._sure = False
        self._hand_in.description = _HAND_IN
        self._stay.layout.display = "none"

    def _show_result(self) -> None:
        self._ask_no_more()
        self._arrange_for("choosing")
        self._last.layout.display = "none"
        self.reading.value = words.before(read_blueprint(self.controls["exam"].value))
        self.catch_up_units()
        found = result_of(self.sitting, self._bank, self._store)
        self.result = MockExamResult(self.sitting, found, self._store, units=self.inner_units, progress=self._progress)
        self._show_below([self.result])
        self.reading.value = ""
        self.say("The time is over: it was handed in as it stood." if self.sitting.time_over else "")

    def _show_below(self, widgets: list[ipywidgets.Widget]) -> None:
        self._swap(self._below, widgets)

    @staticmethod
    def _swap(box: ipywidgets.Box, children: list) -> None:
        before, box.children = box.children, children
        with suppress(Exception):
            closed(before)
