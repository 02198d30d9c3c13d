"""How a picture is shared out: the axes, and around them title, numbers, axis titles and key in the type of a style.

What lives here: `axes_rectangle`, `fitting_title` and `key_below`.  What does not: what a chart shows (chart).  All distances
follow the type, so that nothing is cut off where the type is larger.
"""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.lines import Line2D
from matplotlib.transforms import ScaledTranslation

from hpteach.diagrams.style import SCREEN, Style

_LINE = 1.2
"""Height of a line of type, of its size."""

_KEY_LINE = 1.45
"""Height of a row of the key, of the size of its type."""

_WIDEST = 2.55
"""Width of a number of four figures, of its size."""

_KEY_WIDTH, _KEY_WIDTH_NAMED = 29.7, 34.5
"""Width of the longest key in one row, of the size of its type; where a refrigerant is named in it it is longer."""

_SMALLEST_TITLE = 0.85
"""Of the size that a title should have: before it becomes smaller than this a shorter one is taken."""

_SMALLEST_KEY = 8.0
"""Points of type; a key that is still too wide would be unreadable if it were smaller."""


def axes_rectangle(
    figure: Figure, style: Style = SCREEN, *, names: bool = False, key: bool = True, above: float = 0.0, widest: float = _WIDEST
) -> tuple[float, float, float, float]:
    """Left, bottom, width and height of a chart's axes in shares of the figure, with room for all that stands around them.

    `names` leaves room for a row of names between title and axes, and for a key that names a refrigerant; without `key` there is
    none.  `above` is more room under the title (points), `widest` the width of the widest number on the upright axis, of its size.

    >>> [round(share, 3) for share in axes_rectangle(Figure(figsize=(5.4, 4.7)))]
    [0.137, 0.17, 0.828, 0.758]
    """
    width, height = (72.0 * float(inches) for inches in figure.get_size_inches())
    left, right = _sides(style, widest)
    rows = 0 if not key else 1 if width >= (_KEY_WIDTH_NAMED if names else _KEY_WIDTH) * style.isoline_size else 2
    below = _to_key(style) + rows * _KEY_LINE * style.isoline_size + 1.0
    above += 6.3 + _LINE * style.title_size + (row_of_names(style) if names else 0.0)
    return (left / width, below / height, 1.0 - (left + right) / width, 1.0 - (below + above) / height)


def row_of_names(style: Style) -> float:
    """Points that a row of names takes between the axes and a title."""
    return 1.9 * style.tick_size


def fitting_title(axes: Axes, texts: Sequence[str], size: float, style: Style, *, above: float = 0.0) -> None:
    """Write the first of some titles that fits over the axes and half of the room to the right, if need be somewhat smaller; or the last.

    `above` is how many points it stands higher than usual.
    """
    room = axes.bbox.width + 0.5 * _sides(style)[1] * axes.figure.dpi / 72.0
    for text in texts:
        title = axes.set_title(text, loc="left", fontsize=size, color=style.ink, y=1.0, pad=6.0 + above)
        share = room / title.get_window_extent().width
        if share >= _SMALLEST_TITLE:
            title.set_fontsize(size * min(1.0, share))
            return


def key_below(axes: Axes, handles: Sequence[Line2D], style: Style, *, size: float | None = None) -> Legend:
    """The key of the lines in the middle of the picture under the axis title: in one row, or in two where one is too wide.

    `size` is that of its type, by default the style's for lines of the background.
    """
    left, right = _sides(style)
    dpi = axes.figure.dpi
    room = axes.bbox.width + (left + right - 6.0) * dpi / 72.0
    place = axes.transAxes + ScaledTranslation((right - left) / 144.0, -_to_key(style) / 72.0, axes.figure.dpi_scale_trans)
    size = size or style.isoline_size
    for columns, close in ((len(handles), False), (len(handles), True), (-(-len(handles) // 2), False)):
        key = _key(axes, handles, size, columns, place, close=close)
        if key.get_window_extent().width <= room:
            return key
    while key.get_window_extent().width > room and size > _SMALLEST_KEY:
        size -= 0.5
        key = _key(axes, handles, size, columns, place, close=True)
    return key


def _key(axes: Axes, handles: Sequence[Line2D], size: float, columns: int, place: object, *, close: bool) -> Legend:
    return axes.legend(
        handles=handles,
        loc="upper center",
        bbox_to_anchor=(0.5, 0.0),
        bbox_transform=place,
        ncols=columns,
        frameon=False,
        fontsize=size,
        borderpad=0.0,
        borderaxespad=0.0,
        labelspacing=0.25,
        handlelength=1.7 if close else 2.2,
        columnspacing=0.6 if close else 1.0,
        handletextpad=0.4 if close else 0.8,
    )


def _sides(style: Style, widest: float = _WIDEST) -> tuple[float, float]:
    """Points to the left of the axes, for numbers and title of the upright axis, and to the right, for half a number."""
    return 7.0 + widest * style.tick_size + _LINE * style.label_size, 1.13 * style.tick_size


def _to_key(style: Style) -> float:
    """Points from the axes down to the key: ticks, numbers and title of the level axis."""
    return 12.0 + _LINE * (style.tick_size + style.label_size)
