"""The chart from which a question is to be answered.

What lives here: what a file says of it, and what is dealt for a view or a paper to draw.
What does not: drawing it (diagrams, panels).

    read_from = "pressure-enthalpy"     or "temperature-entropy", "pressure-temperature"
    marked = ["1", "2"]                 the state points that are named on it (all four corners, if left out; [] leaves the chart without a cycle)
"""

from __future__ import annotations

from collections.abc import Iterable

from hpteach.cycle import NAMES, Cycle
from hpteach.errors import LimitError
from hpteach.questions.dealt_parts import ChartAsked
from hpteach.questions.entries import Entry
from hpteach.questions.part_names import Names
from hpteach.questions.stated_parts import QuestionPart, check_distinct

CHARTS = ("pressure-enthalpy", "temperature-entropy", "pressure-temperature")
READ_FROM = ("read_from", "marked")
_CORNERS = ("1", "2", "3", "4")


def read_asked_chart(entry: Entry, names: Names) -> tuple[str, tuple[str, ...]]:
    """The kind of chart from which a part is answered, and the points marked on it; ("", ()) where there is none.

    Raises `DataError` with file, key, value and what is allowed.
    """
    if "read_from" not in entry.data:
        if "marked" in entry.data:
            raise entry.refuse("marked", entry.data["marked"], "no such key without read_from")
        return "", ()
    kind = entry.one_of("read_from", CHARTS)
    if "h1" not in names.numbers:
        raise entry.refuse("read_from", kind, "a chart only beside a [scenario] that states a cycle, or a [weather]")
    if kind == "pressure-temperature":
        if "marked" in entry.data:
            raise entry.refuse("marked", entry.data["marked"], "no such key beside a pressure-temperature chart, which shows no cycle")
        return kind, ()
    if entry.data.get("marked") == []:
        return kind, ()
    marked = entry.texts("marked") if "marked" in entry.data else _CORNERS
    for label in marked:
        if label not in NAMES:
            raise entry.refuse("marked", label, "state points of " + ", ".join(NAMES))
    check_distinct(entry, "marked", marked)
    return kind, marked


def asked_chart(parts: Iterable[QuestionPart], cycle: Cycle | None) -> ChartAsked | None:
    """The chart of a question with its cycle, or None where it is answered without one.

    Raises `LimitError` where the cycle does not make a marked point.
    """
    part = next((part for part in parts if part.read_from), None)
    if part is None or cycle is None:
        return None
    made = [point.label for point in cycle.points]
    for label in part.marked:
        if label not in made:
            raise LimitError(f"this cycle does not make point {label}, which its chart should mark: draw other conditions")
    return ChartAsked(part.read_from, cycle.refrigerant, cycle if part.marked else None, part.marked)
