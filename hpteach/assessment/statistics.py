"""What a class's marks tell of its questions and of the paper: classical test theory.

What lives here: difficulty and discrimination of questions, reliability and error of a paper, the spread of scores, and how well two orders agree.
What does not: giving marks (marking), drawing (papers), and judging a question by these figures: with a class of 24 each of them is rough.

`marks` is a matrix, a row for each learner and a column for each question; NaN where the learner was not given the question, so
that papers may differ.  `possible` are the marks of each question, 1 where left out.  A share is marks over possible.  Whatever cannot be
told of a class (one learner, everybody alike) is an `Estimate` without a value and with the reason; only a matrix that is none is refused.

Sources, all from memory, not seen here: Kuder & Richardson, Psychometrika 2 (1937) 151-160; Cronbach, Psychometrika 16 (1951) 297-334;
Kelley, J. Educ. Psychol. 30 (1939) 17-24; Henrysson, Psychometrika 28 (1963) 211-218; Cronbach, Gleser, Nanda & Rajaratnam, The
Dependability of Behavioral Measurements (1972); Shrout & Fleiss, Psychol. Bull. 86 (1979) 420-428; Spearman, Am. J. Psychol. 15 (1904) 72-101;
Kendall, Biometrika 33 (1945) 239-251; Hyndman & Fan, Am. Stat. 50 (1996) 361-365.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hpteach.errors import InputError

UPPER_SHARE = 0.27
"""Kelley (1939): the share of a class at each end that tells two groups apart best, where scores are normally distributed."""

_HAIR = 1e-9  # shares closer than this differ by the computer's rounding only

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Estimate:
    """A figure, or None with the reason why there is none; and how many learners it rests on."""

    value: float | None
    reason: str = ""
    learners: int = 0


@dataclass(frozen=True)
class QuestionStatistics:
    """What the class's marks tell of one question."""

    difficulty: Estimate
    discrimination: Estimate
    upper_lower: Estimate


@dataclass(frozen=True)
class Reliability:
    """How far the scores would come out alike on an equal paper (1: all alike), by which method, and the error of one score.

    `standard_error` is the standard error of measurement as a share of the marks.
    """

    method: str
    value: float | None
    reason: str = ""
    learners: int = 0
    standard_error: float | None = None


@dataclass(frozen=True)
class FiveNumbers:
    """Least and most, and the values below which a quarter, half and three quarters lie."""

    least: float
    lower_quartile: float
    median: float
    upper_quartile: float
    most: float


# Scores and questions -----------------------------------------------------------------


def scores(marks: ArrayLike, possible: ArrayLike | None = None) -> Floats:
    """Each learner's share of the marks of the questions given: sum of marks / sum of possible; NaN for who was given none.

    Raises `InputError` as every function of a matrix here: where `marks` is no matrix, a mark lies outside 0 to possible, or
    `possible` has another number of questions or a mark of 0 or less.

    >>> scores([[1, 0, 2], [1, float("nan"), 1]], [1, 1, 2]).tolist()
    [0.75, 0.6666666666666666]
    """
    given, worth = _matrix(marks, possible)
    of_each = ~np.isnan(given) @ worth
    return np.divide(np.nansum(given, axis=1), of_each, out=np.full(len(given), math.nan), where=of_each > 0.0)


def difficulty(marks: ArrayLike, possible: ArrayLike | None = None) -> tuple[Estimate, ...]:
    """The difficulty index p of each question, from 0 (nobody) to 1 (everybody): the higher, the easier.

    p = learners who are right / learners who were given the question; with part marks the mean share (common usage of classical
    test theory).

    >>> [one.value for one in difficulty([[1, 0], [1, 1], [0, float("nan")], [1, float("nan")]])]
    [0.75, 0.5]
    """
    given, worth = _matrix(marks, possible)
    shares = [share[~np.isnan(share)] for share in (given / worth).T]
    return tuple(Estimate(float(share.mean()), "", len(share)) if len(share) else _NOT_GIVEN for share in shares)


def discrimination(marks: ArrayLike, possible: ArrayLike | None = None) -> tuple[Estimate, ...]:
    """The corrected question-to-total correlation of each question, which asks whether those who are right here do well elsewhere.

    r = Pearson's correlation between the share on the question and the rest score, which is the share of the marks of all other
    questions that the learner was given.  For marks of 0 and 1 it is the point-biserial correlation.  The question itself is left
    out of the rest score, as it would correlate with itself (Henrysson 1963).  Shares make papers with other questions comparable.

    >>> [one.value for one in discrimination([[1, 1, 1], [1, 1, 0], [0, 1, 0], [0, 0, 0]])]
    [0.7071067811865475, 0.5222329678670935, 0.5222329678670935]
    """
    given, worth = _matrix(marks, possible)
    there = ~np.isnan(given)
    marks_of_all, possible_of_all = np.nansum(given, axis=1), there @ worth
    found = []
    for question, one in enumerate(worth):
        rest_possible = possible_of_all - one
        counted = there[:, question] & (rest_possible > 0.0)
        share = given[counted, question] / one
        rest = (marks_of_all[counted] - given[counted, question]) / rest_possible[counted]
        found.append(_discrimination(share, rest) if there[:, question].any() else _NOT_GIVEN)
    return tuple(found)


def upper_lower(marks: ArrayLike, possible: ArrayLike | None = None) -> tuple[Estimate, ...]:
    """The upper-lower index D of each question: the mean share in the best 27 % minus that in the weakest 27 %, from -1 to 1.

    D = p upper - p lower.  The groups are 27 % (Kelley 1939), in whole learners and at least one, of those who were given the question,
    by their scores on the whole paper.  Where learners with one score stand on both sides of a group's end, all of them
    count, each for an equal part of the places that are left, so that no lot decides.

    >>> [one.value for one in upper_lower([[1, 1, 1], [1, 1, 0], [0, 1, 0], [0, 0, 0]])]
    [1.0, 1.0, 1.0]
    """
    given, worth = _matrix(marks, possible)
    reached = np.round(scores(given, worth), 9)
    found = []
    for question, one in enumerate(worth):
        counted = ~np.isnan(given[:, question])
        found.append(_upper_lower(given[counted, question] / one, reached[counted]) if counted.any() else _NOT_GIVEN)
    return tuple(found)


def question_statistics(marks: ArrayLike, possible: ArrayLike | None = None) -> tuple[QuestionStatistics, ...]:
    """Difficulty, discrimination and upper-lower index of each question.

    >>> question_statistics([[1, 1], [1, 0]])[0].discrimination.reason
    'fewer than 3 learners were given this question and others'
    """
    return tuple(map(QuestionStatistics, difficulty(marks, possible), discrimination(marks, possible), upper_lower(marks, possible)))


# Reliability --------------------------------------------------------------------------


def kr20(marks: ArrayLike) -> Estimate:
    """KR-20, the reliability of Kuder & Richardson (1937), for questions that everybody was given and that are right (1) or wrong (0).

    KR-20 = k / (k - 1) (1 - sum of p q / variance of the scores), with k questions, p the share who are right, q = 1 - p and the variance
    over all learners (divided by their number).  Below 0 where questions go against each other.

    Raises `InputError` for other marks, and as `scores`.

    >>> kr20([[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]]).value
    0.75
    """
    given, _ = _matrix(marks, None)
    if not np.isin(given[~np.isnan(given)], (0.0, 1.0)).all():
        raise InputError("KR-20 needs marks of 0 and 1: use Cronbach's alpha for part marks")
    return cronbach_alpha(given)


def cronbach_alpha(marks: ArrayLike, possible: ArrayLike | None = None) -> Estimate:
    """Cronbach's alpha (Cronbach 1951), for questions that everybody was given, with part marks or without.

    alpha = k / (k - 1) (1 - sum of the questions' variances / variance of the scores), with k questions and scores in marks.  For marks of 0
    and 1 it is KR-20.

    >>> cronbach_alpha([[2, 1], [1, 1], [0, 0]], [2, 1]).value
    0.8571428571428572
    """
    given, _ = _matrix(marks, possible)
    learners, questions = given.shape
    if np.isnan(given).any():
        return Estimate(None, "learners had different questions: use the reliability for questions of one's own", learners)
    if learners < 2:
        return Estimate(None, "there are fewer than two learners", learners)
    if questions < 2:
        return Estimate(None, "there are fewer than two questions", learners)
    reached = given.sum(axis=1)
    if _alike(reached):
        return Estimate(None, "all learners have the same score", learners)
    return Estimate(float(questions / (questions - 1) * (1.0 - given.var(axis=0).sum() / reached.var())), "", learners)


def nested_reliability(marks: ArrayLike, possible: ArrayLike | None = None) -> Estimate:
    """The reliability of scores where each learner has questions of his own, dealt by lot from the same kinds.

    r = (MSB - MSW) / MSB, with the mean squares between learners and within them in a one-way analysis of variance of the shares
    (questions nested in persons, Cronbach et al. 1972; the coefficient of a mean, ICC(1,k), of Shrout & Fleiss 1979).  That one learner's questions
    are harder than another's counts as error here: on one paper for all it is mostly less than alpha.  Each question weighs alike, but in a score by
    its marks: where marks differ, r and the error that is reckoned from it are only near those of the score.

    >>> nested_reliability([[1, 1, float("nan")], [float("nan"), 0, 0], [1, float("nan"), 0]]).value
    0.6666666666666667
    """
    given, worth = _matrix(marks, possible)
    shares = given / worth
    number = (~np.isnan(shares)).sum(axis=1)
    shares, number = shares[number > 0], number[number > 0]
    learners, answers = len(number), int(number.sum())
    if learners < 2:
        return Estimate(None, "there are fewer than two learners", learners)
    if answers == learners:
        return Estimate(None, "each learner had a single question", learners)
    means = np.nansum(shares, axis=1) / number
    between = float(number @ (means - np.nansum(shares) / answers) ** 2) / (learners - 1)
    within = float(np.nansum((shares - means[:, None]) ** 2)) / (answers - learners)
    if between <= _HAIR**2:
        return Estimate(None, "all learners have the same score", learners)
    return Estimate((between - within) / between, "", learners)


def reliability(marks: ArrayLike, possible: ArrayLike | None = None) -> Reliability:
    """The reliability of a paper by the method that fits it, with the standard error of measurement.

    "KR-20" where everybody had the same questions and each is right or wrong for one mark, "Cronbach's alpha" where there are part marks,
    "questions of one's own" (`nested_reliability`) where papers differ.

    >>> reliability([[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]])
    Reliability(method='KR-20', value=0.75, reason='', learners=4, standard_error=0.21516574145596762)
    """
    given, worth = _matrix(marks, possible)
    there = ~np.isnan(given)
    questions = there.any(axis=0)
    given, worth = given[there.any(axis=1)][:, questions], worth[questions]
    if np.isnan(given).any():
        method, estimate = "questions of one's own", nested_reliability(given, worth)
    elif (worth == 1.0).all() and np.isin(given, (0.0, 1.0)).all():
        method, estimate = "KR-20", kr20(given)
    else:
        method, estimate = "Cronbach's alpha", cronbach_alpha(given, worth)
    error = None
    if estimate.value is not None:
        error = standard_error_of_measurement(float(scores(given, worth).std(ddof=1)), estimate.value)
    return Reliability(method, estimate.value, estimate.reason, estimate.learners, error)


def standard_error_of_measurement(deviation: float, reliability: float) -> float:
    """How far a score lies from the one that the learner would reach on average over equal papers: s sqrt(1 - r).

    s is the standard deviation of the scores (divided by their number less one), in whose unit the error is; r is the reliability,
    1 or less.  Common usage of classical test theory.  Raises `InputError` for a deviation below 0 or a reliability above 1.

    >>> standard_error_of_measurement(10.0, 0.84)
    4.0
    """
    if not 0.0 <= deviation < math.inf:
        raise InputError(f"standard deviation of {deviation:g} cannot be: use 0 or more")
    if not -math.inf < reliability <= 1.0:
        raise InputError(f"reliability of {reliability:g} cannot be: use 1 or less")
    return deviation * math.sqrt(1.0 - reliability)


# Spread and order ---------------------------------------------------------------------


def five_number_summary(values: ArrayLike) -> FiveNumbers | None:
    """Least, quartiles and most of the values that are numbers; None where there are none.

    A quartile that falls between two values lies on a straight line between them (definition 7 of Hyndman & Fan 1996).

    >>> five_number_summary([0.2, 0.9, 0.4, 0.5])
    FiveNumbers(least=0.2, lower_quartile=0.35, median=0.45, upper_quartile=0.6, most=0.9)
    """
    numbers = np.asarray(values, dtype=float).ravel()
    numbers = numbers[~np.isnan(numbers)]
    if not len(numbers):
        return None
    return FiveNumbers(*(float(value) for value in np.quantile(numbers, (0.0, 0.25, 0.5, 0.75, 1.0))))


def spearman(one: ArrayLike, other: ArrayLike) -> Estimate:
    """Spearman's rank correlation: Pearson's correlation of the ranks (Spearman 1904); equal values share the mean of their ranks.

    Pairs of which one is NaN are left out.  Raises `InputError` for two lists of different lengths, as `kendall` does.

    >>> spearman([1, 2, 3, 4], [1, 3, 2, 4]).value
    0.8
    """
    x, y = _pairs(one, other)
    return _undefined_order(x, y) or Estimate(_correlation(_ranks(x), _ranks(y)), "", len(x))


def kendall(one: ArrayLike, other: ArrayLike) -> Estimate:
    """Kendall's rank correlation tau-b (Kendall 1945): pairs in the same order less pairs in the other order.

    tau-b = (C - D) / sqrt((n0 - n1) (n0 - n2)), with n0 = n (n - 1) / 2 pairs, of which n1 and n2 are ties in the one and in the other.

    >>> kendall([1, 2, 3, 4], [1, 3, 2, 4]).value
    0.6666666666666666
    """
    x, y = _pairs(one, other)
    if undefined := _undefined_order(x, y):
        return undefined
    balance = untied_x = untied_y = 0
    for place in range(1, len(x)):  # row by row, so that memory stays small
        steps_x, steps_y = np.sign(x[place] - x[:place]), np.sign(y[place] - y[:place])
        balance += int(steps_x @ steps_y)
        untied_x += int(np.count_nonzero(steps_x))
        untied_y += int(np.count_nonzero(steps_y))
    return Estimate(balance / math.sqrt(untied_x * untied_y), "", len(x))


# Inside -------------------------------------------------------------------------------

_NOT_GIVEN = Estimate(None, "no learner was given this question")


def _matrix(marks: ArrayLike, possible: ArrayLike | None) -> tuple[Floats, Floats]:
    """Marks and possible marks as arrays that fit each other."""
    try:
        given = np.asarray(marks, dtype=float)
        worth = np.ones(given.shape[1:]) if possible is None else np.asarray(possible, dtype=float)
    except (TypeError, ValueError):
        raise InputError("marks are no matrix of numbers: give a row for each learner, as long as there are questions") from None
    if given.ndim != 2 or worth.shape != given.shape[1:]:
        raise InputError(f"marks of shape {given.shape} and possible marks of {worth.shape} do not fit: give learners x questions, and questions")
    if not ((worth > 0.0) & (worth < math.inf)).all():
        raise InputError("a question has no possible marks: give each more than 0")
    if ((given < 0.0) | (given > worth + _HAIR)).any():
        raise InputError("a mark lies below 0 or above the possible marks of its question: mark it again")
    return given, worth


def _alike(values: Floats) -> bool:
    return bool(np.ptp(values) <= _HAIR)


def _correlation(x: Floats, y: Floats) -> float:
    x, y = x - x.mean(), y - y.mean()
    return float(x @ y / math.sqrt(float(x @ x) * float(y @ y)))


def _discrimination(share: Floats, rest: Floats) -> Estimate:
    learners = len(share)
    if learners < 3:  # two always lie on a line
        return Estimate(None, "fewer than 3 learners were given this question and others", learners)
    if _alike(share):
        return Estimate(None, "all learners have the same mark on this question", learners)
    if _alike(rest):
        return Estimate(None, "all learners have the same score on the other questions", learners)
    return Estimate(_correlation(share, rest), "", learners)


def _upper_lower(share: Floats, reached: Floats) -> Estimate:
    learners = len(share)
    if learners < 2:
        return Estimate(None, "only one learner was given this question", learners)
    if _alike(reached):
        return Estimate(None, "all learners have the same score: there is no upper and no lower group", learners)
    size = max(1, math.floor(UPPER_SHARE * learners + 0.5))
    upper, lower = _group(reached, size), _group(-reached, size)
    return Estimate(float((upper - lower) @ share) / size, "", learners)


def _group(reached: Floats, size: int) -> Floats:
    """How far each learner counts among the `size` highest: 1, 0, or a part of the last places."""
    last = np.sort(reached)[-size]
    above, at = reached > last, reached == last
    return above + at * ((size - above.sum()) / at.sum())


def _pairs(one: ArrayLike, other: ArrayLike) -> tuple[Floats, Floats]:
    x, y = np.asarray(one, dtype=float).ravel(), np.asarray(other, dtype=float).ravel()
    if len(x) != len(y):
        raise InputError(f"lists of {len(x)} and {len(y)} values do not fit: give one value of each for each learner")
    both = ~(np.isnan(x) | np.isnan(y))
    return x[both], y[both]


def _undefined_order(x: Floats, y: Floats) -> Estimate | None:
    if len(x) < 2:
        return Estimate(None, "there are fewer than two pairs", len(x))
    if np.ptp(x) == 0.0 or np.ptp(y) == 0.0:
        return Estimate(None, "all values of a list are the same: they have no order", len(x))
    return None


def _ranks(values: Floats) -> Floats:
    """Ranks from 1; equal values share the mean of their ranks."""
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(count)
    return (last - (count - 1) / 2.0)[place]
