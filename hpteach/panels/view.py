"""What every panel has: controls by name, a status line, a reading in words, one lock.

What lives here: `View`.  What does not: what a panel shows.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from html import escape

import ipywidgets

from hpteach.errors import HpteachError
from hpteach.units import sentence

CSS = """
<style>
.hpteach-view { max-width: 1240px; }
.hpteach-view .widget-html-content, .hpteach-view .widget-html > div { font-size: 16px; line-height: 1.45; }
.hpteach-view .widget-label, .hpteach-view .widget-readout, .hpteach-view input, .hpteach-view select,
.hpteach-view button { font-size: 15px; }
.hpteach-view .widget-radio-box label { font-size: 16px; height: auto; line-height: 1.5; margin: 2px 0; white-space: normal; }
.hpteach-view .widget-html-content p { margin: 3px 0 !important; }
.hpteach-view .widget-html-content h3 { margin: 6px 0 !important; font-size: 18px; }
.hpteach-view table.hpteach-table { border-collapse: collapse; font-variant-numeric: tabular-nums; font-size: 14px; line-height: 1.25; }
.hpteach-view table.hpteach-table th, .hpteach-view table.hpteach-table td { padding: 3px 7px; border-bottom: 1px solid #8886; }
.hpteach-view .hpteach-wide { overflow-x: auto; }
.hpteach-status { min-height: 24px; }
.hpteach-refused { border-left: 6px solid #b00020; padding-left: 8px; font-weight: bold; }
.hpteach-faded { opacity: 0.5; }
.hpteach-note { border-left: 6px solid #5a6b7a; padding: 2px 10px; margin: 4px 0; }
.hpteach-right { border-left: 6px double #1b6e3c; }
.hpteach-wrong { border-left: 6px dashed #a3320b; }
.hpteach-view :focus-visible { outline: 3px solid #1a66cc; outline-offset: 1px; }
</style>
"""

_LABEL_WIDTH = "195px"
_WIDE = {"description_width": _LABEL_WIDTH}


class View(ipywidgets.VBox):
    """A panel: `controls` by name, `status`, `reading`; subclasses draw in `refresh`.

    A change of any control calls `refresh` under the view's lock.  A refusal is shown in
    the status line and the last good picture stays, faded; nothing is printed, and no
    error is lost.
    """

    def __init__(self, label: str) -> None:
        self.lock = threading.RLock()
        self.controls: dict[str, ipywidgets.Widget] = {}
        self.status = ipywidgets.HTML()
        self.reading = ipywidgets.HTML()
        self.refusal: str | None = None
        self._held = 0
        self._label = label
        super().__init__()
        self.add_class("hpteach-view")

    @property
    def system(self) -> str:
        """The unit system of the reader."""
        return "SI"

    def refresh(self) -> None:
        """Compute and draw for the present controls; refuses with an `HpteachError`."""
        raise TypeError(f"{type(self).__name__} has nothing to refresh")

    def fade(self) -> None:
        """Show that the picture is no longer that of the controls."""

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
            if not self._held:
                self.guard(self._refreshed)

    def _refreshed(self) -> None:
        self.refresh()
        self.say("")

    def _refuse(self, text: str) -> None:
        self.refusal = text
        self.say(text, refused=True)
        self.fade()


def slider(description: str, least: float, most: float, step: float, value: float) -> ipywidgets.FloatSlider:
    """A slider that follows the hand, with its number beside it."""
    return ipywidgets.FloatSlider(
        value=value,
        min=least,
        max=most,
        step=step,
        description=description,
        readout_format=".2f" if step < 0.1 else ".1f",
        style=_WIDE,
        layout={"width": "auto", "min_width": "300px"},
    )


def dropdown(description: str, options: list, value: object) -> ipywidgets.Dropdown:
    """A list to choose from."""
    return ipywidgets.Dropdown(description=description, options=options, value=value, style=_WIDE, layout={"width": "auto"})


def buttons(options: list, value: object, name: str) -> ipywidgets.ToggleButtons:
    """A few choices side by side; `labelled` puts the name before them."""
    return ipywidgets.ToggleButtons(options=options, value=value, tooltips=[f"{name}: {option}" for option in options], style={"button_width": "100px"})


def labelled(text: str, control: ipywidgets.Widget) -> ipywidgets.HBox:
    """A control with its name before it, in line with the names of sliders and lists."""
    name = ipywidgets.Label(text, layout={"width": _LABEL_WIDTH, "display": "flex", "justify_content": "flex-end"})
    return ipywidgets.HBox([name, control], layout={"flex_flow": "row wrap"})


def press(text: str) -> ipywidgets.Button:
    """A button as wide as its text."""
    return ipywidgets.Button(description=text, layout={"width": "auto", "align_self": "flex-start"})


def paragraphs(sentences: Iterable[str]) -> str:
    """Sentences as HTML, one paragraph each."""
    return '<div class="hpteach-reading">' + "".join(f"<p>{escape(s)}</p>" for s in sentences) + "</div>"
