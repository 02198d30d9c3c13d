"""The chart of an exam's question, and the picture of its worked solution.

What lives here: both as widgets, in the make of the question panel.  What does not: drawing them.
"""

from __future__ import annotations

from html import escape

import ipywidgets

from hpteach.errors import HpteachError
from hpteach.panels.parts import WRAPPED
from hpteach.questions import Bank, Variant
from hpteach.units import sentence

try:
    from hpteach.panels.question_picture import asked_widgets, solution_widgets
except ImportError:
    from hpteach.panels.asked_chart import asked_chart
    from hpteach.panels.solution_picture import picture_of

    def _shown(live: object, caption: str) -> list[ipywidgets.Widget]:
        box = ipywidgets.Box([live.image], layout=WRAPPED)
        box.add_class("hpteach-scrolls")
        return [box, ipywidgets.HTML(f'<p class="hpteach-caption">{escape(caption)}</p>')]

    def asked_widgets(variant: Variant, bank: Bank) -> list[ipywidgets.Widget]:
        """The chart from which a question is answered; nothing where there is none."""
        chart = asked_chart(variant, bank)
        return [] if chart is None else _shown(chart.live, chart.otherwise)

    def solution_widgets(variant: Variant) -> list[ipywidgets.Widget]:
        """The picture of a worked solution; nothing where there is none."""
        try:
            picture = picture_of(variant)
        except HpteachError as error:
            return [ipywidgets.HTML(f'<p class="hpteach-caption">There is no picture: {escape(sentence(error, variant.system))}</p>')]
        return [] if picture is None else _shown(picture.live, picture.caption)


def chart_of(variant: Variant, bank: Bank) -> list[ipywidgets.Widget]:
    """The chart from which a question is answered; nothing where there is none."""
    return asked_widgets(variant, bank)


def solution_of(variant: Variant) -> list[ipywidgets.Widget]:
    """The picture of a worked solution; nothing where there is none."""
    return solution_widgets(variant)
