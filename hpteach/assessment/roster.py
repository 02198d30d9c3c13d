"""Who is in a class: learners, read from a CSV file.

What lives here: `Learner`, `Roster` and `read_roster`.  What does not: how a CSV file is read (tabular), which questions a
learner gets (forms).

    id,name,group,units            only id is needed; the columns stand in any order, and others may stand beside them
    7,Ada Fernhill (invented),A,SI

A name is a text in any script and is never looked into: whoever prints it has to escape it.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cached_property, lru_cache
from pathlib import Path

from hpteach.assessment.tabular import Row, Sheet, read_sheet
from hpteach.errors import DataError, InputError
from hpteach.questions.expressions import shortened

COLUMNS = ("id", "name", "group", "units")
"""The headings of a roster; a learner needs the first."""

SYSTEMS = ("SI", "IP")

LONGEST_ID = 64
LONGEST_NAME = 200
"""Characters, of a name and of a group."""

_ALIKE = 0.8  # share of its letters that a name keeps when it is spelled a little otherwise (chosen)

_HIDDEN = {"Cc": "a control character", "Cf": "a character that nobody sees", "Cs": "half a character", "Zl": "a line end", "Zp": "a line end"}


@dataclass(frozen=True)
class Learner:
    """A learner: an id that nobody else in the class has, a name, a group, and the units that he or she works in.

    `units` is "SI", "IP" or "" where nothing is said.  Blanks around a text are taken off; within a name or group several, and line ends, become one.

    Raises `InputError` for an id that is missing, too long or holds a character that nobody sees, for a name or group that
    is too long, and for other units.

    >>> Learner(" 7 ", "Ada  Fernhill", units="ip")
    Learner(id='7', name='Ada Fernhill', group='', units='IP')
    """

    id: str
    name: str = ""
    group: str = ""
    units: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "id", self.id.strip())
        for column in COLUMNS[1:]:
            object.__setattr__(self, column, " ".join(getattr(self, column).split()))
        if not folded_id(self.id):
            raise InputError("there is no id: give each learner one that nobody else has")
        if len(self.id) > LONGEST_ID:
            raise InputError(f"id {shortened(self.id)} has {len(self.id)} characters: use {LONGEST_ID} or fewer")
        for letter in self.id:
            if kind := _HIDDEN.get(unicodedata.category(letter)):
                raise InputError(f"id {shortened(self.id)} holds {kind} (U+{ord(letter):04X}): write the id anew")
        for what in ("name", "group"):
            if len(text := getattr(self, what)) > LONGEST_NAME:
                raise InputError(f"{what} {shortened(text)} has {len(text)} characters: use {LONGEST_NAME} or fewer")
        if self.units.upper() in SYSTEMS:
            object.__setattr__(self, "units", self.units.upper())
        elif self.units:
            raise InputError(f"units {shortened(self.units)} are not known: write {' or '.join(SYSTEMS)}, or leave the cell empty")

    @property
    def key(self) -> str:
        """The id as ids are compared; it is the same however the id is spelled.

        >>> Learner("AB 12").key
        'ab12'
        """
        return folded_id(self.id)


@dataclass(frozen=True)
class Roster:
    """The learners of a class in the order of the file, each with an id of its own.

    `unused` are the headings of columns that nothing here reads; `understood` says how the file was read.
    """

    file: str
    learners: tuple[Learner, ...]
    unused: tuple[str, ...] = ()
    understood: str = ""

    @cached_property
    def _by_key(self) -> dict[str, Learner]:
        return {learner.key: learner for learner in self.learners}

    def find(self, id: str) -> Learner | None:
        """The learner with an id, however it is spelled; None where there is none.

        >>> Roster("class.csv", (Learner("AB 12", "Ada"),)).find("ab12").name
        'Ada'
        """
        return self._by_key.get(folded_id(id))


def folded_id(id: str) -> str:
    """An id as ids are compared: without case and blanks, in the composed form of Unicode (NFC).

    >>> folded_id(" Ab 12"), folded_id("E\\u0301va") == folded_id("\\u00e9VA")
    ('ab12', True)
    """
    bare = re.sub(r"\s", "", id)
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", bare).casefold())


@lru_cache(10_000)
def same_name(one: str, other: str) -> bool:
    """Whether two names may be one person's: case, accents, marks, the order of the words and what stands in brackets do not count, nor does a small slip.

    A name without a letter says nothing, and so may be anybody's.

    >>> same_name("M\\u00fcller, J\\u00f6rg", "jorg muller"), same_name("Ada Fernhill", "Ada Fernhil"), same_name("", "Ada"), same_name("Ben Stone", "Ada Fernhill")
    (True, True, True, False)
    """
    words, others = sorted((_words_of_name(one), _words_of_name(other)))
    if not words or not others or sorted(words) == sorted(others):
        return True
    return any(SequenceMatcher(None, " ".join(first), " ".join(second), autojunk=False).ratio() >= _ALIKE for first, second in ((words, others), (sorted(words), sorted(others))))


def _words_of_name(name: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", re.sub(r"\([^)]*\)", " ", name)).casefold()
    kept = "".join(mark if mark.isalnum() else " " for mark in plain if not unicodedata.combining(mark) and unicodedata.category(mark) != "Cf")
    return kept.split()


def read_roster(path: str | Path) -> Roster:
    """The learners of a CSV file with the columns id (needed), name, group and units.

    Raises `DataError` with file, line and what to do: for a file that cannot be read, a roster without a column id or without
    learners, an id that is missing or given twice, and what `Learner` refuses.

    >>> read_roster("nowhere.csv")
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.csv: cannot be read (No such file or directory): name a CSV file
    """
    return roster_from(read_sheet(path, needed=COLUMNS[:1]))


def roster_from(sheet: Sheet) -> Roster:
    """The learners of a table that was read; refusals as in `read_roster`.

    >>> from hpteach.assessment.tabular import sheet_from_bytes
    >>> roster_from(sheet_from_bytes(b"id;name\\n7;Ada\\n8;Ben\\n 7 ;Cem\\n", "class.csv", needed=("id",)))
    Traceback (most recent call last):
    hpteach.errors.DataError: class.csv: lines 2 and 4: both have the id '7': give each learner an id that nobody else has
    """
    found: dict[str, tuple[int, Learner]] = {}
    for row in sheet.rows:
        learner = _learner(sheet, row)
        if learner.key in found:
            line, other = found[learner.key]
            spelled = shortened(learner.id) if learner.id == other.id else f"{shortened(other.id)}, written {shortened(learner.id)} the second time"
            raise DataError(f"{sheet.file}: lines {line} and {row.line}: both have the id {spelled}: give each learner an id that nobody else has")
        found[learner.key] = (row.line, learner)
    if not found:
        raise DataError(f"{sheet.file}: holds headings and no learner: write a line for each learner below them")
    read = {sheet.column(name) for name in COLUMNS}
    unused = tuple(heading for place, heading in enumerate(sheet.headings) if place not in read and heading)
    return Roster(sheet.file, tuple(learner for _, learner in found.values()), unused, sheet.understood)


def _learner(sheet: Sheet, row: Row) -> Learner:
    if row.surplus:
        beyond = f"{shortened(', '.join(cell for cell in row.surplus if cell.strip()))} stands beyond the last heading"
        raise DataError(f"{sheet.file}: line {row.line}: {beyond}: put a text that holds the mark between columns in quotation marks")
    try:
        return Learner(*(sheet.text(row, name) for name in COLUMNS))
    except InputError as error:
        raise DataError(f"{sheet.file}: line {row.line}: {error}") from None
