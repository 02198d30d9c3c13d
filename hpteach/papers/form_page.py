"""A form as it is printed: its head, its questions by sections, the cards behind it.

What lives here: what stands on a form, whose layout is in templates/form.html, and the page around forms (templates/sheet.html).
What does not: a question (question_sheet), a chart (charts_on_paper), writing files (paper_files).

No answer and no seed stands on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import groupby
from typing import NamedTuple

from markupsafe import Markup

from hpteach.assessment.blueprint import Blueprint
from hpteach.assessment.forms import Form
from hpteach.errors import UnknownNameError
from hpteach.papers.attached_card import card_style
from hpteach.papers.class_page import template
from hpteach.papers.question_sheet import marks_in_words
from hpteach.readouts import GENERAL_CAUTION

SIZES = ("A4", "Letter")
UNITS_IN_WORDS = {"SI": "SI: °C, bar, kJ/kg", "IP": "IP: °F, psi, Btu/lb"}

_HERE = "\N{OBJECT REPLACEMENT CHARACTER}"


class Asked(NamedTuple):
    """A question on its form: its number, what it is worth, and how it is printed."""

    number: int
    section: str
    marks: float
    sheet: Markup


def form_page(form: Form, blueprint: Blueprint, asked: Sequence[Asked], cards: Sequence[Markup] = ()) -> str:
    """One form, to stand in a page of `page_around`."""
    sections = [(title, [(one.number, marks_in_words(one.marks), one.sheet) for one in ones]) for title, ones in groupby(asked, key=lambda one: one.section)]
    return template("form.html").render(
        form=form,
        blueprint=blueprint,
        sections=sections,
        cards=cards,
        marks=marks_in_words(form.marks),
        units=UNITS_IN_WORDS[form.questions[0].system],
        caution=GENERAL_CAUTION,
    )


@cache
def page_around(title: str, paper: str = "A4", *, numbered: bool = True) -> tuple[str, str]:
    """What stands in a page before and behind its content: forms, cards or the key; `numbered` numbers its sheets.

    Raises `UnknownNameError` for another size of paper.

    >>> page_around("Papers", "A4")[1].split()[-1]
    '</html>'
    """
    if paper not in SIZES:
        raise UnknownNameError.among("paper", paper, SIZES)
    page = template("sheet.html").render(title=title, paper=paper, content=_HERE, card_style=card_style(), numbered=numbered)
    before, _, behind = page.partition(_HERE)
    return before, behind
