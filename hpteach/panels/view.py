"""What every panel has: controls by name, a status line, a reading in words, one lock; and what a class needs of it.

What lives here: `View`, with larger type, predict first, keys and the picture code.  What does not: what a panel
shows; how a code is written (picture_code), a prediction judged (foresight), a key heard (keyboard).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from html import escape
from types import MappingProxyType

import ipywidgets

from hpteach.diagrams import SCREEN, Style
from hpteach.errors import HpteachError, InputError
from hpteach.live import LiveFigure
from hpteach.panels.foresight import WAITING, Foresight, Told
from hpteach.panels.keyboard import Keyboard
from hpteach.panels.picture_code import CodeReader, write_code
from hpteach.panels.parts import CSS, WRAPPED, grid_number, press, set_slider, turned
from hpteach.panels.scales import Scale
from hpteach.panels.unit_choice import ReleasedLock, Turned
from hpteach.units import sentence

LARGER, AGAIN, FORESEE = "1", "2", "3"
"""Keys that every panel has: larger type, the picture of the start, predict first."""

_LARGER_TYPE, _THICKER_LINES = 1.3, 1.5
_FINE = 1000
"""Parts of a slider's step that a picture code tells apart, where a value from the other unit system stands between two steps."""


class View(Turned, ipywidgets.VBox):
    """A panel: `controls` by name, `status`, `reading`; subclasses draw in `refresh`.

    A change of any control calls `refresh` under the view's lock.  A refusal is shown in
    the status line and the last good picture stays, faded; nothing is printed, and no
    error is lost.

    A subclass that calls `arrange` has a row for the class as well: `larger` (type and lines), `foresee`
    (predict first), and `code`, the picture code, which takes another code too.  `style` is then that of the
    row.  `KEYS` gives each control a key: one step on, and with Shift one step back.
    """

    KEYS: Mapping[str, str] = {}

    def __init__(self, label: str) -> None:
        self.lock = ReleasedLock()
        self.controls: dict[str, ipywidgets.Widget] = {}
        self.status = ipywidgets.HTML()
        self.reading = ipywidgets.HTML()
        self.refusal: str | None = None
        self._held = 0
        self._label = label
        self._plain_style = SCREEN
        self._density = 1.0
        self._arranged = self._large = self._foreseeing = False
        self.keyboard = Keyboard(self.key, panel=label)
        self.pictures_shown: tuple[LiveFigure, ...] = ()
        self._asks = False  # whether the next picture waits for a prediction
        self._writing = False  # whether the panel itself writes its code
        self._start: tuple[Mapping[str, int], list[tuple[str, float]]] = ({}, [])
        super().__init__()
        self.add_class("hpteach-view")

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return "SI"

    @property
    def style(self) -> Style:
        """The style to draw in, larger where the class asked for it."""
        style = self._plain_style.enlarged(_LARGER_TYPE, _THICKER_LINES) if self._large else self._plain_style
        return replace(style, density=self._density)

    @style.setter
    def style(self, style: Style) -> None:
        """The style to draw in where nobody asked for larger."""
        self._plain_style = style

    def refresh(self) -> None:
        """Compute and draw for the present controls; refuses with an `HpteachError`."""
        raise TypeError(f"{type(self).__name__} has nothing to refresh")

    def fade(self) -> None:
        """Fade pictures and texts: they are those of the last state that could be shown."""
        for picture in self.pictures_shown:
            picture.veil()
        for text in self.texts:
            text.add_class("hpteach-faded")

    def _fresh(self) -> None:
        for text in self.texts:
            text.remove_class("hpteach-faded")

    @property
    def texts(self) -> tuple[ipywidgets.Widget, ...]:
        """What says the same as the picture: it fades with it."""
        return (self.reading,)

    def told(self) -> Mapping[str, Told]:
        """The quantities of the present picture that can be predicted."""
        return {}

    def note(self) -> str:
        """A sentence for the status line that belongs to the picture just shown."""
        return ""

    CODED: Mapping[tuple[str, str], tuple[float, float, float]] = MappingProxyType({})
    """Where a picture code counts otherwise than on the slider, by the slider's name and the unit system."""

    @property
    def scales(self) -> Mapping[str, Scale]:
        """The scale of each slider that has one, for the present choices."""
        return {}

    def span(self, name: str) -> tuple[float, float, float]:
        """Least, most and step of a slider's places in a picture code, in shown numbers, for the present choices."""
        if name in self.scales:
            return self.CODED.get((name, self.system), self.scales[name].ranges[self.system])
        control = self.controls[name]
        return control.min, control.max, control.step

    def sheet(self, *children: ipywidgets.Widget) -> None:
        """Lay widgets one below the other, under the panel's look and its keys."""
        self.children = [ipywidgets.HTML(CSS), self.keyboard, *children]

    def arrange(self, controls: Iterable[ipywidgets.Widget], shown: Iterable[ipywidgets.Widget]) -> None:
        """Lay out the controls, the row for the class, the status line, and what is shown."""
        self._arranged = self.keyboard.copies = True
        self.larger = ipywidgets.ToggleButton(description="Larger for the room", layout={"width": "auto"})
        self.foresee = ipywidgets.ToggleButton(description="Predict first", layout={"width": "auto"})
        self.code = ipywidgets.Text(description="picture code", continuous_update=False, layout={"width": "400px"}, style={"description_width": "95px"})
        self.code.add_class("hpteach-code")
        self.foresight = Foresight(lambda: self.guard(self._commit_foresight))
        self.keyboard.listens_to = [key for one in (*self.KEYS, LARGER, AGAIN, FORESEE) for key in dict.fromkeys((one, one.upper()))]
        names = ", ".join(f"<b>{key}</b> {name.replace('_', ' ')}" for key, name in self.KEYS.items())
        hint = ipywidgets.HTML(
            f"<details class='hpteach-keys'><summary>Keys</summary><p>After a click on the panel: {names}; with Shift the other way. "
            f"<b>{LARGER}</b> larger, <b>{AGAIN}</b> the picture of the start, <b>{FORESEE}</b> predict first.</p></details>"
        )
        again = press("As at the start")
        again.on_click(lambda _: self.key(AGAIN))
        room = ipywidgets.Box([self.larger, self.foresee, again, self.code, self.keyboard, hint], layout={**WRAPPED, "align_items": "center"})
        room.add_class("hpteach-room")
        self.foresight.layout.display = "none"
        controls = list(controls)
        for one in controls:
            one.add_class("hpteach-controls")
        for one in (self.foresight, self.status):
            one.add_class("hpteach-first")  # where the panel is larger the picture comes before the controls
        self.children = [ipywidgets.HTML(CSS), *controls, room, self.foresight, self.status, *shown]
        self.larger.observe(self._resize, "value")
        self.foresee.observe(self._turn_foresight, "value")
        self.code.observe(self._code_typed, "value")
        self.mark_start()

    def mark_start(self) -> None:
        """Take the present controls for those of the start."""
        self._start = ({name: self.controls[name].index for name in self.choices()}, list(self.numbers()))

    def sharpen(self, *pictures: LiveFigure) -> None:
        """Name the pictures of the panel; they are drawn anew, with more pixels, when a screen of high density shows them."""

        def denser(change: dict) -> None:
            with self.lock:
                if [True for picture in pictures if picture.sharpen(change["new"])]:
                    self._density = change["new"]
                    if not self._waits():  # a picture that waits for a prediction is drawn anew after it
                        self._changed(None)

        self.pictures_shown = pictures
        for picture in pictures:
            picture.image.observe(denser, "density")

    def watch(self, names: Iterable[str] | None = None) -> None:
        """Refresh whenever one of the named controls (or any) changes."""
        for name in names if names is not None else self.controls:
            self.controls[name].observe(self._changed, "value")

    def set(self, values: Mapping[str, object]) -> None:
        """Set several controls and refresh once."""
        with self.held():
            for name, value in values.items():
                self.controls[name].value = value

    @contextmanager
    def held(self) -> Iterator[None]:
        """Put off refreshing until the block ends, then refresh once."""
        with self.lock:
            self._held += 1
            try:
                yield
            finally:
                self._held -= 1
            self._changed(None)

    def close(self) -> None:
        """Take the panel from the page; it follows no choice of units any more."""
        if self.unit_choice is not None:
            self.unit_choice.leave(self)
        super().close()

    def say(self, text: str, *, refused: bool = False) -> None:
        """Write one sentence in the status line."""
        kind = " hpteach-refused" if refused else ""
        self.status.value = f'<div class="hpteach-status{kind}" role="status" aria-live="polite">{escape(text)}</div>'

    def guard(self, act: Callable[[], object]) -> None:
        """Do something under the lock; a refusal or an error of our own goes to the status line."""
        with self.lock:
            try:
                act()
            except HpteachError as error:
                self._refuse(sentence(error, self.system))
            except Exception as error:  # a callback's error would vanish: it is said here as well as raised
                self._refuse(f"This panel met an error of its own ({type(error).__name__}: {error}). Please report it.")
                raise
            else:
                self.refusal = None

    def _changed(self, _change: object) -> None:
        with self.lock:
            if self._held:
                return
            if self._waits():
                self.fade()
                self.say(WAITING)
            else:
                self.guard(self._refreshed)

    def _refreshed(self) -> None:
        self.refresh()
        self._fresh()
        self.say(self.note())
        self._picture_shown()

    def _refuse(self, text: str) -> None:
        self.refusal = text
        self.say(text, refused=True)
        if self._arranged and not self._waits():
            self._write_field("", "no code: this state cannot be shown")
        self.fade()

    # Keys -------------------------------------------------------------------------------

    def key(self, key: str) -> None:
        """Do what a key does: a step of its control, or one of the keys that every panel has."""
        if not self._arranged:
            return
        if key == AGAIN:
            with self.held(), self.quietly():
                system = self.system
                self._set_all(*self._start)
                if "units" in self.controls:
                    self.controls["units"].value = system
        elif key in (LARGER, FORESEE):
            button = self.larger if key == LARGER else self.foresee
            button.value = not button.value
        elif (name := self.KEYS.get(key.lower())) and not self.controls[name].disabled:
            with self.lock:
                turned(self.controls[name], backwards=key != key.lower())

    # The picture code -------------------------------------------------------------------

    def write_code(self) -> str:
        """The code of the present controls; raises `InputError` where one stands outside its range."""
        numbers = list(self.numbers())
        parts = _FINE if any(grid_number(number, *self.span(name)[::2], _FINE) % _FINE for name, number in numbers) else 1
        choices = [(len(self.controls[name].options), self.controls[name].index) for name in self.choices()]
        return write_code(self._edition(), [*choices, (2, int(parts == _FINE)), *(self._place(name, number, parts) for name, number in numbers)])

    def go_to(self, code: str) -> None:
        """Set the controls to those of a code; raises `InputError` and moves nothing for one that is not of this panel."""
        reader = CodeReader(self._edition(), code)
        before = ({name: self.controls[name].index for name in self.choices()}, list(self.numbers()))
        with self.held(), self.quietly():
            self.take_choices({name: reader.take(len(self.controls[name].options)) for name in self.choices()})
            parts = _FINE if reader.take(2) else 1
            numbers = []
            for name, _ in self.numbers():
                least, most, step = self.span(name)
                numbers.append((name, round(least + reader.take(grid_number(most, least, step, parts) + 1) * step / parts, 6)))
            try:
                reader.end()
            except InputError:
                self._set_all(*before)
                raise
            self.take_numbers(numbers)
            self._asks = False

    def _set_all(self, choices: Mapping[str, int], numbers: Iterable[tuple[str, float]]) -> None:
        self.take_choices(choices)
        self.take_numbers(numbers)
        self._asks = False

    def choices(self) -> tuple[str, ...]:
        """The controls of a picture code that choose from a list; the first to be set, as they may say how far a slider goes."""
        return tuple(name for name, control in self.controls.items() if hasattr(control, "options"))

    def numbers(self) -> Iterable[tuple[str, float]]:
        """The sliders of a picture code with their shown numbers."""
        return [(name, control.value) for name, control in self.controls.items() if isinstance(control, ipywidgets.FloatSlider)]

    def take_choices(self, indices: Mapping[str, int]) -> None:
        """Set the controls that choose from a list."""
        for name, index in indices.items():
            self.controls[name].index = index

    def take_numbers(self, numbers: Iterable[tuple[str, float]]) -> None:
        """Set the sliders."""
        for name, number in numbers:
            reach = self.scales[name].reach(number, self.system) if name in self.scales else self.span(name)
            set_slider(self.controls[name], *reach, number)

    def _place(self, name: str, number: float, parts: int) -> tuple[int, int]:
        least, most, step = self.span(name)
        many, at = (grid_number(one, least, step, parts) for one in (most, number))
        if not 0 <= at <= many:
            raise InputError(f"{number:g} is beyond the slider's {least:g} to {most:g}: move it first")
        return many + 1, at

    def _edition(self) -> str:
        """What the places of a code mean: the panel and all its choices."""
        return f"{self._label}|{[(name, [str(one) for one in self.controls[name].options]) for name in self.choices()]}"

    def _show_code(self) -> None:
        try:
            self._write_field(self.write_code())
        except InputError as error:
            self._write_field("", f"no code: {sentence(error, self.system)}")

    def _write_field(self, code: str, placeholder: str = "") -> None:
        self._writing = True
        self.code.value = code
        self.code.placeholder = placeholder
        self._writing = False

    def _code_typed(self, change: dict) -> None:
        if change["new"] and not self._writing:
            self._try_code(change["new"])

    def _try_code(self, code: str) -> None:
        try:
            self.go_to(code)
        except InputError as error:  # nothing has moved, so nothing is faded
            self.say(sentence(error, self.system), refused=True)

    # Larger, and predict first ----------------------------------------------------------

    def _resize(self, _change: object) -> None:
        with self.lock:
            self._large = self.larger.value
            (self.add_class if self._large else self.remove_class)("hpteach-large")
            if not self._waits():  # a picture that waits for a prediction is drawn larger after it
                self._changed(None)

    def _waits(self) -> bool:
        """Whether a prediction is asked for before the next picture."""
        return self._foreseeing and self._asks

    def _turn_foresight(self, _change: object) -> None:
        with self.lock:
            self._foreseeing = self.foresee.value
            self.foresight.layout.display = "" if self._foreseeing else "none"
            self.foresight.forget()
            self._asks = False
            self._changed(None)

    def _commit_foresight(self) -> None:
        if self.foresight.quantity.value is None:
            raise InputError("there is nothing to predict in this picture: move the controls to one that has state points")
        if self.foresight.expected.value is None:
            raise InputError("choose first what you expect: a wrong guess teaches as much as a right one")
        before = self.told()  # of the picture still shown, in the units of now
        self.refresh()
        self._fresh()
        self.say(self.note())
        self.foresight.judge(before, self.told())
        self._picture_shown()

    def _picture_shown(self) -> None:
        if not self._arranged:
            return
        self._show_code()
        if self._foreseeing:
            told = self.told()
            self._asks = bool(told)
            self.foresight.ask(told)
