"""The learner's record: what was answered, kept in one file on this machine.

What lives here: `Progress`, and where its file lies.  What does not: the file itself (record_file), the CSV (export), what
follows from the record (study, standing).

Nothing leaves the machine, and nothing says who answered.  The file lies in the user's own data folder; the environment
variable HPTEACH_PROGRESS names another one, or says "off": then nothing is kept.
"""

from __future__ import annotations

import os
import threading
from dataclasses import asdict, fields
from pathlib import Path

from platformdirs import user_data_path

from hpteach.assessment.attempts import Attempt
from hpteach.assessment.export import write_csv
from hpteach.assessment.record_file import RecordFile
from hpteach.assessment.sitting_file import SITTINGS, sittings_path
from hpteach.errors import ProgressError

SETTING = "HPTEACH_PROGRESS"
"""The environment variable that names the file, or turns the record off."""

OFF = "off"
_FILE = "progress.sqlite3"


def usual_path() -> Path:
    """Where the record lies if nobody says otherwise.

    >>> usual_path().name
    'progress.sqlite3'
    """
    return user_data_path("hpteach", appauthor=False) / _FILE


class Progress:
    """The record of a learner; `open` gives the one of this user, `off` one that keeps nothing beyond its own life.

    `path` is its file (None where it is off).  Several notebooks, threads and commands may hold the same one.
    Opening touches no file: it is read and made when it is needed.

    >>> progress = Progress.off()
    >>> progress.record(Attempt("read-a-gauge", 1, "start", "00", 7, "SI", "absolute", "9 bar", True))
    >>> [attempt.correct for attempt in progress.attempts()], progress.kept
    ([True], False)
    """

    def __init__(self, path: Path | None) -> None:
        self._file = RecordFile(path) if path else None
        self.path = self._file.path if self._file else None
        self._lock = threading.Lock()
        self._here: list[Attempt] = []

    @classmethod
    def open(cls, path: Path | str | None = None) -> Progress:
        """The record in a file: the one named, else the one that HPTEACH_PROGRESS names, else the usual one."""
        named = os.environ.get(SETTING, "").strip() if path is None else str(path)
        if path is None and named.lower() == OFF:
            return cls(None)
        return cls(Path(named).expanduser() if named else usual_path())

    @classmethod
    def off(cls) -> Progress:
        """A record that is never written down: what is in it is gone with it."""
        return cls(None)

    @property
    def kept(self) -> bool:
        """Whether answers are written to a file."""
        return self._file is not None

    @property
    def notice(self) -> str:
        """Where a damaged file was set aside, in a sentence; "" where none was.  Known once the file was read or written."""
        return self._file.notice if self._file else ""

    def record(self, attempt: Attempt) -> None:
        """Keep one answer: it is on the disk when this returns.

        Raises `ProgressError` where it could not be kept: the file and what to do.
        """
        if self._file is None:
            with self._lock:
                self._here.append(attempt)
            return
        self._file.write({**asdict(attempt), "text": attempt.text.encode("utf-8", "replace").decode()})  # half a letter cannot be kept

    def attempts(self) -> tuple[Attempt, ...]:
        """Every answer in the order in which it was kept; raises `ProgressError` where the file cannot be read."""
        if self._file is None:
            with self._lock:
                return tuple(self._here)
        return tuple(_attempt(row) for row in self._file.rows())

    def export(self, path: Path | str) -> Path:
        """Write every answer to a CSV file for a spreadsheet, and return its path.

        Raises `ProgressError` where there is nothing to write, or the place cannot be written.
        """
        attempts, path = self.attempts(), Path(path)
        if not attempts:
            raise ProgressError(f"there is no answer to write to {path}: {self._empty()}")
        if self.path is not None and path.exists() and self.path.exists() and path.samefile(self.path):
            raise ProgressError(f"{path} is the record itself: name another file, such as answers.csv")
        return write_csv(attempts, path)

    def delete(self) -> tuple[Path, ...]:
        """Delete the file with all that belongs to it, mock exams too, and return what was deleted; raises `ProgressError` where that cannot be."""
        with self._lock:
            self._here.clear()
        return (*self._file.delete(), *RecordFile(sittings_path(self.path), SITTINGS).delete()) if self._file else ()

    def _empty(self) -> str:
        return "answer a question first" if self.kept else f"nothing is kept here, as {SETTING} says {OFF}"


def _attempt(row: dict) -> Attempt:
    told = {field.name: row[field.name] for field in fields(Attempt)}
    return Attempt(**{**told, "correct": bool(told["correct"]), "solution_seen": bool(told["solution_seen"])})
