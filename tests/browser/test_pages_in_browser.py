"""The pages without code in real headless Chromium: the list, a lesson, a phone, light and dark, and no other host."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from hpteach.serving import titles
from tests.browser.server import NOTEBOOKS, PICTURE, SECONDS, chromium, page_of, pages

pytestmark = pytest.mark.browser

LESSON = "/voila/render/05-cooling-with-numbers.ipynb"
PICTURES = Path(__file__).parent / "pictures"
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running server of pages with a copy of the lessons."""
    chromium()
    with pages(tmp_path_factory.mktemp("pages")) as running:
        yield running


@contextmanager
def watched(address: str, path: str, **size: int):  # noqa: ANN201
    """A page at a path and the hosts that it asked; nothing may have gone wrong in it, and no host but the server's been asked."""
    with page_of(address, "/", **size) as (page, errors):
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        page.goto(address + path)
        yield page
        assert asked
        assert [] == [url for url in asked if urlsplit(url).scheme != "data" and urlsplit(url).hostname not in ("127.0.0.1", None)]
        assert [] == errors


def opened(page):  # noqa: ANN001, ANN201
    """The first panel of a lesson, once something is predicted and committed and both pictures stand."""
    prediction = page.locator(".hpteach-view").first
    prediction.wait_for(timeout=60 * SECONDS)
    prediction.locator("input[type=radio]").first.click()
    prediction.get_by_role("button", name="Commit, then show").click()
    prediction.locator(PICTURE).nth(1).wait_for(timeout=60 * SECONDS)
    return prediction


def test_the_list_shows_every_lesson_and_leads_to_it(address: str) -> None:
    """The first page lists the lessons by title, in order; a click opens one, which leads back to the list and on to the next."""
    with watched(address, "/") as page:
        listed = page.locator(".hpteach-lessons a")
        assert list(titles(NOTEBOOKS).values()) == listed.all_inner_texts()
        assert 0 == page.get_by_text(".ipynb").count()
        listed.first.click()
        page.get_by_role("heading", name="00 Start here").wait_for(timeout=60 * SECONDS)
        assert 2 == page.get_by_role("link", name="All lessons").count()
        (following,) = page.locator("a[rel=next]").all()
        assert titles(NOTEBOOKS)["01-boiling-point-and-pressure.ipynb"] in following.inner_text()
        following.click()
        page.get_by_role("heading", name="01 Boiling point and pressure").wait_for(timeout=60 * SECONDS)
        page.get_by_role("link", name="All lessons").first.click()
        listed.first.wait_for(timeout=60 * SECONDS)


def test_a_lesson_opens_without_code_and_its_panel_moves(address: str) -> None:
    """Lesson 05 shows no code and no prompt and says nothing of running it; after a prediction one key press on a slider
    changes both pictures and the table."""
    from playwright.sync_api import expect

    with watched(address, LESSON) as page:
        prediction = opened(page)
        text = page.locator("body").inner_text()
        assert [] == [code for code in ("import ", "In [", "Out[", "Prediction(", ".ipynb", "Run All Cells") if code in text]
        assert 0 == page.locator(".jp-Editor, .jp-InputPrompt:visible").count()

        pictures = prediction.locator(PICTURE)
        before = [pictures.nth(index).get_attribute("data-frame") for index in range(2)]
        table = prediction.locator("table.hpteach-table").first
        said = table.inner_text()
        handle = prediction.get_by_role("slider").nth(1)
        handle.focus()
        handle.press("ArrowRight")
        page.wait_for_function(
            "([old, images]) => images.every((image, index) => image.dataset.frame !== old[index])",
            arg=[before, [pictures.nth(index).element_handle() for index in range(2)]],
            timeout=60 * SECONDS,
        )
        expect(table).not_to_have_text(said, use_inner_text=True, timeout=60 * SECONDS)

        folded = page.locator("details").filter(has_text="The compressor takes in superheated vapour")
        step = folded.get_by_text("The compressor takes in superheated vapour")
        assert not step.is_visible()
        folded.locator("summary").click()
        step.wait_for(timeout=5 * SECONDS)


def test_a_phone_shows_one_column_in_light_and_dark(address: str) -> None:
    """At the width of a phone neither the list nor a lesson with an open panel is wider than the window, light or dark,
    and the colours follow the reader's machine."""
    PICTURES.mkdir(exist_ok=True)
    wide = "document.documentElement.scrollWidth"
    paper = "getComputedStyle(document.body).backgroundColor"
    with watched(address, "/", **PHONE) as page:
        assert PHONE["width"] >= page.evaluate(wide)
        page.goto(address + LESSON)
        prediction = opened(page)
        shades = []
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            assert PHONE["width"] >= page.evaluate(wide)
            assert [] == [edge for edge in (picture.bounding_box() for picture in prediction.locator(PICTURE).all()) if edge["x"] + edge["width"] > PHONE["width"]]
            shades.append(page.evaluate(paper))
            page.screenshot(path=PICTURES / f"page-phone-{scheme}.png")
        assert ["rgb(255, 255, 255)", "rgb(21, 24, 28)"] == shades
