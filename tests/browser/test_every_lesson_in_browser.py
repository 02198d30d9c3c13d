"""Every lesson in JupyterLab in real headless Chromium: it runs, moves, answers, can be used by keyboard, reads well and asks no other host."""

from __future__ import annotations

import json
import time
import urllib.request
from collections.abc import Iterator

import pytest

from hpteach.assessment import Progress
from tests.browser.lesson_visit import LESSONS, OUTERMOST, PICTURES, Visit, calls, judged_by_axe, settled, watched, worked_through
from tests.browser.server import NOTEBOOKS, SECONDS, TOKEN, chromium, jupyterlab, run_all
from tests.small_bank import answer, question

pytestmark = pytest.mark.browser

OURS = [".jp-MarkdownOutput", ".jp-OutputArea-output"]
"""Where axe-core looks: what the lessons themselves show.  Menus, tool bar and the frame of a cell are JupyterLab's own."""
THEMES = {"light": "JupyterLab Light", "dark": "JupyterLab Dark"}

WRITTEN = "count => [...document.querySelectorAll('.jp-MarkdownOutput')].filter(one => one.checkVisibility({ visibilityProperty: true }) && one.innerText.trim()).length === count"
"""All prose stands on the page and is seen: JupyterLab hides what it has not laid out yet."""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running JupyterLab with a copy of the lessons, and a record with one answer in it."""
    chromium()
    folder = tmp_path_factory.mktemp("lab")
    record = folder / "record.sqlite3"
    themes = folder / "settings" / "@jupyterlab" / "apputils-extension" / "themes.jupyterlab-settings"
    themes.parent.mkdir(parents=True)
    themes.write_text('{"adaptive-theme": true}', "utf-8")
    Progress.open(record).record(answer(question("cooling-cop", topic="cooling")))
    with jupyterlab(folder, HPTEACH_PROGRESS=str(record)) as running:
        yield running


def end_kernels(address: str) -> None:
    """End what a visit has left running, as the next one starts a kernel of its own."""
    asked = urllib.request.Request(f"{address}/api/kernels?token={TOKEN}")
    for kernel in json.loads(urllib.request.urlopen(asked, timeout=30).read()):
        urllib.request.urlopen(urllib.request.Request(f"{address}/api/kernels/{kernel['id']}?token={TOKEN}", method="DELETE"), timeout=30)


def take_theme(page, scheme: str) -> None:  # noqa: ANN001
    """Be a reader's machine that is light or dark, and wait until JupyterLab has followed it."""
    page.emulate_media(color_scheme=scheme)
    page.wait_for_function("theme => document.body.dataset.jpThemeName === theme", arg=THEMES[scheme], timeout=60 * SECONDS)


@pytest.mark.parametrize("lesson", LESSONS)
def test_a_lesson_runs_moves_answers_and_reads_well(address: str, lesson: str, record_property) -> None:  # noqa: ANN001
    """Run All Cells makes every panel without a complaint; a committed prediction opens a picture, which one key moves; Tab reaches every control,
    whose focus is seen; a foreseen mistake and the right answer get their words; each picture has its own; axe-core finds nothing serious, light or dark."""
    PICTURES.mkdir(exist_ok=True)
    visit, begun = Visit(lesson, "JupyterLab"), time.monotonic()
    with watched(address, f"/lab/workspaces/visit-{lesson}/tree/{lesson}.ipynb?token={TOKEN}", start="/api") as page:
        page.locator(".jp-MarkdownOutput").first.wait_for(timeout=120 * SECONDS)
        if calls(lesson):
            run_all(page, OUTERMOST)
            page.locator(OUTERMOST).nth(len(calls(lesson)) - 1).wait_for(timeout=120 * SECONDS)
            page.get_by_text("| Idle").first.wait_for(timeout=120 * SECONDS)
        page.wait_for_function(WRITTEN, arg=prose(lesson), timeout=120 * SECONDS)
        amiss = worked_through(page, lesson, visit)
        for scheme in THEMES:
            take_theme(page, scheme)
            settled(page)
            amiss += [f"{scheme}: {one}" for one in judged_by_axe(page, OURS, visit)]
            page.screenshot(path=PICTURES / f"{lesson}-JupyterLab-{scheme}.jpeg", type="jpeg", quality=80)
        visit.seconds = time.monotonic() - begun
        record_property("lesson", visit.row())
        assert (len(calls(lesson)), cells(lesson)) == (page.locator(OUTERMOST).count(), page.locator(".jp-Cell").count())
        assert [] == amiss
    end_kernels(address)
    assert bool(calls(lesson)) == visit.answered


def prose(lesson: str) -> int:
    """How many cells of prose a lesson has."""
    return sum(cell["cell_type"] == "markdown" for cell in json.loads((NOTEBOOKS / f"{lesson}.ipynb").read_text("utf-8"))["cells"])


def cells(lesson: str) -> int:
    """How many cells a lesson has."""
    return len(json.loads((NOTEBOOKS / f"{lesson}.ipynb").read_text("utf-8"))["cells"])
