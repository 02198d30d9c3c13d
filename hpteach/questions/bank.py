"""The question bank: question files read, checked and kept by id.

What lives here: `read_bank` and what a question is made of.  What does not: its parts
(parts), dealing a question with numbers (variants), judging an answer (checking).

One TOML file for each question, exercises/<topic>/<id>.toml; the file's name is the id,
which stays.  Every refusal names the file, the key, the value and what is allowed.

    title, version, topic, level (1-3), lesson ("03", or "exam"), covers = ["EU 2024/2215 Annex I 1.02"]
    prompt = "… evaporates at {evaporating}, h1 = {h1} …"      gaps are filled as printed
    [draw.evaporating]      numbers or names to draw (draws)
    [scenario]              the cycle, the circuit alone, or the air's pressure alone; may be absent (conditions)
    [air], [weather]        air that passes a cold coil; a machine in weather; in place of a cycle (air_conditions)
    [compare]               what differs in a second cycle, air or weather, whose quantities begin with other_
    [[parts]]
    id, text, hints = ["…"], solution = "… = {answer}"
    kind = "number"         quantity (a kind of units), answer (an expression), only = "absolute"
                            tolerance = { absolute = "0.5 K" or relative = 0.02, reason = "…" }
        [[parts.mistakes]]  id and value (an expression), or way (mistakes.WAYS), and correction
    kind = "choice"
        [[parts.choices]]   text, right = true or when = "other_w > w", mistake and correction
                            solution (beside `when`: what is told behind that of the part where this choice is right)
    kind = "order"          listed = ["compressor", "{condenser}", …]: in which order are they met?
    keep_order = true       beside kind = "choice": listed as written, not as the seed has it

What expressions and gaps may name is listed in scenarios, air and weather.  A change of numbers or meaning
raises the version; a mistake keeps its id for good.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from hpteach.errors import DataError, UnknownNameError
from hpteach.questions.air_conditions import read_air_conditions
from hpteach.questions.conditions import OF_THE_AIR, Condition, read_conditions
from hpteach.questions.draws import Draw, check_followed, read_draw
from hpteach.questions.entries import Entry
from hpteach.questions.law_topics import EXAM, FILE, law_topics, nearest
from hpteach.questions.mistakes import why_not
from hpteach.questions.parts import IDENTIFIER, Names, QuestionPart, check_parts, read_part
from hpteach.questions.state_tables import asked_kinds
from hpteach.questions.ways import AIR, CIRCUIT, CYCLE, WEATHER, Stated
from hpteach.tables import Table

_LESSON = re.compile(rf"\d\d|{EXAM}")
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_QUESTION_KEYS = ("title", "version", "topic", "level", "lesson", "covers", "prompt", "draw", "scenario", "air", "weather", "compare", "parts")


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
    air: Mapping[str, Condition]
    weather: Mapping[str, Condition]
    compare: Mapping[str, Condition]
    parts: tuple[QuestionPart, ...]

    @property
    def has_cycle(self) -> bool:
        """Whether the question states a cycle, or only quantities."""
        return "refrigerant" in self.scenario

    @property
    def has_circuit_alone(self) -> bool:
        """Whether the question states a circuit without a cycle."""
        return not self.has_cycle and bool({"valve_position", "energised_in"} & set(self.scenario))


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
            near = difflib.get_close_matches(id, list(self.questions), n=3, cutoff=0.4)
            meant = f"did you mean {' or '.join(near)}? " if near else ""
            raise UnknownNameError(f"question {id[:60]!r} is not known; {meant}{'There' if near else 'there'} are {len(self.questions)}: `hpteach ask` lists them")
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

    >>> read_bank().question("read-a-gauge").topic
    'start'
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
    questions = _read_all((path.relative_to(folder).as_posix(), path) for path in sorted(folder.rglob("*.toml")))
    if not questions:
        raise DataError(f"the question bank {folder} holds no question: put some at <topic>/<id>.toml")
    return Bank(MappingProxyType(questions))


def bank_of_files(paths: Iterable[Path]) -> Bank:
    """The questions in some files, wherever they lie: the folder of each is its topic.

    Raises `DataError` where a file is not as it should be.

    >>> bank_of_files([Path("start/nowhere.toml")])
    Traceback (most recent call last):
    hpteach.errors.DataError: start/nowhere.toml: not readable (No such file or directory): see that it may be read
    """
    return Bank(MappingProxyType(_read_all((f"{path.resolve().parent.name}/{path.name}", path) for path in paths)))


def _read_all(files: Iterable[tuple[str, Path]]) -> dict[str, Question]:
    questions: dict[str, Question] = {}
    for file, path in files:
        question = _read_once(_text_of(path, file), file)
        if question.id in questions:
            raise DataError(f"{file}: the id {question.id!r} is taken by {questions[question.id].topic}/{question.id}.toml: rename the file")
        questions[question.id] = question
    return questions


@lru_cache(maxsize=1024)
def _read_once(text: str, file: str) -> Question:
    """A text is read and checked once: a lesson with many panels asks for the whole bank each time."""
    return read_question(text, file)


def read_question(text: str, file: str) -> Question:
    """The question in a file's TOML text; `file` is "<topic>/<id>.toml".

    Raises `DataError` with file, key, value and what is allowed.

    >>> read_question("version = 'one'", "start/mine.toml")
    Traceback (most recent call last):
    hpteach.errors.DataError: start/mine.toml: title is missing: write a text
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataError(f"{file}: not readable as TOML: {error}; mend the text there") from None
    except RecursionError:
        raise DataError(f"{file}: not readable as TOML: brackets stand too deep in one another; a question needs three levels at most") from None
    entry = Entry(file, "", data)
    entry.only(_QUESTION_KEYS)
    folder, _, name = file.removesuffix(".toml").rpartition("/")
    if not _SLUG.fullmatch(name):
        raise DataError(f"{file}: the file name {name!r} is the question's id: allowed are lower-case letters, digits and single hyphens")
    title = entry.text("title")
    topic = entry.text("topic")
    if topic != folder:
        raise entry.refuse("topic", topic, f"the name of its folder, {folder!r}")
    draws = {key: read_draw(sub) for key, sub in entry.tables_by_name("draw", IDENTIFIER)}
    check_followed(draws, entry)
    scenario = read_conditions(entry.table("scenario"), draws) if "scenario" in data else {}
    air, weather = (read_air_conditions(entry.table(key), draws, key) if key in data else {} for key in ("air", "weather"))
    _check_one(entry, scenario, air, weather)
    compare: Mapping[str, Condition] = {}
    if "compare" in data and (air or weather):
        compare = read_air_conditions(entry.table("compare"), draws, "air" if air else "weather", compared=True)
    elif "compare" in data:
        compare = read_conditions(entry.table("compare"), draws, compared=True)
        if "refrigerant" not in scenario:
            raise entry.refuse("compare", sorted(compare), "only beside a [scenario] that states a cycle, an [air] or a [weather]")
    names = Names(entry, draws, scenario, compare, of_air=air, of_weather=weather)
    parts = tuple(read_part(sub, names) for sub in entry.tables("parts"))
    check_parts(entry, parts)
    _check_ways(entry, parts, _stated(draws, scenario, air, weather))
    return Question(
        id=name,
        title=title,
        version=entry.whole("version", range(1, 1000)),
        topic=topic,
        level=entry.whole("level", range(1, 4)),
        lesson=entry.matching("lesson", _LESSON, f'the two digits of a lesson, such as "03", or "{EXAM}" for law, handling and safety that no lesson teaches'),
        covers=_covers(entry),
        prompt=names.template(entry, "prompt"),
        draws=MappingProxyType(draws),
        scenario=MappingProxyType(scenario),
        air=MappingProxyType(air),
        weather=MappingProxyType(weather),
        compare=MappingProxyType(compare),
        parts=parts,
    )


def _check_one(entry: Entry, scenario: Mapping[str, Condition], air: Mapping[str, Condition], weather: Mapping[str, Condition]) -> None:
    """A question states a cycle or circuit, air, or weather; beside air or weather [scenario] may say how much the air presses."""
    if air and weather:
        raise entry.refuse("weather", sorted(weather), "[air] or [weather], not both: the air at both coils is known in weather too")
    beyond = sorted(set(scenario) - set(OF_THE_AIR))
    if (air or weather) and beyond:
        raise entry.refuse("scenario", beyond, f"only {' or '.join(OF_THE_AIR)} beside [air] or [weather]")


def _stated(draws: Mapping[str, Draw], scenario: Mapping[str, Condition], air: Mapping[str, Condition], weather: Mapping[str, Condition]) -> Stated:
    tables = {CYCLE: "refrigerant" in scenario, AIR: air, WEATHER: weather}
    tables[CIRCUIT] = not tables[CYCLE] and set(scenario) - set(OF_THE_AIR)
    kinds = {draw.kind for draw in draws.values()} - {"name"}
    return Stated(frozenset(name for name, there in tables.items() if there), frozenset({*scenario, *air, *weather}), frozenset(kinds))


def _check_ways(entry: Entry, parts: Sequence[QuestionPart], stated: Stated) -> None:
    """Refuse a named way that has no meaning in what is stated, or for the number that is asked."""
    for number, part in enumerate(parts, start=1):
        for place, mistake in enumerate(part.mistakes, start=1):
            if mistake.way:
                reasons = [why_not(mistake.way, stated, quantity) for quantity in asked_kinds(part, mistake)]
                if all(reasons):
                    at = Entry(entry.file, f"parts[{number}].mistakes[{place}]", {})
                    raise at.refuse("way", mistake.way, f"a way that has a meaning here ({reasons[0]})")


def _covers(entry: Entry) -> tuple[str, ...]:
    covers = entry.texts("covers")
    for code in covers:
        if code not in law_topics():
            raise entry.refuse("covers", code, f"codes of {FILE}, of which the nearest are " + ", ".join(map(repr, nearest(code))))
    return covers


def _text_of(path: Path, file: str) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise DataError(f"{file}: not readable as UTF-8 text at byte {error.start}: save it as UTF-8") from None
    except OSError as error:
        raise DataError(f"{file}: not readable ({error.strerror or error}): see that it may be read") from None
