"""How many marks each thing asked is worth.

What lives here: the marks of a question's parts.  What does not: whether an answer is right (questions.checking), the score of a
learner (marking).

Each part is worth one mark, and so is each empty cell of a state table; but a table counts four marks at most, shared by its
cells, so that a question with a table does not weigh more than all others (common practice, no source; so is the figure).
"""

from __future__ import annotations

from collections import Counter

from hpteach.questions import Question, Variant

MOST_FOR_A_TABLE = 4.0


def marks_of(variant: Variant) -> dict[str, float]:
    """The marks that each part of a dealt question is worth, by the part's id.

    >>> from hpteach.questions import deal, read_bank
    >>> marks_of(deal(read_bank().question("read-a-gauge"), seed=7))
    {'absolute': 1.0}
    """
    cells = Counter(part.table for part in variant.parts if part.table)
    return {part.id: _marks_of_a_table(cells[part.table]) / cells[part.table] if part.table else 1.0 for part in variant.parts}


def question_marks(question: Question) -> float:
    """The marks of a whole question, as its file states it.

    >>> from hpteach.questions import read_bank
    >>> question_marks(read_bank().question("read-a-gauge"))
    1.0
    """
    return sum(_marks_of_a_table(len(part.table.asked)) if part.table else 1.0 for part in question.parts)


def _marks_of_a_table(cells: int) -> float:
    return min(MOST_FOR_A_TABLE, float(cells))
