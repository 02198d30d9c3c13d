"""A small class with its papers, and sheets of answers to them, for the tests of marking."""

from __future__ import annotations

from functools import cache

from hpteach.assessment.answer_sheet import COLUMNS, part_letters
from hpteach.assessment.blueprint import blueprint_of
from hpteach.assessment.drawing_tasks import DRAWING_PART
from hpteach.assessment.form_codes import form_code
from hpteach.assessment.forms import Form, FormQuestion
from hpteach.assessment.given_answers import NEEDED
from hpteach.assessment.manifest import Manifest
from hpteach.assessment.marked import MarkedClass
from hpteach.assessment.marking import mark
from hpteach.assessment.roster import Learner
from hpteach.assessment.tabular import Sheet, sheet_bytes, sheet_from_bytes
from hpteach.assessment.variant_store import VariantStore
from hpteach.questions import Bank, Part, Variant, read_bank
from hpteach.questions.proof_of_texts import shown_answer

BLUEPRINT = """title = "Desk paper (invented)"
edition = 1
purpose = "To mark."
minutes = 30
pass_mark = 50
pass_mark_why = "common practice, no source"
units = "learner"
table = "open"
not_covered = ["It is no approved exam."]
[[sections]]
title = "Gauges & circuit"
questions = 3
topics = ["circuit", "gauges"]
[[sections]]
title = "Cycle"
questions = 3
topics = ["cooling", "pressure-enthalpy"]
drawings = 1
"""

LEARNERS = (Learner("7", "Ada <b>Fernhill</b>"), Learner("AB 12", "=HYPERLINK(1)", units="IP"), Learner("9", "عمر"), Learner("10"))


@cache
def bank() -> Bank:
    """The project's bank."""
    return read_bank()


@cache
def store() -> VariantStore:
    """The dealt questions, kept for all tests of a process."""
    return VariantStore(bank())


HELD = {
    "7": ("state-in-the-vapour-line", "position-by-the-vapour-line", "subcooling-from-the-gauge", "states-at-the-coil-ends", "cooling-cop", "specific-work-from-chart"),
    "AB 12": ("order-the-circuit", "order-the-coil-sides", "superheat-from-the-gauge", "cooling-cop", "states-at-the-coil-ends", "specific-work-from-chart"),
    "9": ("state-in-the-vapour-line", "order-the-lines", "subcooling-from-the-gauge", "states-at-the-coil-ends", "specific-work-from-chart", "cooling-cop"),
    "10": ("state-in-the-vapour-line", "doubt-the-liquid-line", "position-by-the-vapour-line", "states-at-the-coil-ends", "specific-work-from-chart", "cooling-cop"),
}
"""The questions of each learner's form, of which the last is a drawing; 4 and 5 have two parts, all others one."""


@cache
def papers() -> Manifest:
    """The papers of four learners, of whom one works in IP; each form has six questions for eleven marks."""
    blueprint = blueprint_of(BLUEPRINT, "desk.toml", "desk")
    forms, ids = [], sorted({id for held in HELD.values() for id in held})
    versions = {id: bank().question(id).version for id in ids}
    for place, learner in enumerate(LEARNERS):
        questions = []
        for number, id in enumerate(HELD[learner.id], start=1):
            title = blueprint.sections[number > 3].title
            questions.append(FormQuestion(number, id, versions[id], 7 + place, blueprint.system_for(learner), title, drawing=number == 6))
        forms.append(Form(form_code(123_456 + place), learner, blueprint.id, tuple(questions), 0.4, 11.0))
    return Manifest(blueprint, tuple(forms), versions)


def variant(form: Form, number: int) -> Variant:
    """The dealt question of a form."""
    one = form.questions[number - 1]
    return store().variant(one.question, one.seed, one.system)


def right(dealt: Variant, part: Part) -> str:
    """The right answer as a learner writes it."""
    return shown_answer(dealt, part) if part.kind == "number" else str(part.answer)


def rows_of(form: Form, answered: bool = True) -> list[list[str]]:
    """The rows of a form on the answer sheet, with every answer right or every answer blank."""
    rows = []
    for one in form.questions:
        if one.drawing:
            asked = [(DRAWING_PART, "4")]
        else:
            dealt = variant(form, one.number)
            asked = [(letter, right(dealt, part)) for letter, part in zip(part_letters(len(dealt.parts)), dealt.parts)]
        rows += [[form.learner.id, form.learner.name, form.code, str(one.number), letter, text if answered else ""] for letter, text in asked]
    return rows


def sheet(*rows: list[str], file: str = "answers.csv") -> Sheet:
    """A sheet of answers that was written and read back."""
    return sheet_from_bytes(sheet_bytes(COLUMNS, rows), file, needed=NEEDED)


def class_sheet() -> Sheet:
    """The answers of the small class: one all right; one with a mistake, a blank, an answer nobody can read, one with markup and a drawing half done; one absent; one all blank but one."""
    first, second, third, fourth = papers().forms
    wrong = f"{next(part for part in variant(first, 5).parts if part.id == 'cop').mistakes[0].value:.3f}"
    other = {("5", "b"): wrong, ("1", "a"): "", ("3", "a"): "<script>alert(1)</script>", ("4", "a"): "smudged", ("6", "points"): "2.5"}
    rows = [[*row[:5], other.get((row[3], row[4]), row[5])] for row in rows_of(first)]
    return sheet(*rows, *rows_of(second), *rows_of(third, answered=False), *rows_of(fourth, answered=False)[1:], rows_of(fourth)[0])


def raw(text: str) -> Sheet:
    """A sheet as somebody typed it, without its headings."""
    return sheet_from_bytes(f"{','.join(COLUMNS)}\n{text}".encode(), "answers.csv", needed=NEEDED)


def marked(answers: Sheet | None, **how: object) -> MarkedClass:
    """The small class, marked."""
    return mark(papers(), bank(), sheet=answers, store=store(), workers=1, **how)
