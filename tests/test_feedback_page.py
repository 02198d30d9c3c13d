"""The sheet that a learner gets back (hpteach/papers/feedback_page.py)."""

import re

import pytest

from hpteach.papers.class_page import Lesson
from hpteach.papers.feedback_page import feedback_page, feedback_pages, greeting
from tests import desk_class as desk
from tests.test_class_page import Reading

LESSONS = {"05": Lesson("05", "cooling with numbers", "")}


@pytest.fixture(scope="module")
def marked():
    return desk.marked(desk.class_sheet())


def sheet(marked, place):
    return feedback_page(marked, marked.learners[place], LESSONS)


def test_sheet_stands_by_itself(marked):
    """Every element is closed, nothing is fetched or run, and what the learner typed stays text."""
    read = Reading(sheet(marked, 0))
    assert ([], True, True) == (read.fetched, "<script>alert(1)</script>" in read.words, "Ada <b>Fernhill</b>" in read.words)
    assert "<bdi>" in sheet(marked, 0)


def test_wrong_answer_stands_with_its_correction(marked):
    """What was answered, what corrects it, and the lesson to repeat stand in one row."""
    made = marked.learners[0].mistakes[0]
    answer = next(part.answer for part in marked.learners[0].parts if part.mistake)
    words = Reading(sheet(marked, 0)).words
    assert f"{answer} {made.correction} 05" in words
    assert "Lesson 05: cooling with numbers" in words


def test_each_lost_mark_is_explained(marked):
    """A blank, an answer that nobody could read and half a drawing each say what to do; right answers are not listed."""
    words = Reading(sheet(marked, 0)).words
    for said in ("You left this blank.", "This could not be read yet", "Points of the drawing are missing"):
        assert said in words
    lost = sum(part.outcome != "right" for part in marked.learners[0].parts)
    assert lost == sheet(marked, 0).split("What to look at")[1].split("</table>")[0].count("<tr>") - 1


def test_few_lessons_are_named(marked):
    """However much went wrong, four lessons at most are named, first the one in which most was lost."""
    worst = feedback_page(marked, marked.learners[3], LESSONS)
    named = [one for one in Reading(worst).texts if one.startswith("Lesson ")]
    lost = sum(part.marks < part.possible for part in marked.learners[3].parts)
    assert lost > 4 >= len(named) > 0


def test_points_of_a_drawing_are_told(marked):
    """A drawing says how many of its points were right."""
    assert "2.5 of 4 points" in Reading(sheet(marked, 0)).words


def test_right_answer_is_not_given_away(marked):
    """The sheet corrects thoughts and keeps the answers, so that the questions can be asked again."""
    form = desk.papers().forms[0]
    words = Reading(sheet(marked, 0)).words
    cop = desk.variant(form, 5).part("cop")
    assert desk.right(desk.variant(form, 5), cop) not in words


def test_everything_right_is_praised(marked):
    """Who got everything sees so, and no table of mistakes."""
    words = Reading(sheet(marked, 1)).words
    assert ("You passed, with hardly a mark lost." in words, "Every answer was right." in words, "What to look at" in words) == (True, True, False)


def test_sheets_of_the_class_stand_in_one_file(marked):
    """One file holds the sheet of each learner who was marked, each on a page of its own."""
    page = feedback_pages(marked, LESSONS)
    assert (3, True) == (page.count("<section "), "section + section { break-before: page; }" in page)
    assert [one.form for one in marked.marked] == re.findall(r"<p>Form ([\w-]+)", page)
    Reading(page)


def test_every_page_of_a_sheet_names_its_form(marked):
    """Loose pages can be put together again: the foot of each has the form and a page number that counts this sheet alone."""
    page = feedback_pages(marked, LESSONS)
    for one in marked.marked:
        assert f'@page form-{one.form} {{ counter-increment: sheet-{one.form}; @bottom-right {{ content: "form {one.form}, page " counter(sheet-{one.form});' in page
        assert 1 == page.count(f'<section style="page: form-{one.form}">')


@pytest.mark.parametrize(
    ("share", "passed", "words"),
    [(0.95, True, "hardly a mark lost"), (0.7, True, "You passed. Well done."), (0.55, False, "You are close to the pass mark of 60 %"), (0.1, False, "You have not reached the pass mark of 60 % yet")],
)
def test_greeting_is_true_and_kind(share, passed, words):
    """The first sentence says where the learner stands, and that there is a way on."""
    assert words in greeting(0.6, share, passed)
