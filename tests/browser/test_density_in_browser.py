"""A screen of high density in real headless Chromium: more pixels, the whole picture, and never a patch on another still part."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import pytest
from PIL import Image

from hpteach.panels import CycleExplorer
from tests.bench.bench_browser import alike
from tests.bench.ordinary_way import write_notebooks
from tests.browser.server import SECONDS, chromium, page_of, pages

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("seed", ["1", "2"])
def test_a_dense_screen_shows_the_whole_picture(seed: str, tmp_path: Path) -> None:
    """With two pixels on one, both pictures have twice the width, also after another refrigerant, and are those of a panel
    without a page; whichever part of a message is told first (its order follows the seed of the process)."""
    from playwright.sync_api import expect

    chromium()
    with pages(tmp_path, PYTHONHASHSEED=seed) as address:
        write_notebooks(tmp_path / "notebooks")
        with page_of(address, "/voila/render/scratch-explorer.ipynb", density=2.0) as (page, errors):
            panel = page.locator(".hpteach-view").first
            panel.locator("canvas[width='1080'][data-frame]").nth(1).wait_for(timeout=90 * SECONDS)
            table = panel.locator("table.hpteach-table").first
            said = table.inner_text()
            panel.get_by_label("refrigerant").select_option("R-290")
            expect(table).not_to_have_text(said, use_inner_text=True, timeout=60 * SECONDS)
            page.wait_for_timeout(1000)
            shown = [base64.b64decode(text) for text in panel.evaluate("(root) => [...root.querySelectorAll('canvas')].map((one) => one.toDataURL().split(',')[1])")]
            assert [] == errors
    view = CycleExplorer()
    next(iter(view._pictures.values())).image.density = 2.0
    view.controls["refrigerant"].value = "R-290"
    wanted = [picture.image.value for picture in view._pictures.values()]
    assert [(1080, 940)] * 2 == [Image.open(io.BytesIO(one)).size for one in shown]
    assert [True, True] == [alike(*pair) for pair in zip(wanted, shown)]
