"""Paragraphs that are read out as they come, one after the other.

What lives here: `Announcement`, with its part that runs in the browser (announcement.js).  What does not: what is said (exercise).
"""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets


class Announcement(anywidget.AnyWidget):
    """Paragraphs with a title each; a new one is added to those that stand there, and read out alone.

    `kind` is "", or "right" or "wrong" for the border of a verdict.

    >>> said = Announcement()
    >>> said.add("Hint 1 of 2", "Look at point 1.")
    >>> said.titles
    ('Hint 1 of 2',)
    """

    _esm = Path(__file__).with_name("announcement.js").read_text(encoding="utf-8")

    blocks = traitlets.List(traitlets.Dict()).tag(sync=True)

    @property
    def titles(self) -> tuple[str, ...]:
        """The titles of all paragraphs, first one first."""
        return tuple(block["title"] for block in self.blocks)

    @property
    def text(self) -> str:
        """All paragraphs as one text, for whoever has no browser."""
        return "\n".join(f"{block['title']} {block['text']}".strip() for block in self.blocks)

    def add(self, title: str, text: str, kind: str = "") -> None:
        """Say one more paragraph."""
        self.blocks = [*self.blocks, {"title": title, "text": text, "kind": kind}]

    def clear(self) -> None:
        """Take every paragraph away."""
        self.blocks = []
