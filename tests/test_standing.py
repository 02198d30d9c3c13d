"""How a learner stands (hpteach/assessment/standing.py)."""

from datetime import timedelta

from hpteach.assessment.standing import MOST_SHOWN, standing
from hpteach.questions import check, deal, read_bank
from hpteach.questions.mistakes import WAYS
from tests.small_bank import MINUTE, NOON, answer, bank, question

GAUGE = "gauge_read_as_absolute"
ONE, TWO = question("one", mistakes=(GAUGE,)), question("two", level=2)
FROST, EXAM = question("frost-one", "frost", lesson="12", mistakes=(GAUGE,)), question("exam-one", "law", lesson="exam", mistakes=("of_the_law",))
GUESS = question("predict-it", mistakes=(GAUGE,))
BANK = bank(EXAM, FROST, ONE, TWO, GUESS)


def test_a_topic_counts_its_answers_and_questions():
    """Right and wrong answers, tried questions and those that are due are counted for each topic; topics stand in the order of the lessons."""
    attempts = [answer(ONE, False, GAUGE), answer(ONE), answer(TWO), answer(FROST, at=NOON - timedelta(days=2))]
    found = standing(BANK, attempts, NOON + MINUTE)
    assert ["gauges", "frost", "law"] == [one.topic for one in found.topics]
    gauges, frost, law = found.topics
    assert (2, 2, 2, 1, 1, 3) == (gauges.questions, gauges.tried, gauges.right, gauges.wrong, gauges.due, gauges.answers)
    assert (1, 1, 1, 0, 1) == (frost.questions, frost.tried, frost.right, frost.wrong, frost.due)
    assert (1, 0, 0, 0, 0, None) == (law.questions, law.tried, law.right, law.wrong, law.due, law.share_right)
    assert (4, 3, 2, 2 / 3) == (found.answers, found.right, found.due, gauges.share_right)


def test_predictions_are_no_tries():
    """A prediction counts for no topic, but the mistake that it showed is among the misunderstandings."""
    found = standing(BANK, [answer(GUESS, False, GAUGE)], NOON)
    assert (0, 1, [GAUGE]) == (found.answers, found.predictions, [one.id for one in found.misunderstandings])


def test_open_and_frequent_misunderstandings_come_first():
    """What is still open comes before what was put right, then what was made more often."""
    twice, once = question("a", mistakes=("made_twice",)), question("b", mistakes=("made_once", "put_right"))
    attempts = [answer(twice, False, "made_twice"), answer(twice, False, "made_twice"), answer(once, False, "put_right", seed=3)]
    attempts += [answer(once, True, seed=4, at=NOON + MINUTE), answer(once, False, "made_once", seed=5, at=NOON + 2 * MINUTE)]
    found = standing(bank(twice, once), attempts, NOON + 3 * MINUTE).misunderstandings
    assert [("made_twice", 2, False), ("made_once", 1, False), ("put_right", 1, True)] == [(one.id, one.times, one.put_right) for one in found]
    assert ("made twice", "a", NOON) == (found[0].words, found[0].question, found[0].last)


def test_a_known_way_is_corrected_by_its_sentence():
    """A named way has the sentence that fits every question."""
    found = standing(BANK, [answer(ONE, False, GAUGE)], NOON).misunderstandings[0]
    assert (WAYS[GAUGE].correction, "01") == (found.correction, found.lesson)


def test_other_mistakes_are_corrected_by_what_the_learner_was_told():
    """A mistake of one question has the correction of that question, with its numbers."""
    real = read_bank()
    for one in real.questions.values():
        variant = deal(one, 3)
        part, wrong = next(((part, wrong) for part in variant.parts for wrong in part.mistakes if part.kind == "choice" and wrong.id not in WAYS), (None, None))
        if wrong:
            break
    attempt = answer(one, False, wrong.id, seed=3, part=part.id)
    attempt = type(attempt)(**{**vars(attempt), "text": wrong.value})
    assert wrong.id == check(variant, wrong.value, part.id).mistake
    (found,) = standing(real, [attempt], NOON).misunderstandings
    assert wrong.correction == found.correction and one.lesson == found.lesson


def test_a_correction_that_cannot_be_found_is_left_out():
    """A part that the question no longer has, or a text that is judged otherwise today, has no correction, and is told all the same."""
    attempts = [answer(TWO, False, "of_old", part="no-such-part"), answer(TWO, False, "of_yore", part="absolute", seed=2)]
    assert [("of_old", ""), ("of_yore", "")] == sorted((one.id, one.correction) for one in standing(BANK, attempts, NOON).misunderstandings)


def test_the_lesson_to_repeat_is_one_of_the_course():
    """For a question of the exam the first lesson whose questions foresee the mistake is named, or none."""
    found = standing(BANK, [answer(EXAM, False, GAUGE), answer(EXAM, False, "of_the_law", seed=2)], NOON).misunderstandings
    assert {GAUGE: "01", "of_the_law": ""} == {one.id: one.lesson for one in found}


def test_what_the_bank_no_longer_has_counts_for_nothing():
    """Answers to a question that is gone are left out of everything."""
    found = standing(BANK, [answer(question("gone"), False, "lost")], NOON)
    assert (0, ()) == (found.answers, found.misunderstandings)


def test_only_so_many_misunderstandings_are_told():
    """The list is short enough to be read."""
    many = question("many", mistakes=tuple(f"mistake_{number}" for number in range(12)))
    found = standing(bank(many), [answer(many, False, f"mistake_{number}", seed=number) for number in range(12)], NOON)
    assert MOST_SHOWN == len(found.misunderstandings)


def test_it_prints_with_the_misunderstandings_in_words():
    """In a terminal the standing is a table of topics, and below it a line for each misunderstanding, where there are any."""
    empty, some = str(standing(BANK, [], NOON)), str(standing(BANK, [answer(ONE, False, GAUGE), answer(ONE, False, GAUGE, seed=2)], NOON))
    assert "Thoughts that went astray" not in empty and "Where you stand" in empty and "0 of 1" in some
    assert f"Gauge read as absolute (twice, still open): {WAYS[GAUGE].correction} See lesson 01." == some.splitlines()[-1]
    assert empty == repr(standing(BANK, [], NOON))
