"""Proving the kinds that have a module of their own: several choices, a state, a truth, the cells of a table.

What lives here: texts of such a part that must be judged right, and wrong ones with the mistake
that must be recognised.  What does not: the proof of a bank (proof), numbers, choices and orders.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from hpteach.questions.answers import folded
from hpteach.questions.checking import check
from hpteach.questions.dealt_parts import LETTERS, Part, lettered
from hpteach.questions.several import LEFT_OUT, NONE
from hpteach.questions.state_tables import ANOTHER_POINT, cell_ids
from hpteach.questions.stated_parts import QuestionPart
from hpteach.questions.variants import Variant


def failures_of_several(variant: Variant, part: Part) -> Iterable[str]:
    """What is not judged as it should be among the right letters in several dresses, and one letter too many or too few."""
    letters = [] if part.answer == NONE else part.answer.split()
    dresses = [part.answer, ", ".join(letters), "".join(letters).lower(), " and ".join(letters)] if letters else [NONE, "None of them"]
    words = "; ".join(part.choices[LETTERS.index(letter)] for letter in letters)
    for text in [*dresses, *([words] if words and len(words) <= 100 and not any(";" in choice for choice in part.choices) else [])]:
        if not check(variant, text, part.id).correct:
            yield f"the right letters {text!r} are judged: {check(variant, text, part.id)}"
    expected: dict[str, str | None] = {}
    for letter, _ in lettered(part.choices):
        changed = sorted(set(letters) ^ {letter})
        expected[" ".join(changed) or NONE] = LEFT_OUT if letter in letters else None
    if not part.may_be_none:
        expected.pop(NONE, None)
    for text, id in (expected | {mistake.value: mistake.id for mistake in part.mistakes}).items():
        yield from _wrongly(variant, part, text, id)


def failures_of_words(variant: Variant, part: Part) -> Iterable[str]:
    """The same for a state or a truth: every choice by its letter, by its words, and by its words without capitals and marks."""
    foreseen = {mistake.value: mistake.id for mistake in part.mistakes}
    for letter, choice in lettered(part.choices):
        for text in (letter, choice, folded(choice)):
            if len(text) > 100:
                continue
            if choice != part.answer:
                yield from _wrongly(variant, part, text, foreseen.get(choice))
            elif not check(variant, text, part.id).correct:
                yield f"the right answer {text!r} is judged: {check(variant, text, part.id)}"


def _wrongly(variant: Variant, part: Part, text: str, id: str | None) -> Iterable[str]:
    verdict = check(variant, text, part.id)
    if verdict.correct is not False or verdict.mistake != id:
        yield f"the wrong answer {text!r}, that of {id}, is judged: {verdict}"


FAILURES_OF_KINDS: Mapping[str, Callable[[Variant, Part], Iterable[str]]] = {
    "several": failures_of_several,
    "state": failures_of_words,
    "truth": failures_of_words,
}
"""For each kind the function that finds what is not judged as it should be; the cells of a table are numbers."""


def foreseen_of_kinds(part: QuestionPart) -> list[tuple[tuple[str, ...], str, bool]] | None:
    """The mistakes that a file foresees in a part; None for kinds without a module of their own.

    Of each: the ids of the dealt parts of which any may offer it, its id, and whether it is a choice, which may be a mistake in few variants.  A mistake of a state table counts where any of its cells offers it.
    """
    if part.kind == "table":
        cells = dict(zip(part.table.asked, cell_ids(part)))
        named = [(tuple(cells[cell] for cell in mistake.cells or cells), mistake.id, False) for mistake in part.mistakes]
        return [*named, (tuple(cells.values()), ANOTHER_POINT, False)] if len(part.table.points) > 1 else named
    if part.kind not in FAILURES_OF_KINDS:
        return None
    ways = [((part.id,), mistake.id, False) for mistake in part.mistakes]
    return [*ways, *(((part.id,), choice.mistake, True) for choice in part.choices if choice.mistake)]
