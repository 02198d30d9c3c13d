"""The README's commands: which are run here, which continuous integration runs, and what they start."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text("utf-8")


def commands() -> list[str]:
    """Every line of the README that is set as code."""
    return [line.strip() for line in README.splitlines() if line.startswith("    ") and line.strip()]


INSTALLS = [line for line in commands() if "venv .venv" in line]
PAGES = [line for line in commands() if "-m hpteach pages" in line]
SHOWN = [line for line in commands() if "-m hpteach " in line and line not in [*INSTALLS, *PAGES]]


def last_step(line: str) -> list[str]:
    """The words of the last of several steps in one line, whichever shell it is for."""
    return line.replace("&&", ";").rpartition(";")[2].split()


def test_continuous_integration_runs_the_readmes_test_command() -> None:
    """.ci/run holds the README's test command word for word."""
    (command,) = [line for line in commands() if line.startswith("python3 -m venv") and "pytest" in line]
    assert command in (TOP / ".ci" / "run").read_text("utf-8").splitlines()


@pytest.mark.parametrize("line", SHOWN)
def test_shown_command_runs(line, capsys, monkeypatch, tmp_path) -> None:
    """Each `hpteach` command that the README shows runs in an empty folder, prints something, and writes the file that it names."""
    from hpteach.cli import main

    monkeypatch.chdir(tmp_path)
    words = shlex.split(line.split("-m hpteach", 1)[1])
    assert 0 == main(words)
    assert capsys.readouterr().out
    named = {words[words.index(option) + 1] for option in ("--out", "--seed-secret") if option in words}
    assert named == {path.name for path in tmp_path.iterdir() if path.stat().st_size}


def test_the_readme_shows_a_command_that_writes_a_file() -> None:
    """Commands with and without a file are among those shown."""
    assert {True, False} == {"--out" in line for line in SHOWN}


@pytest.mark.parametrize("line", [line for line in INSTALLS if "pytest" not in line])
def test_start_command_ends_by_opening_the_course(line) -> None:
    """After installing, the start command of either system calls `hpteach` without a word, which starts JupyterLab at the first lesson."""
    from hpteach.cli import main

    python, *rest = last_step(line)
    started: list[list[str]] = []
    assert python.replace("\\", "/") in (".venv/bin/python", ".venv/Scripts/python")
    assert ["-m", "hpteach"] == rest
    assert 0 == main(rest[2:], run=lambda command: started.append(list(command)) or 0)
    assert "jupyterlab" in started[0] and any("00-start-here.ipynb" in word for word in started[0])


def test_pages_are_shown_for_both_systems() -> None:
    """The README shows how the pages are served on either kind of system."""
    assert [".venv/bin/python", ".venv\\Scripts\\python"] == [last_step(line)[0] for line in PAGES]


@pytest.mark.parametrize("line", PAGES)
def test_pages_command_installs_the_extra_and_serves_the_lessons(line) -> None:
    """The command installs what pages need besides, and ends by serving the lessons for this machine alone."""
    from hpteach.cli import main

    install, _ = line.replace("&&", ";").split(";")
    assert ["-m", "pip", "install", "--quiet", "--editable", '".[pages]"'] == install.split()[1:]
    started: list[list[str]] = []
    assert 0 == main(last_step(line)[3:], run=lambda command: started.append(list(command)) or 0)
    assert "hpteach.serving" in started[0] and "--Voila.ip=127.0.0.1" in started[0]


@pytest.mark.parametrize("line", INSTALLS)
def test_installing_names_an_environment_and_this_folder(line) -> None:
    """Both systems install this folder into `.venv`; on Windows `py` is told which Python, as it would pick the newest."""
    make, install, _ = line.replace("&&", ";").split(";")
    assert make.split() in (["python3", "-m", "venv", ".venv"], ["py", "-3.12", "-m", "venv", ".venv"])
    assert ["-m", "pip", "install", "--quiet", "--editable"] == install.split()[1:6]
    assert install.split()[6] == ('".[test]"' if "pytest" in line else ".")


def test_the_list_of_lessons_is_that_of_the_index() -> None:
    """The README and notebooks/index.ipynb list the same lessons, each with the same sentence."""
    cells = json.loads((TOP / "notebooks" / "index.ipynb").read_text("utf-8"))["cells"]
    index = "\n\n".join("".join(cell["source"]) for cell in cells)
    here = re.findall(r"^\d+\. \[([^\]]+)\]\(notebooks/([\w-]+\.ipynb)\): (.*?)(?=\n\d+\. |\n\n)", README, re.MULTILINE | re.DOTALL)
    there = re.findall(r"^- \[([^\]]+)\]\(([\w-]+\.ipynb)\), \d+ minutes: (.*)$", index, re.MULTILINE)
    assert 17 == len(here)
    assert [(title, file, " ".join(said.split())) for title, file, said in here] == there


def test_every_lesson_is_in_the_list() -> None:
    """The README lists every lesson by its file."""
    for path in (TOP / "notebooks").glob("*.ipynb"):
        assert path.name in README
