"""Who is in a class (hpteach/assessment/roster.py).  All names are invented."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.roster import COLUMNS, LONGEST_ID, LONGEST_NAME, Learner, folded_id, read_roster, roster_from, same_name
from hpteach.assessment.tabular import sheet_from_bytes, write_sheet
from hpteach.errors import DataError, InputError


def roster(text: str | bytes):
    """A roster from the text of a CSV file."""
    return roster_from(sheet_from_bytes(text.encode("utf-8") if isinstance(text, str) else text, "class.csv", needed=("id",)))


def test_roster_gives_the_learners_in_the_order_of_the_file() -> None:
    """Id, name, group and units are read wherever their columns stand; columns that nothing reads are named."""
    read = roster("Group;Phone;NAME;Id;units;\r\nA;555;Ada Lind;7;SI;\r\n;;;8;ip;\r\n\r\nB;1;Wei, Li;9;;\r\n")
    assert (Learner("7", "Ada Lind", "A", "SI"), Learner("8", "", "", "IP"), Learner("9", "Wei, Li", "B", "")) == read.learners
    assert ("Phone",) == read.unused
    assert "class.csv was read as UTF-8 with columns parted by semicolons" == read.understood


def test_only_the_id_is_needed() -> None:
    """A list of ids under a heading is a roster."""
    assert (Learner("a"), Learner("b")) == roster("id\na\nb").learners


@pytest.mark.parametrize(
    "name",
    ["王小明", "Иван Петров", "دانا الخطيب", "अनिल कुमार", "Zoë Ünal-O'Neill", "<b>Bob</b>", "<script>alert(1)</script>", "{name}", "{{ name }}", "$x^2$", "=1+1", "@ada",
     "Ada \\ & Co", "می\u200cخواهم", "👩🏽‍🔧"],
)  # fmt: skip
@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_names_are_texts_in_any_script(name: str, codec: str) -> None:
    """A name comes back to the letter in every encoding: no markup, formula or gap in it means anything here."""
    assert name == roster(f"id,name\r\n1,{name}\r\n2,Ada\r\n".encode(codec)).learners[0].name


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("id,name\n7,Ada\n8,Ben\n7,Cem", "class.csv: lines 2 and 4: both have the id '7': give each learner an id that nobody else has"),
        ("id,name\nab 1,Ada\nAB1,Ben", "class.csv: lines 2 and 3: both have the id 'ab 1', written 'AB1' the second time"),
        ("id\n\u00e9va\ne\u0301va", "class.csv: lines 2 and 3: both have the id"),
        ("id\nSTRASSE\nstraße", "class.csv: lines 2 and 3: both have the id"),
        ("id,name\n", "class.csv: holds headings and no learner: write a line for each learner below them"),
        ("id,name\n,\n ,\t\n", "class.csv: holds headings and no learner"),
        ("", "class.csv: is empty"),
        ("number,name\n7,Ada", "there is no column 'id', only 'number', 'name', parted by commas: write 'id' over the column that holds it"),
        ("7;Ada\n8;Ben", "there is no column 'id', only '7', 'Ada', parted by semicolons"),
        ("id,name\n,Ada", "class.csv: line 2: there is no id: give each learner one that nobody else has"),
        (f"id\n{'x' * 65}", f"class.csv: line 2: id '{'x' * 40}...' has 65 characters: use 64 or fewer"),
        ("id\na\u200bb", "class.csv: line 2: id 'a?b' holds a character that nobody sees (U+200B): write the id anew"),
        ("id\na\u202eb", "holds a character that nobody sees (U+202E)"),
        ("id\na\u0085b", "holds a control character (U+0085)"),
        ('id\n"a\nb"', "class.csv: line 2: id 'a?b' holds a control character (U+000A)"),
        ("id\na\x00b", "holds a NUL byte"),
        ("id\na\u2028b", "holds a line end (U+2028)"),
        (f"id,name\n1,{'x' * 201}", "class.csv: line 2: name 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...' has 201 characters: use 200 or fewer"),
        (f"id,group\n1,{'x' * 201}", "class.csv: line 2: group 'x"),
        ("id,units\n1,metric", "class.csv: line 2: units 'metric' are not known: write SI or IP, or leave the cell empty"),
        ("id,name\n1,Lind, Ada", "class.csv: line 2: 'Ada' stands beyond the last heading: put a text that holds the mark between columns in quotation marks"),
        ("id,name,Name\n1,a,b", "columns 2 and 3 are both headed 'Name'"),
    ],
)  # fmt: skip
def test_roster_that_cannot_be_used_is_refused(text: str, sentence: str) -> None:
    """A roster that would leave a doubt is refused with file, line and what to do."""
    with pytest.raises(DataError) as refused:
        roster(text)
    assert sentence in str(refused.value)


def test_longest_texts_are_allowed() -> None:
    """The longest id, name and group that the limits name are read."""
    assert LONGEST_ID == len(roster(f"id,name\n{'x' * LONGEST_ID},{'y' * LONGEST_NAME}").learners[0].id)


def test_learner_is_found_however_the_id_is_spelled() -> None:
    """Case, blanks and the form of accents make no difference; an id that is not there is nobody's."""
    read = roster("id\nÉva 12\nBen")
    assert ["Éva 12", "Éva 12", None] == [found and found.id for found in (read.find("e\u0301VA12"), read.find(" éva 12 "), read.find("12"))]


def test_key_is_the_folded_id() -> None:
    """Two spellings of one id have one key, so that both are dealt the same paper."""
    assert {"éva12"} == {Learner("Éva 12").key, Learner("e\u0301va12").key, folded_id("ÉVA\u00a012")}


@given(st.text(max_size=12))
def test_folding_twice_changes_nothing(text: str) -> None:
    """A folded id is its own key, in the composed form, without blanks."""
    folded = folded_id(text)
    assert folded == folded_id(folded) == unicodedata.normalize("NFC", folded)
    assert not any(letter.isspace() for letter in folded)


def test_learner_made_in_code_is_held_to_the_same_rules() -> None:
    """What a file may not hold cannot be made otherwise either."""
    with pytest.raises(InputError, match="there is no id"):
        Learner(" ")
    assert Learner("1", "Ada\n  Lind") == Learner("1", "Ada Lind")


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_roster_is_read_from_a_file(tmp_path, codec: str) -> None:
    """The file is read in whatever a spreadsheet has saved it in, and refusals name it."""
    path = tmp_path / "classe é.csv"
    path.write_bytes("id;name\r\n1;Zoë – Ünal\r\n".encode(codec))
    assert ("classe é.csv", (Learner("1", "Zoë – Ünal"),)) == (read_roster(path).file, read_roster(path).learners)


def test_file_of_ids_is_a_roster(tmp_path) -> None:
    """A file with the one column that is needed is enough."""
    path = tmp_path / "class.csv"
    path.write_text("id\n7\n8\n")
    assert (Learner("7"), Learner("8")) == read_roster(path).learners


def test_roster_that_was_written_is_read_again(tmp_path) -> None:
    """Learners written under the headings of a roster come back the same, signs of formulas in ids and names too."""
    learners = (Learner("-7", "=Ada"), Learner("@ben", "Ben; -x", "A", "IP"), Learner("'x", "Cem", "+B", "SI"))
    path = write_sheet(tmp_path / "class.csv", COLUMNS, [(one.id, one.name, one.group, one.units) for one in learners])
    assert learners == read_roster(path).learners


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("Müller, Jörg", "JORG  MULLER", True), ("Ada Fernhill (invented)", "Ada Fernhill", True), ("\u202eAda", "Ada", True), ("Katherine Hill", "Catherine Hill", True),
        ("???", "عمر", True), ("", "Ada", True), ("Groß", "gross", True), ("Müller", "Grün", False), ("Ada Hill", "Ben Hill", False), ("田中", "山本", False),
        ("Ada Fernhill (invented)", "Ben Stone (invented)", False),
    ],
)  # fmt: skip
def test_same_name(one, other, expected):
    """Spelling, order and brackets do not make another name, whichever stands first; other letters do."""
    assert (expected, expected) == (same_name(one, other), same_name(other, one))
