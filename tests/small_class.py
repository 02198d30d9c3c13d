"""Papers for the small class of desk_class, written to a folder, for the tests of what is printed."""

from __future__ import annotations

from pathlib import Path

from hpteach.assessment.secret import Secret
from hpteach.papers import Printed, write_papers
from tests import desk_class as desk

SECRET = Secret(bytes(range(16)))


def written(folder: Path, **how: object) -> Printed:
    """The papers of the small class in a folder."""
    return write_papers(desk.papers().forms, desk.papers().blueprint, desk.bank(), SECRET, folder, store=desk.store(), **how)
