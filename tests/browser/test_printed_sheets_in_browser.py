"""Forms and key on sheets of real headless Chromium: every question whole, no heading alone, charts large enough, nothing cut off or in colour."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from hpteach.assessment.blueprint import blueprint_of
from hpteach.assessment.drawing_tasks import DRAWING_MARKS, can_be_drawn
from hpteach.assessment.form_codes import form_code
from hpteach.assessment.forms import Form, FormQuestion
from hpteach.assessment.marks import question_marks
from hpteach.assessment.roster import Learner
from hpteach.assessment.secret import Secret
from hpteach.assessment.variant_store import VariantStore
from hpteach.papers import write_papers
from hpteach.papers.form_page import page_around
from hpteach.papers.pressure_table import pressure_tables
from hpteach.questions import Question, read_bank
from hpteach.units import SYSTEMS
from tests.browser.server import chromium

pytestmark = pytest.mark.browser

MILLIMETRE, POINT = 96 / 25.4, 96 / 72  # CSS pixels
SHEETS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm, ISO 216 and ANSI Y14.1
SIDES, SIDES_OF_CARDS = 32.0, 20.0  # mm of margin, left and right together

LEARNERS = [
    Learner("1", "Ada Fernhill (invented)", "A"),
    Learner("2", "<b>Bo</b> & \"Co\" " + "with a very long name " * 6, "A"),
    Learner("3", "\N{RIGHT-TO-LEFT OVERRIDE}\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET} =1+1", "A", "IP"),
]

BLUEPRINT = blueprint_of(
    """
title = "A paper of every kind"
edition = 1
purpose = "To be printed in a test."
minutes = 60
pass_mark = 60
pass_mark_why = "common practice, no source"
units = "learner"
table = "open"
not_covered = ["This is no approved exam."]
[[sections]]
title = "First"
questions = 1
lessons = ["03"]
[[sections]]
title = "Second"
questions = 1
lessons = ["04"]
""",
    "every-kind.toml",
    "every-kind",
)

# Gives each question a mark at its beginning and at its end, and each heading one, with links to them: so the printed file says on which sheet each stands.
MARK = """() => {
  const links = document.createElement("nav");
  const mark = (name, beside, where) => {
    const place = where ? document.createElement("div") : beside;
    place.id = name;
    if (where) beside.insertAdjacentElement(where, place);
    const link = document.createElement("a");
    link.href = "#" + name;
    link.textContent = "x ";
    links.append(link);
  };
  [...document.querySelectorAll(".question")].forEach((question, at) => {
    mark("begin" + at, question, "afterbegin");
    mark("end" + at, question, "beforeend");
  });
  [...document.querySelectorAll(".form h2")].filter(heading => !heading.closest(".card, .pressures")).forEach((heading, at) => {
    mark("heading" + at, heading);
    mark("below" + at, heading.nextElementSibling, "afterbegin");
  });
  document.body.append(links);
}"""

# Letters and boxes that reach beyond the page at its right or left, and letters of charts beyond their chart.
OUTSIDE = """() => {
  const hair = 1.0, wide = document.documentElement.clientWidth;
  const found = [...document.querySelectorAll("body *")].filter(one => {
    const box = one.getBoundingClientRect();
    return box.width > 0 && !one.closest("svg *") && (box.left < -hair || box.right > wide + hair);
  }).map(one => one.tagName + " " + one.className + " " + one.textContent.slice(0, 40));
  for (const picture of document.querySelectorAll("svg")) {
    const frame = picture.getBoundingClientRect();
    for (const text of picture.querySelectorAll("text")) {
      const box = text.getBoundingClientRect();
      if (box.left < frame.left - hair || box.right > frame.right + hair || box.top < frame.top - hair || box.bottom > frame.bottom + hair)
        found.push("chart: " + text.textContent);
    }
  }
  return found;
}"""

# The smallest type of the charts, in CSS pixels on the page, and the smallest width of one.
SMALLEST = """() => [
  Math.min(...[...document.querySelectorAll("svg text")].map(text => text.getAttribute("font-size") * Math.hypot(text.getScreenCTM().a, text.getScreenCTM().b))),
  Math.min(...[...document.querySelectorAll("svg")].map(picture => picture.getBoundingClientRect().width)),
]"""

# Width and height of the chart whose title has a word in it.
SIZE = """word => {
  const chart = [...document.querySelectorAll("svg")].find(one => one.querySelector("title").textContent.toLowerCase().includes(word));
  const box = chart.getBoundingClientRect();
  return [box.width, box.height];
}"""


def questions_of_every_kind() -> list[tuple[Question, bool]]:
    """A question for each kind of part, for each kind of chart that is read, the longest, and one to be drawn."""
    bank = list(read_bank().questions.values())
    kinds = ("number", "choice", "several", "order", "state", "truth", "table")
    charts = sorted({part.read_from for one in bank for part in one.parts if part.read_from})
    found = [next(one for one in bank if any(part.kind == kind for part in one.parts)) for kind in kinds]
    found += [next(one for one in bank if any(part.read_from == chart for part in one.parts)) for chart in charts]
    found.append(max(bank, key=lambda one: sum(len(part.choices) + 4 for part in one.parts) + len(one.prompt) / 80))
    drawn = next(one for one in bank if can_be_drawn(one) and one not in found)
    return [*((one, False) for one in {one.id: one for one in found}.values()), (drawn, True)]


def form_of(learner: Learner, number: int) -> Form:
    """A form with these questions, in two sections."""
    questions = questions_of_every_kind()
    asked = tuple(
        FormQuestion(at, one.id, one.version, number, learner.units or "SI", "First" if at < 5 else "Second", drawing)
        for at, (one, drawing) in enumerate(questions, start=1)
    )
    marks = sum(DRAWING_MARKS if drawing else question_marks(one) for one, drawing in questions)
    return Form(form_code(number), learner, BLUEPRINT.id, asked, 0.5, marks)


@pytest.fixture(scope="module")
def browser() -> Iterator:
    """A headless Chromium."""
    path = chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu", "--no-first-run"])
        yield started
        started.close()


@pytest.fixture(scope="module", params=SHEETS)
def papers(request, tmp_path_factory) -> tuple[str, Path, list[Form]]:
    """The papers of three learners on one size of paper."""
    bank, folder = read_bank(), tmp_path_factory.mktemp("papers") / request.param
    forms = [form_of(learner, number) for number, learner in enumerate(LEARNERS, start=1)]
    write_papers(forms, BLUEPRINT, bank, Secret(bytes(range(32))), folder, store=VariantStore(bank), paper=request.param)
    return request.param, folder, forms


def opened(browser, paper: str, file: Path):  # noqa: ANN001, ANN201
    """A page as wide as the sheet between its margins, laid out for print; and what it asked for."""
    wide = int((SHEETS[paper][0] - (SIDES_OF_CARDS if file.name == "card.html" else SIDES)) * MILLIMETRE)
    page, asked = browser.new_page(viewport={"width": wide, "height": 1000}), []
    page.on("request", lambda request: asked.append(request.url))
    page.emulate_media(media="print")
    page.goto(file.as_uri())
    return page, asked


def sheets_of(pdf: bytes) -> int:
    """How many sheets a printed file has."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


def places_in(pdf: bytes) -> dict[str, tuple[int, float]]:
    """For each mark the object that is its sheet, and how high it stands on it, in points from below."""
    found = re.findall(rb"/([a-z]+\d+) \[(\d+) 0 R /XYZ [\d.]+ ([\d.]+) 0\]", pdf)
    return {name.decode(): (int(sheet), float(high)) for name, sheet, high in found}


def colours(pixels: bytes) -> int:
    """By how much red, green and blue differ at most in a screenshot."""
    return int(np.ptp(np.asarray(Image.open(io.BytesIO(pixels)).convert("RGB")).astype(int), axis=2).max())


def test_form_prints_on_its_paper_and_asks_for_nothing(browser, papers) -> None:
    """A form is printed on the sheets that it was made for, and fetches nothing but itself."""
    paper, folder, forms = papers
    for form in forms:
        file = folder / "forms" / f"{form.code}.html"
        page, asked = opened(browser, paper, file)
        pdf = page.pdf(prefer_css_page_size=True)
        ((wide, high),) = set(re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf))
        assert SHEETS[paper] == pytest.approx((25.4 * float(wide) / 72, 25.4 * float(high) / 72), abs=0.5)
        assert 6 <= sheets_of(pdf) <= 16
        assert [file.as_uri()] == asked
        page.close()


def test_no_question_is_split_and_no_heading_left_alone(browser, papers) -> None:
    """Each question begins and ends on the same sheet, its end below its beginning; each section's heading stands on the sheet of its first question."""
    paper, folder, forms = papers
    page, _ = opened(browser, paper, folder / "forms" / f"{forms[0].code}.html")
    page.evaluate(MARK)
    places = places_in(page.pdf(prefer_css_page_size=True))
    count = len(forms[0].questions)
    assert count >= 10
    for at in range(count):
        begins, ends = places[f"begin{at}"], places[f"end{at}"]
        assert begins[0] == ends[0] and begins[1] > ends[1], forms[0].questions[at]
    headings = sorted(name for name in places if name.startswith("heading"))
    assert 2 == len(headings)
    for name in headings:
        below = places[name.replace("heading", "below")]
        assert places[name][0] == below[0] and places[name][1] > below[1], name
    page.close()


def test_a_split_question_would_be_found(browser, papers) -> None:
    """The places that the printed file tells do differ where questions are let break over sheets."""
    paper, folder, forms = papers
    page, _ = opened(browser, paper, folder / "forms" / f"{forms[0].code}.html")
    page.add_style_tag(content=".question, .question * { break-inside: auto !important; } .question { min-height: 150mm; }")
    page.evaluate(MARK)
    places = places_in(page.pdf(prefer_css_page_size=True))
    assert any(places[f"begin{at}"][0] != places[f"end{at}"][0] for at in range(len(forms[0].questions)))
    page.close()


@pytest.mark.parametrize("name", ["index.html", "key.html", "card.html", "forms"])
def test_page_is_grey_and_nothing_reaches_beyond_it(browser, papers, name: str) -> None:
    """Every pixel is black, white or grey; no letter or box is wider than the sheet, with a wide font too, and no label of a chart is cut off."""
    paper, folder, forms = papers
    file = folder / name if name != "forms" else folder / "forms" / f"{forms[-1].code}.html"
    page, asked = opened(browser, paper, file)
    assert 0 == colours(page.screenshot(full_page=True))
    assert [] == page.evaluate(OUTSIDE)
    page.add_style_tag(content="* { font-family: 'DejaVu Sans' !important; }")
    assert [] == page.evaluate(OUTSIDE)
    assert [file.as_uri()] == asked
    page.close()


def test_colour_and_overflow_would_be_found(browser) -> None:
    """The looks for colour and for what reaches beyond the page find what they look for."""
    page = browser.new_page(viewport={"width": 300, "height": 200})
    page.set_content("<p style='color: #d00'>red</p><p style='width: 900px'>wide</p><svg width='50' height='20'><text x='45' y='15'>cut off</text></svg>")
    assert colours(page.screenshot()) > 100
    assert ["P  wide", "chart: cut off"] == page.evaluate(OUTSIDE)
    page.close()


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("paper", SHEETS)
def test_pressures_stand_on_one_sheet(browser, tmp_path, paper: str, system: str) -> None:
    """The fullest table of pressures, with the most and the longest cautions, is one sheet, and no wider than it."""
    before, behind = page_around("Pressures", paper)
    (table,) = pressure_tables(["R-744", "R-32", "R-290", "R-1234yf", "R-454C", "R-407C"], system)
    (tmp_path / "pressures.html").write_text("".join([before, table, behind]), encoding="utf-8")
    page, _ = opened(browser, paper, tmp_path / "pressures.html")
    assert 1 == sheets_of(page.pdf(prefer_css_page_size=True))
    assert [] == page.evaluate(OUTSIDE)
    page.close()


def test_class_prints_like_its_forms(browser, papers) -> None:
    """The file of the class has the sheets of all its forms, so that each begins on a sheet of its own."""
    paper, folder, forms = papers
    sheets = []
    for file in [folder / "index.html", *(folder / "forms" / f"{form.code}.html" for form in forms)]:
        page, _ = opened(browser, paper, file)
        sheets.append(sheets_of(page.pdf(prefer_css_page_size=True)))
        page.close()
    assert sum(sheets[1:]) == sheets[0]


@pytest.mark.parametrize(("name", "type_size", "width"), [("forms", 7.0, 150.0), ("key.html", 5.5, 110.0)])
def test_charts_can_be_read_in_print(browser, papers, name: str, type_size: float, width: float) -> None:
    """On a form no type of a chart is smaller than 7 points and no chart narrower than 150 mm; in the key, which shows and asks nothing, 5.5 points and 110 mm."""
    paper, folder, forms = papers
    page, _ = opened(browser, paper, folder / name if name != "forms" else folder / "forms" / f"{forms[0].code}.html")
    smallest, narrowest = page.evaluate(SMALLEST)
    assert smallest / POINT >= type_size and narrowest / MILLIMETRE >= width
    page.close()


def test_drawing_fits_under_the_key(browser, papers) -> None:
    """The chart of a drawing task has the same size on the form and in the key, so that one can be held behind the other."""
    paper, folder, forms = papers
    sizes = []
    for file, word in ((folder / "forms" / f"{forms[0].code}.html", "blank"), (folder / "key.html", "that was to be drawn")):
        page, _ = opened(browser, paper, file)
        sizes.append(page.evaluate(SIZE, word))
        page.close()
    assert sizes[0] == pytest.approx(sizes[1], abs=0.01)
