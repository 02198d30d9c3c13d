"""Reading the parts of a question: a number, a choice or several, an order, a state, a truth, a state table.

What lives here: `read_part`, and which keys each kind has.  What does not: what a part is
made of (stated_parts), what only one kind has (the module of each kind), the file as a whole (bank).
"""

from __future__ import annotations

from collections.abc import Iterable

from hpteach import units
from hpteach.questions.asked_charts import READ_FROM, read_asked_chart
from hpteach.questions.entries import Entry
from hpteach.questions.part_names import Names
from hpteach.questions.several import read_several
from hpteach.questions.state_tables import cell_ids, read_state_table, read_table_mistakes
from hpteach.questions.states import read_place
from hpteach.questions.stated_parts import (
    IDENTIFIER,
    QuestionPart,
    check_distinct,
    check_one_right,
    read_choice,
    read_mistake,
    read_tolerance,
    read_way,
)
from hpteach.questions.truths import read_reasons, read_statement

__all__ = ["CONTROLS", "IDENTIFIER", "KINDS", "Names", "QuestionPart", "check_distinct", "check_parts", "read_part"]

KINDS = ("number", "choice", "several", "order", "state", "truth", "table")
_OWN_KEYS = {
    "number": ("text", "quantity", "only", "answer", "tolerance", "mistakes"),
    "choice": ("text", "choices", "keep_order", "mistakes"),
    "several": ("text", "choices", "keep_order", "may_be_none", "mistakes"),
    "order": ("text", "listed", "mistakes"),
    "state": ("text", "place", "mistakes"),
    "truth": ("statement", "reasons", "keep_order", "mistakes"),
    "table": ("text", "points", "quantities", "given", "tolerances", "mistakes"),
}
CONTROLS = ("seed", "units", "prediction")
"""Names by which the panels call controls of their own, beside one for each part."""


def read_part(entry: Entry, names: Names) -> QuestionPart:
    """One table of [[parts]] as a part; raises `DataError` with file, key, value and what is allowed."""
    kind = entry.one_of("kind", KINDS)
    entry.only(("id", "kind", *_OWN_KEYS[kind], *READ_FROM, "hints", "solution"))
    number, table = kind == "number", read_state_table(entry, names) if kind == "table" else None
    quantity = entry.one_of("quantity", units.KINDS) if number else ""
    only = entry.one_of("only", ("absolute",)) if "only" in entry.data else None
    if only and quantity != "pressure":
        raise entry.refuse("only", only, 'no such key unless quantity = "pressure"')
    read = read_mistake if number else read_way
    mistakes = read_table_mistakes(entry, names, table) if table else tuple(read(sub, names) for sub in _if_there(entry, "mistakes"))
    check_distinct(entry, "mistakes", (mistake.id for mistake in mistakes))
    id = entry.matching("id", IDENTIFIER, "lower-case words joined by underscores")
    if id in CONTROLS:
        raise entry.refuse("id", id, f"a name other than {', '.join(CONTROLS)}, which are controls of the panel")
    read_from, marked = read_asked_chart(entry, names)
    return QuestionPart(
        id=id,
        kind=kind,
        text=read_statement(entry, names) if kind == "truth" else names.template(entry, "text"),
        quantity=quantity,
        only=only,
        answer=names.expression(entry, "answer") if number else None,
        tolerance=read_tolerance(entry.table("tolerance"), quantity) if number else None,
        mistakes=mistakes,
        choices={"choice": _choices, "several": read_several, "truth": read_reasons}.get(kind, lambda *_: ())(entry, names),
        keep_order=entry.truth("keep_order"),
        listed=_listed(entry, names) if kind == "order" else (),
        hints=tuple(names.template(entry, "hints", text=hint) for hint in entry.texts("hints")),
        solution=names.template(entry, "solution", extra=[] if table else ["answer"]),
        may_be_none=entry.truth("may_be_none"),
        place=read_place(entry, names) if kind == "state" else "",
        table=table,
        read_from=read_from,
        marked=marked,
    )


def check_parts(entry: Entry, parts: Iterable[QuestionPart]) -> None:
    """Refuse parts of one question that do not go together: two with one id, or two charts to read from."""
    parts = tuple(parts)
    check_distinct(entry, "parts", (id for part in parts for id in (part.id, *cell_ids(part))))
    charts = {(part.read_from, part.marked) for part in parts if part.read_from}
    if len(charts) > 1:
        raise entry.refuse("parts", sorted(charts), "one chart for all parts of a question: the same read_from and marked in each")


def _if_there(entry: Entry, key: str) -> list[Entry]:
    return entry.tables(key) if key in entry.data else []


def _choices(entry: Entry, names: Names) -> tuple:
    choices = tuple(read_choice(sub, names) for sub in entry.tables("choices"))
    check_distinct(entry, "choices", (choice.text for choice in choices))
    check_distinct(entry, "choices", (choice.mistake for choice in choices if choice.mistake))
    check_one_right(entry, "choices", choices)
    return choices


def _listed(entry: Entry, names: Names) -> tuple[str, ...]:
    """The parts of the circuit to be put in order; that each is met once is known when it is dealt."""
    listed = tuple(names.template(entry, "listed", text=name) for name in entry.texts("listed"))
    if not names.circuit:
        raise entry.refuse("listed", list(listed), "an order only beside a [scenario] that states the position of the valve")
    if not 3 <= len(listed) <= 8:
        raise entry.refuse("listed", len(listed), "three to eight parts of the circuit")
    check_distinct(entry, "listed", listed)
    return listed
