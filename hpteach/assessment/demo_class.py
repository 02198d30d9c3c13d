"""An invented class with invented answers, to see what papers and marks look like before there is a real one.

What lives here: its roster, its secret, and what its learners write.  What does not: how an invented learner decides (simulated).

Everybody in it is invented and called so.  Its secret stands in this file, so it keeps nothing from anybody: never deal real papers with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from hashlib import sha256

from hpteach.assessment.answer_sheet import COLUMNS, part_letters
from hpteach.assessment.difficulty import by_rule
from hpteach.assessment.drawing_tasks import DRAWING_MARKS, DRAWING_PART
from hpteach.assessment.forms import Form
from hpteach.assessment.roster import Learner, Roster
from hpteach.assessment.secret import Secret
from hpteach.assessment.simulated import SimulatedLearner, SimulatedQuestion, answers, simulated_learners
from hpteach.assessment.variant_store import VariantStore
from hpteach.questions import Part, Variant
from hpteach.questions.proof_of_texts import shown_answer

NAME = "demo"
"""By which the commands ask for it, in place of a file."""

LEARNERS = 24
_SEED = "demo class (invented)"
_LOWEST, _HIGHEST = 0.05, 0.95


def demo_secret() -> Secret:
    """The secret of the invented class, which everybody knows."""
    return Secret(sha256(_SEED.encode()).digest())


def demo_learners(count: int = LEARNERS) -> tuple[SimulatedLearner, ...]:
    """The invented learners with their abilities."""
    return simulated_learners(count, _SEED)


def demo_roster(learners: Iterable[SimulatedLearner] | None = None) -> Roster:
    """The roster of the invented class.

    >>> demo_roster().learners[6]
    Learner(id='07', name='Invented learner 07', group='', units='')
    """
    found = demo_learners() if learners is None else learners
    return Roster(NAME, tuple(Learner(one.id, one.name) for one in found))


def demo_answers(forms: Iterable[Form], store: VariantStore, learners: Iterable[SimulatedLearner] | None = None) -> Iterator[tuple[str, ...]]:
    """The rows of a filled answer sheet, under the headings of `answer_sheet.COLUMNS`.

    How hard a question is for the invented is its expected difficulty by rule (difficulty).
    """
    known = {one.id: one for one in (demo_learners() if learners is None else learners)}
    for form in forms:
        asked = _asked(form, store)
        written = answers(known[form.learner.id], [one for _, _, one in asked], _SEED)
        for number, letter, one in asked:
            yield tuple(map(str, (form.learner.id, form.learner.name, form.code, number, letter, written[one.key])))


def simulated_question(key: str, variant: Variant, part: Part, difficulty: float) -> SimulatedQuestion:
    """A part of a dealt question as an invented learner sees it: what is right, and the foreseen mistakes.

    >>> from hpteach.questions import deal, read_bank
    >>> variant = deal(read_bank().question("predict-gauge"), seed=1)
    >>> simulated_question("1", variant, variant.parts[0], 0.4).right == variant.parts[0].answer
    True
    """

    def text(part: Part) -> str:
        return shown_answer(variant, part) if part.kind == "number" else str(part.answer)

    wrong = tuple(text(replace(part, answer=mistake.value)) for mistake in part.mistakes)
    return SimulatedQuestion(key, min(max(difficulty, _LOWEST), _HIGHEST), text(part), wrong)


def _asked(form: Form, store: VariantStore) -> list[tuple[int, str, SimulatedQuestion]]:
    found = []
    for one in form.questions:
        difficulty = by_rule().of(store.bank.question(one.question))
        if one.drawing:
            some = tuple(str(points) for points in range(int(DRAWING_MARKS)))
            found.append((one.number, DRAWING_PART, SimulatedQuestion(f"{form.code} {one.number}", difficulty, f"{DRAWING_MARKS:g}", some)))
            continue
        variant = store.variant(one.question, one.seed, one.system)
        for letter, part in zip(part_letters(len(variant.parts)), variant.parts):
            found.append((one.number, letter, simulated_question(f"{form.code} {one.number}{letter}", variant, part, difficulty)))
    return found


__all__ = ["COLUMNS", "LEARNERS", "NAME", "demo_answers", "demo_learners", "demo_roster", "demo_secret", "simulated_question"]
