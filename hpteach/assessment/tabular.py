"""Tables as CSV files: read as spreadsheets write them, and written so that a spreadsheet shows what was meant.

What lives here: `read_sheet` and `write_sheet`, and `write_whole`, which writes any file in one step.  What does not: what
the columns mean (roster, marking), and cells that a spreadsheet would take for formulas (guarding).

Understood are UTF-8, UTF-16 of either byte order, each with or without a byte order mark, and Windows-1252; columns parted by
commas, semicolons or tabs; lines that end in CRLF, LF or CR; cells in quotation marks.  Every cell is a text: nothing is taken
for a number or a date, so a decimal comma stays one.  Written is the form of RFC 4180 (from memory, not seen here): commas, CRLF,
quotation marks where a cell needs them, in UTF-8 with the byte order mark without which some spreadsheets misread accents.
"""

from __future__ import annotations

import codecs
import csv
import io
import math
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from hpteach.assessment.bounded_file import read_bounded
from hpteach.assessment.guarding import guarded, without_guard
from hpteach.assessment.whole_file import write_whole
from hpteach.errors import DataError, InputError
from hpteach.questions.expressions import shortened

MOST_ROWS = 100_000
"""Rows below the headings, unless more are allowed."""
MOST_COLUMNS = 500
LONGEST_LINE = 100_000
"""Characters."""
LARGEST_FILE = 100_000_000
"""Bytes."""

MARKS = {"\t": "tabs", ";": "semicolons", ",": "commas"}
"""What may part the columns.  Where two would do equally well the earlier one counts: a comma is often met inside a text."""

Cell = str | int | float | bool | None

_SAVE = "save the sheet as 'CSV UTF-8' and give that file"
_BYTE_ORDER_MARKS = ((codecs.BOM_UTF8, "UTF-8"), (codecs.BOM_UTF16_LE, "UTF-16 LE"), (codecs.BOM_UTF16_BE, "UTF-16 BE"))
_CODECS = {"UTF-8": "utf-8", "UTF-16 LE": "utf-16-le", "UTF-16 BE": "utf-16-be", "Windows-1252": "cp1252"}
_LINE_END = re.compile(r"\r\n|\r|\n")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")  # and halves of pairs, which are no characters
_TO_BE_QUOTED = re.compile(r"[,;\t\"\r\n]|^\s|\s$")
_SEPARATOR_LINE = re.compile(r"\"?sep=([,;\t])\"?(?:\r\n|\r|\n|$)", re.IGNORECASE)
_LEAST_LATIN = 0.2  # share of plain letters, figures, marks and line ends in a table, whatever the script of the names (chosen)
_KEPT_TEXTS = 50_000
_TRIED = 50  # rows by which the mark between columns is chosen


class Row(NamedTuple):
    """A row below the headings: the line of the file in which it begins, and its cells, as many as there are headings.

    `surplus` holds what stands beyond the last heading, if anything does.
    """

    line: int
    cells: tuple[str, ...]
    surplus: tuple[str, ...] = ()


@dataclass(frozen=True)
class Sheet:
    """A table that was read: its headings as written, its rows, and how the file was understood."""

    file: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    encoding: str
    delimiter: str

    @cached_property
    def _places(self) -> dict[str, int]:
        return {folded: place for place, heading in enumerate(self.headings) if (folded := folded_heading(heading))}

    @property
    def understood(self) -> str:
        """How the file was read, as a sentence for whoever wonders about a letter or a column.

        >>> sheet_from_bytes("id;name\\r\\n7;Zoë".encode("cp1252"), "class.csv").understood
        'class.csv was read as Windows-1252 with columns parted by semicolons: see whether letters with accents are right'
        """
        doubt = ": see whether letters with accents are right" if self.encoding == "Windows-1252" else ""
        return f"{self.file} was read as {self.encoding} with columns parted by {MARKS[self.delimiter]}{doubt}"

    def column(self, name: str) -> int | None:
        """The place of a heading, counted from 0, whatever its case, blanks and accents; None where there is none.

        >>> sheet_from_bytes(b"Learner ID,Name", "class.csv").column("learner_id")
        0
        """
        return self._places.get(folded_heading(name))

    def text(self, row: Row, name: str) -> str:
        """The cell of a row under a heading without blanks at its ends; "" where there is no such heading.

        >>> sheet = sheet_from_bytes(b"id,name\\n7, Ada ", "class.csv")
        >>> sheet.text(sheet.rows[0], "name"), sheet.text(sheet.rows[0], "group")
        ('Ada', '')
        """
        place = self.column(name)
        return "" if place is None else row.cells[place].strip()


@lru_cache(1_000)
def folded_heading(name: str) -> str:
    """A heading as headings are compared: without case, blanks, accents, hyphens, underscores and full stops.

    >>> folded_heading(" Prénom_de l'élève ")
    "prenomdel'eleve"
    """
    bare = "".join(mark for mark in unicodedata.normalize("NFKD", name) if not unicodedata.combining(mark))
    return re.sub(r"[\s_.-]", "", bare.casefold())


# Reading ------------------------------------------------------------------------------


def read_sheet(path: str | Path, needed: Sequence[str] = (), most_rows: int = MOST_ROWS) -> Sheet:
    """The table of a CSV file, of which `needed` are the headings that must be there.

    Raises `DataError` with file, line and what to do, also where the file cannot be read.

    >>> read_sheet("nowhere.csv")
    Traceback (most recent call last):
    hpteach.errors.DataError: nowhere.csv: cannot be read (No such file or directory): name a CSV file
    """
    path = Path(path)
    data = read_bounded(path, LARGEST_FILE, "name a CSV file")
    return sheet_from_bytes(data, path.name or str(path), needed, most_rows)


def sheet_from_bytes(data: bytes, file: str, needed: Sequence[str] = (), most_rows: int = MOST_ROWS) -> Sheet:
    """The table in the bytes of a CSV file; `file` names it in refusals, which are those of `read_sheet`.

    Blank lines are passed over.  An apostrophe that `write_sheet` puts before what looks like a formula is taken off again.

    >>> sheet_from_bytes("\\ufeffid;score\\r\\n7;2,5\\r\\n".encode("utf-16-le"), "marks.csv").rows
    (Row(line=2, cells=('7', '2,5'), surplus=()),)
    >>> sheet_from_bytes(b"name,Name\\n", "class.csv")
    Traceback (most recent call last):
    hpteach.errors.DataError: class.csv: line 1: columns 1 and 2 are both headed 'Name': give each column a heading of its own
    """
    if len(data) > LARGEST_FILE:
        raise DataError(f"{file}: is larger than {LARGEST_FILE:,} bytes: give a file with fewer rows")
    text, encoding = _decoded(data, file)
    if not text.strip():
        raise DataError(f"{file}: is empty: give a table with headings in its first line")
    if found := _CONTROL.search(text):
        raise DataError(f"{file}: line {_line_at(text, found.start())}: holds the control character U+{ord(found[0]):04X}: {_SAVE}")
    first, mark = 1, ""
    if told := _SEPARATOR_LINE.match(text):
        text, first, mark = text[told.end() :], 2, told[1]
    mark = mark or _mark_between_columns(text, needed, file)
    records = _records(text, mark, file, first)
    line, headings = next(records, (first, []))
    headings = [heading.strip() for heading in _without_blank_end(headings)]
    _check_headings(headings, line, needed, mark, file)
    rows = []
    for line, cells in records:
        if len(rows) == most_rows:
            raise DataError(f"{file}: line {line}: there are more than {most_rows:,} rows: share them out among several files")
        missing = [""] * (len(headings) - len(cells))
        rows.append(Row(line, tuple(cells[: len(headings)] + missing), tuple(_without_blank_end(cells[len(headings) :]))))
    return Sheet(file, tuple(headings), tuple(rows), encoding, mark)


def _decoded(data: bytes, file: str) -> tuple[str, str]:
    """The text, and the name of the encoding in which it stood."""
    for mark, name in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return _strictly(data[len(mark) :], name, file), f"{name} with byte order mark"
    if data.startswith(b"PK\x03\x04"):
        raise DataError(f"{file}: is a spreadsheet's own file or an archive, not CSV: open it and {_SAVE}")
    if b"\0" in data:
        return _wide(data, file)
    with suppress(UnicodeDecodeError):
        return data.decode("utf-8"), "UTF-8"
    kept = data.decode("utf-8", errors="surrogateescape")
    broken = [found.start() for found in re.finditer("[\udc80-\udcff]", kept)]
    if len(re.findall(r"[^\x00-\x7f]", kept)) >= 2 * len(broken):  # in Windows-1252 hardly two letters together look like UTF-8
        raise DataError(f"{file}: line {_line_at(kept, broken[0])}: is UTF-8 with a damaged letter: {_SAVE}")
    return _strictly(data, "Windows-1252", file), "Windows-1252"


def _strictly(data: bytes, name: str, file: str) -> str:
    try:
        return data.decode(_CODECS[name])
    except UnicodeDecodeError as error:
        line = _line_at(data[: error.start].decode(_CODECS[name], errors="replace"), error.start)
        raise DataError(f"{file}: line {line}: cannot be read as {name}: {_SAVE}") from None


def _wide(data: bytes, file: str) -> tuple[str, str]:
    """Text in UTF-16 without a byte order mark: the byte order in which it begins with a plain letter and has enough of them."""
    found = []
    for name in ("UTF-16 LE", "UTF-16 BE"):
        with suppress(UnicodeDecodeError):
            text = data.decode(_CODECS[name])
            share = len(re.findall(r"[\t\r\n -~]", text)) / len(text)
            if text[0] <= "~" and share >= _LEAST_LATIN and not _CONTROL.search(text):
                found.append((share, text, name))
    if not found:
        raise DataError(f"{file}: line {data[: data.index(0)].count(10) + 1}: holds a NUL byte, which no text has: {_SAVE}")
    _, text, name = max(found)
    return text, name


def _line_at(text: str, place: int) -> int:
    return len(_LINE_END.findall(text, 0, place)) + 1


def _records(text: str, mark: str, file: str, first: int = 1) -> Iterator[tuple[int, list[str]]]:
    """The lines that say something as cells, with their numbers."""
    told = lru_cache(_KEPT_TEXTS)(without_guard)  # a text that stands in many cells is kept once
    reader = csv.reader(_short_lines(text, file, first), delimiter=mark, skipinitialspace=True, strict=True)
    begun = first
    while True:
        try:
            cells = [told(cell) for cell in next(reader)]
        except StopIteration:
            return
        except csv.Error as error:
            if "expected after" in str(error):
                raise DataError(f"{file}: line {begun}: text stands behind a closing quotation mark: write one inside a cell twice") from None
            raise DataError(f"{file}: line {begun}: a quotation mark is opened and never closed: close it or take it out") from None
        if any(map(str.strip, cells)):
            yield begun, cells
        begun = first + reader.line_num


def _without_blank_end(cells: list[str]) -> list[str]:
    count = len(cells)
    while count and not cells[count - 1].strip():
        count -= 1
    return cells[:count]


def _short_lines(text: str, file: str, first: int) -> Iterator[str]:
    for number, line in enumerate(io.StringIO(text, newline=""), first):
        if len(line) > LONGEST_LINE:
            raise DataError(f"{file}: line {number}: has more than {LONGEST_LINE:,} characters: is a line end missing? {_SAVE[0].upper()}{_SAVE[1:]}")
        yield line


def _mark_between_columns(text: str, needed: Sequence[str], file: str) -> str:
    """The mark that parts most of the needed headings, and then gives most rows as many cells as there are headings."""
    best, fits = ",", (0, 0, 0)
    for mark in MARKS:
        rows = []
        with suppress(DataError):
            for _, cells in islice(_records(text, mark, file), _TRIED):
                rows.append(_without_blank_end(cells))
        if not rows or len(rows[0]) < 2:
            continue
        headings = {folded_heading(heading) for heading in rows[0]}
        alike = sum(len(cells) == len(rows[0]) for cells in rows)
        fit = (sum(folded_heading(name) in headings for name in needed), alike, len(rows[0]) if len(rows) == 1 else 0)
        if fit > fits:
            best, fits = mark, fit
    return best


def _check_headings(headings: Sequence[str], line: int, needed: Sequence[str], mark: str, file: str) -> None:
    if len(headings) > MOST_COLUMNS:
        raise DataError(f"{file}: line {line}: has {len(headings)} columns: use {MOST_COLUMNS} or fewer")
    places: dict[str, int] = {}
    for place, heading in enumerate(headings, 1):
        folded = folded_heading(heading)
        if folded and folded in places:
            both = f"columns {places[folded]} and {place} are both headed {shortened(heading)}"
            raise DataError(f"{file}: line {line}: {both}: give each column a heading of its own")
        places[folded] = place
    for name in needed:
        if folded_heading(name) not in places:
            found = ", ".join(shortened(heading) for heading in headings[:12]) + (" and more" if len(headings) > 12 else "")
            parted = f"parted by {MARKS[mark]}" if len(headings) > 1 else "with no other beside it"
            raise DataError(f"{file}: line {line}: there is no column '{name}', only {found}, {parted}: write '{name}' over the column that holds it")


# Writing ------------------------------------------------------------------------------


def write_sheet(path: str | Path, headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Path:
    """Write a table as CSV in one step and return the path; the same table gives the same bytes.

    Raises `InputError` where the place cannot be written, and what `sheet_bytes` raises.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = write_sheet(Path(folder) / "marks.csv", ("learner", "score"), [("Ada (invented)", 0.5)])
    ...     path.read_bytes()
    b'\\xef\\xbb\\xbflearner,score\\r\\nAda (invented),0.5\\r\\n'
    """
    return write_whole(path, sheet_bytes(headings, rows))


def sheet_bytes(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """A table as the bytes of a CSV file.  True and False become "yes" and "no", None and NaN an empty cell.

    A text that a spreadsheet would take for a formula gets an apostrophe before it (guarding).  Characters that no spreadsheet
    keeps (controls, halves of pairs) become U+FFFD.

    Raises `InputError` for a row that has not as many cells as there are headings.

    >>> print(sheet_bytes(("answer",), [("=1+1",), ("-5 °C",), (-3.5,)]).decode("utf-8-sig").replace("\\r", ""))
    answer
    '=1+1
    '-5 °C
    -3.5
    <BLANKLINE>
    """
    lines = [_line(headings)]
    for number, row in enumerate(rows, 1):
        if len(row) != len(headings):
            raise InputError(f"row {number} has {len(row)} cells and the table {len(headings)} headings: give a cell for each heading")
        lines.append(_line(row))
    return "".join(lines).encode("utf-8-sig")


def _line(cells: Sequence[Cell]) -> str:
    return ",".join(_written(cell) for cell in cells) + "\r\n"


def _written(cell: Cell) -> str:
    if isinstance(cell, str) and cell.isalnum():  # most cells, quickly
        return cell
    text = guarded(_CONTROL.sub("\N{REPLACEMENT CHARACTER}", _as_text(cell)))
    if _TO_BE_QUOTED.search(text):
        return '"' + text.replace('"', '""') + '"'
    return text


def _as_text(cell: Cell) -> str:
    if cell is None or (isinstance(cell, float) and math.isnan(cell)):
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return str(cell)
