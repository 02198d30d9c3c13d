"""What a class's marks tell of questions, mistakes and topics (hpteach/assessment/class_results.py)."""

import math

import numpy as np
import pytest

from hpteach.assessment.class_results import class_mistakes, question_results, scores_of, topics_of
from hpteach.assessment.marked import ASKED, BLANK, DRAWING, RIGHT, UNREADABLE, WRONG, LearnerMarks, MistakeMade, PartMark, Tally
from hpteach.assessment.roster import Learner
from hpteach.assessment.statistics import QuestionStatistics, question_statistics, reliability
from hpteach.questions.mistakes import WAYS
from tests import small_bank

BANK = small_bank.bank(small_bank.question("one"), small_bank.question("two", "circuit", "02"), small_bank.question("three", lesson="exam"))


def part(question, outcome=RIGHT, marks=None, possible=1.0, mistake="", said="", task=ASKED, number=1):
    got = possible if outcome == RIGHT else 0.0
    return PartMark(number, question, "p", "", "All", outcome, "x", got if marks is None else marks, possible, mistake, said, task)


def learner(*parts):
    made = {one.mistake: MistakeMade(one.mistake, (one.number,), one.said, "") for one in parts if one.mistake}
    marks, possible = (math.fsum(getattr(one, name) for one in parts) for name in ("marks", "possible"))
    topics = [Tally(BANK.question(one.question).topic, one.marks, one.possible) for one in parts]
    return LearnerMarks(Learner("7"), "2222-2234", False, marks, possible, None, (), tuple(topics), tuple(made.values()), tuple(parts))


def test_counts_of_a_question():
    """Given, right, blank and unreadable are counted over the learners who had the question."""
    parts = [part("one"), part("one", WRONG), part("one", BLANK), part("one", UNREADABLE)]
    found = question_results([learner(one) for one in parts] + [learner(part("two"))], BANK)[0][0]
    assert ("one", 4, 1, 1, 1) == (found.id, found.given, found.right, found.blank, found.unreadable)
    assert (0.25, 4) == (found.difficulty.value, found.difficulty.learners)


def test_question_with_parts_is_right_if_all_are():
    """A question counts as got where every part of it has all its marks, and as blank where all are."""
    found = question_results([learner(part("one"), part("one", BLANK)), learner(part("one"), part("one"))], BANK)[0][0]
    assert (2, 1, 0, 0.75) == (found.given, found.right, found.blank, found.difficulty.value)


def test_drawing_stands_apart():
    """A question that was asked, and the same set as a drawing, are two."""
    found = question_results([learner(part("one", WRONG), part("one", WRONG, 3.0, 4.0, task=DRAWING))], BANK)[0]
    assert [("one", ASKED, 0.0), ("one", DRAWING, 0.75)] == [(one.id, one.task, one.difficulty.value) for one in found]


def test_figures_are_those_of_the_matrix():
    """Difficulty, discrimination, upper-lower index and reliability are what statistics makes of the marks, empty where a learner lacked the question."""
    scores = [[1, 1], [1, 0], [0, 0], [1, math.nan]]
    learners = [learner(*(part(id, RIGHT if mark else WRONG) for id, mark in zip(("one", "two"), row) if not math.isnan(mark))) for row in scores]
    found, told = question_results(learners, BANK)
    matrix = np.array(scores)
    assert list(question_statistics(matrix)) == [QuestionStatistics(one.difficulty, one.discrimination, one.upper_lower) for one in found]
    assert reliability(matrix) == told


def test_lesson_of_the_exam_is_none():
    """A question that no lesson teaches has no lesson to link to."""
    assert ["", "02"] == [one.lesson for one in question_results([learner(part("three"), part("two"))], BANK)[0]]


def test_mistakes_by_how_many_made_them():
    """First stands what most learners made, then what was made more often; times and questions are told."""
    often = learner(part("one", WRONG, mistake="b_often"), part("two", WRONG, mistake="b_often"), part("three", WRONG, mistake="a_once"))
    found = class_mistakes([often, learner(part("one", WRONG, mistake="c_two")), learner(part("one", WRONG, mistake="c_two"))], BANK)
    assert [("c_two", 2, 2, ("one",)), ("b_often", 1, 2, ("one", "two")), ("a_once", 1, 1, ("three",))] == [(one.id, one.learners, one.times, one.questions) for one in found]


def test_correction_of_a_named_way_is_the_general_one():
    """A named way has its one correction; of others the one that was told most often is an example, or the only one."""
    id = sorted(WAYS)[0]
    made = [part("one", WRONG, mistake=id, said="special"), *(part("one", WRONG, mistake="own", said=said) for said in ("x", "y", "y")), part("two", WRONG, mistake="single", said="z")]
    found = {one.id: one.correction for one in class_mistakes([learner(one) for one in made], BANK)}
    assert {id: WAYS[id].correction, "own": "For example: y", "single": "z"} == found


def test_topics_weakest_first():
    """Marks are added up by topic over the class, the weakest topic first."""
    found = topics_of([learner(part("one"), part("two", WRONG)), learner(part("one", WRONG), part("two", WRONG))])
    assert [("circuit", 0.0, 2.0), ("gauges", 1.0, 2.0)] == [tuple(one) for one in found]


def test_scores_are_summed_up():
    """The five numbers and the mean are of the shares of the marks."""
    five, mean = scores_of([learner(part("one")), learner(part("one"), part("two", WRONG))])
    assert (0.5, 0.75, 1.0, 0.75) == (five.least, five.median, five.most, mean)


def test_shares_of_a_mark_add_up():
    """A table whose cells share four marks comes to four and to no more, whatever the rounding."""
    cells = [part("one", possible=4.0 / 7.0) for _ in range(7)]
    assert 1.0 == pytest.approx(question_results([learner(*cells)], BANK)[0][0].difficulty.value, abs=1e-12)
