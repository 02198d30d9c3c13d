"""The page for whoever writes a lesson (docs/writing-a-lesson.md): the lesson on it is built, held against the rules, and run; what it names is there."""

import json
import re
import shutil
import textwrap
from pathlib import Path

import pytest

from hpteach import panels
from hpteach.questions import read_bank
from tests import test_lesson_parts, test_lessons
from tests.reading_ease import of_notebook
from tests.test_reading_ease import HARDEST

TOP = Path(__file__).parents[1]
PAGE = (TOP / "docs" / "writing-a-lesson.md").read_text(encoding="utf-8")
CELLS = [
    (kind, textwrap.dedent("\n".join(line for line in text.splitlines() if line.startswith("    ") or not line)).strip())
    for kind, text in re.findall(r"^### \d\. (text|code): .*\n((?:(?!##).*\n)*)", PAGE, re.MULTILINE)
]
NAME = "17-the-dirty-filter.ipynb"


def lesson(folder, cells, **cell):
    """A notebook of some cells among copies of the lessons; `cell` is put over what each code cell stores."""
    shutil.copytree(TOP / "notebooks", folder, dirs_exist_ok=True)
    code = {"outputs": [], "execution_count": None, "metadata": {"jupyter": {"source_hidden": True}}} | cell
    made = [
        {"cell_type": "code", "id": f"cell-{at}", "source": text, **code} if kind == "code" else {"cell_type": "markdown", "id": f"cell-{at}", "metadata": {}, "source": text}
        for at, (kind, text) in enumerate(cells)
    ]
    path = folder / NAME
    path.write_text(json.dumps({"cells": made, "metadata": {}, "nbformat": 4, "nbformat_minor": 5}), encoding="utf-8")
    return path


def held_against_the_rules(path):
    """All rules for a lesson by itself, as tests/test_lessons.py and tests/test_lesson_parts.py have them."""
    test_lessons.test_a_lesson_stores_no_output_and_no_widget_state(path)
    test_lessons.test_a_code_cell_is_one_import_and_one_call(path)
    test_lessons.test_a_lesson_says_what_it_needs_gives_and_leads_to(path)
    test_lessons.test_a_lesson_asks_before_it_shows_and_checks_at_the_end(path)
    test_lessons.test_what_gives_a_prediction_away_is_folded(path)
    test_lessons.test_every_name_in_a_lesson_exists(path)
    test_lessons.test_every_exercise_of_a_lesson_foresees_two_mistakes(path)
    test_lesson_parts.test_a_lesson_says_what_to_know_before_and_how_to_begin(path)
    test_lesson_parts.test_a_lesson_states_its_minutes(path)
    test_lesson_parts.test_a_lesson_states_its_objectives(path)
    test_lesson_parts.test_a_lesson_opens_with_a_question_from_the_workshop(path)
    test_lesson_parts.test_a_lesson_asks_for_a_prediction_before_it_reveals(path)
    test_lesson_parts.test_a_lesson_has_a_live_panel_with_words(path)
    test_lesson_parts.test_a_lesson_checks_twice(path)
    test_lesson_parts.test_a_lesson_ends_with_a_summary_card_and_cautions(path)
    test_lesson_parts.test_a_lesson_links_its_words_to_the_glossary(path)
    assert of_notebook(path).grade <= HARDEST


def test_lesson_on_the_page_keeps_every_rule(tmp_path):
    """The lesson that is read cell by cell keeps the rules of all lessons."""
    assert ["text", "text", "code", "text", "code", "code", "text"] == [kind for kind, _ in CELLS]
    held_against_the_rules(lesson(tmp_path, CELLS))


@pytest.mark.parametrize("left_out", range(7))
def test_lesson_without_one_of_its_cells_breaks_a_rule(tmp_path, left_out):
    """Each cell is missed, whichever it is."""
    with pytest.raises((AssertionError, TypeError, IndexError, StopIteration)):
        held_against_the_rules(lesson(tmp_path, [cell for at, cell in enumerate(CELLS) if at != left_out]))


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("**Time:** 20 minutes.", ""), ("(invented)", ""), ("local codes", "colleagues"), ("</details>\n\n## Check", "## Check"), ("cooling-cop", "no-such-question"),
        ("06-heating-with-numbers.ipynb", "06-no-such-lesson.ipynb"), ("Exercise", "print"), ("CycleExplorer.for_question)", "None)\nprint()"),
        ("<details>\n<summary><b>Open this after your prediction</b></summary>\n\nDrag", "Drag"),
    ],
)  # fmt: skip
def test_broken_lesson_breaks_a_rule(tmp_path, before, after):
    """A text that is left out, a name that is not there and a second statement are each found."""
    broken = [(kind, text.replace(before, after)) for kind, text in CELLS]
    assert broken != CELLS
    with pytest.raises(AssertionError):
        held_against_the_rules(lesson(tmp_path, broken))


@pytest.mark.parametrize("stored", [{"execution_count": 3}, {"outputs": [{"output_type": "stream", "name": "stdout", "text": "x"}]}, {"metadata": {"jupyter": {"source_hidden": False}}}])
def test_lesson_that_stores_what_it_showed_breaks_a_rule(tmp_path, stored):
    """A count, an output, and code that lies open are each found."""
    with pytest.raises(AssertionError):
        held_against_the_rules(lesson(tmp_path, CELLS, **stored))


def test_code_on_the_page_runs():
    """Each code cell makes what it calls."""
    for kind, text in CELLS:
        if kind == "code":
            import_line, call = text.split("\n\n")
            names = {}
            exec(f"{import_line}\nmade = {call}", names)  # noqa: S102
            assert isinstance(names["made"], getattr(panels, call.split("(")[0]))


def test_what_the_page_names_is_there():
    """Files, folders, questions and the tests that are to be run are there, but for the lesson that is an example."""
    for path in re.findall(r"`?((?:hpteach|docs|tests|notebooks|exercises)/[\w./-]+)", PAGE):
        assert path.endswith((NAME, "NN-short-name.ipynb")) or (TOP / path).exists(), path
    for link in re.findall(r"\]\(([\w./-]+\.md)\)", PAGE):
        assert (TOP / "docs" / link).is_file(), link
    assert {"cooling-cop", "predict-evaporating-lower"} <= set(read_bank().questions) & set(re.findall(r"[a-z]+(?:-[a-z]+)+", PAGE))


@pytest.mark.parametrize("said", ["You need:", "Time:", "After this lesson you can", "Run All Cells", "Summary card", "Next:", "(invented)", "local codes", "<details>"])
def test_rule_is_on_the_page(said):
    """What the tests look for in a lesson is named where the rules are listed."""
    assert said in PAGE.split("## The rules that are tested")[1].split("\n## ")[0]
