"""How a learner stands as a picture: a bar for each topic, with the right and the wrong answers in it and what is due beside it.

What lives here: `draw_standing`, its size and its words.  What does not: counting (assessment).  Right is solid and wrong is
hatched, and every count stands beside its bar, so that the picture reads in grey too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from hpteach.diagrams.style import SCREEN, Style

_WIDTH, _ROW, _HEAD, _FOOT = 29.4, 2.3, 5.1, 0.6  # of the size of the numbers, so that they can be read on a phone
_NAME, _BAR = 11.6, 7.2  # widths of the first two columns
_COLUMNS = {"right": 21.8, "wrong": 25.8, "due": 28.8}  # right ends of the numbers
_THICK = 0.62  # of a row
_HATCH = "////"
_PIXELS = 100.0 / 72.0


@dataclass(frozen=True)
class TopicBar:
    """A topic's row: its name, the right and the wrong answers, and how many questions are due again."""

    name: str
    right: int
    wrong: int
    due: int


def standing_size(bars: Sequence[TopicBar], style: Style = SCREEN) -> tuple[int, int]:
    """Width and height in CSS pixels of the picture of these bars, in the type of a style.

    >>> standing_size([TopicBar("gauges", 3, 1, 1)])
    (490, 133)
    """
    unit = style.tick_size * _PIXELS
    return round(_WIDTH * unit), round((_HEAD + _FOOT + _ROW * len(bars)) * unit)


def draw_standing(figure: Figure, bars: Sequence[TopicBar], style: Style = SCREEN) -> None:
    """Draw the bars on an empty figure of their size, the first one on top; each is as long as any other, and shared out by its answers.

    >>> figure = Figure(figsize=(4.9, 1.33))
    >>> draw_standing(figure, [TopicBar("gauges", 3, 1, 1)])
    >>> [text.get_text() for text in figure.axes[0].texts][-4:]
    ['gauges', '3', '1', '1']
    """
    figure.set_facecolor(style.paper)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, _WIDTH)
    axes.set_ylim(_HEAD + _FOOT + _ROW * len(bars), 0.0)

    def text(x: float, y: float, words: str, **how: object) -> None:
        axes.text(x, y, words, **{"va": "center", "ha": "left", "fontsize": style.tick_size, "color": style.ink, **how})

    def box(x: float, y: float, width: float, *, hatched: bool) -> None:
        fill = {"facecolor": style.paper, "hatch": _HATCH} if hatched else {"facecolor": style.looks[0].colour}
        axes.add_patch(Rectangle((x, y - 0.5 * _THICK * _ROW), width, _THICK * _ROW, edgecolor=style.ink, linewidth=0.5 * style.dome_weight, **fill))

    text(0.5, 1.2, "Right and wrong answers by topic", fontsize=style.title_size)
    for x, name, hatched in ((0.5, "right", False), (5.4, "wrong", True)):
        box(x, 3.4, 1.6, hatched=hatched)
        text(x + 2.0, 3.4, name)
    for name, end in _COLUMNS.items():
        text(end, 3.4, name, ha="right")
    axes.plot([0.5, _WIDTH - 0.5], [_HEAD - 0.4] * 2, color=style.ink, linewidth=style.isoline_weight)
    for number, bar in enumerate(bars):
        y = _HEAD + (number + 0.5) * _ROW
        answers = bar.right + bar.wrong
        if answers:
            share = _BAR * bar.right / answers
            if bar.right:
                box(_NAME, y, share, hatched=False)
            if bar.wrong:
                box(_NAME + share, y, _BAR - share, hatched=True)
        text(0.5, y, bar.name)
        for name, end in _COLUMNS.items():
            count = getattr(bar, name)
            text(end, y, f"{count}", ha="right", fontweight="bold" if name == "due" and count else "normal")


def standing_words(bars: Sequence[TopicBar]) -> str:
    """What the picture shows, for whoever cannot see it.

    >>> standing_words([TopicBar("gauges", 3, 1, 1)])
    'A bar for each topic. gauges: 3 right, 1 wrong, 1 due again.'
    """
    rows = (f"{bar.name}: {bar.right} right, {bar.wrong} wrong, {bar.due} due again." for bar in bars)
    return " ".join(("A bar for each topic.", *rows)) if bars else "No topic has been tried yet."
