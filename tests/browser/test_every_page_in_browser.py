"""Every lesson as a page without code in real headless Chromium: it runs, moves, answers, can be used by keyboard, reads well and asks no other host."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest

from hpteach.assessment import Progress
from tests.browser.lesson_visit import (
    LESSONS, OUTERMOST, PICTURES, SIDEWAYS, Visit, calls, judged_by_axe, settled, strangers, walked, watched, wordless, worked_through,
)  # fmt: skip
from tests.browser.server import SECONDS, chromium, page_of, pages
from tests.small_bank import answer, question

pytestmark = pytest.mark.browser

GREY = "document.documentElement.style.filter = 'grayscale(1)'"
SIZES = {"desk": (1400, 1000), "phone": (390, 844)}


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running server of pages with a copy of the lessons, and a record with one answer in it."""
    chromium()
    folder = tmp_path_factory.mktemp("pages")
    Progress.open(folder / "record.sqlite3").record(answer(question("cooling-cop", topic="cooling")))
    with pages(folder, HPTEACH_PROGRESS=str(folder / "record.sqlite3")) as running:
        yield running


@pytest.mark.parametrize("lesson", LESSONS)
def test_a_page_runs_moves_answers_and_reads_well(address: str, lesson: str, record_property) -> None:  # noqa: ANN001
    """A lesson runs without a complaint; a committed prediction opens a picture, which one key moves; Tab reaches every control, whose focus is seen;
    a foreseen mistake and the right answer get their words; each picture has its own; axe-core finds nothing serious in light or dark, on a desk or
    a phone, and nothing reaches beyond either."""
    PICTURES.mkdir(exist_ok=True)
    visit, begun = Visit(lesson, "page"), time.monotonic()
    with watched(address, f"/voila/render/{lesson}.ipynb") as page:
        page.locator("#rendered_cells").wait_for(timeout=120 * SECONDS)
        if calls(lesson):
            page.locator(OUTERMOST).nth(len(calls(lesson)) - 1).wait_for(timeout=120 * SECONDS)
        amiss = worked_through(page, lesson, visit)
        for name, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                settled(page)
                amiss += [f"{name}, {scheme}: {one}" for one in judged_by_axe(page, None, visit)]
                page.screenshot(path=PICTURES / f"{lesson}-{name}-{scheme}.jpeg", type="jpeg", quality=80, full_page=True)
            amiss += page.evaluate(SIDEWAYS)
        page.set_viewport_size({"width": SIZES["desk"][0], "height": SIZES["desk"][1]})
        page.emulate_media(color_scheme="light")
        page.evaluate(GREY)
        page.screenshot(path=PICTURES / f"{lesson}-desk-grey.jpeg", type="jpeg", quality=80, full_page=True)
        visit.seconds = time.monotonic() - begun
        record_property("lesson", visit.row())
        assert len(calls(lesson)) == page.locator(OUTERMOST).count()
        assert [] == amiss
        page.goto("about:blank")  # a page that is left ends its kernel
    assert bool(calls(lesson)) == visit.answered


AMISS = """<div class=hpteach-view tabindex=-1><canvas width=50 height=50></canvas><p style="color: #aaa">pale words</p>
<button style="outline: none">seen</button><div style="width: 900px">wide</div></div>"""


def test_what_is_looked_for_would_be_found(address: str) -> None:
    """A picture without words, pale letters, a focus that is not seen, a page that is too wide and another host are found where they are."""
    with page_of(address, "/", width=390) as (page, _):
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.set_content(AMISS)
        page.evaluate("fetch('http://192.0.2.1:9/').catch(() => {})")
        assert 1 == len(wordless(page))
        assert [True] == ["color-contrast" in one for one in judged_by_axe(page, [".hpteach-view"], Visit("none", "page")) if "pale words" in one]
        assert ["focus unseen"] == [one.partition(":")[0] for one in walked(page, page.locator(OUTERMOST), Visit("none", "page"))]
        assert page.evaluate(SIDEWAYS)
        assert ["http://192.0.2.1:9/"] == strangers(asked, address)
