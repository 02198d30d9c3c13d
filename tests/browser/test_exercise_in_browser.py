"""Exercises in real headless Chromium: by keyboard alone, every kind of entry, read out, on a desk and on a phone, light and dark."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from hpteach.assessment import Progress
from hpteach.questions import Variant, deal, read_bank
from hpteach.units import show
from tests.browser.server import PICTURE, SECONDS, chromium, jupyterlab, page_of, pages, run_all

pytestmark = pytest.mark.browser

PICTURES = Path(__file__).parent / "pictures"
BANK = read_bank()
KINDS = {
    "number": "cooling-cop", "table": "fill-the-corners", "chart": "read-four-enthalpies", "several": "where-a-circuit-leaks",
    "state": "states-in-two-lines", "truth": "brazing-with-nitrogen-inside", "order": "order-the-circuit",
    "solution": "discharge-above-condensing",
}  # fmt: skip
SEED = 5
NOTEBOOK = "90-every-kind.ipynb"


def notebook() -> str:
    """A notebook with one exercise of each kind, always the same set."""
    cells = [{"cell_type": "markdown", "id": "head", "metadata": {}, "source": "# 90 Every kind"}]
    for kind, question in KINDS.items():
        source = f'from hpteach.panels import Exercise\nExercise("{question}", seed={SEED})'
        cells.append({"cell_type": "code", "id": kind, "metadata": {}, "execution_count": None, "outputs": [], "source": source})
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    return json.dumps({"cells": cells, "metadata": kernel, "nbformat": 4, "nbformat_minor": 5})


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the kernels of the pages keep what was answered."""
    return tmp_path_factory.mktemp("record") / "mine.sqlite3"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, record: Path) -> Iterator[str]:
    """The address of a running server of pages with the lessons and the notebook of every kind."""
    chromium()
    folder = tmp_path_factory.mktemp("pages")
    with pages(folder, HPTEACH_PROGRESS=str(record)) as running:
        (folder / "notebooks" / NOTEBOOK).write_text(notebook(), "utf-8")
        yield running


@contextmanager
def watched(address: str, path: str, **size: int):  # noqa: ANN201
    """A page at a path; nothing may go wrong in it, and nothing be said in its console."""
    with page_of(address, "/", **size) as (page, errors):
        page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        page.goto(address + path)
        yield page
        assert [] == errors


def exercise_of(page, kind: str):  # noqa: ANN001, ANN201
    """The exercise of a kind in the notebook of every kind, and its dealt question."""
    panel = page.locator(".hpteach-view").nth(list(KINDS).index(kind))
    panel.locator(".hpteach-check").first.wait_for(timeout=120 * SECONDS)
    return panel, deal(BANK.question(KINDS[kind]), SEED)


def focus_by_tab(page, matches: str, *, backwards: bool = False, most: int = 150) -> None:  # noqa: ANN001
    """Press Tab until the focus is on an element that a piece of JavaScript accepts."""
    for _ in range(most):
        page.keyboard.press("Shift+Tab" if backwards else "Tab")
        if page.evaluate(f"(() => {{ const at = document.activeElement; return Boolean({matches}); }})()"):
            return
    raise AssertionError(f"Tab was pressed {most} times and never came to {matches}")


def typed(variant: Variant, part: str, value: float) -> str:
    """A number as the answer to a part."""
    return show(value, variant.part(part).quantity, variant.system, decimals=3)


ON_FIELD = "at.matches('.hpteach-form .hpteach-field') && at.closest('.hpteach-view') === [...document.querySelectorAll('.hpteach-view')].pop()"


def test_an_exercise_is_done_by_keyboard_alone(address: str, record: Path) -> None:
    """Tab leads to the field; a foreseen mistake is corrected, a hint read, the right answer given, the solution with its picture opened and another
    set dealt, all without a mouse; the focus is always seen, and the record holds the two tries."""
    with watched(address, f"/voila/render/{NOTEBOOK}") as page:
        panel, variant = exercise_of(page, "solution")
        before = len(Progress.open(record).attempts())
        part = variant.parts[0]

        focus_by_tab(page, ON_FIELD)
        assert "none" != page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        page.keyboard.type("no idea")
        page.keyboard.press("Enter")
        panel.get_by_text("Not read yet (this costs nothing).").wait_for(timeout=60 * SECONDS)
        assert "no idea" == page.evaluate("document.activeElement.value")

        page.keyboard.press("Control+a")
        page.keyboard.type(typed(variant, part.id, part.mistakes[0].value))
        page.keyboard.press("Enter")
        panel.get_by_text(part.mistakes[0].correction[:40]).wait_for(timeout=60 * SECONDS)
        assert "true" == page.evaluate("document.activeElement.getAttribute('aria-invalid')")

        focus_by_tab(page, "at.innerText === 'A hint'", most=4)
        page.keyboard.press("Enter")
        panel.get_by_text(f"Hint 1 of {len(variant.hints)}").wait_for(timeout=60 * SECONDS)

        focus_by_tab(page, ON_FIELD, backwards=True, most=4)
        page.keyboard.press("Control+a")
        page.keyboard.type(typed(variant, part.id, part.answer))
        page.keyboard.press("Enter")
        panel.get_by_text("Right.", exact=True).wait_for(timeout=60 * SECONDS)

        focus_by_tab(page, "at.innerText === 'Show the worked solution'", most=4)
        assert 0 == panel.locator(PICTURE).count()
        page.keyboard.press("Space")
        panel.locator(PICTURE).wait_for(timeout=60 * SECONDS)
        assert "sentences below" in panel.locator(PICTURE).get_attribute("aria-label")

        focus_by_tab(page, "at.innerText === 'Another one like it'", most=4)
        page.keyboard.press("Enter")
        panel.locator(PICTURE).wait_for(state="detached", timeout=60 * SECONDS)
        page.wait_for_function(f"(() => {{ const at = document.activeElement; return {ON_FIELD} && at.value === ''; }})()")
        assert SEED != int(panel.get_by_label("set of numbers").input_value())

    tries = Progress.open(record).attempts()[before:]
    assert [(SEED, False, part.mistakes[0].id, 0), (SEED, True, None, 1)] == [(one.seed, one.correct, one.mistake, one.hints) for one in tries]


def test_the_notebooks_own_keys_rest_in_an_answer(tmp_path: Path) -> None:
    """In JupyterLab letters and Enter in a field write and check, and change no cell."""
    chromium()
    with jupyterlab(tmp_path) as running:
        (tmp_path / "notebooks" / NOTEBOOK).write_text(notebook(), "utf-8")
        with page_of(running, f"/lab/workspaces/keys/tree/{NOTEBOOK}") as (page, errors):
            run_all(page, ".hpteach-check")
            written_in_jupyterlab(page)
            assert [] == errors


def written_in_jupyterlab(page) -> None:  # noqa: ANN001
    """Write letters that are keys of the notebook into the first field, and press Enter."""
    from playwright.sync_api import expect

    cells = page.locator(".jp-Cell")
    expect(cells).to_have_count(1 + len(KINDS), timeout=60 * SECONDS)
    field = page.locator(".hpteach-view").first.locator(".hpteach-field").first
    field.focus()
    page.keyboard.type("dd x b a 9999 kJ/kg")
    page.keyboard.press("Enter")
    page.get_by_text("Not read yet (this costs nothing).").first.wait_for(timeout=60 * SECONDS)
    expect(cells).to_have_count(1 + len(KINDS))
    expect(field).to_have_value("dd x b a 9999 kJ/kg")


def test_radio_buttons_are_walked_through_without_a_verdict(address: str) -> None:
    """Arrow keys move through the choices and nothing is judged; Enter judges the one that is chosen."""
    with watched(address, f"/voila/render/{NOTEBOOK}") as page:
        panel, variant = exercise_of(page, "truth")
        part = next(part for part in variant.parts if part.kind == "truth")
        group = panel.locator("fieldset").nth([one.id for one in variant.parts].index(part.id))
        group.locator("input").first.focus()
        page.keyboard.press("Space")
        for _ in range(2 * len(part.choices)):
            page.keyboard.press("ArrowDown")
            if page.evaluate("document.activeElement.value") == part.answer:
                break
        page.wait_for_timeout(500)
        assert 0 == panel.locator(".hpteach-verdict .hpteach-note").count()
        page.keyboard.press("Enter")
        panel.get_by_text("Right.", exact=True).wait_for(timeout=60 * SECONDS)


def test_boxes_are_ticked_and_a_verdict_is_read_out(address: str) -> None:
    """What holds is ticked with the space bar; the verdict comes in a region that was there before, so that it is read out."""
    with watched(address, f"/voila/render/{NOTEBOOK}") as page:
        panel, variant = exercise_of(page, "several")
        part = next(part for part in variant.parts if part.kind == "several")
        boxes = panel.locator("input[type=checkbox]")
        region = panel.locator(".hpteach-verdict").nth([one.id for one in variant.parts].index(part.id)).element_handle()
        assert ("status", "polite") == (region.get_attribute("role"), region.get_attribute("aria-live"))
        for letter in part.answer.split():
            boxes.nth("ABCDEFGH".index(letter)).focus()
            page.keyboard.press("Space")
        page.keyboard.press("Enter")
        panel.get_by_text("Right.", exact=True).wait_for(timeout=60 * SECONDS)
        assert region.evaluate("region => region.isConnected && region.innerText.includes('Right.')")
        assert panel.locator("fieldset").first.evaluate("set => set.querySelector('legend').innerText.length > 10")


def test_a_table_is_filled_cell_by_cell(address: str) -> None:
    """Tab goes from cell to cell; Enter judges all that are filled; every cell has a name; after giving up the others are filled."""
    with watched(address, f"/voila/render/{NOTEBOOK}") as page:
        panel, variant = exercise_of(page, "table")
        cells = [part for part in variant.parts if part.table]
        fields = panel.locator(".hpteach-grid .hpteach-field")
        assert len(cells) == fields.count()
        assert all(unit in name for unit, name in zip([part.unit for part in cells], [fields.nth(i).get_attribute("aria-label") for i in range(len(cells))]))
        fields.first.focus()
        page.keyboard.type(typed(variant, cells[0].id, cells[0].answer).split()[0])
        page.keyboard.press("Tab")
        page.keyboard.type("much")
        page.keyboard.press("Enter")
        panel.get_by_text("Still empty:").wait_for(timeout=60 * SECONDS)
        words = panel.locator(".hpteach-cell-word").all_inner_texts()
        assert ["Right.", "Not read yet (this costs nothing)."] == words[:2]
        for button in ("Give up: show the worked solution", "Show it all the same"):
            panel.get_by_role("button", name=button).press("Enter")
        panel.locator(PICTURE).first.wait_for(timeout=60 * SECONDS)
        panel.get_by_text("From the solution:").wait_for(timeout=60 * SECONDS)
        assert all(fields.nth(index).input_value() for index in range(len(cells)))


def test_markup_in_an_answer_stays_text(address: str) -> None:
    """A text with tags is shown as it was typed and makes no element."""
    with watched(address, f"/voila/render/{NOTEBOOK}") as page:
        panel, _ = exercise_of(page, "number")
        field = panel.locator(".hpteach-field").first
        field.fill("<img src=x onerror=document.title='gone'>")
        field.press("Enter")
        panel.get_by_text("Not read yet (this costs nothing).").first.wait_for(timeout=60 * SECONDS)
        assert "<img" in panel.locator(".hpteach-verdict").first.inner_text()
        assert 0 == panel.locator(".hpteach-verdict img").count() and "gone" != page.title()


@pytest.mark.parametrize("width", [1400, 390])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_kind_fits_the_page(address: str, width: int, scheme: str) -> None:
    """On a desk and on a phone, light and dark: nothing reaches beyond the page, texts stand apart from what is behind them, and nothing jumps
    when a one-line verdict comes."""
    PICTURES.mkdir(exist_ok=True)
    with watched(address, "/", width=width) as page:
        page.emulate_media(color_scheme=scheme)
        page.goto(f"{address}/voila/render/{NOTEBOOK}")
        for kind in KINDS:
            exercise_of(page, kind)
        page.locator(PICTURE).first.wait_for(timeout=60 * SECONDS)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        for kind in KINDS:
            panel, variant = exercise_of(page, kind)
            reach = panel.evaluate(
                "panel => Math.max(...[...panel.querySelectorAll('.hpteach-form *:not(.hpteach-wide *)')].map(one => one.getBoundingClientRect().right)) - panel.getBoundingClientRect().right"
            )
            assert reach <= 1.0, kind
        panel, variant = exercise_of(page, "number")
        hint = panel.get_by_role("button", name="A hint")
        top = hint.evaluate("one => one.getBoundingClientRect().top + scrollY")
        part = variant.parts[0]
        panel.locator(".hpteach-field").first.fill(show(part.answer, part.quantity))
        panel.locator(".hpteach-field").first.press("Enter")
        panel.get_by_text("Right.", exact=True).wait_for(timeout=60 * SECONDS)
        assert abs(top - hint.evaluate("one => one.getBoundingClientRect().top + scrollY")) <= 1.0
        ink, behind = (panel.locator(".hpteach-asked-for").first.evaluate(f"one => getComputedStyle({of}).{what}") for of, what in (("one", "color"), ("document.documentElement", "backgroundColor")))
        assert abs(lightness(ink) - lightness(behind)) > 0.5
        for kind in KINDS:
            exercise_of(page, kind)[0].screenshot(path=PICTURES / f"exercise-{kind}-{width}-{scheme}.png")


def lightness(colour: str) -> float:
    """How light a colour is, from 0 to 1, of a text such as "rgb(20, 24, 28)"."""
    numbers = [float(number) for number in colour.partition("(")[2].rstrip(")").split(",")[:3]]
    return sum(numbers) / 3.0 / 255.0


def test_a_change_of_units_keeps_what_is_typed(address: str) -> None:
    """Turning to IP leaves the text in its field and the same set; the prompt is in the other units."""
    with watched(address, f"/voila/render/{NOTEBOOK}") as page:
        panel, variant = exercise_of(page, "number")
        panel.locator(".hpteach-field").first.fill("9999 kJ/kg")
        panel.locator(".hpteach-field").first.press("Enter")
        panel.get_by_text("Not right.").first.wait_for(timeout=60 * SECONDS)
        panel.get_by_role("button", name="IP").click()
        panel.get_by_text("These units have round numbers of their own").wait_for(timeout=60 * SECONDS)
        assert "9999 kJ/kg" == panel.locator(".hpteach-field").first.input_value()
        assert str(SEED) == panel.get_by_label("set of numbers").input_value()
        assert "Btu/lb" in panel.inner_text()
