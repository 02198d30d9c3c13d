"""What learners practised, put as answers to papers, so that it is marked like them.

What lives here: `practised`, which reads records that learners wrote to a file, and `PRACTICE`, the blueprint that stands for them.
What does not: writing such a file (export), judging the answers (marking).

A learner's record holds every try with its answer, question and numbers.  Of each question the first try counts, with the numbers that it
was made with; tries at other parts of the same numbers belong to it, and what came after the worked solution was opened does not.  So nobody's
marks rise by trying again, and each learner has another set of questions.  The answers are judged anew: what the file says of right and wrong is
not looked at.  Nobody signs a record: whoever has it can change it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from hpteach.assessment.blueprint import Blueprint, Section
from hpteach.assessment.form_codes import form_code
from hpteach.assessment.forms import Form, FormQuestion
from hpteach.assessment.hand_in import HandIn
from hpteach.assessment.manifest import Manifest
from hpteach.assessment.roster import SYSTEMS, Learner
from hpteach.assessment.tabular import Row, Sheet, read_sheet
from hpteach.errors import DataError, InputError
from hpteach.questions import Bank
from hpteach.questions.expressions import shortened

ENDING = ".csv"
COLUMNS = ("at", "question", "version", "seed", "system", "part", "text", "solution_seen")
"""The headings that a record has as it is written to a file; others stand beside them."""

MOST_SEED = 2**63

_SECTION = "First tries"
PRACTICE = Blueprint(
    id="practice",
    title="Practice: first tries",
    edition=1,
    purpose="What learners practised, each the questions that came up.",
    minutes=0,
    pass_mark=0.6,
    pass_mark_why="that of the end-of-course paper; practice itself has none",
    units="learner",
    table="open",
    law="",
    sources=(),
    not_covered=(),
    sections=(Section(_SECTION, 1),),
)
"""The blueprint that stands for practice."""

_MOST_ROWS = 100_000
_AGAIN = "write the record anew with progress --export"


@dataclass(frozen=True)
class Practised:
    """Records as papers: a form for each learner, what stands on it answered, and sentences on what the instructor should know."""

    manifest: Manifest
    hand_ins: tuple[HandIn, ...]
    refused: tuple[tuple[str, str], ...]
    remarks: tuple[str, ...]


def practised(paths: Iterable[str | Path], bank: Bank) -> Practised:
    """The first tries in records that learners wrote to files, each file by its name without the ending a learner's.

    A path is a file that ends in .csv, or a folder of them.  A file that cannot be read is listed with the reason, as a hand-in is.

    Of two files that stand for one learner the second is listed.  Raises `InputError` for a path that is not there or cannot be opened, and a folder
    without such files.

    >>> import tempfile
    >>> from hpteach.assessment import Attempt
    >>> from hpteach.assessment.export import write_csv
    >>> from hpteach.questions import read_bank
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = write_csv([Attempt("read-a-gauge", 1, "start", "00", 7, "SI", "absolute", "9 bar", True)], Path(folder) / "Ada (invented).csv")
    ...     found = practised([path], read_bank())
    >>> found.manifest.forms[0].learner.id, [*found.hand_ins[0].answers.values()]
    ('Ada (invented)', ['9 bar'])
    """
    read, refused = [], []
    named: dict[str, Path] = {}
    for path in _files(paths):
        try:
            learner = Learner(path.stem)
            twin = named.setdefault(learner.key, path)
            if twin is not path:
                raise InputError(f"{path.name} and {twin.name} stand for the same learner, and the first one counts: give each file the learner's own name or id")
            read.append(_Record(learner, read_sheet(path, needed=COLUMNS, most_rows=_MOST_ROWS), bank))
        except (DataError, InputError) as error:
            said = str(error)
            refused.append((path.name, said if said.startswith(path.name) else f"{path.name}: {said}"))
    forms = tuple(one.form for one in read if one.form.questions)
    versions = {question.question: question.version for form in forms for question in form.questions}
    manifest = Manifest(PRACTICE, forms, versions)
    return Practised(manifest, tuple(one.hand_in for one in read if one.form.questions), tuple(refused), tuple(_remarks(read)))


class _Record:
    """The record of one learner: the first tries and what was passed over."""

    def __init__(self, learner: Learner, sheet: Sheet, bank: Bank) -> None:
        self.sheet, self.bank = sheet, bank
        self.questions: dict[str, FormQuestion] = {}
        self.answers: dict[tuple[int, str], str] = {}
        self.later = self.helped = 0
        self.unknown: set[str] = set()
        begun = [_moment(sheet, row) for row in sheet.rows]
        self.moments = [one for one in begun if one is not None]
        order = sorted(range(len(sheet.rows)), key=lambda place: (begun[place] or datetime.max.replace(tzinfo=UTC), place))
        for place in order:
            self._add(sheet.rows[place])
        learner = replace(learner, units=next((one.system for one in self.questions.values()), ""))
        code = form_code(int.from_bytes(hashlib.sha256(learner.key.encode()).digest()[:8], "big"))
        self.form = Form(code, learner, PRACTICE.id, tuple(self.questions.values()), 0.0, 0.0)

    @property
    def hand_in(self) -> HandIn:
        last = max(self.moments, default=datetime.min.replace(tzinfo=UTC))
        return HandIn(self.form.code, self.answers, min(self.moments, default=None), last, "", self.sheet.file)

    def _add(self, row: Row) -> None:
        id, version, seed, system, part, text, seen = (self.sheet.text(row, name) for name in COLUMNS[1:])
        where = f"{self.sheet.file}: line {row.line}"
        if row.surplus:
            raise DataError(f"{where}: a cell stands beyond the last heading: {_AGAIN}")
        numbers = [_whole(cell) for cell in (version, seed)]
        if None in numbers or system not in SYSTEMS or not id or not part:
            raise DataError(f"{where}: is not as a record writes an answer ({shortened(id or 'no question')}): {_AGAIN}")
        question = self.bank.questions.get(id)
        if question is None or question.version != numbers[0]:
            self.unknown.add(id)
            return
        if seen.casefold() == "yes":
            self.helped += 1
            return
        own = self.questions.setdefault(id, FormQuestion(len(self.questions) + 1, id, numbers[0], numbers[1], system, _SECTION, False))
        place = (own.number, part)
        if (own.seed, own.system) != (numbers[1], system) or place in self.answers:
            self.later += 1
            return
        self.answers[place] = text


def _files(paths: Iterable[str | Path]) -> list[Path]:
    found: list[Path] = []
    for path in map(Path, paths):
        try:
            path.stat()
            inside = sorted(one for one in path.iterdir() if one.suffix.lower() == ENDING) if path.is_dir() else [path]
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or error
            raise InputError(f"{str(path)[:200]!r} cannot be opened ({reason}): name a file that a learner wrote with progress --export, or a folder of them") from None
        if not inside:
            raise InputError(f"{str(path)[:200]!r} holds no file that ends in {ENDING}: name the folder with what learners wrote with progress --export")
        found += inside
    return found


def _remarks(read: Sequence[_Record]) -> Iterable[str]:
    yield "Of each question the first try counts. Nobody signs a record: whoever has it can change it."
    later, helped = sum(one.later for one in read), sum(one.helped for one in read)
    if later or helped:
        yield f"Not counted: {later} later tries, and {helped} after the worked solution was opened."
    if unknown := sorted({id for one in read for id in one.unknown}):
        more = f" and {len(unknown) - 3} more" if len(unknown) > 3 else ""
        yield f"Not judged, as the bank has no such question or version any more: {', '.join(shortened(id) for id in unknown[:3])}{more}."
    if without := [one.sheet.file for one in read if not one.form.questions]:
        yield f"Nothing to mark in {', '.join(shortened(file) for file in without[:3])}{' and others' if len(without) > 3 else ''}."


def _moment(sheet: Sheet, row: Row) -> datetime | None:
    try:
        return datetime.fromisoformat(sheet.text(row, "at")).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _whole(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 20 and int(text) < MOST_SEED else None
