"""Which questions lend their cycle to a drawing task (hpteach/assessment/drawing_tasks.py)."""

from __future__ import annotations

from itertools import combinations

import pytest

from hpteach.assessment.drawing_tasks import DRAWING_MARKS, can_be_drawn
from hpteach.questions import deal, read_bank

DRAWABLE = [question for question in read_bank().questions.values() if can_be_drawn(question)]


def test_enough_questions_can_be_drawn() -> None:
    """Thirty questions and more lend their cycle, from the lessons on the charts and on cooling and heating among others."""
    assert len(DRAWABLE) >= 30
    assert {"03", "04", "05", "06"} <= {question.lesson for question in DRAWABLE}


@pytest.mark.parametrize("question", DRAWABLE, ids=lambda question: question.id)
def test_points_of_a_drawn_cycle_lie_apart(question) -> None:
    """Each such question deals a cycle whose four points differ in pressure by a tenth or in enthalpy by 2 kJ/kg, so that each can be marked by itself."""
    for seed in range(3):
        points = [deal(question, seed).cycle.point(label) for label in ("1", "2", "3", "4")]
        for one, other in combinations(points, 2):
            apart = abs(one.pressure / other.pressure - 1.0) > 0.1 or abs(one.enthalpy - other.enthalpy) > 2e3
            assert apart, (seed, one, other)
    assert DRAWING_MARKS == len(points)


@pytest.mark.parametrize("why", ["compare", "read_from", "no cycle"])
def test_other_questions_are_left_out(why: str) -> None:
    """A question with two cycles, one that is answered from a chart, and one without a cycle lend none."""
    holds = {
        "compare": lambda question: bool(question.compare) and question.has_cycle,
        "read_from": lambda question: any(part.read_from for part in question.parts),
        "no cycle": lambda question: not question.has_cycle,
    }[why]
    found = [question for question in read_bank().questions.values() if holds(question)]
    assert found and not any(map(can_be_drawn, found))
