"""The chart in a prompt, from which the answers of a question are read.

What lives here: `asked_chart`, its words for whoever cannot see it, and the question offered to them instead.
What does not: which chart a question asks for (questions), drawing it (diagrams).
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.diagrams import SCREEN, Style, axes_rectangle
from hpteach.diagrams.reading_chart import draw_reading_chart
from hpteach.fluids import refrigerant
from hpteach.live import LiveFigure
from hpteach.questions import Bank, Question, Variant

_SIZE, _SCALE = (760, 620), 1.25

_SHOWS = {
    "pressure-enthalpy": "absolute pressure (logarithmic) over specific enthalpy, with the dome and lines of constant temperature, entropy, volume and vapour share",
    "temperature-entropy": "temperature over specific entropy, with the dome, isobars and lines of constant vapour share",
    "pressure-temperature": "absolute pressure (logarithmic) over temperature where liquid and vapour stand together",
}
"""What each kind of chart shows."""


@dataclass(frozen=True)
class AskedChart:
    """A drawn chart, and a sentence for those who cannot see it."""

    live: LiveFigure
    otherwise: str


def asked_chart(variant: Variant, bank: Bank, style: Style = SCREEN) -> AskedChart | None:
    """The chart of a dealt question in its units, drawn without any number of the answer; None where it is answered without one."""
    asked = variant.chart
    if asked is None:
        return None
    live = LiveFigure(*_SIZE, scale=_SCALE, words=chart_in_words(variant))
    axes = live.figure.add_axes(axes_rectangle(live.figure, style))
    draw_reading_chart(axes, asked.kind, refrigerant(asked.refrigerant), asked.cycle, asked.marked, system=variant.system, style=style)
    live.keep()
    live.draw(())
    live.image.observe(lambda change: live.sharpen(change["new"]), "density")
    live.image.add_class("hpteach-to-read")
    return AskedChart(live, instead(variant.question, bank))


def chart_in_words(variant: Variant) -> str:
    """What the chart shows, without what is to be read from it."""
    asked = variant.chart
    points = f" Of the cycle on it the points {', '.join(asked.marked)} are named." if asked.cycle is not None else ""
    return f"{asked.kind.capitalize()} chart of {asked.refrigerant} with a fine grid: {_SHOWS[asked.kind]}.{points} The answer can be read from the picture alone."


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
