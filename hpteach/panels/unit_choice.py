"""The units that a reader chose: one choice for every view, kept from lesson to lesson.

What lives here: `UnitChoice`, what a view does about it (`Turned`), and the lock that lets a view turn others (`ReleasedLock`).
What does not: how a panel turns its sliders (scales), what a question is in other units (questions).

Who chooses SI or IP in a view chooses for all views of the kernel; the file beside the learner's record carries it to the next lesson.  What follows, and what does not:

- A view that names its units (`units="IP"`) opens in them, and so does the panel behind a prediction.  It chooses for nobody, and follows the next choice.
- A picture code shows its picture in the units that it was written in, in this panel alone.  "As at the start" keeps the units that are read.
- A picture that waits for *predict first* is turned with its sliders, and shown after the commitment; a change of units moves no quantity.
- A question of a lesson that is committed keeps its answer and its verdict, in the new units.
- An exercise that has an answer or a verdict keeps its units until its next set of numbers, and says so: what was typed belongs to these
  numbers.  Its own control turns it at once.  A set has the same number in both systems, so that a class that shares a number shares the scenario.
- A mock exam that is sat is never turned; the practice after it is.
- A script for the projector and its panel turn together; setting the panel for a step chooses nothing.

HPTEACH_UNITS says in which units a session begins: SI or IP, and after a blank anything that makes it another one.  It wins over a choice that was kept before it
was set so, and a choice that is made under it wins from then on.  Where no record is kept (HPTEACH_PROGRESS is off) a choice lives as long as its kernel.
"""

from __future__ import annotations

import json
import os
import threading
import tomllib
import weakref
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hpteach.assessment import Progress
from hpteach.assessment.whole_file import write_whole
from hpteach.errors import HpteachError, UnknownNameError
from hpteach.units import SYSTEMS

if TYPE_CHECKING:
    import ipywidgets

SETTING = "HPTEACH_UNITS"
"""The environment variable that says in which units a session begins."""

_LONGEST = 1000
"""Bytes of the file that are looked at."""


def units_path(record: Path) -> Path:
    """Where the choice lies that belongs to a learner's record: beside it.

    >>> units_path(Path("progress.sqlite3")).name
    'progress-units.toml'
    """
    return record.with_name(f"{record.stem}-units.toml")


class UnitChoice:
    """The chosen unit system, the views that follow it (which it does not keep alive), and its file, if it has one.

    `notice` says why the last choice could not be kept; it holds for this kernel all the same.

    >>> choice = UnitChoice()
    >>> choice.choose("IP")
    >>> choice.system
    'IP'
    >>> choice.choose("CGS")
    Traceback (most recent call last):
    hpteach.errors.UnknownNameError: unit system 'CGS' is not known; known are SI, IP
    """

    def __init__(self, path: Path | None = None, *, setting: str = "") -> None:
        self._lock = threading.Lock()
        self._views: weakref.WeakSet[Turned] = weakref.WeakSet()
        self._path, self._setting, self.notice = path, setting, ""
        self._system = setting.split()[0] if setting else SYSTEMS[0]
        if self._system not in SYSTEMS:
            raise UnknownNameError.among(f"{SETTING}: unit system", self._system, SYSTEMS)
        kept = _kept(path) if path is not None else {}
        if kept is None:
            with suppress(HpteachError, OSError):
                self._write()
        elif kept and kept["setting"] == setting or kept and not setting:
            self._system = kept["units"]

    @classmethod
    def open(cls) -> UnitChoice:
        """The choice of this user; raises `UnknownNameError` where HPTEACH_UNITS names no unit system."""
        record, said = Progress.open().path, os.environ.get(SETTING, "")
        plain = " ".join("".join(letter for letter in said if letter.isascii() and (letter.isprintable() or letter.isspace())).split())[:80]
        word, _, rest = plain.partition(" ")
        return cls(units_path(record) if record else None, setting=f"{word.upper()} {rest}".strip())

    @property
    def system(self) -> str:
        """The chosen unit system."""
        return self._system

    def choose(self, system: str) -> None:
        """Choose a unit system, keep it, and turn every view that follows; raises `UnknownNameError` for none.

        Call it while no view's lock is held: a view that is turned waits for its own.
        """
        if system not in SYSTEMS:
            raise UnknownNameError.among("unit system", system, SYSTEMS)
        with self._lock:
            changed, self._system = system != self._system, system
            if changed:
                self.notice = ""
                try:
                    self._write()
                except (HpteachError, OSError) as error:
                    self.notice = f"The units are turned, but could not be kept for the next lesson: {error}"
            views = list(self._views)
        failed: list[Exception] = []
        for view in views:
            try:
                view.follow_units()
            except Exception as error:  # noqa: BLE001 - an error of one view must not keep the others in the old units
                failed.append(error)
        if failed:
            raise failed[0]

    def join(self, view: Turned) -> None:
        """Let a view follow, for as long as somebody else holds it."""
        with self._lock:
            self._views.add(view)

    def leave(self, view: Turned) -> None:
        """Let a view follow no more."""
        with self._lock:
            self._views.discard(view)

    @property
    def followers(self) -> int:
        """How many views follow."""
        with self._lock:
            return len(self._views)

    def _write(self) -> None:
        if self._path is not None:
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            text = f"units = {json.dumps(self._system)}\nsetting = {json.dumps(self._setting)}\n"
            write_whole(self._path, text.encode(), lasting=False, private=True)


@cache
def _shared() -> UnitChoice:
    return UnitChoice.open()


_OPENING = threading.Lock()


def shared_choice() -> UnitChoice:
    """The one choice that all views of this process follow, unless another is handed to them."""
    with _OPENING:
        return _shared()


def forget_shared_choice() -> None:
    """Let the next view of this process open the choice anew, as a new kernel does."""
    _shared.cache_clear()


Units = str | UnitChoice | None
"""What a view takes for its units: a system to open in, a choice to follow, or nothing for the shared one."""


def _kept(path: Path) -> dict[str, str] | None:
    """What the file says; nothing where there is none, None for a damaged one."""
    try:
        if not path.exists():
            return {}
        if not path.is_file():
            return None
        with open(path, "rb") as file:
            told = tomllib.loads(file.read(_LONGEST).decode())
        found = {"units": told["units"], "setting": told.get("setting", "")}
    except (OSError, ValueError, KeyError, RecursionError):
        return None
    return found if found["units"] in SYSTEMS and isinstance(found["setting"], str) else None


class ReleasedLock:
    """A lock that its holder may take again; what is put `after` runs when the holder has let go of it for the last time.

    So a view can turn others without holding its own lock, also where it was set in the middle of something.

    >>> lock = ReleasedLock()
    >>> with lock:
    ...     lock.after(lambda: print("then"))
    ...     print("first")
    first
    then
    """

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._depth = 0
        self._later: list[Callable[[], object]] = []

    def __enter__(self) -> ReleasedLock:
        self._lock.acquire()
        self._depth += 1
        return self

    def __exit__(self, *_: object) -> None:
        self._depth -= 1
        later: list[Callable[[], object]] = []
        if not self._depth:
            later, self._later = self._later, []
        self._lock.release()
        for act in later:
            act()

    def after(self, act: Callable[[], object]) -> None:
        """Do something without the lock: at once, or when the one who holds it lets go."""
        with self:
            self._later.append(act)


class Turned:
    """What a view with a units control does: it opens in the reader's units, its control chooses for all, and it follows.

    Its constructor calls `take_units` first and `turns_units` last.  `keeps_units` says whether it must not be turned now.
    """

    controls: dict[str, ipywidgets.Widget]
    lock: ReleasedLock
    unit_choice: UnitChoice | None = None
    _opened_in: str | None = None
    _due: str | None = None
    _quiet = 0

    def take_units(self, units: Units) -> str:
        """The unit system to open in; raises `UnknownNameError` for none."""
        if isinstance(units, str) and units not in SYSTEMS:
            raise UnknownNameError.among("unit system", units, SYSTEMS)
        self.unit_choice = units if isinstance(units, UnitChoice) else shared_choice()
        self._opened_in = units if isinstance(units, str) else None
        return self._opened_in or self.unit_choice.system

    def turns_units(self, act: Callable[[Any], object] | None = None) -> None:
        """Follow the choice from now on, and let the units control choose for all; `act` is what turns this view."""
        if control := self.controls.get("units"):
            for observer in filter(None, (self._units_moved, act, self._units_chosen)):
                control.observe(observer, "value")
        self.unit_choice.join(self)
        if self._opened_in is None:
            self.follow_units()

    @property
    def keeps_units(self) -> bool:
        """Whether the view must stay in its units for now."""
        return False

    def units_kept(self) -> None:
        """What is to be said where the view stays in its units, or need not any more."""

    @property
    def due_units(self) -> str:
        """The unit system that the view has next: the one that waits, or the present one."""
        return self._due or self.controls["units"].value

    @property
    def inner_units(self) -> Units:
        """The units of a view that is opened inside this one."""
        return self._opened_in or self.unit_choice

    def follow_units(self) -> None:
        """Turn to the chosen units, or put it off where they must be kept."""
        with self.lock:
            self._opened_in = None
            control, system = self.controls.get("units"), self.unit_choice.system
            waited, self._due = self._due, None
            if control is None or control.value == system:
                if waited:
                    self.units_kept()
            elif self.keeps_units:
                self._due = system
                self.units_kept()
            else:
                self._turn_quietly(system)

    def catch_up_units(self) -> None:
        """Turn to the units that were put off."""
        with self.lock:
            if self._due:
                self._turn_quietly(self._due)

    @contextmanager
    def quietly(self) -> Iterator[None]:
        """Whatever is set in this block chooses for nobody else."""
        with self.lock:
            self._quiet += 1
            try:
                yield
            finally:
                self._quiet -= 1

    def _turn_quietly(self, system: str) -> None:
        with self.quietly():
            self.controls["units"].value = system

    def _units_moved(self, _change: object) -> None:
        with self.lock:
            self._due = self._opened_in = None

    def _units_chosen(self, change: Any) -> None:
        with self.lock:  # whoever turns this view meanwhile has done so
            if not self._quiet:
                self.lock.after(lambda: self._choose(change["new"]))

    def _choose(self, system: str) -> None:
        self.unit_choice.choose(system)
        if self.unit_choice.notice:
            self.say(self.unit_choice.notice)
