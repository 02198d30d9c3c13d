"""The mock exam in real headless Chromium: begun and answered by keyboard, the page loaded anew, gone on with, handed in, the score seen."""

from __future__ import annotations

from pathlib import Path

import pytest

from hpteach.assessment.blueprint import read_blueprint
from hpteach.assessment.sitting import Sittings
from hpteach.assessment.sitting_file import sittings_path
from hpteach.questions import deal, read_bank
from tests.browser.server import SECONDS, chromium, page_of, pages
from tests.test_sitting import right

pytestmark = pytest.mark.browser

PICTURES = Path(__file__).parent / "pictures"
PAGE = "/voila/render/16-mock-exam.ipynb"
QUIZ = read_blueprint("lesson-05")


def exam_of(page):  # noqa: ANN001, ANN201
    """The panel of the exam."""
    panel = page.locator(".hpteach-view").filter(has=page.get_by_role("timer")).last
    panel.get_by_role("timer").wait_for(state="attached", timeout=120 * SECONDS)
    return panel


def typed(page, panel, sitting, number):  # noqa: ANN001, ANN201
    """Answer the question that is shown rightly, with keys alone."""
    asked = sitting.form.questions[number - 1]
    variant = deal(read_bank().question(asked.question), asked.seed, asked.system)
    things = list(dict.fromkeys(part.table or part.id for part in variant.parts))
    for place, thing in enumerate(things):
        form = panel.locator("form.hpteach-form").nth(place)
        asked_for = next((table.text for table in variant.tables if table.id == thing), None) or variant.part(thing).text
        form.get_by_text(asked_for.strip()[:40]).first.wait_for(timeout=30 * SECONDS)  # the words of the next question stand there before its fields
        for part in (part for part in variant.parts if thing in (part.table, part.id)):
            answer = right(variant, part)
            if part.table:
                form.locator(f"input[data-part={part.id}]").focus()
                page.keyboard.type(answer)
            elif part.choices and part.kind != "order":
                for entry in form.locator("input").all():
                    if entry.get_attribute("value") in (answer.split() if part.kind == "several" else [answer]):
                        entry.focus()
                        page.keyboard.press("Space")
            else:
                form.locator("input").focus()
                page.keyboard.type(answer)
        page.keyboard.press("Enter")
        form.locator(".hpteach-verdict").get_by_text("Kept.").wait_for(timeout=30 * SECONDS)


def test_an_exam_is_sat_by_keyboard_and_outlives_its_page(tmp_path: Path) -> None:
    """Two questions are answered by keyboard, then the page and its kernel are gone; a new page goes on with both answers and less
    time; after handing in, which is asked once more, the score stands there.  No word on what is right comes before."""
    chromium()
    PICTURES.mkdir(exist_ok=True)
    record = tmp_path / "record.sqlite3"
    with pages(tmp_path, HPTEACH_PROGRESS=str(record)) as address, page_of(address, PAGE) as (page, errors):
        panel = exam_of(page)
        panel.get_by_label("exam").select_option(label=QUIZ.title)
        panel.get_by_text(f"{QUIZ.minutes} minutes").first.wait_for(timeout=30 * SECONDS)
        page.screenshot(path=PICTURES / "mock-exam-before.png", full_page=True)
        panel.get_by_role("button", name="Begin").focus()
        page.keyboard.press("Enter")
        panel.get_by_text(f"Question 1 of {QUIZ.questions}").wait_for(timeout=60 * SECONDS)
        panel.get_by_text("Time left:").wait_for(timeout=30 * SECONDS)
        sittings = Sittings.open(sittings_path(record))
        sitting = sittings.latest()
        for number in (1, 2):
            typed(page, panel, sitting, number)
            if number == 1:
                panel.get_by_role("button", name="Next").focus()
                page.keyboard.press("Enter")
                panel.get_by_text(f"Question 2 of {QUIZ.questions}").wait_for(timeout=30 * SECONDS)
        assert "right" not in panel.locator(".hpteach-verdict").all_inner_texts()[0].lower()
        page.screenshot(path=PICTURES / "mock-exam-sitting.png", full_page=True)
        kept = dict(sittings.latest().answers)
        assert {1, 2} == {number for number, _ in kept}

        page.reload()
        panel = exam_of(page)
        panel.get_by_text("goes on where it was left").wait_for(timeout=60 * SECONDS)
        panel.get_by_text(f"Question 2 of {QUIZ.questions}").wait_for(timeout=30 * SECONDS)
        assert ["1: answered", "2: answered", "3: open"] == [text.replace("\xa0", " ") for text in panel.locator("option").all_inner_texts() if text[:2] in ("1:", "2:", "3:")]
        assert kept == dict(sittings.latest().answers)
        page.set_viewport_size({"width": 390, "height": 844})
        assert 390 >= page.evaluate("document.documentElement.scrollWidth")
        page.screenshot(path=PICTURES / "mock-exam-phone.png", full_page=True)
        page.set_viewport_size({"width": 1400, "height": 1000})

        panel.get_by_role("button", name="Hand in").click()
        panel.get_by_text("Still open: questions 3").wait_for(timeout=30 * SECONDS)
        panel.get_by_role("button", name="Hand in now, for good").click()
        panel.get_by_text(f"Result: {QUIZ.title}").wait_for(timeout=60 * SECONDS)
        panel.get_by_text("the pass mark of").first.wait_for(timeout=30 * SECONDS)
        page.screenshot(path=PICTURES / "mock-exam-result.png", full_page=True)
        page.set_viewport_size({"width": 390, "height": 844})
        assert 390 >= page.evaluate("document.documentElement.scrollWidth")
        page.screenshot(path=PICTURES / "mock-exam-result-phone.png", full_page=True)
        assert [] == errors
    assert sittings.latest().handed_in is not None
