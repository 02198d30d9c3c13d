"""Keys pressed inside a panel, and the button that copies its picture code.

What lives here: `Keyboard`, the only widget of ours with a part that runs in the browser (keyboard.js).
What does not: what a key does (view).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import anywidget
import traitlets


class Keyboard(anywidget.AnyWidget):
    """Listens to the panel that holds it, and calls `pressed` with each key of `listens_to`.

    Keys typed into a field are left alone, and so are those with Ctrl, Alt or the command key.  Inside the
    panel the notebook's own single-key commands rest, so that no key deletes a cell.

    >>> heard = []
    >>> keyboard = Keyboard(heard.append, listens_to=["s", "S"])
    >>> keyboard.press("S")
    >>> heard
    ['S']
    """

    _esm = Path(__file__).with_name("keyboard.js").read_text(encoding="utf-8")

    listens_to = traitlets.List(traitlets.Unicode()).tag(sync=True)
    copies = traitlets.Bool(False).tag(sync=True)
    panel = traitlets.Unicode().tag(sync=True)

    def __init__(self, pressed: Callable[[str], None], **settings: object) -> None:
        super().__init__(**settings)
        self._pressed = pressed
        self.on_msg(lambda _, content, __: self.press(content.get("key", "")))

    def press(self, key: str) -> None:
        """As if a key was pressed; one that it does not listen to does nothing."""
        if key in self.listens_to:
            self._pressed(key)
