"""The picture of a class's scores (hpteach/papers/score_plot.py)."""

import xml.etree.ElementTree as ElementTree

import pytest

from hpteach.papers.score_plot import counts_of, plot_in_words, score_plot

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize(
    ("shares", "counts"),
    [([], [0] * 10), ([0.3, 0.7, 0.7], [0, 0, 0, 1, 0, 0, 0, 2, 0, 0]), ([1.0, 0.9, 0.899999], [0] * 8 + [1, 2]), ([0.1 + 0.2, 0.7 - 0.1], [0, 0, 0, 1, 0, 0, 1, 0, 0, 0])],
)
def test_scores_fall_into_tenths(shares, counts):
    """A score on an edge belongs to the tenth above it, whatever the computer's rounding; a full one to the last."""
    assert counts == list(counts_of(shares))


@pytest.mark.parametrize("count", [1, 2, 7, 24, 300, 10_000])
def test_bars_stand_within_the_picture(count):
    """There is a bar for each tenth that has anybody; the tallest is the fullest, and none leaves the picture."""
    shares = [(place % 10) / 10 + 0.05 for place in range(count)] + [0.55] * count
    drawn = ElementTree.fromstring(score_plot(shares, 0.6))
    _, _, width, height = map(float, drawn.get("viewBox").split())
    bars = drawn.findall(f"{SVG}rect")
    assert sum(map(bool, counts_of(shares))) == len(bars)
    heights = [float(bar.get("height")) for bar in bars]
    fullest = max(counts_of(shares))
    assert heights.index(max(heights)) == [one for one in counts_of(shares) if one].index(fullest)
    for bar in bars:
        x, y, wide, tall = (float(bar.get(name)) for name in ("x", "y", "width", "height"))
        assert 0 <= x and x + wide <= width and 0 <= y and y + tall <= height


@pytest.mark.parametrize("pass_mark", [0.01, 0.3, 0.7, 1.0])
def test_pass_mark_stands_where_it_is(pass_mark):
    """The broken line stands at the pass mark between the ends of the axis, with its words beside it."""
    text = score_plot([0.5], pass_mark)
    assert f"pass mark {100 * pass_mark:.0f} %" in text
    assert f"M{round(44 + pass_mark * 576)} " in text


def test_picture_is_told_in_words():
    """Whoever cannot see it has the same in a sentence, which is the picture's name."""
    said = plot_in_words([0.05, 0.62, 0.66], 0.6)
    assert "Learners by score: 0 to 9 %: 1; 60 to 69 %: 2. The pass mark is 60 %." == said
    assert said == ElementTree.fromstring(score_plot([0.05, 0.62, 0.66], 0.6)).get("aria-label")


def test_same_scores_give_the_same_picture():
    """The picture hangs on the scores alone, not on their order."""
    assert score_plot([0.2, 0.8], 0.6) == score_plot([0.8, 0.2], 0.6)
