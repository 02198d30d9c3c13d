"""What is dealt: a part with its answer, the foreseen mistakes, a state table, a chart to read.

What lives here: the results that dealing makes.  What does not: making them (making and the
module of each kind), a whole question (variants), judging (checking).
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.cycle import Cycle
from hpteach.tables import Table

LETTERS = "ABCDEFGH"
"""The letters of choices, as many as a part may have."""


@dataclass(frozen=True)
class Foreseen:
    """A foreseen mistake of a part: its permanent id, the answer it leads to, the correction.

    `accepts` is the (lowest, highest) number that is taken for it, None for a choice.
    """

    id: str
    value: float | str
    correction: str
    accepts: tuple[float, float] | None = None


@dataclass(frozen=True)
class Part:
    """One thing asked, with its answer in SI ("gauge pressure" is Pa gauge) or as a text.

    `kind` is "number", "choice", "several", "order", "state" or "truth".  The answer is a number, the words of the
    right choice ("choice", "state", "truth"), the letters of all right ones ("several": "A C", or "none"), or the
    numbers of scrambled parts in their order ("order": "3 1 2"); `choices` are listed in the order of their letters or numbers.
    `accepts` is the (lowest, highest) accepted number, None for all but a number; `unit` is the
    label in which the question's system shows the quantity; `only` is "absolute" where a
    gauge pressure would miss the point.  A cell of a state table is a number with `table`, the id of its table, and
    `row` and `column`, its point and quantity.  `read_from` is the kind of chart from which the answer is read, else "";
    `may_be_none` says that none of several choices may hold.
    """

    id: str
    kind: str
    text: str
    quantity: str
    unit: str
    only: str | None
    choices: tuple[str, ...]
    answer: float | str
    accepts: tuple[float, float] | None
    mistakes: tuple[Foreseen, ...]
    hints: tuple[str, ...]
    solution: str
    table: str = ""
    row: str = ""
    column: str = ""
    read_from: str = ""
    may_be_none: bool = False


@dataclass(frozen=True)
class Cell:
    """A cell of a state table: the printed number that is given, in the unit of its column, or the id of the part that asks for it (the other is "")."""

    given: str
    part: str


@dataclass(frozen=True)
class StateTable:
    """A state table to be filled, row by row.

    `columns` are headings with units ("pressure, bar"), `rows` the points ("2: discharge vapour"), `cells` hold for each row one cell in each column."""

    id: str
    text: str
    columns: tuple[str, ...]
    rows: tuple[str, ...]
    cells: tuple[tuple[Cell, ...], ...]

    def grid(self) -> Table:
        """The table as it prints: an empty cell shows the id of its part.

        >>> print(StateTable("table", "Fill it.", ("pressure, bar",), ("1: suction vapour",), ((Cell("", "table_p1"),),)).grid())
        point              pressure, bar
        -----------------  -------------
        1: suction vapour     [table_p1]
        """
        rows = [(row, *(cell.given or f"[{cell.part}]" for cell in cells)) for row, cells in zip(self.rows, self.cells)]
        return Table("", ("point", *self.columns), rows, right=range(1, 1 + len(self.columns)))


@dataclass(frozen=True)
class ChartAsked:
    """The chart from which a question is answered: its kind, the refrigerant, the cycle that is drawn on it and the points that are marked.

    Nothing is numbered on it but its axes and lines.  `cycle` is None where the chart is empty but for its lines.
    """

    kind: str
    refrigerant: str
    cycle: Cycle | None
    marked: tuple[str, ...]


def lettered(choices: tuple[str, ...], kind: str = "choice") -> tuple[tuple[str, str], ...]:
    """Choices with the letters by which they may be answered; parts to be put in order have numbers.

    >>> lettered(("rises", "falls")), lettered(("compressor", "liquid line"), "order")
    ((('A', 'rises'), ('B', 'falls')), (('1', 'compressor'), ('2', 'liquid line')))
    """
    return tuple(zip("12345678" if kind == "order" else LETTERS, choices))
