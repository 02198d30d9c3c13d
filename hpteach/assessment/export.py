"""The learner's record as CSV, for a spreadsheet.

What lives here: `write_csv`, and the form of the file.  What does not: the record (progress).

The form is that of RFC 4180: commas, CRLF, quotes where a text needs them, one heading.  The file is UTF-8 with a byte order
mark, without which some spreadsheets take a degree sign for two letters.  A text that a spreadsheet would reckon with (it
begins with = + - @, also behind blanks) gets an apostrophe before it (guarding), so that an answer such as "-5 °C" stays a text.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import asdict, fields
from pathlib import Path

from hpteach.assessment.attempts import Attempt
from hpteach.assessment.guarding import guarded
from hpteach.assessment.whole_file import write_whole
from hpteach.errors import InputError, ProgressError

HEADINGS = tuple(field.name for field in fields(Attempt) if field.name != "at")


def csv_text(attempts: Iterable[Attempt]) -> str:
    """The record as CSV in the order in which it was kept, the moment first.

    >>> print(csv_text([]).strip())
    at,question,version,topic,lesson,seed,system,part,text,correct,mistake,hints,solution_seen
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["at", *HEADINGS])
    for attempt in attempts:
        told = asdict(attempt)
        writer.writerow([_cell(told[name]) for name in ("at", *HEADINGS)])
    return out.getvalue()


def csv_bytes(attempts: Iterable[Attempt]) -> bytes:
    """The same as the bytes of a file.

    >>> csv_bytes([])[:6]
    b'\\xef\\xbb\\xbfat,'
    """
    return csv_text(attempts).encode("utf-8-sig", errors="replace")


def write_csv(attempts: Iterable[Attempt], path: Path) -> Path:
    """Write the record to a file in one step: the whole of it, or what was there before stays; returns the path.

    Raises `ProgressError` where the place cannot be written.
    """
    try:
        return write_whole(path, csv_bytes(attempts), private=True)
    except InputError as error:
        raise ProgressError(str(error)) from None


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return guarded(str(value))
