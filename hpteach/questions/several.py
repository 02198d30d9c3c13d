"""A question of several choices, of which none, some or all are right.

What lives here: what its file says, its dealing, the reading of letters, and its judging.
What does not: choices of which one is right (making, answers).

    kind = "several"
    may_be_none = true          none of the choices may hold; the learner then writes "none"
    [[parts.choices]]           text; right = true or when = "…"; where it is wrong: mistake and correction
    left_out = "…"              beside right or when: told where this choice is right and was not named

The answer is the letters of all that hold, such as "A C", or "none".
"""

from __future__ import annotations

import re
from dataclasses import replace

from hpteach.errors import DataError, HpteachError, InputError
from hpteach.questions.answers import folded, read_choice, tidied
from hpteach.questions.dealt_parts import LETTERS, Foreseen, Part
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import shortened
from hpteach.questions.making import Dealing, holds, written_choices
from hpteach.questions.part_names import Names
from hpteach.questions.scenarios import Solved
from hpteach.questions.stated_parts import Choice, QuestionPart, check_distinct, read_choice as read_stated_choice
from hpteach.questions.verdicts import RIGHT, Verdict, missed, unread, wrong

NONE = "none"
LEFT_OUT = "one_left_out"
_LEFT_OUT = "Something that holds is missing from your answer: go through the choices once more, one by one."
_TOO_MANY = "Not all that you named holds: go through your choices once more, one by one."


def read_several(entry: Entry, names: Names) -> tuple[Choice, ...]:
    """The choices of such a part; raises `DataError` with file, key, value and what is allowed."""
    choices = tuple(_choice(sub, names) for sub in entry.tables("choices"))
    check_distinct(entry, "choices", (choice.text for choice in choices))
    if not 3 <= len(choices) <= len(LETTERS):
        raise entry.refuse("choices", len(choices), "three to eight choices")
    if all(choice.right for choice in choices):
        raise entry.refuse("choices", "all right", "at least one choice that is or may be wrong")
    none_always = not any(choice.right or choice.when for choice in choices)
    if none_always and not entry.truth("may_be_none"):
        raise entry.refuse("choices", "none right", "at least one choice that is or may be right, unless may_be_none = true")
    return choices


def _choice(entry: Entry, names: Names) -> Choice:
    choice = read_stated_choice(entry, names, "left_out")
    if choice.right and choice.mistake:
        raise entry.refuse("mistake", choice.mistake, "no such key where right = true")
    if "left_out" not in entry.data:
        return choice
    if not choice.right and choice.when is None:
        raise entry.refuse("left_out", entry.data["left_out"], "no such key on a choice that is never right")
    return replace(choice, left_out=names.template(entry, "left_out"))


def make_several(stated: QuestionPart, dealing: Dealing) -> Part:
    """The choices in the order of the seed, the letters of those that hold, and the mistakes one letter away from that.

    Raises `DataError` where no choice holds, unless that may be.
    """
    listed = dealing.listed(stated, stated.choices)
    choices = written_choices(stated, listed, dealing)

    def held(solved: Solved) -> set[str]:
        return {letter for letter, choice in zip(LETTERS, listed) if holds(choice, solved)}

    right = held(dealing.solved)
    if not right and not stated.may_be_none:
        raise DataError(f"{dealing.id}: none of the choices of {stated.id} holds in this variant: at least one must, unless may_be_none = true")
    mistakes = []
    for letter, choice in zip(LETTERS, listed):
        if letter in right and (len(right) > 1 or stated.may_be_none):
            mistakes.append(Foreseen(LEFT_OUT, _written(right - {letter}), dealing.writer.text(choice.left_out) or _LEFT_OUT))
        elif letter not in right and choice.mistake:
            mistakes.append(Foreseen(choice.mistake, _written(right | {letter}), dealing.writer.text(choice.correction)))
    named = [mistake.value for mistake in mistakes if mistake.correction != _LEFT_OUT]
    by_ways = dealing.by_ways(stated, lambda world: _written(held(world)), [_written(right), *named, *([] if stated.may_be_none else [NONE])])
    taken = {mistake.value for mistake in by_ways}
    mistakes = [*by_ways, *(mistake for mistake in mistakes if mistake.value not in taken)]
    shown = "; ".join(f"{letter}) {text.rstrip('.')}" for letter, text in zip(LETTERS, choices) if letter in right) or "none of them"
    follows = " ".join(dealing.writer.text(choice.solution) for letter, choice in zip(LETTERS, listed) if letter in right and choice.solution)
    part = dealing.part(stated, _written(right), choices=choices, mistakes=tuple(mistakes), shown=shown, follows=follows)
    return replace(part, may_be_none=stated.may_be_none)


def judge_several(part: Part, text: str) -> Verdict:
    """The verdict on letters: the first one too many with its correction, or else that something is left out."""
    try:
        given = _letters(read_named(text, part.choices, may_be_none=part.may_be_none))
    except HpteachError as error:
        return unread(error)
    right = _letters(part.answer)
    if given == right:
        return RIGHT
    whole = next((mistake for mistake in part.mistakes if _letters(mistake.value) == given), None)
    if whole:
        return wrong(part.kind, whole)
    alone = {letter: mistake for mistake in part.mistakes for letter in [_only(_letters(mistake.value) ^ right)] if letter}
    too_many, missing = sorted(given - right), sorted(right - given)
    found = [alone[letter] for letter in too_many if letter in alone]
    if found:
        return wrong(part.kind, found[0])
    return missed(part.kind, _TOO_MANY) if too_many else wrong(part.kind, alone.get(missing[0], Foreseen(LEFT_OUT, "", _LEFT_OUT)))


def read_named(text: str, choices: tuple[str, ...], *, may_be_none: bool = False) -> str:
    """The letters of the choices that a learner's text names, in the order of the alphabet, or "none".

    Letters or places may stand together or apart, with commas, "and" or brackets between; whole choices are parted by semicolons.
    "all" names all.  Raises `InputError` where no choice is named, one is named twice, or "none" is written where some must hold.

    >>> read_named("c, a", ("rises", "falls", "stays")), read_named("ac", ("rises", "falls", "stays"))
    ('A C', 'A C')
    >>> read_named("rises; stays", ("rises", "falls", "stays")), read_named("none", ("rises", "falls"), may_be_none=True)
    ('A C', 'none')
    """
    letters = LETTERS[: len(choices)]
    allowed = f"write the letters of all that hold, from {letters[0]} to {letters[-1]}, such as {letters[0]}, {letters[-1]}"
    written = tidied(text)
    if folded(written) in ("none", "none of them", "none of these", "no choice"):
        if not may_be_none:
            raise InputError(f"at least one of the choices holds: {allowed}")
        return NONE
    if folded(written) in ("all", "all of them", "all of these"):
        return " ".join(letters)
    places = {letter.casefold(): letter for letter in letters}
    if not any(mark.isdigit() for choice in choices for mark in choice):
        places |= dict(zip("12345678", letters))
    named = _by_words(written, choices) or _by_letters(written, letters, choices)
    if not named:
        raise InputError(f"{shortened(text)} does not name choices: {allowed}")
    if len(set(named)) < len(named):
        raise InputError(f"{shortened(text)} names a choice twice: {allowed}")
    return " ".join(sorted(named))


def _by_words(written: str, choices: tuple[str, ...]) -> list[str] | None:
    """The letters of the choices that are named whole, parted by semicolons or commas; None where one is not."""
    for parting in ("\n", ";", ","):
        named = [_one(piece, choices) for piece in written.split(parting)]
        if None not in named:
            return named
    return None


def _by_letters(written: str, letters: str, choices: tuple[str, ...]) -> list[str] | None:
    """The letters, or the places, that stand together or apart; None where anything else is written."""
    places = {letter.casefold(): letter for letter in letters}
    if not any(mark.isdigit() for choice in choices for mark in choice):
        places |= dict(zip("12345678", letters))
    pieces = re.sub(r"\band\b|[&+,;./()\[\]\-]", " ", written.casefold()).split()
    if len(pieces) > 1 and any(len(piece) > 1 for piece in pieces):
        return None
    named = [places.get(mark) for mark in "".join(pieces)]
    return None if None in named else named


def _one(piece: str, choices: tuple[str, ...]) -> str | None:
    """The letter of the choice that a piece of text names by its words, or None."""
    try:
        return LETTERS[choices.index(read_choice(piece, choices))]
    except InputError:
        return None


def _only(letters: set[str]) -> str | None:
    return next(iter(letters)) if len(letters) == 1 else None


def _letters(answer: str) -> set[str]:
    return set() if answer == NONE else set(answer.split())


def _written(letters: set[str]) -> str:
    return " ".join(sorted(letters)) or NONE
