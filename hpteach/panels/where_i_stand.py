"""Where I stand: a bar for each topic, the thoughts that went astray, what comes next; the record as a file, and deleting it.

What lives here: `WhereIStand`.  What does not: the record and what follows from it (assessment), the picture (diagrams).
"""

from __future__ import annotations

import base64
from datetime import UTC, datetime
from html import escape

import ipywidgets

from hpteach.assessment import Progress, Standing, Suggestion, next_question, standing
from hpteach.assessment.export import csv_bytes
from hpteach.diagrams.standing_chart import TopicBar, draw_standing, standing_size, standing_words
from hpteach.live import LiveFigure
from hpteach.panels.parts import WRAPPED, closed, press
from hpteach.panels.view import View
from hpteach.questions import read_bank

OFF = "Nothing is kept here: HPTEACH_PROGRESS is off, as it is on pages that several visitors share."
_FILE = "answers.csv"
_SCALE = 1.1
_AROUND = 14  # pixels that a picture's frame takes


class WhereIStand(View):
    """How this user stands: topics, misunderstandings, the next question; with the answers as a file, and their end.

    `progress` is the record, the one of this user unless another is given.  `controls` has larger.  `standing` and `following` are what is shown.

    >>> WhereIStand(progress=Progress.off()).standing.answers
    0
    """

    def __init__(self, *, progress: Progress | None = None) -> None:
        super().__init__("where I stand")
        self._bank = read_bank()
        self.progress = progress or Progress.open()
        self.standing: Standing | None = None
        self.following: Suggestion | None = None
        self.picture: LiveFigure | None = None
        self._drawing, self.table, self.mistakes, self._file, self._asked = ipywidgets.VBox(), ipywidgets.HTML(), ipywidgets.HTML(), ipywidgets.HTML(), ipywidgets.HTML()
        self.controls = {"larger": ipywidgets.ToggleButton(description="Larger for the room", layout={"width": "auto"})}
        again, self._delete, self._sure, self._keep = (press(text) for text in ("Look again", "Delete all my answers", "Yes, delete them for good", "Keep them"))
        again.on_click(lambda _: self.look())
        self._delete.on_click(lambda _: self.guard(self._ask))
        self._sure.on_click(lambda _: self.guard(self._deleted))
        self._keep.on_click(lambda _: self.guard(self._kept))
        self._confirm(asking=False)
        self._changed(None)
        self.watch()
        column = ipywidgets.VBox([self.reading, self.mistakes], layout={"flex": "1 1 420px", "min_width": "300px"})
        shown = ipywidgets.Box([self._drawing, column], layout={**WRAPPED, "grid_gap": "14px"})
        record = ipywidgets.Box([self._file, self._delete, self._asked, self._sure, self._keep], layout={**WRAPPED, "align_items": "center"})
        self.sheet(ipywidgets.Box([again, self.controls["larger"]], layout=WRAPPED), self.status, shown, self.table, record)

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """What is said of the standing."""
        return (self.reading, self.mistakes, self.table)

    def look(self) -> None:
        """Read the record again and show it."""
        self._changed(None)

    def refresh(self) -> None:
        """Read the record, then show the picture, the table and the words."""
        self._confirm(asking=False)
        self._large = self.controls["larger"].value
        (self.add_class if self._large else self.remove_class)("hpteach-large")
        attempts, now = self.progress.attempts(), datetime.now(UTC)
        self.standing, self.following = standing(self._bank, attempts, now), next_question(self._bank, attempts, now)
        self._draw()
        self.reading.value = self._words()
        self.mistakes.value = self._mistakes()
        table = f"<details><summary>All topics as a table</summary><div class='hpteach-wide'>{self.standing.topic_table()._repr_html_()}</div></details>"
        self.table.value = table
        self._file.value = _link(csv_bytes(attempts), len(attempts)) if attempts else ""
        self._delete.layout.display = "" if self.progress.kept and attempts else "none"

    def note(self) -> str:
        """Where the record lies, that it is off, or that a damaged one was set aside."""
        if not self.progress.kept:
            return OFF
        return self.progress.notice or f"Your answers lie in {self.progress.path}, and nowhere else."

    # Inside ---------------------------------------------------------------------------

    def _draw(self) -> None:
        tried = [TopicBar(one.topic.replace("-", " "), one.right, one.wrong, one.due) for one in self.standing.topics if one.answers]
        before, self.picture = self._drawing.children, None
        if tried:
            width, height = standing_size(tried, self.style)
            self.picture = LiveFigure(width, height, scale=_SCALE, words=standing_words(tried))
            self._drawing.layout.flex = f"0 1 {width + _AROUND}px"
            draw_standing(self.picture.figure, tried, self.style)
            self.picture.keep()
            self.picture.draw(())
            self.picture.image.observe(lambda change, live=self.picture: live.sharpen(change["new"]), "density")
        self._drawing.children = [self.picture.image] if self.picture else []
        closed(before)

    def _words(self) -> str:
        found, title = self.standing, self._bank.question(self.following.question).title
        if not found.answers:
            said = "You have answered no question yet. Begin with the lessons, or with the practice below: what you answer appears here when you look again."
        else:
            due = {0: "Nothing is due again now", 1: "One question is due again"}.get(found.due, f"{found.due} questions are due again")
            apart = {0: "", 1: " One prediction of a lesson is not counted."}.get(found.predictions, f" {found.predictions} predictions of lessons are not counted.")
            said = f"{found.right} of {found.answers} answers right. {due}.{apart}"
        untried = [one.topic.replace("-", " ") for one in found.topics if not one.answers]
        rest = f"<p>Not tried yet: {escape(', '.join(untried))}.</p>" if untried and found.answers else ""
        following = f"<p><b>What next:</b> {escape(title)}. {escape(self.following.why)}</p>"
        return f"<p>{escape(said)}</p>{following}{rest}"

    def _mistakes(self) -> str:
        if not self.standing.misunderstandings:
            return ""
        notes = "".join(f'<div class="hpteach-note">{_marked(text)}</div>' for text in self.standing.mistakes_in_words())
        return f"<h3>Thoughts that went astray</h3>{notes}"

    def _confirm(self, *, asking: bool) -> None:
        self._asked.value = f"All answers in {escape(str(self.progress.path))} are deleted for good." if asking else ""
        for one in (self._sure, self._keep):
            one.layout.display = "" if asking else "none"

    def _ask(self) -> None:
        self._confirm(asking=True)

    def _kept(self) -> None:
        self._confirm(asking=False)
        self.say("Your answers stay.")

    def _deleted(self) -> None:
        gone = self.progress.delete()
        self.refresh()
        self.say("Deleted: " + ", ".join(str(path) for path in gone) + "." if gone else "There was nothing to delete.")


def _marked(text: str) -> str:
    """A sentence with its beginning, up to the colon, in bold."""
    head, colon, rest = text.partition(":")
    return f"<b>{escape(head)}{colon}</b>{escape(rest)}"


def _link(data: bytes, count: int) -> str:
    """A link that saves the record as a file, for a spreadsheet."""
    href = f"data:text/csv;base64,{base64.b64encode(data).decode()}"
    answers = "1 answer" if count == 1 else f"{count} answers"
    look = "color: var(--jp-content-link-color, inherit); text-decoration: underline"  # the look of the notebook takes both away
    return f'<a download="{_FILE}" href="{href}" style="{look}">Save my answers as a file</a> ({_FILE}, {answers}, for a spreadsheet)'
