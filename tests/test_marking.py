"""Marking a class (hpteach/assessment/marking.py)."""

import math
from dataclasses import replace
from datetime import UTC, datetime
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hpteach.assessment.given_answers import CHANGED, SURPLUS, UNREADABLE_ANSWER
from hpteach.assessment.hand_in import HandIn
from hpteach.assessment.marked import ASKED, BLANK, DRAWING, PARTLY, RIGHT, UNREADABLE, WRONG, Rows
from hpteach.assessment.marking import _verdict, mark
from hpteach.assessment.marks import marks_of
from hpteach.questions import Bank, deal
from tests import desk_class as desk

FORMS = 4


def everybody(answered=True):
    return [row for form in desk.papers().forms for row in desk.rows_of(form, answered)]


def answered(rows, number, part, text, form=0):
    """The rows, with another answer in one place."""
    code = desk.papers().forms[form].code
    return [[*row[:5], text] if (row[2], row[3], row[4]) == (code, str(number), part) else row for row in rows]


def one(marked, number, letter="", form=0):
    """What came of one part."""
    return next(part for part in marked.learners[form].parts if (part.number, part.letter) == (number, letter))


def test_right_answers_get_all_marks():
    """Who answers everything rightly, in his or her own units, has every mark and passes; each row is judged."""
    marked = desk.marked(desk.sheet(*everybody()))
    assert [(11.0, 11.0, 1.0, True)] * FORMS == [(one.marks, one.possible, one.share, one.passed) for one in marked.learners]
    assert (Rows(len(everybody()), 0, 0), (), ()) == (marked.rows, marked.not_marked, marked.mistakes)
    assert {RIGHT} == {part.outcome for one in marked.learners for part in one.parts}


def test_possible_marks_are_those_of_the_form():
    """What can be got is what the papers said when they were dealt, part by part."""
    for form, learner in zip(desk.papers().forms, desk.marked(desk.sheet(*everybody())).learners):
        assert form.marks == learner.possible
        for question in form.questions:
            parts = [part for part in learner.parts if part.number == question.number]
            worth = [4.0] if question.drawing else list(marks_of(desk.variant(form, question.number)).values())
            assert (worth, {DRAWING if question.drawing else ASKED}) == ([part.possible for part in parts], {part.task for part in parts})


def test_foreseen_mistake_is_named():
    """A wrong answer that was foreseen is named, with its correction and the lesson to repeat; one mark is lost."""
    form = desk.papers().forms[0]
    mistake = desk.variant(form, 5).part("cop").mistakes[0]
    number = next(place for place, part in enumerate(desk.variant(form, 5).parts) if part.id == "cop")
    letter = "ab"[number]
    marked = desk.marked(desk.sheet(*answered(everybody(), 5, letter, f"{mistake.value:.3f}")))
    learner, found = marked.learners[0], one(marked, 5, letter)
    assert (WRONG, mistake.id, mistake.correction, 0.0) == (found.outcome, found.mistake, found.said, found.marks)
    assert (10.0, [(mistake.id, (5,), "05")]) == (learner.marks, [(made.id, made.numbers, made.lesson) for made in learner.mistakes])
    assert [(mistake.id, 1, 1, ("cooling-cop",))] == [(found.id, found.learners, found.times, found.questions) for found in marked.mistakes]


def test_unforeseen_answer_is_plainly_wrong():
    """A wrong answer that nobody foresaw has no mistake, and not the words that the screen has for another try."""
    found = one(desk.marked(desk.sheet(*answered(everybody(), 5, "b", "93"))), 5, "b")
    assert (WRONG, "", "") == (found.outcome, found.mistake, found.said)


def test_blank_answer_has_no_marks():
    """A blank answer counts as wrong, and as blank."""
    marked = desk.marked(desk.sheet(*answered(everybody(), 1, "a", "")))
    assert (BLANK, 0.0, 10.0, Rows(len(everybody()) - 1, 1, 0)) == (one(marked, 1).outcome, one(marked, 1).marks, marked.learners[0].marks, marked.rows)


def test_part_without_a_row_is_blank():
    """A part for which the sheet has no row is blank."""
    code = desk.papers().forms[0].code
    marked = desk.marked(desk.raw(f"7,,{code},1,a,A\n"))
    assert [BLANK] * 7 == [part.outcome for part in marked.learners[0].parts if part.number > 1]


def test_unreadable_answer_is_listed_until_it_is_put_right():
    """An answer that nobody can read has no marks for now and is listed with its line; corrected and marked again it counts."""
    marked = desk.marked(desk.sheet(*answered(everybody(), 5, "b", "4 or 5")))
    listed = marked.not_marked[0]
    assert (UNREADABLE, 0.0, 10.0) == (one(marked, 5, "b").outcome, one(marked, 5, "b").marks, marked.learners[0].marks)
    assert (1, UNREADABLE_ANSWER, 8, "4 or 5") == (len(marked.not_marked), listed.reason, listed.line, listed.answer)
    assert Rows(len(everybody()) - 1, 0, 1) == marked.rows
    assert (11.0, ()) == ((again := desk.marked(desk.sheet(*everybody()))).learners[0].marks, again.not_marked)


def test_unreadable_hand_in_is_put_right_in_the_sheet():
    """The sheet's answer stands in the place of one that was handed in by file."""
    form = desk.papers().forms[0]
    handed = HandIn(form.code, {(5, "b"): "4 or 5", (1, "a"): desk.rows_of(form)[0][5]}, None, datetime(2026, 5, 4, tzinfo=UTC), "x", "a.json")
    before = desk.marked(None, hand_ins=[handed])
    row = next(row for row in desk.rows_of(form) if row[3:5] == ["5", "b"])
    after = desk.marked(desk.sheet(row), hand_ins=[handed])
    assert (1.0, 2.0) == (before.learners[0].marks, after.learners[0].marks)


def test_torn_row_is_not_read():
    """A decimal comma that parted an answer into two cells is listed, and its part is not taken for blank."""
    code = desk.papers().forms[0].code
    marked = desk.marked(desk.raw(f"7,,{code},5,b,4,05\n7,,{code},1,a,A\n"))
    assert ([SURPLUS], UNREADABLE, 0.0) == ([listed.reason for listed in marked.not_marked], one(marked, 5, "b").outcome, one(marked, 5, "b").marks)


@pytest.mark.parametrize(
    ("text", "outcome", "marks"),
    [("4", RIGHT, 4.0), ("2", PARTLY, 2.0), ("2.5", PARTLY, 2.5), ("2,5", PARTLY, 2.5), ("0", WRONG, 0.0), ("5", UNREADABLE, 0.0), ("-1", UNREADABLE, 0.0), ("2.3", UNREADABLE, 0.0), ("nan", UNREADABLE, 0.0), ("inf", UNREADABLE, 0.0), ("two", UNREADABLE, 0.0)],
)
def test_points_of_a_drawing_are_typed_in(text, outcome, marks):
    """A drawing has as many marks as the points that somebody typed in, from 0 to 4 in halves."""
    found = one(desk.marked(desk.sheet(*answered(everybody(), 6, "points", text))), 6)
    assert (outcome, marks) == (found.outcome, found.marks)


def test_form_without_answers_is_absent():
    """Who gave no answer is absent: no marks, no part in any statistics, and told."""
    rows = [*desk.rows_of(desk.papers().forms[0]), *desk.rows_of(desk.papers().forms[1], answered=False)]
    marked = desk.marked(desk.sheet(*rows))
    assert [False, True, True, True] == [one.absent for one in marked.learners]
    assert (None, None, 1, 3) == (marked.learners[1].share, marked.learners[1].passed, len(marked.marked), len(marked.absent))
    assert {1} == {question.given for question in marked.questions}
    assert "3 of 4 learners gave no answer: they count as absent." in marked.remarks


def test_every_row_is_judged_blank_or_listed():
    """Whatever stands in the sheet, each row is in exactly one of the three."""
    code = desk.papers().forms[0].code
    rows = answered(answered(everybody(), 1, "a", ""), 5, "b", "?")
    rows += [["x", "", code, "1", "a", "A"], ["", "", "", "", "", "A"], ["7", "", code, "9", "a", ""], ["7", "", code, "2", "a", "A"], ["7", "", code, "2", "z", "A"]]
    marked = desk.marked(desk.sheet(*rows))
    assert len(rows) == sum(marked.rows)
    assert (1, 6) == (marked.rows.blank, marked.rows.listed)
    assert [listed.line for listed in marked.not_marked] == sorted(listed.line for listed in marked.not_marked)


CODES = [form.code for form in desk.papers().forms]
CELLS = st.tuples(
    st.sampled_from(["7", "ab12", "9", "10", "", "nobody"]),
    st.sampled_from(["", "Ada"]),
    st.sampled_from([*CODES, CODES[0].lower(), "", "2222-2234", "2222-2243", "?"]),
    st.sampled_from(["1", "2", "3", "4", "5", "6", "7", "", "one", "0"]),
    st.sampled_from(["a", "b", "c", "", "points", "cop"]),
    st.sampled_from(["", " ", "A", "4.05", "4 or 5", "12,5 K", "3", "<b>", "1 2 3", "=1+1", "\u0000", "x" * 200]) | st.text(max_size=20),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(CELLS, max_size=40))
def test_no_row_is_lost(rows):
    """Whatever is typed into the sheet, each row is judged, blank or listed, no more marks are given than there are, and nothing is raised."""
    answers = desk.sheet(*map(list, rows))
    marked = desk.marked(answers)
    assert len(answers.rows) == sum(marked.rows)
    assert len(marked.not_marked) == marked.rows.listed
    assert len({(listed.file, listed.line) for listed in marked.not_marked}) == marked.rows.listed
    for learner in marked.learners:
        assert 0.0 <= learner.marks <= learner.possible
        assert learner.absent == (not learner.parts)


def test_nobody_may_have_answered():
    """An empty sheet, or none at all, marks nobody and raises nothing."""
    for answers in (None, desk.sheet()):
        marked = desk.marked(answers)
        assert ((), (), None, None, None, FORMS) == (marked.questions, marked.mistakes, marked.scores, marked.mean, marked.reliability.value, len(marked.absent))


@pytest.mark.parametrize(("points", "passed"), [(5.5, True), (5.0, False)])
def test_score_at_the_pass_mark_passes(points, passed):
    """Half of the marks is a pass where the pass mark is 50 %, and less is none."""
    form = desk.papers().forms[0]
    rows = desk.rows_of(form, answered=False)
    rows = [[*row[:5], str(points - 3)] if row[4] == "points" else row for row in rows]
    rows = [new if row[4] != "points" and place < 3 else row for place, (row, new) in enumerate(zip(rows, desk.rows_of(form)))]
    learner = desk.marked(desk.sheet(*rows)).learners[0]
    assert (points, passed) == (learner.marks, learner.passed)


def test_sections_and_topics_add_up():
    """The marks by section and by topic come to the marks of the form, sections in the order of the blueprint."""
    for learner in desk.marked(desk.sheet(*answered(everybody(), 6, "points", "1"))).learners:
        assert ["Gauges & circuit", "Cycle"] == [tally.title for tally in learner.sections]
        for tallies in (learner.sections, learner.topics):
            assert (learner.marks, learner.possible) == (math.fsum(one.marks for one in tallies), math.fsum(one.possible for one in tallies))


def with_version(id, version):
    """The bank, with another version of a question, or without it."""
    questions = dict(desk.bank().questions)
    questions[id] = replace(questions[id], version=version)
    if not version:
        del questions[id]
    return Bank(MappingProxyType(questions))


@pytest.mark.parametrize(("version", "words"), [(99, "was changed after the papers were dealt"), (0, "is in the bank no more")])
def test_changed_question_is_not_judged(version, words):
    """A question that is another now, or gone, is in nobody's score; its answers are listed, and a remark says so."""
    id = desk.papers().forms[0].questions[0].question
    held = [form for form in desk.papers().forms if id in {one.question for one in form.questions}]
    marked = mark(desk.papers(), with_version(id, version), sheet=desk.sheet(*everybody()), workers=1)
    assert {CHANGED} == {listed.reason for listed in marked.not_marked}
    assert [10.0 if form in held else 11.0 for form in desk.papers().forms] == [one.possible for one in marked.learners]
    assert (len(held), True, 1) == (len(marked.not_marked), words in marked.not_marked[0].sentence, sum(words in remark for remark in marked.remarks))


def test_marking_again_finds_the_same():
    """The same answers give the same results, whatever order the rows stand in."""
    rows = answered(everybody(), 5, "b", "0.2")
    first, again, backwards = (desk.marked(desk.sheet(*order)) for order in (rows, rows, rows[::-1]))
    assert first == again
    assert (first.learners, first.questions, first.mistakes) == (backwards.learners, backwards.questions, backwards.mistakes)


def test_progress_is_told():
    """Whoever wants to know hears how many forms are judged, of how many."""
    told = []
    desk.marked(desk.sheet(*everybody()), told=lambda what, done, of: told.append((what, done, of)))
    assert ("forms judged", FORMS, FORMS) == told[-1]


@pytest.mark.parametrize(("question", "part"), [("oil-that-drinks-water", "claim"), ("oil-that-drinks-water", "why")])
@pytest.mark.parametrize("place", range(4))
def test_answer_is_read_as_the_key_prints_it(question, part, place):
    """A choice with its letter, a colon and its words is read however long it is, and judged as its letter alone; a letter before other words is not."""
    dealt = deal(desk.bank().question(question), 1)
    choices = dealt.part(part).choices
    place %= len(choices)
    letter = "ABCD"[place]
    assert _verdict(dealt, part, letter) == _verdict(dealt, part, f"{letter}: {choices[place]}") == _verdict(dealt, part, f" {letter}:  {choices[place]} ")
    assert UNREADABLE == _verdict(dealt, part, f"{letter}: {choices[place - 1]}")[0]


def test_other_names_are_told():
    """Where a learner's name on the sheet is not that of the papers the class's remarks say so."""
    rows = [[*row[:1], "Ben Stone", *row[2:]] if row[0] == "7" else row for row in everybody()]
    marked = desk.marked(desk.sheet(*rows))
    assert ((), 1) == (marked.not_marked, sum("1 of 4 learners bear another name on the answer sheet" in remark for remark in marked.remarks))


def test_sheet_of_another_class_marks_nobody():
    """Where all names are others every row is listed, and all count as absent."""
    rows = [[*row[:1], f"Stranger {row[0]} Stone", *row[2:]] for row in everybody()]
    marked = desk.marked(desk.sheet(*rows))
    assert (Rows(0, 0, len(rows)), [True] * FORMS) == (marked.rows, [one.absent for one in marked.learners])
