"""The time that is left of an exam, counted down in the browser from what the kernel says.

What lives here: `ExamClock`, with its part that runs in the browser (exam_clock.js).  What does not: the deadline (assessment.sitting).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import anywidget
import traitlets


class ExamClock(anywidget.AnyWidget):
    """The seconds that are left, said aloud at ten, five and one minute; `asked` is called when the browser wants to know them anew.

    >>> clock = ExamClock(lambda: None)
    >>> clock.show(90.0)
    >>> clock.left[0]
    90.0
    """

    _esm = Path(__file__).with_name("exam_clock.js").read_text(encoding="utf-8")

    left = traitlets.List(traitlets.Float()).tag(sync=True)

    def __init__(self, asked: Callable[[], None]) -> None:
        super().__init__()
        self._told = 0
        self.on_msg(lambda _, content, __: asked() if content.get("ask") else None)

    def show(self, seconds: float) -> None:
        """Count down from so many seconds; the second number tells one message from the next."""
        self._told += 1
        self.left = [seconds, float(self._told)]

    def stop(self) -> None:
        """Show no time."""
        self.left = []
