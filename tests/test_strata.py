"""The strata of a blueprint in a bank (hpteach/assessment/strata.py).  Banks are invented."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.strata import assign, fits
from hpteach.errors import DataError
from hpteach.questions import read_bank
from tests import small_bank
from tests.invented_class import blueprint, question

CODES = ("EU 2024/2215 Annex I 4.01", "EU 2024/2215 Annex I 4.02", "EU 2024/2215 Annex I 4.03")


def of_levels(*levels: int, topic: str = "gauges", lesson: str = "01", first: int = 0, **other: object):
    """Questions of these levels."""
    return [question(f"{topic}-{first + number}", topic=topic, lesson=lesson, level=level, **other) for number, level in enumerate(levels)]


def section(text: str, title: str = "First") -> str:
    """A section of a blueprint."""
    return f'[[sections]]\ntitle = "{title}"\n{text}\n'


def taken(sections: str, *questions) -> list[tuple[int, int, str, int, int]]:
    """Of each stratum: section, level, topic, how many are taken, of how many."""
    found = fits(blueprint(sections), small_bank.bank(*questions))
    return [(stratum.section, stratum.level, stratum.topic, stratum.count, len(stratum.questions)) for stratum in found]


def refusal(sections: str, *questions) -> str:
    """The sentence with which a blueprint is refused."""
    with pytest.raises(DataError) as caught:
        fits(blueprint(sections), small_bank.bank(*questions))
    return str(caught.value)


# Which are taken ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("levels", "count", "expected"),
    [
        ((1, 1, 1, 1), 2, {1: 2}),
        ((1, 1, 2, 2), 2, {1: 1, 2: 1}),
        ((1, 2, 2, 2, 2, 2, 2, 3), 4, {1: 1, 2: 3}),  # shares 0.5, 3.0, 0.5: of equal remainders the lower level's
        ((1, 2, 3), 3, {1: 1, 2: 1, 3: 1}),
        ((3,), 1, {3: 1}),
    ],
)
def test_levels_are_taken_in_the_shares_of_the_bank(levels: tuple[int, ...], count: int, expected: dict[int, int]) -> None:
    """Where a section says nothing of levels, the largest remainders decide."""
    found = taken(section(f'questions = {count}\ntopics = ["gauges"]'), *of_levels(*levels))
    assert expected == {level: many for _, level, _, many, _ in found}


@given(st.lists(st.sampled_from((1, 2, 3)), min_size=1, max_size=30), st.data())
def test_shares_add_up_and_never_ask_for_more_than_there_is(levels: list[int], data) -> None:
    """Whatever the bank, the strata hold as many questions as are asked."""
    count = data.draw(st.integers(1, len(levels)))
    found = taken(section(f'questions = {count}\ntopics = ["gauges"]'), *of_levels(*levels))
    assert count == sum(many for _, _, _, many, _ in found)
    assert all(1 <= many <= of for _, _, _, many, of in found)


def test_stated_levels_are_taken_as_stated() -> None:
    """So many of each level, and no other."""
    found = taken(section('questions = 3\ntopics = ["gauges"]\nlevels = { 1 = 2, 3 = 1 }'), *of_levels(1, 1, 1, 2, 2, 3))
    assert [(0, 1, "", 2, 3), (0, 3, "", 1, 1)] == found


def test_question_fits_that_fits_each_list() -> None:
    """Topics and lessons narrow one another; predictions are left out unless they are wanted."""
    questions = [
        *of_levels(1, 1), *of_levels(1, 1, 1, first=2, lesson="02"), *of_levels(1, topic="circuit"), question("predict-it", topic="gauges", lesson="01"),
    ]  # fmt: skip
    both = 'questions = 1\ntopics = ["gauges"]\nlessons = ["01"]'
    assert [(0, 1, "", 1, 2)] == taken(section(both), *questions)
    assert [(0, 1, "", 1, 3)] == taken(section(both + "\npredictions = true"), *questions)


@pytest.mark.parametrize(
    ("key", "holds"),
    [
        ("", lambda kinds: {"number", "choice"} < kinds),
        ('kinds = ["number"]', lambda kinds: kinds == {"number"}),
        ('without_kinds = ["number"]', lambda kinds: kinds and "number" not in kinds),
        ('kinds = ["choice", "number"]\nwithout_kinds = ["choice"]', lambda kinds: kinds == {"number"}),
    ],
)
def test_kinds_hold_for_all_parts(key: str, holds) -> None:
    """All parts are of the kinds that are allowed, none of those that are not."""
    bank = read_bank()
    strata = fits(blueprint(section(f'questions = 1\nlessons = ["05", "06", "07"]\n{key}')), bank)
    assert holds({part.kind for stratum in strata for id in stratum.questions for part in bank.question(id).parts})


def test_so_many_of_each_topic_are_asked_first() -> None:
    """A stratum for each topic, of the level of which it has most; the rest is taken from all."""
    questions = [*of_levels(1, 2, 2, covers=CODES[:1]), *of_levels(1, topic="circuit", covers=CODES[1:2]), *of_levels(3, 3, topic="faults", covers=CODES[2:3])]
    found = taken(section(f"questions = 4\ncovers = {list(CODES)}\nat_least_each = 1"), *questions)
    assert [(0, 1, CODES[1], 1, 1), (0, 2, CODES[0], 1, 2), (0, 3, CODES[2], 1, 2), (0, 1, "", 1, 2)] == found


def test_levels_stay_near_the_shares_of_the_bank_beside_topics() -> None:
    """What the topics take of one level is left out of the rest."""
    questions = [*of_levels(2, 2, covers=CODES[:1]), *of_levels(2, 2, topic="circuit", covers=CODES[1:2]), *of_levels(1, 1, 3, 3, first=2, covers=CODES[:1])]
    found = taken(section(f"questions = 4\ncovers = {list(CODES[:2])}\nat_least_each = 1"), *questions)
    assert {1: 1, 2: 2, 3: 1} == {level: sum(many for _, one, _, many, _ in found if one == level) for level in (1, 2, 3)}


def test_so_many_of_each_lesson_where_no_code_is_named() -> None:
    """With topics and lessons the topics count, with lessons alone the lessons."""
    questions = [*of_levels(1, 1), *of_levels(1, 1, first=2, lesson="02")]
    found = taken(section('questions = 3\nlessons = ["01", "02"]\nat_least_each = 1'), *questions)
    assert [(0, 1, "01", 1, 2), (0, 1, "02", 1, 2), (0, 1, "", 1, 4)] == found


def test_topics_take_their_levels_from_those_that_are_stated() -> None:
    """Where the level of which a topic has most is used up, another one serves."""
    questions = [*of_levels(2, 2, 1, covers=CODES[:1]), *of_levels(2, topic="circuit", covers=CODES[1:2])]
    found = taken(section(f'questions = 2\ncovers = ["{CODES[0]}", "{CODES[1]}"]\nat_least_each = 1\nlevels = {{ 1 = 1, 2 = 1 }}'), *questions)
    assert [(0, 1, CODES[0], 1, 1), (0, 2, CODES[1], 1, 1)] == found


def test_drawings_are_taken_from_questions_that_state_a_cycle() -> None:
    """They have strata of their own, and their levels are among those of the section."""
    found = fits(blueprint(section('questions = 3\ndrawings = 1\nlessons = ["05", "06"]')), read_bank())
    assert [False, True] == sorted({stratum.drawing for stratum in found})
    assert 1 == sum(stratum.count for stratum in found if stratum.drawing)
    assert 3 == sum(stratum.count for stratum in found)
    stated = fits(blueprint(section('questions = 3\ndrawings = 2\nlessons = ["05", "06"]\nlevels = { 2 = 2, 3 = 1 }')), read_bank())
    assert {2: 2, 3: 1} == {level: sum(stratum.count for stratum in stated if stratum.level == level) for level in (2, 3)}
    assert 2 == sum(stratum.count for stratum in stated if stratum.drawing)


# What cannot be filled ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('questions = 5\ntopics = ["gauges"]', "quiz: section 'First': 5 questions are asked and the bank has 3 that fit: ask for 2 fewer, widen what the section takes, or write 2 more"),
        ('questions = 3\ntopics = ["gauges"]\nlevels = { 1 = 1, 2 = 2 }', "quiz: section 'First', level 2: 2 questions are asked and the bank has 1 that fits: ask for 1 fewer"),
        ('questions = 1\ntopics = ["gages"]', "quiz: section 'First': topic of the bank 'gages' is not known; did you mean gauges? Known are circuit, gauges"),
        ('questions = 1\nlessons = ["09"]', "quiz: section 'First': lesson of the bank '09' is not known"),
        (f'questions = 2\ncovers = ["{CODES[0]}", "{CODES[1]}"]\nat_least_each = 1', f"quiz: section 'First', {CODES[1]}: 1 question is asked and the bank has 0 that fit"),
        (f'questions = 1\ncovers = ["{CODES[0]}", "{CODES[2]}"]\nat_least_each = 1', "1 of each of 2 topics are 2 questions, and the section asks 1: ask for more questions or for fewer topics"),
        ('questions = 1\ndrawings = 1\ntopics = ["gauges"]', "quiz: section 'First', drawing tasks: 1 question is asked and the bank has 0 that fit"),
    ],
)  # fmt: skip
def test_blueprint_that_the_bank_cannot_fill_is_refused(text: str, sentence: str) -> None:
    """Section, level or topic, how many there are and are needed, and what to do."""
    questions = [*of_levels(1, 1, 2, covers=CODES[:1]), *of_levels(1, topic="circuit", covers=CODES[2:3])]
    assert sentence in refusal(section(text), *questions)


def test_sections_that_share_too_few_questions_are_refused_together() -> None:
    """Each could be filled alone; both are named, with how many they need and share."""
    three = ('questions = 3\ntopics = ["gauges"]', "First"), ('questions = 2\nlessons = ["01"]', "Second"), ('questions = 1\ntopics = ["circuit"]', "Third")
    sentence = refusal("".join(section(*one) for one in three), *of_levels(1, 1, 1, 1), question("other", topic="circuit", lesson="02"))
    assert (
        "quiz: 5 questions are asked of 4 that fit, each of which can be asked once: 'First' 3 of level 1; 'Second' 2 of level 1: "
        "ask for 1 fewer, or write 1 more"
    ) == sentence


def test_topics_that_share_their_only_question_are_refused() -> None:
    """One question cannot stand for two topics."""
    questions = [*of_levels(1, covers=CODES[:2]), *of_levels(1, 1, topic="circuit", covers=CODES[2:3])]
    sentence = refusal(section(f"questions = 3\ncovers = {list(CODES)}\nat_least_each = 1"), *questions)
    assert f"1 of each topic cannot be had, as topics share their questions: write one more on {CODES[1]}" in sentence


def test_topics_without_the_stated_levels_are_refused() -> None:
    """The topic is named, and which levels it has."""
    questions = [*of_levels(2, 2, covers=CODES[:1]), *of_levels(1, topic="circuit", covers=CODES[1:2])]
    sentence = refusal(section(f"questions = 2\ncovers = {list(CODES[:2])}\nat_least_each = 1\nlevels = {{ 2 = 2 }}"), *questions)
    assert f"1 of each topic cannot be had with 2 of level 2: {CODES[1]} has questions of level 1 only; change levels" in sentence


# Assigning ----------------------------------------------------------------------------

pools = st.lists(st.tuples(st.integers(0, 3), st.lists(st.integers(0, 6), unique=True, max_size=5)), min_size=1, max_size=4)


@given(pools)
def test_assignment_is_found_wherever_there_is_one(strata: list[tuple[int, list[int]]]) -> None:
    """Held against trying every order of the questions."""
    slots = [pool for count, pool in strata for _ in range(count)]
    possible = any(all(one in pool for one, pool in zip(order, slots)) for order in permutations(range(7), len(slots))) if len(slots) <= 7 else False
    filled = assign([count for count, _ in strata], [pool for _, pool in strata])
    complete = [len(questions) for questions in filled] == [count for count, _ in strata]
    assert possible == complete
    taken_ones = [one for questions in filled for one in questions]
    assert len(set(taken_ones)) == len(taken_ones)
    assert all(one in pool for questions, (_, pool) in zip(filled, strata) for one in questions)


def test_earlier_candidates_are_taken_first() -> None:
    """The order of the candidates is the order of the lots."""
    assert [[3, 1], [2]] == assign([2, 1], [[3, 1, 2], [3, 2, 1]])
