"""What a paper is made of (hpteach/assessment/blueprint.py and the files in blueprints/)."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from hpteach.assessment.blueprint import Blueprint, blueprint_of, blueprints, read_blueprint
from hpteach.assessment.roster import Learner
from hpteach.assessment.strata import fits
from hpteach.errors import DataError, UnknownNameError
from hpteach.questions import read_bank
from hpteach.questions.law_topics import law_topics

HEAD = """title = "Mine"
edition = 2
purpose = "To see."
minutes = 30
pass_mark = 55
pass_mark_why = "common practice, no source"
units = "IP"
table = "closed"
not_covered = ["It is no approved exam."]
"""
SECTION = """[[sections]]
title = "First"
questions = 3
lessons = ["01"]
"""
WHOLE = HEAD + SECTION

MOCKS = ("mock-eu-2015-2067", "mock-eu-2024-2215", "mock-us-608-core-and-type-ii")


def mine(text: str) -> Blueprint:
    """The blueprint in a text."""
    return blueprint_of(text, "mine.toml", "mine")


def changed(old: str, new: str) -> str:
    """The whole file with something changed in it."""
    assert old in WHOLE
    return WHOLE.replace(old, new)


# Files --------------------------------------------------------------------------------


def test_file_is_read_as_it_is_written() -> None:
    """Every entry of a file stands in the blueprint; what is left out has its default."""
    of_section = 'topics = ["gauges", "start"]\nlevels = { 1 = 1, 2 = 2, 3 = 0 }\nkinds = ["number", "choice"]\nwithout_kinds = ["table"]\n'
    read = mine(WHOLE + of_section + "drawings = 1\npredictions = true\nat_least_each = 1\n")
    assert ("mine", "Mine", 2, "To see.", 30, 0.55, "IP", "closed", "", (), ("It is no approved exam.",)) == (
        read.id, read.title, read.edition, read.purpose, read.minutes, read.pass_mark, read.units, read.table, read.law, read.sources, read.not_covered,
    )  # fmt: skip
    section = read.sections[0]
    assert ("First", 3, 1, ("gauges", "start"), ("01",), {1: 1, 2: 2}) == (
        section.title, section.questions, section.drawings, section.topics, section.lessons, dict(section.levels),
    )  # fmt: skip
    assert (("number", "choice"), ("table",), True, 1) == (section.kinds, section.without_kinds, section.predictions, section.at_least_each)
    plain = mine(WHOLE).sections[0]
    assert ((), (), {}, (), (), False, 0, 0) == (
        plain.topics, plain.covers, dict(plain.levels), plain.kinds, plain.without_kinds, plain.predictions, plain.at_least_each, plain.drawings,
    )  # fmt: skip
    assert 3 == read.questions


def test_star_names_every_code_that_begins_so() -> None:
    """Codes are written out in the order of the list of topics, each once, and 1. is not 10. or 11."""
    covers = ["EU 2024/2215 Annex I 1.02", "EU 2024/2215 Annex I 1.*"]
    section = mine(WHOLE + f"covers = {covers}\n").sections[0]
    assert ("EU 2024/2215 Annex I 1.02", *(f"EU 2024/2215 Annex I 1.0{number}" for number in (0, 1, 3, 4, 5, 6))) == section.covers


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("title = ", "mine.toml: not readable as TOML"),
        ("a = " + "[" * 5000, "mine.toml: not readable as TOML"),
        (HEAD, "mine.toml: sections is missing: write one or more tables [[sections]]"),
        (changed('title = "Mine"\n', ""), "mine.toml: title is missing: write a text"),
        (changed("edition = 2", "edition = 0"), "mine.toml: edition = 0: allowed is a whole number from 1 to 999"),
        (changed("minutes = 30", "minutes = 601"), "mine.toml: minutes = 601: allowed is a whole number from 1 to 600"),
        (changed("pass_mark = 55", "pass_mark = 0.55"), "mine.toml: pass_mark = 0.55: allowed is a whole number from 1 to 100"),
        (changed('units = "IP"', 'units = "metric"'), "mine.toml: units = 'metric': allowed is one of learner, SI, IP"),
        (changed('table = "closed"', 'table = "shut"'), "mine.toml: table = 'shut': allowed is one of open, closed"),
        (changed("minutes = 30", "minutes = 30\nlaw = 'EU 1'"), "mine.toml: law = 'EU 1': allowed is a law only beside sources"),
        (changed("minutes = 30", "minutes = 30\nteacher = 'Ada'"), "mine.toml: teacher = 'Ada': allowed is only the keys title, edition"),
        (changed("minutes = 30", "minutes = 30\nlesson = ['01']"), "mine.toml: lesson = ['01']: allowed is such a list only in lesson-quiz.toml"),
        (changed("questions = 3", "questions = 0"), "mine.toml: sections[1].questions = 0: allowed is a whole number from 1 to 200"),
        (changed("questions = 3", "questions = 3\ndrawings = 4"), "mine.toml: sections[1].drawings = 4: allowed is a whole number from 0 to 3"),
        (changed('lessons = ["01"]', 'lessons = ["1"]'), "mine.toml: sections[1].lessons = '1': allowed is the two digits of lessons, such as \"03\", or \"exam\""),
        (changed('lessons = ["01"]\n', ""), "mine.toml: sections[1] says nothing of which questions fit: write topics, lessons or covers"),
        (WHOLE + "levels = { 1 = 1, 2 = 1 }", "mine.toml: sections[1].levels = {'1': 1, '2': 1}: allowed is as many questions as the section has, 3, not 2"),
        (WHOLE + "levels = { 4 = 3 }", "mine.toml: sections[1].levels.4 = 3: allowed is only the keys 1, 2, 3"),
        (WHOLE + 'kinds = ["essay"]', "mine.toml: sections[1].kinds = 'essay': allowed is kinds of parts: number, choice, several, order, state, truth, table"),
        (WHOLE + 'covers = ["EU 2024/2215 Annex I 1.2"]', "of which the nearest are 'EU 2024/2215 Annex I 1.02'"),
        (WHOLE + 'covers = ["EU 2024/2215 Annex II*"]', "allowed is codes of law_topics.toml"),
        (WHOLE + 'predictions = "yes"', "mine.toml: sections[1].predictions = 'yes': allowed is true or false"),
        (WHOLE + "weight = 2", "mine.toml: sections[1].weight = 2: allowed is only the keys title, questions"),
        (WHOLE + SECTION, "mine.toml: sections[2].title = 'First': allowed is a title that no other section has"),
        (WHOLE + SECTION.replace("First", "Second").replace("3", "198"), "mine.toml: sections = '201 questions': allowed is 200 questions or fewer in all"),
    ],
)
def test_refusal_names_file_key_value_and_what_is_allowed(text: str, sentence: str) -> None:
    """What is wrong in a file is told as for question files."""
    with pytest.raises(DataError) as caught:
        mine(text)
    assert sentence in str(caught.value)


def test_file_of_your_own_is_read_by_its_path(tmp_path: Path) -> None:
    """Its name is the id; a byte order mark and Windows line ends do not matter."""
    path = tmp_path / "friday-quiz.toml"
    path.write_bytes(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode())
    assert "friday-quiz" == read_blueprint(path).id == read_blueprint(str(path)).id
    assert mine(WHOLE).sections == read_blueprint(path).sections


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("nowhere.toml", None, r"nowhere.toml: cannot be read \(No such file or directory\): name a blueprint, a TOML file"),
        ("latin.toml", "title = 'é'".encode("cp1252"), r"latin.toml: cannot be read \(no UTF-8 text\)"),
        ("large.toml", b"#" * 200_001, "large.toml: is larger than 200000 bytes"),
        ("My Quiz.toml", WHOLE.encode(), "the file name 'My Quiz' is the blueprint's id: allowed are lower-case letters, digits and single hyphens"),
    ],
)
def test_file_that_cannot_be_read_is_refused(tmp_path: Path, name: str, data: bytes | None, sentence: str) -> None:
    """Missing, in another encoding, too large, or with a name that is no id."""
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(DataError, match=sentence):
        read_blueprint(tmp_path / name)


@pytest.mark.parametrize(
    ("name", "near"),
    [("end-of-curse", "end-of-course"), ("lesson-3", "lesson-03"), ("lesson-quiz", "lesson-"), ("lesson-99", "lesson-09"), ("", "known are")],
)
def test_unknown_name_is_answered_with_the_nearest(name: str, near: str) -> None:
    """The list of all names follows; the file of all quizzes is no blueprint by itself."""
    with pytest.raises(UnknownNameError, match=near):
        read_blueprint(name)


def test_units_are_those_of_the_blueprint_or_of_the_learner() -> None:
    """With "learner" the roster says which, and SI where it says nothing."""
    own = mine(changed('units = "IP"', 'units = "learner"'))
    assert ["SI", "SI", "IP"] == [own.system_for(Learner("7", units=units)) for units in ("", "SI", "IP")]
    assert ["IP", "IP", "IP"] == [mine(WHOLE).system_for(Learner("7", units=units)) for units in ("", "SI", "IP")]


# What comes with the project ----------------------------------------------------------


@pytest.mark.parametrize("name", blueprints())
def test_shipped_blueprint_is_filled_by_the_bank(name: str) -> None:
    """Each can be dealt, says what it does not cover, and says that it is no approved exam."""
    blueprint = read_blueprint(name)
    assert blueprint.questions == sum(stratum.count for stratum in fits(blueprint, read_bank()))
    told = " ".join(blueprint.not_covered)
    assert "no approved" in told
    assert "does not cover practical skills" in told or "does not cover the practical examination" in told
    assert "{" not in blueprint.title + blueprint.purpose + told + blueprint.sections[0].title
    assert name == blueprint_of(blueprint.text, "papers.json", name).id


def test_every_lesson_has_a_quiz() -> None:
    """One for each notebook that teaches, made of the questions of that lesson."""
    notebooks = Path(__file__).parents[1] / "notebooks"
    lessons = sorted(path.name[:2] for path in notebooks.glob("[0-9][0-9]-*.ipynb") if path.name[:2] <= "15")
    quizzes = [read_blueprint(name) for name in blueprints() if name.startswith("lesson-")]
    assert [f"lesson-{lesson}" for lesson in lessons] == [quiz.id for quiz in quizzes]
    assert [((lesson,), f"Quiz on lesson {lesson}") for lesson in lessons] == [(quiz.sections[0].lessons, quiz.title) for quiz in quizzes]


@pytest.mark.parametrize("name", MOCKS)
def test_mock_exam_says_what_it_stands_on(name: str) -> None:
    """It names the law, where its list of topics is from and what of it was not seen, and who sets the pass mark; what is left out stands there by name."""
    blueprint = read_blueprint(name)
    told, sources = " ".join(blueprint.not_covered), " ".join(blueprint.sources)
    assert blueprint.law
    assert "from memory, not seen here" in sources
    assert "tests/reference/06_exam_blueprint.csv" in sources
    assert (Path(__file__).parents[1] / "tests/reference/06_exam_blueprint.csv").is_file()
    assert all(re.search(word, told) for word in ("brazing", "recover", "law of your", "no approved"))
    assert "no source" in blueprint.pass_mark_why or "from memory" in blueprint.pass_mark_why


@pytest.mark.parametrize(("name", "law"), [("mock-eu-2024-2215", "EU 2024/2215"), ("mock-eu-2015-2067", "EU 2015/2067")])
def test_mock_exam_of_the_union_has_every_chapter_and_every_theory_topic(name: str, law: str) -> None:
    """Eleven chapters in their order; all codes of Annex I, and of each theory topic of a chapter with several one question at least."""
    sections = read_blueprint(name).sections
    assert [f"{number} " for number in range(1, 12)] == [re.match(r"\d+ ", section.title)[0] for section in sections]
    annex = [code for code in law_topics() if code.startswith(f"{law} Annex I ")]
    assert sorted(annex) == sorted(code for section in sections for code in section.covers)
    for section in sections:
        theory = [code for code in section.covers if law_topics()[code].theory]
        assert len(theory) <= 1 or section.at_least_each == 1, section.title


def test_mock_exam_of_the_states_has_25_questions_of_each_group() -> None:
    """As appendix D says (tests/reference/06_exam_blueprint.csv), and one of every topic at least; 70 % passes."""
    blueprint = read_blueprint("mock-us-608-core-and-type-ii")
    assert [25, 25] == [section.questions for section in blueprint.sections]
    assert [1, 1] == [section.at_least_each for section in blueprint.sections]
    assert 0.70 == blueprint.pass_mark
    groups = [f"US 40 CFR 82 App. D {group}: " for group in ("core", "Type II")]
    assert [[code for code in law_topics() if code.startswith(group)] for group in groups] == [list(section.covers) for section in blueprint.sections]


def test_repealed_law_is_called_repealed() -> None:
    """In the title and among what is not covered."""
    blueprint = read_blueprint("mock-eu-2015-2067")
    assert "repealed" in blueprint.title
    assert "EU 2015/2067 is repealed" in blueprint.not_covered[0]
