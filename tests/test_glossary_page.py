"""The glossary: what docs/glossary.md must hold, the page made from it, and the anchors of its terms (tests/glossary_page.py)."""

import json
import re

from tests.glossary_page import PAGE, TOP, Entry, entries, page

SHARED = {"-", "%", "h", "min", "kg/kg", "t CO2e", "share of marks"}
"""Units that both shores write alike."""

READ_ON = {"bin", "clamp probe", "defrost", "high side", "load line", "low side", "manifold", "overcharge", "rise test", "strength test", "tightness test",
           "time-temperature defrost", "ton of refrigeration", "undercharge"}  # fmt: skip
"""Things on which a quantity is read, and a unit: they have no symbol of their own."""


def test_there_are_enough_terms() -> None:
    """The glossary has more than eighty terms, each once, with a meaning of one sentence."""
    terms = entries()
    assert len({entry.term for entry in terms}) == len(terms) > 80
    assert [] == [entry.term for entry in terms if not re.fullmatch(r"[A-Z].*[^.]\.", entry.meaning) or not entry.in_code]


def test_a_quantity_has_a_symbol_and_both_units() -> None:
    """Where a unit stands, there stand an SI one and an IP one, unless both shores write it alike, and a symbol beside it; more than eighty terms have both units."""
    quantities = [entry for entry in entries() if entry.units]
    assert [] == [entry.term for entry in quantities if not entry.units.count(" / ") and entry.units not in SHARED]
    assert READ_ON == {entry.term for entry in quantities if not entry.symbol}
    assert 80 < sum(entry.units.count(" / ") for entry in quantities)


def test_nothing_is_planned() -> None:
    """No term waits for a room that is not built."""
    assert "planned" not in (TOP / "docs" / "glossary.md").read_text("utf-8").casefold()


def test_the_page_is_the_one_of_the_table() -> None:
    """notebooks/glossary.ipynb is what docs/glossary.md makes; run `python -m tests.glossary_page` where it is not."""
    assert page() == PAGE.read_text("utf-8")


def test_each_term_has_a_heading_with_its_anchor() -> None:
    """Every term is a heading of the page once, in the order of the table, and there is no code."""
    cells = json.loads(page())["cells"]
    assert {"markdown"} == {cell["cell_type"] for cell in cells}
    text = "\n".join("".join(cell["source"]) for cell in cells)
    assert [entry.term for entry in entries()] == re.findall(r"^### (.*)$", text, re.MULTILINE)


def test_the_anchors_are_those_of_the_pages_without_code() -> None:
    """The converter behind the pages without code gives every heading the anchor that links use."""
    from nbconvert.filters import markdown2html

    text = "\n\n".join(entry.markdown() for entry in entries())
    assert [entry.anchor for entry in entries()] == re.findall(r'<h3 id="([^"]*)"', markdown2html(text))


def test_an_entry_says_all_that_it_has() -> None:
    """Other names, symbol and units follow the meaning; what is missing is left out, and a star stays a star."""
    full = Entry("wet bulb", "WB", "t*", "°C / °F", "What a wet thermometer shows.", "`x`")
    assert "### wet bulb\n\nWhat a wet thermometer shows.\n\n*Also called:* WB. *Symbol:* t\\*. *Units:* °C / °F." == full.markdown()
    assert "### role\n\nWhat it does." == Entry("role", "", "", "", "What it does.", "`x`").markdown()
    assert "### COP\n\nHeat over work.\n\n*Units:* none, a plain number." == Entry("COP", "", "", "-", "Heat over work.", "`x`").markdown()
