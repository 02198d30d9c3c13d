"""Proving that a question comes to the same in both unit systems.

What lives here: the printed numbers of one system turned into the other and solved again, and the two answers held together.
What does not: dealing (variants), judging one answer (checking).

A question may draw round numbers of its own in each system.  So the numbers that a reader in IP sees are turned into SI,
printed there, and the question is dealt anew with them: both readers must come to the same answer, within its tolerance.
"""

from __future__ import annotations

from collections.abc import Iterable

from hpteach import units
from hpteach.errors import HpteachError
from hpteach.questions.checking import within
from hpteach.questions.dealt_parts import Part
from hpteach.questions.variants import Variant, deal_with

MORE_DECIMALS = 3
"""So many decimals more than usual carry a number from one system into the other."""


def failures_of_systems(variant: Variant) -> Iterable[str]:
    """Where a question that was dealt in IP comes to something else with the same numbers in SI.

    >>> from hpteach.questions import deal, read_bank
    >>> list(failures_of_systems(deal(read_bank().question("cooling-cop"), 3, "IP")))
    []
    """
    kinds = {name: draw.kind for name, draw in variant.question.draws.items()}
    turned = {name: text if kinds[name] == "name" else in_si(text, kinds[name]) for name, text in variant.drawn.items()}
    try:
        other = deal_with(variant.question, variant.seed, "SI", turned)
    except HpteachError as error:
        yield f"with its numbers turned into SI it is refused: {error}"
        return
    for part, same in zip(variant.parts, other.parts):
        if not _agree(part, same):
            yield f"{part.id}: in IP the answer is {part.answer}, and with the same numbers in SI {same.answer}"


def in_si(text: str, kind: str) -> str:
    """A printed quantity as SI prints it, with decimals enough to stay what it is.

    >>> in_si("45 °F", "temperature")
    '7.2222 °C'
    """
    shift = units.STANDARD_ATMOSPHERE if kind == "gauge pressure" else 0.0
    return units.show(units.read(text, kind) + shift, kind, "SI", decimals=units.unit_shown(kind, "SI").decimals + MORE_DECIMALS)


def _agree(part: Part, other: Part) -> bool:
    if part.accepts and other.accepts:
        return within(part.answer, *other.accepts) and within(other.answer, *part.accepts)
    if part.kind in ("order", "several"):
        return part.answer == other.answer
    return part.choices.index(part.answer) == other.choices.index(other.answer)
