"""A drawing as a small piece of SVG, to stand in a page a thousand times.

What lives here: `svg_marks`, and `svg_picture` around it.  What does not: what is drawn (diagrams, pictures).

Everything is grey, so that a sheet is black on white whatever a style says.  Lengths are whole numbers of 1/600 inch, finer than print; lines of
one look with nothing filled between them are one path; what lies outside the axes is cut off by arithmetic, so that no mark needs a name.  Text
stays text, in a font that nobody has to load, and is as wide as it was laid out, whatever font stands in for it.
The same drawing gives the same bytes: there are no names and no dates in it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape

import numpy as np
from matplotlib.artist import Artist
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, Bbox

UNITS = 600
"""To the inch, in which a drawing is written down."""

_LAID_OUT = 150
"""Pixels to the inch with which matplotlib lays out: its own measures of letters are good to a pixel."""

_CUT_BEYOND = 1.0
"""Pixels by which matplotlib lets a line reach beyond the frame at which it is cut off."""

_SCALE = UNITS / _LAID_OUT
_POINT = UNITS / 72.0
_CURVES = {Path.CURVE3: "Q", Path.CURVE4: "C"}
_BLACK = "#000"
_LUMA = (0.299, 0.587, 0.114)
"""Weights of red, green and blue in what the eye takes for grey (ITU-R BT.601, from memory, not seen here)."""


def figure_for(width: float, height: float) -> Figure:
    """An empty figure of a size in millimetres, laid out as `svg_marks` needs it."""
    figure = Figure(figsize=(width / 25.4, height / 25.4), dpi=_LAID_OUT)
    FigureCanvasAgg(figure)
    return figure


def svg_marks(figure: Figure, artists: Iterable[Artist] | None = None) -> str:
    """The marks of a figure of `figure_for`, or of some of its artists alone, to stand inside an `svg` element.

    >>> figure = figure_for(25.4, 25.4)
    >>> line = figure.add_axes((0, 0, 1, 1)).plot([0.0, 1.0], [0.5, 0.5])
    >>> svg_marks(figure, line)
    '<path d="M0 300h600" fill="none" stroke="#646464" stroke-width="12"/>'
    """
    renderer = _Renderer(figure)
    if artists is None:
        figure.draw(renderer)
    else:
        for artist in sorted(artists, key=lambda one: one.get_zorder()):
            artist.draw(renderer)
    return renderer.written()


def svg_picture(marks: str, width: float, height: float, title: str, *, shown: float | None = None) -> str:
    """Marks as a picture of a size in millimetres, `shown` so wide on the page; `title` says in words what it shows.

    >>> svg_picture("<path/>", 50.8, 25.4, "p < 5", shown=40.0)
    '<svg class="picture" viewBox="0 0 1200 600" style="width:40mm;height:20mm" role="img"><title>p &lt; 5</title><path/></svg>'
    """
    units = UNITS / 25.4
    share = 1.0 if shown is None else shown / width
    size = f"width:{share * width:.4g}mm;height:{share * height:.4g}mm"
    return f'<svg class="picture" viewBox="0 0 {units * width:.0f} {units * height:.0f}" style="{size}" role="img"><title>{escape(title)}</title>{marks}</svg>'


class _Renderer(RendererBase):
    """Writes what matplotlib draws; letters are measured by its own renderer for pixels."""

    def __init__(self, figure: Figure) -> None:
        super().__init__()
        self._measures = figure.canvas.get_renderer()
        self.width, self.height = (float(side) * _LAID_OUT for side in figure.get_size_inches())
        self._flip = Affine2D().scale(1.0, -1.0).translate(0.0, self.height).scale(_SCALE)
        self._written: list[str | tuple[str, list[str]]] = []
        self._lines: dict[str, list[str]] = {}

    def written(self) -> str:
        return "".join(one if isinstance(one, str) else f'<path d="{"".join(one[1])}" {one[0]}/>' for one in self._written)

    # What matplotlib calls ------------------------------------------------------------------

    def get_canvas_width_height(self) -> tuple[float, float]:
        return self.width, self.height

    def points_to_pixels(self, points: float) -> float:
        return points * _LAID_OUT / 72.0

    def get_text_width_height_descent(self, s: str, prop: object, ismath: object) -> tuple[float, float, float]:
        return self._measures.get_text_width_height_descent(s, prop, ismath)

    def draw_path(self, gc: GraphicsContextBase, path: Path, transform: object, rgbFace: Sequence[float] | None = None) -> None:  # noqa: N803
        width = gc.get_linewidth() if _alpha(gc.get_rgb(), gc) > 0.0 else 0.0
        filled = rgbFace is not None and len(path.vertices) > 2 and _alpha(rgbFace, gc) > 0.0
        if not filled and width <= 0.0:
            return
        frame = gc.get_clip_rectangle()
        if filled and frame is not None:
            path, transform = _cut(path.transformed(transform), frame), Affine2D()
        clip = None if frame is None or filled else tuple(frame.padded(-_CUT_BEYOND).extents)
        d = _steps(path.cleaned(transform=transform, clip=clip, simplify=None if filled else True, curves=True, remove_nans=True), self._flip)
        if not d:
            return
        look = f'fill="{_grey(rgbFace)}"' if filled else 'fill="none"'
        if filled and _alpha(rgbFace, gc) < 1.0:
            look += f' fill-opacity="{_alpha(rgbFace, gc):.2g}"'
        if width > 0.0:
            look += f' stroke="{_grey(gc.get_rgb())}" stroke-width="{_number(width * _POINT)}"' + _dashes(gc)
        if filled:
            self._lines = {}
        if look not in self._lines:
            self._lines[look] = []
            self._written.append((look, self._lines[look]))
        self._lines[look].append(d)
        if filled:
            self._lines = {}

    def draw_text(
        self, gc: GraphicsContextBase, x: float, y: float, s: str, prop: object, angle: float, ismath: object = False, mtext: object = None
    ) -> None:
        size = prop.get_size_in_points()
        wide = self._measures.get_text_width_height_descent(s, prop, False)[0]
        left, base = _SCALE * x, _SCALE * y
        said = f'x="{left:.0f}" y="{base:.0f}" font-size="{_number(size * _POINT)}" textLength="{_SCALE * wide:.0f}" lengthAdjust="spacingAndGlyphs"'
        if prop.get_weight() in ("bold", 700):
            said += ' font-weight="bold"'
        if (colour := _grey(gc.get_rgb())) != _BLACK:
            said += f' fill="{colour}"'
        if angle:
            said += f' transform="rotate({-angle:g} {left:.0f} {base:.0f})"'
        self._written.append(f"<text {said}>{escape(s, quote=False)}</text>")

    def draw_image(self, *args: object, **others: object) -> None:
        raise TypeError("a picture of pixels has no place on paper")


def _cut(path: Path, frame: Bbox) -> Path:
    """A filled shape without what lies outside a frame; one that lies wholly inside keeps its curves."""
    return path if _inside(path, frame) else path.clip_to_bbox(frame)


def _inside(path: Path, frame: Bbox) -> bool:
    """Whether all places of a path lie in a frame, those that guide its curves too: a curve never reaches beyond them."""
    frame = frame.padded(1.0)
    places = path.vertices if path.codes is None else path.vertices[path.codes != Path.CLOSEPOLY]
    low, high = places.min(axis=0), places.max(axis=0)
    return bool(low[0] >= frame.x0 and high[0] <= frame.x1 and low[1] >= frame.y0 and high[1] <= frame.y1)


def _steps(path: Path, flip: Affine2D) -> str:
    """A path in the words of SVG: from one whole number to the next, each told by how far it lies from the last."""
    if not len(path.vertices):
        return ""
    places = np.rint(flip.transform(path.vertices)).astype(int).tolist()
    codes = path.codes.tolist()
    said: list[str] = []
    at, index, lines = (0, 0), 0, 0
    while index < len(codes):
        code, place = codes[index], places[index]
        if code == Path.STOP:
            break
        if code == Path.MOVETO:
            said.append(f"M{place[0]} {place[1]}")
            at, index = place, index + 1
        elif code == Path.LINETO:
            if step := _step(place[0] - at[0], place[1] - at[1]):
                said.append(step)
                lines += 1
            at, index = place, index + 1
        elif code == Path.CLOSEPOLY:
            said.append("z")
            lines, index = lines + 1, index + 1
        else:
            count = code - 1  # a curve of the third or fourth kind has two or three places
            curve = places[index : index + count]
            said.append(_CURVES[code] + " ".join(f"{x} {y}" for x, y in curve))
            at, index, lines = curve[-1], index + count, lines + 1
    return "".join(said) if lines else ""


def _step(across: int, down: int) -> str:
    if not down:
        return f"h{across}" if across else ""
    return f"l{across} {down}".replace(" -", "-") if across else f"v{down}"


def _alpha(colour: Sequence[float], gc: GraphicsContextBase) -> float:
    return gc.get_alpha() if gc.get_forced_alpha() else float(colour[3]) if len(colour) > 3 else 1.0


def _grey(colour: Sequence[float]) -> str:
    """A colour without its colour.

    >>> _grey((1.0, 1.0, 1.0)), _grey((0.0, 0.0, 0.0)), _grey((0.2, 0.2, 0.2, 1.0)), _grey((1.0, 0.0, 0.0))
    ('#fff', '#000', '#333', '#4c4c4c')
    """
    level = round(255.0 * sum(weight * part for weight, part in zip(_LUMA, colour)))
    digits = f"{level:02x}"
    return f"#{digits[0] * 3}" if digits[0] == digits[1] else f"#{digits * 3}"


def _dashes(gc: GraphicsContextBase) -> str:
    offset, dashes = gc.get_dashes()
    if dashes is None:
        return ""
    said = " ".join(_number(_POINT * dash) for dash in dashes)
    return f' stroke-dasharray="{said}"' + (f' stroke-dashoffset="{_number(_POINT * offset)}"' if offset else "")


def _number(value: float) -> str:
    """Short: whole where it is large, with a figure behind the point where it is small."""
    return f"{value:.0f}" if math.fabs(value) >= 20.0 else f"{value:.2g}"
