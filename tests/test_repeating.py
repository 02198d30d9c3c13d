"""Which lesson to repeat after a mistake (hpteach/assessment/repeating.py)."""

import pytest

from hpteach.assessment.repeating import lesson_to_repeat
from tests import small_bank

BANK = small_bank.bank(
    small_bank.question("a", lesson="03"),
    small_bank.question("b", lesson="03"),
    small_bank.question("c", lesson="01"),
    small_bank.question("law", lesson="exam"),
    small_bank.question("d", lesson="05", mistakes=("thought",)),
    small_bank.question("e", lesson="04", mistakes=("thought",)),
    small_bank.question("predict-f", lesson="02", mistakes=("thought",)),
)


@pytest.mark.parametrize(
    ("questions", "mistake", "lesson"),
    [(["a", "b", "c"], "", "03"), (["a", "c"], "", "01"), (["law", "a"], "thought", "03"), (["law"], "thought", "04"), (["law"], "other", ""), (["law"], "", ""), ([], "", "")],
)
def test_lesson_is_the_one_of_most_questions(questions, mistake, lesson):
    """It is the lesson of most questions, else the first that foresees the mistake (predictions left out), else none."""
    assert lesson == lesson_to_repeat(BANK, questions, mistake)
