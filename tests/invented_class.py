"""An invented bank whose questions are quickly dealt, a blueprint for it, and a class."""

from __future__ import annotations

from dataclasses import replace

from hpteach.assessment.blueprint import Blueprint, blueprint_of
from hpteach.assessment.roster import Learner
from hpteach.assessment.secret import Secret
from hpteach.questions import Bank
from tests import small_bank

SECRET = Secret(bytes(range(16)))

HEAD = """title = "Quiz (invented)"
edition = 1
purpose = "To see."
minutes = 20
pass_mark = 60
pass_mark_why = "common practice, no source"
units = "learner"
table = "open"
not_covered = ["It is no approved exam."]
"""

TWO_SECTIONS = """[[sections]]
title = "Gauges"
questions = 4
topics = ["gauges"]
[[sections]]
title = "All"
questions = 3
lessons = ["01"]
levels = { 1 = 1, 2 = 2 }
"""


def blueprint(sections: str = TWO_SECTIONS, id: str = "quiz", **changed: object) -> Blueprint:
    """A blueprint with some sections."""
    return replace(blueprint_of(HEAD + sections, f"{id}.toml", id), **changed)


def question(id: str, *, parts: int = 1, **other: object):
    """A question with so many parts that are all alike."""
    made = small_bank.question(id, **other)
    return replace(made, parts=tuple(replace(made.parts[0], id=f"p{number}") for number in range(parts)))


def bank(gauges: int = 8, circuit: int = 6) -> Bank:
    """Questions on two topics, of levels 1 to 3 in turn, with one to three parts."""
    topics = [("gauges", number) for number in range(gauges)] + [("circuit", number) for number in range(circuit)]
    return small_bank.bank(*(question(f"{topic}-{number}", topic=topic, level=1 + number % 3, parts=1 + number % 2) for topic, number in topics))


def learners(count: int, first: int = 0) -> list[Learner]:
    """So many learners; every third works in IP."""
    return [Learner(f"L{number}", f"Invented learner {number}", units="IP" if number % 3 == 2 else "") for number in range(first, first + count)]
