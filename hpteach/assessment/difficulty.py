"""How hard a question is expected to be: by rule, or from the answers of an earlier class.

What lives here: `Difficulties`.  What does not: how hard a question was for a class (statistics), how forms are made equally
hard (forms).

A difficulty is the share of marks that an average class is expected to miss, from 0 to 1.  By rule it is

    0.25, 0.45 or 0.65 for level 1, 2 or 3,  + 0.05 for a number or a table,  - 0.05 for a choice between two

for each part, and the mean over the marks of its parts for a question (common practice, no source; so are the figures).  Where n
answers of earlier learners are known, of which they missed the share m of the marks,

    difficulty = (n m + 10 rule) / (n + 10)

so that a few answers count little and many count alone (the ten is chosen).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from hpteach.assessment.marks import MOST_FOR_A_TABLE
from hpteach.assessment.tabular import Row, Sheet, read_sheet
from hpteach.errors import DataError
from hpteach.questions import Bank, Question
from hpteach.questions.expressions import shortened

LEVELS = {1: 0.25, 2: 0.45, 3: 0.65}
FOR_A_NUMBER = 0.05
FOR_TWO_CHOICES = -0.05
WEIGHT_OF_THE_RULE = 10.0
"""As many answers as this count as much as the rule."""

COLUMNS = ("question", "version", "answered", "difficulty")
_TASK, _DRAWING = "task", "drawing"


@dataclass(frozen=True)
class Measured:
    """What an earlier class made of a question: how many learners had it, and the share of marks that they missed."""

    answered: float
    missed: float


@dataclass(frozen=True)
class Difficulties:
    """How hard each question is expected to be; `measured` by id, all others by rule.

    `passed_over` are sentences on what a file said of questions that are gone or were changed since.
    """

    measured: Mapping[str, Measured] = field(default_factory=dict)
    passed_over: tuple[str, ...] = ()

    def of(self, question: Question) -> float:
        """The share of a question's marks that an average class is expected to miss.

        >>> from hpteach.questions import read_bank
        >>> question = read_bank().question("read-a-gauge")
        >>> round(by_rule().of(question), 3), round(Difficulties({"read-a-gauge": Measured(30, 0.6)}).of(question), 3)
        (0.3, 0.525)
        """
        known = self.measured.get(question.id, Measured(0.0, 0.0))
        weighed = known.answered * known.missed + WEIGHT_OF_THE_RULE * difficulty_by_rule(question)
        return weighed / (known.answered + WEIGHT_OF_THE_RULE)


def by_rule() -> Difficulties:
    """The difficulties of a bank of which no class has answered anything yet."""
    return Difficulties()


def difficulty_of_drawing(question: Question) -> float:
    """The difficulty of drawing a question's cycle: that of a number of its level.

    >>> from hpteach.questions import read_bank
    >>> difficulty_of_drawing(read_bank().question("cooling-cop"))
    0.5
    """
    return LEVELS[question.level] + FOR_A_NUMBER


def difficulty_by_rule(question: Question) -> float:
    """The difficulty that level and kinds let expect, from 0 to 1.

    >>> from hpteach.questions import read_bank
    >>> round(difficulty_by_rule(read_bank().question("read-a-gauge")), 3)
    0.3
    """
    weighed = []
    for part in question.parts:
        marks = min(MOST_FOR_A_TABLE, len(part.table.asked)) if part.table else 1.0
        more = FOR_A_NUMBER if part.kind == "number" or part.table else FOR_TWO_CHOICES if part.kind == "choice" and len(part.choices) == 2 else 0.0
        weighed.append((marks, LEVELS[question.level] + more))
    return math.fsum(marks * one for marks, one in weighed) / math.fsum(marks for marks, _ in weighed)


def read_difficulties(path: str | Path, bank: Bank) -> Difficulties:
    """The difficulties in the questions.csv of an earlier class: question, version, answered (how many learners had it), difficulty.

    There, as in test theory, difficulty is the share of marks that was got: high is easy.  A question that stands in several lines
    takes their mean, weighed by `answered`.  Lines of drawing tasks (column task) say nothing of the question and are passed over; lines
    of questions that the bank does not have, or has in another version, are passed over and named.

    Raises `DataError` with file, line and what to do.

    >>> read_difficulties("nowhere.csv", None)
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.csv: cannot be read (No such file or directory): name a CSV file
    """
    return difficulties_from(read_sheet(path, needed=COLUMNS), bank)


def difficulties_from(sheet: Sheet, bank: Bank) -> Difficulties:
    """The difficulties in a table that was read; refusals as in `read_difficulties`.

    >>> from hpteach.assessment.tabular import sheet_from_bytes
    >>> from hpteach.questions import read_bank
    >>> sheet = sheet_from_bytes(b"question,version,answered,difficulty\\nread-a-gauge,1,30,0.4\\nold-one,1,9,0.5", "questions.csv")
    >>> difficulties_from(sheet, read_bank()).passed_over
    ("questions.csv: line 3: the bank has no question 'old-one'",)
    """
    found: dict[str, Measured] = {}
    passed_over = []
    for row in sheet.rows:
        id = sheet.text(row, "question")
        version, answered = (_number(sheet, row, name, 1e9) for name in ("version", "answered"))
        if not sheet.text(row, "difficulty") or not answered or sheet.text(row, _TASK) == _DRAWING:
            continue
        got = _number(sheet, row, "difficulty", 1.0)
        if id not in bank.questions:
            passed_over.append(f"{sheet.file}: line {row.line}: the bank has no question {shortened(id)}")
        elif bank.questions[id].version != version:
            passed_over.append(f"{sheet.file}: line {row.line}: {shortened(id)} was changed since, from version {version:g} to {bank.questions[id].version}")
        else:
            before = found.get(id, Measured(0.0, 0.0))
            total = before.answered + answered
            found[id] = Measured(total, (before.answered * before.missed + answered * (1.0 - got)) / total)
    return Difficulties(MappingProxyType(found), tuple(passed_over))


def _number(sheet: Sheet, row: Row, name: str, most: float) -> float:
    text = sheet.text(row, name)
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = math.nan
    if not 0.0 <= value <= most:
        allowed = "a number from 0 to 1" if most == 1.0 else "a whole number"
        raise DataError(f"{sheet.file}: line {row.line}: {name} is {shortened(text)}: give the file that marking wrote, where it is {allowed}")
    return value
