"""Drawings as small pieces of SVG (hpteach/papers/svg.py)."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from matplotlib.patches import Rectangle

from hpteach.diagrams import PAPER, SCREEN, axes_rectangle
from hpteach.diagrams.reading_chart import KINDS, draw_reading_chart
from hpteach.fluids import refrigerant
from hpteach.papers.svg import UNITS, figure_for, svg_marks, svg_picture

SIDE = 25.4  # mm, an inch


def axes_over_all():
    """Axes that fill a figure of one inch, from 0 to 1 both ways, without a frame."""
    axes = figure_for(SIDE, SIDE).add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0.0, 1.0)
    axes.set_ylim(0.0, 1.0)
    return axes


def chart(kind: str, style=PAPER):
    """A chart to read from, as a figure."""
    figure = figure_for(178.0, 140.0)
    draw_reading_chart(figure.add_axes(axes_rectangle(figure, style)), kind, refrigerant("R-32"), style=style)
    return figure


@pytest.fixture(scope="module", params=KINDS)
def marks(request) -> str:
    """The marks of a chart."""
    return svg_marks(chart(request.param))


def test_chart_is_small(marks: str) -> None:
    """A whole chart with its fine grid takes 30 kB or less, so that a form with three stays below 100 kB."""
    assert 4_000 < len(marks) < 30_000


def test_chart_is_well_formed_and_fetches_nothing(marks: str) -> None:
    """The picture is XML without names, links, styles or scripts in it."""
    picture = ElementTree.fromstring(svg_picture(marks, 178.0, 140.0, "A chart"))
    assert {"svg", "title", "path", "text"} == {one.tag for one in picture.iter()}
    assert set() == {"id", "href", "class", "style", "onload"} & {name for one in picture for name in one.attrib}


def test_chart_is_drawn_in_grey() -> None:
    """Even a chart in the colours of the screen is black, white and grey."""
    colours = set(re.findall(r"#[0-9a-f]+", svg_marks(chart("pressure-enthalpy", SCREEN))))
    assert len(colours) > 3
    assert set() == {colour for colour in colours if not re.fullmatch(r"#(.)\1\1|#(..)\2\2", colour)}


def test_same_chart_is_the_same_bytes() -> None:
    """Nothing of the hour, the process or the lot is in a drawing."""
    assert svg_marks(chart("temperature-entropy")) == svg_marks(chart("temperature-entropy"))


def test_every_place_lies_on_the_picture(marks: str) -> None:
    """No line begins outside the picture: what lies outside the axes is cut off."""
    wide, high = (UNITS * side / 25.4 for side in (178.0, 140.0))
    begins = [(int(x), int(y)) for x, y in re.findall(r"M(-?\d+) (-?\d+)", marks)]
    texts = [(float(x), float(y)) for x, y in re.findall(r'<text x="(-?\d+)" y="(-?\d+)"', marks)]
    assert len(begins) > 50 and len(texts) > 15
    assert [] == [(x, y) for x, y in begins + texts if not (-1 <= x <= wide + 1 and -1 <= y <= high + 1)]


@pytest.mark.parametrize(
    ("places", "d"),
    [
        ([(0.0, 0.5), (1.0, 0.5)], "M0 300h600"),
        ([(-1.0, 0.5), (2.0, 0.5)], "M0 300h600"),
        ([(0.5, -3.0), (0.5, 0.5)], "M300 600v-300"),
        ([(0.25, 0.75), (0.5, 0.25)], "M150 150l150 300"),
        ([(0.5, 0.25), (0.25, 0.75)], "M300 450l-150-300"),
    ],
    ids=["level", "longer than the axes", "from far below", "downwards", "upwards"],
)
def test_line_is_cut_at_the_axes(places, d: str) -> None:
    """A line is written from its first place on, by steps, as far as it lies inside the axes."""
    axes = axes_over_all()
    found = re.search(' d="([^"]*)"', svg_marks(axes.figure, axes.plot(*zip(*places))))[1]
    numbers = [[int(number) for number in re.findall(r"-?\d+", text)] for text in (found, d)]
    assert re.sub(r"-?\d+", "", d) == re.sub(r"-?\d+", "", found)
    assert numbers[1] == pytest.approx(numbers[0], abs=4)  # a pixel of the layout


def test_line_outside_leaves_no_mark() -> None:
    """What lies wholly outside the axes is not written."""
    axes = axes_over_all()
    assert "" == svg_marks(axes.figure, axes.plot([2.0, 3.0], [2.0, 3.0]))


def test_lines_of_one_look_are_one_path() -> None:
    """Ten lines of one look make one path; a line of another look makes another."""
    axes = axes_over_all()
    lines = [axes.plot([0.0, 1.0], [0.1 * row, 0.1 * row], color="black")[0] for row in range(10)]
    dashed = axes.plot([0.0, 1.0], [0.55, 0.55], color="black", linestyle="--")
    assert 1 == svg_marks(axes.figure, lines).count("<path")
    assert (2, 1) == tuple(svg_marks(axes.figure, [*lines, *dashed]).count(what) for what in ("<path", "stroke-dasharray"))


def test_filled_shape_hides_the_lines_before_it() -> None:
    """A line drawn after a filled shape is not moved before it, where the shape would hide it."""
    axes = axes_over_all()
    below, above = (axes.plot([0.0, 1.0], [0.5, 0.5], color="black", zorder=order)[0] for order in (1, 3))
    box = axes.add_patch(Rectangle((0.2, 0.2), 0.5, 0.5, facecolor="white", zorder=2))
    assert ["none", "#fff", "none"] == re.findall('fill="([^"]*)"', svg_marks(axes.figure, [above, box, below]))


def test_filled_shape_is_cut_at_the_axes() -> None:
    """A filled shape that reaches beyond the axes ends there."""
    axes = axes_over_all()
    box = axes.add_patch(Rectangle((-5.0, -5.0), 50.0, 50.0, facecolor="#eeeeee", clip_on=True))
    numbers = [int(number) for number in re.findall(r"-?\d+", re.search(' d="([^"]*)"', svg_marks(axes.figure, [box]))[1])]
    assert min(numbers) >= -UNITS and max(numbers) <= UNITS


@pytest.mark.parametrize("text", ["p < 5 & T > 2", "0.2", "−40"])
def test_text_stays_text_of_a_fixed_width(text: str) -> None:
    """A text is written as text, escaped, with the width for which room was made."""
    axes = axes_over_all()
    written = svg_marks(axes.figure, [axes.text(0.5, 0.5, text, fontsize=12.0)])
    found = ElementTree.fromstring(written)
    assert (text, "100") == (found.text, found.get("font-size"))
    assert 0.25 * 100 * len(text) < float(found.get("textLength")) < 100 * len(text)


def test_upright_text_is_turned() -> None:
    """The title of an upright axis is turned about its first letter."""
    axes = axes_over_all()
    found = ElementTree.fromstring(svg_marks(axes.figure, [axes.text(0.5, 0.5, "pressure", rotation=90)]))
    assert f"rotate(-90 {found.get('x')} {found.get('y')})" == found.get("transform")


def test_pixels_are_refused() -> None:
    """A picture made of pixels is refused rather than left out."""
    axes = axes_over_all()
    image = axes.imshow([[0.0, 1.0], [1.0, 0.0]])
    with pytest.raises(TypeError, match="pixels"):
        svg_marks(axes.figure, [image])
