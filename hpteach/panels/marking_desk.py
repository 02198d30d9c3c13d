"""The desk for marking: the folder of papers and the answers; then the class's results, shown.

What lives here: `MarkingDesk`.  What does not: running the command (desk), marking and its pages (the command).
"""

from __future__ import annotations

from html import escape
from pathlib import Path

import ipywidgets

from hpteach.errors import InputError
from hpteach.panels.desk import HOME, Desk, Done, Run, field, run
from hpteach.panels.parts import closed
from hpteach.panels.papers_desk import DEMO

PAGE = "class.html"


class MarkingDesk(Desk):
    """Mark a class and look at it; `controls` has papers, answers, handed_in, practice, secret, folder.

    "demo" stands for the invented class, its papers and what it wrote.

    >>> MarkingDesk().words()[:5]
    ['mark', '--papers', 'demo', '--answers', 'demo']
    """

    BUTTON = "Mark the class"

    def __init__(self, *, run: Run = run) -> None:
        fields = {
            "papers": field("papers folder, or demo", DEMO),
            "answers": field("answers.csv, or demo", DEMO, "empty where all handed in by file"),
            "handed_in": field("folder of hand-in files", "", "empty where nobody handed in by file"),
            "practice": field("folder of practice records", "", "in place of papers and answers"),
            "secret": field("file with my secret", "", "empty for demo"),
            "folder": field("folder for the results", f"{HOME}/marks"),
        }
        super().__init__("marking desk", fields, run=run)

    def words(self) -> list[str]:
        """The command that marks."""
        practice = bool(self.controls["practice"].value.strip())
        found = ["mark"] if practice and self._empty_or_demo("papers") else ["mark", "--papers", self._demo_or_path("papers")]
        for name, option in (("answers", "--answers"), ("handed_in", "--hand-in"), ("practice", "--progress"), ("secret", "--seed-secret")):
            if self.controls[name].value.strip() and not (practice and self._empty_or_demo(name)):
                found += [option, self._demo_or_path(name)]
        return [*found, "--out", self.path("folder")]

    def _empty_or_demo(self, name: str) -> bool:
        return self.controls[name].value.strip().lower() in ("", DEMO)

    def _demo_or_path(self, name: str) -> str:
        return DEMO if self.controls[name].value.strip().lower() == DEMO else self.path(name)

    def show(self, done: Done) -> None:
        """How many passed, and the page of the class: distribution, questions, misunderstandings with the lesson to repeat.

        Raises `InputError` where that page cannot be read.
        """
        folder = Path(self.path("folder"))
        told = done.found.get("class", {})
        sentences = "".join(f"<p>{escape(str(one))}</p>" for one in tuple(told.get("in_words", ()))[:1])
        try:
            page = (folder / PAGE).read_text(encoding="utf-8")
        except (OSError, ValueError):
            raise InputError(f"{folder / PAGE} cannot be read: mark once more") from None
        kept = (
            f"<p>In {escape(str(folder))}: {PAGE} (this page), feedback.html (a sheet for each learner, to print and hand back), marks.csv, questions.csv, mistakes.csv, "
            "rows-not-marked.csv (put these right and mark again).</p>"
        )
        self.reading.value = f"<h3>The class</h3>{sentences}{kept}{self.in_a_terminal()}"
        frame = ipywidgets.HTML(
            f'<iframe title="Results of the class" sandbox="allow-popups" style="width: 100%; height: 900px; border: 1px solid #888" srcdoc="{escape(page, quote=True)}"></iframe>'
        )
        before, self._shown.children = self._shown.children, [frame]
        closed(before)
