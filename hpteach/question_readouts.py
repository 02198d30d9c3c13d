"""A dealt question as a dictionary for JSON, and its key in tables.

What lives here: what `ask` prints.  What does not: dealing and judging (questions), the command (cli).
"""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from hpteach import units
from hpteach.tables import Table

if TYPE_CHECKING:
    from hpteach.questions import Variant


def asked_dictionary(variant: Variant, *, key: bool) -> dict[str, Any]:
    """A dealt question ready for JSON; with the key also the answers and the foreseen mistakes.

    `unit` is the one in which the reader's system shows the quantity.  Answers, accepted bands and mistakes are in SI base units:
    `answer_unit` says in which ("" for a ratio, None for a choice or an order).

    >>> from hpteach.questions import deal, read_bank
    >>> sorted(asked_dictionary(deal(read_bank().question("cooling-cop"), 7), key=False))
    ['id', 'parts', 'seed', 'text', 'title', 'topic']
    """
    shown = ("id", "kind", "text", "quantity", "unit", "choices")
    hidden = ("answer", "accepts", "mistakes", "hints", "solution") if key else ()
    parts = [{name: found for name, found in asdict(part).items() if name in (*shown, *hidden)} for part in variant.parts]
    if key:
        for part in parts:
            part["answer_unit"] = units.base_unit(part["quantity"]) if part["quantity"] else None
    question = variant.question
    return {"id": question.id, "seed": variant.seed, "topic": question.topic, "title": question.title, "text": variant.prompt, "parts": parts}


def key_blocks(variant: Variant) -> list[Any]:
    """For each part the answer, the worked solution and a table of the foreseen mistakes.

    >>> from hpteach.questions import deal, read_bank
    >>> key_blocks(deal(read_bank().question("cooling-cop"), 7))[0].split(",")[0]
    'effect: 317.5 kJ/kg'
    """

    def shown(value: float | str, quantity: str) -> str:
        if isinstance(value, str):
            return value
        above = variant.atmosphere if quantity == "gauge pressure" else 0.0
        return units.show(value + above, quantity, variant.system, atmosphere=variant.atmosphere)

    blocks: list[Any] = []
    for part in variant.parts:
        accepts = f", accepted from {' to '.join(shown(edge, part.quantity) for edge in part.accepts)}" if part.accepts else ""
        blocks.append(f"{part.id}: {shown(part.answer, part.quantity)}{accepts}\n{part.solution}")
        rows = [(one.id, shown(one.value, part.quantity), one.correction) for one in part.mistakes]
        blocks.append(Table(f"Foreseen mistakes of {part.id}", ("mistake", "value", "correction"), rows))
    return blocks
