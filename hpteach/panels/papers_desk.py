"""The desk for papers: a roster, a blueprint, a folder, a secret; then a paper for each learner.

What lives here: `PapersDesk`.  What does not: running the command (desk), dealing and printing (the command).
"""

from __future__ import annotations

from html import escape
from pathlib import Path

from hpteach.assessment.blueprint import blueprints, read_blueprint
from hpteach.panels import mock_exam_words
from hpteach.panels.desk import HOME, Desk, Done, Run, field, run
from hpteach.panels.parts import buttons, dropdown

DEMO = "demo"


class PapersDesk(Desk):
    """Deal a paper for each learner of a class; `controls` has roster, blueprint, own, folder, secret, paper.

    The roster "demo" is an invented class.  `own` is a blueprint file of the instructor's, which goes before the list.

    >>> PapersDesk().words()[:4]
    ['papers', '--roster', 'demo', '--blueprint']
    """

    BUTTON = "Deal and write the papers"

    def __init__(self, blueprint: str = "end-of-course", *, run: Run = run) -> None:
        titles = [(read_blueprint(name).title, name) for name in blueprints()]
        fields = {
            "roster": field("roster (CSV), or demo", DEMO, "class.csv"),
            "blueprint": dropdown("blueprint", titles, blueprint),
            "own": field("or a blueprint of mine", "", "empty, or my-test.toml"),
            "folder": field("folder for the papers", f"{HOME}/papers"),
            "secret": field("file with my secret", f"{HOME}/secret.txt"),
            "paper": buttons(["A4", "Letter"], "A4", "paper"),
        }
        super().__init__("papers desk", fields, run=run)
        self.controls["blueprint"].observe(lambda _: self.guard(self._about), "value")
        self._about()

    def words(self) -> list[str]:
        """The command that deals the papers."""
        roster = DEMO if self.controls["roster"].value.strip().lower() == DEMO else self.path("roster")
        blueprint = self.path("own") if self.controls["own"].value.strip() else self.controls["blueprint"].value
        secret = self.path("secret")
        return ["papers", "--roster", roster, "--blueprint", blueprint, "--out", self.path("folder"), "--seed-secret", secret, "--paper", self.controls["paper"].value]

    def _acted(self) -> None:
        Path(self.path("secret")).parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        super()._acted()

    def _about(self) -> None:
        told = mock_exam_words.asked(read_blueprint(self.controls["blueprint"].value))
        self.reading.value = f"<details><summary>What this blueprint asks, and what it does not show</summary>{told}</details>"

    def show(self, done: Done) -> None:
        """Where the papers lie, and what is printed."""
        folder = self.path("folder")
        forms = done.found.get("forms")
        count = forms if isinstance(forms, int) else len(forms or ())
        lines = "".join(
            f"<li>{escape(text)}</li>"
            for text in (
                "index.html: all papers one after the other. Open it in a browser and print it, with background graphics off.",
                "forms: the same papers, a file for each learner.",
                "key.html: answers and worked solutions, paper by paper. For you alone.",
                "answers.csv: the sheet into which you type what was written. Save it as CSV again.",
                "papers.json: which questions each paper holds. Keep it to yourself, and keep it until the class is marked.",
            )
        )
        self.reading.value = f"<h3>{count} papers in {escape(folder)}</h3><ul>{lines}</ul>{self.in_a_terminal()}"
