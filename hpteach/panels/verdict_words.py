"""A verdict in the words of a panel: right or not, what was read, what to do next.

What lives here: `said_of`.  What does not: judging (questions), showing it (answer_entries).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from hpteach import units
from hpteach.errors import HpteachError
from hpteach.questions import Part, Variant, Verdict
from hpteach.questions.answers import read_order, read_written
from hpteach.questions.dealt_parts import lettered

RIGHT, WRONG = "right", "wrong"
UNREAD = "Not read yet (this costs nothing)."
SHOWN = "From the solution:"


class Said(NamedTuple):
    """One verdict as it is shown: a word, sentences, and a kind ("right", "wrong" or "") for its border."""

    word: str
    text: str
    kind: str


def said_of(variant: Variant, part: Part, text: str, verdict: Verdict, *, hints_left: int = 0, cell: str = "") -> Said:
    """The verdict on a text as the answer to a part; `cell` names the cell of a table that it stands in.

    >>> from hpteach.questions import check, deal, read_bank
    >>> variant = deal(read_bank().question("read-a-gauge"), seed=7)
    >>> said_of(variant, variant.parts[0], "9999 kPa", check(variant, "9999 kPa")).word
    'Not right.'
    """
    before = f"{cell}: " if cell else ""
    notes = [note.sentence for note in verdict.notes]
    if not verdict.readable:
        return Said(before + UNREAD, " ".join(notes), "")
    read = recognised(variant, part, text)
    if verdict.correct:
        return Said(f"{before}Right.", " ".join(filter(None, [read, *notes])), RIGHT)
    if verdict.mistake is None and hints_left and all(note.id == part.kind for note in verdict.notes):
        notes.append(f"“A hint” below shows the next one ({hints_left} left).")
    return Said(f"{before}Not right.", " ".join(filter(None, [read, *notes])), WRONG)


def recognised(variant: Variant, part: Part, text: str) -> str:
    """What was read from a written answer, as a sentence; nothing where it was chosen, or not read.

    >>> from hpteach.questions import deal, read_bank
    >>> variant = deal(read_bank().question("read-a-gauge"), seed=7)
    >>> recognised(variant, variant.parts[0], "1050kPa")
    'Read as 10.50 bar.'
    """
    try:
        if part.kind == "order":
            return f"You put: {', then '.join(part.choices[int(number) - 1] for number in read_order(text, len(part.choices)).split())}."
        if part.kind == "number":
            return f"Read as {_shown(variant, part, text)}."
    except HpteachError:
        return ""
    return ""


def _shown(variant: Variant, part: Part, text: str) -> str:
    """The number as it was written where it has the unit of the question, else turned into that unit."""
    written = read_written(text, part.quantity, variant.system)
    if part.table and not written.unit:
        return f"{written.number} {part.unit}"
    value = written.value(part.quantity, atmosphere=variant.atmosphere)
    try:
        plain = units.read(f"{written.number} {part.unit}", part.quantity, atmosphere=variant.atmosphere)
    except HpteachError:
        plain = math.nan
    if not written.fraction and math.isclose(plain, value, rel_tol=1e-12):
        return f"{written.number} {part.unit}".strip()
    return shown_answer(variant, part, value)


def answer_in_words(part: Part) -> str:
    """The right answer to a part that is chosen, with its letter; nothing for one that is written, whose solution says it.

    >>> from hpteach.questions import deal, read_bank
    >>> part = deal(read_bank().question("predict-gauge"), 1).parts[0]
    >>> answer_in_words(part).endswith(") zero")
    True
    """
    if part.kind in ("number", "order"):
        return ""
    right = part.answer.split() if part.kind == "several" else [letter for letter, text in lettered(part.choices) if text == part.answer]
    held = [f"{letter}) {text}" for letter, text in lettered(part.choices) if letter in right]
    return "\n".join(["Right:", *held] if len(held) > 1 else [f"Right: {held[0]}"] if held else ["Right: none of them."])


def shown_answer(variant: Variant, part: Part, value: float) -> str:
    """A number as the answer to a part (SI; a gauge pressure counted from the air), in the question's units."""
    from_vacuum = value + variant.atmosphere if part.quantity == "gauge pressure" else value
    return units.show(from_vacuum, part.quantity, variant.system, atmosphere=variant.atmosphere)
