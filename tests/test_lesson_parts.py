"""The parts of a lesson, one test for each by its name, and the pages beside the lessons: index, glossary, where I stand."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path

import hpteach.panels
from tests.glossary_page import entries
from tests.test_lessons import EXAM, FOLDER, LESSON, LESSONS, NOTEBOOKS, STANDING, cells, text_of

INDEX, GLOSSARY = FOLDER / "index.ipynb", FOLDER / "glossary.ipynb"


def calls_of(path: Path) -> list[ast.Call]:
    """The call of every code cell of a notebook, in order."""
    return [ast.parse(source).body[1].value for source in cells(path, "code")]


def shows(call: ast.Call) -> bool:
    """Whether a call puts a live panel on the page: one of its own, or one that a prediction opens."""
    return call.func.id not in ("Exercise", "Prediction", "installation_check") or any(keyword.arg == "then" for keyword in call.keywords)


@LESSON
def test_a_lesson_says_what_to_know_before_and_how_to_begin(path: Path) -> None:
    """The head of every lesson names lessons before it, or nothing, and says how its cells are run."""
    head = cells(path, "markdown")[0]
    needed = re.search(r"\*\*You need:\*\* (.*?)\. \*\*Time", head, re.DOTALL)[1]
    assert ("nothing but this page" == needed) == (path == LESSONS[0])
    assert all(number < path.stem[:2] for number in re.findall(r"\b\d\d\b", needed))
    assert "Run All Cells" in head


@LESSON
def test_a_lesson_states_its_minutes(path: Path) -> None:
    """The head of every lesson states its minutes, between ten and ninety."""
    assert 10 <= int(re.search(r"\*\*Time:\*\* (\d+) minutes", cells(path, "markdown")[0])[1]) <= 90


@LESSON
def test_a_lesson_states_its_objectives(path: Path) -> None:
    """The head of every lesson lists three to five things that the learner can do after it."""
    listed = cells(path, "markdown")[0].split("**After this lesson you can**\n", 1)[1].split("\n\n", 1)[0]
    assert 3 <= len([line for line in listed.splitlines() if line.startswith("- ")]) <= 5


@LESSON
def test_a_lesson_opens_with_a_question_from_the_workshop(path: Path) -> None:
    """Before its first panel every lesson tells of the invented workshop and asks something."""
    lesson = json.loads(path.read_text("utf-8"))["cells"]
    opening = next(index for index, cell in enumerate(lesson) if "".join(cell["source"]).startswith("## A question from the workshop (invented)\n"))
    said = "".join(lesson[opening]["source"])
    assert "?" in said
    assert not any("Prediction" in "".join(cell["source"]) for cell in lesson[:opening])
    named = ("Fernhill", "Mirela", "Tomasz", "Ana", "Mr Holt", "customer", "bench unit")
    assert any(name in said for name in named)


@LESSON
def test_a_lesson_asks_for_a_prediction_before_it_reveals(path: Path) -> None:
    """No live panel stands before the first prediction, and each prediction has a folded text that tells what it showed."""
    calls = calls_of(path)
    first = next(index for index, call in enumerate(calls) if call.func.id == "Prediction")
    assert not any(shows(call) for call in calls[:first])
    folded = "".join(cells(path, "markdown")).count("<summary><b>Open this ")
    assert folded >= sum(call.func.id == "Prediction" for call in calls)


@LESSON
def test_a_lesson_has_a_live_panel_with_words(path: Path) -> None:
    """Every lesson has a panel that moves, which says in words what it shows, and a folded text that reads it as an instructor would."""
    panels = [call.func.id if call.func.id != "Prediction" else next(keyword.value.value.id for keyword in call.keywords if keyword.arg == "then") for call in calls_of(path) if shows(call)]
    assert panels
    for name in panels:
        assert issubclass(getattr(hpteach.panels, name), hpteach.panels.View)
    read = [source for source in cells(path, "markdown")[1:-1] if "<details>" in source]
    assert read


@LESSON
def test_a_lesson_checks_twice(path: Path) -> None:
    """Every lesson has two check questions or more; the mock exam is one itself."""
    exercises = [call.args[0].value for call in calls_of(path) if call.func.id == "Exercise"]
    assert path == EXAM or 2 <= len(set(exercises)) == len(exercises)
    assert path == EXAM or "## Check yourself" in text_of(path)


@LESSON
def test_a_lesson_ends_with_a_summary_card_and_cautions(path: Path) -> None:
    """Every lesson has a card of at least three lines to keep, and cautions that put local codes first."""
    card = cells(path, "markdown")[-1]
    assert 3 <= len(re.findall(r"^(?:- |\| [^-])", card, re.MULTILINE))
    assert re.search(r"\*\*Caution\.|Before you touch a real machine", text_of(path))
    assert "local codes" in text_of(path)


@LESSON
def test_a_lesson_leads_to_the_next_and_to_the_index(path: Path) -> None:
    """The last line of every lesson links the next one, by its file, and the index; after the last comes the page of one's own."""
    last = cells(path, "markdown")[-1].splitlines()[-1]
    assert last.startswith("**Next:**") and last.endswith("**All lessons:** [index](index.ipynb).")
    following = [*LESSONS, STANDING][LESSONS.index(path) + 1]
    assert following.name == re.search(r"\]\(([\w-]+\.ipynb)\)", last)[1]


@LESSON
def test_a_lesson_links_its_words_to_the_glossary(path: Path) -> None:
    """Every lesson links three to nine words, each once, where it first says them, to a term that the glossary has."""
    text = re.sub(r"<summary>.*?</summary>|`[^`]*`", "", text_of(path))
    prose = "\n".join(line for line in text.splitlines() if not line.startswith(("#", "|")))
    links = [(link.start(), link[1], link[2]) for link in re.finditer(r"\[([^\]]+)\]\(glossary\.ipynb#((?:[^()]|\([^()]*\))+)\)", prose)]
    assert 3 <= len({target for _, _, target in links}) == len(links) <= 9
    assert [] == sorted({target for _, _, target in links} - {entry.anchor for entry in entries()})
    bare = re.sub(r"\[[^\]]*\]\([^)\s]*\)+", lambda link: " " * len(link[0]), prose)
    for start, words, _ in links:
        assert not re.search(rf"(?<![\w-]){re.escape(words)}(?![\w-])", bare[:start], re.IGNORECASE), words


def test_beside_the_lessons_stand_three_pages() -> None:
    """Glossary, index and where I stand are the pages that are no lessons; lesson 00 and the index lead to all, and index and glossary hold no code."""
    assert [GLOSSARY, INDEX, STANDING] == [path for path in NOTEBOOKS if path not in LESSONS and path.parent == FOLDER]
    for page in (GLOSSARY, INDEX, STANDING):
        assert f"]({page.name})" in text_of(LESSONS[0])
        assert page == INDEX or f"]({page.name})" in text_of(INDEX)
    assert ([], []) == (cells(GLOSSARY, "code"), cells(INDEX, "code"))


def test_the_index_lists_every_lesson_with_its_minutes() -> None:
    """The index lists the lessons in order, each with the heading and the minutes of its head; their sum is what it says, and it ends with cautions."""
    listed = re.findall(r"^- \[([^\]]+)\]\(([\w-]+\.ipynb)\), (\d+) minutes: .+\.$", text_of(INDEX), re.MULTILINE)
    assert [path.name for path in LESSONS] == [file for _, file, _ in listed]
    for path, (heading, _, minutes) in zip(LESSONS, listed, strict=True):
        head = cells(path, "markdown")[0]
        assert head.startswith(f"# {heading}") and f"**Time:** {minutes} minutes" in head
    assert 14 == round(sum(int(minutes) for _, _, minutes in listed) / 60) and "about fourteen hours" in text_of(INDEX)
    assert "**Caution.**" in text_of(INDEX) and "local codes" in text_of(INDEX)


def test_the_paths_of_the_index_skip_nothing_that_they_need() -> None:
    """The path once round the circuit holds the lessons that its lessons need; there are paths for a class, alone and before an exam."""
    for path in ("**In a class.**", "**Alone.**", "**Before an exam.**"):
        assert path in text_of(INDEX)
    round_once = re.search(r"once round\.\*\* Take (.*?)\.", text_of(INDEX))[1]
    taken = re.findall(r"\d\d", round_once)
    for number in taken[1:]:
        head = cells(next(path for path in LESSONS if path.stem.startswith(number)), "markdown")[0]
        assert set(re.findall(r"\b\d\d\b", head.split("**Time", 1)[0].split("\n", 1)[1])) <= set(taken)
