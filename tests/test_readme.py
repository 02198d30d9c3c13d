"""The README's commands are the ones that continuous integration and the command line run."""

from __future__ import annotations

import shlex
from pathlib import Path

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text("utf-8")


def commands() -> list[str]:
    """Every line of the README that is set as code."""
    return [line.strip() for line in README.splitlines() if line.startswith("    ") and line.strip()]


def test_continuous_integration_runs_the_readmes_test_command() -> None:
    """.ci/run holds the README's test command word for word."""
    (command,) = [line for line in commands() if line.startswith("python3 -m venv") and "pytest" in line]
    assert command in (TOP / ".ci" / "run").read_text("utf-8").splitlines()


def test_every_command_of_the_readme_is_understood(capsys) -> None:
    """Each `hpteach` command shown in the README, other than those that open a server, runs and ends well."""
    from hpteach.cli import main

    shown = [line.split("-m hpteach", 1)[1] for line in commands() if "-m hpteach " in line and "venv .venv" not in line]
    shown = [line for line in shown if not {"lab", "--no-browser", "--out"} & set(shlex.split(line))]
    assert len(shown) >= 3
    for line in shown:
        assert 0 == main(shlex.split(line)), line
        assert capsys.readouterr().out


def test_every_lesson_is_in_the_list() -> None:
    """The README lists every lesson by its file."""
    for path in (TOP / "notebooks").glob("*.ipynb"):
        assert path.name in README
