"""The files of a marked class (hpteach/papers/marks_files.py)."""

import json
from pathlib import Path

import pytest

from hpteach.assessment.difficulty import read_difficulties
from hpteach.assessment.tabular import read_sheet
from hpteach.errors import InputError
from hpteach.papers.marks_files import FEEDBACK, FILES, marked_dictionary, write_marks
from tests import desk_class as desk


@pytest.fixture(scope="module")
def marked():
    return desk.marked(desk.class_sheet())


@pytest.fixture(scope="module")
def folder(marked, tmp_path_factory):
    place = tmp_path_factory.mktemp("desk") / "marks"
    write_marks(marked, place)
    return place


def cells(folder, name):
    """The rows of a table as dictionaries."""
    sheet = read_sheet(folder / name)
    return [dict(zip(sheet.headings, row.cells)) for row in sheet.rows]


def test_files_are_all_told(marked, tmp_path):
    """Every file that is written is returned: tables, JSON, pages, and a sheet for each learner who was marked."""
    files = write_marks(marked, tmp_path / "new" / "marks")
    there = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*") if path.is_file()}
    assert there == {path.relative_to(tmp_path).as_posix() for path in files}
    sheets = {f"new/marks/{FEEDBACK}/{one.form}.html" for one in marked.marked}
    assert there == {*(f"new/marks/{name}" for name in FILES), *sheets}


def test_same_marks_give_the_same_bytes(folder, tmp_path):
    """Marking twice writes the same bytes, wherever it is written to."""
    write_marks(desk.marked(desk.class_sheet()), tmp_path)
    for path in folder.rglob("*.*"):
        assert path.read_bytes() == (tmp_path / path.relative_to(folder)).read_bytes(), path.name


def test_marks_stand_in_a_table(folder, marked):
    """One row for each learner, with the share of each section; who was absent has no marks."""
    rows = cells(folder, "marks.csv")
    assert [learner.id for learner in desk.LEARNERS] == [row["learner"] for row in rows]
    assert ["no", "no", "yes", "no"] == [row["absent"] for row in rows]
    assert (["11", "11", "1.0", "yes"], ["", "", "", ""]) == ([rows[1][name] for name in ("marks", "possible", "score", "passed")], [rows[2][name] for name in ("marks", "possible", "score", "passed")])
    assert [tally.share for tally in marked.learners[0].sections] == [pytest.approx(float(rows[0][name]), abs=1e-6) for name in ("Gauges & circuit", "Cycle")]


def test_formula_in_a_name_is_a_text(folder):
    """A name that a spreadsheet would reckon with has an apostrophe before it, and reads back as it was."""
    assert b"'=HYPERLINK(1)" in (folder / "marks.csv").read_bytes()
    assert "=HYPERLINK(1)" == cells(folder, "marks.csv")[1]["name"]


def test_questions_are_read_as_difficulties(folder):
    """The next papers take the difficulties of this class: of all that was asked, and of no drawing."""
    known = read_difficulties(folder / "questions.csv", desk.bank())
    asked = {row["question"]: row for row in cells(folder, "questions.csv") if row["task"] == "asked"}
    assert ((), set(asked)) == (known.passed_over, set(known.measured))
    for id, found in known.measured.items():
        assert (float(asked[id]["answered"]), 1.0 - float(asked[id]["difficulty"])) == (found.answered, pytest.approx(found.missed))
    assert {"drawing"} == {row["task"] for row in cells(folder, "questions.csv")} - {"asked"}


def test_mistakes_stand_with_their_lesson(folder):
    """The mistake that was made stands with its correction and the lesson to repeat."""
    rows = cells(folder, "mistakes.csv")
    assert [("1", "1", "05", "cooling-cop")] == [(row["learners"], row["times"], row["lesson"], row["questions"]) for row in rows]


def test_rows_not_marked_stand_with_line_and_reason(folder):
    """What was not marked stands with its file, line, cells, reason and what to do."""
    rows = cells(folder, "rows-not-marked.csv")
    assert [("answers.csv", "4", "<script>alert(1)</script>"), ("answers.csv", "5", "smudged")] == [(row["file"], row["line"], row["answer"]) for row in rows]
    assert {"unreadable answer"} == {row["reason"] for row in rows}


def test_json_has_the_promised_keys(folder, marked):
    """marked.json holds learners, questions and mistakes, with nothing that JSON does not know."""
    found = json.loads((folder / "marked.json").read_text(encoding="utf-8"), parse_constant=lambda name: pytest.fail(name))
    assert {"learners", "questions", "mistakes", "class", "topics", "rows", "not_marked", "remarks", "blueprint", "format"} == set(found)
    assert found == json.loads(json.dumps(marked_dictionary(marked)))
    assert {"learners": 4, "marked": 3, "absent": 1} == {name: found["class"][name] for name in ("learners", "marked", "absent")}
    assert ["right", "wrong"] == [part["outcome"] for part in found["learners"][0]["parts"] if part["number"] == 5]
    assert sum(found["rows"].values()) == len(desk.class_sheet().rows)


def test_figure_that_cannot_be_told_has_its_reason(marked):
    """Where a class cannot tell a figure it is null, and the reason stands beside it."""
    for one in marked_dictionary(marked)["questions"]:
        assert {name for name in ("difficulty", "discrimination", "upper_lower") if one[name] is None} == set(one["why_not"])
        assert all(one["why_not"].values())


def test_nobody_marked_writes_all_the_same(tmp_path):
    """A class of which nobody gave an answer has its files too."""
    assert len(FILES) == len(write_marks(desk.marked(None), tmp_path))


def test_place_that_cannot_be_written_is_refused(marked, tmp_path):
    """A file in the folder's place is refused in one sentence."""
    (tmp_path / "taken").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be made"):
        write_marks(marked, tmp_path / "taken")


def test_half_characters_are_written(tmp_path):
    """An answer with half a character, as only a hand-in can hold, breaks no file."""
    from datetime import UTC, datetime

    from hpteach.assessment.hand_in import HandIn

    code = desk.papers().forms[0].code
    files = write_marks(desk.marked(None, hand_ins=[HandIn(code, {(1, "a"): "\ud800"}, None, datetime(2026, 5, 4, tzinfo=UTC), "x", "a.json")]), tmp_path)
    assert all(Path(path).read_bytes().decode("utf-8") for path in files)
