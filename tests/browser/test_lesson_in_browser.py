"""A lesson in real headless Chromium: it runs, a slider moves picture and table, an answer is judged."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.browser.server import NOTEBOOKS, PICTURE, SECONDS, chromium, jupyterlab, page_of, run_all

pytestmark = pytest.mark.browser

LESSON = "/lab/workspaces/lesson-05/tree/05-cooling-with-numbers.ipynb"
CELLS = len(json.loads((NOTEBOOKS / "05-cooling-with-numbers.ipynb").read_text())["cells"])
PICTURES = Path(__file__).parent / "pictures"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a running JupyterLab with a copy of the lessons."""
    chromium()
    with jupyterlab(tmp_path_factory.mktemp("lab")) as running:
        yield running


@contextmanager
def lesson(address: str, path: str = LESSON, **size: int):  # noqa: ANN201
    """A page of JupyterLab with a lesson that has run; nothing may go wrong in it."""
    with page_of(address, path, **size) as (page, errors):
        run_all(page, "button:has-text('Commit, then show')")
        yield page
        assert [] == errors


def first_prediction(page):  # noqa: ANN001, ANN201
    """The first panel of the lesson."""
    return page.locator(".hpteach-view").first


def test_a_slider_moves_picture_and_table(address: str) -> None:
    """Lesson 05 runs; after a prediction the panel opens, and one key press on a slider changes both
    pictures and the table, with no error in the page."""
    from playwright.sync_api import expect

    PICTURES.mkdir(exist_ok=True)
    with lesson(address) as page:
        prediction = first_prediction(page)
        prediction.get_by_role("button", name="Commit, then show").click()
        prediction.get_by_text("Choose what you expect first").wait_for(timeout=60 * SECONDS)
        assert 0 == prediction.locator(PICTURE).count()

        prediction.locator("input[type=radio]").first.click()
        prediction.get_by_role("button", name="Commit, then show").click()
        pictures = prediction.locator(PICTURE)
        pictures.nth(1).wait_for(timeout=60 * SECONDS)
        before = [pictures.nth(index).get_attribute("data-frame") for index in range(2)]
        table = prediction.locator("table.hpteach-table").first
        said = table.inner_text()

        handle = prediction.get_by_role("slider").nth(1)
        handle.focus()
        handle.press("ArrowRight")
        page.wait_for_function(
            "([old, images]) => images.every((image, index) => image.dataset.frame !== old[index])",
            arg=[before, pictures.element_handles()],
            timeout=60 * SECONDS,
        )
        expect(table).not_to_have_text(said, use_inner_text=True, timeout=60 * SECONDS)
        assert 0 == page.get_by_text("official Jupyter news").count()
        page.screenshot(path=PICTURES / "lesson-05.png", full_page=False)


def test_a_right_and_a_wrong_answer_get_their_feedback(address: str) -> None:
    """The exercise of lesson 05 judges an unreadable, a wrong and a right answer, each with its word."""
    from hpteach.questions import deal, read_bank
    from hpteach.units import show

    with lesson(address) as page:
        exercise = page.locator(".hpteach-view").last
        exercise.get_by_label("set of numbers").fill("12")
        exercise.get_by_label("set of numbers").press("Enter")
        variant = deal(read_bank().question("cooling-cop"), 12)
        part = variant.parts[0]
        exercise.get_by_text(variant.prompt.strip()[:40]).first.wait_for(timeout=60 * SECONDS)
        entry = exercise.locator("input[type=text]").first
        for typed, word in (
            ("a lot", "Not read yet"),
            (show(part.mistakes[0].value, part.quantity), "Not right."),
            (show(part.answer, part.quantity), "Right."),
        ):
            entry.fill(typed)
            entry.press("Enter")
            exercise.get_by_text(word).first.wait_for(timeout=60 * SECONDS)


def test_a_prediction_is_made_by_keyboard_alone(address: str) -> None:
    """Space picks a choice, Tab goes on, Enter commits, arrow keys move a slider, and the panel stays where it was."""
    from playwright.sync_api import expect

    with lesson(address) as page:
        prediction = first_prediction(page)
        cells = page.locator(".jp-Cell")
        expect(cells).to_have_count(CELLS, timeout=60 * SECONDS)
        prediction.locator("input[type=radio]").first.focus()
        page.keyboard.press("Space")
        for _ in range(4):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.innerText") == "Commit, then show":
                break
        page.keyboard.press("Enter")
        slider = prediction.get_by_role("slider").first
        slider.wait_for(timeout=60 * SECONDS)
        said = prediction.locator("table.hpteach-table").first.inner_text()
        slider.focus()
        page.keyboard.press("ArrowLeft")
        expect(prediction.locator("table.hpteach-table").first).not_to_have_text(said, use_inner_text=True, timeout=60 * SECONDS)
        valve = prediction.get_by_role("button", name="heating").first
        valve.focus()
        page.keyboard.press("Enter")
        prediction.get_by_text("The valve stands in heating").first.wait_for(timeout=60 * SECONDS)
        expect(cells).to_have_count(CELLS)


def test_the_valve_turns_drawing_charts_and_table(address: str) -> None:
    """Lesson 02's panel shows nothing before three predictions; then turning the valve changes the drawing, both charts and the table."""
    from playwright.sync_api import expect

    with lesson(address, "/lab/workspaces/lesson-02/tree/02-who-is-who.ipynb", height=3600) as page:
        panel = page.locator(".hpteach-view").filter(has_text="Which check valve opens?")
        panel.get_by_role("button", name="Commit, then show").click()
        panel.get_by_text("Choose first").wait_for(timeout=60 * SECONDS)
        assert 0 == panel.locator(PICTURE).count()

        for name in ("outdoor coil", "outdoor check valve", "indoor metering device"):
            panel.get_by_label(name, exact=True).click()
        panel.get_by_role("button", name="Commit, then show").click()
        pictures = panel.locator(PICTURE)
        expect(pictures).to_have_count(3, timeout=60 * SECONDS)
        expect(panel.get_by_text("Right.", exact=True)).to_have_count(3)
        before = [pictures.nth(index).get_attribute("data-frame") for index in range(3)]
        said = panel.locator("table.hpteach-table").first.inner_text()
        panel.get_by_role("button", name="heating").first.click()
        page.wait_for_function(
            "([old, images]) => images.every((image, index) => image.dataset.frame !== old[index])",
            arg=[before, pictures.element_handles()],
            timeout=60 * SECONDS,
        )
        panel.get_by_text("The valve stands in heating").first.wait_for(timeout=60 * SECONDS)
        expect(panel.locator("table.hpteach-table").first).not_to_have_text(said, use_inner_text=True, timeout=60 * SECONDS)
        PICTURES.mkdir(exist_ok=True)
        panel.screenshot(path=PICTURES / "lesson-02-heating.png")


def test_keys_move_the_panel_and_leave_the_notebook_alone(address: str) -> None:
    """After a click on the panel a key moves its control, the notebook's own keys rest, larger type comes, and a typed code brings the picture back."""
    from playwright.sync_api import expect

    with lesson(address) as page:
        prediction = first_prediction(page)
        cells = page.locator(".jp-Cell")
        expect(cells).to_have_count(CELLS, timeout=60 * SECONDS)
        prediction.locator("input[type=radio]").first.click()
        prediction.get_by_role("button", name="Commit, then show").first.click()
        panel = prediction.locator(".hpteach-view")
        table, code = panel.locator("table.hpteach-table").first, panel.get_by_label("picture code")
        panel.locator(PICTURE).nth(1).wait_for(timeout=60 * SECONDS)
        assert "chart" in panel.locator(PICTURE).first.get_attribute("aria-label")
        said, first = table.inner_text(), code.input_value()

        table.click()
        page.keyboard.press("h")
        expect(table).not_to_have_text(said, use_inner_text=True, timeout=60 * SECONDS)
        expect(code).not_to_have_value(first)
        for key in ("d", "d", "x", "b", "y"):
            page.keyboard.press(key)
        expect(cells).to_have_count(CELLS)

        code.fill(first.lower())
        code.press("Enter")
        expect(table).to_have_text(said, use_inner_text=True, timeout=60 * SECONDS)
        code.press("h")
        page.wait_for_timeout(500)
        assert said == table.inner_text()
        panel.get_by_role("button", name="Larger for the room").click()
        expect(prediction.locator(".hpteach-large")).to_have_count(1, timeout=60 * SECONDS)
