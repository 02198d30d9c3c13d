"""The instructor's notebooks and pages: their make, what they name, and that learners' pages do not list them."""

import ast
import json
import re
from pathlib import Path

import pytest

from hpteach.panels.projector import scripts
from hpteach.serving import titles

TOP = Path(__file__).parents[1]
FOLDER = TOP / "notebooks"
INSTRUCTOR = sorted((FOLDER / "instructor").glob("*.ipynb"))
EACH = pytest.mark.parametrize("path", INSTRUCTOR, ids=[path.stem for path in INSTRUCTOR])
PLANS, GUIDE = FOLDER / "instructor" / "04-lesson-plans.ipynb", TOP / "docs" / "instructors-guide.md"


def cells(path, kind):
    return ["".join(cell["source"]) for cell in json.loads(path.read_text("utf-8"))["cells"] if cell["cell_type"] == kind]


def calls(path):
    return [ast.parse(source).body[1].value for source in cells(path, "code")]


@EACH
def test_a_notebook_says_who_it_is_for_and_what_it_needs(path):
    """Each says that it is for instructors, what is needed, how long it takes, what one can do with it, how to begin; it cautions and says what is invented."""
    text = "\n".join(cells(path, "markdown"))
    for said in ("**For instructors.**", "**You need:**", "**Time:**", "With this page you can", "Run All Cells", "invented", "**Caution.**", "local codes", "**Next:**"):
        assert said in text, said


def test_each_desk_and_every_script_is_shown_once():
    """Papers, marking, and a script for each lesson that has one."""
    found = [(call.func.id, *(argument.value for argument in call.args)) for path in INSTRUCTOR for call in calls(path)]
    assert [("PapersDesk",), ("MarkingDesk",), *(("ProjectorScript", lesson) for lesson in scripts())] == found


def test_learners_pages_do_not_list_them():
    """The pages without code list the lessons and nothing of the instructor's."""
    assert not {path.name for path in INSTRUCTOR} & set(titles(FOLDER))


def test_the_plans_have_the_minutes_of_the_lessons():
    """Each lesson has a row in the plans, with the minutes that its head states; the parts of a plan add up to them."""
    lines = [line.strip("| ").split("|") for line in "\n".join(cells(PLANS, "markdown")).splitlines() if re.match(r"\| \d\d [A-Z]", line)]
    rows = {row[0][:2]: [cell.strip() for cell in row] for row in lines}
    stated = {}
    for path in sorted(FOLDER.glob("[0-9][0-9]-*.ipynb")):
        stated[path.stem[:2]] = int(re.search(r"\*\*Time:\*\* (\d+) minutes", "\n".join(cells(path, "markdown")))[1])
    assert sorted(stated) == sorted(rows)
    for lesson, row in rows.items():
        assert stated[lesson] == int(row[2]) == sum(int(part) for part in row[3:7]), lesson


@pytest.mark.parametrize("page", [PLANS, GUIDE], ids=lambda page: page.stem)
def test_what_a_page_names_is_there(page):
    """Files and notebooks named in the plans and in the guide exist."""
    text = page.read_text("utf-8")
    for name in re.findall(r"\]\(([\w./-]+)\)", text):
        assert (page.parent / name).exists(), name
    for name in re.findall(r"[\w-]+\.ipynb", text):
        assert list(FOLDER.rglob(name)), name


def test_the_guide_speaks_of_privacy_safety_and_what_the_exams_are_not():
    """Names, the secret, where files lie, deleting, safety, local codes and that no exam here is approved are in the guide."""
    text = GUIDE.read_text("utf-8").lower()
    for said in ("secret", "delete", "names", "no approved exam", "local codes", "licensed", "a2l", "hpteach_progress", "invented", "reliability", "discrimination"):
        assert said in text, said


def test_the_guides_commands_are_commands():
    """Every command of this program that the guide shows is one, with options that it has."""
    from hpteach.option_list import OPTIONS

    shown = re.findall(r"-m hpteach ([a-z-]+)([^\n`]*)", GUIDE.read_text("utf-8"))
    assert {"papers", "mark"} <= {name for name, _ in shown}
    known = repr(OPTIONS)
    for _, rest in shown:
        for option in re.findall(r"--([a-z-]+)", rest):
            assert option in known, option
