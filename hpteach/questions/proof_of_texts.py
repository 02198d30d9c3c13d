"""Proving the texts of a dealt question: they read well, give nothing away, and their sums are right.

What lives here: what is wrong with a prompt, a part, its choices, hints and solution.
What does not: the answers (proof), sums as such (equations), the two unit systems beside each other (proof_of_systems).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from hpteach import units
from hpteach.questions.answers import folded
from hpteach.questions.dealt_parts import Part
from hpteach.questions.equations import equations
from hpteach.questions.variants import Variant

LONGEST_PROMPT = 900
_FEWEST_WORDS = 4
"""From so many words on a choice that stands in a hint is given away; shorter ones are names that a hint may need."""

_ENDS = tuple(mark + behind for mark in ".?!:" for behind in ("", "”", '"', ")"))
_UGLY = {
    r"[{}]": "an unfilled brace",
    r"\S {2,}\S": "two spaces in a row",
    r"(?<=[^.!?] )None\b|^None$|\b(?:nan|NaN|inf)\b": "a value that is none",
    r"(?<![\w.,])[-−]0(?:\.0+)?(?![\d.])": "minus zero",
    r" [.,;:?!](?!\w)": "a space before a mark",
}
_ONLY_IN = {
    "SI": r"°C|bar g|bar|kPa|MPa|kJ/kg|kJ/\(kg·K\)|kJ|kg/s|kg/m³|kg/h|kg|m³/h|m³|dm³/kg|mm|g/kg|K",
    "IP": r"°F|psig|psia|psi|Btu/lb|Btu/h|Btu/\(lb·°[FR]\)|Btu|lb/h|lb/ft³|lb|ft³/min|ft³/lb|ft³|ft|gr/lb|micron|°R",
}
_BEHIND = r"(?![\w³°/(])"
_PRINTED = {system: re.compile(rf"[0-9][0-9.]* ?({labels}){_BEHIND}") for system, labels in _ONLY_IN.items()}
_TO_BE_TURNED = {system: re.compile(rf"\b(?:in|into|to) (?:{labels}){_BEHIND}") for system, labels in _ONLY_IN.items()}
_BESIDE = re.compile(r"[^.;?]{0,40}(?:\(| is | are | or |=)[^.;?]{0,8}")
"""What stands between a figure in one system and the same in the other: "334 kJ for each kilogram (144 Btu ...", "1 kW is 3412 Btu/h"."""
_IN_BOTH = re.compile(r"[0-9][0-9.]* ?(kW)\b")
_OTHER = {"SI": "IP", "IP": "SI"}
_NUMBER = re.compile(r"(?<![\w.])[-−]?[0-9]+(?:\.[0-9]+)?(?![\w])")


class TextsProof(NamedTuple):
    """What the proof of a part's texts found: sentences, sums that were worked out anew, and sums that hold words and could not be."""

    failures: tuple[str, ...]
    sums: int
    unread: tuple[str, ...]


def failures_of_prompt(variant: Variant) -> Iterable[str]:
    """What is wrong with the prompt of a dealt question."""
    prompt = variant.prompt
    yield from (f"the prompt has {fault}" for fault in _faults(prompt))
    if not prompt.endswith(_ENDS):
        yield f"the prompt ends with {prompt[-20:]!r}: end it as a sentence"
    if len(prompt) > LONGEST_PROMPT:
        yield f"the prompt has {len(prompt)} characters: use up to {LONGEST_PROMPT}"
    yield from _foreign(prompt, variant.system, "the prompt")


def proof_of_texts(variant: Variant, part: Part) -> TextsProof:
    """What is wrong with the texts of a part of a dealt question."""
    failures = [f"{what} has {fault}: {text!r}" for what, text in _texts_of(part) for fault in _faults(text)]
    for what, text in (("the text", part.text), *(("a choice", choice) for choice in part.choices)):
        failures += _foreign(text, variant.system, what)
    if len({folded(choice) for choice in part.choices}) < len(part.choices):
        failures.append(f"two choices read alike: {', '.join(part.choices)}")
    if part.kind == "number" and shown_answer(variant, part) not in part.solution:
        failures.append(f"the solution does not hold the answer {shown_answer(variant, part)}: {part.solution!r}")
    failures += _given_away(variant, part)
    found = equations(part.solution)
    failures += [f"the solution has a sum that does not come out: {one}" for one in found if one.holds is False]
    return TextsProof(tuple(failures), sum(one.holds is True for one in found), tuple(str(one) for one in found if one.holds is None))


def shown_answer(variant: Variant, part: Part) -> str:
    """The answer of a number as the question's system shows it.

    >>> from hpteach.questions import deal, read_bank
    >>> variant = deal(read_bank().question("read-a-gauge"), seed=1)
    >>> shown_answer(variant, variant.part())
    '10.48 bar'
    """
    above = variant.atmosphere if part.quantity == "gauge pressure" else 0.0
    return units.show(part.answer + above, part.quantity, variant.system, atmosphere=variant.atmosphere)


def _texts_of(part: Part) -> list[tuple[str, str]]:
    hints = [("a hint", hint) for hint in part.hints]
    return [("the text", part.text), *(("a choice", choice) for choice in part.choices), *hints, ("the solution", part.solution)]


def _faults(text: str) -> list[str]:
    return [what for pattern, what in _UGLY.items() if re.search(pattern, text)]


def _foreign(text: str, system: str, what: str) -> Iterable[str]:
    """Figures in units of the other system, but for those beside the same in the reader's own, or to be turned into it."""
    if _TO_BE_TURNED[system].search(text):
        return
    own = [*_PRINTED[system].finditer(text), *_IN_BOTH.finditer(text)]
    for found in _PRINTED[_OTHER[system]].finditer(text):
        beside = (_BESIDE.fullmatch(text, *sorted((min(one.end(), found.end()), max(one.start(), found.start())))) for one in own if _same(one[1], found[1]))
        if not any(beside):
            yield f"{what} for {system} holds {found[0]}, which is a unit of {_OTHER[system]}"


def _same(unit: str, other: str) -> bool:
    """Whether two units measure the same, so that the figures beside them may be one and the same."""
    return units.measured_by(unit) == units.measured_by(other)


def _given_away(variant: Variant, part: Part) -> Iterable[str]:
    for hint in part.hints:
        if part.kind == "number":
            number = shown_answer(variant, part).split()[0]
            if number in {match[0].replace("−", "-") for match in _NUMBER.finditer(hint)}:
                yield f"a hint gives the answer away, {number}: {hint!r}"
        elif isinstance(part.answer, str) and part.answer in part.choices:
            words = folded(part.answer)
            if len(words.split()) >= _FEWEST_WORDS and words in folded(hint):
                yield f"a hint gives the answer away: {hint!r}"
