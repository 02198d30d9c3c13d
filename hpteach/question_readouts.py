"""A dealt question as a dictionary for JSON, its key in tables, and what a bank covers.

What lives here: what `ask` and `bank` print.  What does not: dealing and judging (questions), the command (cli).
"""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from hpteach import units
from hpteach.tables import Table

if TYPE_CHECKING:
    from hpteach.questions import Variant
    from hpteach.questions.law_topics import Coverage

_NAMED = 3
"""So many questions are named for each topic; of the rest only the number is told."""


def asked_dictionary(variant: Variant, *, key: bool) -> dict[str, Any]:
    """A dealt question ready for JSON; with the key also the answers and the foreseen mistakes.

    `unit` is the one in which the reader's system shows the quantity.  Answers, accepted bands and mistakes are in SI base units:
    `answer_unit` says in which ("" for a ratio, None for what is no number).  `table`, `row` and `column` say where the part stands
    in one of the `tables`; `read_from` that it is read from the `chart`, which is None where there is none.

    >>> from hpteach.questions import deal, read_bank
    >>> sorted(asked_dictionary(deal(read_bank().question("cooling-cop"), 7), key=False))
    ['chart', 'id', 'parts', 'seed', 'tables', 'text', 'title', 'topic']
    """
    shown = ("id", "kind", "text", "quantity", "unit", "choices", "may_be_none", "table", "row", "column", "read_from")
    hidden = ("answer", "accepts", "mistakes", "hints", "solution") if key else ()
    parts = [{name: found for name, found in asdict(part).items() if name in (*shown, *hidden)} for part in variant.parts]
    if key:
        for part in parts:
            part["answer_unit"] = units.base_unit(part["quantity"]) if part["quantity"] else None
    question, chart = variant.question, variant.chart
    return {
        "id": question.id,
        "seed": variant.seed,
        "topic": question.topic,
        "title": question.title,
        "text": variant.prompt,
        "parts": parts,
        "tables": [asdict(table) for table in variant.tables],
        "chart": {"kind": chart.kind, "refrigerant": chart.refrigerant, "marked": list(chart.marked)} if chart else None,
    }


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


def coverage_dictionary(covered: Coverage) -> dict[str, Any]:
    """Which questions practise each topic of the law and each lesson, ready for JSON, with what is missing.

    >>> from hpteach.questions import read_bank
    >>> from hpteach.questions.law_topics import coverage
    >>> sorted(coverage_dictionary(coverage(read_bank()))["coverage"])
    ['lessons', 'missing_lessons', 'missing_topics', 'topics']
    """
    from hpteach.questions.law_topics import law_topics

    known = law_topics()
    topics = [{"code": code, "topic": known[code].topic, "known": known[code].known, "theory": known[code].theory, "questions": list(ids)} for code, ids in covered.topics.items()]
    lessons = [{"lesson": lesson, "questions": list(ids)} for lesson, ids in covered.lessons.items()]
    missing = {"missing_topics": list(covered.missing_topics), "missing_lessons": list(covered.missing_lessons)}
    return {"coverage": {"topics": topics, "lessons": lessons, **missing}}


def coverage_blocks(covered: Coverage) -> list[Any]:
    """The same in tables, and a sentence for what is missing."""
    from hpteach.questions.law_topics import law_topics

    known = law_topics()
    topics = [(code, str(len(ids)), _some(ids) or ("none yet" if known[code].theory else known[code].why)) for code, ids in covered.topics.items()]
    lessons = [(lesson, str(len(ids)), _some(ids)) for lesson, ids in covered.lessons.items()]
    columns = ("questions", "among them")
    missing = [*covered.missing_topics, *(f"lesson {lesson}" for lesson in covered.missing_lessons)]
    return [
        Table("Topics of the law", ("code", *columns), topics, right=(1,)),
        Table("Lessons", ("lesson", *columns), lessons, right=(1,)),
        f"No question yet for: {', '.join(missing)}." if missing else "Every topic of theory and every lesson has a question.",
    ]


def _some(ids: tuple[str, ...]) -> str:
    more = len(ids) - _NAMED
    return ", ".join(ids[:_NAMED]) + (f" and {more} more" if more > 0 else "")
