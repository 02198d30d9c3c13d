"""The key for the instructor: what is right on each form, then each question once with its worked solution.

What lives here: what stands in the key, whose layouts are in templates/key_form.html and templates/key_solution.html.  What does not:
judging an answer (questions.checking), the pictures (charts_on_paper).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from markupsafe import Markup

from hpteach.assessment.answer_sheet import part_letters
from hpteach.assessment.drawing_tasks import DRAWING_PART
from hpteach.assessment.forms import Form
from hpteach.papers.class_page import template
from hpteach.papers.question_sheet import conditions_in_words, drawn_cycle, in_lines, unbroken
from hpteach.questions import Part, Variant
from hpteach.questions.dealt_parts import lettered
from hpteach.units import base_number, show, shown_number, unit_shown

DRAWN = "the four points as on the chart of the solution"
POINTS = "0 to 4 points"

_MOST_MORE = 4
"""Decimals that a narrow band may need beyond one more than its answer."""


class Right(NamedTuple):
    """What is right in a part: its letter, the answer as it is shown, and what is accepted ("" where nothing else is)."""

    part: str
    answer: str
    accepted: str


class Keyed(NamedTuple):
    """A question of a form in the key: its number there, the number of its solution, and what is right."""

    number: int
    solution: int
    right: Sequence[Right]


def right_answers(variant: Variant) -> tuple[Right, ...]:
    """What is right in each part of a dealt question, in its units.

    >>> from hpteach.questions import deal, read_bank
    >>> right_answers(deal(read_bank().question("predict-gauge"), seed=1))[0].part
    'a'
    """
    return tuple(Right(letter, _answer(variant, part), _accepted(variant, part)) for letter, part in zip(part_letters(len(variant.parts)), variant.parts))


RIGHT_DRAWING = (Right(DRAWING_PART, DRAWN, POINTS),)


def key_of_form(form: Form, asked: Sequence[Keyed], hand_in_key: str) -> str:
    """The answers of one form in a table; the key with which its learner hands in by file stands over it."""
    return template("key_form.html").render(form=form, asked=asked, hand_in_key=hand_in_key)


def key_of_question(number: int, variant: Variant, picture: Markup, *, drawing: bool = False) -> str:
    """The worked solution of a question, with its picture and the foreseen mistakes."""
    question = variant.question
    if drawing:
        stated = "; ".join(conditions_in_words(drawn_cycle(variant), variant.system))
        prompt = f"Drawing task: the cycle of {drawn_cycle(variant).refrigerant}. {stated[0].upper()}{stated[1:]}."
        parts = [("", "", [], _points(variant), [])]
    else:
        prompt = variant.prompt
        letters = part_letters(len(variant.parts))
        parts = [
            (letter if len(letters) > 1 else "", part.text, _choices(part), f"{_answer(variant, part)}\n{part.solution}", _mistakes(variant, part))
            for letter, part in zip(letters, variant.parts)
        ]
    shown = [(letter, Markup(in_lines(text)), choices, Markup(in_lines(solved)), mistakes) for letter, text, choices, solved, mistakes in parts]
    return template("key_solution.html").render(number=number, question=question, prompt=Markup(in_lines(prompt)), parts=shown, picture=picture)


def _points(variant: Variant) -> str:
    cycle, system = drawn_cycle(variant), variant.system
    lines = [f"Point {point.label}: {show(point.pressure, 'pressure', system)}, {show(point.enthalpy, 'specific energy', system)}" for point in cycle.points if point.label in "1234"]
    return "\n".join([*lines, "A point counts where it lies within one small square of its place (common practice, no source)."])


def _choices(part: Part) -> list[tuple[str, Markup, bool]]:
    """The choices with their letters or numbers, and whether they are right."""
    right = str(part.answer).split() if part.kind == "several" else [part.answer]
    return [(letter, Markup(unbroken(text)), part.kind != "order" and (letter in right or text in right)) for letter, text in lettered(part.choices, part.kind)]


def _answer(variant: Variant, part: Part) -> str:
    if part.kind == "number":
        return _shown(variant, part, part.answer)
    letters = {text: letter for letter, text in lettered(part.choices, part.kind)}
    return f"{letters[part.answer]}: {part.answer}" if part.answer in letters else str(part.answer)


def _accepted(variant: Variant, part: Part) -> str:
    """From where to where a number is taken, each edge rounded inwards, so that it is right as it stands, with as many decimals as that needs."""
    if not part.accepts:
        return ""
    kind, system, air = part.quantity, variant.system, variant.atmosphere
    above = air if kind == "gauge pressure" else 0.0
    low, high = (shown_number(edge + above, kind, system, atmosphere=air) for edge in part.accepts)
    usual = unit_shown(kind, system).decimals + 1
    for decimals in range(usual, usual + _MOST_MORE):
        step = 10.0**-decimals
        edges = math.ceil(low / step) * step, math.floor(high / step) * step
        if edges[0] < edges[1]:
            break
    return " to ".join(show(base_number(edge, kind, system, atmosphere=air), kind, system, atmosphere=air, decimals=decimals) for edge in edges)


def _shown(variant: Variant, part: Part, value: float) -> str:
    above = variant.atmosphere if part.quantity == "gauge pressure" else 0.0
    return show(value + above, part.quantity, variant.system, atmosphere=variant.atmosphere)


def _mistakes(variant: Variant, part: Part) -> list[tuple[str, str]]:
    return [(_shown(variant, part, one.value) if part.kind == "number" else str(one.value), one.correction) for one in part.mistakes]
