"""Lots for one form (hpteach/assessment/lots.py).  The bank is invented, but where it is the project's own."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.blueprint import blueprints, read_blueprint
from hpteach.assessment.difficulty import Difficulties, Measured, by_rule
from hpteach.assessment.lots import DIFFICULTY_WITHIN, FEW_QUESTIONS, SEEDS, SEEDS_IN_WEATHER, Urn, seeds_of
from hpteach.questions import read_bank
from tests import invented_class
from tests.invented_class import blueprint

SEED = st.integers(0, 2**64)


def urn(**of_bank: int) -> Urn:
    """What can be drawn for the invented blueprint."""
    return Urn(blueprint(), invented_class.bank(**of_bank), by_rule())


@given(SEED)
def test_form_takes_from_each_stratum_what_is_counted(seed: int) -> None:
    """Sections, levels and their numbers are those of the strata, sections in their order, and no question comes twice."""
    lots = urn()
    drawn = lots.draw(random.Random(seed))
    assert len(set(drawn.questions)) == len(drawn.questions) == sum(stratum.count for stratum in lots.strata)
    assert sorted(drawn.sections) == list(drawn.sections)
    level_of = {id: stratum.level for stratum in lots.strata for id in stratum.questions}
    wanted = Counter()
    for stratum in lots.strata:
        wanted[stratum.section, stratum.level] += stratum.count
    assert wanted == Counter((section, level_of[lots.ids[question]]) for section, question in zip(drawn.sections, drawn.questions))


@given(SEED)
def test_same_stream_draws_the_same(seed: int) -> None:
    """Lots follow from the stream alone."""
    assert urn().draw(random.Random(seed)) == urn().draw(random.Random(seed))


@given(SEED)
def test_seeds_are_places_in_the_pool(seed: int) -> None:
    """Each question's seed is one of as many as it has."""
    lots = urn()
    drawn = lots.draw(random.Random(seed))
    assert all(0 <= place < lots.seeds[question] for question, place in zip(drawn.questions, drawn.seeds))


def test_every_question_and_seed_comes_up() -> None:
    """In 400 forms nothing that fits is left undrawn, and none is drawn far more often than its share."""
    lots = urn(gauges=12, circuit=12)
    forms = [lots.draw(random.Random(number)) for number in range(400)]
    assert set(range(len(lots.ids))) == {question for form in forms for question in form.questions}
    assert set(range(SEEDS)) == {place for form in forms for place in form.seeds}


@pytest.mark.parametrize("name", blueprints())
def test_forms_of_a_shipped_blueprint_are_nearly_equally_hard_and_long(name: str) -> None:
    """Of 200 forms the easiest and the hardest differ by 0.03 at most in expected difficulty."""
    lots = Urn(read_blueprint(name), read_bank(), by_rule())
    forms = [lots.draw(random.Random(number)) for number in range(200)]
    found = [form.difficulty for form in forms]
    assert max(found) - min(found) <= 2.0 * DIFFICULTY_WITHIN + 1e-9
    marks = [form.marks for form in forms]
    assert max(marks) - min(marks) <= max(3.0, 0.15 * max(marks))


def test_difficulty_and_marks_are_those_of_the_questions() -> None:
    """The mean of the difficulties over the marks, and their sum."""
    questions = invented_class.bank()
    lots = Urn(blueprint(), questions, by_rule())
    drawn = lots.draw(random.Random(5))
    chosen = [questions.question(lots.ids[question]) for question in drawn.questions]
    marks = [len(question.parts) for question in chosen]
    assert pytest.approx(sum(marks)) == drawn.marks
    assert pytest.approx(sum(m * by_rule().of(question) for m, question in zip(marks, chosen)) / sum(marks)) == drawn.difficulty


def test_measured_difficulties_even_out_what_the_rule_does_not_know() -> None:
    """Half of the questions of a level prove far harder: forms take as many of them as others do."""
    questions = invented_class.bank(gauges=24, circuit=24)
    measured = Difficulties({id: Measured(1000.0, 0.8 if number % 4 < 2 else 0.3) for number, id in enumerate(questions.questions)})
    by_their_rule, by_answers = (Urn(blueprint(), questions, difficulties) for difficulties in (by_rule(), measured))

    def spread(lots: Urn) -> float:
        """By how much the forms differ when the answers count."""
        truly = []
        for number in range(100):
            drawn = lots.draw(random.Random(number))
            marks = [len(questions.question(lots.ids[one]).parts) for one in drawn.questions]
            truly.append(sum(m * measured.of(questions.question(lots.ids[one])) for m, one in zip(marks, drawn.questions)) / sum(marks))
        return max(truly) - min(truly)

    assert spread(by_answers) <= 2.0 * DIFFICULTY_WITHIN + 1e-9 < 0.4 < spread(by_their_rule)


def test_drawings_come_last_and_count_four_marks() -> None:
    """The end of the course has one drawing, the last question of its section, whose question is not asked besides."""
    paper = read_blueprint("end-of-course")
    lots = Urn(paper, read_bank(), by_rule())
    for number in range(50):
        drawn = lots.draw(random.Random(number))
        places = [place for place, drawing in enumerate(drawn.drawings) if drawing]
        assert 1 == len(places)
        section = drawn.sections[places[0]]
        assert 1 == section
        assert 2 == drawn.sections[places[0] + 1]
        assert len(set(drawn.questions)) == len(drawn.questions)


def test_questions_on_machines_in_weather_have_fewer_seeds_in_long_papers() -> None:
    """They take long to deal; in a quiz that draws from few questions they have as many as all others."""
    bank = read_bank()
    slow, quick = bank.question("cop-on-a-cold-day"), bank.question("read-a-gauge")
    assert [SEEDS_IN_WEATHER, SEEDS, SEEDS, SEEDS] == [
        seeds_of(slow, FEW_QUESTIONS + 1), seeds_of(slow, FEW_QUESTIONS), seeds_of(quick, FEW_QUESTIONS + 1), seeds_of(quick, 1),
    ]  # fmt: skip


def test_form_is_what_there_is_where_nothing_can_be_exchanged() -> None:
    """Four questions are asked of four: every form has them all, in an order of its own."""
    lots = Urn(blueprint('[[sections]]\ntitle = "All"\nquestions = 4\ntopics = ["gauges"]\n'), invented_class.bank(gauges=4), by_rule())
    forms = [lots.draw(random.Random(number)) for number in range(50)]
    assert {frozenset(range(4))} == {frozenset(form.questions) for form in forms}
    assert 24 == len({form.questions for form in forms} | {form.questions for form in (lots.draw(random.Random(number)) for number in range(50, 400))})
