"""The file of the mock exams of this user: what it holds, and where it lies.

What lives here: its columns and its path.  What does not: the file itself (record_file), what its rows mean (sitting).
"""

from __future__ import annotations

from pathlib import Path

from hpteach.assessment.record_file import Kind

SITTINGS = Kind(
    table="events",
    columns={
        "number": "integer primary key", "at": "text not null", "sitting": "text not null", "event": "text not null",
        "question": "integer not null", "part": "text not null", "text": "text not null",
    },
    version=1,
    identity=0x68707473,
)  # fmt: skip
"""A row for each event of a sitting, numbered in the order in which they were kept."""


def sittings_path(record: Path) -> Path:
    """Where the sittings lie that belong to a learner's record: beside it.

    >>> sittings_path(Path("progress.sqlite3")).name
    'progress-sittings.sqlite3'
    """
    return record.with_name(f"{record.stem}-sittings{record.suffix}")
