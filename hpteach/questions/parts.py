"""The parts of a question as its file states them: a number, a choice, or an order.

What lives here: `read_part`, what a part is made of, and the names that its texts and
expressions may use.  What does not: the file as a whole (bank), dealing it (variants).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from hpteach import units
from hpteach.errors import HpteachError, UnknownNameError
from hpteach.questions.draws import Draw
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import Expression, expression, gaps
from hpteach.questions.mistakes import WAYS
from hpteach.questions.paths import FLAGS, STATED, WORDS
from hpteach.questions import air, fault_conditions, frost, weather
from hpteach.questions.cycle_quantities import QUANTITIES, TEXTS
from hpteach.questions.scenarios import OTHER, UNIT_OF_MASS

IDENTIFIER = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
KINDS = ("number", "choice", "order")
_NUMBER_KEYS = ("id", "kind", "text", "quantity", "only", "answer", "tolerance", "mistakes", "hints", "solution")
_CHOICE_KEYS = ("id", "kind", "text", "choices", "keep_order", "hints", "solution")
_ORDER_KEYS = ("id", "kind", "text", "listed", "hints", "solution")
_ALLOWED_KEYS = {"number": _NUMBER_KEYS, "choice": _CHOICE_KEYS, "order": _ORDER_KEYS}
CONTROLS = ("seed", "units", "prediction")
"""Names by which the panels call controls of their own, beside one for each part."""


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
    """A foreseen mistake: a wrong expression of its own, or one of the named ways."""

    id: str
    value: Expression | None
    way: str | None
    correction: str


@dataclass(frozen=True)
class Choice:
    """One choice: right always, right `when` something holds, or never; wrong for a reason.

    `solution` is what follows where it is right, told behind the solution of the part.
    """

    text: str
    when: Expression | None
    right: bool
    mistake: str | None
    correction: str
    solution: str = ""


@dataclass(frozen=True)
class QuestionPart:
    """One thing that a question asks: a number (answer, tolerance, mistakes), a choice, or an order.

    Choices are listed in an order that the seed makes, unless `keep_order` says that they
    have one of their own.  `listed` are the parts of the circuit that are to be put in order.
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


class Names:
    """The names that a question's expressions and texts may use."""

    def __init__(
        self, entry: Entry, draws: Mapping[str, Draw], scenario: Mapping, compare: Mapping, *, of_air: Mapping | None = None, of_weather: Mapping | None = None
    ) -> None:
        numbers = {"atmosphere", *(name for name, draw in draws.items() if draw.kind != "name")}
        words = {UNIT_OF_MASS, *draws}
        known: Mapping[str, str] = QUANTITIES
        texts: tuple[str, ...] = TEXTS
        stating = scenario
        if of_air:
            known, texts, stating = air.names_of({**of_air, **compare}), (), of_air
        elif of_weather:
            known, stating = frost.QUANTITIES if "defrost" in of_weather else weather.QUANTITIES, of_weather
            if "fault" in of_weather:
                known, texts = fault_conditions.QUANTITIES, (*TEXTS, *fault_conditions.TEXTS)
        for prefix, present in (("", bool(of_air or of_weather) or "refrigerant" in scenario), (OTHER, bool(compare))):
            if present:
                numbers |= {prefix + name for name in known}
                words |= {prefix + name for name in texts}
        for name in draws:
            taken = name in known or name in texts or name in ("answer", "atmosphere", UNIT_OF_MASS) or name.startswith(OTHER)
            stated = stating.get(name)
            if taken and not (isinstance(stated, Expression) and stated.text == name):
                raise entry.refuse("draw", name, "a name that is no quantity of the cycle, air or weather, unless the table that states it has the same key by it")
        if "refrigerant" not in scenario and {"valve_position", "energised_in"} & set(scenario):
            numbers |= set(FLAGS)
            words |= {*WORDS, *STATED}
        self.circuit = bool({"valve_position", "energised_in"} & set(scenario))
        self.numbers, self.words = frozenset(numbers), frozenset(words | numbers)

    def expression(self, entry: Entry, key: str, yields: str = "number") -> Expression:
        """The expression under a key, if it names only what is known."""
        text = entry.text(key)
        try:
            read = expression(text, yields)
        except HpteachError as error:
            raise entry.refuse(key, text, f"an expression ({error})") from None
        for name in sorted(read.names - self.numbers):
            raise entry.refuse(key, text, f"an expression of known names ({UnknownNameError.among('quantity', name, sorted(self.numbers))})")
        return read

    def template(self, entry: Entry, key: str, *, extra: Iterable[str] = (), text: str | None = None) -> str:
        """The text under a key (or `text`), if its gaps are known."""
        text = entry.text(key) if text is None else text
        try:
            found = gaps(text)
        except HpteachError as error:
            raise entry.refuse(key, text, f"a text with gaps ({error})") from None
        for name, kind in found:
            if name not in self.words and name not in extra:
                raise entry.refuse(key, f"{{{name}}}", "a gap that is one of " + ", ".join(sorted({*self.words, *extra})))
            if kind is not None and (kind not in units.KINDS or name not in self.numbers):
                raise entry.refuse(key, f"{{{name}:{kind}}}", "a quantity shown as one of " + ", ".join(units.KINDS))
        return text.strip()


def read_part(entry: Entry, names: Names) -> QuestionPart:
    """One table of [[parts]] as a part; raises `DataError` with file, key, value and what is allowed."""
    kind = entry.one_of("kind", KINDS)
    entry.only(_ALLOWED_KEYS[kind])
    number, choice = kind == "number", kind == "choice"
    quantity = entry.one_of("quantity", units.KINDS) if number else ""
    only = entry.one_of("only", ("absolute",)) if "only" in entry.data else None
    if only and quantity != "pressure":
        raise entry.refuse("only", only, 'no such key unless quantity = "pressure"')
    mistakes = tuple(_mistake(sub, names) for sub in entry.tables("mistakes")) if number and "mistakes" in entry.data else ()
    choices = () if not choice else tuple(_choice(sub, names) for sub in entry.tables("choices"))
    check_distinct(entry, "mistakes", (mistake.id for mistake in mistakes))
    check_distinct(entry, "choices", (choice.text for choice in choices))
    check_distinct(entry, "choices", (choice.mistake for choice in choices if choice.mistake))
    if choice:
        _check_choices(entry, choices)
    id = entry.matching("id", IDENTIFIER, "lower-case words joined by underscores")
    if id in CONTROLS:
        raise entry.refuse("id", id, f"a name other than {', '.join(CONTROLS)}, which are controls of the panel")
    return QuestionPart(
        id=id,
        kind=kind,
        text=names.template(entry, "text"),
        quantity=quantity,
        only=only,
        answer=names.expression(entry, "answer") if number else None,
        tolerance=_tolerance(entry.table("tolerance"), quantity) if number else None,
        mistakes=mistakes,
        choices=choices,
        keep_order=entry.truth("keep_order"),
        listed=_listed(entry, names) if kind == "order" else (),
        hints=tuple(names.template(entry, "hints", text=hint) for hint in entry.texts("hints")),
        solution=names.template(entry, "solution", extra=["answer"]),
    )


def _listed(entry: Entry, names: Names) -> tuple[str, ...]:
    """The parts of the circuit to be put in order; that each is met once is known when it is dealt."""
    listed = tuple(names.template(entry, "listed", text=name) for name in entry.texts("listed"))
    if not names.circuit:
        raise entry.refuse("listed", list(listed), "an order only beside a [scenario] that states the position of the valve")
    if not 3 <= len(listed) <= 8:
        raise entry.refuse("listed", len(listed), "three to eight parts of the circuit")
    check_distinct(entry, "listed", listed)
    return listed


def _tolerance(entry: Entry, quantity: str) -> Tolerance:
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


def _mistake(entry: Entry, names: Names) -> Mistake:
    entry.only(("id", "value", "way", "correction"))
    if ("value" in entry.data) == ("way" in entry.data):
        raise entry.refuse("", entry.data, "an id with either a value (an expression) or a way (a named one)")
    way = entry.one_of("way", WAYS) if "way" in entry.data else None
    id = entry.matching("id", IDENTIFIER, "lower-case words joined by underscores") if way is None or "id" in entry.data else way
    known = WAYS.get(way or id)
    correction = names.template(entry, "correction") if known is None or "correction" in entry.data else known.correction
    return Mistake(id, None if way else names.expression(entry, "value"), way, correction)


def _choice(entry: Entry, names: Names) -> Choice:
    entry.only(("text", "when", "right", "mistake", "correction", "solution"))
    right = entry.truth("right")
    if right and "when" in entry.data:
        raise entry.refuse("right", right, "true only without `when`")
    if ("mistake" in entry.data) != ("correction" in entry.data):
        raise entry.refuse("mistake", entry.data.get("mistake"), "an id together with its correction")
    mistake = entry.matching("mistake", IDENTIFIER, "lower-case words joined by underscores") if "mistake" in entry.data else None
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


def _check_choices(entry: Entry, choices: tuple[Choice, ...]) -> None:
    if not 2 <= len(choices) <= 8:
        raise entry.refuse("choices", len(choices), "two to eight choices")
    right, conditional = sum(choice.right for choice in choices), sum(choice.when is not None for choice in choices)
    if right + bool(conditional) != 1:
        raise entry.refuse("choices", f"{right} right, {conditional} with when", "one choice with right = true, or choices with `when`")


def check_distinct(entry: Entry, key: str, values: Iterable[str]) -> None:
    """Refuse a value that is there twice."""
    seen: set[str] = set()
    for value in values:
        if value in seen:
            raise entry.refuse(key, value, "a different one for each")
        seen.add(value)
