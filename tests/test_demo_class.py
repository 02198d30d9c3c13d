"""The invented class (hpteach/assessment/demo_class.py)."""

import pytest

from hpteach.assessment.answer_sheet import COLUMNS
from hpteach.assessment.demo_class import LEARNERS, demo_answers, demo_learners, demo_roster, demo_secret, simulated_question
from hpteach.assessment.roster import Learner
from hpteach.questions import check, deal
from tests import desk_class as desk


def test_everybody_in_it_is_called_invented():
    """Each learner says by the name that nobody is meant."""
    assert LEARNERS == len([one for one in demo_roster().learners if one.name.startswith("Invented learner ")])


def test_it_is_the_same_everywhere():
    """Roster and secret do not change from one run to the next."""
    assert (demo_roster(), demo_secret()) == (demo_roster(), demo_secret())
    assert [one.id for one in demo_learners(3)] == ["1", "2", "3"]
    assert Learner("24", "Invented learner 24") == demo_roster().learners[-1]


@pytest.mark.parametrize("id", ["cooling-cop", "read-a-gauge", "order-the-circuit", "state-in-the-vapour-line", "predict-gauge"])
@pytest.mark.parametrize("system", ["SI", "IP"])
def test_answers_are_judged_as_meant(id, system):
    """What an invented learner writes as right is right, and each of the mistakes is recognised by its id."""
    variant = deal(desk.bank().question(id), 7, system)
    for part in variant.parts:
        asked = simulated_question("key", variant, part, 0.4)
        assert check(variant, asked.right, part.id).correct
        assert [one.id for one in part.mistakes] == [check(variant, text, part.id).mistake for text in asked.wrong]


def test_every_part_has_a_row():
    """The rows are those of the answer sheet, one for each part, with points from 0 to 4 for a drawing."""
    forms = desk.papers().forms
    learners = [one.__class__(form.learner.id, one.ability) for one, form in zip(demo_learners(4), forms)]
    rows = list(demo_answers(forms, desk.store(), learners))
    assert {len(COLUMNS)} == set(map(len, rows))
    assert [row[2:5] for form in forms for row in desk.rows_of(form)] == [list(row[2:5]) for row in rows]
    assert {row[5] for row in rows if row[4] == "points"} <= {"0", "1", "2", "3", "4", ""}
