"""Filling the gaps of a question's texts with its numbers, as the reader's system prints them.

What lives here: `Writer`.  What does not: finding the gaps of a text (expressions), solving (scenarios).
"""

from __future__ import annotations

from collections.abc import Mapping

from hpteach import units
from hpteach.errors import LimitError
from hpteach.questions.expressions import fill
from hpteach.questions.scenarios import KINDS_OF, OTHER, UNIT_OF_MASS, Solved


class Writer:
    """Fills the gaps of a text: drawn quantities as printed, solved ones in the system's units.

    `kinds` are those of the drawn quantities.  `solved` is what it writes from; it is replaced when printed
    numbers take the place of exact ones.
    """

    def __init__(self, drawn: Mapping[str, str], kinds: Mapping[str, str], system: str, atmosphere: float, solved: Solved) -> None:
        self.drawn, self.kinds, self.system, self.atmosphere, self.solved = drawn, kinds, system, atmosphere, solved

    def text(self, template: str, **extra: str) -> str:
        """The template with every gap filled; `extra` are gaps of its own, such as the answer."""
        return fill(template, lambda name, kind: extra[name] if name in extra else self(name, kind))

    def __call__(self, name: str, kind: str | None = None) -> str:
        """What stands in the gap of a name, shown as a kind (by default its own)."""
        if name == UNIT_OF_MASS:
            return {"SI": "kilogram", "IP": "pound"}[self.system]
        if name in self.drawn and kind is None:
            return self.drawn[name]
        if name in self.solved.words:
            return self.solved.words[name]
        if name not in self.solved.quantities:
            raise LimitError(f"this cycle does not make the point of {name}: draw other conditions")
        value, own = self.solved.quantities[name], self.kind(name)
        return self.shown(value + self.atmosphere if own == "gauge pressure" else value, kind or own)

    def kind(self, name: str) -> str:
        """The kind of quantity that a name stands for."""
        if name in self.kinds:
            return self.kinds[name]
        return "pressure" if name == "atmosphere" else KINDS_OF[name.removeprefix(OTHER)]

    def shown(self, value: float, kind: str) -> str:
        """A quantity (SI, a gauge pressure in Pa absolute) as the reader's system shows it."""
        return units.show(value, kind, self.system, atmosphere=self.atmosphere)
