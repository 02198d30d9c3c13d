"""What a paper is made of: sections, how many questions of which topics and levels, time, pass mark, units, open or closed table.

What lives here: `Blueprint`, read from a file, and the ones that come with the project.  What does not: whether a bank can fill one
(strata), dealing its questions (forms).

One TOML file for each blueprint; its name is the id.  Every refusal names the file, the key, the value and what is allowed.

    title, purpose            texts for the first sheet
    edition = 1               raised with every change: another edition deals other papers
    minutes = 90
    pass_mark = 60            percent of the marks, and pass_mark_why = "who says so"
    units = "learner"         or "SI", "IP"; "learner": as the roster says for each
    table = "open"            a pressure-temperature card is handed out, or "closed"
    law = "EU 2024/2215"      may be left out, with sources = ["where its list of topics is from"]
    not_covered = ["What a paper cannot show ..."]
    lesson = ["00", "01"]     only in lesson-quiz.toml: one blueprint, lesson-00, for each, and {lesson} in texts is its number
    [[sections]]
    title, questions = 8
    drawings = 1              so many of them are drawing tasks, the last ones: a cycle to be marked on a blank chart
    topics, lessons           folders of the bank, two digits or "exam"; a question fits that fits each list that is given
    covers = ["EU 2024/2215 Annex I 4.*"]     codes of law_topics, or how they begin, and a star
    at_least_each = 1         of every code that is theory (else of every topic, else of every lesson) so many at least
    levels = { 1 = 2, 2 = 4, 3 = 2 }          left out: in the shares that the bank has
    kinds = ["number"], without_kinds = ["table"]      all parts of a question are of these, none is of those
    predictions = true        left out: no question that a lesson asks before it shows anything
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType

from hpteach.assessment.bounded_file import read_bounded
from hpteach.assessment.roster import SYSTEMS, Learner
from hpteach.errors import DataError, UnknownNameError
from hpteach.questions.entries import Entry
from hpteach.questions.law_topics import EXAM, FILE, law_topics, nearest
from hpteach.questions.parts import KINDS

MOST_QUESTIONS = 200
"""Of a section, and of a whole paper."""

LEARNERS_OWN = "learner"
"""In place of a unit system: the one that the roster gives each learner."""

_QUIZ = "lesson-quiz"
_QUIZ_NAME = "lesson-"
_GAP = "{lesson}"
_LESSON = re.compile(rf"\d\d|{EXAM}")
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_LARGEST = 200_000
_NAME_ONE = "name a blueprint, a TOML file"
_KEYS = ("title", "edition", "purpose", "minutes", "pass_mark", "pass_mark_why", "units", "table", "law", "sources", "not_covered", "lesson", "sections")
_SECTION_KEYS = ("title", "questions", "drawings", "topics", "lessons", "covers", "at_least_each", "levels", "kinds", "without_kinds", "predictions")


@dataclass(frozen=True)
class Section:
    """A section of a paper: how many questions, which ones fit, and how many of each level (empty: in the shares of the bank).

    So many of the questions are `drawings`.  `covers` are codes of the law, written out; at least `at_least_each` questions are of
    each of those that are theory (else of each topic, else of each lesson).
    """

    title: str
    questions: int
    topics: tuple[str, ...] = ()
    lessons: tuple[str, ...] = ()
    covers: tuple[str, ...] = ()
    at_least_each: int = 0
    levels: Mapping[int, int] = field(default_factory=dict)
    kinds: tuple[str, ...] = ()
    without_kinds: tuple[str, ...] = ()
    predictions: bool = False
    drawings: int = 0


@dataclass(frozen=True)
class Blueprint:
    """What a paper is made of; `pass_mark` is a share of the marks, from 0 to 1, `text` the file as it was read."""

    id: str
    title: str
    edition: int
    purpose: str
    minutes: int
    pass_mark: float
    pass_mark_why: str
    units: str
    table: str
    law: str
    sources: tuple[str, ...]
    not_covered: tuple[str, ...]
    sections: tuple[Section, ...]
    text: str = field(default="", repr=False)

    @cached_property
    def questions(self) -> int:
        """How many questions a form has."""
        return sum(section.questions for section in self.sections)

    def system_for(self, learner: Learner) -> str:
        """The unit system of a learner's form: "SI" where neither blueprint nor roster says another.

        >>> read_blueprint("lesson-03").system_for(Learner("7", units="IP"))
        'IP'
        """
        return (learner.units or SYSTEMS[0]) if self.units == LEARNERS_OWN else self.units


def blueprints() -> tuple[str, ...]:
    """The ids of the blueprints that come with the project.

    >>> "end-of-course" in blueprints() and "lesson-03" in blueprints()
    True
    """
    names = sorted(entry.name.removesuffix(".toml") for entry in _shipped().iterdir() if entry.name.endswith(".toml"))
    return tuple([*_lesson_quizzes(), *(name for name in names if name != _QUIZ)])


def read_blueprint(name: str | Path) -> Blueprint:
    """The blueprint called so, or in the file at a path, which ends in .toml.

    Raises `UnknownNameError` for a name that is none, `DataError` where a file is not as it should be.

    >>> read_blueprint("end-of-curse")
    Traceback (most recent call last):
    hpteach.errors.UnknownNameError: blueprint 'end-of-curse' is not known; did you mean end-of-course? ...
    """
    if isinstance(name, Path) or name.endswith(".toml") or "/" in name or "\\" in name:
        return _at(Path(name))
    if name in _lesson_quizzes():
        return blueprint_of(_shipped_text(_QUIZ), f"{_QUIZ}.toml", name)
    if name not in blueprints():
        raise UnknownNameError.among("blueprint", name, blueprints())
    return blueprint_of(_shipped_text(name), f"{name}.toml", name)


def blueprint_of(text: str, file: str, id: str) -> Blueprint:
    """The blueprint in a TOML text; `file` names it in refusals.

    Raises `DataError` with file, key, value and what is allowed.

    >>> blueprint_of("title = 'Mine'", "mine.toml", "mine")
    Traceback (most recent call last):
    hpteach.errors.DataError: mine.toml: sections is missing: write one or more tables [[sections]]
    """
    if not _SLUG.fullmatch(id):
        raise DataError(f"{file}: the file name {id[:40]!r} is the blueprint's id: allowed are lower-case letters, digits and single hyphens")
    entry = Entry(file, "", _parsed(text, file))
    entry.only(_KEYS)
    gap = _lesson_of(entry, id)
    sections = tuple(_section(sub, gap) for sub in entry.tables("sections"))
    total = sum(section.questions for section in sections)
    if total > MOST_QUESTIONS:
        raise entry.refuse("sections", f"{total} questions", f"{MOST_QUESTIONS} questions or fewer in all")
    titles = [section.title for section in sections]
    for number, title in enumerate(titles):
        if title in titles[:number]:
            raise entry.refuse(f"sections[{number + 1}].title", title, "a title that no other section has")
    if "law" in entry.data and "sources" not in entry.data:
        raise entry.refuse("law", entry.data["law"], "a law only beside sources, which say where its list of topics is from")
    return Blueprint(
        id=id,
        title=_filled(entry.text("title"), gap),
        edition=entry.whole("edition", range(1, 1000)),
        purpose=_filled(entry.text("purpose"), gap),
        minutes=entry.whole("minutes", range(1, 601)),
        pass_mark=entry.whole("pass_mark", range(1, 101)) / 100.0,
        pass_mark_why=entry.text("pass_mark_why"),
        units=entry.one_of("units", (LEARNERS_OWN, *SYSTEMS)),
        table=entry.one_of("table", ("open", "closed")),
        law=entry.text("law") if "law" in entry.data else "",
        sources=_texts_if_there(entry, "sources"),
        not_covered=tuple(_filled(sentence, gap) for sentence in entry.texts("not_covered")),
        sections=sections,
        text=text,
    )


def _at(path: Path) -> Blueprint:
    data = read_bounded(path, _LARGEST, _NAME_ONE)
    if len(data) > _LARGEST:
        raise DataError(f"{path.name}: is larger than {_LARGEST} bytes: {_NAME_ONE}")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise DataError(f"{path.name}: cannot be read (no UTF-8 text): {_NAME_ONE}") from None
    return blueprint_of(text, path.name, path.name.removesuffix(".toml"))


def _parsed(text: str, file: str) -> dict:
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise DataError(f"{file}: not readable as TOML: {error}") from None


def _shipped() -> Traversable:
    return resources.files("hpteach.assessment").joinpath("blueprints")


def _shipped_text(name: str) -> str:
    return _shipped().joinpath(f"{name}.toml").read_text(encoding="utf-8")


def _lesson_quizzes() -> tuple[str, ...]:
    return tuple(_QUIZ_NAME + lesson for lesson in _parsed(_shipped_text(_QUIZ), f"{_QUIZ}.toml")["lesson"])


def _lesson_of(entry: Entry, id: str) -> str:
    """The lesson that fills the gaps of a quiz; "" in a blueprint that is not one of many."""
    if "lesson" not in entry.data:
        return ""
    lessons, lesson = entry.texts("lesson"), id.removeprefix(_QUIZ_NAME)
    if id == lesson or lesson not in lessons:
        raise entry.refuse("lesson", list(lessons), f"such a list only in {_QUIZ}.toml; write lessons = [...] in a section")
    return lesson


def _filled(text: str, lesson: str) -> str:
    return text.replace(_GAP, lesson) if lesson else text


def _section(entry: Entry, gap: str) -> Section:
    entry.only(_SECTION_KEYS)
    questions = entry.whole("questions", range(1, MOST_QUESTIONS + 1))
    covers = _codes(entry)
    section = Section(
        title=_filled(entry.text("title"), gap),
        questions=questions,
        topics=_texts_if_there(entry, "topics"),
        lessons=_lessons(entry, gap),
        covers=covers,
        at_least_each=entry.whole("at_least_each", range(1, MOST_QUESTIONS + 1)) if "at_least_each" in entry.data else 0,
        levels=_levels(entry, questions),
        kinds=_kinds(entry, "kinds"),
        without_kinds=_kinds(entry, "without_kinds"),
        predictions=entry.truth("predictions"),
        drawings=entry.whole("drawings", range(questions + 1)) if "drawings" in entry.data else 0,
    )
    if not (section.topics or section.lessons or section.covers):
        raise DataError(f"{entry.file}: {entry.place} says nothing of which questions fit: write topics, lessons or covers")
    return section


def _codes(entry: Entry) -> tuple[str, ...]:
    """The codes of the law that are named, and those that begin as is said before a star, each once."""
    found: dict[str, None] = {}
    for text in _texts_if_there(entry, "covers"):
        if text.endswith("*"):
            meant = [code for code in law_topics() if code.startswith(text[:-1])]
        else:
            meant = [text] if text in law_topics() else []
        if not meant:
            near = ", ".join(map(repr, nearest(text.removesuffix("*"))))
            raise entry.refuse("covers", text, f"codes of {FILE}, of which the nearest are {near}, or how some of them begin, and a star")
        found |= dict.fromkeys(meant)
    return tuple(found)


def _lessons(entry: Entry, gap: str) -> tuple[str, ...]:
    lessons = tuple(_filled(lesson, gap) for lesson in _texts_if_there(entry, "lessons"))
    for lesson in lessons:
        if not _LESSON.fullmatch(lesson):
            raise entry.refuse("lessons", lesson, f'the two digits of lessons, such as "03", or "{EXAM}"')
    return lessons


def _levels(entry: Entry, questions: int) -> Mapping[int, int]:
    if "levels" not in entry.data:
        return MappingProxyType({})
    table = entry.table("levels")
    table.only(("1", "2", "3"))
    levels = {int(level): table.whole(level, range(MOST_QUESTIONS + 1)) for level in sorted(table.data)}
    if sum(levels.values()) != questions:
        raise entry.refuse("levels", table.data, f"as many questions as the section has, {questions}, not {sum(levels.values())}")
    return MappingProxyType({level: count for level, count in levels.items() if count})


def _kinds(entry: Entry, key: str) -> tuple[str, ...]:
    kinds = _texts_if_there(entry, key)
    for kind in kinds:
        if kind not in KINDS:
            raise entry.refuse(key, kind, "kinds of parts: " + ", ".join(KINDS))
    return kinds


def _texts_if_there(entry: Entry, key: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(entry.texts(key))) if key in entry.data else ()
