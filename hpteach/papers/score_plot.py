"""How the scores of a class are spread, as a small picture in SVG.

What lives here: the picture.  What does not: the scores (assessment.marking), the page that it stands on (class_page).

Bars of ten per cent each, the count over each bar, a broken line at the pass mark: black on white, so that it prints and copies.  It has a title and
a description for whoever cannot see it, and neither names nor dates, so that the same scores give the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

BINS = 10

_WIDTH, _HEIGHT = 640, 280
_LEFT, _RIGHT, _TOP, _BOTTOM = 44, 620, 54, 226
_MOST_LINES = 5
_HAIR = 1e-9


def counts_of(shares: Sequence[float]) -> tuple[int, ...]:
    """How many scores lie in each tenth; a score on an edge belongs to the tenth above it, and a full one to the last.

    >>> counts_of([0.0, 0.1, 0.55, 1.0])
    (1, 1, 0, 0, 0, 1, 0, 0, 0, 1)
    """
    counts = [0] * BINS
    for share in shares:
        counts[min(BINS - 1, int(share * BINS + _HAIR))] += 1
    return tuple(counts)


def plot_in_words(shares: Sequence[float], pass_mark: float) -> str:
    """The picture as a sentence.

    >>> plot_in_words([0.35, 0.62, 0.66], 0.6)
    'Learners by score: 30 to 39 %: 1; 60 to 69 %: 2. The pass mark is 60 %.'
    """
    parts = [f"{_name(place)} %: {count}" for place, count in enumerate(counts_of(shares)) if count]
    return f"Learners by score: {'; '.join(parts) or 'none'}. The pass mark is {100.0 * pass_mark:.0f} %."


def score_plot(shares: Sequence[float], pass_mark: float) -> str:
    """The picture as an `<svg>` element to stand in a page.

    >>> score_plot([0.35, 0.62, 0.66], 0.6).startswith('<svg viewBox="0 0 640 280" role="img"')
    True
    """
    counts = counts_of(shares)
    step = max(1, -(-max(counts) // _MOST_LINES))
    top = step * max(1, -(-max(counts) // step))
    marks = [f'<text x="{_LEFT - 8}" y="{_TOP - 34}" text-anchor="middle">learners</text>']
    for count in range(0, top + 1, step):
        y = _at(count, top)
        marks.append(f'<path d="M{_LEFT} {y}H{_RIGHT}" stroke="#bbb"/><text x="{_LEFT - 8}" y="{y + 4}" text-anchor="end">{count}</text>')
    width = (_RIGHT - _LEFT) / BINS
    for place, count in enumerate(counts):
        x, y = _LEFT + place * width, _at(count, top)
        if count:
            marks.append(f'<rect x="{x + 3:g}" y="{y}" width="{width - 6:g}" height="{_BOTTOM - y}" fill="#ccc" stroke="#000"/>')
            marks.append(f'<text x="{x + width / 2:g}" y="{y - 5}" text-anchor="middle" font-weight="bold">{count}</text>')
        marks.append(f'<text x="{x + width / 2:g}" y="{_BOTTOM + 18}" text-anchor="middle">{_name(place)}</text>')
    at = round(_LEFT + pass_mark * (_RIGHT - _LEFT))
    marks.append(f'<path d="M{_LEFT} {_BOTTOM}H{_RIGHT}" stroke="#000" stroke-width="1.5"/>')
    marks.append(f'<path d="M{at} {_TOP - 28}V{_BOTTOM}" stroke="#000" stroke-width="2" stroke-dasharray="7 4"/>')
    end = at > _WIDTH / 2
    marks.append(f'<text x="{at - 6 if end else at + 6}" y="{_TOP - 34}" text-anchor="{"end" if end else "start"}">pass mark {100.0 * pass_mark:.0f} %</text>')
    marks.append(f'<text x="{(_LEFT + _RIGHT) // 2}" y="{_BOTTOM + 42}" text-anchor="middle">score, per cent of the marks</text>')
    said = escape(plot_in_words(shares, pass_mark))
    head = f'<svg viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" aria-label="{said}" font-family="sans-serif" font-size="13" fill="#000" xmlns="http://www.w3.org/2000/svg">'
    return "".join([head, f"<title>{said}</title>", *marks, "</svg>"])


def _at(count: int, top: int) -> int:
    return round(_BOTTOM - (_BOTTOM - _TOP) * count / top)


def _name(place: int) -> str:
    low = place * 100 // BINS
    return f"{low} to {low + 100 // BINS - 1}" if place < BINS - 1 else f"{low} to 100"
