"""A picture of a question as widgets."""

from __future__ import annotations

import pytest

from hpteach.errors import LimitError
from hpteach.panels import question_picture
from hpteach.panels.question_picture import asked_widgets, instead, solution_widgets
from hpteach.questions import deal, read_bank

BANK = read_bank()


def test_a_solution_has_its_picture_and_the_same_in_words() -> None:
    """The caption stands below the picture, and the sentences can be unfolded."""
    box, caption = solution_widgets(deal(BANK.question("cooling-cop"), 5))
    picture = box.children[0]
    assert picture.value.startswith(b"\x89PNG") and "hpteach-scrolls" in box._dom_classes
    assert "<details>" in caption.value and 4 == caption.value.count("<p>Point ")


def test_a_dense_screen_gets_more_pixels() -> None:
    """What the browser says of its screen makes the picture finer, and leaves what it shows."""
    picture = solution_widgets(deal(BANK.question("cooling-cop"), 5))[0].children[0]
    before = picture.width
    picture.density = 2.0
    assert picture.width > 1.5 * before and picture.value.startswith(b"\x89PNG")


def test_a_picture_that_is_refused_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    """The solution stays in words, and a sentence stands in place of the picture."""

    def refuse(variant: object) -> None:
        raise LimitError("no such state: use a lower pressure")

    monkeypatch.setattr(question_picture, "solution_picture", refuse)
    (line,) = solution_widgets(deal(BANK.question("cooling-cop"), 5))
    assert "There is no picture: no such state" in line.value


def test_a_question_without_a_picture_has_none() -> None:
    """Neither for the prompt nor for the solution."""
    variant = deal(BANK.question("read-a-gauge"), 5)
    assert ([], []) == (asked_widgets(variant, BANK), solution_widgets(variant))


def test_another_question_is_offered_for_a_chart_that_cannot_be_seen() -> None:
    """It is of the same topic, needs no chart, and is a question to practise where there is one."""
    said = instead(BANK.question("read-four-enthalpies"), BANK)
    offered = next(question for question in BANK.questions.values() if f"({question.id})" in said)
    assert "state-points" == offered.topic and offered.title in said and not offered.id.startswith("predict-")
    alone = read_bank().__class__({"read-four-enthalpies": BANK.question("read-four-enthalpies")})
    assert instead(BANK.question("read-four-enthalpies"), alone).endswith("Leave this question out.")


def test_in_an_exam_no_other_question_is_offered() -> None:
    """A chart in an exam says what to do where it cannot be seen, and names no other question."""
    variant = deal(BANK.question("read-four-enthalpies"), 5)
    practice, exam = ("".join(getattr(one, "value", "") for one in asked_widgets(variant, BANK, exam=exam) if hasattr(one, "value")) for exam in (False, True))
    assert (True, False) == ("instead" in practice, "instead" in exam)
    assert "tell your instructor" in exam
