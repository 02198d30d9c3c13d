"""The glossary as a page that lessons link to: notebooks/glossary.ipynb, made from docs/glossary.md.

What lives here: reading the table of docs/glossary.md, the heading of each term and its anchor, writing the page.  What does not: the words themselves.
`python -m tests.glossary_page` writes the page; test_glossary_page holds the two equal.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

TOP = Path(__file__).parents[1]
GLOSSARY = TOP / "docs" / "glossary.md"
PAGE = TOP / "notebooks" / "glossary.ipynb"

HEAD = """# Glossary

**You need:** nothing. **Time:** a minute for a word.

The trade's words as the lessons use them, in the order of the alphabet. *Also called* gives the words of both shores, so that you find yours. Of two units the first
is SI, the second IP. A unit that stands alone serves both, and *-* is a plain number. Symbols are those of the lessons or usual ones. Other books may have others.

A word is no permission. Your local codes, the maker's instructions and the licensed person in charge come first.

Not at your word yet? Click its link once more.

All lessons: [index](index.ipynb). Begin with [00 Start here](00-start-here.ipynb)."""


@dataclass(frozen=True)
class Entry:
    """A term of the trade with what else it is called, its symbol, units (SI / IP) and meaning."""

    term: str
    others: str
    symbol: str
    units: str
    meaning: str
    in_code: str

    @property
    def anchor(self) -> str:
        """What a link to the term ends in: JupyterLab and the pages without code both make it from the heading, a hyphen for each blank."""
        return self.term.replace(" ", "-")

    def markdown(self) -> str:
        """The entry as the page has it."""
        named = (("Also called", self.others), ("Symbol", self.symbol), ("Units", "none, a plain number" if self.units == "-" else self.units))
        facts = " ".join(f"*{name}:* {value}." for name, value in named if value)
        return "\n\n".join(part for part in (f"### {self.term}", self.meaning, facts.replace("t*.", r"t\*.")) if part)


def entries() -> list[Entry]:
    """Every entry of docs/glossary.md, in its order."""
    rows = GLOSSARY.read_text("utf-8").split("|---|", 1)[1].splitlines()[1:]
    return [Entry(*(cell.strip() for cell in row.strip()[1:-1].split("|"))) for row in rows if row.startswith("|")]


def page() -> str:
    """The text of the notebook: a head, then a cell for each letter."""
    cells = [_cell("glossary-head", HEAD)]
    for letter, found in groupby(entries(), key=lambda entry: entry.term[0].upper()):
        cells.append(_cell(f"glossary-{letter.lower()}", "\n\n".join([f"## {letter}", *(entry.markdown() for entry in found)])))
    metadata = {"kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}, "language_info": {"name": "python"}}
    return json.dumps({"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}, indent=1, ensure_ascii=False) + "\n"


def _cell(name: str, source: str) -> dict:
    return {"cell_type": "markdown", "id": name, "metadata": {}, "source": source.splitlines(keepends=True)}


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
