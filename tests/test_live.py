"""The live picture: still part kept, artists laid over it, one lock."""

from __future__ import annotations

import io
import threading

import numpy as np
import pytest
from PIL import Image

from hpteach.errors import LimitError
from hpteach.live import LiveFigure, composed


def pixels(live: LiveFigure) -> np.ndarray:
    """What the image widget shows, as an array."""
    return np.asarray(Image.open(io.BytesIO(bytes(live.image.value))).convert("RGB"))


def barred(scale: float = 1.0):
    """A live figure with one movable black bar on a white page."""
    live = LiveFigure(200, 100, scale=scale)
    axes = live.figure.add_axes((0, 0, 1, 1), xlim=(0, 10), ylim=(0, 1))
    axes.set_axis_off()
    (bar,) = axes.plot([1, 1], [0, 1], color="black", linewidth=8, animated=True)
    live.keep()
    return live, bar


def test_a_move_leaves_no_trace_of_the_picture_before() -> None:
    """A bar that moved away leaves the still part clean behind it."""
    live, bar = barred()
    live.draw([bar])
    before = pixels(live)
    bar.set_xdata([8, 8])
    live.draw([bar])
    after = pixels(live)
    bar.set_xdata([1, 1])
    live.draw([bar])
    assert before[50, 20].max() < 40 and after[50, 20].min() > 215 and after[50, 160].max() < 40
    assert np.array_equal(before, pixels(live))


def test_a_still_part_kept_before_can_be_laid_again() -> None:
    """The picture on a still part laid down again is the one that stood there before."""
    live, bar = barred()
    first = live.keep()
    live.draw([bar])
    before = bytes(live.image.value)
    live.figure.set_facecolor("grey")
    live.keep()
    live.draw([bar])
    assert before != bytes(live.image.value)
    live.lay(first)
    live.draw([bar])
    assert before == bytes(live.image.value)


def test_a_finer_picture_is_of_the_still_part_that_was_laid() -> None:
    """On a screen of higher density the picture is the same one, also where other axes were drawn since its still part was kept."""
    live = LiveFigure(200, 100)
    stills = []
    for colour in ("red", "blue"):
        for others in live.figure.axes:
            others.set_visible(False)
        live.figure.add_axes((0, 0, 1, 1), facecolor=colour)
        stills.append(live.keep())
    live.lay(stills[0])
    live.draw(())
    before = pixels(live)[50, 100]
    assert live.sharpen(2.0)
    assert (255, 0, 0) == tuple(before) == tuple(pixels(live)[100, 200])


def test_the_picture_put_together_is_the_canvas() -> None:
    """Still part and patch give every pixel of the canvas, for a bar at both edges, in the middle, and for none at all."""
    live, bar = barred(1.5)
    for place in (0.0, 0.03, 4.2, 10.0):
        bar.set_xdata([place, place])
        live.draw([bar])
        assert np.array_equal(np.asarray(live.canvas.buffer_rgba())[..., :3], pixels(live))
    live.draw([])
    assert np.array_equal(np.asarray(live.canvas.buffer_rgba())[..., :3], pixels(live))


def test_a_move_sends_what_moved_and_no_more() -> None:
    """The still part is sent once; a move sends about the pixels of the bar, four bytes each."""
    live, bar = barred()
    stills: list[object] = []
    live.image.observe(stills.append, "still")
    for place in (2.0, 5.0, 8.0):
        bar.set_xdata([place, place])
        live.draw([bar])
    shown = pixels(live)
    moved = int((shown != 255).any(axis=2).sum())
    assert 1 == len(stills) and 4 * moved <= len(live.image.patch) <= 4 * moved + 8 * 100 + 4


def test_a_still_part_laid_down_is_the_one_that_is_veiled() -> None:
    """A veil over a still part that nothing was drawn on yet shows that one, faded, not the picture before."""
    live, bar = barred()
    first = live.keep()
    live.figure.set_facecolor("grey")
    live.keep()
    live.draw([bar])
    live.lay(first)
    live.veil()
    assert 255 == pixels(live)[50, 100].max() and live.image.faded


def test_the_picture_keeps_its_size() -> None:
    """Every picture has the size asked for, times the scale."""
    for scale in (1.0, 2.0):
        live, bar = barred(scale)
        live.draw([bar])
        assert (int(100 * scale), int(200 * scale)) == pixels(live).shape[:2]


def test_a_veiled_picture_is_fainter_and_comes_back() -> None:
    """A veil fades the last good picture; the next draw shows it in full."""
    live, bar = barred()
    live.draw([bar])
    full = pixels(live)
    live.veil()
    assert 120 < pixels(live)[50, 20].max() < 220
    live.draw([bar])
    assert np.array_equal(full, pixels(live))


def test_two_threads_never_mix_two_pictures() -> None:
    """With two threads drawing, every picture shows one bar, whole, in one of the two places."""
    live, bar = barred()
    seen: list[bytes] = []
    live.image.observe(lambda change: seen.append(composed(live.image.still, change["new"])), "patch")

    def drag(place: float) -> None:
        for _ in range(100):
            with live.lock:
                bar.set_xdata([place, place])
                live.draw([bar])

    threads = [threading.Thread(target=drag, args=(place,)) for place in (2.0, 7.0)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    dark = {tuple(np.nonzero(np.asarray(Image.open(io.BytesIO(s)).convert("L")).max(axis=0) < 40)[0]) for s in seen}
    assert len(seen) > 1 and 2 == len(dark)


@pytest.mark.parametrize(("width", "height", "scale"), [(10, 100, 1.0), (100, 10, 1.0), (100, 100, 0.5), (100, 100, 9.0)])
def test_a_picture_of_no_use_is_refused(width: int, height: int, scale: float) -> None:
    """A picture too small or at an odd scale is refused."""
    with pytest.raises(LimitError, match="too small or too fine"):
        LiveFigure(width, height, scale=scale)


@pytest.mark.parametrize(("width", "slides"), [(599, False), (600, True)])
def test_a_picture_too_broad_for_a_phone_is_marked(width: int, slides: bool) -> None:
    """From 600 pixels on a picture carries the class that lets it slide sideways on a phone instead of shrinking."""
    assert slides == ("hpteach-broad" in LiveFigure(width, 300).image._dom_classes)
