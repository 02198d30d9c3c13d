"""The speed in real headless Chromium: every key press is painted, sooner than the ordinary way does it."""

from __future__ import annotations

import statistics
from collections.abc import Iterator

import pytest

from hpteach.panels import CycleExplorer
from tests.bench.bench_browser import PLACES, alike, opened
from tests.bench.ordinary_way import write_notebooks
from tests.bench.page_clock import said
from tests.browser.server import chromium, jupyterlab, pages

pytestmark = pytest.mark.browser

PRESSES = 20


@pytest.fixture(scope="module", params=["JupyterLab", "pages"])
def place(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, bool]]:
    """The address of a server of the scratch notebooks, and whether it serves them as pages without code."""
    chromium()
    folder = tmp_path_factory.mktemp("speed")
    with (jupyterlab if request.param == "JupyterLab" else pages)(folder) as running:
        write_notebooks(folder / "notebooks")
        yield running, request.param == "pages"


def test_a_press_is_painted_in_half_the_time_of_the_ordinary_way(place: tuple[str, bool]) -> None:
    """Each key press on a slider is painted in both pictures; in JupyterLab it takes less than half the time of a new figure at each move."""
    medians = {}
    for name in ("explorer",) if place[1] else ("explorer", "ordinary"):
        with opened(place[0], name, pages=place[1]) as clock:
            found = clock.presses(PRESSES)
        times = [press.took for press in found]
        print(f"{name}: {said(times)}")
        medians[name] = statistics.median(times)
        assert [PLACES[name][1]] * PRESSES == [len(press.paints) for press in found]
    assert place[1] or medians["explorer"] < 0.5 * medians["ordinary"]


def test_a_key_held_down_ends_at_its_last_picture(place: tuple[str, bool]) -> None:
    """After a key held down for 30 presses the page shows the pictures of the number where the slider stands, but for a label that kept to its side."""
    with opened(place[0], "explorer", pages=place[1]) as clock:
        burst = clock.burst(30)
        print(burst)
        assert 30 == burst.presses and 1 <= burst.frames <= 30
        view = CycleExplorer()
        started = view.controls["saturated_condensing_temperature"]
        assert started.value + 30 * started.step == clock.value()
        started.value = clock.value()
        assert [True, True] == [alike(picture.image.value, shown) for picture, shown in zip(view._pictures.values(), clock.shown())]
