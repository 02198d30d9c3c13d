"""The question bank: question files read, checked and kept by id.

What lives here: `read_bank` and what a question is made of.  What does not: dealing a
question with numbers (variants), judging an answer (checking).

One TOML file for each question, exercises/<topic>/<id>.toml; the file's name is the id,
which stays.  Every refusal names the file, the key, the value and what is allowed.

    title, version, topic, level (1-3), lesson ("03"), covers = ["EU 2024/2215 Annex I 1.02"]
    prompt = "… evaporates at {evaporating}, h1 = {h1} …"      gaps are filled as printed
    [draw.evaporating]      numbers or names to draw (draws)
    [scenario]              the cycle, or the air's pressure alone; may be absent (conditions)
    [compare]               what differs in a second cycle, whose quantities begin with other_
    [[parts]]
    id, text, hints = ["…"], solution = "… = {answer}"
    kind = "number"         quantity (a kind of units), answer (an expression), only = "absolute"
                            tolerance = { absolute = "0.5 K" or relative = 0.02, reason = "…" }
        [[parts.mistakes]]  id and value (an expression), or way (mistakes.WAYS), and correction
    kind = "choice"
        [[parts.choices]]   text, right = true or when = "other_w > w", mistake and correction
    keep_order = true       beside kind = "choice": listed as written, not as the seed has it

What expressions and gaps may name is listed in scenarios.  A change of numbers or meaning
raises the version; a mistake keeps its id for good.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from hpteach import units
from hpteach.errors import DataError, HpteachError, UnknownNameError
from hpteach.questions.conditions import Condition, read_conditions
from hpteach.questions.draws import Draw, read_draw
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import Expression, expression, gaps
from hpteach.questions.mistakes import WAYS
from hpteach.questions.scenarios import OTHER, QUANTITIES, TEXTS, UNIT_OF_MASS
from hpteach.tables import Table

# EU 2015/2067 is repealed by EU 2024/2215 and stands beside it for those who were examined by
# the old list.  The new Annex I was seen up to 1.02; that its later numbers mean what they meant
# in the old one is from memory, not seen here.
_LAWS = (
    r"EU (2024/2215|2015/2067) Annex I \d{1,2}\.(\d{2}|x)",
    r"US 40 CFR 82 App\. D (core|Type I|Type II|Type III)",
)
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_IDENTIFIER = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
_QUESTION_KEYS = ("title", "version", "topic", "level", "lesson", "covers", "prompt", "draw", "scenario", "compare", "parts")
_NUMBER_KEYS = ("id", "kind", "text", "quantity", "only", "answer", "tolerance", "mistakes", "hints", "solution")
_CHOICE_KEYS = ("id", "kind", "text", "choices", "keep_order", "hints", "solution")
_CONTROLS = ("seed", "units", "prediction")
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
    """One choice: right always, right `when` something holds, or never; wrong for a reason."""

    text: str
    when: Expression | None
    right: bool
    mistake: str | None
    correction: str


@dataclass(frozen=True)
class QuestionPart:
    """One thing that a question asks: a number (answer, tolerance, mistakes) or a choice.

    Choices are listed in an order that the seed makes, unless `keep_order` says that they
    have one of their own.
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
    hints: tuple[str, ...]
    solution: str


@dataclass(frozen=True)
class Question:
    """A question as its file states it, before any number is drawn."""

    id: str
    title: str
    version: int
    topic: str
    level: int
    lesson: str
    covers: tuple[str, ...]
    prompt: str
    draws: Mapping[str, Draw]
    scenario: Mapping[str, Condition]
    compare: Mapping[str, Condition]
    parts: tuple[QuestionPart, ...]

    @property
    def has_cycle(self) -> bool:
        """Whether the question states a cycle, or only quantities."""
        return "refrigerant" in self.scenario


@dataclass(frozen=True, repr=False)
class Bank:
    """All questions by id; prints as a list."""

    questions: Mapping[str, Question]

    def question(self, id: str) -> Question:
        """The question called `id`; raises `UnknownNameError` with the nearest ids.

        >>> read_bank().question("read-a-gauge").lesson
        '00'
        """
        if id not in self.questions:
            raise UnknownNameError.among("question", id, self.questions)
        return self.questions[id]

    def _table(self) -> Table:
        rows = [(q.lesson, q.topic, q.id, q.title, str(q.level)) for q in self.questions.values()]
        return Table(f"{len(rows)} questions", ("lesson", "topic", "id", "title", "level"), sorted(rows), right=(4,))

    def __str__(self) -> str:
        return str(self._table())

    def _repr_html_(self) -> str:
        return self._table()._repr_html_()

    __repr__ = __str__


def read_bank(folder: Path | None = None) -> Bank:
    """Every question under a folder; by default `exercises` at the top of the checkout.

    Raises `DataError` where the folder is missing or a file in it is not as it should be.
    """
    if folder is None:
        folder = Path(__file__).resolve().parents[2] / "exercises"
        if not folder.is_dir():
            raise DataError(
                f"the question bank is not at {folder}: the questions come with a clone of the project, "
                "so install from the clone with `pip install -e .`, or name the folder"
            )
    folder = Path(folder)
    if not folder.is_dir():
        raise DataError(f"the question bank {folder} is not a folder: name one that holds <topic>/<id>.toml")
    questions: dict[str, Question] = {}
    for path in sorted(folder.rglob("*.toml")):
        file = path.relative_to(folder).as_posix()
        question = read_question(_text_of(path, file), file)
        if question.id in questions:
            raise DataError(f"{file}: the id {question.id!r} is taken by {questions[question.id].topic}/{question.id}.toml: rename the file")
        questions[question.id] = question
    if not questions:
        raise DataError(f"the question bank {folder} holds no question: put some at <topic>/<id>.toml")
    return Bank(MappingProxyType(questions))


def read_question(text: str, file: str) -> Question:
    """The question in a file's TOML text; `file` is "<topic>/<id>.toml".

    Raises `DataError` with file, key, value and what is allowed.

    >>> read_question("version = 'one'", "start/mine.toml")
    Traceback (most recent call last):
    hpteach.errors.DataError: start/mine.toml: title is missing: write a text
    """
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise DataError(f"{file}: not readable as TOML: {error}") from None
    entry = Entry(file, "", data)
    entry.only(_QUESTION_KEYS)
    folder, _, name = file.removesuffix(".toml").rpartition("/")
    if not _SLUG.fullmatch(name):
        raise DataError(f"{file}: the file name {name!r} is the question's id: allowed are lower-case letters, digits and single hyphens")
    title = entry.text("title")
    topic = entry.text("topic")
    if topic != folder:
        raise entry.refuse("topic", topic, f"the name of its folder, {folder!r}")
    draws = {key: read_draw(sub) for key, sub in entry.tables_by_name("draw", _IDENTIFIER)}
    scenario = read_conditions(entry.table("scenario"), draws) if "scenario" in data else {}
    compare = read_conditions(entry.table("compare"), draws, compared=True) if "compare" in data else {}
    if compare and "refrigerant" not in scenario:
        raise entry.refuse("compare", sorted(compare), "only beside a [scenario] that states a cycle")
    names = _Names(entry, draws, scenario, compare)
    parts = tuple(_part(sub, names) for sub in entry.tables("parts"))
    _check_distinct(entry, "parts", (part.id for part in parts))
    return Question(
        id=name,
        title=title,
        version=entry.whole("version", range(1, 1000)),
        topic=topic,
        level=entry.whole("level", range(1, 4)),
        lesson=entry.matching("lesson", re.compile(r"\d\d"), 'the two digits of a lesson, such as "03"'),
        covers=_covers(entry),
        prompt=names.template(entry, "prompt"),
        draws=MappingProxyType(draws),
        scenario=MappingProxyType(scenario),
        compare=MappingProxyType(compare),
        parts=parts,
    )


class _Names:
    """The names that a question's expressions and texts may use."""

    def __init__(self, entry: Entry, draws: Mapping[str, Draw], scenario: Mapping, compare: Mapping) -> None:
        numbers = {"atmosphere", *(name for name, draw in draws.items() if draw.kind != "name")}
        words = {UNIT_OF_MASS, *draws}
        for prefix, present in (("", "refrigerant" in scenario), (OTHER, bool(compare))):
            if present:
                numbers |= {prefix + name for name in QUANTITIES}
                words |= {prefix + name for name in TEXTS}
        for name in draws:
            taken = name in QUANTITIES or name in TEXTS or name in ("answer", "atmosphere", UNIT_OF_MASS) or name.startswith(OTHER)
            stated = scenario.get(name)
            if taken and not (isinstance(stated, Expression) and stated.text == name):
                raise entry.refuse("draw", name, "a name that is no quantity of the cycle, unless [scenario] states the same key by it")
        self.numbers, self.words = frozenset(numbers), frozenset(words | numbers)

    def expression(self, entry: Entry, key: str, yields: str = "number") -> Expression:
        text = entry.text(key)
        try:
            read = expression(text, yields)
        except HpteachError as error:
            raise entry.refuse(key, text, f"an expression ({error})") from None
        for name in sorted(read.names - self.numbers):
            raise entry.refuse(key, text, f"an expression of known names ({UnknownNameError.among('quantity', name, sorted(self.numbers))})")
        return read

    def template(self, entry: Entry, key: str, *, extra: Iterable[str] = (), text: str | None = None) -> str:
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


def _part(entry: Entry, names: _Names) -> QuestionPart:
    kind = entry.one_of("kind", ("number", "choice"))
    entry.only(_NUMBER_KEYS if kind == "number" else _CHOICE_KEYS)
    number = kind == "number"
    quantity = entry.one_of("quantity", units.KINDS) if number else ""
    only = entry.one_of("only", ("absolute",)) if "only" in entry.data else None
    if only and quantity != "pressure":
        raise entry.refuse("only", only, 'no such key unless quantity = "pressure"')
    mistakes = tuple(_mistake(sub, names) for sub in entry.tables("mistakes")) if number and "mistakes" in entry.data else ()
    choices = () if number else tuple(_choice(sub, names) for sub in entry.tables("choices"))
    _check_distinct(entry, "mistakes", (mistake.id for mistake in mistakes))
    _check_distinct(entry, "choices", (choice.text for choice in choices))
    _check_distinct(entry, "choices", (choice.mistake for choice in choices if choice.mistake))
    if not number:
        _check_choices(entry, choices)
    id = entry.matching("id", _IDENTIFIER, "lower-case words joined by underscores")
    if id in _CONTROLS:
        raise entry.refuse("id", id, f"a name other than {', '.join(_CONTROLS)}, which are controls of the panel")
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
        hints=tuple(names.template(entry, "hints", text=hint) for hint in entry.texts("hints")),
        solution=names.template(entry, "solution", extra=["answer"]),
    )


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


def _mistake(entry: Entry, names: _Names) -> Mistake:
    entry.only(("id", "value", "way", "correction"))
    if ("value" in entry.data) == ("way" in entry.data):
        raise entry.refuse("", entry.data, "an id with either a value (an expression) or a way (a named one)")
    way = entry.one_of("way", WAYS) if "way" in entry.data else None
    id = entry.matching("id", _IDENTIFIER, "lower-case words joined by underscores") if way is None or "id" in entry.data else way
    known = WAYS.get(way or id)
    correction = names.template(entry, "correction") if known is None or "correction" in entry.data else known.correction
    return Mistake(id, None if way else names.expression(entry, "value"), way, correction)


def _choice(entry: Entry, names: _Names) -> Choice:
    entry.only(("text", "when", "right", "mistake", "correction"))
    right = entry.truth("right")
    if right and "when" in entry.data:
        raise entry.refuse("right", right, "true only without `when`")
    if ("mistake" in entry.data) != ("correction" in entry.data):
        raise entry.refuse("mistake", entry.data.get("mistake"), "an id together with its correction")
    mistake = entry.matching("mistake", _IDENTIFIER, "lower-case words joined by underscores") if "mistake" in entry.data else None
    return Choice(
        text=names.template(entry, "text"),
        when=names.expression(entry, "when", "truth") if "when" in entry.data else None,
        right=right,
        mistake=mistake,
        correction=names.template(entry, "correction") if mistake else "",
    )


def _check_choices(entry: Entry, choices: tuple[Choice, ...]) -> None:
    if not 2 <= len(choices) <= 8:
        raise entry.refuse("choices", len(choices), "two to eight choices")
    right, conditional = sum(choice.right for choice in choices), sum(choice.when is not None for choice in choices)
    if right + bool(conditional) != 1:
        raise entry.refuse("choices", f"{right} right, {conditional} with when", "one choice with right = true, or choices with `when`")


def _covers(entry: Entry) -> tuple[str, ...]:
    covers = entry.texts("covers")
    for code in covers:
        if not any(re.fullmatch(law, code) for law in _LAWS):
            raise entry.refuse("covers", code, "codes such as 'EU 2024/2215 Annex I 1.02' or 'US 40 CFR 82 App. D core'")
    return covers


def _check_distinct(entry: Entry, key: str, values: Iterable[str]) -> None:
    seen: set[str] = set()
    for value in values:
        if value in seen:
            raise entry.refuse(key, value, "a different one for each")
        seen.add(value)


def _text_of(path: Path, file: str) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise DataError(f"{file}: not readable as UTF-8 text: {error}") from None
