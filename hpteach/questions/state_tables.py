"""A state table with empty cells: pressures, temperatures and so on of the points of a cycle.

What lives here: what its file says, and its dealing into a grid and one number for each empty cell.
What does not: reading and judging a number (answers, checking).

    kind = "table"
    points = ["1", "2", "3", "4"]                       of 1, 2, 2a, 2b, 3, 4, 4a
    quantities = ["pressure", "temperature", "enthalpy"]  and "entropy"
    given = ["p1", "T1", "h1"]                          printed; the rest is asked
    [parts.tolerances]                                  one for each quantity
    enthalpy = { absolute = "1.5 kJ/kg", reason = "…" }
    [[parts.mistakes]]                                  way = "…", or id, value and correction; cells = ["h2"] says where (all, if left out)

A cell is dealt as a part of kind "number" whose id is the table's and the symbol, "table_h2".  The value of
another point is a foreseen mistake of every cell.
"""

from __future__ import annotations

from dataclasses import replace

from hpteach import units
from hpteach.cycle import NAMES
from hpteach.questions.dealt_parts import Cell, Part, StateTable
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import expression
from hpteach.questions.making import Dealing
from hpteach.questions.part_names import Names
from hpteach.questions.stated_parts import Mistake, QuestionPart, StatedTable, check_distinct, read_mistake, read_tolerance

SYMBOLS = {"pressure": "p", "temperature": "T", "enthalpy": "h", "entropy": "s"}
_KINDS = {"pressure": "pressure", "temperature": "temperature", "enthalpy": "specific energy", "entropy": "specific entropy"}
_MOST_CELLS = 24
ANOTHER_POINT = "value_of_another_point"


def read_state_table(entry: Entry, names: Names) -> StatedTable:
    """The table that a file states; raises `DataError` with file, key, value and what is allowed."""
    points, quantities = _of(entry, "points", NAMES), _of(entry, "quantities", SYMBOLS)
    symbols = [SYMBOLS[quantity] + point for point in points for quantity in quantities]
    unknown = [symbol for symbol in symbols if symbol not in names.numbers]
    if unknown:
        raise entry.refuse("points", unknown[0], "a table only beside a [scenario] that states a cycle, or a [weather]")
    given = _of(entry, "given", symbols) if entry.data.get("given") else ()
    asked = tuple(symbol for symbol in symbols if symbol not in given)
    if not 1 <= len(asked) <= _MOST_CELLS:
        raise entry.refuse("given", list(given), f"so much that 1 to {_MOST_CELLS} cells are left to be asked, not {len(asked)}")
    stated, letters = entry.table("tolerances"), {symbol[0] for symbol in asked}
    wanted = [quantity for quantity in quantities if SYMBOLS[quantity] in letters]
    stated.only(wanted)
    tolerances = {quantity: read_tolerance(stated.table(quantity), _KINDS[quantity]) for quantity in wanted}
    return StatedTable(points, quantities, given, asked, tolerances)


def _of(entry: Entry, key: str, known: object) -> tuple[str, ...]:
    """A list of different texts of those that are known."""
    found = entry.texts(key)
    for text in found:
        if text not in known:
            raise entry.refuse(key, text, "one of " + ", ".join(known))
    check_distinct(entry, key, found)
    return found


def read_table_mistakes(entry: Entry, names: Names, table: StatedTable) -> tuple[Mistake, ...]:
    """The foreseen mistakes of a table's cells."""
    found = []
    for sub in entry.tables("mistakes") if "mistakes" in entry.data else ():
        cells = _of(sub, "cells", table.asked) if "cells" in sub.data else ()
        if "value" in sub.data and not cells:
            raise sub.refuse("value", sub.data["value"], "a value only together with the cells in which it may be found")
        found.append(read_mistake(sub, names, keys=("id", "value", "way", "correction", "cells"), cells=cells))
    return tuple(found)


def cell_ids(part: QuestionPart) -> tuple[str, ...]:
    """The ids of the parts as which a table is dealt; none for any other part."""
    return tuple(f"{part.id}_{symbol}" for symbol in part.table.asked) if part.table else ()


def asked_kinds(part: QuestionPart, mistake: Mistake) -> tuple[str, ...]:
    """The kinds of number in which a part's mistake may be made: its own, or those of the table's cells ("" for a choice or an order)."""
    if not part.table:
        return (part.quantity,)
    letters = {symbol[0] for symbol in mistake.cells or part.table.asked}
    return tuple(_KINDS[quantity] for quantity, letter in SYMBOLS.items() if letter in letters)


def make_table(stated: QuestionPart, dealing: Dealing) -> tuple[StateTable, tuple[Part, ...]]:
    """The grid, and one number for each of its empty cells; hints and solution go with the first."""
    table, writer = stated.table, dealing.writer
    columns = tuple(f"{quantity}, {units.unit_shown(_KINDS[quantity], writer.system).label}" for quantity in table.quantities)
    rows, parts, cells = [], [], []
    for point in table.points:
        rows.append(f"{point}: {NAMES[point]}")
        row = []
        for quantity in table.quantities:
            symbol = SYMBOLS[quantity] + point
            if symbol in table.given:
                row.append(Cell(writer(symbol).split()[0], ""))
                continue
            parts.append(_cell(stated, quantity, point, dealing, first=not parts))
            row.append(Cell("", parts[-1].id))
        cells.append(tuple(row))
    return StateTable(stated.id, writer.text(stated.text), columns, tuple(rows), tuple(cells)), tuple(parts)


def _cell(stated: QuestionPart, quantity: str, point: str, dealing: Dealing, *, first: bool) -> Part:
    symbol = SYMBOLS[quantity] + point
    mistakes = [mistake for mistake in stated.mistakes if not mistake.cells or symbol in mistake.cells]
    for other in stated.table.points:
        if other != point:
            correction = f"That is the {quantity} at point {other} ({NAMES[other]}). Here point {point} is asked ({NAMES[point]})."
            mistakes.append(Mistake(ANOTHER_POINT, expression(SYMBOLS[quantity] + other), None, correction))
    asked = replace(
        stated,
        id=f"{stated.id}_{symbol}",
        text=f"Point {point} ({NAMES[point]}): the {quantity} {symbol} is",
        quantity=_KINDS[quantity],
        hints=stated.hints if first else (),
        solution=f"{stated.solution}\n{symbol} = {{answer}}." if first else f"{symbol} = {{answer}}.",
    )
    part = dealing.number(asked, expression(symbol), stated.table.tolerances[quantity], mistakes)
    return replace(part, table=stated.id, row=point, column=quantity)
