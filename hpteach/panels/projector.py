"""A script for the projector: one question to the room after the other, each with a panel that shows the answer.

What lives here: `ProjectorScript`, and reading its scripts (projector_scripts/*.toml).  What does not: the panels that it moves.

    lesson, title, panel = "CycleExplorer" or "Changeover"
    start = { control = value, ... }              in SI, as the panel shows it
    [[steps]]
    minutes, ask, hear                            what to ask the room, and what to hear
    set = { control = value, ... }                what the panel shows with the answer
    [steps.moves]  "the COP in cooling" = "falls"         what moves against the step before: a test holds the panel to it
    [steps.stands] "the coil that condenses" = "indoor coil"

The room answers first; then "Show it" moves the panel and shows what to hear.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from html import escape
from importlib import resources
from typing import Any

import ipywidgets

from hpteach.errors import DataError, UnknownNameError
from hpteach.panels.changeover import Changeover
from hpteach.panels.cycle_explorer import CycleExplorer
from hpteach.panels.parts import WRAPPED, buttons, labelled, press
from hpteach.panels.unit_choice import Units
from hpteach.panels.view import View

PANELS: Mapping[str, Callable[..., View]] = {"CycleExplorer": CycleExplorer, "Changeover": lambda **settings: Changeover(predict=False, **settings)}


# Type for the back of a room, which follows the width of the screen: a phone shows it too.
_ASKED = "font-size: clamp(18px, 1.9vw, 28px); line-height: 1.35"
_HEARD = "font-size: clamp(16px, 1.6vw, 22px); line-height: 1.35"

_LINE = 90
"""Letters that a line of an answer holds at least on a projector of 1280 pixels."""


@dataclass(frozen=True)
class Step:
    """One question to the room; `set` is what the panel shows with its answer, `moves` and `stands` what it then tells."""

    ask: str
    hear: str
    minutes: int
    set: Mapping[str, Any]
    moves: Mapping[str, str] = field(default_factory=dict)
    stands: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Script:
    """The steps of a lesson, and the panel that they move."""

    lesson: str
    title: str
    panel: str
    start: Mapping[str, Any]
    steps: tuple[Step, ...]

    @property
    def minutes(self) -> int:
        """How long the whole script takes."""
        return sum(step.minutes for step in self.steps)


def scripts() -> tuple[str, ...]:
    """The lessons that have a script, by their two digits.

    >>> scripts()
    ('03', '05', '06', '07')
    """
    return tuple(sorted(entry.name.removesuffix(".toml") for entry in _folder().iterdir() if entry.name.endswith(".toml")))


def script(lesson: str) -> Script:
    """The script of a lesson; raises `UnknownNameError` for a lesson that has none, `DataError` for a file that is not as it should be.

    >>> script("03").steps[0].minutes
    4
    """
    if lesson not in scripts():
        raise UnknownNameError.among("lesson with a script", lesson, scripts())
    file = f"{lesson}.toml"
    try:
        told = tomllib.loads(_folder().joinpath(file).read_text("utf-8"))
        return Script(told["lesson"], told["title"], told["panel"], told["start"], tuple(Step(**step) for step in told["steps"]))
    except (tomllib.TOMLDecodeError, KeyError, TypeError) as error:
        raise DataError(f"{file}: is not as a script is written ({error}): see the top of panels/projector.py") from None


def _folder() -> Any:
    return resources.files("hpteach.panels") / "projector_scripts"


class ProjectorScript(View):
    """The script of a lesson on the projector; `number` is the step from 0, `answered` whether its answer is shown, `panel` the panel that it moves.

    `controls` has units.  The panel can be moved by hand at any time: the next step sets what it needs.

    >>> room = ProjectorScript("05")
    >>> room.show_it()
    >>> room.answered, "outdoor coil" in room.reading.value
    (True, True)
    """

    def __init__(self, lesson: str, *, units: Units = None) -> None:
        super().__init__("projector script")
        system = self.take_units(units)
        self.script = script(lesson)
        self.number, self.answered = 0, False
        self.panel = PANELS[self.script.panel](units=units)
        self.controls = {"units": buttons(["SI", "IP"], system, "units")}
        self._show, back, following, again = (press(text) for text in ("Show it", "Back", "Next question", "From the start"))
        self._show.on_click(lambda _: self.show_it())
        back.on_click(lambda _: self.go_to_step(self.number - 1))
        following.on_click(lambda _: self.go_to_step(self.number + 1))
        again.on_click(lambda _: self.go_to_step(0))
        self.go_to_step(0)
        row = ipywidgets.Box([self._show, following, back, again, labelled("units", self.controls["units"])], layout=WRAPPED)
        self.sheet(self.reading, row, self.status, self.panel)
        self.turns_units(self._changed)

    @property
    def system(self) -> str:
        """The unit system of the room."""
        return self.controls["units"].value

    @property
    def step(self) -> Step:
        """The present step."""
        return self.script.steps[self.number]

    def refresh(self) -> None:
        """Write the present step, and turn the panel's units."""
        with self.panel.quietly():
            self.panel.controls["units"].value = self.system
        step, of = self.step, len(self.script.steps)
        heard = f"<b>To hear:</b> {escape(step.hear)}" if self.answered else "<i>Let the room answer first; then press “Show it”.</i>"
        kept = f"min-height: {1 + len(step.hear) // _LINE}lh"  # so that the panel below does not jump when the answer comes
        self.reading.value = (
            f"<h3>{escape(self.script.title)}: question {self.number + 1} of {of} ({step.minutes} min)</h3>"
            f"<p style='{_ASKED}'>{escape(step.ask)}</p><p style='{_HEARD}; {kept}'>{heard}</p>"
        )

    def show_it(self) -> None:
        """Move the panel to the answer, and show what to hear."""
        self.guard(self._shown)

    def _shown(self) -> None:
        self._set(self.step.set)
        self.answered = True
        self._changed(None)

    def go_to_step(self, number: int) -> None:
        """Ask another question; the panel shows the answer of the one before it."""
        self.guard(lambda: self._turned(number))

    def _turned(self, number: int) -> None:
        if not 0 <= number < len(self.script.steps):
            self.say("That was the first question." if number < 0 else "That was the last question.")
            return
        self.number, self.answered = number, False
        before: dict[str, Any] = dict(self.script.start)
        for step in self.script.steps[:number]:
            before |= step.set
        self._set(before)
        self._changed(None)

    def _set(self, values: Mapping[str, Any]) -> None:
        """Set controls of the panel, as SI shows them."""
        units = self.panel.controls["units"]
        choices = {name: value for name, value in values.items() if isinstance(value, str)}
        numbers = {name: value for name, value in values.items() if not isinstance(value, str)}
        with self.panel.quietly():
            units.value = "SI"
            for found in (choices, numbers):
                if found:
                    self.panel.set(found)
            units.value = self.system
