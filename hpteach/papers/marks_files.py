"""The files of a marked class: tables for a spreadsheet, JSON, the class's page, a sheet of feedback for each learner.

What lives here: `write_marks`, the tables and the JSON.  What does not: marking (assessment.marking), the pages (class_page, feedback_page).

    marks.csv  questions.csv  mistakes.csv  rows-not-marked.csv  marked.json  class.html  feedback.html (all sheets, to print)  feedback/CODE.html

No file bears a date or a path, so that the same marks give the same bytes.  Figures are rounded to six decimals.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from hpteach.assessment.marked import LearnerMarks, MarkedClass, QuestionMarks, Tally
from hpteach.assessment.statistics import Estimate
from hpteach.assessment.tabular import Cell, sheet_bytes
from hpteach.assessment.whole_file import write_whole
from hpteach.assessment.variant_store import Told
from hpteach.errors import InputError, reason_of
from hpteach.papers.class_page import Lesson, class_page
from hpteach.papers.class_words import limits_in_words, question_in_words, reliability_in_words, scores_in_words
from hpteach.papers.feedback_page import feedback_page, feedback_pages

MARKED = "marked.json"
FEEDBACK = "feedback"
FILES = ("marks.csv", "questions.csv", "mistakes.csv", "rows-not-marked.csv", MARKED, "class.html", "feedback.html")
"""What marking writes, beside the sheets in the folder of feedback."""
WRITING = "sheets written"

FORMAT = 1

_QUESTION_COLUMNS = (
    "question", "version", "task", "title", "topic", "lesson", "level", "answered", "right", "difficulty", "discrimination", "upper_lower",
    "blank", "unreadable", "mistakes", "words",
)  # fmt: skip
_MISTAKE_COLUMNS = ("mistake", "words", "learners", "times", "lesson", "correction", "questions")
_NOT_MARKED_COLUMNS = ("file", "line", "learner", "form", "number", "part", "answer", "reason", "what to do")
_TOLD_EVERY = 20


def write_marks(marked: MarkedClass, folder: str | Path, *, lessons: Mapping[str, Lesson] | None = None, told: Told | None = None) -> tuple[Path, ...]:
    """Write all files of a marked class into a folder, which is made where it is not there, and return their paths.

    `lessons` are those that can be linked to, by their two digits.  What stands there under the same names is written over.
    Raises `InputError` where the place cannot be written.
    """
    folder, lessons = Path(folder), lessons or {}
    try:
        (folder / FEEDBACK).mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise InputError(f"{str(folder)!r} cannot be made ({reason_of(error)}): choose another folder") from None
    files = [write_whole(folder / name, data) for name, data in _tables(marked)]
    files.append(write_whole(folder / MARKED, _json(marked_dictionary(marked))))
    files.append(write_whole(folder / "class.html", class_page(marked, lessons).encode("utf-8", errors="replace")))
    files.append(write_whole(folder / "feedback.html", feedback_pages(marked, lessons).encode("utf-8", errors="replace")))
    learners = marked.marked
    for done, one in enumerate(learners, start=1):
        files.append(write_whole(folder / FEEDBACK / f"{one.form}.html", feedback_page(marked, one, lessons).encode("utf-8", errors="replace"), lasting=False))
        if told and (done % _TOLD_EVERY == 0 or done == len(learners)):
            told(WRITING, done, len(learners))
    return tuple(files)


# Tables -------------------------------------------------------------------------------


def _tables(marked: MarkedClass) -> Iterator[tuple[str, bytes]]:
    sections = [section.title for section in marked.blueprint.sections]
    yield "marks.csv", sheet_bytes(("learner", "name", "group", "form", "marks", "possible", "score", "passed", "absent", *sections), _mark_rows(marked, sections))
    yield "questions.csv", sheet_bytes(_QUESTION_COLUMNS, map(_question_row, marked.questions))
    mistakes = ((one.id, one.words, one.learners, one.times, one.lesson, one.correction, " ".join(one.questions)) for one in marked.mistakes)
    yield "mistakes.csv", sheet_bytes(_MISTAKE_COLUMNS, mistakes)
    rows = ((one.file, one.line or None, *one[2:]) for one in marked.not_marked)
    yield "rows-not-marked.csv", sheet_bytes(_NOT_MARKED_COLUMNS, rows)


def _mark_rows(marked: MarkedClass, sections: Iterable[str]) -> Iterator[list[Cell]]:
    for one in marked.learners:
        of = {tally.title: tally for tally in one.sections}
        shares = [_rounded(of[title].share) if title in of else None for title in sections]
        given = [None, None] if one.absent else [_number(one.marks), _number(one.possible)]
        yield [one.learner.id, one.learner.name, one.learner.group, one.form, *given, _rounded(one.share), one.passed, one.absent, *shares]


def _question_row(one: QuestionMarks) -> list[Cell]:
    figures = [_rounded(found.value) for found in (one.difficulty, one.discrimination, one.upper_lower)]
    mistakes = ", ".join(f"{id} {times}" for id, times in one.mistakes)
    head = [one.id, one.version, one.task, one.title, one.topic, one.lesson, one.level, one.given, one.right]
    return [*head, *figures, one.blank, one.unreadable, mistakes, question_in_words(one)]


# JSON ---------------------------------------------------------------------------------


def marked_dictionary(marked: MarkedClass) -> dict[str, Any]:
    """A marked class ready for JSON; shares are from 0 to 1, and null where there are none."""
    blueprint, found = marked.blueprint, marked.reliability
    five = marked.scores
    return {
        "format": FORMAT,
        "blueprint": {"id": blueprint.id, "edition": blueprint.edition, "title": blueprint.title, "pass_mark": blueprint.pass_mark},
        "class": {
            "learners": len(marked.learners),
            "marked": len(marked.marked),
            "absent": len(marked.absent),
            "passed": sum(bool(one.passed) for one in marked.learners),
            "mean": _rounded(marked.mean),
            "scores": None if five is None else {name: _rounded(getattr(five, name)) for name in five.__dataclass_fields__},
            "reliability": {
                "method": found.method,
                "value": _rounded(found.value),
                "reason": found.reason,
                "learners": found.learners,
                "standard_error": _rounded(found.standard_error),
            },
            "in_words": [*scores_in_words(marked), *reliability_in_words(marked), *limits_in_words(marked)],
        },
        "learners": [_learner(one) for one in marked.learners],
        "questions": [_question(one) for one in marked.questions],
        "mistakes": [
            {"id": one.id, "learners": one.learners, "times": one.times, "lesson": one.lesson, "correction": one.correction, "questions": list(one.questions)}
            for one in marked.mistakes
        ],
        "topics": [_tally(one) for one in marked.topics],
        "rows": marked.rows._asdict(),
        "not_marked": [one._asdict() for one in marked.not_marked],
        "remarks": list(marked.remarks),
    }


def _learner(one: LearnerMarks) -> dict[str, Any]:
    return {
        "learner": one.learner.id,
        "name": one.learner.name,
        "group": one.learner.group,
        "form": one.form,
        "absent": one.absent,
        "marks": _number(one.marks),
        "possible": _number(one.possible),
        "score": _rounded(one.share),
        "passed": one.passed,
        "sections": [_tally(tally) for tally in one.sections],
        "topics": [_tally(tally) for tally in one.topics],
        "mistakes": [{"id": made.id, "numbers": list(made.numbers), "lesson": made.lesson} for made in one.mistakes],
        "parts": [
            {
                "number": part.number,
                "part": part.letter,
                "question": part.question,
                "task": part.task,
                "outcome": part.outcome,
                "answer": part.answer,
                "marks": _number(part.marks),
                "possible": _number(part.possible),
                "mistake": part.mistake or None,
            }
            for part in one.parts
        ],
    }


def _question(one: QuestionMarks) -> dict[str, Any]:
    return {
        "id": one.id,
        "version": one.version,
        "task": one.task,
        "title": one.title,
        "topic": one.topic,
        "lesson": one.lesson,
        "level": one.level,
        "answered": one.given,
        "right": one.right,
        "blank": one.blank,
        "unreadable": one.unreadable,
        "difficulty": _rounded(one.difficulty.value),
        "discrimination": _rounded(one.discrimination.value),
        "upper_lower": _rounded(one.upper_lower.value),
        "why_not": _reasons(one),
        "mistakes": [{"id": id, "times": times} for id, times in one.mistakes],
        "in_words": question_in_words(one),
    }


def _reasons(one: QuestionMarks) -> dict[str, str]:
    """Why a figure is not there."""
    found: dict[str, Estimate] = {"difficulty": one.difficulty, "discrimination": one.discrimination, "upper_lower": one.upper_lower}
    return {name: told.reason for name, told in found.items() if told.value is None}


def _tally(one: Tally) -> dict[str, Any]:
    return {"title": one.title, "marks": _number(one.marks), "possible": _number(one.possible), "share": _rounded(one.share)}


def _json(found: dict[str, Any]) -> bytes:
    return (json.dumps(found, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8", errors="replace")


def _rounded(value: float | None) -> float | None:
    """A figure with six decimals, and no minus zero.

    >>> _rounded(1 / 3), _rounded(-1e-9), _rounded(None)
    (0.333333, 0.0, None)
    """
    return None if value is None or not math.isfinite(value) else round(value, 6) + 0.0


def _number(value: float) -> int | float:
    """A whole number without a decimal point.

    >>> _number(3.0), _number(2.5)
    (3, 2.5)
    """
    return int(value) if value == int(value) else value
