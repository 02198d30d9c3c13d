"""One judged answer as the record keeps it (hpteach/assessment/attempts.py)."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from hpteach.assessment.attempts import Attempt, attempt_of, written
from hpteach.errors import InputError
from hpteach.questions import check, deal, read_bank

TOLD = ("read-a-gauge", 1, "start", "00", 7, "SI", "absolute", "8 bar", False)


@pytest.fixture(scope="module")
def variant():
    return deal(read_bank().question("read-a-gauge"), 7, "IP")


def test_an_answer_is_kept_with_what_it_was_asked(variant):
    """An answer that could be read is kept with its question, numbers and verdict, and with the help that stood open."""
    part = variant.parts[0]
    wrong = next(mistake for mistake in part.mistakes)
    text = f"{wrong.value / 1e5:.6f} bar"
    found = attempt_of(variant, part.id, text, check(variant, text, part.id), hints=2, solution_seen=True)
    question = variant.question
    assert (question.id, question.version, question.topic, question.lesson, 7, "IP") == (
        found.question, found.version, found.topic, found.lesson, found.seed, found.system,
    )  # fmt: skip
    assert (part.id, text, False, wrong.id, 2, True) == (found.part, found.text, found.correct, found.mistake, found.hints, found.solution_seen)
    assert abs(datetime.now(UTC) - found.moment) < timedelta(minutes=5)


@pytest.mark.parametrize("text", ["no idea", "", "9" * 5000])
def test_what_cannot_be_read_is_no_try(variant, text):
    """An answer that could not be read is not kept."""
    part = variant.parts[0].id
    assert attempt_of(variant, part, text, check(variant, text, part)) is None


def test_a_long_answer_is_kept_short():
    """Of a very long answer only the beginning is kept."""
    variant = deal(read_bank().question("predict-which-coil"), 1)
    choice = variant.parts[0]
    found = attempt_of(variant, choice.id, choice.answer + " " * 500, check(variant, choice.answer, choice.id))
    assert (True, 200) == (found.correct, len(found.text))


def test_a_moment_is_written_in_utc():
    """Whatever the time zone, the moment that is kept is that of UTC."""
    there = timezone(timedelta(hours=-7))
    assert "2026-05-04T19:30:00.000Z" == written(datetime(2026, 5, 4, 12, 30, tzinfo=there))
    assert datetime(2026, 5, 4, 19, 30, tzinfo=UTC) == Attempt(*TOLD, at="2026-05-04T12:30:00-07:00").moment


@pytest.mark.parametrize("at", ["", "yesterday", "2026-13-01T00:00:00Z"])
def test_what_is_no_moment_is_refused(at):
    """A moment that is none is refused with the value and the form to write it in."""
    with pytest.raises(InputError, match="of an answer is not one: write it as 2026-05-04T12:00:00Z"):
        Attempt(*TOLD, at=at)


def test_nothing_that_names_a_person_is_kept():
    """What is kept of an answer is this and no more: no name, no machine."""
    assert {
        "question", "version", "topic", "lesson", "seed", "system", "part", "text", "correct", "mistake", "hints", "solution_seen", "at",
    } == set(Attempt.__dataclass_fields__)  # fmt: skip
