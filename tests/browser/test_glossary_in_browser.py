"""The glossary in real headless Chromium: a linked word of a lesson leads to its heading, on the pages without code and in JupyterLab."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.server import SECONDS, chromium, jupyterlab, page_of, pages

pytestmark = pytest.mark.browser

WORD, HEADING = "dew", "dew point (of a refrigerant)"
AT_THE_TOP = """heading => [...document.querySelectorAll("h3")].some(
    (found) => found.textContent.startsWith(heading) && found.offsetParent && Math.abs(found.getBoundingClientRect().top) < 300)"""


def test_a_word_of_a_page_leads_to_its_meaning(tmp_path: Path) -> None:
    """On a page without code a linked word opens the glossary at its heading, although the page is hidden until it stands."""
    chromium()
    with pages(tmp_path) as address, page_of(address, "/voila/render/09-blends-and-glide.ipynb") as (page, errors):
        page.get_by_role("link", name=WORD, exact=True).first.click(timeout=60 * SECONDS)
        page.wait_for_function(AT_THE_TOP, arg=HEADING, timeout=60 * SECONDS)
        assert page.url.partition("?")[0].startswith(f"{address}/voila/render/glossary.ipynb")
        assert [] == errors


def test_a_word_in_jupyterlab_leads_to_its_meaning(tmp_path: Path) -> None:
    """In JupyterLab a linked word opens the glossary, at the first time at its top, where it says to click once more; then it goes to the heading."""
    chromium()
    with jupyterlab(tmp_path) as address, page_of(address, "/lab/tree/09-blends-and-glide.ipynb") as (page, errors):
        word = page.get_by_role("link", name=WORD, exact=True).first
        word.click(timeout=60 * SECONDS)
        page.get_by_role("heading", name="Glossary").wait_for(timeout=60 * SECONDS)
        page.get_by_role("paragraph").filter(has_text="Click its link once more").wait_for(timeout=60 * SECONDS)
        page.get_by_role("tab", name="09-blends-and-glide.ipynb").click()
        word.click(timeout=60 * SECONDS)
        page.wait_for_function(AT_THE_TOP, arg=HEADING, timeout=60 * SECONDS)
        assert [] == errors
