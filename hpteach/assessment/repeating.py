"""Which lesson to repeat after a mistake.

What lives here: one rule, the same for a learner and for a class.  What does not: which mistakes were made (marking), the lessons themselves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from hpteach.assessment.rounds import foreseen, practised
from hpteach.questions import Bank


def lesson_to_repeat(bank: Bank, questions: Iterable[str], mistake: str = "") -> str:
    """The lesson, as two digits, that most of some questions belong to, of several the first; "" for none.

    Where no lesson teaches any of them, it is the first whose questions foresee the mistake.

    >>> from hpteach.questions import read_bank
    >>> lesson_to_repeat(read_bank(), ["read-a-gauge"], "gauge_read_as_absolute")
    '00'
    """
    of = Counter(lesson for lesson in (bank.question(id).lesson for id in questions) if lesson.isdigit())
    if of:
        return min(of, key=lambda lesson: (-of[lesson], lesson))
    if not mistake:
        return ""
    return min((question.lesson for question in practised(bank) if question.lesson.isdigit() and mistake in foreseen(question)), default="")
