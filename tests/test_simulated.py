"""Invented learners whose ability is known (hpteach/assessment/simulated.py), and whether scores bring it to light."""

from __future__ import annotations

import math
from collections import Counter
from statistics import NormalDist, fmean, pstdev

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.simulated import (
    BLANK, UNREADABLE, UNREADABLE_TEXTS, SimulatedLearner, SimulatedQuestion, answers, probability_right, simulated_learners,
)  # fmt: skip
from hpteach.assessment.statistics import difficulty, nested_reliability, scores, spearman
from hpteach.errors import InputError, UnknownNameError

EXPECTED_DIFFICULTIES = (0.25, 0.45, 0.65)


def paper(count: int, first: int = 0) -> list[SimulatedQuestion]:
    """Invented questions of the three levels in turn, with two foreseen mistakes each."""
    mistakes = ("first mistake", "second mistake")
    return [SimulatedQuestion(f"q{number}", EXPECTED_DIFFICULTIES[number % 3], "right", mistakes) for number in range(first, first + count)]


def marks_of(learners, papers, seed="marks") -> np.ndarray:
    """1 for each right answer, 0 for any other; papers are lists of questions, one for each learner."""
    return np.array([[float(text == "right") for text in answers(learner, questions, seed).values()] for learner, questions in zip(learners, papers)])


# Learners -----------------------------------------------------------------------------


def test_class_by_rank_is_spread_as_a_normal_distribution() -> None:
    """The abilities of four are those below which 1/8, 3/8, 5/8 and 7/8 lie; any seed deals the same ones in another order."""
    expected = [NormalDist().inv_cdf(share) for share in (1 / 8, 3 / 8, 5 / 8, 7 / 8)]
    orders = [tuple(learner.ability for learner in simulated_learners(4, seed)) for seed in range(20)]
    assert all(expected == sorted(order) for order in orders)
    assert len(set(orders)) > 5


def test_class_by_lot_is_drawn_from_a_normal_distribution() -> None:
    """Of 4,000 abilities mean and spread are 0 and 1 within four standard errors, and no two classes are alike."""
    drawn = [learner.ability for learner in simulated_learners(4_000, "lot", by="lot")]
    assert 0.0 == pytest.approx(fmean(drawn), abs=4 / math.sqrt(4_000))
    assert 1.0 == pytest.approx(pstdev(drawn), abs=4 / math.sqrt(2 * 4_000))
    assert sorted(drawn) != sorted(learner.ability for learner in simulated_learners(4_000, "other", by="lot"))


@pytest.mark.parametrize("by", ["rank", "lot"])
def test_same_seed_gives_the_same_class(by: str) -> None:
    """A class can be made again; another seed gives another."""
    assert simulated_learners(9, "a", by) == simulated_learners(9, "a", by) != simulated_learners(9, "b", by)


@pytest.mark.parametrize(("count", "ids"), [(1, ["1"]), (3, ["1", "2", "3"]), (10, [f"{n:02}" for n in range(1, 11)])])
def test_ids_are_counted(count: int, ids: list[str]) -> None:
    """Ids are numbers of one width, so that they sort as they are counted; each name says that it is invented."""
    learners = simulated_learners(count, 1)
    assert ids == [learner.id for learner in learners]
    assert [f"Invented learner {id}" for id in ids] == [learner.name for learner in learners]


def test_class_that_cannot_be_is_refused() -> None:
    """No learners, and another way of spreading abilities, are refused."""
    with pytest.raises(InputError, match="0 simulated learners are no class: use 1 or more"):
        simulated_learners(0, 1)
    with pytest.raises(UnknownNameError, match="spread of abilities 'ranks' is not known; did you mean rank.*"):
        simulated_learners(3, 1, by="ranks")


# Answers ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ability", "hard", "expected"),
    [
        (0.0, 0.25, 0.75), (0.0, 0.65, 0.35), (0.0, 0.5, 0.5),
        (1.0, 0.5, 1 / (1 + math.exp(-1.7))), (-1.0, 0.5, 1 / (1 + math.exp(1.7))),
        (math.log(3) / 1.7, 0.75, 0.5),  # odds of 3 to 1 against are made up for by this ability
        (1_000.0, 0.5, 1.0), (-1_000.0, 0.5, 0.0),
    ],
)  # fmt: skip
def test_chance_of_a_right_answer_by_hand(ability: float, hard: float, expected: float) -> None:
    """The average learner gets it wrong with the chance that is the difficulty; odds change by e^1.7 for each step of ability."""
    assert expected == pytest.approx(probability_right(ability, hard), abs=1e-12)


def test_logistic_curve_is_as_steep_as_a_normal_one() -> None:
    """With 1.7 it lies within 0.01 of the normal distribution at every ability (Haley 1952, in Lord & Novick 1968; from memory, not seen here)."""
    assert 0.01 > max(abs(probability_right(step / 100, 0.5) - NormalDist().cdf(step / 100)) for step in range(-500, 501))


@given(st.floats(-6, 6), st.floats(-6, 6), st.floats(0.01, 0.99), st.floats(0.01, 0.99))
def test_chance_rises_with_ability_and_falls_with_difficulty(one: float, other: float, easy: float, hard: float) -> None:
    """Who knows more is never less likely to be right, and a harder question is never likelier to be got right."""
    assert probability_right(min(one, other), easy) <= probability_right(max(one, other), easy)
    assert probability_right(one, max(easy, hard)) <= probability_right(one, min(easy, hard))


@pytest.mark.parametrize("hard", [0.0, 1.0, -0.1, 1.1, math.nan])
def test_difficulty_that_cannot_be_is_refused(hard: float) -> None:
    """A question that all or none get right has no place on the scale."""
    with pytest.raises(InputError, match="difficulty of .* cannot be: use a share above 0 and below 1"):
        answers(SimulatedLearner("1", 0.0), [("q", hard, "right", ())], 1)


def test_answers_come_in_their_stated_shares() -> None:
    """Of 20,000 answers of an average learner each kind has its share, within four standard errors: right, two mistakes, blank, unreadable."""
    asked = [(f"q{number}", 0.4, "right", ("first mistake", "second mistake")) for number in range(20_000)]
    counted = Counter("unreadable" if text in UNREADABLE_TEXTS else text for text in answers(SimulatedLearner("1", 0.0), asked, "shares").values())
    tried = 1.0 - BLANK - UNREADABLE
    shares = {"right": 0.6 * tried, "first mistake": 0.2 * tried, "second mistake": 0.2 * tried, "": BLANK, "unreadable": UNREADABLE}
    assert set(shares) == set(counted)
    for kind, share in shares.items():
        assert share == pytest.approx(counted[kind] / 20_000, abs=4 * math.sqrt(share * (1 - share) / 20_000)), kind


def test_every_unreadable_text_is_met() -> None:
    """All of them turn up where every answer is unreadable."""
    written = answers(SimulatedLearner("1", 0.0), paper(200), 1, blank=0.0, unreadable=1.0).values()
    assert set(UNREADABLE_TEXTS) == set(written)


def test_mistake_that_nobody_foresaw_is_a_blank() -> None:
    """Where no mistake is foreseen, who does not know the answer leaves it empty."""
    asked = [SimulatedQuestion(f"q{number}", 0.5, "right") for number in range(100)]
    assert {"right", ""} == set(answers(SimulatedLearner("1", 0.0), asked, 1, blank=0.0, unreadable=0.0).values())


def test_answer_hangs_on_nothing_beside_it() -> None:
    """The order of the questions, and others beside them, change no answer; another seed, learner or key does."""
    learner = SimulatedLearner("1", 0.0)
    whole = answers(learner, paper(60), "a")
    assert whole == dict(reversed(answers(learner, paper(60)[::-1], "a").items()))
    assert {key: whole[key] for key in ("q30", "q31")} == answers(learner, paper(2, first=30), "a")
    assert whole != answers(learner, paper(60), "b")
    assert whole != answers(SimulatedLearner("2", 0.0), paper(60), "a")
    assert len(set(whole.values())) > 1


@pytest.mark.parametrize(("blank", "unreadable"), [(-0.1, 0.0), (0.0, -0.1), (0.6, 0.5)])
def test_chances_that_cannot_be_are_refused(blank: float, unreadable: float) -> None:
    """Chances below 0 or of more than 1 together are refused."""
    with pytest.raises(InputError, match="chances of .* cannot be: use 0 or more, and 1 or less together"):
        answers(SimulatedLearner("1", 0.0), paper(1), 1, blank=blank, unreadable=unreadable)


# What marks bring to light ------------------------------------------------------------


def test_scores_recover_the_order_of_ability() -> None:
    """300 invented learners with 30 questions each: the rank correlation of score and ability is 0.85 or more."""
    learners = simulated_learners(300, "recovery")
    reached = scores(marks_of(learners, [paper(30)] * 300))
    assert 0.85 <= spearman(reached, [learner.ability for learner in learners]).value


def test_measured_difficulty_is_the_expected_one() -> None:
    """Over 1,000 invented learners the share who are right is the mean chance of a right answer, within four standard errors."""
    learners, asked = simulated_learners(1_000, "difficulty"), paper(12)
    for question, found in zip(asked, difficulty(marks_of(learners, [asked] * 1_000))):
        chance = (1 - BLANK - UNREADABLE) * fmean(probability_right(learner.ability, question.difficulty) for learner in learners)
        assert chance == pytest.approx(found.value, abs=4 * math.sqrt(chance * (1 - chance) / 1_000))


def test_nested_reliability_is_the_squared_correlation_with_the_true_score() -> None:
    """That is what a reliability means: 1,500 invented learners with 24 questions of their own, dealt from 240, agree with it to 0.03."""
    learners, bank = simulated_learners(1_500, "reliability"), paper(240)
    lots = np.random.default_rng(7)
    marks = np.full((1_500, 240), math.nan)
    for row, learner in enumerate(learners):
        dealt = lots.choice(240, 24, replace=False)
        marks[row, dealt] = marks_of([learner], [[bank[place] for place in dealt]])[0]
    true_scores = [fmean(probability_right(learner.ability, hard) for hard in EXPECTED_DIFFICULTIES) for learner in learners]
    assert np.corrcoef(scores(marks), true_scores)[0, 1] ** 2 == pytest.approx(nested_reliability(marks).value, abs=0.03)
