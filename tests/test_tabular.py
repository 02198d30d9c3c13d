"""Tables as CSV files (hpteach/assessment/tabular.py): what spreadsheets write is understood, and what is written reads back the same."""

from __future__ import annotations

import codecs
import csv
import io
import os

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hpteach.assessment import tabular
from hpteach.assessment.tabular import LONGEST_LINE, MOST_ROWS, Row, folded_heading, read_sheet, sheet_bytes, sheet_from_bytes, write_sheet
from hpteach.errors import DataError, InputError

CLASS = "id,name\r\nA1,Zoë Ünal\r\nA2,“Ben” – 5 €\r\n"
ROWS = (Row(2, ("A1", "Zoë Ünal")), Row(3, ("A2", "“Ben” – 5 €")))


def read(text: str | bytes, **choices):
    """A sheet from a text in UTF-8, or from bytes."""
    return sheet_from_bytes(text.encode("utf-8") if isinstance(text, str) else text, "class.csv", **choices)


def refusal(text: str | bytes, **choices) -> str:
    """The sentence with which a file is refused."""
    with pytest.raises(DataError) as refused:
        read(text, **choices)
    return str(refused.value)


# Encodings ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        (CLASS.encode("utf-8"), "UTF-8"),
        (CLASS.encode("utf-8-sig"), "UTF-8 with byte order mark"),
        (codecs.BOM_UTF16_LE + CLASS.encode("utf-16-le"), "UTF-16 LE with byte order mark"),
        (codecs.BOM_UTF16_BE + CLASS.encode("utf-16-be"), "UTF-16 BE with byte order mark"),
        (CLASS.encode("utf-16-le"), "UTF-16 LE"),
        (CLASS.encode("utf-16-be"), "UTF-16 BE"),
        (CLASS.encode("cp1252"), "Windows-1252"),
    ],
)
def test_encodings_of_spreadsheets_are_understood(data: bytes, encoding: str) -> None:
    """The same table in seven encodings is the same table, and which it was is told."""
    sheet = read(data)
    assert (encoding, ROWS) == (sheet.encoding, sheet.rows)
    assert sheet.understood.startswith(f"class.csv was read as {encoding} with columns parted by commas")


def test_doubt_about_a_guessed_encoding_is_told() -> None:
    """Windows-1252 is guessed, as any bytes might be it: the sentence says what to look at, and no other encoding does."""
    assert read(CLASS.encode("cp1252")).understood.endswith("see whether letters with accents are right")
    assert read(CLASS).understood.endswith("parted by commas")


@pytest.mark.parametrize("order", ["le", "be"])
@pytest.mark.parametrize("name", ["王小明", "Иван Петров", "دانا", "अनिल", "𝒜𝒷", "一一一一"])
def test_wide_text_without_a_mark_is_read_in_any_script(order: str, name: str) -> None:
    """UTF-16 without a byte order mark is told by the letters, marks and line ends of any table, whatever script the names have."""
    assert (name,) == read(f"id,name\r\n1,{name}\r\n".encode(f"utf-16-{order}")).rows[0].cells[1:]


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"id,name\nA1,\xc3\xa9va\nA2,\xc3\xb6zil\nA3,b\xffd\n", "class.csv: line 4: is UTF-8 with a damaged letter: save the sheet as 'CSV UTF-8' and give that file"),
        (b"id\nA1\xff\nA2\xc3\xa9\n", "class.csv: line 2: is UTF-8 with a damaged letter"),
        (codecs.BOM_UTF8 + b"id\nA1\nb\xffd\n", "class.csv: line 3: cannot be read as UTF-8"),
        (codecs.BOM_UTF16_LE + "id\r\nA1".encode("utf-16-le") + b"\x00\xd8", "class.csv: line 2: cannot be read as UTF-16 LE"),
        (b"id,name\nA1,b\x81d\n", "class.csv: line 2: cannot be read as Windows-1252"),
        (b"id,name\nA1,b\0d\n", "class.csv: line 2: holds a NUL byte, which no text has"),
        (b"id,name\nA1,bad\0\n", "class.csv: line 2: holds a NUL byte, which no text has"),
        (b"id,name\nA1,bd\n" + b"\0" * 400, "class.csv: line 3: holds a NUL byte"),
        (codecs.BOM_UTF8 + b"id,name\nA1,b\0d\n", "class.csv: line 2: holds the control character U+0000"),
        (b"id,name\nA1,b\x1bd\n", "class.csv: line 2: holds the control character U+001B: save the sheet as 'CSV UTF-8' and give that file"),
        (b"PK\x03\x04 anything", "class.csv: is a spreadsheet's own file or an archive, not CSV: open it and save"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "holds a NUL byte"),
        (b"\x7fELF" + bytes(range(256)) * 4, "holds a NUL byte"),
        (codecs.BOM_UTF32_LE + "id".encode("utf-32-le"), "holds the control character U+0000"),
    ],
)  # fmt: skip
def test_what_is_no_text_is_refused(data: bytes, sentence: str) -> None:
    """Binary and damaged files are refused with the line, and with what to do."""
    assert sentence in refusal(data)


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    """Whatever the bytes, they are read as a table or refused with a sentence that names the file."""
    try:
        sheet = sheet_from_bytes(data, "class.csv")
    except DataError as error:
        assert str(error).startswith("class.csv: ")
    else:
        assert {len(sheet.headings)} >= {len(row.cells) for row in sheet.rows}


@given(st.lists(st.sampled_from(["id", "name", ",", ";", "\t", '"', "\n", "\r", "\r\n", " ", "a", "5,5", "\ufeff", "sep=", "'", "=", "é"]), max_size=30))
def test_any_marks_are_read_or_refused(pieces: list[str]) -> None:
    """However quotes, marks and line ends are mixed, the table is read or refused with a sentence that names the file."""
    try:
        sheet = read("".join(pieces))
    except DataError as error:
        assert str(error).startswith("class.csv: ")
    else:
        assert all(len(row.cells) == len(sheet.headings) for row in sheet.rows)


# Marks, lines and cells ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "delimiter", "headings", "cells"),
    [
        ("id,score\n1,2.5", ",", ("id", "score"), ("1", "2.5")),
        ("id;score\n1;2,5", ";", ("id", "score"), ("1", "2,5")),
        ("id\tscore\n1\t2,5", "\t", ("id", "score"), ("1", "2,5")),
        ("id;Name, first name\n1;Li, Wei", ";", ("id", "Name, first name"), ("1", "Li, Wei")),
        ("id;Name, first name, title\n1;Li, Wei, Dr", ";", ("id", "Name, first name, title"), ("1", "Li, Wei, Dr")),
        ('id,"name; title"\n1,Li', ",", ("id", "name; title"), ("1", "Li")),
        ("id,name; title\n1,Li; Dr\n2,Wu", ",", ("id", "name; title"), ("1", "Li; Dr")),
        ('"id";"a"\n"1";"x, ""y"""', ";", ("id", "a"), ("1", 'x, "y"')),
        ("sep=;\r\nid;a\r\n1;x,y", ";", ("id", "a"), ("1", "x,y")),
        ("id\nA", ",", ("id",), ("A",)),
        ('id, a\n1, "x, y"', ",", ("id", "a"), ("1", "x, y")),
        ('id,pipe\n1,5/8" line', ",", ("id", "pipe"), ("1", '5/8" line')),
        ('id,a\n1,"two\nlines"', ",", ("id", "a"), ("1", "two\nlines")),
        ("id,a,,,\n1,x,,,", ",", ("id", "a"), ("1", "x")),
        ("id,,a\n1,,x", ",", ("id", "", "a"), ("1", "", "x")),
        ("id,a,b\n1", ",", ("id", "a", "b"), ("1", "", "")),
        ("id,a\n1,'=1+1", ",", ("id", "a"), ("1", "=1+1")),
        ("id,a\n1,-5 °C", ",", ("id", "a"), ("1", "-5 °C")),
    ],
)  # fmt: skip
def test_marks_between_columns_are_understood(text: str, delimiter: str, headings: tuple[str, ...], cells: tuple[str, ...]) -> None:
    """Commas, semicolons and tabs are told apart, quotes are taken off, and a decimal comma stays in its cell."""
    sheet = read(text, needed=("id",))
    assert (delimiter, headings, cells) == (sheet.delimiter, sheet.headings, sheet.rows[0].cells)


def test_needed_heading_tells_the_mark() -> None:
    """Where two marks would part every row alike, the one that sets the needed heading free is right."""
    assert ";" == read("id;a, b, c\n1;x, y, z", needed=("id",)).delimiter
    assert "," == read("id,a; b; c\n1,x; y; z", needed=("id",)).delimiter


@pytest.mark.parametrize("end", ["\r\n", "\n", "\r"])
def test_rows_have_the_lines_of_the_file(end: str) -> None:
    """Blank lines are passed over and counted; a cell of two lines counts as two; no line end need close the file."""
    text = end.join(["", "id,a", "", '1,"x', 'y"', " , ", ",", "2,z"])
    assert [(4, ("1", f"x{end}y")), (8, ("2", "z"))] == [(row.line, row.cells) for row in read(text).rows]


def test_line_of_a_hint_is_counted() -> None:
    """A first line that only says which mark parts the columns counts as a line."""
    assert 3 == read("sep=,\r\nid,a\r\n1,x\r\n").rows[0].line


def test_cells_beyond_the_headings_are_kept_apart() -> None:
    """What stands beyond the last heading is neither lost nor put under one: a decimal comma between commas shows there."""
    assert (Row(2, ("1", "2"), ("5",)), Row(3, ("2", "3"), ())) == read("id,score\n1,2,5\n2,3,,").rows


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "class.csv: is empty: give a table with headings in its first line"),
        (" \r\n\t\r\n", "class.csv: is empty"),
        ("\ufeff", "class.csv: is empty"),
        ("name,ID,Näme\n", "class.csv: line 1: columns 1 and 3 are both headed 'Näme': give each column a heading of its own"),
        ("\n\nlearner id,Learner_ID\n", "class.csv: line 3: columns 1 and 2 are both headed 'Learner_ID'"),
        ("name;group\nAda;A", "there is no column 'id', only 'name', 'group', parted by semicolons: write 'id' over the column that holds it"),
        ("name\nAda", "class.csv: line 1: there is no column 'id', only 'name', with no other beside it"),
        (",".join(f"c{n}" for n in range(13)), "'c10', 'c11' and more, parted by commas"),
        ('id,a\n1,"x\n2,y\n3,z', "class.csv: line 2: a quotation mark is opened and never closed: close it or take it out"),
        ('id,a\n1,x\n2,"y" z\n', "class.csv: line 3: text stands behind a closing quotation mark: write one inside a cell twice"),
        (f"id,a\n1,{'x' * LONGEST_LINE}\n", "class.csv: line 2: has more than 100,000 characters: is a line end missing? Save the sheet as 'CSV UTF-8' and give that file"),
        ("id," + ",".join(f"c{n}" for n in range(600)), "class.csv: line 1: has 601 columns: use 500 or fewer"),
    ],
)  # fmt: skip
def test_table_that_cannot_be_used_is_refused(text: str, sentence: str) -> None:
    """A table without what it needs is refused with file, line and what to do."""
    assert sentence in refusal(text, needed=("id",))


def test_quote_that_swallows_the_file_is_refused() -> None:
    """A quotation mark that is never closed is found also where more follows than any cell may hold."""
    assert "line 2: a quotation mark is opened and never closed" in refusal('id,a\n1,"x\n' + "2,y\n" * 60_000)


def test_rows_are_limited() -> None:
    """One row more than 100,000 is refused with its line; the caller may allow other numbers."""
    text = "id\n" + "1\n" * MOST_ROWS
    assert MOST_ROWS == len(read(text).rows)
    assert "class.csv: line 100002: there are more than 100,000 rows: share them out among several files" == refusal(text + "1\n")
    assert "line 4: there are more than 2 rows" in refusal("id\n1\n2\n3\n", most_rows=2)


def test_large_file_is_refused(tmp_path, monkeypatch) -> None:
    """A file that is larger than any class's is refused before it is read."""
    monkeypatch.setattr(tabular, "LARGEST_FILE", 10)
    path = tmp_path / "class.csv"
    path.write_bytes(b"id\n" + b"1\n" * 8)
    with pytest.raises(DataError, match="class.csv: is larger than 10 bytes: give a file with fewer rows"):
        read_sheet(path)


@pytest.mark.parametrize(
    ("one", "other"), [("ID", " id "), ("learner id", "Learner_ID"), ("Prénom", "PRENOM"), ("Straße", "STRASSE"), ("e\u0301", "é"), ("q. no", "Q-No")]
)
def test_headings_are_compared_loosely(one: str, other: str) -> None:
    """Case, blanks, accents, hyphens, underscores and full stops make no difference to a heading."""
    assert folded_heading(one) == folded_heading(other)
    assert 1 == read(f"first,{one}\n1,2\n").column(other)


def test_cell_of_no_column_is_empty() -> None:
    """A heading that is not there has no place and empty cells; the empty heading of a column is found by nobody's name."""
    sheet = read("id,,note\n1,2,x\n")
    assert (None, "", "x") == (sheet.column("group"), sheet.text(sheet.rows[0], "group"), sheet.text(sheet.rows[0], "Note"))


@pytest.mark.parametrize("place", ["", "none.csv", "a\0b", "x" * 5_000])
def test_file_that_is_not_there_is_refused(tmp_path, place: str) -> None:
    """A missing file, a folder and a name that cannot be are refused with a sentence."""
    with pytest.raises(DataError, match="name a CSV file"):
        read_sheet(f"{tmp_path}/{place}")


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="this system has no endless file")
def test_endless_file_is_refused() -> None:
    """What is no ordinary file is not read at all."""
    with pytest.raises(DataError, match="zero: is no file: name a CSV file"):
        read_sheet("/dev/zero")


# Writing ------------------------------------------------------------------------------

CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters=[chr(n) for n in range(32) if chr(n) not in "\t\r\n"] + ["\x7f"]), max_size=12)
TRICKY = st.text(alphabet="=+-@';,\t\r\n \"15aé王", max_size=8)
BLANKS = st.text(alphabet=" \t\n\u00a0", max_size=2)
TABLES = st.integers(1, 4).flatmap(lambda width: st.lists(st.tuples(*[st.one_of(CELLS, TRICKY, BLANKS)] * width), max_size=6).map(lambda rows: (width, rows)))


def headings_of(width: int) -> tuple[str, ...]:
    """Headings for a table of so many columns."""
    return ("id", "name", "größe", "d")[:width]


def said(rows) -> list[tuple[str, ...]]:
    """The rows that say anything: a blank line is none."""
    return [row for row in rows if any(cell.strip() for cell in row)]


@given(TABLES)
def test_what_is_written_reads_back_the_same(table) -> None:
    """Any cells come back to the letter: blanks at their ends, quotes, line ends, signs of formulas and apostrophes too."""
    width, rows = table
    sheet = sheet_from_bytes(sheet_bytes(headings_of(width), rows), "x.csv", needed=headings_of(width))
    assert (headings_of(width), said(rows)) == (sheet.headings, [row.cells for row in sheet.rows])


@given(TABLES, st.sampled_from(["utf-8", "utf-16-le", "utf-16-be"]))
def test_what_is_saved_in_another_encoding_reads_back_the_same(table, codec: str) -> None:
    """The same holds after a spreadsheet has saved it in another encoding."""
    width, rows = table
    data = sheet_bytes(headings_of(width), rows).decode("utf-8-sig").encode(codec)
    mark = {"utf-8": b"", "utf-16-le": codecs.BOM_UTF16_LE, "utf-16-be": codecs.BOM_UTF16_BE}[codec]
    assert said(rows) == [row.cells for row in sheet_from_bytes(mark + data, "x.csv", needed=headings_of(width)).rows]


WESTERN = st.text(st.sampled_from([letter for n in range(256) if n not in (0x81, 0x8D, 0x8F, 0x90, 0x9D) and (n > 31 or chr(n) in "\t\r\n") and n != 127
                                   for letter in bytes([n]).decode("cp1252")]), max_size=12)  # fmt: skip


@given(st.lists(st.tuples(WESTERN, WESTERN), max_size=6))
def test_what_is_saved_in_windows_1252_reads_back_the_same(rows) -> None:
    """Western letters come back from Windows-1252, unless their bytes happen to be good UTF-8 or nearly so."""
    data = sheet_bytes(("id", "ñame"), rows).decode("utf-8-sig").encode("cp1252")
    kept = data.decode("utf-8", errors="ignore")
    assume(all(letter < "\x80" for letter in kept))
    assert said(rows) == [row.cells for row in sheet_from_bytes(data, "x.csv", needed=("id",)).rows]


@given(TABLES)
def test_ordinary_readers_find_the_same_cells(table) -> None:
    """The standard library's reader finds every row and as many cells in each: the file is CSV for others too."""
    width, rows = table
    data = sheet_bytes(headings_of(width), rows)
    found = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True))
    assert [width] * (len(rows) + 1) == [len(cells) or 1 for cells in found]


def test_bytes_of_a_table_are_those_of_the_standard() -> None:
    """Byte order mark, commas, CRLF behind each line, quotes only where needed, a quote doubled (RFC 4180, from memory, not seen here)."""
    data = sheet_bytes(("id", "a, b"), [("1", 'say "x"'), (2, " y"), (True, None), (0.1, float("nan")), (False, -3.5), ("", "two\nlines")])
    assert b'\xef\xbb\xbfid,"a, b"\r\n1,"say ""x"""\r\n2," y"\r\nyes,\r\n0.1,\r\nno,-3.5\r\n,"two\nlines"\r\n' == data


def test_text_that_another_spreadsheet_would_cut_is_quoted() -> None:
    """A semicolon or a tab in a cell stands in quotes, though columns are parted by commas."""
    assert b'id,"a;b"\r\n"x\ty",z\r\n' == sheet_bytes(("id", "a;b"), [("x\ty", "z")])[3:]


@pytest.mark.parametrize("letter", ["\0", "\x07", "\x1b", "\x7f", "\ud800"])
def test_characters_that_no_spreadsheet_keeps_are_replaced(letter: str) -> None:
    """Controls and halves of pairs are written as the replacement character, so that nothing is lost unseen and the file can be read."""
    assert ("a\ufffdb",) == sheet_from_bytes(sheet_bytes(("id",), [(f"a{letter}b",)]), "x.csv").rows[0].cells


@pytest.mark.parametrize("row", [(), ("1",), ("1", "2", "3")])
def test_row_that_does_not_fit_is_refused(row: tuple[str, ...]) -> None:
    """A row with another number of cells than headings is refused with its number."""
    with pytest.raises(InputError, match=f"row 2 has {len(row)} cells and the table 2 headings: give a cell for each heading"):
        sheet_bytes(("id", "a"), [("1", "2"), row])


def test_same_table_gives_the_same_bytes(tmp_path) -> None:
    """Writing twice gives the same file, and leaves nothing else in the folder."""
    first = write_sheet(tmp_path / "a.csv", ("id",), [("1",)]).read_bytes()
    assert first == write_sheet(tmp_path / "a.csv", ("id",), [("1",)]).read_bytes()
    assert ["a.csv"] == [path.name for path in tmp_path.iterdir()]
