"""A statement that is true or false, with the reason why.

What lives here: what its file says, its dealing, the reading of an answer, and its judging.
What does not: choices without a statement (making, answers).

    kind = "truth"
    statement = "In heating the indoor coil is the evaporator."
    [[parts.reasons]]           says = true or false, text (what follows "because"), right = true or when = "…", mistake and correction

Exactly one reason holds, and its verdict with it.  The choices read "True, because …" and "False, because …".
"""

from __future__ import annotations

import re
from dataclasses import replace

from hpteach.errors import DataError, HpteachError, InputError
from hpteach.questions.answers import folded, read_choice, tidied
from hpteach.questions.dealt_parts import LETTERS, Foreseen, Part
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import shortened
from hpteach.questions.making import Dealing, make_choice
from hpteach.questions.part_names import Names
from hpteach.questions.stated_parts import (
    Choice,
    QuestionPart,
    check_distinct,
    check_one_right,
    read_choice as read_stated_choice,
)
from hpteach.questions.verdicts import RIGHT, Verdict, missed, unread, wrong

WRONG_REASON = "right_for_the_wrong_reason"
_WRONG_REASON = "Your verdict is right, the reason is not: go through the reasons once more and ask which of them settles it."
_WRONG = "Readable, but not what holds here: go through the reasons once more and ask which of them settles it."
_HALVES = ("true", "false", "t", "f", "yes", "no", "right", "wrong")
_SAYS = {True: "True, because ", False: "False, because "}


def read_statement(entry: Entry, names: Names) -> str:
    """The statement as it is asked."""
    return f"True or false, and why? {names.template(entry, 'statement')}"


def read_reasons(entry: Entry, names: Names) -> tuple[Choice, ...]:
    """The reasons as choices; raises `DataError` with file, key, value and what is allowed."""
    reasons = tuple(_reason(sub, names) for sub in entry.tables("reasons"))
    check_distinct(entry, "reasons", (reason.text for reason in reasons))
    check_one_right(entry, "reasons", reasons)
    if len({reason.says for reason in reasons}) < 2:
        raise entry.refuse("reasons", f"all say {str(reasons[0].says).lower()}", "reasons of which some say true and some say false")
    return reasons


def _reason(entry: Entry, names: Names) -> Choice:
    reason = read_stated_choice(entry, names, "says")
    if "says" not in entry.data:
        raise DataError(f"{entry.file}: {entry.place}.says is missing: write true or false")
    says = entry.truth("says")
    return replace(reason, says=says, text=_SAYS[says] + reason.text)


def make_truth(stated: QuestionPart, dealing: Dealing) -> Part:
    """Verdicts with their reasons, of which one is right; a reason without an id of its own that goes with the right verdict has a general one."""
    part = make_choice(stated, dealing)
    verdict = part.answer.partition(" ")[0]
    named = {mistake.value for mistake in part.mistakes}
    general = [
        Foreseen(WRONG_REASON, choice, _WRONG_REASON)
        for choice in part.choices
        if choice not in named and choice != part.answer and choice.startswith(verdict)
    ]
    return replace(part, mistakes=(*part.mistakes, *general))


def judge_truth(part: Part, text: str) -> Verdict:
    """The verdict on "true" or "false" with its reason."""
    try:
        given = read_truth(text, part.choices)
    except HpteachError as error:
        return unread(error)
    if given == part.answer:
        return RIGHT
    mistake = next((mistake for mistake in part.mistakes if mistake.value == given), None)
    return wrong(part.kind, mistake) if mistake else missed(part.kind, _WRONG)


def read_truth(text: str, choices: tuple[str, ...]) -> str:
    """The choice that a learner's text names: by its letter, by its words, or by the words of its reason alone.

    Raises `InputError` where no reason is named: a bare "true" says only half.

    >>> choices = ("True, because it condenses.", "False, because it boils.")
    >>> read_truth("b", choices), read_truth("true, it condenses", choices), read_truth("it boils", choices)
    ('False, because it boils.', 'True, because it condenses.', 'False, because it boils.')
    """
    try:
        return read_choice(text, choices)
    except InputError:
        written = _bare(tidied(text))
        if written in _HALVES:
            last = LETTERS[len(choices) - 1]
            raise InputError(f"{shortened(text)} is only half of the answer: say why too, with a letter from A to {last}") from None
        whole = [choice for choice in choices if written in (_bare(choice), _bare(choice.partition(" because ")[2]))]
        if len(whole) != 1:
            raise
        return whole[0]


def _bare(text: str) -> str:
    """Words without case, articles, marks and the first "because"."""
    return re.sub(r"\bbecause\b ?", "", folded(text), count=1)
