"""A class's results in words for people who never learnt statistics.

What lives here: sentences on questions, scores and the paper, and on what a class of this size cannot tell.  What does not: the figures
(assessment.statistics, assessment.class_results), the page (class_page).
"""

from __future__ import annotations

import math

from hpteach.assessment.marked import DRAWING, LearnerMarks, MarkedClass, QuestionMarks

FEW = 10
"""With fewer learners than this, what is said of a question rests on single answers (chosen)."""

_EASY, _HARD = 0.9, 0.3
"""Shares of the marks above and below which a question says little of who knows more (common practice, no source)."""

_GOOD, _FAIR = 0.8, 0.6
"""From which reliability scores may be relied on, and may be with care (common practice, no source)."""


def question_in_words(question: QuestionMarks) -> str:
    """What the class made of a question: how many got it, and whether those who did well overall got it more often.

    >>> from hpteach.assessment.statistics import Estimate
    >>> told = Estimate(0.75, "", 24), Estimate(0.5, "", 24), Estimate(0.4, "", 24)
    >>> question_in_words(QuestionMarks("cooling-cop", 1, "asked", "COP", "cooling", "05", 2, 24, 18, 0, 0, *told, ()))
    '18 of 24 got it; those who did well overall got it more often.'
    """
    what = "drew all four points" if question.task == DRAWING else "got it"
    said = f"{question.right} of {question.given} {what}"
    if question.blank:
        said += f", {question.blank} left it blank"
    if question.unreadable:
        said += f", {question.unreadable} wrote something that nobody has read yet"
    return f"{said}; {discrimination_in_words(question)}."


def discrimination_in_words(question: QuestionMarks) -> str:
    """Whether those who did well overall got a question more often, as far as so many answers can tell.

    Two standard errors, 2 / sqrt(n), tell it from chance, one hints at it (the standard error of a correlation near 0; common usage).
    """
    found, learners = question.discrimination, question.discrimination.learners
    if question.given < FEW:
        return "too few had it to judge it by"
    if question.right == question.given:
        return "as everybody got it, it tells nothing of who knows more"
    if not question.difficulty.value:
        return "as nobody got it, it tells nothing of who knows more: look at its words and its key, or teach it again"
    if found.value is None:
        return f"who gets it cannot be told: {found.reason}"
    error = 1.0 / math.sqrt(learners)
    if found.value >= 2.0 * error:
        return "those who did well overall got it more often"
    if found.value <= -2.0 * error:
        return "those who did well overall got it less often: look at its words and its key"
    if found.value >= error:
        return f"those who did well overall seem to have got it more often, but with {learners} answers that may be chance"
    if found.value <= -error:
        return f"those who did well overall seem to have got it less often, but with {learners} answers that may be chance: look at its words"
    return f"{learners} answers do not tell whether those who did well overall get it more often"


def difficulty_in_words(question: QuestionMarks) -> str:
    """Whether a question was easy or hard for this class.

    >>> from hpteach.assessment.statistics import Estimate
    >>> none = Estimate(None)
    >>> difficulty_in_words(QuestionMarks("a", 1, "asked", "", "", "", 1, 24, 6, 0, 0, Estimate(0.25, "", 24), none, none, ()))
    'hard'
    """
    share = question.difficulty.value
    if share is None:
        return ""
    return "easy" if share >= _EASY else "hard" if share <= _HARD else "in between"


def scores_in_words(marked: MarkedClass) -> list[str]:
    """The scores of a class in sentences."""
    if marked.scores is None or marked.mean is None:
        return ["Nobody gave an answer that could be marked, so there are no scores."]
    learners, five = marked.marked, marked.scores
    passed = sum(bool(one.passed) for one in learners)
    said = [
        f"{passed} of {len(learners)} passed (pass mark {_per_cent(marked.blueprint.pass_mark)}).",
        f"The mean score is {_per_cent(marked.mean)}. Half of the learners scored {_per_cent(five.median)} or more; "
        f"the middle half lies between {_per_cent(five.lower_quartile)} and {_per_cent(five.upper_quartile)}, all between {_per_cent(five.least)} and {_per_cent(five.most)}.",
    ]
    if marked.absent:
        said.append(f"{len(marked.absent)} gave no answer and count as absent: {', '.join(one.form for one in marked.absent[:12])}{' and more' if len(marked.absent) > 12 else ''}.")
    return said


def reliability_in_words(marked: MarkedClass) -> list[str]:
    """How far the scores can be relied on, and who stands so near the pass mark that chance may have decided."""
    found = marked.reliability
    if found.value is None:
        return [f"How far the scores can be relied on cannot be told: {found.reason}."]
    level = "the scores can be relied on" if found.value >= _GOOD else "the scores can be relied on with care" if found.value >= _FAIR else "the scores say little about who knows more than whom"
    method = {"questions of one's own": "each learner had questions of his or her own"}.get(found.method, found.method)
    said = [f"Reliability {found.value:.2f} ({method}, {found.learners} learners; 1 would be perfect): {level}."]
    if found.standard_error is not None:
        near = near_the_pass_mark(marked)
        said.append(f"On an equal paper with other questions a learner would score about {_per_cent(found.standard_error)} more or less (standard error of measurement).")
        if near:
            said.append(f"So near the pass mark that chance may have decided: {', '.join(one.form for one in near)}. Look at these papers yourself before you decide.")
    return said


def near_the_pass_mark(marked: MarkedClass) -> tuple[LearnerMarks, ...]:
    """The learners whose score lies within one standard error of the pass mark."""
    error = marked.reliability.standard_error
    if error is None:
        return ()
    return tuple(one for one in marked.marked if one.share is not None and abs(one.share - marked.blueprint.pass_mark) <= error)


def limits_in_words(marked: MarkedClass) -> list[str]:
    """What a class of this size cannot tell."""
    count = len(marked.marked)
    if not count:
        return []
    said = [
        f"With {count} learner{'' if count == 1 else 's'} every figure here is rough. A question's share of marks may be off by about {_per_cent(0.5 / math.sqrt(count))} "
        "where all had it (one standard error), and by more where fewer had it."
    ]
    held = [one.given for one in marked.questions]
    if held and min(held) < count:
        said.append(f"Papers differ, so a question was on {min(held)} to {max(held)} of them only. A question that fewer than {FEW} had is not judged by one class: put several together.")
    if count < FEW:
        said.append("A class this small cannot tell good questions from poor ones, nor say how reliable the paper is: read the mistakes, they are sound.")
    return said


def _per_cent(share: float) -> str:
    return f"{100.0 * share:.0f} %"
