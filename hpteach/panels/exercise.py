"""A question in a lesson: answers, verdicts, hints one by one, the worked solution with its picture, another one like it.

What lives here: `Exercise`.  What does not: the entries (answer_entries), the words of a verdict (verdict_words), what was tried
(tries), the pictures (question_picture), dealing and checking (questions).
"""

from __future__ import annotations

import random
from html import escape

import ipywidgets

from hpteach.assessment import Progress
from hpteach.panels.announcement import Announcement
from hpteach.panels.answer_entries import Asked, controls_of, entries_of, same_answer
from hpteach.panels.parts import WRAPPED, buttons, closed, labelled, lines, press
from hpteach.panels.question_picture import asked_widgets, solution_widgets
from hpteach.panels.tries import Tries
from hpteach.panels.unit_choice import Units
from hpteach.panels.verdict_words import SHOWN, Said, answer_in_words, said_of, shown_answer
from hpteach.panels.view import View
from hpteach.questions import Variant, Verdict, deal, read_bank

_GIVE_UP, _ASKED_ONCE_MORE, _EARNED, _OPEN = "Give up: show the worked solution", "Show it all the same", "Show the worked solution", "The worked solution is shown below"
_OTHER_NUMBERS = "These units have round numbers of their own: answer once more."
_KEPT = "These numbers stay in {now}, as you have begun to answer; the next set comes in {due}. The button “{due}” here turns them at once."
_MOST_SEEDS, _TRIED = 10_000, 12
"""Sets of numbers from which another is drawn, and how many are looked at until one reads differently."""


class Exercise(View):
    """One question of the bank, dealt with a seed; every part has its own answer and verdict.

    `seed` makes the numbers: the same seed gives the same numbers to everybody.  Left
    out, a number is drawn and shown, so that it can be asked for again.
    `controls` has units, seed, and one entry for each part by its id.  What is answered goes into `progress`, the record of
    this user unless another is given.  `takes_focus` puts the cursor into the first entry.

    >>> exercise = Exercise("cooling-cop", seed=7)
    >>> exercise.answer("a lot", "effect")
    >>> exercise.verdict("effect").readable
    False
    """

    def __init__(self, question: str, *, seed: int | None = None, units: Units = None, progress: Progress | None = None, takes_focus: bool = False) -> None:
        super().__init__("exercise")
        units = self.take_units(units)
        self._bank = read_bank()
        self.question = self._bank.question(question)
        self.variant: Variant | None = None
        self._tries = Tries(progress)
        self._asked: tuple[Asked, ...] = ()
        self._hints: list[tuple[str, int]] = []
        self._solution_open = self._asking = False
        self._moving = takes_focus
        self._dealt: set[int] = set()
        self._ready: Variant | None = None
        self._drawn_of: Variant | None = None
        self._chart, self._body, self._picture = ipywidgets.VBox(), ipywidgets.VBox(), ipywidgets.VBox()
        self._help = Announcement()
        start = random.randrange(1, _MOST_SEEDS) if seed is None else seed
        self.controls = {
            "units": buttons(["SI", "IP"], units, "units"),
            "seed": ipywidgets.BoundedIntText(
                description="set of numbers", value=start, min=0, max=999_999,
                style={"description_width": "195px"}, layout={"width": "320px"},
            ),
        }  # fmt: skip
        hint, self._solution, another = (press(text) for text in ("A hint", _GIVE_UP, "Another one like it"))
        hint.on_click(lambda _: self.hint())
        self._solution.on_click(lambda _: self.ask_for_solution())
        another.on_click(lambda _: self.another())
        self._changed(None)
        self._moving = False
        self.controls["seed"].observe(self._next_set, "value")
        self.sheet(
            self.reading, self._chart, self._body,
            ipywidgets.Box([hint, self._solution, another], layout=WRAPPED),
            self._help, self._picture,
            ipywidgets.Box([labelled("units", self.controls["units"]), self.controls["seed"]], layout=WRAPPED),
            self.status,
        )  # fmt: skip
        self.turns_units(self._changed)

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return self.controls["units"].value

    @property
    def keeps_units(self) -> bool:
        """Whether something is answered: it belongs to the numbers of now."""
        return self.variant is not None and (bool(self._tries.verdicts) or any(self.controls[part.id].value.strip() for part in self.variant.parts))

    def units_kept(self) -> None:
        """Say that these numbers stay as they are, or nothing where they need not any more."""
        self.say(self.note())

    def note(self) -> str:
        """What waits for the next set of numbers."""
        return _KEPT.format(now=self.system, due=self._due) if self._due else ""

    # The question -------------------------------------------------------------------------

    def refresh(self) -> None:
        """Deal the question for the present seed and units; the same set in other units keeps what was typed, hinted and shown."""
        seed, before = self.controls["seed"].value, self.variant
        variant, self._ready = self._ready or deal(self.question, seed, self.system), None
        chart = asked_widgets(variant, self._bank)
        typed = {} if before is None else {part.id: self.controls[part.id].value for part in before.parts}
        self.variant, self._asking = variant, False
        self._dealt.add(seed)
        self.reading.value = f"<h3>{escape(self.question.title)}</h3><p>{lines(variant.prompt)}</p>"
        self._swap(self._chart, chart)
        self._asked = entries_of(variant, self._check, takes_focus=self._moving)
        self.controls |= controls_of(self._asked)
        self._swap(self._body, [asked.form for asked in self._asked])
        if before is not None and before.seed == seed:
            self._turn(before, typed)
        else:
            self._tries.begin()
            self._hints, self._solution_open = [], False
        self._tell()

    def _turn(self, before: Variant, typed: dict[str, str]) -> None:
        """Put what was typed into the new entries: a choice is the same one in other units, a number may be wrong now."""
        judged = set(self._tries.verdicts)
        answers = {old.id: same_answer(old, new, typed[old.id]) for old, new in zip(before.parts, self.variant.parts)}
        for id, text in answers.items():
            self.controls[id].value = text
        still = self._tries.turn(self.variant, answers.items())
        for asked in self._asked:
            said = {}
            for id in asked.form.parts:
                if id in still:
                    said[id] = self._said(asked, id, still[id], self._tries.verdicts[id])
                elif id in judged:
                    said[id] = Said(f"{asked.cells.get(id, '')}: ".removeprefix(": "), _OTHER_NUMBERS, "")
            asked.form.say(said)

    def _next_set(self, _change: object) -> None:
        """Other numbers come in the units that were chosen meanwhile."""
        with self.held():
            self.catch_up_units()

    def another(self) -> None:
        """The same question with numbers that were not dealt in this panel before."""
        self.guard(self._another)

    def _another(self) -> None:
        fresh = [seed for seed in random.sample(range(1, _MOST_SEEDS), _TRIED + len(self._dealt)) if seed not in self._dealt]
        for seed in fresh[:_TRIED]:  # two sets may read alike where little is drawn
            self._ready = deal(self.question, seed, self.due_units)
            if str(self._ready) != str(self.variant):
                break
        self._moving = True
        try:
            self.controls["seed"].value = self._ready.seed
        finally:
            self._moving, self._ready = False, None

    @staticmethod
    def _swap(box: ipywidgets.Box, children: list) -> None:
        before, box.children = box.children, children
        closed(before)

    # Answers ------------------------------------------------------------------------------

    def answer(self, text: str, part: str | None = None) -> None:
        """Give an answer as if typed; `part` may be left out where there is only one."""
        name = part or self.variant.parts[0].id
        self.controls[name].value = text
        self._check((name,))

    def verdict(self, part: str | None = None) -> Verdict | None:
        """The last verdict of a part, or None before any answer."""
        return self._tries.verdicts.get(part or self.variant.parts[0].id)

    def _check(self, parts: tuple[str, ...]) -> None:
        self.guard(lambda: self._judged(parts))

    def _judged(self, parts: tuple[str, ...]) -> None:
        asked = next(one for one in self._asked if set(parts) <= set(one.form.parts))
        written = {id: self.controls[id].value for id in parts if self.controls[id].value.strip()}
        if not written:
            asked.form.say({parts[0]: Said("Write or choose an answer first.", "", "")})
            return
        verdicts = {id: self._tries.judge(self.variant, id, text) for id, text in written.items()}
        said = {id: self._said(asked, id, self.controls[id].value, self._tries.verdicts[id]) for id in asked.form.parts if id in self._tries.verdicts}
        empty = [cell for id, cell in asked.cells.items() if not self.controls[id].value.strip()]
        if empty:
            said[""] = Said("Still empty:", f"{', '.join(empty)}.", "")
        asked.form.say(said)
        seen = {"hints": len(self._hints), "solution_seen": self._solution_open}
        told = [self._tries.keep(self.variant, id, written[id], **seen) for id in verdicts]
        self._asking = False
        self._tell()
        self.say(next(filter(None, told), self.note()))

    def _said(self, asked: Asked, id: str, text: str, verdict: Verdict) -> Said:
        left = sum(len(part.hints) for part in self.variant.parts) - len(self._hints)
        return said_of(self.variant, self.variant.part(id), text, verdict, hints_left=left, cell=asked.cells.get(id, ""))

    # Help ---------------------------------------------------------------------------------

    @property
    def help_text(self) -> str:
        """The hints shown so far, what is asked before giving up, and the worked solution, as one text."""
        return self._help.text

    def hint(self) -> None:
        """Show one more hint: the next of what is not answered right yet."""
        self.guard(self._hinted)

    def _hinted(self) -> None:
        every = [(part.id, index) for part in self.variant.parts for index in range(len(part.hints))]
        left = [hint for hint in every if hint not in self._hints]
        if not every:
            self.say("This question has no hint.")
        elif not left:
            self.say("That was the last hint.")
        else:
            self._hints.append(next((hint for hint in left if hint[0] not in self._tries.right), left[0]))
            self._asking = False
            self._tell()
            self.say(self.note())

    def ask_for_solution(self) -> None:
        """Show the worked solution; where something was not tried yet ask once more before."""
        self.guard(self._solution_pressed)

    def _solution_pressed(self) -> None:
        untried = self._tries.untried(self.variant)
        if self._solution_open or self._asking or self._tries.all_right(self.variant) or not untried:
            self._solved()
        else:
            self._asking = True
            self._tell()

    def give_up(self) -> None:
        """Show the worked solution of these numbers, tried or not."""
        self.guard(self._solved)

    def _solved(self) -> None:
        self._asking, self._solution_open = False, True
        for asked in self._asked:
            self._fill(asked)
        self._tell()

    def _fill(self, asked: Asked) -> None:
        """Put the right numbers into the cells of a table that are not right; they count as no answer."""
        wrong = [id for id in asked.cells if not (id in self._tries.verdicts and self._tries.verdicts[id].correct)]
        if not wrong:
            return
        said = {id: self._said(asked, id, self.controls[id].value, self._tries.verdicts[id]) for id in asked.cells if id not in wrong}
        for id in wrong:
            part = self.variant.part(id)
            self.controls[id].value = shown_answer(self.variant, part, part.answer)
            self._tries.verdicts.pop(id, None)
            said[id] = Said(SHOWN, asked.cells[id], "")
        asked.form.say(said)

    def _tell(self) -> None:
        """Put together what stands below the answers: hints, the question before giving up, the solution with its picture."""
        total = sum(len(part.hints) for part in self.variant.parts)
        blocks = []
        for number, (id, index) in enumerate(self._hints, 1):
            to = f", to {self._name(id)}" if len(self._asked) > 1 else ""
            blocks.append({"title": f"Hint {number} of {total}{to}:", "text": self.variant.part(id).hints[index], "kind": ""})
        if self._asking:
            names = list(dict.fromkeys(self._name(id) for id in self._tries.untried(self.variant)))
            text = f"Show it all the same? Then press “{_ASKED_ONCE_MORE}”. Or go on: a wrong answer is told why it is wrong."
            blocks.append({"title": f"You have not tried {_listed(names)} yet.", "text": text, "kind": ""})
        if self._solution_open:
            blocks.append({"title": "Worked solution", "text": "\n" + self._worked(), "kind": ""})
        self._help.blocks = blocks
        right = self._tries.all_right(self.variant)
        self._solution.description = _OPEN if self._solution_open else _ASKED_ONCE_MORE if self._asking else _EARNED if right else _GIVE_UP
        self._draw()

    def _name(self, part: str) -> str:
        return next(asked.name for asked in self._asked if part in asked.form.parts)

    def _worked(self) -> str:
        worked = []
        for number, asked in enumerate(self._asked, 1):
            parts = [self.variant.part(id) for id in asked.form.parts]
            text = "\n".join(filter(None, [line for part in parts for line in (answer_in_words(part), part.solution.strip())]))
            worked.append(f"{number}. {text}" if len(self._asked) > 1 else text)
        return "\n".join(worked)

    def _draw(self) -> None:
        """The picture of the solution where it is open; drawn once for each set of numbers and units, and only then."""
        if not self._solution_open:
            self._swap(self._picture, [])
        elif not self._picture.children or self._drawn_of is not self.variant:
            self._drawn_of = self.variant
            self._swap(self._picture, solution_widgets(self.variant))


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
