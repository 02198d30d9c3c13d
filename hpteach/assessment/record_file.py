"""The learner's record as a file: made, written, read, set aside where it is damaged, deleted.

What lives here: `RecordFile`, the only place that speaks to SQLite.  What does not: what a record means (attempts, progress).

Each call opens the file and closes it again, so that notebooks, threads and commands may use one file at the same time, and
each row is one transaction that is on the disk before the call returns.  The journal is SQLite's rollback journal, which
also works in a folder on a server of the school.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from hpteach.errors import ProgressError

VERSION = 1
"""Of the schema.  A file with a higher one was written by a later hpteach and is left alone."""

COLUMNS: Mapping[str, str] = {
    "number": "integer primary key", "at": "text not null", "question": "text not null", "version": "integer not null", "topic": "text not null",
    "lesson": "text not null", "seed": "integer not null", "system": "text not null", "part": "text not null", "text": "text not null",
    "correct": "integer not null check (correct in (0, 1))", "mistake": "text", "hints": "integer not null", "solution_seen": "integer not null",
}  # fmt: skip
"""Of the one table, `attempts`: a row for each answer, numbered in the order in which they were kept."""

_OURS = 0x68707465
"""What SQLite calls an application id; it stands in the file at byte 68."""


@dataclass(frozen=True)
class Kind:
    """What a file holds: one table with its columns, of a version, told from other files by an application id."""

    table: str
    columns: Mapping[str, str]
    version: int
    identity: int


ATTEMPTS = Kind("attempts", COLUMNS, VERSION, _OURS)

_PATIENCE = 10.0
"""Seconds for which another program may keep the file to itself."""

_TRIES = 8
"""How often a call begins again, where the file was set aside or deleted under it."""

_BESIDE = ("-journal", "-wal", "-shm")
_DAMAGED = {"SQLITE_CORRUPT", "SQLITE_NOTADB"}
_ELSEWHERE = "or name another file with HPTEACH_PROGRESS"
_REMEDIES = {
    "SQLITE_BUSY": f"another program has kept it to itself for more than {_PATIENCE:.0f} s: close that program",
    "SQLITE_LOCKED": "another program keeps it to itself: close that program",
    "SQLITE_READONLY": f"it may not be written: allow it, {_ELSEWHERE}",
    "SQLITE_PERM": f"it may not be used: allow it, {_ELSEWHERE}",
    "SQLITE_CANTOPEN": f"it cannot be opened: see that its folder is there and may be written, {_ELSEWHERE}",
    "SQLITE_FULL": f"the disk is full: make room, {_ELSEWHERE}",
}

Found = TypeVar("Found")


class _Unsound(Exception):
    """The file is no record, or a damaged one."""


class _Moved(Exception):
    """Another file stands here than the one that was opened."""


class RecordFile:
    """A record in the file `path`, which is made with the first row; of answers, unless another kind is named.

    `notice` says in a sentence where a damaged or foreign file was set aside, "" otherwise.
    Every method raises `ProgressError` where the file cannot be read, written or deleted.

    >>> RecordFile(Path("nowhere") / "progress.sqlite3").rows()
    []
    """

    def __init__(self, path: Path, kind: Kind = ATTEMPTS) -> None:
        self.path = Path(os.path.realpath(path))  # what is set aside or deleted is the file, not a link to it
        self.kind = kind
        self.notice = ""
        self._sound = False

    def write(self, row: Mapping[str, Any]) -> None:
        """Keep one row (all columns but the number); it is on the disk when this returns."""

        def kept(db: sqlite3.Connection) -> None:
            if not self._has_table(db):
                db.execute(f"create table {self.kind.table} ({', '.join(f'{name} {kind}' for name, kind in self.kind.columns.items())})")
                db.execute(f"pragma application_id = {self.kind.identity}")
                db.execute(f"pragma user_version = {self.kind.version}")
            names = list(row)
            db.execute(f"insert into {self.kind.table} ({', '.join(names)}) values ({', '.join('?' * len(names))})", list(row.values()))

        self._done(lambda db, seen: self._transaction(db, seen, kept), make=True)

    def rows(self) -> list[dict[str, Any]]:
        """All rows in the order in which they were kept; none where there is no file."""

        def read(db: sqlite3.Connection, _: object) -> list[dict[str, Any]]:
            if not self._has_table(db):
                return []
            columns = self.kind.columns
            return [dict(zip(columns, row)) for row in db.execute(f"select {', '.join(columns)} from {self.kind.table} order by number")]

        return self._done(read, make=False) or []

    def delete(self) -> tuple[Path, ...]:
        """Delete the file, its journal and damaged ones of its kind that were set aside; what was deleted.

        A file that is not a record of ours is refused and stays.
        """
        gone: list[Path] = []
        with self._translated("deleted"):
            if _identity(self.path) is not None:  # a folder, device or pipe is refused, and stays
                if self.path.stat().st_size and not is_record(self.path, self.kind):
                    raise ProgressError(f"{self.path} is not a record of hpteach, or damaged beyond recognition: it stays; delete it yourself if it is yours to delete")
                gone += self._alone(lambda: _unlinked([self.path, *_beside(self.path)]))
            gone += _unlinked(one for one in self.set_aside() if is_record(one, self.kind) for one in (one, *_beside(one)))
        self._sound = False
        return tuple(gone)

    def set_aside(self) -> list[Path]:
        """The damaged files that were set aside earlier and are still here."""
        return sorted(one for one in self.path.parent.glob(f"{_plain(self.path.name)}.damaged-*") if not one.name.endswith(_BESIDE))

    # Inside ---------------------------------------------------------------------------

    def _done(self, work: Callable[[sqlite3.Connection, object], Found], *, make: bool) -> Found | None:
        """What `work` finds in the open file; begun again where the file was damaged and set aside."""
        for _ in range(_TRIES):
            with self._translated("written" if make else "read"):
                if make:
                    self._made()
                seen = _identity(self.path)
                if seen is None:
                    if not make:
                        return None
                    continue  # deleted or set aside just now
                try:
                    with closing(self._connected()) as db:
                        self._examine(db)
                        return work(db, seen)
                except _Moved:
                    continue
                except _Unsound:
                    self._put_aside(seen)
                except sqlite3.DatabaseError as error:
                    if _identity(self.path) != seen:  # deleted just now
                        continue
                    if _name(error) not in _DAMAGED:
                        raise
                    self._put_aside(seen)
        raise ProgressError(f"{self.path}: the file changes while it is used: see what else writes there, {_ELSEWHERE}")

    def _connected(self) -> sqlite3.Connection:
        db = sqlite3.connect(f"{self.path.absolute().as_uri()}?mode=rw", uri=True, timeout=_PATIENCE, isolation_level=None)
        for setting in ("synchronous = extra", "fullfsync = on", "trusted_schema = off"):
            db.execute(f"pragma {setting}")
        return db

    def _examine(self, db: sqlite3.Connection) -> None:
        """Refuse a file of a later schema, and find out once whether it is a sound record."""
        db.execute("begin")  # all of it of one moment: another program may be making the file
        (identity,), (version,) = db.execute("pragma application_id").fetchone(), db.execute("pragma user_version").fetchone()
        (tables,) = db.execute("select count(*) from sqlite_master").fetchone()
        if (identity, version, tables) == (0, 0, 0):  # empty as yet
            db.execute("commit")
            return
        if identity != self.kind.identity:
            raise _Unsound
        if version > self.kind.version:
            raise ProgressError(
                f"{self.path} was written by a later hpteach (version {version} of its record, this one knows {self.kind.version}): nothing in it was changed; install the later one, {_ELSEWHERE}"
            )
        if not self._sound:
            columns = [name for _, name, *_ in db.execute(f"pragma table_info({self.kind.table})")]
            if columns != list(self.kind.columns) or db.execute("pragma quick_check(1)").fetchone() != ("ok",):
                raise _Unsound
            self._sound = True
        db.execute("commit")

    def _has_table(self, db: sqlite3.Connection) -> bool:
        return db.execute("select 1 from sqlite_master where name = ?", [self.kind.table]).fetchone() is not None

    def _transaction(self, db: sqlite3.Connection, seen: object, work: Callable[[sqlite3.Connection], None]) -> None:
        db.execute("begin immediate")
        if _identity(self.path) != seen:  # set aside or deleted while this one waited: a write would go to the old file
            raise _Moved
        work(db)
        db.execute("commit")

    def _made(self) -> None:
        """An empty file where there is none, for the reader's eyes alone."""
        if not self.path.exists():
            self._sound = False
            self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with suppress(FileExistsError):
                os.close(os.open(self.path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))

    def _put_aside(self, seen: object) -> None:
        """Rename the file that was examined, unless another program has done so already."""
        self._sound = False
        with self._one_at_a_time():
            if _identity(self.path) != seen:
                return
            stamp = f"{datetime.now(UTC):%Y%m%dT%H%M%SZ}"
            names = (f"{self.path.name}.damaged-{stamp}{more}" for more in ("", *(f"-{count}" for count in range(2, 1000))))
            aside = next(one for one in map(self.path.with_name, names) if not one.exists())
            for old in _beside(self.path):  # a journal must never meet the new file
                old.rename(aside.with_name(aside.name + old.name.removeprefix(self.path.name)))
            self.path.rename(aside)
        self.notice = f"{self.path.name} was damaged, or not a record of hpteach. It was set aside as {aside.name} in {aside.parent}, and a new record is begun."

    @contextmanager
    def _one_at_a_time(self) -> Iterator[None]:
        """Keep other programs from setting the file aside meanwhile; what a killed program left of this is removed."""
        gate = self.path.with_name(f"{self.path.name}.setting-aside")
        end = time.monotonic() + _PATIENCE
        while True:
            try:
                gate.mkdir()
                break
            except FileExistsError:
                if time.monotonic() > end:
                    with suppress(OSError):
                        gate.rmdir()
                time.sleep(0.01)
        try:
            yield
        finally:
            with suppress(OSError):
                gate.rmdir()

    def _alone(self, work: Callable[[], Found]) -> Found:
        """Do something to the file while no other program writes to it."""
        if os.name != "posix" or not self.path.stat().st_size:  # elsewhere an open file cannot be deleted
            return work()
        with closing(self._connected()) as db:
            try:
                db.execute("begin exclusive")
            except sqlite3.DatabaseError as error:
                if _name(error) not in _DAMAGED:  # nobody writes to a damaged one
                    raise
            return work()

    @contextmanager
    def _translated(self, done: str) -> Iterator[None]:
        """Say errors of SQLite and of the disk in a sentence."""
        try:
            yield
        except sqlite3.Error as error:
            reason = _REMEDIES.get(_name(error), f"{error}: look after the disk, {_ELSEWHERE}")
            raise ProgressError(f"{self.path} cannot be {done}, because {reason}") from None
        except OSError as error:
            raise ProgressError(f"{self.path} cannot be {done} ({error.strerror or error}): see that its folder is there and may be written, {_ELSEWHERE}") from None


def is_record(path: Path, kind: Kind = ATTEMPTS) -> bool:
    """Whether a file begins as a record of ours of a kind does, sound or not; a folder, device or pipe is none and is not opened.

    >>> is_record(Path(__file__))
    False
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return False
        with path.open("rb") as file:
            head = file.read(72)
    except OSError:
        return False
    return head.startswith(b"SQLite format 3\0") and head[68:72] == kind.identity.to_bytes(4, "big")


def _name(error: sqlite3.Error) -> str:
    """The plain name of an error, without what SQLite adds behind it (SQLITE_BUSY_RECOVERY)."""
    return "_".join(getattr(error, "sqlite_errorname", "").split("_")[:2])


def _identity(path: Path) -> object:
    """Which file stands here; None for none.  Raises `ProgressError` for a folder or a device."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(found.st_mode):
        raise ProgressError(f"{path} is not a file: name one with HPTEACH_PROGRESS")
    return found.st_dev, found.st_ino


def _beside(path: Path) -> Sequence[Path]:
    """What SQLite has written beside a file."""
    return [one for ending in _BESIDE if (one := path.with_name(path.name + ending)).exists()]


def _unlinked(paths: Any) -> list[Path]:
    gone = []
    for path in paths:
        with suppress(FileNotFoundError):
            path.unlink()
            gone.append(path)
    return gone


def _plain(name: str) -> str:
    """A name with nothing in it that a search by pattern would take for more than itself."""
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in name)
