"""The picture of the panel of claims: the hands of the room before the evidence, some figures beside each other after it.

What lives here: `draw_hands`, `draw_figures`.  What does not: the figures (claims), the words (claims panel).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hpteach.claims import Figure, unit_of
from hpteach.diagrams import Style
from hpteach.live import LiveFigure
from hpteach.units import shown_number

WIDTH, HEIGHT = 620, 430
_LEVELS = ("temperature", "gauge pressure")
"""Kinds whose zero is not nothing: they are marked on a line, not drawn as bars."""

_FILLS = ("#9db7d9", "#d9b29d", "#a9cba4", "#cfc38f", "#c3b1d1", "#b5b5b5")
_HATCHES = ("", "//", "..", "xx", "\\\\", "--")


def draw_hands(live: LiveFigure, hands: Mapping[str, int], style: Style) -> None:
    """A bar for each verdict with how many hands it has."""
    axes = _axes(live, style, "Hands of the room")
    most = max([*hands.values(), 1])
    rows = [(verdict, f"{count}", float(count)) for verdict, count in hands.items()]
    _bars(axes, rows, 0.0, float(most), style)
    _show(live)


def draw_figures(live: LiveFigure, figures: Sequence[Figure], system: str, style: Style) -> None:
    """A row for each figure, all of one kind: a bar from nothing, or a mark on a line for temperatures and gauges; empty for none."""
    if not figures:
        _axes(live, style, "Figures: see the table")
        _show(live)
        return
    unit = unit_of(figures[0], system)
    axes = _axes(live, style, f"The figures beside each other{', ' + unit if unit else ''}")
    rows = [(one.words, one.shown(system), _number(one, system)) for one in figures]
    values = [number for *_, number in rows]
    if figures[0].kind in _LEVELS:
        spread = max(max(values) - min(values), 1e-9)
        _marks(axes, rows, min(values) - 0.12 * spread, max(values) + 0.12 * spread, style)
    else:
        _bars(axes, rows, min([*values, 0.0]), max([*values, 0.0]), style)
    _show(live)


def _number(one: Figure, system: str) -> float:
    value = float(one.value)
    return value if one.kind in ("share", "pressure difference") else float(shown_number(value, one.kind, system))


def _axes(live: LiveFigure, style: Style, title: str):  # noqa: ANN202
    live.figure.clear()
    live.figure.set_facecolor(style.paper)
    axes = live.figure.add_axes((0.03, 0.03, 0.94, 0.86))
    axes.set_axis_off()
    axes.set_title(title, loc="left", fontsize=style.title_size, color=style.ink)
    return axes


def _show(live: LiveFigure) -> None:
    live.keep()
    live.draw([])


def _rows(axes, rows: Sequence[tuple[str, str, float]], style: Style) -> None:  # noqa: ANN001
    """Room for the rows, with the words of each over its place."""
    axes.set_ylim(max(len(rows), 4) - 0.1, -0.1)  # a few rows do not spread over the whole picture
    for index, (words, *_) in enumerate(rows):
        axes.text(0.012, index + 0.36, words, transform=axes.get_yaxis_transform(), ha="left", va="bottom", fontsize=style.tick_size, color=style.ink)


def _bars(axes, rows: Sequence[tuple[str, str, float]], least: float, most: float, style: Style) -> None:  # noqa: ANN001
    _rows(axes, rows, style)
    span = (most - least) or 1.0
    axes.set_xlim(least, least + 1.3 * span)
    for index, (_, shown, value) in enumerate(rows):
        axes.barh(
            index + 0.62, value, height=0.42, facecolor=_FILLS[index % 6], edgecolor=style.ink, hatch=_HATCHES[index % 6], linewidth=0.7 * style.dome_weight
        )  # fmt: skip
        axes.text(max(value, 0.0) + 0.015 * span, index + 0.62, shown, ha="left", va="center", fontsize=style.label_size, color=style.ink)
    axes.axvline(0.0, color=style.ink, linewidth=style.isoline_weight)


def _marks(axes, rows: Sequence[tuple[str, str, float]], least: float, most: float, style: Style) -> None:  # noqa: ANN001
    _rows(axes, rows, style)
    span = most - least
    axes.set_xlim(least, least + 1.3 * span)
    for index, (_, shown, value) in enumerate(rows):
        axes.plot([least, most], [index + 0.64] * 2, color="#8a8a8a", linewidth=style.isoline_weight)
        axes.plot([value], [index + 0.64], marker="o", markersize=9.0 * style.tick_size / 12.0, color=style.looks[0].colour, linestyle="none")
        behind = {"facecolor": style.paper, "edgecolor": "none", "pad": 1.0}
        axes.text(value + 0.025 * span, index + 0.64, shown, ha="left", va="center", fontsize=style.label_size, color=style.ink, bbox=behind)
