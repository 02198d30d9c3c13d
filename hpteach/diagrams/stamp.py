"""Labels that move quickly: rendered once, then set down as pixels.

What lives here: `Stamp` and `rendered`.  What does not: which labels there are.  A still chart for paper
uses ordinary text; laying out text anew at each move would cost more than all the rest.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure


class Stamp(Artist):
    """A text in a box, centred `offset` points from the data position `xy`; for Agg canvases.

    >>> from matplotlib.figure import Figure
    >>> axes = Figure().add_subplot()
    >>> stamp = Stamp(axes, "2a", offset=(10, 10), fontsize=10)
    >>> stamp.xy = (0.5, 0.5)
    >>> stamp.get_animated()
    True
    """

    def __init__(self, axes: Any, text: str, *, offset: tuple[float, float], zorder: float = 6.0, **text_style: Any) -> None:
        super().__init__()
        self.xy = (0.0, 0.0)
        self.set_animated(True)
        self.set_zorder(zorder)
        self._offset = np.array(offset)
        self._text, self._text_style = text, text_style
        self._pixels: np.ndarray | None = None
        axes.add_artist(self)

    @property
    def offset(self) -> tuple[float, float]:
        """Points from the data position to the middle of the box."""
        return tuple(self._offset)

    @offset.setter
    def offset(self, offset: tuple[float, float]) -> None:
        """Stand elsewhere beside the data position."""
        self._offset = np.array(offset)

    @property
    def half(self) -> np.ndarray:
        """Half the width and half the height of the box, in points."""
        return np.array(self._painted().shape[1::-1]) * 36.0 / self.figure.dpi

    def draw(self, renderer: Any) -> None:
        """Set the pixels down."""
        if not self.get_visible():
            return
        pixels = self._painted()
        height, width = pixels.shape[:2]
        centre = self.axes.transData.transform(self.xy) + self._offset * self.figure.dpi / 72.0
        graphics = renderer.new_gc()
        renderer.draw_image(graphics, round(centre[0] - width / 2), round(centre[1] - height / 2), pixels)
        graphics.restore()

    def _painted(self) -> np.ndarray:
        if self._pixels is None:
            self._pixels = rendered(self._text, self.figure.dpi, self._text_style)
        return self._pixels


def rendered(text: str, dpi: float, style: dict[str, Any]) -> np.ndarray:
    """The text with its box as an RGBA array, cropped to what is painted, first row at the bottom.

    `style` is that of matplotlib's text.

    >>> rendered("2a", 100.0, {"fontsize": 10}).shape[2]
    4
    """
    figure = Figure(figsize=(2.0, 1.0), dpi=dpi)
    figure.patch.set_alpha(0.0)
    canvas = FigureCanvasAgg(figure)
    figure.text(0.5, 0.5, text, ha="center", va="center", **style)
    canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())
    rows, columns = np.nonzero(pixels[..., 3].any(axis=1))[0], np.nonzero(pixels[..., 3].any(axis=0))[0]
    return np.ascontiguousarray(pixels[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1][::-1])
