"""A command line that is run within the test: its exit code, what it says, its JSON."""

from __future__ import annotations

import json
import shlex
from collections.abc import Sequence
from typing import Any

from hpteach.cli import main


def ran(line: str | Sequence[str], capsys: Any) -> tuple[int, str, str]:
    """(exit code, standard output, standard error) of a command line."""
    code = main(shlex.split(line) if isinstance(line, str) else list(line))
    told = capsys.readouterr()
    return code, told.out, told.err


def shown(line: str, capsys: Any) -> dict[str, Any]:
    """The JSON object of a command that has to end well and say nothing else."""
    code, out, err = ran(f"{line} --json", capsys)
    assert (0, "") == (code, err)
    return json.loads(out)
