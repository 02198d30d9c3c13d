"""Judging an answer.

What lives here: `check` and its verdict.
What does not: reading (answers), proving that a whole bank can be judged (proof), and counting tries or marks (assessment).

An answer is judged in this order: readable, dimension and unit, number, foreseen mistake,
written figures.  What cannot be read is not wrong; it costs no try.
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach import units
from hpteach.errors import HpteachError, LimitError, UnitError
from hpteach.questions.answers import Written, read_choice, read_order, read_written
from hpteach.questions.expressions import shortened
from hpteach.questions.orders import CORRECTIONS, diagnosed
from hpteach.questions.variants import Foreseen, Part, Variant

_SLACK = 1e-9
"""Share of a number by which floating point may miss a tolerance's edge."""


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
        return " ".join([head, *(note.sentence for note in self.notes)])

    __repr__ = __str__


def check(variant: Variant, text: str, part: str | None = None) -> Verdict:
    """Judge a learner's text as the answer to a part, by default the only one.

    Raises `UnknownNameError` or `InputError` where the part is not named rightly; whatever
    the text is, it is judged and never raises.

    >>> from hpteach.questions import deal, read_bank
    >>> variant = deal(read_bank().question("predict-gauge"), seed=1)
    >>> check(variant, "no idea").correct is None
    True
    """
    asked = variant.part(part)
    if asked.kind == "number":
        return _check_number(variant, asked, text)
    return _check_choice(asked, text) if asked.kind == "choice" else _check_order(asked, text)


def _check_choice(part: Part, text: str) -> Verdict:
    try:
        chosen = read_choice(text, part.choices)
    except HpteachError as error:
        return _unread(error)
    if chosen == part.answer:
        return Verdict(True, True, None, ())
    return _wrong(part, next((mistake for mistake in part.mistakes if mistake.value == chosen), None))


def _check_order(part: Part, text: str) -> Verdict:
    try:
        given = read_order(text, len(part.choices))
    except HpteachError as error:
        return _unread(error)
    if given == part.answer:
        return Verdict(True, True, None, ())
    mistake = next((mistake for mistake in part.mistakes if mistake.value == given), None)
    found = None if mistake else diagnosed(given, part.answer)
    return _wrong(part, Foreseen(found, given, CORRECTIONS[found]) if found else mistake)


def _check_number(variant: Variant, part: Part, text: str) -> Verdict:
    try:
        written = read_written(text, part.quantity, variant.system)
        value = written.value(part.quantity, atmosphere=variant.atmosphere)
    except UnitError as error:
        # A unit that is known, but not one of this quantity.
        measures = units.measured_by(written.unit) if written.unit else None
        if measures is None and part.quantity not in ("pressure", "gauge pressure") and _is_psi(written.unit):
            return _wrong_unit("dimension", f"{shortened(text)} is a pressure, not a {part.quantity}: look again at what is asked.")
        if measures is None:
            return _unread(error)
        gauge_or_absolute = part.quantity == "gauge pressure" and measures == "absolute pressure"
        return _wrong_unit("unit" if gauge_or_absolute else "dimension", str(error))
    except LimitError as error:
        return _unread(error, "impossible")
    except HpteachError as error:
        return _unread(error)
    if part.only == "absolute" and units.measured_by(written.unit) == "gauge pressure":
        return _wrong_unit("unit", "Here the absolute pressure is asked, counted from a vacuum: write it in bar, kPa or psia.")
    if within(value, *part.accepts):
        return Verdict(True, True, None, _remarks(written, part, variant.system))
    mistake = next((mistake for mistake in part.mistakes if within(value, *mistake.accepts)), None)
    if mistake is None and part.quantity == "ratio" and written.unit and within(100.0 * value, *part.accepts):
        sentence = f"{shortened(text)} was read as {value:g}, a share of 1: write the number without the percent sign."
        return Verdict(True, False, None, (Note("percent", sentence),))
    return _wrong(part, mistake)


def _is_psi(unit: str) -> bool:
    """Whether a unit is psi alone, which is refused for a pressure because it does not say from where it counts."""
    return unit.replace(".", "").casefold() == "psi"


def within(value: float, low: float, high: float) -> bool:
    """Whether a value lies in a band, with a hair of slack for floating point.

    >>> within(45.8 + 0.2, 45.6, 46.0)
    True
    """
    slack = _SLACK * max(abs(low), abs(high))
    return low - slack <= value <= high + slack


def _unread(error: HpteachError, id: str = "unreadable") -> Verdict:
    return Verdict(False, None, None, (Note(id, str(error)),))


def _wrong_unit(id: str, sentence: str) -> Verdict:
    return Verdict(True, False, None, (Note(id, sentence),))


def _wrong(part: Part, mistake: Foreseen | None) -> Verdict:
    if mistake is None:
        what = part.kind
        return Verdict(True, False, None, (Note(what, f"Readable, but not the {what} asked for: look at the hints and try again."),))
    return Verdict(True, False, mistake.id, (Note(mistake.id, mistake.correction),))


def _remarks(written: Written, part: Part, system: str) -> tuple[Note, ...]:
    """A remark on the figures of a right number: more than the tolerance knows, or fewer than it asks."""
    step = written.last_figure(part.quantity)
    around = (part.accepts[1] - part.accepts[0]) / 2.0
    decimals = units.unit_shown(part.quantity, system).decimals
    ends = [units.base_number(number, part.quantity, system) for number in (0.0, 10.0**-decimals)]
    usual = ends[1] - ends[0]
    if step < min(around / 100.0, usual / 2.0):
        return (Note("figures_many", "The last figures say more than the numbers you started from: round the answer."),)
    if step / 2.0 > 1.000001 * around:
        return (Note("figures_few", "It is rounded so far that it is right only just: write one more figure."),)
    return ()
