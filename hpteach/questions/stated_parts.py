"""A part of a question as its file states it: what it is made of, and the entries that several kinds share.

What lives here: `QuestionPart`, and the reading of tolerances, mistakes and choices.
What does not: which keys a kind has (parts, and the module of each kind), dealing it (making).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from hpteach.questions.entries import Entry
from hpteach.questions.expressions import Expression
from hpteach.questions.mistakes import WAYS
from hpteach.questions.part_names import Names

IDENTIFIER = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
_WORDS = "lower-case words joined by underscores"


@dataclass(frozen=True)
class Tolerance:
    """How far from the right number still counts as right, and why so far."""

    relative: float | None
    absolute: float | None
    reason: str

    def around(self, value: float) -> float:
        """Half the width of the accepted band around a value, in SI.

        >>> Tolerance(relative=0.02, absolute=None, reason="reading the chart").around(-50.0)
        1.0
        """
        return abs(value) * self.relative if self.relative is not None else self.absolute or 0.0


@dataclass(frozen=True)
class Mistake:
    """A foreseen mistake: a wrong expression of its own, or one of the named ways; `cells` of a state table in which it can be made (none: in all)."""

    id: str
    value: Expression | None
    way: str | None
    correction: str
    cells: tuple[str, ...] = ()


@dataclass(frozen=True)
class Choice:
    """One choice: right always, right `when` something holds, or never; wrong for a reason.

    `solution` is what follows where it is right, told behind the solution of the part; `left_out` what
    is told where it is right and was not ticked.  `says` is the verdict of a reason: true or false.
    """

    text: str
    when: Expression | None
    right: bool
    mistake: str | None
    correction: str
    solution: str = ""
    left_out: str = ""
    says: bool | None = None


@dataclass(frozen=True)
class StatedTable:
    """A state table as a file states it: its points, its quantities with their tolerances, and the symbols of the cells that are given and asked ("p1")."""

    points: tuple[str, ...]
    quantities: tuple[str, ...]
    given: tuple[str, ...]
    asked: tuple[str, ...]
    tolerances: Mapping[str, Tolerance]


@dataclass(frozen=True)
class QuestionPart:
    """One thing that a question asks: a number (answer, tolerance, mistakes), one choice or several, an order, a state, a truth, or a state table.

    Choices are listed in an order that the seed makes, unless `keep_order` says that they
    have one of their own; none of them may hold where `may_be_none` says so.  `listed` are the parts of the circuit that are to
    be put in order, `place` is where the state is asked.  `read_from` is the chart from which the answer is read, with the points `marked` on it.
    """

    id: str
    kind: str
    text: str
    quantity: str
    only: str | None
    answer: Expression | None
    tolerance: Tolerance | None
    mistakes: tuple[Mistake, ...]
    choices: tuple[Choice, ...]
    keep_order: bool
    listed: tuple[str, ...]
    hints: tuple[str, ...]
    solution: str
    may_be_none: bool = False
    place: str = ""
    table: StatedTable | None = None
    read_from: str = ""
    marked: tuple[str, ...] = ()


def read_tolerance(entry: Entry, quantity: str) -> Tolerance:
    """How far from a quantity still counts as right; raises `DataError` with file, key, value and what is allowed."""
    entry.only(("relative", "absolute", "reason"))
    if ("relative" in entry.data) == ("absolute" in entry.data):
        raise entry.refuse("", entry.data, "a reason with either relative, such as 0.02, or absolute, such as '0.5 K'")
    reason = entry.text("reason")
    if "relative" in entry.data:
        relative = entry.data["relative"]
        if not isinstance(relative, float) or not 0.0 < relative <= 0.2:
            raise entry.refuse("relative", relative, "a share above 0.0 and up to 0.2")
        if quantity in ("temperature", "gauge pressure"):
            raise entry.refuse("relative", relative, f"absolute for a {quantity}, whose zero is not the end of its scale")
        return Tolerance(relative, None, reason)
    absolute = entry.size("absolute", quantity)
    if not absolute > 0.0:
        raise entry.refuse("absolute", entry.data["absolute"], "a size above zero")
    return Tolerance(None, absolute, reason)


def read_mistake(entry: Entry, names: Names, *, keys: tuple[str, ...] = ("id", "value", "way", "correction"), cells: tuple[str, ...] = ()) -> Mistake:
    """A foreseen mistake of a number; raises `DataError` with file, key, value and what is allowed."""
    entry.only(keys)
    if ("value" in entry.data) == ("way" in entry.data):
        raise entry.refuse("", entry.data, "an id with either a value (an expression) or a way (a named one)")
    way = entry.one_of("way", WAYS) if "way" in entry.data else None
    id = entry.matching("id", IDENTIFIER, _WORDS) if way is None or "id" in entry.data else way
    known = WAYS.get(way or id)
    correction = names.template(entry, "correction") if known is None or "correction" in entry.data else known.correction
    return Mistake(id, None if way else names.expression(entry, "value"), way, correction, cells)


def read_way(entry: Entry, names: Names) -> Mistake:
    """A foreseen mistake of a part that is no number: a named way, with a correction of its own if one is given."""
    if "way" not in entry.data:
        raise entry.refuse("", entry.data, "a way (a named one) in a part that is no number")
    return read_mistake(entry, names)


def read_choice(entry: Entry, names: Names, *more: str) -> Choice:
    """A choice with its text, when it is right and what is wrong about it; `more` are keys that its kind has besides."""
    entry.only(("text", "when", "right", "mistake", "correction", "solution", *more))
    right = entry.truth("right")
    if right and "when" in entry.data:
        raise entry.refuse("right", right, "true only without `when`")
    if ("mistake" in entry.data) != ("correction" in entry.data):
        raise entry.refuse("mistake", entry.data.get("mistake"), "an id together with its correction")
    mistake = entry.matching("mistake", IDENTIFIER, _WORDS) if "mistake" in entry.data else None
    return Choice(
        text=names.template(entry, "text"),
        when=names.expression(entry, "when", "truth") if "when" in entry.data else None,
        right=right,
        mistake=mistake,
        correction=names.template(entry, "correction") if mistake else "",
        solution=_own_solution(entry, names),
    )


def _own_solution(entry: Entry, names: Names) -> str:
    """What a choice adds to the solution where it is right."""
    if "solution" not in entry.data:
        return ""
    if "when" not in entry.data:
        raise entry.refuse("solution", entry.data["solution"], "no such key without `when`: write it into the solution of the part")
    return names.template(entry, "solution")


def check_one_right(entry: Entry, key: str, choices: tuple[Choice, ...]) -> None:
    """Refuse choices of which the file cannot mean that exactly one is right."""
    if not 2 <= len(choices) <= 8:
        raise entry.refuse(key, len(choices), f"two to eight {key}")
    right, conditional = sum(choice.right for choice in choices), sum(choice.when is not None for choice in choices)
    if right + bool(conditional) != 1:
        raise entry.refuse(key, f"{right} right, {conditional} with when", f"one {key.removesuffix('s')} with right = true, or {key} with `when`")


def check_distinct(entry: Entry, key: str, values: Iterable[str]) -> None:
    """Refuse a value that is there twice."""
    seen: set[str] = set()
    for value in values:
        if value in seen:
            raise entry.refuse(key, value, "a different one for each")
        seen.add(value)
