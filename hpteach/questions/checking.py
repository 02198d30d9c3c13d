"""Judging an answer.

What lives here: `check`, and the judging of numbers, choices and orders.
What does not: the verdict (verdicts), reading (answers), kinds with a module of their own, proving that a whole bank can be judged (proof), and counting tries or marks (assessment).

An answer is judged in this order: readable, dimension and unit, number, foreseen mistake,
written figures.  What cannot be read is not wrong; it costs no try.  A number without its unit is asked for
it, but in a cell of a state table, whose column has a unit.
"""

from __future__ import annotations

from dataclasses import replace

from hpteach import units
from hpteach.errors import HpteachError, LimitError, UnitError
from hpteach.questions.answers import Written, read_choice, read_order, read_written
from hpteach.questions.expressions import shortened
from hpteach.questions.orders import CORRECTIONS, diagnosed
from hpteach.questions.several import judge_several
from hpteach.questions.states import judge_state
from hpteach.questions.truths import judge_truth
from hpteach.questions.variants import Foreseen, Part, Variant
from hpteach.questions.verdicts import RIGHT, Note, Verdict, missed, unread, wrong

__all__ = ["Note", "Verdict", "check", "within"]

_MARKS = " °º()[].·*"
"""What is no unit by itself: "7 °" says as little as "7"."""

_SLACK = 1e-9
"""Share of a number by which floating point may miss a tolerance's edge."""


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
    return _check_number(variant, asked, text) if asked.kind == "number" else _JUDGES[asked.kind](asked, text)


def _check_choice(part: Part, text: str) -> Verdict:
    try:
        chosen = read_choice(text, part.choices)
    except HpteachError as error:
        return unread(error)
    if chosen == part.answer:
        return RIGHT
    return wrong(part.kind, next((mistake for mistake in part.mistakes if mistake.value == chosen), None))


def _check_order(part: Part, text: str) -> Verdict:
    try:
        given = read_order(text, len(part.choices))
    except HpteachError as error:
        return unread(error)
    if given == part.answer:
        return RIGHT
    mistake = next((mistake for mistake in part.mistakes if mistake.value == given), None)
    found = None if mistake else diagnosed(given, part.answer)
    return wrong(part.kind, Foreseen(found, given, CORRECTIONS[found]) if found else mistake)


def _check_number(variant: Variant, part: Part, text: str) -> Verdict:
    try:
        written = read_written(text, part.quantity, variant.system)
        if part.table and not written.unit:
            written = replace(written, unit=part.unit)  # the heading of its column says the unit
        value = written.value(part.quantity, atmosphere=variant.atmosphere)
    except UnitError as error:
        # A unit that is known, but not one of this quantity.
        measures = units.measured_by(written.unit) if written.unit.strip(_MARKS) else None
        if measures is None and part.quantity not in ("pressure", "gauge pressure") and _is_psi(written.unit):
            return missed("dimension", f"{shortened(text)} is a pressure, not a {part.quantity}: look again at what is asked.")
        if measures is None:
            return unread(error)
        gauge_or_absolute = part.quantity == "gauge pressure" and measures == "absolute pressure"
        return missed("unit" if gauge_or_absolute else "dimension", str(error))
    except LimitError as error:
        return unread(error, "impossible")
    except HpteachError as error:
        return unread(error)
    if part.only == "absolute" and units.measured_by(written.unit) == "gauge pressure":
        return missed("unit", "Here the absolute pressure is asked, counted from a vacuum: write it in bar, kPa or psia.")
    if within(value, *part.accepts):
        return Verdict(True, True, None, _remarks(written, part, variant.system))
    mistake = next((mistake for mistake in part.mistakes if within(value, *mistake.accepts)), None)
    if mistake is None and part.quantity == "ratio" and written.unit and within(100.0 * value, *part.accepts):
        sentence = f"{shortened(text)} was read as {value:g}, a share of 1: write the number without the percent sign."
        return Verdict(True, False, None, (Note("percent", sentence),))
    return wrong(part.kind, mistake)


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


def _remarks(written: Written, part: Part, system: str) -> tuple[Note, ...]:
    """A remark on the figures of a right number: more than the tolerance knows, or fewer than it asks."""
    if written.fraction:
        return ()
    step, without_zeros = written.last_figure(part.quantity), written.last_figure(part.quantity, but_zeros=True)
    around = (part.accepts[1] - part.accepts[0]) / 2.0
    decimals = units.unit_shown(part.quantity, system).decimals
    ends = [units.base_number(number, part.quantity, system) for number in (0.0, 10.0**-decimals)]
    usual = ends[1] - ends[0]
    if without_zeros < min(around / 100.0, usual / 2.0):
        return (Note("figures_many", "The last figures say more than the numbers you started from: round the answer."),)
    if step / 2.0 > 1.000001 * around:
        return (Note("figures_few", "It is rounded so far that it is right only just: write one more figure."),)
    return ()


_JUDGES = {"choice": _check_choice, "several": judge_several, "order": _check_order, "state": judge_state, "truth": judge_truth}
