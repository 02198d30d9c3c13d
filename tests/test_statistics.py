"""Classical test theory (hpteach/assessment/statistics.py): worked by hand, held against a statistics library and against printed examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.statistics import (
    Estimate, FiveNumbers, cronbach_alpha, difficulty, discrimination, five_number_summary, kendall, kr20, nested_reliability,
    question_statistics, reliability, scores, spearman, standard_error_of_measurement, upper_lower,
)  # fmt: skip
from hpteach.errors import InputError

NAN = math.nan

STAIRS = [[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]]
"""Four learners, three questions, each right or wrong."""

PAPERS = [[2, NAN, 1, NAN], [1, 1, NAN, NAN], [NAN, 1, 0, NAN], [0, 0, NAN, 3]]
"""Four learners with different questions, and marks up to 2, 1, 1 and 4."""
WORTH = [2, 1, 1, 4]

# Six things rated by four judges in Shrout & Fleiss, Psychol. Bull. 86 (1979) 420-428, table 2 (from memory, not seen here).
PRINTED = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]


def values(estimates) -> list[float | None]:
    """The figures alone."""
    return [estimate.value for estimate in estimates]


# Scores and questions -----------------------------------------------------------------


def test_score_is_the_share_of_the_marks_that_could_be_had() -> None:
    """Only questions that were given count, each with its marks."""
    by_hand = [(2 + 1) / (2 + 1), (1 + 1) / (2 + 1), (1 + 0) / (1 + 1), (0 + 0 + 3) / (2 + 1 + 4)]
    assert by_hand == scores(PAPERS, WORTH).tolist()


def test_score_of_who_was_given_nothing_is_no_number() -> None:
    """A learner without any question has no score, and changes no figure of a question."""
    assert [1.0, True] == [scores([[1], [NAN]])[0], bool(np.isnan(scores([[1], [NAN]])[1]))]
    assert question_statistics(STAIRS) == question_statistics([*STAIRS, [NAN] * 3])


def test_difficulty_is_the_mean_share_of_who_was_given_the_question() -> None:
    """Part marks count as the share they are; how many learners it rests on is told."""
    by_hand = [(2 + 1 + 0) / (3 * 2), (1 + 1 + 0) / 3, (1 + 0) / 2, 3 / 4]
    assert (by_hand, [3, 3, 2, 1]) == (values(difficulty(PAPERS, WORTH)), [one.learners for one in difficulty(PAPERS, WORTH)])


def test_difficulty_of_right_and_wrong_is_the_share_who_are_right() -> None:
    """Three, two and one of four learners are right."""
    assert [3 / 4, 2 / 4, 1 / 4] == values(difficulty(STAIRS))


def test_discrimination_by_hand() -> None:
    """The point-biserial formula (M right - M wrong) / s sqrt(p q), with the rest score, gives the same."""
    # Question 1: right are three learners with 2, 1 and 0 of the other 2 marks, wrong is one with 0.
    mean_right, mean_wrong = (1.0 + 0.5 + 0.0) / 3, 0.0
    deviation = math.sqrt(((1.0 - 0.375) ** 2 + (0.5 - 0.375) ** 2 + 2 * (0.0 - 0.375) ** 2) / 4)  # the mean of the rest scores is 1.5 / 4
    first = (mean_right - mean_wrong) / deviation * math.sqrt(3 / 4 * 1 / 4)
    # Question 2: right are two with 1 and 0.5, wrong two with 0.5 and 0; their mean is 0.5.
    second = ((1.0 + 0.5) / 2 - (0.5 + 0.0) / 2) / math.sqrt((0.5**2 + 0 + 0 + 0.5**2) / 4) * math.sqrt(1 / 2 * 1 / 2)
    assert [first, second, first] == pytest.approx(values(discrimination(STAIRS)), abs=1e-12)


def test_discrimination_of_different_papers_by_hand() -> None:
    """The rest score is a share of the marks that the learner's own other questions offer."""
    # Question 1, of 2 marks: shares 1, 1/2 and 0; the rest scores are 1/1, 1/1 and (0 + 3)/(1 + 4) = 0.6.
    mean = (1 + 1 + 0.6) / 3
    both = 0.5 * (1 - mean) + 0.0 * (1 - mean) - 0.5 * (0.6 - mean)
    by_hand = both / math.sqrt((0.5**2 + 0 + 0.5**2) * (2 * (1 - mean) ** 2 + (0.6 - mean) ** 2))
    assert by_hand == pytest.approx(discrimination(PAPERS, WORTH)[0].value, abs=1e-12)


def test_discrimination_agrees_with_the_statistics_library() -> None:
    """On 200 invented learners of differing papers it is the library's Pearson correlation, and for 0 and 1 its point-biserial one."""
    lots = np.random.default_rng(11)
    marks = lots.integers(0, 2, (200, 8)).astype(float)
    marks[lots.random(marks.shape) < 0.3] = NAN
    for question, found in enumerate(discrimination(marks)):
        rest = np.delete(marks, question, axis=1)
        counted = ~np.isnan(marks[:, question]) & ~np.isnan(rest).all(axis=1)
        expected = scipy.stats.pointbiserialr(marks[counted, question], np.nanmean(rest[counted], axis=1)).statistic
        assert (counted.sum(), expected) == (found.learners, pytest.approx(found.value, abs=1e-12))


def test_upper_lower_by_hand() -> None:
    """Of ten learners 27 % are 2.7, which are three: the best three and the weakest three are compared."""
    # The second column, worth 20, falls in steps of 2, so that the first question, right for numbers 1, 2, 4 and 8, changes no order.
    marks = [[right, rest] for right, rest in zip((1, 1, 0, 1, 0, 0, 0, 1, 0, 0), range(20, 0, -2))]
    assert 2 / 3 - 1 / 3 == pytest.approx(upper_lower(marks, [1, 20])[0].value, abs=1e-12)


def test_upper_lower_shares_places_among_equal_scores() -> None:
    """Where three have the score at which the upper group of one place ends, each counts for a third of it."""
    # Scores 3, 3, 3 and 0 of 4: the upper group is a third of each of the first three; the lower one is the last.
    marks = [[1, 1, 1, 0], [1, 1, 0, 1], [0, 1, 1, 1], [0, 0, 0, 0]]
    assert [2 / 3, 1.0, 2 / 3, 2 / 3] == pytest.approx(values(upper_lower(marks)), abs=1e-12)


@pytest.mark.parametrize(("learners", "size"), [(2, 1), (3, 1), (5, 1), (6, 2), (24, 6), (100, 27)])
def test_upper_lower_takes_whole_learners(learners: int, size: int) -> None:
    """The groups are 27 % of the class, rounded, and at least one: a question that only the best `size` get right tells them apart wholly."""
    marks = [[float(place < size), 2 * (learners - place)] for place in range(learners)]
    assert 1.0 == pytest.approx(upper_lower(marks, [1, 2 * learners])[0].value, abs=1e-12)
    one_less = [[float(place < size - 1), 2 * (learners - place)] for place in range(learners)]
    assert (size - 1) / size == pytest.approx(upper_lower(one_less, [1, 2 * learners])[0].value, abs=1e-12)


@pytest.mark.parametrize(
    ("marks", "found", "reasons"),
    [
        ([[NAN, 1], [NAN, 0], [NAN, 1]], None, ["no learner was given this question"] * 2),
        ([[1, 1]], 1.0, ["fewer than 3 learners were given this question and others", "only one learner was given this question"]),
        ([[1, 1], [0, 0]], 0.5, ["fewer than 3 learners were given this question and others", ""]),
        ([[1, NAN], [0, NAN], [1, NAN], [1, 1], [0, 1]], 0.6, ["fewer than 3 learners were given this question and others", ""]),
        ([[1, 1], [1, 0], [1, 0]], 1.0, ["all learners have the same mark on this question", ""]),
        ([[1, 1], [0, 1], [1, 1]], 2 / 3, ["all learners have the same score on the other questions", ""]),
        ([[1, 0], [0, 1], [0, 1]], 1 / 3, ["", "all learners have the same score: there is no upper and no lower group"]),
        ([[1, 1]] * 3, 1.0, ["all learners have the same mark on this question", "all learners have the same score: there is no upper and no lower group"]),
    ],
)  # fmt: skip
def test_what_cannot_be_told_of_a_question_has_its_reason(marks, found: float | None, reasons: list[str]) -> None:
    """All right, all wrong, one learner, nobody: there is no figure, and the reason says why."""
    told = question_statistics(marks)[0]
    assert (found, reasons) == (told.difficulty.value, [told.discrimination.reason, told.upper_lower.reason])
    assert [bool(reason) for reason in reasons] == [one.value is None for one in (told.discrimination, told.upper_lower)]


# Reliability --------------------------------------------------------------------------


def test_kr20_by_hand() -> None:
    """k = 3, p = 3/4, 1/2, 1/4, scores 3, 2, 1, 0 with variance 1.25."""
    sum_pq = 3 / 4 * 1 / 4 + 1 / 2 * 1 / 2 + 1 / 4 * 3 / 4
    variance = ((3 - 1.5) ** 2 + (2 - 1.5) ** 2 + (1 - 1.5) ** 2 + (0 - 1.5) ** 2) / 4
    assert 3 / 2 * (1 - sum_pq / variance) == pytest.approx(kr20(STAIRS).value, abs=1e-12)


def test_alpha_by_hand() -> None:
    """Marks 2, 1, 0 and 1, 1, 0: variances 2/3 and 2/9, that of the scores 3, 2, 0 is 14/9."""
    assert 2 / 1 * (1 - (2 / 3 + 2 / 9) / (14 / 9)) == pytest.approx(cronbach_alpha([[2, 1], [1, 1], [0, 0]], [2, 1]).value, abs=1e-12)


def test_reliabilities_are_the_printed_ones() -> None:
    """Shrout & Fleiss (1979) print 0.91 for the mean of four judges who rate everything, which is alpha, and 0.44 where each has its own."""
    assert (0.91, 0.44) == (round(cronbach_alpha(PRINTED, [10] * 4).value, 2), round(nested_reliability(PRINTED, [10] * 4).value, 2))


def test_nested_reliability_by_hand() -> None:
    """Means 1, 1/2 and 2/3 of two, two and three shares about 5/7: mean squares between and within."""
    marks = [[1, 1, NAN, NAN, NAN], [NAN, 1, 0, NAN, NAN], [NAN, NAN, 1, 1, 0]]
    between = (2 * (1 - 5 / 7) ** 2 + 2 * (1 / 2 - 5 / 7) ** 2 + 3 * (2 / 3 - 5 / 7) ** 2) / (3 - 1)
    within = (0 + 0 + 0.25 + 0.25 + 1 / 9 + 1 / 9 + 4 / 9) / (7 - 3)
    assert (between - within) / between == pytest.approx(nested_reliability(marks).value, abs=1e-12)


def test_nested_reliability_follows_the_analysis_of_variance() -> None:
    """1 - 1 / F with the statistics library's F of a one-way analysis of variance is the same."""
    lots = np.random.default_rng(5)
    marks = np.where(lots.random((40, 12)) < 0.5, NAN, lots.integers(0, 2, (40, 12)))
    f = scipy.stats.f_oneway(*[row[~np.isnan(row)] for row in marks if (~np.isnan(row)).any()]).statistic
    assert 1.0 - 1.0 / f == pytest.approx(nested_reliability(marks).value, abs=1e-12)


@pytest.mark.parametrize(
    ("marks", "possible", "method"),
    [
        (STAIRS, None, "KR-20"), (PRINTED, [10] * 4, "Cronbach's alpha"), ([[1, 1], [1, 0], [0, 0]], [1, 2], "Cronbach's alpha"),
        ([[0.5, 1], [1, 0], [0, 0]], None, "Cronbach's alpha"), (PAPERS, WORTH, "questions of one's own"),
        ([[1, NAN, 1], [0, NAN, 1], [0, NAN, 0], [NAN] * 3], None, "KR-20"),
    ],
)  # fmt: skip
def test_method_of_reliability_fits_the_marks(marks, possible, method: str) -> None:
    """KR-20 for right and wrong, alpha for part marks, the nested one for papers that differ; empty rows and columns change nothing."""
    assert method == reliability(marks, possible).method


def test_standard_error_by_hand() -> None:
    """Scores 1, 2/3, 1/3, 0 have the deviation sqrt(5/27); with a reliability of 3/4 a score is known to half of that."""
    assert math.sqrt((1 / 4 + 1 / 36 + 1 / 36 + 1 / 4) / 3) * 0.5 == pytest.approx(reliability(STAIRS).standard_error, abs=1e-12)
    assert 3.0 == pytest.approx(standard_error_of_measurement(5.0, 0.64), abs=1e-12)
    assert [0.0, 0.0, 10.0] == [standard_error_of_measurement(*given) for given in ((5.0, 1.0), (0.0, 0.5), (5.0, -3.0))]


def test_standard_error_of_a_paper_that_sets_questions_against_each_other() -> None:
    """A reliability below 0 is told as it is, and the error is then larger than the deviation."""
    found = reliability([[1, 0], [0, 1], [1, 1]])
    assert found.value < 0.0 and found.standard_error > float(scores([[1, 0], [0, 1], [1, 1]]).std(ddof=1))


@pytest.mark.parametrize(
    ("marks", "reason"),
    [
        ([[1, 1, 0]], "there are fewer than two learners"),
        (np.empty((0, 3)), "there are fewer than two learners"),
        ([[1], [0]], "there are fewer than two questions"),
        ([[1, 1], [1, 1], [1, 1]], "all learners have the same score"),
        ([[1, 0], [0, 1]], "all learners have the same score"),
        ([[1, NAN], [NAN, 1]], "each learner had a single question"),
        ([[1, 0, NAN], [NAN, 1, 0]], "all learners have the same score"),
    ],
)
def test_reliability_that_cannot_be_told_has_its_reason(marks, reason: str) -> None:
    """One learner, one question, everybody alike: there is no reliability and no standard error."""
    found = reliability(marks)
    assert (None, None, reason) == (found.value, found.standard_error, found.reason)


def test_alpha_of_different_papers_names_the_other_way() -> None:
    """KR-20 and alpha stand for one paper for all; else the reason names what to use."""
    undefined = Estimate(None, "learners had different questions: use the reliability for questions of one's own", 4)
    assert [undefined] * 2 == [kr20([[1, 0], [1, NAN], [0, 1], [1, 1]]), cronbach_alpha(PAPERS, WORTH)]


MATRICES = st.integers(2, 5).flatmap(lambda width: st.lists(st.lists(st.integers(0, 1), min_size=width, max_size=width), min_size=3, max_size=9))


@given(MATRICES, st.randoms())
def test_order_of_learners_and_worth_of_a_mark_change_nothing(marks, lots) -> None:
    """Alpha of right and wrong is KR-20; shuffled learners and marks counted tenfold bring the same figures, all within -1 to 1."""
    mixed = list(marks)
    lots.shuffle(mixed)
    tenfold = [[10 * mark for mark in row] for row in mixed]
    plain, other = question_statistics(marks), question_statistics(tenfold, [10] * len(marks[0]))
    for one, two in zip(plain, other):
        for figure, again in zip((one.difficulty, one.discrimination, one.upper_lower), (two.difficulty, two.discrimination, two.upper_lower)):
            assert figure.reason == again.reason
            assert figure.value is None or (-1.0 - 1e-9 <= figure.value <= 1.0 + 1e-9 and figure.value == pytest.approx(again.value, abs=1e-9))
    first, second = kr20(marks), cronbach_alpha(tenfold, [10] * len(marks[0]))
    assert first.reason == second.reason
    assert first.value is None or first.value == pytest.approx(second.value, abs=1e-9) and first.value <= 1.0 + 1e-9


@pytest.mark.parametrize(
    ("marks", "possible", "sentence"),
    [
        ([1, 2], None, "marks of shape (2,) and possible marks of () do not fit"),
        ([[1, 1]], [1], "marks of shape (1, 2) and possible marks of (1,) do not fit"),
        ([[1, 1], [1]], None, "marks are no matrix of numbers"), ([["a"]], None, "marks are no matrix of numbers"), ([[None, 1]], ["x", 1], "marks are no matrix"),
        ([[1]], [0], "a question has no possible marks: give each more than 0"), ([[1]], [NAN], "no possible marks"), ([[1]], [math.inf], "no possible marks"),
        ([[2]], None, "a mark lies below 0 or above the possible marks"), ([[-1]], None, "a mark lies below 0"), ([[math.inf]], None, "a mark lies below 0 or above"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("of", [scores, difficulty, discrimination, upper_lower, question_statistics, cronbach_alpha, nested_reliability, reliability])
def test_matrix_that_is_none_is_refused(of, marks, possible, sentence: str) -> None:
    """Rows of different lengths, marks beyond what could be had and questions without marks are refused."""
    with pytest.raises(InputError) as refused:
        of(marks, possible)
    assert sentence in str(refused.value)


def test_kr20_of_part_marks_is_refused() -> None:
    """KR-20 is for right and wrong: part marks are sent to alpha."""
    with pytest.raises(InputError, match="KR-20 needs marks of 0 and 1: use Cronbach's alpha for part marks"):
        kr20([[0.5, 1], [0, 1]])


@pytest.mark.parametrize(("deviation", "reached"), [(-1.0, 0.5), (NAN, 0.5), (math.inf, 0.5), (1.0, 1.1), (1.0, NAN), (1.0, -math.inf)])
def test_error_of_what_cannot_be_is_refused(deviation: float, reached: float) -> None:
    """A deviation below 0 and a reliability above 1 are refused."""
    with pytest.raises(InputError, match="cannot be: use"):
        standard_error_of_measurement(deviation, reached)


# Spread and order ---------------------------------------------------------------------


def test_five_numbers_by_hand() -> None:
    """Of 1, 2, 4, 8, 16 and 32 the lower quartile is a quarter of five steps up: 2 + 0.25 (4 - 2)."""
    assert FiveNumbers(1.0, 2 + 0.25 * (4 - 2), (4 + 8) / 2, 8 + 0.75 * (16 - 8), 32.0) == five_number_summary([32, 2, NAN, 1, 4, 16, 8])


@pytest.mark.parametrize(("numbers", "expected"), [([], None), ([NAN], None), ([0.5], FiveNumbers(0.5, 0.5, 0.5, 0.5, 0.5))])
def test_five_numbers_of_few_values(numbers, expected) -> None:
    """Of no values there are none; of one value all five are that value."""
    assert expected == five_number_summary(numbers)


# Printed examples, from memory, not seen here: hours of television a week against a measure of wit of ten people, Spearman -29/165, as
# general encyclopedias have it; lightness of nine lots of tuna against a panel's score (Hollander & Wolfe 1973), 26 of 36 pairs agree.
WIT, HOURS = [106, 100, 86, 101, 99, 103, 97, 113, 112, 110], [7, 27, 2, 50, 28, 29, 20, 12, 6, 17]
LIGHTNESS, PANEL = [44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1], [2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8]


def test_rank_correlations_are_the_printed_ones() -> None:
    """The printed examples come out as printed."""
    assert -29 / 165 == pytest.approx(spearman(WIT, HOURS).value, abs=1e-12)
    assert (26 - 10) / 36 == pytest.approx(kendall(LIGHTNESS, PANEL).value, abs=1e-12)


def test_rank_correlations_with_ties_by_hand() -> None:
    """Ranks 1, 2.5, 2.5, 4 against 1, 2, 3, 4: Pearson's correlation of them; and five pairs of six agree, one is a tie."""
    assert (1.5 * 1.5 + 0 + 0 + 1.5 * 1.5) / math.sqrt((1.5**2 + 1.5**2) * (1.5**2 + 0.5**2 + 0.5**2 + 1.5**2)) == pytest.approx(
        spearman([10, 20, 20, 30], [1, 2, 3, 4]).value, abs=1e-12
    )
    assert 5 / math.sqrt((6 - 1) * (6 - 0)) == pytest.approx(kendall([10, 20, 20, 30], [1, 2, 3, 4]).value, abs=1e-12)


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=2, max_size=30))
def test_rank_correlations_agree_with_the_statistics_library(pairs) -> None:
    """With any ties Spearman and Kendall's tau-b are the library's; where one list is constant there is none."""
    x, y = zip(*pairs)
    found = spearman(x, y), kendall(x, y)
    if len(set(x)) == 1 or len(set(y)) == 1:
        assert {Estimate(None, "all values of a list are the same: they have no order", len(pairs))} == set(found)
    else:
        assert (scipy.stats.spearmanr(x, y).statistic, scipy.stats.kendalltau(x, y).statistic) == pytest.approx(tuple(values(found)), abs=1e-9)


@pytest.mark.parametrize("order", [spearman, kendall])
def test_pairs_with_a_gap_are_left_out(order) -> None:
    """A learner of whom one value is missing is not counted; fewer than two pairs have no order."""
    assert Estimate(1.0, "", 2) == order([1, NAN, 2, 3], [5, 1, 6, NAN])
    assert Estimate(None, "there are fewer than two pairs", 1) == order([1, NAN], [5, 1])


@pytest.mark.parametrize("order", [spearman, kendall])
def test_lists_that_do_not_fit_are_refused(order) -> None:
    """Two lists of different lengths are refused."""
    with pytest.raises(InputError, match="lists of 2 and 3 values do not fit: give one value of each for each learner"):
        order([1, 2], [1, 2, 3])
