"""A mock exam sat against the clock, kept so that nothing is lost, and its result after handing in.

What lives here: `Sittings`, the file of this user's sittings; `Sitting`, one of them as it stands; `result_of` one that is handed in.
What does not: which questions an exam has (blueprint, forms), marking (marking), showing it (panels).

A sitting is a list of events, each one a row that is on the disk before the call returns: it begins with its form and its
deadline, then come answers, flags and pages, and at last the handing in.  So a killed kernel loses nothing, and several notebooks
may sit at one sitting: of two answers to one part the later counts, of two hand-ins the earlier, and what comes after the deadline
or after handing in counts for nothing.

The clock never runs backwards: time goes on with the machine's steady clock where the clock on the wall is set back, and no moment
lies before the last event.  A clock set back while nothing runs gives no more time than was left at the last event.  This guards
against accidents; whoever owns the machine can cheat nobody but himself or herself.
"""

from __future__ import annotations

import json
import os
import secrets
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import MappingProxyType
from typing import Any

from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.forms import Form, deal_forms
from hpteach.assessment.hand_in import LONGEST_ANSWER, HandIn
from hpteach.assessment.manifest import Manifest, manifest, manifest_of
from hpteach.assessment.marked import UNREADABLE, LearnerMarks, PartMark
from hpteach.assessment.marking import mark
from hpteach.assessment.progress import OFF, SETTING, usual_path
from hpteach.assessment.record_file import RecordFile
from hpteach.assessment.roster import Learner
from hpteach.assessment.secret import Secret
from hpteach.assessment.sitting_file import SITTINGS, sittings_path
from hpteach.assessment.variant_store import VariantStore
from hpteach.errors import DataError, InputError, ProgressError
from hpteach.questions import Bank

BEGUN, ANSWER, FLAG, PLACE, HANDED_IN = "begun", "answer", "flag", "place", "handed in"
"""The events of a sitting."""

ALONE = "me"
"""The id of a learner who sits alone; nobody's name is kept."""

_FILE = "the mock exam"
_TIME = "%Y-%m-%dT%H:%M:%S.%fZ"


@dataclass(frozen=True)
class Sitting:
    """One sitting as it stands at the moment `as_of`; texts of answers by question number and part, `flagged` the numbers of questions to come back to.

    >>> from hpteach.assessment.blueprint import read_blueprint
    >>> from hpteach.questions import read_bank
    >>> begun = Sittings.off().begin(read_blueprint("lesson-01"), read_bank())
    >>> begun.open, begun.answer(1, "a"), begun.answered(1, ["a"])
    (True, '', 0)
    """

    id: str
    manifest: Manifest
    started: datetime
    deadline: datetime
    as_of: datetime
    answers: Mapping[tuple[int, str], str]
    flagged: frozenset[int]
    place: int
    handed_in: datetime | None
    time_over: bool

    @property
    def blueprint(self) -> Blueprint:
        """What the exam is made of."""
        return self.manifest.blueprint

    @property
    def form(self) -> Form:
        """Its questions, with their seeds."""
        return self.manifest.forms[0]

    @property
    def open(self) -> bool:
        """Whether it is still being sat."""
        return self.handed_in is None

    @property
    def seconds_left(self) -> float:
        """Until the deadline; 0 once it is handed in."""
        return max(0.0, (self.deadline - self.as_of).total_seconds()) if self.open else 0.0

    def answer(self, number: int, part: str) -> str:
        """The answer to a part of a question, "" where there is none."""
        return self.answers.get((number, part), "")

    def answered(self, number: int, parts: Sequence[str]) -> int:
        """How many of the parts of a question have an answer."""
        return sum(bool(self.answer(number, part).strip()) for part in parts)


class Clock:
    """The time, in UTC, which never goes back while it is asked: `wall` says what time it is, `steady` counts seconds."""

    def __init__(self, wall: Callable[[], datetime] = lambda: datetime.now(UTC), steady: Callable[[], float] = time.monotonic) -> None:
        self._wall, self._steady = wall, steady
        self._last, self._at = wall(), steady()

    def now(self) -> datetime:
        """The present moment.

        >>> moments = iter([datetime(2026, 5, 4, 10, tzinfo=UTC), datetime(2026, 5, 4, 9, tzinfo=UTC)])
        >>> seconds = iter([0.0, 60.0])
        >>> str(Clock(lambda: next(moments), lambda: next(seconds)).now())
        '2026-05-04 10:01:00+00:00'
        """
        wall, steady = self._wall(), self._steady()
        self._last, self._at = max(wall, self._last + timedelta(seconds=steady - self._at)), steady
        return self._last


class Sittings:
    """The sittings of this user: `open` those in a file, `off` such that live as long as the object.

    Every method raises `ProgressError` where the file cannot be read or written, and `InputError` for what cannot be done.
    """

    def __init__(self, path: Path | None, clock: Clock | None = None) -> None:
        self._file = RecordFile(path, SITTINGS) if path else None
        self.path = self._file.path if self._file else None
        self._clock = clock or Clock()
        self._here: list[dict[str, Any]] = []
        self._manifests: dict[str, Manifest] = {}

    @classmethod
    def open(cls, path: Path | str | None = None, clock: Clock | None = None) -> Sittings:
        """The sittings in a file: the one named, else the one beside the learner's record, as HPTEACH_PROGRESS says."""
        named = os.environ.get(SETTING, "").strip()
        if path is None and named.lower() == OFF:
            return cls(None, clock)
        return cls(Path(path).expanduser() if path else sittings_path(Path(named).expanduser() if named else usual_path()), clock)

    @classmethod
    def off(cls, clock: Clock | None = None) -> Sittings:
        """Sittings that are never written down.

        >>> Sittings.off().latest() is None, Sittings.off().kept
        (True, False)
        """
        return cls(None, clock)

    @property
    def kept(self) -> bool:
        """Whether sittings are written to a file."""
        return self._file is not None

    @property
    def notice(self) -> str:
        """Where a damaged file was set aside, in a sentence; "" where none was."""
        return self._file.notice if self._file else ""

    # What is done in a sitting ------------------------------------------------------------

    def begin(self, blueprint: Blueprint, bank: Bank, *, units: str = "SI") -> Sitting:
        """Deal a form of one's own and start the clock; a drawing task is asked as its question, as nobody can draw here.

        Raises `InputError` where another sitting is still open, `DataError` where the bank cannot fill the blueprint.
        """
        if (last := self.latest()) and last.open:
            raise InputError(f"a sitting of “{last.blueprint.title}” is still open: go on with it, or hand it in first")
        asked = replace(blueprint, sections=tuple(replace(section, drawings=0) for section in blueprint.sections))
        secret, learner = Secret(secrets.token_bytes(32)), Learner(ALONE, units=units)
        forms = deal_forms([learner], asked, bank, secret, workers=1).forms
        now = self._clock.now()
        told = {"deadline": _written(now + timedelta(minutes=blueprint.minutes)), "manifest": manifest(forms, asked, bank, secret)}
        id = secrets.token_hex(8)
        self._write(now, id, BEGUN, text=json.dumps(told))
        return self.sitting(id)

    def answer(self, id: str, number: int, part: str, text: str) -> Sitting:
        """Keep the answer to a part; "" takes it back.  It is on the disk when this returns."""
        sitting = self._open_one(id)
        self._question(sitting, number)
        if len(text) > LONGEST_ANSWER:
            raise InputError(f"the answer has {len(text)} characters: use {LONGEST_ANSWER} or fewer")
        if text == sitting.answer(number, part):
            return sitting
        return self._done(sitting, ANSWER, number, part, text)

    def flag(self, id: str, number: int, on: bool = True) -> Sitting:
        """Mark a question to come back to, or take the mark away."""
        sitting = self._open_one(id)
        self._question(sitting, number)
        return sitting if (number in sitting.flagged) == on else self._done(sitting, FLAG, number, "", "on" if on else "")

    def turn_to(self, id: str, number: int) -> Sitting:
        """Note which question is looked at, so that a sitting goes on there."""
        sitting = self._open_one(id)
        self._question(sitting, number)
        return sitting if number == sitting.place else self._done(sitting, PLACE, number, "", "")

    def hand_in(self, id: str) -> Sitting:
        """End a sitting; one that has ended stays as it was."""
        sitting = self.sitting(id)
        return self._done(sitting, HANDED_IN, 0, "", "") if sitting.open else sitting

    # What stands in the record ----------------------------------------------------------

    def sitting(self, id: str) -> Sitting:
        """A sitting as it stands now; where its time is over it counts as handed in then."""
        events = [row for row in self._rows() if row["sitting"] == id]
        if not events or events[0]["event"] != BEGUN:
            raise InputError("this sitting is not in the record any more: begin another one")
        return self._settled(id, events)

    def latest(self) -> Sitting | None:
        """The sitting that was begun last and can be read, or None."""
        events: dict[str, list[dict[str, Any]]] = {}
        for row in self._rows():
            if row["event"] == BEGUN or row["sitting"] in events:
                events.setdefault(row["sitting"], []).append(row)
        for id in reversed(events):
            try:
                return self._settled(id, events[id])
            except DataError:  # of another version of the program
                continue
        return None

    # Inside -----------------------------------------------------------------------------

    def _open_one(self, id: str) -> Sitting:
        sitting = self.sitting(id)
        if not sitting.open:
            raise InputError("the time is over: this sitting is handed in" if sitting.time_over else "this sitting is handed in: nothing can be changed any more")
        return sitting

    @staticmethod
    def _question(sitting: Sitting, number: int) -> None:
        if not 1 <= number <= len(sitting.form.questions):
            raise InputError(f"there is no question {number}: use 1 to {len(sitting.form.questions)}")

    def _done(self, sitting: Sitting, event: str, number: int, part: str, text: str) -> Sitting:
        self._write(sitting.as_of, sitting.id, event, number, part, text)
        return self.sitting(sitting.id)

    def _write(self, at: datetime, id: str, event: str, number: int = 0, part: str = "", text: str = "") -> None:
        row = {"at": _written(at), "sitting": id, "event": event, "question": number, "part": part, "text": text.encode("utf-8", "replace").decode()}
        if self._file is None:
            self._here.append(row)
        else:
            self._file.write(row)

    def _rows(self) -> Sequence[dict[str, Any]]:
        return self._here if self._file is None else self._file.rows()

    def _settled(self, id: str, events: Sequence[dict[str, Any]]) -> Sitting:
        deadline = self._read(id, events[0]["text"])
        started = _moment(events[0]["at"])
        as_of = max(self._clock.now(), *(_moment(row["at"]) for row in events))
        answers: dict[tuple[int, str], str] = {}
        flagged: set[int] = set()
        place, handed_in = 1, None
        for row in events[1:]:
            at, event, number = _moment(row["at"]), row["event"], row["question"]
            if at >= deadline:
                break
            if event == HANDED_IN:
                handed_in = at
                break
            if event == ANSWER:
                answers[number, row["part"]] = row["text"]
            elif event == FLAG:
                (flagged.add if row["text"] else flagged.discard)(number)
            elif event == PLACE:
                place = number
        over = handed_in is None and as_of >= deadline
        if over and _moment(events[-1]["at"]) < deadline:  # noticed for the first time: a clock set back later opens it no more
            with suppress(ProgressError):
                self._write(as_of, id, HANDED_IN)
        found = {key: text for key, text in answers.items() if text.strip()}
        return Sitting(
            id, self._manifests[id], started, deadline, as_of, MappingProxyType(found), frozenset(flagged), place, deadline if over else handed_in, over
        )

    def _read(self, id: str, text: str) -> datetime:
        """The deadline of a sitting; its form is kept as it is read once."""
        try:
            told = json.loads(text)
            if id not in self._manifests:
                self._manifests[id] = manifest_of(told["manifest"], _FILE, None)
            return _moment(told["deadline"])
        except (ValueError, KeyError, TypeError) as error:
            raise DataError(f"{_FILE}: cannot be read ({error}): begin another one") from None


# The result ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Result:
    """What came of a sitting: `marks` as marking gives them, the parts that nobody could read, the topics below the pass mark (the weakest first), and remarks."""

    marks: LearnerMarks
    pass_mark: float
    unreadable: tuple[PartMark, ...]
    weak_topics: tuple[str, ...]
    remarks: tuple[str, ...]


def result_of(sitting: Sitting, bank: Bank, store: VariantStore | None = None) -> Result:
    """The marks of a sitting that is handed in; raises `InputError` for one that is still being sat.

    >>> from hpteach.assessment.blueprint import read_blueprint
    >>> from hpteach.questions import read_bank
    >>> sittings, bank = Sittings.off(), read_bank()
    >>> begun = sittings.begin(read_blueprint("lesson-01"), bank)
    >>> result_of(sittings.hand_in(begun.id), bank).marks.absent
    True
    """
    if sitting.open:
        raise InputError("this sitting is still open: hand it in to see what is right")
    given = HandIn(sitting.form.code, sitting.answers, sitting.started, sitting.handed_in, "", _FILE)
    marked = mark(sitting.manifest, bank, hand_ins=[given], store=store or VariantStore(bank), workers=1)
    (marks,) = marked.learners
    weak = sorted((tally for tally in marks.topics if tally.share < sitting.blueprint.pass_mark), key=lambda tally: (tally.share, -tally.possible, tally.title))
    unreadable = tuple(part for part in marks.parts if part.outcome == UNREADABLE)
    return Result(marks, sitting.blueprint.pass_mark, unreadable, tuple(tally.title for tally in weak), marked.remarks)


def _written(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime(_TIME)


def _moment(text: str) -> datetime:
    return datetime.strptime(text, _TIME).replace(tzinfo=UTC)
