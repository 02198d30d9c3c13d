"""A small table that prints in a terminal and in a notebook.

What lives here: columns of text, laid out.  What does not: quantities and units;
whoever makes a table has already written its numbers as text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape


@dataclass(frozen=True)
class Table:
    """Headings, rows of text and a caption.

    `right` names the columns (by position) that are set flush right, as numbers are.

    >>> print(Table("Lines", ("line", "bar"), (("suction", "8.0"), ("discharge", "27.3")), right=(1,)))
    Lines
    line        bar
    ---------  ----
    suction     8.0
    discharge  27.3
    """

    caption: str
    headings: Sequence[str]
    rows: Sequence[Sequence[str]]
    right: Sequence[int] = ()

    def __str__(self) -> str:
        widths = [
            max(len(str(row[column])) for row in (self.headings, *self.rows))
            for column in range(len(self.headings))
        ]

        def line(cells: Sequence[str]) -> str:
            laid = [
                cell.rjust(width) if column in self.right else cell.ljust(width)
                for column, (cell, width) in enumerate(zip(cells, widths))
            ]
            return "  ".join(laid).rstrip()

        rule = "  ".join("-" * width for width in widths)
        head = [self.caption] if self.caption else []
        return "\n".join([*head, line(self.headings), rule, *(line(row) for row in self.rows)])

    def _repr_html_(self) -> str:
        def cell(tag: str, column: int, text: str) -> str:
            side = "right" if column in self.right else "left"
            scope = ' scope="col"' if tag == "th" else ""
            return f'<{tag}{scope} style="text-align:{side}">{escape(text)}</{tag}>'

        head = "".join(cell("th", column, text) for column, text in enumerate(self.headings))
        body = "".join(
            "<tr>" + "".join(cell("td", column, text) for column, text in enumerate(row)) + "</tr>"
            for row in self.rows
        )
        caption = f"<caption>{escape(self.caption)}</caption>" if self.caption else ""
        return (
            f'<table class="hpteach-table">{caption}<thead><tr>{head}</tr></thead>'
            f"<tbody>{body}</tbody></table>"
        )
