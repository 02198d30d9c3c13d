"""A form for each learner (hpteach/assessment/forms.py).  Bank, blueprint and class are invented."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hpteach.assessment import variant_store
from hpteach.assessment.blueprint import read_blueprint
from hpteach.assessment.difficulty import Difficulties, Measured
from hpteach.assessment.form_codes import read_form_code
from hpteach.assessment.forms import COMPARING, DRAWING, MOST_SPREAD, deal_forms, iter_forms
from hpteach.assessment.roster import Learner, roster_from
from hpteach.assessment.secret import Secret
from hpteach.assessment.tabular import sheet_from_bytes
from hpteach.assessment.variant_store import DEALING, VariantStore, Wanted
from hpteach.errors import DataError, InputError
from hpteach.questions import deal, read_bank
from tests import invented_class, small_bank
from tests.invented_class import SECRET, blueprint, learners

BANK = invented_class.bank(gauges=12, circuit=12)
STORE = VariantStore(BANK)
QUIZ = blueprint()

secrets = st.binary(min_size=16, max_size=32).filter(lambda key: len(set(key)) >= 8).map(Secret)
classes = st.integers(1, 12).map(learners)


def forms(of=None, secret: Secret = SECRET, quiz=QUIZ, **other: object):
    """The forms of a class of six, or of others."""
    return deal_forms(learners(6) if of is None else of, quiz, BANK, secret, store=STORE, workers=1, **other).forms


def shape(form) -> Counter:
    """How many questions of each section and level a form has."""
    return Counter((one.section, BANK.question(one.question).level) for one in form.questions)


# Equal make, different questions ------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(classes, secrets)
def test_all_forms_have_equal_sections_and_levels(of: list[Learner], secret: Secret) -> None:
    """Whatever class and secret: the same number of questions of each section and level, numbered from 1, and none twice."""
    dealt = forms(of, secret)
    assert of == [form.learner for form in dealt]
    assert {frozenset(shape(dealt[0]).items())} == {frozenset(shape(form).items()) for form in dealt}
    assert {"Gauges": 4, "All": 3} == Counter(one.section for one in dealt[0].questions)
    assert {1: 1, 2: 2} == Counter(BANK.question(one.question).level for one in dealt[0].questions if one.section == "All")
    for form in dealt:
        assert list(range(1, 8)) == [one.number for one in form.questions]
        assert 7 == len({one.question for one in form.questions})


@settings(max_examples=40, deadline=None)
@given(classes, secrets)
def test_no_two_learners_have_the_same_form_or_code(of: list[Learner], secret: Secret) -> None:
    """Codes are well formed and all different, and so is what is asked."""
    dealt = forms(of, secret)
    assert [form.code for form in dealt] == [read_form_code(form.code) for form in dealt]
    assert len(of) == len({form.code for form in dealt})
    asked = {frozenset(STORE.fingerprint(Wanted(one.question, one.seed, one.system)) for one in form.questions) for form in dealt}
    assert len(of) == len(asked)


@settings(max_examples=30, deadline=None)
@given(st.permutations(learners(8)), st.integers(1, 8))
def test_neither_order_nor_the_rest_of_the_class_matters(order: list[Learner], count: int) -> None:
    """A learner keeps the form whoever else is in the class, in whatever order."""
    known = {form.learner.id: form for form in forms(learners(8))}
    assert [known[learner.id] for learner in order[:count]] == list(forms(order[:count]))


@settings(max_examples=40, deadline=None)
@given(classes, secrets)
def test_forms_are_nearly_equally_hard(of: list[Learner], secret: Secret) -> None:
    """The expected difficulties of a class differ by 0.03 at most."""
    dealt = deal_forms(of, QUIZ, BANK, secret, store=STORE, workers=1)
    found = [form.difficulty for form in dealt.forms]
    assert pytest.approx(max(found) - min(found)) == dealt.spread
    assert dealt.spread <= MOST_SPREAD + 1e-9
    assert "" == dealt.notice


# What a form follows from -------------------------------------------------------------


def test_same_class_gets_the_same_forms_again() -> None:
    """With a store of its own, too."""
    assert forms() == deal_forms(learners(6), QUIZ, BANK, SECRET, workers=1).forms


@pytest.mark.parametrize(
    "other",
    [{"secret": Secret(bytes(range(1, 17)))}, {"quiz": replace(QUIZ, edition=2)}, {"quiz": replace(QUIZ, id="other")}],
    ids=["secret", "edition", "blueprint"],
)
def test_other_secret_edition_or_blueprint_deals_other_forms(other: dict) -> None:
    """No code and no seed stays."""
    first, second = forms(), forms(**other)
    assert set() == {form.code for form in first} & {form.code for form in second}
    assert set() == {one.seed for form in first for one in form.questions} & {one.seed for form in second for one in form.questions}


def test_id_counts_however_it_is_spelled() -> None:
    """Case and blanks of an id do not matter, nor do name and group."""
    plain, other = forms([Learner("ab12", "Ada")])[0], forms([Learner(" AB 12", "Ben", "A")])[0]
    assert (plain.code, plain.questions) == (other.code, other.questions)


def test_changed_question_gets_other_seeds() -> None:
    """A new version of a question is dealt with other numbers."""
    changed = small_bank.bank(*(replace(question, version=2) for question in BANK.questions.values()))
    first, second = forms()[0], deal_forms(learners(1), QUIZ, changed, SECRET, workers=1).forms[0]
    assert [one.question for one in first.questions] == [one.question for one in second.questions]
    assert {2} == {one.version for one in second.questions}
    assert set() == {one.seed for one in first.questions} & {one.seed for one in second.questions}


def test_seeds_are_no_guess() -> None:
    """They are large numbers of the secret: nobody finds a variant by trying small seeds."""
    assert all(2**32 < one.seed < 2**48 for form in forms() for one in form.questions)


def test_units_are_those_of_the_learner() -> None:
    """Where the blueprint leaves them to the roster."""
    dealt = forms(learners(6))
    assert ["SI", "SI", "IP", "SI", "SI", "IP"] == [form.questions[0].system for form in dealt]
    assert all(1 == len({one.system for one in form.questions}) for form in dealt)
    assert {"IP"} == {one.system for form in forms(quiz=replace(QUIZ, units="IP")) for one in form.questions}


def test_difficulties_of_an_earlier_class_are_reckoned_with() -> None:
    """The forms say how hard they are expected to be by them."""
    hard = Difficulties({id: Measured(1e6, 0.9) for id in BANK.questions})
    assert {0.9} == {round(form.difficulty, 3) for form in forms(difficulties=hard)}


# Clashes and refusals -----------------------------------------------------------------


def reading(id: str, ways: int):
    """A question that reads in so many ways, whatever its seed."""
    question = small_bank.question(id)
    (first, draw), *others = question.draws.items()
    ways_of = {name: replace(one, texts={system: texts[:1] for system, texts in one.texts.items()}) for name, one in others}
    return replace(question, draws={first: replace(draw, texts={system: texts[:ways] for system, texts in draw.texts.items()}), **ways_of})


ONE_QUESTION = blueprint('[[sections]]\ntitle = "All"\nquestions = 1\ntopics = ["gauges"]\n')


def test_learners_who_draw_the_same_form_are_told_apart() -> None:
    """Three learners, three ways in which the only question reads: each gets another, whoever comes first in the roster."""
    bank = small_bank.bank(reading("only", 3))
    class_of = [Learner(str(number)) for number in range(3)]
    by_order = []
    for order in itertools.permutations(class_of):
        store = VariantStore(bank)
        dealt = deal_forms(order, ONE_QUESTION, bank, SECRET, store=store, workers=1).forms
        assert 3 == len({store.variant(one.questions[0].question, one.questions[0].seed, "SI").prompt for one in dealt})
        by_order.append({form.learner.id: form for form in dealt})
    assert all(by_order[0] == other for other in by_order)


def test_class_of_more_learners_than_forms_is_refused() -> None:
    """Where nothing different is left, it is said for how many learners there was."""
    bank = small_bank.bank(reading("only", 3))
    with pytest.raises(InputError, match="quiz: after 3 of 4 learners there is hardly a form left that nobody has yet: deal to fewer learners"):
        deal_forms([Learner(str(number)) for number in range(4)], ONE_QUESTION, bank, SECRET, workers=1)


def test_class_without_learners_or_with_an_id_twice_is_refused() -> None:
    """A roster sees to that; a list of learners is looked at here."""
    with pytest.raises(InputError, match="there is no learner to deal a form to"):
        forms([])
    with pytest.raises(InputError, match="two learners have the id 'A 1'"):
        forms([Learner("a1"), Learner("A 1")])


def test_roster_is_dealt_to_as_it_is_read() -> None:
    """In its order."""
    roster = roster_from(sheet_from_bytes(b"id,name\n9,Ada\n7,Ben\n", "class.csv"))
    assert ["9", "7"] == [form.learner.id for form in forms(roster)]


def test_unfit_variants_are_left_out_and_told(monkeypatch) -> None:
    """The next seed of the question takes their place; the notice says how many and why."""
    bad = {one.seed for form in forms() for one in form.questions if one.number == 1}
    monkeypatch.setattr(variant_store, "deal", lambda question, seed, system: _refused() if seed in bad else deal(question, seed, system))
    dealt = deal_forms(learners(6), QUIZ, BANK, SECRET, workers=1)
    assert set() == bad & {one.seed for form in dealt.forms for one in form.questions}
    assert [[one.question for one in form.questions] for form in forms()] == [[one.question for one in form.questions] for form in dealt.forms]
    assert dealt.notice.startswith(f"{len(bad)} variants were not fit for a paper and were left out, the first because of: ")


def test_question_without_any_fit_variant_is_refused(monkeypatch) -> None:
    """It is named, and what to do."""
    monkeypatch.setattr(variant_store, "deal", lambda *_: _refused())
    with pytest.raises(DataError, match="no variant of a question is fit for a paper: .*it cannot be solved; mend the question or take it out of the bank"):
        deal_forms(learners(1), QUIZ, BANK, SECRET, workers=1)


def _refused():
    raise DataError("it cannot be solved")


def test_forms_that_cannot_be_made_equally_hard_are_told() -> None:
    """An easy and a hard question that read in one way each are all there is for two learners: the spread is measured and said."""
    unequal = Difficulties({"easy": Measured(1e6, 0.1), "hard": Measured(1e6, 0.9)})
    hard = replace(reading("hard", 1), prompt=reading("hard", 1).prompt + " Look twice.")
    dealt = deal_forms(learners(2), ONE_QUESTION, small_bank.bank(reading("easy", 1), hard), SECRET, difficulties=unequal, workers=1)
    assert pytest.approx(0.8, abs=1e-3) == dealt.spread
    assert dealt.notice.startswith("The forms differ by 0.800 in expected difficulty, more than 0.03")


# Size ---------------------------------------------------------------------------------


def test_forms_one_by_one_are_those_of_the_class() -> None:
    """`iter_forms` gives what `deal_forms` holds; what is done is told, in the end of all."""
    told = []
    one_by_one = list(iter_forms(learners(6), QUIZ, BANK, SECRET, workers=1, told=lambda *given: told.append(given)))
    assert list(forms()) == one_by_one
    assert [(DRAWING, 6, 6), (COMPARING, 6, 6)] == [told[0], told[-1]]
    what, done, of = told[-2]
    assert (DEALING, done) == (what, of)


def test_large_class_is_dealt_one_by_one() -> None:
    """Two thousand forms, all different, from a store that holds each variant once."""
    store = VariantStore(BANK)
    codes, seen = set(), Counter()
    for form in iter_forms(learners(2000), QUIZ, BANK, SECRET, store=store, workers=1):
        codes.add(form.code)
        seen.update(one.question for one in form.questions)
    assert 2000 == len(codes)
    assert set(BANK.questions) >= set(seen)
    assert len(store._variants) <= 16 * len(BANK.questions) * 2


def test_paper_of_the_whole_course_is_dealt_from_the_bank_of_the_project() -> None:
    """Three learners: thirty questions each, one of them a drawing, every answer of the key judged right by the store."""
    bank = read_bank()
    dealt = deal_forms(learners(3), read_blueprint("end-of-course"), bank, SECRET, workers=1)
    assert [30, 30, 30] == [len(form.questions) for form in dealt.forms]
    assert [1, 1, 1] == [sum(one.drawing for one in form.questions) for form in dealt.forms]
    assert dealt.spread <= MOST_SPREAD + 1e-9
    for form in dealt.forms:
        for one in form.questions:
            assert one.version == dealt.store.variant(one.question, one.seed, one.system).question.version
