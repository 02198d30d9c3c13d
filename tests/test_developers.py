"""The page for developers (DEVELOPERS.md): its example of a blueprint is read and filled, its commands and files are there, its rules name true tests."""

import re
import shlex
import textwrap
import tomllib
from pathlib import Path

import pytest

from hpteach import __version__
from hpteach.assessment.blueprint import blueprint_of
from hpteach.assessment.strata import fits
from hpteach.cli import COMMANDS
from hpteach.machine.machine_files import DEMO_MACHINES
from hpteach.questions import read_bank

TOP = Path(__file__).parents[1]
PAGE = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
BLOCKS = [textwrap.dedent(block).strip() for block in re.findall(r"(?:^    .*\n|^\n(?=    ))+", PAGE, re.MULTILINE)]


@pytest.mark.parametrize("what", ["refrigerant", "machine", "lesson", "panel", "question", "blueprint", "claim", "word, a formula, a file"])
def test_page_says_how_to_add_it(what):
    """Whatever the collection is made of can be added by the page."""
    assert re.search(rf"^## Add an? {what}$", PAGE, re.MULTILINE)


def test_blueprint_of_the_page_is_read_and_filled():
    """The blueprint of the page is one, and the bank can fill each of its sections."""
    (text,) = [block for block in BLOCKS if block.startswith("title = ")]
    found = blueprint_of(text, "mine.toml", "mine")
    assert 6 == sum(section.questions for section in found.sections)
    assert {0: 3, 1: 3} == {place: sum(stratum.count for stratum in fits(found, read_bank()) if stratum.section == place) for place in (0, 1)}


def test_files_of_the_page_are_there():
    """Each file and folder that the page names is there, but for names that stand for any."""
    for path in re.findall(r"(?<![\w/.-])((?:hpteach|docs|tests|notebooks|exercises)/[\w./-]*\w)", PAGE):
        assert re.search(r"NN-short-name|WORD|NAME|TOPIC", path) or (TOP / path).exists(), path
    for link in re.findall(r"\]\(([\w./-]+)\)", PAGE):
        assert (TOP / link).exists(), link


def test_commands_of_the_page_are_there():
    """Each hpteach command that the page shows is one, with options that it has."""
    lines = re.findall(r"-m hpteach ([^`\n]+)", PAGE)
    assert 4 <= len(lines)
    for line in lines:
        name, *rest = shlex.split(line)
        assert name in COMMANDS, name
        assert [] == [word for word in rest if word.startswith("--") and word not in (*COMMANDS[name].needs, *COMMANDS[name].may)], line


def test_machine_that_is_to_be_copied_is_there():
    """The demo machine of the page is one of those that come with the project."""
    assert "bench-unit-R-32.toml" in PAGE and "R-32" in DEMO_MACHINES


def test_licence_and_citing_agree():
    """The licence is named by its SPDX word where packages are made, its text stands under docs, and the version that is to be cited is the present one."""
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    readme = " ".join((TOP / "README.md").read_text(encoding="utf-8").split())
    assert ("MIT", ["docs/LICENSE.txt"], __version__) == (project["license"], project["license-files"], project["version"])
    assert "MIT License" == (TOP / "docs" / "LICENSE.txt").read_text(encoding="utf-8").splitlines()[0].strip()
    assert "## Licence and citing MIT, see [docs/LICENSE.txt](docs/LICENSE.txt)." in readme and f"version {__version__}" in readme
