"""The verdict on an answer, and the forms it takes.

What lives here: `Verdict`, its notes, and the verdicts that all kinds share.
What does not: coming to one (checking, and the module of each kind).
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.errors import HpteachError
from hpteach.questions.dealt_parts import Foreseen


@dataclass(frozen=True)
class Note:
    """A sentence for the learner, under an id that stays."""

    id: str
    sentence: str


@dataclass(frozen=True, repr=False)
class Verdict:
    """What came of an answer.

    `correct` is None where the answer could not be read; `mistake` is the id of the
    foreseen mistake that was recognised.
    """

    readable: bool
    correct: bool | None
    mistake: str | None
    notes: tuple[Note, ...]

    def __str__(self) -> str:
        head = {None: "Not read yet, and not counted.", True: "Right.", False: "Not right."}[self.correct]
        return " ".join([head, *(note.sentence[:1].upper() + note.sentence[1:] for note in self.notes)])

    __repr__ = __str__


RIGHT = Verdict(True, True, None, ())
"""Right, with nothing to remark."""


def unread(error: HpteachError, id: str = "unreadable") -> Verdict:
    """Not read, with the refusal's sentence; it costs no try.

    >>> print(unread(HpteachError("there is no answer yet")))
    Not read yet, and not counted. There is no answer yet
    """
    return Verdict(False, None, None, (Note(id, str(error)),))


def missed(id: str, sentence: str) -> Verdict:
    """Wrong, with a note that names no foreseen mistake.

    >>> missed("unit", "Here the absolute pressure is asked.").correct
    False
    """
    return Verdict(True, False, None, (Note(id, sentence),))


def wrong(kind: str, mistake: Foreseen | None) -> Verdict:
    """Wrong: with the correction of the foreseen mistake, or plainly.

    >>> print(wrong("choice", None))
    Not right. Readable, but not the choice asked for: look at the hints and try again.
    """
    if mistake is None:
        return missed(kind, f"Readable, but not the {kind} asked for: look at the hints and try again.")
    return Verdict(True, False, mistake.id, (Note(mistake.id, mistake.correction),))
