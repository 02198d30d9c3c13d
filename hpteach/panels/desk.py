"""What the panels of the instructor's desk share: fields, one button, and the command that it runs.

What lives here: `Desk`, and running a command of this program.  What does not: what a command does (the commands themselves), which fields there are
(papers_desk, marking_desk).

A desk writes files on the machine where its kernel runs.  So it works where its user sits at that machine, and not on pages that are served to others:
the server of the pages sets HPTEACH_DESK to "off".
"""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping
from html import escape
from pathlib import Path
from typing import Any, NamedTuple

import ipywidgets

from hpteach.errors import InputError
from hpteach.panels.parts import WRAPPED, labelled, press
from hpteach.panels.view import View

SWITCH = "HPTEACH_DESK"
"""The environment variable that turns the desk off."""

HOME = "~/hpteach-class"
"""Where a class's files are kept unless another folder is named: in the user's own folder, not beside the lessons."""


class Done(NamedTuple):
    """What a command did: its exit code, its JSON, and the lines that it said beside it."""

    code: int
    found: Mapping[str, Any]
    said: tuple[str, ...]


Run = Callable[[list[str], Callable[[str], None]], Done]


def run(words: list[str], told: Callable[[str], None]) -> Done:
    """Run a command of this program to its end; `told` hears each line that it says meanwhile.

    >>> run(["refrigerants", "--json"], print).code
    0
    """
    with tempfile.TemporaryFile("w+", encoding="utf-8") as printed:
        environment = {**os.environ, "PYTHONIOENCODING": "utf-8"}
        with subprocess.Popen(
            [sys.executable, "-m", "hpteach", *words], stdout=printed, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True, encoding="utf-8", env=environment
        ) as process:
            said = []
            for line in process.stderr:
                said.append(line.strip())
                told(line.strip())
        printed.seek(0)
        text = printed.read()
    try:
        found = json.loads(text) if text.strip() else {}
    except ValueError:
        found = {}
    return Done(process.returncode, found, tuple(line for line in said if line and not line.startswith("[")))


class Desk(View):
    """Fields and a button that runs a command; `controls` has the fields by name, `ran` is the last command that was run."""

    BUTTON = "Do it"

    def __init__(self, label: str, fields: Mapping[str, ipywidgets.Widget], *, run: Run = run) -> None:
        super().__init__(label)
        self._run_command = run
        self.ran: list[str] = []
        self.controls = dict(fields)
        self._shown = ipywidgets.VBox()
        self._act = press(self.BUTTON)
        self._act.on_click(lambda _: self.act())
        rows = [labelled(name, one) if isinstance(one, ipywidgets.ToggleButtons) else one for name, one in fields.items()]
        self.sheet(ipywidgets.VBox(rows), ipywidgets.Box([self._act], layout=WRAPPED), self.status, self.reading, self._shown)
        if os.environ.get(SWITCH, "").strip().lower() == "off":
            self._act.disabled = True
            self.say("This desk writes files on the machine that serves these pages, so it is turned off here. Open this notebook in JupyterLab on your own machine.", refused=True)

    def words(self) -> list[str]:
        """The command as the fields state it, without `--json`."""
        raise TypeError(f"{type(self).__name__} states no command")

    def show(self, done: Done) -> None:
        """Show what came of it."""
        raise TypeError(f"{type(self).__name__} shows nothing")

    def act(self) -> None:
        """Press the button."""
        self.guard(self._acted)

    def _acted(self) -> None:
        if self._act.disabled:
            raise InputError("this desk is turned off here, or busy")
        self.ran = self.words()
        self._act.disabled = True
        self.say("It begins …")
        try:
            done = self._run_command([*self.ran, "--json"], self.say)
        finally:
            self._act.disabled = False
        if done.code or not done.found:
            raise InputError(" ".join(done.said) or f"the command ended with {done.code} and said nothing")
        self.say(" ".join(done.said))
        self.show(done)

    def path(self, name: str) -> str:
        """The path in a field, with ~ for the user's own folder; raises `InputError` where nothing is written."""
        text = self.controls[name].value.strip().strip('"')
        if not text:
            raise InputError(f"the field “{self.controls[name].description}” is empty: write the name of a file or folder")
        return str(Path(text).expanduser())

    def in_a_terminal(self) -> str:
        """The command that was run, for whoever would rather type it, as HTML."""
        line = f"python -m hpteach {shlex.join(self.ran)}"
        return f"<details><summary>The same in a terminal</summary><p><code>{escape(line)}</code></p></details>"


def field(description: str, value: str, hint: str = "") -> ipywidgets.Text:
    """A field for a path."""
    return ipywidgets.Text(description=description, value=value, placeholder=hint, style={"description_width": "195px"}, layout={"width": "auto", "max_width": "760px"})
