"""A picture of a question as a live one, with its line of words, its sentences, and what to do for whoever cannot see it.

What lives here: `asked_widgets` for a prompt and `solution_widgets` for a worked solution.
What does not: what is drawn (question_pictures), when it is shown (exercise).
"""

from __future__ import annotations

from html import escape

import ipywidgets

from hpteach.diagrams import SCREEN, Style
from hpteach.errors import HpteachError
from hpteach.live import LiveFigure
from hpteach.panels.parts import WRAPPED
from hpteach.question_pictures import Picture, asked_picture, solution_picture
from hpteach.questions import Bank, Question, Variant
from hpteach.units import sentence

_SCALE, _TO_READ_SCALE = 1.1, 1.25


IN_AN_EXAM = "If you cannot see the chart: it alone holds the answer. Leave the question empty and tell your instructor, who can have it read to you."


def asked_widgets(variant: Variant, bank: Bank, style: Style = SCREEN, *, exam: bool = False) -> list[ipywidgets.Widget]:
    """The chart from which a question is answered, and what to do where it cannot be seen; nothing where there is none.

    In an exam no question takes the place of another.
    """
    picture = asked_picture(variant)
    if picture is None:
        return []
    live = _drawn(picture, picture.caption, style, _TO_READ_SCALE)
    live.image.add_class("hpteach-to-read")
    return _shown(live, f'<p class="hpteach-caption">{escape(IN_AN_EXAM if exam else instead(variant.question, bank))}</p>')


def solution_widgets(variant: Variant, style: Style = SCREEN) -> list[ipywidgets.Widget]:
    """The picture of a worked solution with its sentences, or why there is none; nothing where there is nothing to draw."""
    try:
        picture = solution_picture(variant)
        if picture is None:
            return []
        live = _drawn(picture, f"{picture.caption} The sentences below it tell the same.", style, _SCALE)
    except HpteachError as error:
        return [ipywidgets.HTML(f'<p class="hpteach-caption">There is no picture: {escape(sentence(error, variant.system))}</p>')]
    if not variant.cycle and not variant.weather and not variant.air:
        live.image.add_class("hpteach-circuit")
    said = "".join(f"<p>{escape(text)}</p>" for text in picture.sentences)
    return _shown(live, f'<p class="hpteach-caption">{escape(picture.caption)}</p><details><summary>The picture in words</summary>{said}</details>')


def instead(question: Question, bank: Bank) -> str:
    """What to do for those who cannot see the chart: another question of the topic that needs none, or any that a teacher deals.

    >>> from hpteach.questions import read_bank
    >>> bank = read_bank()
    >>> instead(bank.question("specific-work-from-chart"), bank).startswith("If you cannot see the chart")
    True
    """
    others = [one for one in bank.questions.values() if one.topic == question.topic and one.id != question.id and not any(part.read_from for part in one.parts)]
    others.sort(key=lambda one: (one.id.startswith("predict-"), abs(one.level - question.level), one.id))
    begin = "If you cannot see the chart: it alone holds the answer."
    return f"{begin} Take the question “{others[0].title}” ({others[0].id}) instead, which says all in words." if others else f"{begin} Leave this question out."


def _drawn(picture: Picture, words: str, style: Style, scale: float) -> LiveFigure:
    live = LiveFigure(*picture.size, scale=scale, words=words)
    moving = picture.draw(live.figure, style)
    live.keep()
    live.draw(moving)
    live.image.observe(lambda change: live.sharpen(change["new"]), "density")
    return live


def _shown(live: LiveFigure, caption: str) -> list[ipywidgets.Widget]:
    """A picture, which scrolls in a box of its own where a page is narrower than can be read, and a line below it."""
    box = ipywidgets.Box([live.image], layout=WRAPPED)
    box.add_class("hpteach-scrolls")
    return [box, ipywidgets.HTML(f'<p class="hpteach-slide">Where it is cut off, slide it sideways.</p>{caption}')]
