"""Drawing tasks: four points of a cycle, marked by hand on a blank chart.

What lives here: which questions lend their cycle to one, and what it is worth.  What does not: the chart (papers), the points that a
learner got, which somebody with eyes types into the answer sheet (marking).

A drawing task takes a question's cycle alone and asks nothing of what the question asks.
"""

from __future__ import annotations

from hpteach.questions import Question

DRAWING_MARKS = 4.0
"""One for each of the points 1, 2, 3 and 4 (common practice, no source)."""

DRAWING_PART = "points"
"""What stands in the column `part` of the answer sheet; the answer is how many points are right, from 0 to 4."""

_ENDS = (("superheat", "suction_line_temperature"), ("subcooling", "liquid_line_temperature"))


def can_be_drawn(question: Question) -> bool:
    """Whether a question states one cycle whose four points differ: with superheat and subcooling, and no second cycle to compare with.

    A question that is itself answered from a chart is left out.

    >>> from hpteach.questions import read_bank
    >>> can_be_drawn(read_bank().question("cooling-cop")), can_be_drawn(read_bank().question("read-a-gauge"))
    (True, False)
    """
    stated, read = question.scenario, any(part.read_from for part in question.parts)
    return question.has_cycle and not question.compare and not read and all(any(key in stated for key in either) for either in _ENDS)
