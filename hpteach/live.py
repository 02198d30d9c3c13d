"""A picture that follows the hand: an Agg canvas in an image widget of fixed size.

What lives here: `LiveFigure`.  What does not: what is drawn; it would serve any subject.

The still part is drawn once and kept; a move restores it and draws a few artists over
it.  The picture travels as a PNG with a palette of its own colours, which is several
times quicker to write than full colour, and looks the same.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import ipywidgets
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from hpteach.errors import LimitError

_COLOURS = 96
_VEIL = 0.65


@dataclass
class Still:
    """The still part of a picture, as pixels, and the palette of the pictures that stood on it."""

    region: Any
    palette: Image.Image | None = None


class LiveFigure:
    """A matplotlib figure shown in one ipywidgets `Image`.

    `width` and `height` are in CSS pixels; `scale` is how many picture pixels stand on
    one of them.  Draw on `figure`, then call `keep()` once and `draw(artists)` at every
    move; every artist passed must have been made with `animated=True`.  What `keep` gives
    can be laid down again with `lay`, in half a millisecond.  All of them hold `lock`, so that callbacks on several threads never mix two pictures.

    >>> live = LiveFigure(200, 100)
    >>> line, = live.figure.add_subplot().plot([0, 1], [0, 1], animated=True)
    >>> still = live.keep()
    >>> live.draw([line])
    >>> bytes(live.image.value[:4])
    b'\\x89PNG'
    """

    def __init__(self, width: int, height: int, *, scale: float = 1.0) -> None:
        if not (width >= 50 and height >= 50 and 1.0 <= scale <= 4.0):
            raise LimitError(f"a picture of {width} x {height} at scale {scale:g} is too small or too fine: use 50 or more, and a scale from 1 to 4")
        self.lock = threading.RLock()
        self.figure = Figure(figsize=(width / 100.0, height / 100.0), dpi=100.0 * scale)
        self.canvas = FigureCanvasAgg(self.figure)
        self.image = ipywidgets.Image(
            format="png",
            width=str(width),
            height=str(height),
            layout={"width": "auto", "max_width": f"min({width}px, 100%)", "height": "auto", "object_fit": "contain"},
        )
        self._still: Still | None = None
        self._drawn: list[Artist] = []

    def keep(self) -> Still:
        """Draw everything that is not animated and keep it as the still part."""
        with self.lock:
            self.canvas.draw()
            self._still = Still(self.canvas.copy_from_bbox(self.figure.bbox))
            return self._still

    def lay(self, still: Still) -> None:
        """Take up a still part kept before; its axes must still be on the figure."""
        with self.lock:
            self._still = still

    def draw(self, artists: Iterable[Artist]) -> None:
        """Lay artists over the still part and show the picture."""
        with self.lock:
            if self._still is None:
                self.keep()
            self.canvas.restore_region(self._still.region)
            self._drawn = list(artists)
            for artist in self._drawn:
                self.figure.draw_artist(artist)
            self.image.value = self._encoded(self._pixels())

    def veil(self) -> None:
        """Show the last picture faded, for a state that could not be drawn."""
        with self.lock:
            if self._still is None:
                self.keep()
            pixels = self._pixels()
            white = Image.new("RGB", pixels.size, "white")
            self.image.value = _png(Image.blend(pixels, white, _VEIL).convert("L"))

    def _pixels(self) -> Image.Image:
        width, height = self.canvas.get_width_height()
        return Image.frombuffer("RGBA", (width, height), self.canvas.buffer_rgba(), "raw", "RGBA", 0, 1).convert("RGB")

    def _encoded(self, pixels: Image.Image) -> bytes:
        # The palette is taken from the first picture: the artists that move keep their colours.
        if self._still.palette is None:
            self._still.palette = pixels.quantize(_COLOURS, dither=Image.Dither.NONE)
        return _png(pixels.quantize(palette=self._still.palette, dither=Image.Dither.NONE))


def _png(picture: Image.Image) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
