"""The instructor's desk as a whole: a class from its roster to its marks (hpteach/assessment, hpteach/papers, hpteach/desk_options.py)."""

import json
import math

import pytest

from hpteach.assessment.answer_sheet import part_letters
from hpteach.assessment.blueprint import read_blueprint
from hpteach.assessment.demo_class import COLUMNS, demo_answers, demo_learners, demo_roster, demo_secret
from hpteach.assessment.drawing_tasks import DRAWING_MARKS
from hpteach.assessment.forms import MOST_SPREAD, deal_forms
from hpteach.assessment.given_answers import NEEDED
from hpteach.assessment.manifest import manifest, manifest_of, read_manifest
from hpteach.assessment.marking import mark
from hpteach.assessment.marks import marks_of
from hpteach.assessment.secret import read_secret
from hpteach.assessment.statistics import spearman
from hpteach.assessment.tabular import read_sheet, sheet_bytes, sheet_from_bytes, write_sheet
from hpteach.assessment.variant_store import VariantStore
from hpteach.cli import main
from hpteach.questions import read_bank
from tests.desk_class import right

CLASS = 24


def done(capsys, *argv):
    """The JSON object of a command that has to end well."""
    code = main([*map(str, argv), "--json"])
    told = capsys.readouterr()
    assert 0 == code, told.err
    return json.loads(told.out)


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """A folder with the roster of 24 invented learners, half of whom work in IP."""
    place = tmp_path_factory.mktemp("class")
    rows = [(one.id, f"{one.name}; <i>&", "A", ("SI", "IP")[number % 2]) for number, one in enumerate(demo_learners(CLASS))]
    write_sheet(place / "class.csv", ("id", "name", "group", "units"), rows)
    return place


def test_class_from_roster_to_marks_in_two_commands(desk, capsys):
    """One command deals a paper to each of 24 learners, the other marks them: every row of the sheet is accounted for, and the scores bring the
    known abilities to light."""
    told = done(capsys, "papers", "--roster", desk / "class.csv", "--blueprint", "end-of-course", "--out", desk / "papers", "--seed-secret", desk / "secret.txt", "--no-charts")
    assert CLASS == told["forms"]

    papers = read_manifest(desk / "papers" / "papers.json", read_secret(desk / "secret.txt"))
    empty = read_sheet(desk / "papers" / "answers.csv", needed=NEEDED)
    answers = {row[2:5]: row[5] for row in demo_answers(papers.forms, VariantStore(read_bank()))}
    assert len(empty.rows) == len(answers)
    absent = papers.forms[-1].code
    rows = [(*row.cells[:5], "" if row.cells[2] == absent else answers[row.cells[2:5]]) for row in empty.rows]
    rows += [("99", "", papers.forms[0].code, "1", "a", "A"), (papers.forms[0].learner.id, "", "", "1", "a", "A"), ("", "", papers.forms[1].code, "31", "a", "A")]
    write_sheet(desk / "answers.csv", empty.headings, rows)

    found = done(capsys, "mark", "--papers", desk / "papers", "--answers", desk / "answers.csv", "--out", desk / "marks", "--seed-secret", desk / "secret.txt")
    assert {"learners": CLASS, "marked": CLASS - 1, "absent": 1} == {name: found["class"][name] for name in ("learners", "marked", "absent")}
    assert len(rows) == sum(found["rows"].values())
    reasons = [one["reason"] for one in found["not_marked"]]
    assert ["unknown learner", "missing form", "unknown number"] == reasons[-3:]
    assert {"unreadable answer"} == set(reasons[:-3])
    scores = [math.nan if one["score"] is None else one["score"] for one in found["learners"]]
    assert spearman([one.ability for one in demo_learners(CLASS)], scores).value >= 0.9
    assert [] == [name for name in found["files"] if not (desk / "marks" / name).is_file()]
    assert found["mistakes"] and all(one["correction"] for one in found["mistakes"])


def test_marking_twice_gives_the_same_bytes(desk, capsys):
    """The same papers and answers give the same files, byte by byte."""
    done(capsys, "mark", "--papers", desk / "papers", "--answers", desk / "answers.csv", "--out", desk / "again")
    for path in (desk / "marks").rglob("*.*"):
        assert path.read_bytes() == (desk / "again" / path.relative_to(desk / "marks")).read_bytes(), path.name


def test_unreadable_answers_put_right_count(desk, capsys):
    """When what nobody could read is typed in anew and marked again, it is listed no more, and each such answer that is right brings its marks."""
    papers, store = read_manifest(desk / "papers" / "papers.json", None), VariantStore(read_bank())
    before = json.loads((desk / "marks" / "marked.json").read_text(encoding="utf-8"))
    unread = {one["line"] for one in before["not_marked"] if one["reason"] == "unreadable answer"}
    sheet, rows, gained = read_sheet(desk / "answers.csv"), [], 0.0
    for row in sheet.rows:
        _, _, code, number, letter, answer = row.cells
        if row.line in unread:
            one = papers.form(code).questions[int(number) - 1]
            if one.drawing:
                answer, worth = "4", DRAWING_MARKS
            else:
                dealt = store.variant(one.question, one.seed, one.system)
                part = dealt.parts[part_letters(len(dealt.parts)).index(letter)]
                answer, worth = right(dealt, part), marks_of(dealt)[part.id]
            gained += worth
        rows.append((*row.cells[:5], answer))
    write_sheet(desk / "right.csv", sheet.headings, rows)
    after = done(capsys, "mark", "--papers", desk / "papers", "--answers", desk / "right.csv", "--out", desk / "right")
    assert (True, 3) == (len(unread) > 0, len(after["not_marked"]))
    assert gained == pytest.approx(sum(now["marks"] - then["marks"] for now, then in zip(after["learners"], before["learners"])), abs=1e-4)


def test_scores_recover_the_order_of_ability():
    """Over 300 invented learners with 30 questions each, Spearman's rank correlation of score and ability is 0.95 or more."""
    bank, blueprint, secret, learners = read_bank(), read_blueprint("end-of-course"), demo_secret(), demo_learners(300)
    dealt = deal_forms(demo_roster(learners), blueprint, bank, secret)
    assert (300, 30) == (len(dealt.forms), blueprint.questions)
    assert dealt.spread <= MOST_SPREAD
    sheet = sheet_from_bytes(sheet_bytes(COLUMNS, demo_answers(dealt.forms, dealt.store, learners)), "answers.csv", needed=NEEDED)
    found = mark(manifest_of(manifest(dealt.forms, blueprint, bank, secret), "papers.json", secret), bank, sheet=sheet, store=dealt.store)
    assert len(sheet.rows) == sum(found.rows)
    assert spearman([one.ability for one in learners], [one.share for one in found.learners]).value >= 0.95
    assert found.reliability.value >= 0.9
