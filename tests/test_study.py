"""The next question (hpteach/assessment/study.py): what is asked again, what is new, and that nothing starves."""

from collections import Counter
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hpteach.assessment.rounds import boxes_of, foreseen, practised
from hpteach.assessment.study import AHEAD, APART, NEW, REPAIR, REVIEW, Restriction, Suggestion, next_question
from hpteach.errors import InputError, UnknownNameError
from hpteach.questions import read_bank
from tests.small_bank import MINUTE, NOON, answer, answered, bank, question

DAY = timedelta(days=1)
MISTAKES = ("gauge_read_as_absolute", "coils_swapped", "subcooling_ignored")
SOON = 2 * APART
"""Suggestions within which a mistake is met again, where nothing else is to be put right."""

questions = st.builds(
    question,
    id=st.integers(0, 99).map("q-{}".format),
    topic=st.sampled_from(("gauges", "circuit", "frost")),
    lesson=st.sampled_from(("00", "01", "02", "05", "exam")),
    level=st.integers(1, 3),
    mistakes=st.lists(st.sampled_from(MISTAKES), unique=True, max_size=2).map(tuple),
)
banks = st.lists(questions, min_size=1, max_size=12, unique_by=lambda one: one.id).map(lambda found: bank(*found))


def walk(found, many, how, *, gap=MINUTE, start=NOON, attempts=(), only=None):
    """The suggestions to a learner who answers each; `how(number, suggestion)` gives right or wrong and the mistake."""
    attempts, asked = list(attempts), []
    for number in range(many):
        now = start + number * gap
        asked.append(next_question(found, attempts, now, **({"only": only} if only else {})))
        attempts.append(answered(found, asked[-1], *how(number, asked[-1]), at=now))
    return asked, attempts


def right(number, suggestion):
    return True, None


@given(banks, st.lists(st.tuples(st.booleans(), st.sampled_from((None, *MISTAKES)), st.integers(0, 4000)), max_size=25))
@settings(max_examples=60)
def test_something_is_always_suggested(found, results):
    """Whatever was answered and whenever, there is a question of the bank, with numbers not had before, and a sentence why."""
    attempts, now = [], NOON
    for correct, mistake, minutes in results:
        suggestion = next_question(found, attempts, now)
        assert suggestion.question in found.questions and suggestion.kind in (REPAIR, REVIEW, NEW, AHEAD)
        assert suggestion.why.endswith(".") and suggestion.why[0].isupper() and "_" not in suggestion.why
        assert suggestion.seed not in {one.seed for one in attempts if one.question == suggestion.question}
        assert suggestion == next_question(found, tuple(attempts), now)
        attempts.append(answered(found, suggestion, correct, None if correct else mistake, at=now))
        now += minutes * MINUTE


@given(banks, st.lists(st.booleans(), min_size=12, max_size=30))
@settings(max_examples=60)
def test_nothing_is_repeated_at_once(found, results):
    """Between two rounds of a question lie three others, or as many as there are."""
    asked, _ = walk(found, len(results), lambda number, _: (results[number], MISTAKES[0] if not results[number] else None))
    apart = min(APART, len(found.questions) - 1)
    for number, one in enumerate(asked):
        before = asked[max(0, number - apart) : number]
        assert one.question not in {other.question for other in before}


@given(banks, st.integers(0, 10))
@settings(max_examples=60)
def test_a_mistake_is_soon_met_again(found, when):
    """Where a learner makes one mistake and is right otherwise, a question that needs the same thought is asked within a few suggestions."""

    def one_mistake(number, suggestion):
        ids = sorted(foreseen(found.question(suggestion.question)))
        return (False, ids[0]) if number == when and ids else (True, None)

    asked, attempts = walk(found, when + 1 + SOON, one_mistake)
    made = next((one for one in attempts if one.mistake), None)
    if made:
        assert any(made.mistake in foreseen(found.question(one.question)) for one in asked[when + 1 :])


@given(banks, st.integers(0, 10))
@settings(max_examples=40)
def test_a_wrong_answer_is_soon_asked_again(found, when):
    """Where no mistake was recognised, the same question comes back within a few suggestions, with other numbers."""
    asked, _ = walk(found, when + 1 + SOON, lambda number, _: (number != when, None))
    again = [one for one in asked[when + 1 :] if one.question == asked[when].question]
    assert again and again[0].seed != asked[when].seed


@given(banks, st.lists(st.booleans(), min_size=45, max_size=45))
@settings(max_examples=40)
def test_every_mistake_is_met_again_however_many_there_are(found, results):
    """A learner who makes many mistakes meets each again: within three suggestions for everything that waits, and a few more."""

    def often_wrong(number, suggestion):
        ids = sorted(foreseen(found.question(suggestion.question)))
        return (False, ids[number % len(ids)]) if results[number] and ids else (not results[number], None)

    _, attempts = walk(found, len(results), often_wrong)
    for number, one in enumerate(attempts):
        waiting = len({other.mistake for other in attempts[:number] if other.mistake}) + len({other.question for other in attempts[:number]})
        within = attempts[number + 1 : number + 1 + 3 * (waiting + 1) + SOON]
        if one.mistake and number + 3 * (waiting + 1) + SOON < len(attempts):
            assert any(one.mistake in foreseen(found.question(other.question)) for other in within)


@given(banks)
@settings(max_examples=40)
def test_every_question_comes_up_for_who_is_always_right(found):
    """Who is always right sees the whole bank in as many suggestions as it has questions, if he answers all on one day."""
    asked, _ = walk(found, len(found.questions), right)
    assert set(found.questions) == {one.question for one in asked}


def test_the_whole_bank_comes_up_in_easy_steps():
    """Of the project's own bank a learner who is always right sees every question once before any twice; lessons open one after the other."""
    found = read_bank()
    asked, _ = walk(found, len(practised(found)), right)
    assert {1} == set(Counter(one.question for one in asked).values())
    lessons = [found.question(one.question).lesson for one in asked]
    first = {lesson: lessons.index(lesson) for lesson in set(lessons)}
    assert sorted(first) == sorted(first, key=first.get)
    assert "00" == lessons[0]


def test_who_is_always_wrong_still_meets_something_new():
    """At least every third suggestion is new as long as there is something new, and at least every third puts right what went wrong."""
    found = bank(*(question(f"q-{number:02}", mistakes=MISTAKES[:1]) for number in range(30)))
    asked, _ = walk(found, 45, lambda *_: (False, MISTAKES[0]))
    kinds = [one.kind for one in asked]
    for number in range(3, 42):
        three = kinds[number : number + 3]
        assert REPAIR in three and (NEW in three or 30 == len({one.question for one in asked[:number]}))


def test_reviews_do_not_starve_what_is_new():
    """With a whole course due for review, every third suggestion is new, and every third a review."""
    known = [question(f"known-{number:02}") for number in range(40)]
    found = bank(*known, *(question(f"new-{number:02}") for number in range(20)))
    before = [answer(one, at=NOON + number * MINUTE) for number, one in enumerate(known)]
    asked, _ = walk(found, 30, right, start=NOON + 5 * DAY, attempts=before)
    kinds = Counter(one.kind for one in asked)
    assert kinds[NEW] >= 10 and kinds[REVIEW] >= 10


# Which of them ------------------------------------------------------------------------


def test_a_mistake_is_met_in_another_question():
    """A mistake is asked again in another question that foresees it, and only then is its own question repeated."""
    here, there, other = question("here", mistakes=MISTAKES[:1]), question("there", mistakes=MISTAKES[:1]), [question(f"other-{n}") for n in range(6)]
    found = bank(here, there, *other)
    attempts = [answer(there), answer(here, False, MISTAKES[0]), *(answer(one, at=NOON + MINUTE) for one in other)]
    asked, _ = walk(found, 9, right, start=NOON + 2 * MINUTE, attempts=attempts)
    repairs = [one for one in asked if one.kind == REPAIR]
    assert ["there", "here"] == [one.question for one in repairs]
    assert "In “Title of here” a thought of yours went astray earlier today. The same thought is needed here." == repairs[0].why
    assert "Your last round of this question was not right. Here it is again, with other numbers." == repairs[1].why


def test_a_mistake_is_not_met_in_what_the_learner_has_not_reached():
    """A question of a lesson far ahead is not used to put a mistake right: then its own question comes again."""
    here, far = question("here", mistakes=MISTAKES[:1]), question("far", lesson="14", mistakes=MISTAKES[:1])
    found = bank(here, far, *(question(f"other-{number}", lesson=f"0{1 + number // 3}") for number in range(9)))
    asked, _ = walk(found, 7, lambda number, one: (number > 0, None if number else MISTAKES[0]))
    assert "here" == asked[0].question
    assert ["here"] == [one.question for one in asked if one.kind == REPAIR][:1]


def test_a_review_comes_when_it_is_due():
    """What was right is met again after a day, then after three; the longest overdue in its own interval comes first."""
    one, two = question("one"), question("two")
    found = bank(one, two, question("three"), question("four"))
    attempts = [answer(each, at=NOON) for each in found.questions.values()] + [answer(one, seed=2, at=NOON + DAY)]
    early = next_question(found, attempts, NOON + 0.9 * DAY)
    assert (AHEAD, "Nothing is due now. This one would be on 5 May 2026: you are ahead of time.") == (early.kind, early.why)
    asked, _ = walk(found, 3, right, start=NOON + 1.4 * DAY, attempts=attempts)
    assert [(REVIEW, "four"), (REVIEW, "three"), (REVIEW, "two")] == sorted((each.kind, each.question) for each in asked)
    assert {"You had this question right yesterday: it is time to see whether that stays."} <= {each.why for each in asked}
    later = next_question(found, attempts, NOON + 4.5 * DAY, only=Restriction(topics=("gauges",)))
    assert REVIEW == later.kind and "one" != later.question


def test_a_mistake_that_was_put_right_is_reviewed():
    """A day after a mistake was put right a question that needs the same thought is asked, and it says so."""
    guess, there = question("predict-it", mistakes=MISTAKES[:1]), question("there", mistakes=MISTAKES[:1])
    found = next_question(bank(guess, there), [answer(guess, False, MISTAKES[0]), answer(there, at=NOON + MINUTE)], NOON + 2 * DAY)
    expected = "A thought that had gone astray was put right 2 days ago. The same thought is needed here: see whether that stays."
    assert ("there", REVIEW, expected) == (found.question, found.kind, found.why)


def test_new_questions_go_from_easy_to_hard_and_over_all_topics():
    """Among what is open the topic with fewest rounds comes first, and in it the easy before the hard; a lesson opens after three questions of the one before."""
    found = bank(
        question("a-hard", "gauges", level=3), question("b-easy", "gauges", level=1), question("c-middle", "gauges", level=2),
        question("d-other", "circuit", level=2), question("e-far", "frost", lesson="02", level=1), question("f-exam", "frost", lesson="exam"),
    )  # fmt: skip
    asked, _ = walk(found, 6, right)
    assert ["b-easy", "d-other", "c-middle", "e-far", "a-hard", "f-exam"] == [one.question for one in asked]
    assert "The topic “gauges” is new to you: a question of level 1, for lesson 01." == asked[0].why
    assert "New to you, on “gauges”: a question of level 2, for lesson 01." == asked[2].why
    assert "New to you, on “frost”: a question of level 1, for the exam." == asked[5].why


def test_a_lesson_that_was_begun_counts_as_reached():
    """A prediction in a lesson is enough for its questions to come up; predictions themselves are never suggested."""
    guess = question("predict-it", lesson="08")
    found = bank(guess, question("near", lesson="00", level=2), question("far", "frost", lesson="08", level=1))
    asked, _ = walk(found, 2, right, attempts=[answer(guess)])
    assert ["far", "near"] == [one.question for one in asked]


def test_what_was_passed_over_is_not_repeated_at_once():
    """Who asks for the next question without answering gets others, as many as there are, before the same again."""
    found = bank(*(question(f"q-{number}") for number in range(6)))
    asked: list[Suggestion] = []
    for _ in range(12):
        asked.append(next_question(found, (), NOON, asked=asked))
    ids = [one.question for one in asked]
    assert set(found.questions) == set(ids[:6])
    assert 12 == len({(one.question, one.seed) for one in asked})
    for number in range(12):
        assert ids[number] not in ids[max(0, number - APART) : number]


def test_one_question_alone_is_dealt_with_other_numbers():
    """A bank of one question gives that one again and again, each time with other numbers."""
    asked, _ = walk(bank(question("only")), 5, right)
    assert 5 == len({one.seed for one in asked}) and {"only"} == {one.question for one in asked}


def test_learners_do_not_get_the_same_numbers():
    """The numbers depend on when a learner began, so that neighbours have different ones."""
    found = bank(question("only"))
    assert next_question(found, (), NOON).seed != next_question(found, (), NOON + MINUTE).seed
    assert 1 <= next_question(found, (), NOON).seed < 10_000


# Restrictions -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "only",
    [
        Restriction(topics=("gauges", "frost")), Restriction(lessons=("08",)), Restriction(levels=(1,)), Restriction(law="EU 2024/2215"),
        Restriction(law="US 40 CFR 82"), Restriction(topics=("circuit",), levels=(1, 2)),
    ],
)  # fmt: skip
def test_only_what_was_chosen_is_suggested(only):
    """With topics, lessons, levels or a law chosen, every suggestion has them, also what is put right or due."""
    found = read_bank()
    chosen = {one.id for one in only.among(found)}
    asked, attempts = walk(found, 12, lambda number, _: (number % 3 > 0, None), only=only, gap=DAY / 2)
    assert {one.question for one in asked} <= chosen <= {one.id for one in practised(found)}
    assert len(boxes_of(found, attempts, NOON + 9 * DAY).questions) == len({one.question for one in asked})


def test_a_choice_that_holds_no_question_is_refused():
    """What no question has is refused, with the names that are known or what to change."""
    found = read_bank()
    with pytest.raises(UnknownNameError, match="topic of a question 'gaugs' is not known; did you mean gauges"):
        next_question(found, (), NOON, only=Restriction(topics=("gaugs",)))
    with pytest.raises(UnknownNameError, match="lesson of a question '99'"):
        next_question(found, (), NOON, only=Restriction(lessons=("99",)))
    with pytest.raises(InputError, match="no question has all that was chosen"):
        next_question(found, (), NOON, only=Restriction(law="the law of the sea"))
