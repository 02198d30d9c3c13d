"""A picture that follows the hand: a drawing canvas shown in a widget of fixed size.

What lives here: `LiveFigure`, and the widget `Picture` with its part that runs in the browser (picture.js).
What does not: what is drawn; it would serve any subject.

The still part is drawn once, kept, and sent once as a PNG.  A move restores it, draws a few artists over it, and
sends only the pixels that are now different from it: nothing has to be compressed here or decoded there.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import anywidget
import numpy as np
import traitlets
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from hpteach.errors import LimitError

_FINEST = 2.0
"""Picture pixels on a CSS pixel beyond which nobody sees a difference, but every move costs more."""

_BROAD = 600
"""CSS pixels from which on a picture is too broad for a phone: shrunk to its width nobody could read the type."""

_FADED = (0.35, 1.48)
"""Contrast and brightness of a faded picture, as in picture.js."""


class Picture(anywidget.AnyWidget):
    """A still part (`still`, a PNG) with other pixels over it (`patch`), `width` by `height`; `words` say what it shows.

    `patch` is a row of 32-bit numbers, little end first: how many runs of pixels there are, where each begins (counted
    along the rows from the upper left), how long each is, and then the pixels of all runs as red, green, blue and opaque.
    `faded` shows the whole in pale grey.

    >>> Picture(words="a chart").words
    'a chart'
    """

    _esm = Path(__file__).with_name("picture.js").read_text(encoding="utf-8")

    still = traitlets.Bytes().tag(sync=True)
    patch = traitlets.Bytes().tag(sync=True)
    faded = traitlets.Bool(False).tag(sync=True)
    width = traitlets.Int(100).tag(sync=True)
    height = traitlets.Int(100).tag(sync=True)
    words = traitlets.Unicode().tag(sync=True)
    density = traitlets.Float(1.0).tag(sync=True)
    """Screen pixels on a CSS pixel, as the browser says."""

    @property
    def value(self) -> bytes:
        """The whole picture as a PNG, put together as the browser does it."""
        return composed(self.still, self.patch, faded=self.faded)


@dataclass(frozen=True)
class Still:
    """The still part of a picture as its PNG, of which many may be kept: a fiftieth of its pixels; and the axes that it shows."""

    png: bytes
    axes: tuple[Axes, ...] = ()


class LiveFigure:
    """A matplotlib figure shown in one `Picture`, the attribute `image`.

    `width` and `height` are in CSS pixels; `scale` is how many picture pixels stand on
    one of them, more than 1 for screens of high density.  `words` say what it shows to whoever cannot see it.
    Draw on `figure`, then call `keep()` once and `draw(artists)` at every
    move; every artist passed must have been made with `animated=True`.  What `keep` gives
    can be laid down again with `lay`, in a few milliseconds.  All of them hold `lock`, so that callbacks on several threads never mix two pictures.

    >>> live = LiveFigure(200, 100)
    >>> line, = live.figure.add_subplot().plot([0, 1], [0, 1], animated=True)
    >>> still = live.keep()
    >>> live.draw([line])
    >>> bytes(live.image.value[:4])
    b'\\x89PNG'
    """

    def __init__(self, width: int, height: int, *, scale: float = 1.0, words: str = "") -> None:
        if not (width >= 50 and height >= 50 and 1.0 <= scale <= 4.0):
            raise LimitError(f"a picture of {width} x {height} at scale {scale:g} is too small or too fine: use 50 or more, and a scale from 1 to 4")
        self.lock = threading.RLock()
        self._scale = scale
        self.figure = Figure(figsize=(width / 100.0, height / 100.0), dpi=100.0 * scale)
        self.canvas = FigureCanvasAgg(self.figure)
        across, up = self.canvas.get_width_height()
        self.image = Picture(width=across, height=up, words=words, layout={"width": "100%", "max_width": f"min({width}px, 100%)"})
        if width >= _BROAD:
            self.image.add_class("hpteach-broad")
        self._still: Still | None = None
        self._spread: tuple[Still, np.ndarray] | None = None  # the still part drawn on last, with its pixels
        self._shown: Still | None = None
        self._drawn: list[Artist] = []

    def sharpen(self, density: float) -> bool:
        """Draw the same picture with the pixels of a screen of high density, if there are more than now; whether that changed anything.

        What was kept before is then of another size, and must be kept anew.
        """
        with self.lock:
            scale = min(density, _FINEST)
            if scale <= self._scale:
                return False
            faded = self.image.faded
            self._scale = scale
            self.figure.set_dpi(100.0 * scale)
            self.image.width, self.image.height = self.canvas.get_width_height()
            if self._shown is not None:
                for axes in self.figure.axes:  # those of another still part may have been drawn since
                    axes.set_visible(axes in self._shown.axes)
                self.keep()
                self.draw(self._drawn)
                self.image.faded = faded
            return True

    def keep(self) -> Still:
        """Draw everything that is not animated and keep it as the still part."""
        with self.lock:
            self.canvas.draw()
            pixels = self._pixels().copy()
            self._still = Still(self._png(pixels), tuple(axes for axes in self.figure.axes if axes.get_visible()))
            self._spread = (self._still, pixels)
            return self._still

    def lay(self, still: Still) -> None:
        """Take up a still part kept before; its axes must still be on the figure."""
        with self.lock:
            self._still = still

    def draw(self, artists: Iterable[Artist]) -> None:
        """Lay artists over the still part and show the picture."""
        with self.lock:
            still = self._still or self.keep()
            under = self._pixels_of(still)
            np.copyto(self._pixels(), under)
            self._shown, self._drawn = still, list(artists)
            for artist in self._drawn:
                self.figure.draw_artist(artist)
            patch = _patch(under, self._pixels())
            with self.image.hold_sync():  # a patch and the still part it belongs to travel together
                self.image.still, self.image.patch, self.image.faded = still.png, patch, False

    def veil(self) -> None:
        """Show the last picture faded, for a state that could not be drawn."""
        with self.lock:
            if self._shown is None or self._shown is not self._still:  # laid down, and nothing drawn on it yet
                self.draw(())
            self.image.faded = True

    def _pixels_of(self, still: Still) -> np.ndarray:
        if self._spread is None or self._spread[0] is not still:
            self._spread = (still, _opened(still.png))
        return self._spread[1]

    def _pixels(self) -> np.ndarray:
        """The canvas itself, one number for each pixel, in rows."""
        return np.asarray(self.canvas.buffer_rgba()).reshape(-1).view("<u4")

    def _png(self, pixels: np.ndarray) -> bytes:
        return _png(Image.frombuffer("RGBA", self.canvas.get_width_height(), pixels.tobytes(), "raw", "RGBA", 0, 1).convert("RGB"))


def composed(still: bytes, patch: bytes, *, faded: bool = False) -> bytes:
    """A still part with a patch over it as one PNG; empty before any picture.

    >>> composed(b"", b"")
    b''
    """
    if not still:
        return b""
    size, pixels = Image.open(io.BytesIO(still)).size, _opened(still)
    runs, *_ = numbers = np.frombuffer(patch, "<u4")
    places = _along(*numbers[1 : 1 + 2 * runs].astype(np.int64).reshape(2, runs))
    pixels[places] = numbers[1 + 2 * runs :]
    shown = Image.frombuffer("RGBA", size, pixels.tobytes(), "raw", "RGBA", 0, 1).convert("RGB")
    if faded:
        contrast, brightness = _FADED
        shown = shown.convert("L").point(lambda grey: round(min(255.0, brightness * (contrast * grey + (1.0 - contrast) * 127.5))))
    return _png(shown)


def _patch(still: np.ndarray, pixels: np.ndarray) -> bytes:
    """The pixels that are not those of the still part, run by run."""
    changed = np.flatnonzero(still != pixels)
    if not changed.size:
        return np.zeros(1, "<u4").tobytes()
    first = np.flatnonzero(np.diff(changed, prepend=-2) > 1)
    lengths = np.diff(first, append=changed.size)
    return np.concatenate([[first.size], changed[first], lengths, pixels[changed]]).astype("<u4").tobytes()


def _along(starts: np.ndarray, lengths: np.ndarray) -> np.ndarray:
    """Every place of runs that begin at `starts`."""
    ends = np.cumsum(lengths)
    return np.repeat(starts - (ends - lengths), lengths) + np.arange(ends[-1] if ends.size else 0)


def _opened(png: bytes) -> np.ndarray:
    """The pixels of a PNG as numbers of red, green, blue and opaque, in rows."""
    return np.array(Image.open(io.BytesIO(png)).convert("RGBA")).reshape(-1).view("<u4")


def _png(picture: Image.Image) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, "PNG", compress_level=1)
    return buffer.getvalue()
