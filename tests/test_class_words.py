"""A class's results in words (hpteach/papers/class_words.py)."""

import math
from dataclasses import replace

import pytest

from hpteach.assessment.marked import DRAWING, LearnerMarks, QuestionMarks
from hpteach.assessment.roster import Learner
from hpteach.assessment.statistics import Estimate, FiveNumbers, Reliability
from hpteach.papers.class_words import limits_in_words, near_the_pass_mark, question_in_words, reliability_in_words, scores_in_words
from tests import desk_class as desk


def question(given=24, right=18, discrimination=0.5, difficulty=None, reason="", **other):
    share = right / given if difficulty is None else difficulty
    none = Estimate(None, "", given)
    return QuestionMarks("id", 1, "asked", "Title", "topic", "05", 2, given, right, 0, 0, Estimate(share, "", given), Estimate(discrimination, reason, given), none, (), **other)


WORDS = [
    (question(), "18 of 24 got it; those who did well overall got it more often."),
    (question(discrimination=-0.5), "18 of 24 got it; those who did well overall got it less often: look at its words and its key."),
    (question(discrimination=0.3), "18 of 24 got it; those who did well overall seem to have got it more often, but with 24 answers that may be chance."),
    (question(discrimination=-0.3), "18 of 24 got it; those who did well overall seem to have got it less often, but with 24 answers that may be chance: look at its words."),
    (question(discrimination=0.1), "18 of 24 got it; 24 answers do not tell whether those who did well overall get it more often."),
    (question(right=24, discrimination=None), "24 of 24 got it; as everybody got it, it tells nothing of who knows more."),
    (question(right=0, discrimination=None), "0 of 24 got it; as nobody got it, it tells nothing of who knows more: look at its words and its key, or teach it again."),
    (question(given=9, right=9), "9 of 9 got it; too few had it to judge it by."),
    (question(given=10, right=9, discrimination=None, reason="all alike"), "9 of 10 got it; who gets it cannot be told: all alike."),
    (replace(question(), blank=2, unreadable=1), "18 of 24 got it, 2 left it blank, 1 wrote something that nobody has read yet; those who did well overall got it more often."),
    (replace(question(), task=DRAWING), "18 of 24 drew all four points; those who did well overall got it more often."),
]


@pytest.mark.parametrize(("told", "words"), WORDS, ids=[words for _, words in WORDS])
def test_question_reads_without_statistics(told, words):
    """How many got it, and whether those who did well overall got it more often, as far as so many answers can tell."""
    assert words == question_in_words(told)


def learners(*shares):
    return tuple(LearnerMarks(Learner(str(place)), f"form {place}", False, 100 * share, 100.0, share >= 0.5) for place, share in enumerate(shares))


def marked(*shares, reliability=Reliability("KR-20", 0.75, "", 24, 0.05), absent=0, given=()):
    gone = tuple(LearnerMarks(Learner(f"x{place}"), f"gone {place}", True, 0.0, 0.0, None) for place in range(absent))
    found = desk.marked(None)
    five = FiveNumbers(0.2, 0.4, 0.5, 0.6, 0.9) if shares else None
    questions = tuple(question(given=one, right=1) for one in given)
    return replace(found, learners=(*learners(*shares), *gone), scores=five, mean=0.5 if shares else None, reliability=reliability, questions=questions)


def test_scores_are_told():
    """How many passed, mean and spread, and who was absent."""
    said = " ".join(scores_in_words(marked(0.2, 0.5, 0.9, absent=2)))
    assert said.startswith("2 of 3 passed (pass mark 50 %). The mean score is 50 %. Half of the learners scored 50 % or more; the middle half lies between 40 % and 60 %")
    assert "2 gave no answer and count as absent: gone 0, gone 1." in said


def test_nobody_has_no_scores():
    """Where nobody was marked nothing is made up."""
    assert ["Nobody gave an answer that could be marked, so there are no scores."] == scores_in_words(marked())
    assert [] == limits_in_words(marked())


@pytest.mark.parametrize(("value", "words"), [(0.85, "the scores can be relied on."), (0.7, "the scores can be relied on with care."), (0.4, "the scores say little about who knows more than whom."), (-0.2, "the scores say little")])
def test_reliability_reads_without_statistics(value, words):
    """The coefficient stands with what it means."""
    said = reliability_in_words(marked(0.5, reliability=Reliability("KR-20", value, "", 24, 0.05)))
    assert said[0].startswith(f"Reliability {value:.2f} (KR-20, 24 learners; 1 would be perfect): {words}")


def test_reliability_that_cannot_be_told_says_why():
    """Where there is no coefficient its reason stands there."""
    said = reliability_in_words(marked(0.5, reliability=Reliability("KR-20", None, "there are fewer than two learners", 1)))
    assert ["How far the scores can be relied on cannot be told: there are fewer than two learners."] == said


def test_learners_near_the_pass_mark_are_named():
    """Who lies within one standard error of the pass mark is named: chance may have decided."""
    found = marked(0.44, 0.46, 0.5, 0.56)
    assert ["form 1", "form 2"] == [one.form for one in near_the_pass_mark(found)]
    assert "chance may have decided: form 1, form 2." in reliability_in_words(found)[2]


@pytest.mark.parametrize(
    ("count", "given", "words", "silent"),
    [
        (1, [1], "With 1 learner every figure here is rough", "Papers differ"),
        (5, [5, 5], "A class this small cannot tell good questions from poor ones", "Papers differ"),
        (24, [24], f"off by about {100 * 0.5 / math.sqrt(24):.0f} %", "A class this small"),
        (24, [3, 17], "a question was on 3 to 17 of them only", "A class this small"),
    ],
)
def test_limits_of_a_class_are_told(count, given, words, silent):
    """What a class of its size cannot tell is said, and no more than holds."""
    said = " ".join(limits_in_words(marked(*[0.5] * count, given=given)))
    assert (True, False) == (words in said, silent in said)
