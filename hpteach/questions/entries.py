"""Taking the entries of a question file one by one, refusing what is not as it should be.

What lives here: `Entry`, a table of the file that knows where it stands.
What does not: what a question is made of (bank, draws, conditions).
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from hpteach import units
from hpteach.errors import DataError, HpteachError


@dataclass(frozen=True)
class Entry:
    """A table of a question file: the file, the way to the table, and what it holds.

    >>> Entry("start/mine.toml", "parts[1]", {"kind": "guess"}).one_of("kind", ("number", "choice"))
    Traceback (most recent call last):
    hpteach.errors.DataError: start/mine.toml: parts[1].kind = 'guess': allowed is one of number, choice
    """

    file: str
    place: str
    data: dict[str, Any]

    def refuse(self, key: str, value: Any, allowed: str) -> DataError:
        """The refusal of a value: file, key, value and what is allowed."""
        shown = repr(value)
        shown = shown if len(shown) <= 80 else shown[:80] + "..."
        return DataError(f"{self.file}: {self._at(key)} = {shown}: allowed is {allowed}")

    def only(self, keys: Collection[str]) -> None:
        """Refuse any key but these."""
        for key in sorted(set(self.data) - set(keys)):
            raise self.refuse(key, self.data[key], "only the keys " + ", ".join(keys))

    def text(self, key: str) -> str:
        """A text that is not empty."""
        value = self._there(key, "a text")
        if not isinstance(value, str) or not value.strip():
            raise self.refuse(key, value, "a text")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of one or more texts."""
        value = self._there(key, "a list of texts")
        if not isinstance(value, list) or not value or not all(isinstance(item, str) and item.strip() for item in value):
            raise self.refuse(key, value, "a list of one or more texts")
        return tuple(value)

    def truth(self, key: str) -> bool:
        """True or false; false where the key is absent."""
        value = self.data.get(key, False)
        if not isinstance(value, bool):
            raise self.refuse(key, value, "true or false")
        return value

    def whole(self, key: str, within: range) -> int:
        """A whole number within a range."""
        allowed = f"a whole number from {within[0]} to {within[-1]}"
        value = self._there(key, allowed)
        if type(value) is not int or value not in within:
            raise self.refuse(key, value, allowed)
        return value

    def matching(self, key: str, pattern: re.Pattern[str], allowed: str) -> str:
        """A text of a certain form."""
        value = self.text(key)
        if not pattern.fullmatch(value):
            raise self.refuse(key, value, allowed)
        return value

    def one_of(self, key: str, allowed: Collection[str]) -> str:
        """One of some words."""
        value = self.text(key)
        if value not in allowed:
            raise self.refuse(key, value, "one of " + ", ".join(allowed))
        return value

    def quantity(self, key: str, kind: str, text: str | None = None) -> float:
        """A quantity with its unit, in SI."""
        text = self.text(key) if text is None else text
        try:
            return units.read(text, kind)
        except HpteachError as error:
            raise self.refuse(key, text, f"a {kind} with its unit ({error})") from None

    def size(self, key: str, kind: str) -> float:
        """The size of a step or a tolerance, in SI: a difference of temperature, or of pressure in any unit."""
        if kind in ("pressure", "gauge pressure") and units.measured_by(_unit_of(self.text(key))) == "gauge pressure":
            kind = "gauge pressure"
        elif kind == "gauge pressure":
            kind = "pressure"
        return self.quantity(key, {"temperature": "temperature difference"}.get(kind, kind))

    def table(self, key: str) -> Entry:
        """A table inside this one."""
        value = self._there(key, "a table")
        if not isinstance(value, dict) or not value:
            raise self.refuse(key, value, "a table")
        return Entry(self.file, self._at(key), value)

    def tables(self, key: str) -> list[Entry]:
        """A list of one or more tables, counted from 1."""
        value = self._there(key, f"one or more tables [[{self._at(key)}]]")
        if not isinstance(value, list) or not value or not all(isinstance(item, dict) for item in value):
            raise self.refuse(key, value, f"one or more tables [[{self._at(key)}]]")
        return [Entry(self.file, f"{self._at(key)}[{number}]", item) for number, item in enumerate(value, start=1)]

    def tables_by_name(self, key: str, pattern: re.Pattern[str]) -> list[tuple[str, Entry]]:
        """The tables [key.name], which may be absent, with names of a certain form."""
        if key not in self.data:
            return []
        inside = self.table(key)
        for name in inside.data:
            if not pattern.fullmatch(name):
                raise self.refuse(key, name, "names of lower-case words joined by underscores")
        return [(name, inside.table(name)) for name in inside.data]

    def _at(self, key: str) -> str:
        return ".".join(step for step in (self.place, key) if step)

    def _there(self, key: str, allowed: str) -> Any:
        if key not in self.data:
            raise DataError(f"{self.file}: {self._at(key)} is missing: write {allowed}")
        return self.data[key]


def _unit_of(text: str) -> str:
    return text.lstrip("+-.0123456789 ")
