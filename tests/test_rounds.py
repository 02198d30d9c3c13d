"""Rounds and boxes (hpteach/assessment/rounds.py)."""

from datetime import timedelta

import pytest

from hpteach.assessment.rounds import HELPED, LAST_BOX, RIGHT, WRONG, boxes_of, foreseen, interval, practised, rounds_of
from hpteach.questions import read_bank
from tests.small_bank import MINUTE, NOON, answer, bank, question

GAUGE, ORDER = "gauge_read_as_absolute", "coils_swapped"
ONE = question("one", mistakes=(GAUGE, ORDER))
TWO = question("two", mistakes=(GAUGE,))
THREE = question("three")
BANK = bank(ONE, TWO, THREE)


def at(minutes):
    return NOON + minutes * MINUTE


@pytest.mark.parametrize(
    ("tries", "outcome"),
    [
        ([(True, {})], RIGHT),
        ([(False, {})], WRONG),
        ([(False, {}), (True, {})], WRONG),
        ([(True, {}), (False, {})], RIGHT),
        ([(True, {"hints": 1})], HELPED),
        ([(True, {"solution_seen": True})], WRONG),
        ([(True, {}), (True, {"part": "second"})], RIGHT),
        ([(True, {}), (False, {"part": "second"})], WRONG),
        ([(True, {}), (True, {"part": "second", "hints": 2})], HELPED),
        ([(True, {}), (True, {"solution_seen": True, "hints": 3})], RIGHT),
    ],
)
def test_the_first_try_of_each_part_decides(tries, outcome):
    """A round is right where each part was right at the first try without help, helped with a hint, and wrong otherwise."""
    (found,) = rounds_of([answer(ONE, correct, at=at(number), **other) for number, (correct, other) in enumerate(tries)])
    assert (outcome, "one", 1, at(len(tries) - 1)) == (found.outcome, found.question, found.seed, found.ended)


def test_other_numbers_and_a_long_break_begin_a_round():
    """Other numbers are another round, and so are the same ones after more than an hour; two questions may be answered in turns."""
    attempts = [answer(ONE, False, at=at(0)), answer(TWO, at=at(1)), answer(ONE, at=at(2)), answer(ONE, seed=2, at=at(3)), answer(ONE, at=at(63)), answer(ONE, at=at(62 + 62))]
    assert [("one", 1, WRONG), ("two", 1, RIGHT), ("one", 2, RIGHT), ("one", 1, RIGHT), ("one", 1, RIGHT)] == [
        (one.question, one.seed, one.outcome) for one in rounds_of(attempts)
    ]


def test_every_mistake_of_a_round_counts():
    """A mistake of any try belongs to the round, each once."""
    (found,) = rounds_of([answer(ONE, False, GAUGE), answer(ONE, False, ORDER), answer(ONE, False, GAUGE), answer(ONE)])
    assert (GAUGE, ORDER) == found.mistakes


def test_right_rounds_move_a_question_up():
    """Each right round moves a question up a box and lets it rest three times as long, up to the last box."""
    attempts, rests = [], []
    for number in range(7):
        attempts.append(answer(ONE, seed=number, at=at(100 * number)))
        found = boxes_of(BANK, attempts, at(10_000)).questions["one"]
        rests.append((found.box, (found.due - found.last).days))
    assert [(1, 1), (2, 3), (3, 9), (4, 27), (5, 81), (5, 81), (5, 81)] == rests
    assert 5 == LAST_BOX


def test_a_wrong_round_brings_a_question_back():
    """After a wrong round a question is due at once, however far it had come; after a helped one it stays, but rests a day at least."""
    far = [answer(ONE, seed=number, at=at(number)) for number in range(3)]
    wrong = boxes_of(BANK, [*far, answer(ONE, False, seed=9, at=at(9))], at(10)).questions["one"]
    helped = boxes_of(BANK, [*far, answer(ONE, seed=9, at=at(9), hints=1)], at(10)).questions["one"]
    first = boxes_of(BANK, [answer(ONE, hints=1)], at(10)).questions["one"]
    assert [(0, at(9)), (3, at(9)), (1, NOON)] == [(one.box, one.last) for one in (wrong, helped, first)]
    assert wrong.due == wrong.last


def test_a_mistake_moves_up_with_whatever_foresees_it():
    """A mistake lies in box 0 when it was made, and moves up with every right round of a question that foresees it, not with others."""
    made = [answer(ONE, False, GAUGE, at=at(0))]

    def box(*more):
        return boxes_of(BANK, [*made, *more], at(500)).mistakes[GAUGE].box

    assert 0 == box()
    assert 0 == box(answer(THREE, at=at(1)))
    assert 1 == box(answer(TWO, at=at(1)))
    assert 2 == box(answer(TWO, at=at(1)), answer(ONE, seed=2, at=at(2)))
    assert 1 == box(answer(TWO, at=at(1)), answer(ONE, False, ORDER, seed=2, at=at(2)))
    assert 0 == box(answer(TWO, at=at(1)), answer(TWO, False, GAUGE, seed=2, at=at(2)))
    assert 1 == box(answer(TWO, at=at(1), hints=1))


def test_a_wrong_round_without_the_mistake_lets_it_wait_anew():
    """A question that foresees a mistake and goes wrong otherwise leaves the mistake in its box, and counts as its last round."""
    found = boxes_of(BANK, [answer(ONE, False, GAUGE, at=at(0)), answer(TWO, False, at=at(5))], at(9)).mistakes[GAUGE]
    assert (0, at(5), 1, "one") == (found.box, found.last, found.round, found.question)


def test_predictions_move_no_box_but_their_mistakes_count():
    """A prediction is no try, but a mistake that it showed is to be put right."""
    guess = question("predict-it", mistakes=(GAUGE,))
    found = boxes_of(bank(guess, TWO), [answer(guess, False, GAUGE)], at(1))
    assert ([], [(GAUGE, 0)]) == (list(found.questions), [(one.id, one.box) for one in found.mistakes.values()])
    assert [TWO] == list(practised(bank(guess, TWO)))


def test_another_version_and_what_is_gone_move_no_box():
    """Answers to an earlier version of a question, or to one that the bank no longer has, leave it as not tried."""
    old, gone = question("one", version=ONE.version + 1), question("gone")
    assert {} == boxes_of(BANK, [answer(old), answer(gone)], at(1)).questions


def test_a_clock_that_was_set_back_keeps_nothing_away():
    """An answer that claims to be of next year rests from now on, not from next year."""
    found = boxes_of(BANK, [answer(ONE, at=NOON + timedelta(days=365))], NOON).questions["one"]
    assert (NOON, NOON + timedelta(days=1)) == (found.last, found.due)


def test_intervals_grow():
    """Each box rests longer than the one below it."""
    rests = [interval(box) for box in range(LAST_BOX + 1)]
    assert sorted(set(rests)) == rests


def test_every_question_with_named_mistakes_foresees_them():
    """What a question of the bank foresees are the mistakes that its file names, and the known thoughts about an order."""
    found = read_bank()
    assert {"flow_taken_backwards", "coils_swapped"} <= foreseen(found.question("order-the-circuit"))
    named = [one for one in practised(found) if any(part.mistakes for part in one.parts)]
    assert len(named) > 30
    for one in named:
        assert {mistake.id for part in one.parts for mistake in part.mistakes} <= foreseen(one)
