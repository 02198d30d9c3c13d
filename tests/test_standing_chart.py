"""The picture of how a learner stands (hpteach/diagrams/standing_chart.py)."""

import io

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from hpteach.diagrams.standing_chart import TopicBar, draw_standing, standing_size, standing_words
from hpteach.diagrams.style import PAPER, SCREEN

BARS = [TopicBar("temperature entropy", 3, 1, 2), TopicBar("before operation", 0, 4, 0), TopicBar("gauges", 128, 0, 12)]
STYLES = pytest.mark.parametrize("style", [SCREEN, SCREEN.enlarged(1.3, 1.5), PAPER], ids=["screen", "larger", "paper"])


def drawn(bars, style=SCREEN):
    """The figure of some bars, drawn."""
    width, height = standing_size(bars, style)
    figure = Figure(figsize=(width / 100, height / 100), dpi=100)
    draw_standing(figure, bars, style)
    FigureCanvasAgg(figure).draw()
    return figure


def boxes(figure, hatched):
    """Left and right ends of the boxes of one kind below the heading, in rows from the top."""
    found = [patch for patch in figure.axes[0].patches if bool(patch.get_hatch()) == hatched and patch.get_y() > 4.0]
    return [(patch.get_y(), patch.get_x(), patch.get_x() + patch.get_width()) for patch in found]


def test_a_bar_is_shared_out_by_its_answers():
    """Every bar is of one length; the solid part is the share of right answers, and the hatched part the rest."""
    figure = drawn(BARS)
    solid, hatched = ({round(y, 3): (left, right) for y, left, right in boxes(figure, which)} for which in (False, True))
    rows = sorted(set(solid) | set(hatched))
    start, end = solid[rows[2]]
    assert (start, start + 0.75 * (end - start)) == pytest.approx(solid[rows[0]])
    assert (start + 0.75 * (end - start), end) == pytest.approx(hatched[rows[0]])
    assert (start, end) == pytest.approx(hatched[rows[1]]) and rows[1] not in solid and rows[2] not in hatched


def test_every_count_stands_beside_its_bar():
    """Name and counts stand in one row for each topic, under their headings; what is due is set in bold."""
    texts = [text for text in drawn(BARS).axes[0].texts]
    rows = {}
    for text in texts:
        rows.setdefault(round(text.get_position()[1], 3), []).append(text)
    found = [[text.get_text() for text in rows[y]] for y in sorted(rows)]
    assert ["right", "wrong", "right", "wrong", "due"] == found[1]
    assert [["temperature entropy", "3", "1", "2"], ["before operation", "0", "4", "0"], ["gauges", "128", "0", "12"]] == found[2:]
    assert {"2", "12"} == {text.get_text() for text in texts if text.get_fontweight() == "bold"}


@STYLES
def test_nothing_covers_anything_and_nothing_is_cut_off(style):
    """In every style all texts lie within the picture, none over another and none over a bar."""
    figure = drawn(BARS, style)
    frame = figure.bbox
    extents = [(text.get_text(), text.get_window_extent()) for text in figure.axes[0].texts]
    extents += [("box", patch.get_window_extent()) for patch in figure.axes[0].patches if patch.get_y() > 4.0]
    for name, one in extents:
        assert frame.x0 <= one.x0 and one.x1 <= frame.x1 and frame.y0 <= one.y0 and one.y1 <= frame.y1, name
    for index, (name, one) in enumerate(extents):
        for other_name, other in extents[index + 1 :]:
            assert {name, other_name} == {"box"} or not one.overlaps(other), (name, other_name)


def test_it_reads_in_grey():
    """Right is dark and wrong is mostly paper, without any colour."""
    figure = drawn([TopicBar("right", 9, 0, 0), TopicBar("wrong", 0, 9, 0)])
    out = io.BytesIO()
    figure.savefig(out, format="png")
    grey = np.asarray(Image.open(out).convert("L"), dtype=float)
    shades = []
    for which in (False, True):
        ((y, left, right),) = boxes(figure, which)
        x0, y0 = figure.axes[0].transData.transform((left + 0.2, y + 0.2))
        x1, y1 = figure.axes[0].transData.transform((right - 0.2, y + 1.2))
        tall = grey.shape[0]
        shades.append(grey[int(tall - y0) : int(tall - y1), int(x0) : int(x1)].mean())
    assert shades[0] < 100 < 150 < shades[1]


def test_the_size_follows_topics_and_type():
    """One row more makes it taller by one row, larger type all of it larger; the width is that of a phone's page at readable type."""
    one, two = standing_size(BARS[:1]), standing_size(BARS[:2])
    assert one[0] == two[0] and one[1] < two[1]
    larger = standing_size(BARS, SCREEN.enlarged(1.3, 1.5))
    assert [round(1.3 * side) for side in standing_size(BARS)] == pytest.approx(larger, abs=1)
    assert SCREEN.tick_size * 100 / 72 * 350 / one[0] > 11.0  # pixels of type where 350 pixels are there


def test_words_tell_the_same():
    """The words name every topic with its counts, or say that there is none."""
    assert "temperature entropy: 3 right, 1 wrong, 2 due again." in standing_words(BARS)
    assert "No topic has been tried yet." == standing_words([])
