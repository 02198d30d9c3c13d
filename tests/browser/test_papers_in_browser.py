"""Papers printed by a browser (hpteach/papers): sheets of A4 and Letter, nothing cut off, black on white."""

import io
import re

import numpy as np
import pytest
from PIL import Image

from tests import desk_class as desk
from tests.browser.server import chromium
from tests.small_class import written

MILLIMETRE = 96.0 / 25.4
SIZES = {"A4": (595, 842), "Letter": (612, 792)}  # points, ISO 216 and 8.5 by 11 inches
CONTENT = {"A4": 178.0, "Letter": 183.9}
MOST_SHEETS = 12


@pytest.fixture(scope="module", params=sorted(SIZES))
def papers(request, tmp_path_factory):
    """The papers of the small class for one size of paper."""
    folder = tmp_path_factory.mktemp("papers")
    written(folder, paper=request.param)
    return request.param, folder


@pytest.fixture(scope="module")
def browser():
    """Headless Chromium, without a server: the files stand by themselves."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"])
        yield found
        found.close()


def opened(browser, path, width=CONTENT["A4"]):
    """A file as it is laid out for print, in a window as wide as the sheet between its margins, and what it asked the network for."""
    page = browser.new_page(viewport={"width": round(width * MILLIMETRE), "height": 1000})
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    page.emulate_media(media="print")
    return page, asked


def sheets(pdf):
    """The sizes in points of the sheets of a PDF."""
    return [tuple(round(float(side)) for side in found) for found in re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)]


def form_file(folder):
    return folder / "forms" / f"{desk.papers().forms[0].code}.html"


def test_form_prints_on_sheets_of_its_size(papers, browser):
    """One form is a few sheets of the size that was asked for, pressures included, and asks the network for nothing but itself."""
    paper, folder = papers
    page, asked = opened(browser, form_file(folder))
    printed = sheets(page.pdf(prefer_css_page_size=True))
    tables = page.locator(".pressures").count()
    assert (1, {SIZES[paper]}) == (len(asked), set(printed))
    assert 1 + tables < len(printed) <= MOST_SHEETS


def test_class_prints_as_its_forms_do(papers, browser):
    """The file for the class has as many sheets as all its forms together: each form begins on a new one."""
    _, folder = papers
    alone = []
    for form in desk.papers().forms:
        page, _ = opened(browser, folder / "forms" / f"{form.code}.html")
        alone.append(len(sheets(page.pdf(prefer_css_page_size=True))))
    page, _ = opened(browser, folder / "index.html")
    assert sum(alone) == len(sheets(page.pdf(prefer_css_page_size=True)))


@pytest.mark.parametrize("name", ["form", "key.html", "card.html"])
def test_nothing_is_wider_than_the_sheet(name, papers, browser):
    """Between the margins everything has room; the cards, which have narrower margins, fit between those."""
    paper, folder = papers
    page, _ = opened(browser, form_file(folder) if name == "form" else folder / name, CONTENT[paper])
    room, of_cards = (MILLIMETRE * width for width in (CONTENT[paper], CONTENT[paper] + 12.0))
    wide = page.evaluate("""() => [...document.querySelectorAll('body *')].filter(one => !one.closest('svg') || one.tagName === 'svg').map(
        one => [one.tagName + '.' + (one.className.baseVal ?? one.className), one.closest('.card') !== null, one.getBoundingClientRect().right])""")
    assert [] == [(what, right) for what, card, right in wide if right > (of_cards if card else room) + 1.0]


def test_print_is_grey(papers, browser):
    """Nothing on a form has a colour, so that any printer and copier will do."""
    _, folder = papers
    page, _ = opened(browser, form_file(folder))
    pixels = np.asarray(Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")).astype(int)
    assert (0, True) == (int((pixels.max(axis=2) - pixels.min(axis=2)).max()), bool((pixels == 0).any()))


def test_no_question_is_torn_from_its_entry(papers, browser):
    """Whatever may not be parted by the end of a sheet is lower than a sheet: question, chart and entries stay together."""
    _, folder = papers
    page, _ = opened(browser, form_file(folder))
    tallest = page.evaluate("Math.max(...[...document.querySelectorAll('.question')].map(one => one.getBoundingClientRect().height))")
    assert tallest < 240.0 * MILLIMETRE
