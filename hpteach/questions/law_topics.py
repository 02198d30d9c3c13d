"""The topics that public law lists for technicians, and which questions practise them.

What lives here: reading and checking `law_topics.toml`, and what a bank covers.
What does not: the text of any law; look there, in the version in force, before an examination.

A code names the law and the topic: "EU 2024/2215 Annex I 1.02", "US 40 CFR 82 App. D core: leak detection".  EU 2015/2067
is repealed and stands beside its successor, for those who were examined by the old list.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import TYPE_CHECKING

from hpteach.errors import DataError
from hpteach.questions.entries import Entry

if TYPE_CHECKING:
    from hpteach.questions.bank import Bank

FILE = "law_topics.toml"
EXAM = "exam"
"""In place of a lesson's two digits: a question of law, handling or safety that no lesson teaches."""

_KEYS = ("topic", "known", "theory", "why")


@dataclass(frozen=True)
class LawTopic:
    """A topic of the law: its code, what it is in own words, and how it is known ("seen in ...", or from memory).

    `theory` is false for what a question on paper need not cover, and `why` then says why.
    """

    code: str
    topic: str
    known: str
    theory: bool
    why: str


@dataclass(frozen=True)
class Coverage:
    """Which questions of a bank (their ids) practise each topic of the law and each lesson."""

    topics: Mapping[str, tuple[str, ...]]
    lessons: Mapping[str, tuple[str, ...]]

    @property
    def missing_topics(self) -> tuple[str, ...]:
        """The codes of theory that no question practises."""
        return tuple(code for code, ids in self.topics.items() if not ids and law_topics()[code].theory)

    @property
    def missing_lessons(self) -> tuple[str, ...]:
        """The lessons that no question belongs to."""
        return tuple(lesson for lesson, ids in self.lessons.items() if not ids)


@cache
def law_topics() -> Mapping[str, LawTopic]:
    """Every topic by its code, in the order of the file.

    >>> law_topics()["US 40 CFR 82 App. D core: leak detection"].topic
    'In which order a leak is looked for'
    """
    return read_law_topics(resources.files("hpteach.questions").joinpath(FILE).read_text(encoding="utf-8"))


def read_law_topics(text: str) -> Mapping[str, LawTopic]:
    """The topics in a TOML text; raises `DataError` with file, key, value and what is allowed.

    >>> read_law_topics('["EU 1"]\\ntopic = "units"')
    Traceback (most recent call last):
    hpteach.errors.DataError: law_topics.toml: EU 1.known is missing: write a text
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataError(f"{FILE}: not readable as TOML: {error}") from None
    whole, found = Entry(FILE, "", data), {}
    for code in data:
        entry = whole.table(code)
        entry.only(_KEYS)
        theory = entry.truth("theory")
        if theory and "why" in entry.data:
            raise entry.refuse("why", entry.data["why"], "no such key beside theory = true")
        found[code] = LawTopic(code, entry.text("topic"), entry.text("known"), theory, "" if theory else entry.text("why"))
    return MappingProxyType(found)


def nearest(code: str, count: int = 3) -> tuple[str, ...]:
    """The known codes that are most like a text.

    >>> nearest("EU 2024/2251 Annex I 1.02", 1)
    ('EU 2024/2215 Annex I 1.02',)
    """
    return tuple(difflib.get_close_matches(code, list(law_topics()), n=count, cutoff=0.0))


def coverage(bank: Bank, lessons: Iterable[str] = ()) -> Coverage:
    """Which questions practise each topic of the law, and which belong to each lesson ("00", "01" ...) and to "exam".

    >>> from hpteach.questions import read_bank
    >>> "read-a-gauge" in coverage(read_bank()).topics["EU 2024/2215 Annex I 1.01"]
    True
    """
    questions = bank.questions.values()
    named = sorted({*lessons, *(question.lesson for question in questions)} - {EXAM}) + [EXAM]
    return Coverage(
        MappingProxyType({code: tuple(one.id for one in questions if code in one.covers) for code in law_topics()}),
        MappingProxyType({lesson: tuple(one.id for one in questions if one.lesson == lesson) for lesson in named}),
    )
