"""The page "where I stand" in real headless Chromium: practice by keyboard alone, the record on the disk, saved and deleted."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from hpteach.assessment import Progress
from tests.browser.server import SECONDS, chromium, page_of, pages

pytestmark = pytest.mark.browser

PAGE = "/voila/render/where-i-stand.ipynb"


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """Where the record of the server lies."""
    return tmp_path / "mine" / "progress.sqlite3"


@pytest.fixture
def address(tmp_path: Path, record: Path) -> Iterator[str]:
    """The address of a server of pages that keeps this record."""
    chromium()
    with pages(tmp_path / "server", HPTEACH_PROGRESS=str(record)) as running:
        yield running


def tab_to(page, text: str) -> None:  # noqa: ANN001
    """Press Tab until the cursor is on a button or link."""
    for _ in range(60):
        page.keyboard.press("Tab")
        if text in page.evaluate("document.activeElement.innerText || ''"):
            return
    raise AssertionError(f"Tab does not come to {text!r}")


def test_a_learner_practises_by_keyboard_alone(address: str, record: Path) -> None:
    """A typed or chosen answer is judged with Enter and kept on the disk; the next question takes the cursor; the page shows it, saves it and deletes it."""
    with page_of(address, PAGE) as (page, errors):
        page.get_by_text("Why this one:").wait_for(timeout=60 * SECONDS)
        field = page.locator(".hpteach-form input").first
        field.focus()
        page.keyboard.type("5 bar") if field.get_attribute("type") in (None, "text") else page.keyboard.press("Space")
        page.keyboard.press("Enter")
        page.locator(".hpteach-verdict b").first.wait_for()
        (kept,) = Progress.open(record).attempts()
        first = page.locator(".hpteach-view .hpteach-view h3").inner_text()
        tab_to(page, "Next question")
        page.keyboard.press("Enter")
        page.wait_for_function("old => ![...document.querySelectorAll('.hpteach-view .hpteach-view h3')].some(one => one.innerText === old)", arg=first)
        page.wait_for_function("document.activeElement.closest('.hpteach-form') !== null")
        page.get_by_role("button", name="Look again").click()
        page.get_by_text("of 1 answers right").wait_for()
        assert kept.topic.replace("-", " ") in page.locator("canvas[data-frame]").first.get_attribute("aria-label")
        with page.expect_download() as saved:
            page.get_by_text("Save my answers as a file").click()
        assert "answers.csv" == saved.value.suggested_filename and kept.question in Path(saved.value.path()).read_text("utf-8-sig")
        page.get_by_role("button", name="Delete all my answers").click()
        page.get_by_role("button", name="Yes, delete them for good").click()
        page.get_by_text("You have answered no question yet.").wait_for()
        assert not record.exists() and [] == errors


@pytest.mark.parametrize("width", [1400, 390])
def test_the_page_is_as_wide_as_its_window(address: str, width: int) -> None:
    """On a desk and on a phone nothing stands out of the page."""
    with page_of(address, PAGE, width=width) as (page, errors):
        page.get_by_text("Why this one:").wait_for(timeout=60 * SECONDS)
        assert width == page.evaluate("document.documentElement.scrollWidth") and [] == errors
