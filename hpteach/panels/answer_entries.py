"""The entries of a question: a field, choices or a table, each a form of its own with a button and a verdict.

What lives here: `AnswerForm` and `TableForm`, with their part that runs in the browser (answer_entries.js), and `entries_of` a dealt question.
What does not: judging (questions), what becomes of a verdict (exercise, prediction).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import anywidget
import traitlets

from hpteach.panels.verdict_words import Said
from hpteach.questions import Part, Variant
from hpteach.questions.dealt_parts import StateTable, lettered
from hpteach.questions.several import NONE

FIELDS = ("number", "order")
"""The kinds of part that are answered in writing; all others are chosen."""

OnCheck = Callable[[tuple[str, ...]], None]
"""Called with the ids of the parts to be judged."""


class _Form(anywidget.AnyWidget):
    """What both forms share.  `takes_focus` puts the cursor into it when it appears."""

    _esm = Path(__file__).with_name("answer_entries.js").read_text(encoding="utf-8")

    kind = traitlets.Unicode().tag(sync=True)
    asked = traitlets.Unicode().tag(sync=True)
    button = traitlets.Unicode("Check").tag(sync=True)
    verdict = traitlets.Dict().tag(sync=True)
    takes_focus = traitlets.Bool(False).tag(sync=True)

    def __init__(self, on_check: OnCheck, **settings: object) -> None:
        super().__init__(**settings)
        self._on_check = on_check
        self.on_msg(lambda _, content, __: self._heard(content))

    def check(self) -> None:
        """As if the button was pressed."""
        self._on_check(self.parts)

    @property
    def parts(self) -> tuple[str, ...]:
        """The ids of the parts that are answered here."""
        raise TypeError(f"{type(self).__name__} answers no part")

    def say(self, said: Mapping[str, Said]) -> None:
        """Show the verdict of each part, by its id; none at all takes the last ones away."""
        raise TypeError(f"{type(self).__name__} shows no verdict")

    def _heard(self, content: Mapping) -> None:
        self._take(content.get("answer"))
        if content.get("check"):
            self.check()

    def _take(self, answer: object) -> None:
        raise TypeError(f"{type(self).__name__} takes no answer")


class AnswerForm(_Form):
    """The form of one part; `value` is the answer: a text, the words of a choice, or letters ("A C").

    >>> from hpteach.questions import deal, read_bank
    >>> part = deal(read_bank().question("predict-gauge"), 1).parts[0]
    >>> form = AnswerForm(part, print)
    >>> form.value = part.choices[0]
    >>> form.check()
    ('shows',)
    """

    listed = traitlets.List(traitlets.Unicode()).tag(sync=True)
    choices = traitlets.List(traitlets.Dict()).tag(sync=True)
    placeholder = traitlets.Unicode().tag(sync=True)
    value = traitlets.Unicode().tag(sync=True)

    def __init__(self, part: Part, on_check: OnCheck, *, place: str = "", button: str = "Check", takes_focus: bool = False) -> None:
        self._part = part.id
        in_words = part.kind not in FIELDS
        several = part.kind == "several"
        choices = [{"letter": f"{letter})", "text": text, "value": letter if several else text} for letter, text in lettered(part.choices)]
        if part.may_be_none:
            choices.append({"letter": "", "text": "none of these", "value": NONE})
        super().__init__(
            on_check,
            kind="text" if not in_words else "several" if several else "one",
            asked=f"{place}{part.text}".strip(),
            listed=list(part.choices) if part.kind == "order" else [],
            choices=choices if in_words else [],
            placeholder="" if in_words else _placeholder(part),
            button=button,
            takes_focus=takes_focus,
        )

    @property
    def options(self) -> tuple[str, ...]:
        """What can be chosen, as `value` has it; nothing where the answer is written."""
        return tuple(choice["value"] for choice in self.choices)

    @property
    def parts(self) -> tuple[str, ...]:
        """The one part."""
        return (self._part,)

    def say(self, said: Mapping[str, Said]) -> None:
        """Show the verdict, or take it away."""
        rows = [row._asdict() for row in said.values()]
        self.verdict = {"rows": rows, "kind": rows[0]["kind"]} if rows else {}

    def _take(self, answer: object) -> None:
        if isinstance(answer, str):
            self.value = answer


class TableForm(_Form):
    """The form of a state table; `value` holds the text of each cell by the id of its part."""

    columns = traitlets.List(traitlets.Unicode()).tag(sync=True)
    rows = traitlets.List(traitlets.Dict()).tag(sync=True)
    value = traitlets.Dict().tag(sync=True)

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts that are cells of this table."""
        return tuple(cell["id"] for row in self.rows for cell in row["cells"] if cell["id"])

    def say(self, said: Mapping[str, Said]) -> None:
        """Show the verdicts, in each cell a word and below the table a sentence for each, or take them away.

        Cells of which the same is to be said, as of those filled from the solution, share one sentence.
        """
        rows: dict[tuple[str, str], Said] = {}
        for id, row in said.items():
            shared = (row.word, "" if row.word.endswith(":") else id)
            rows[shared] = row if shared not in rows else row._replace(text=f"{rows[shared].text}, {row.text}")
        words = {id: {"word": row.word.rpartition(": ")[2].rstrip(":"), "kind": row.kind} for id, row in said.items()}
        self.verdict = {"rows": [row._asdict() for row in rows.values()], "cells": words} if rows else {}

    def _take(self, answer: object) -> None:
        if isinstance(answer, dict):
            self.value = {id: str(answer.get(id, "")) for id in self.parts}


@dataclass
class Cell:
    """One cell of a table, with a `value` as a form of its own has it."""

    form: TableForm
    id: str

    @property
    def value(self) -> str:
        """The text in the cell."""
        return self.form.value.get(self.id, "")

    @value.setter
    def value(self, text: str) -> None:
        """Put a text into the cell."""
        self.form.value = {**self.form.value, self.id: text}


def _placeholder(part: Part) -> str:
    if part.kind == "order":
        return f"the numbers from 1 to {len(part.choices)} in order"
    return f"number and unit, for example in {part.unit}" if part.unit else "number"


@dataclass(frozen=True)
class Asked:
    """One form with what it asks for: a name such as "question 2", and the parts that are answered in it with their own names."""

    form: AnswerForm | TableForm
    name: str
    cells: Mapping[str, str]


def entries_of(variant: Variant, on_check: OnCheck, *, takes_focus: bool = False) -> tuple[Asked, ...]:
    """A form for each thing that a dealt question asks, in its order: one for a part, one for a whole table.

    Where there are several they are counted, "1" first.

    >>> from hpteach.questions import deal, read_bank
    >>> [asked.name for asked in entries_of(deal(read_bank().question("cooling-cop"), 7), print)]
    ['question 1', 'question 2']
    """
    things = list(dict.fromkeys(part.table or part.id for part in variant.parts))
    tables = {table.id: table for table in variant.tables}
    found = []
    for number, thing in enumerate(things, 1):
        place, name = (f"{number}. ", f"question {number}") if len(things) > 1 else ("", "the question")
        how = {"takes_focus": takes_focus and number == 1}
        if thing in tables:
            form = _table(tables[thing], on_check, place, **how)
            found.append(Asked(form, name, {id: id.removeprefix(f"{thing}_") for id in form.parts}))
        else:
            found.append(Asked(AnswerForm(variant.part(thing), on_check, place=place, **how), name, {}))
    return tuple(found)


def same_answer(old: Part, new: Part, answer: str) -> str:
    """An answer to the same part in other units: a choice is the one at the same place, all else is as it was typed.

    >>> from hpteach.questions import deal, read_bank
    >>> si, ip = (deal(read_bank().question("two-thermometers"), 5, system).parts[0] for system in ("SI", "IP"))
    >>> same_answer(si, ip, si.answer) == ip.answer
    True
    """
    return new.choices[old.choices.index(answer)] if answer in old.choices and old.kind not in FIELDS else answer


def controls_of(asked: Iterable[Asked]) -> dict[str, AnswerForm | Cell]:
    """What holds the answer of each part, by the part's id."""
    found: dict[str, AnswerForm | Cell] = {}
    for one in asked:
        found |= {id: Cell(one.form, id) for id in one.cells} if isinstance(one.form, TableForm) else {id: one.form for id in one.form.parts}
    return found


def _table(table: StateTable, on_check: OnCheck, place: str, *, takes_focus: bool) -> TableForm:
    def cell(row: str, column: str, one: object) -> dict[str, str]:
        return {"id": one.part, "given": one.given, "label": f"{row}, {column}"}

    rows = [
        {"name": row, "cells": [cell(row, column, one) for column, one in zip(table.columns, cells)]} for row, cells in zip(table.rows, table.cells)
    ]
    return TableForm(on_check, kind="table", asked=f"{place}{table.text}".strip(), columns=["point", *table.columns], rows=rows, takes_focus=takes_focus)
