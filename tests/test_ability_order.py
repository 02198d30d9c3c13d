"""Scores bring the order of ability to light: invented learners of known ability sit forms of a whole exam, and marking does the rest.

Nothing is drawn.  Each learner has a form of his or her own; what is written follows from ability and expected difficulty alone (simulated.py).
"""

import pytest

from hpteach.assessment.blueprint import read_blueprint
from hpteach.assessment.difficulty import by_rule
from hpteach.assessment.drawing_tasks import DRAWING_PART
from hpteach.assessment.forms import deal_forms
from hpteach.assessment.hand_in import HandIn
from hpteach.assessment.manifest import Manifest
from hpteach.assessment.marking import mark
from hpteach.assessment.roster import Learner
from hpteach.assessment.secret import Secret
from hpteach.assessment.simulated import SimulatedQuestion, answers, simulated_learners
from hpteach.assessment.statistics import spearman
from hpteach.assessment.variant_store import VariantStore
from hpteach.questions import read_bank
from hpteach.questions.proof_of_texts import shown_answer
from tests.test_sitting import BEGIN

LEARNERS = 300
AIM = 0.85
"""The rank correlation of score and ability that a whole exam has to reach; measured is 0.97."""



def parts_of(question, store, difficulty):
    """The parts of a question of a form as simulated learners see them, without its number."""
    if question.drawing:
        return [(DRAWING_PART, difficulty, "4", ("2", "1", "0"))]
    variant = store.variant(question.question, question.seed, question.system)
    return [
        (
            part.id,
            difficulty,
            shown_answer(variant, part) if part.kind == "number" else str(part.answer),
            tuple(str(mistake.value) for mistake in part.mistakes if part.kind != "number"),
        )
        for part in variant.parts
    ]


def asked_of(form, store, difficulties, bank, known):
    """The parts of a form as simulated learners see them; `known` keeps what was looked up."""
    for one in form.questions:
        if one[1:] not in known:
            known[one[1:]] = parts_of(one, store, difficulties.of(bank.question(one.question)))
        for part, *rest in known[one[1:]]:
            yield SimulatedQuestion((one.number, part), *rest)


def marked_class(seed, blueprint, learners):
    """A class of invented learners, marked, with the ability of each."""
    bank, difficulties = read_bank(), by_rule()
    store, people = VariantStore(bank), simulated_learners(learners, seed=seed)
    forms = deal_forms([Learner(one.id) for one in people], blueprint, bank, Secret(bytes(range(32))), store=store, workers=1).forms
    known = {}
    hand_ins = [
        HandIn(form.code, answers(one, list(asked_of(form, store, difficulties, bank, known)), seed), None, BEGIN, form.code, f"{one.id}.json") for one, form in zip(people, forms)
    ]
    versions = {question.question: question.version for form in forms for question in form.questions}
    return mark(Manifest(blueprint, forms, versions), bank, hand_ins=hand_ins, store=store, workers=1), [one.ability for one in people]


@pytest.mark.parametrize("seed", ["order"])
def test_scores_recover_the_order_of_ability(seed):
    """Over 300 invented learners with 30 questions each the rank correlation of score and ability is at least 0.85."""
    blueprint = read_blueprint("end-of-course")
    assert 30 == blueprint.questions
    marked, abilities = marked_class(seed, blueprint, LEARNERS)
    assert LEARNERS == len(marked.marked)
    assert AIM <= spearman([one.share for one in marked.learners], abilities).value
