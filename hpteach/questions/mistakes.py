"""Named wrong ways of solving a question, each with the sentence that corrects the thought.

What lives here: `WAYS`, applied to the whole situation of a question (its conditions,
its pressures), to the solved quantities, or to the finished answer; and why a way has no meaning in a question.
What does not: the ways themselves (wrong_readings, wrong_circuits, wrong_cycles), and mistakes of a single question, which its
file states as expressions.

A way's id is permanent: results of different questions and variants are counted together
by it.  A way that changes nothing in a question is no mistake there and is not offered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from hpteach.errors import UnknownNameError
from hpteach.questions.expressions import Expression
from hpteach.questions.scenarios import Printed, Situation, Solved, solve
from hpteach.questions.ways import Stated, Way
from hpteach.questions.wrong_circuits import CIRCUITS
from hpteach.questions.wrong_cycles import CYCLES
from hpteach.questions.wrong_readings import READINGS

WAYS: Mapping[str, Way] = MappingProxyType({way.id: way for way in (*READINGS, *CIRCUITS, *CYCLES)})
"""Every named wrong way by its permanent id."""


def wrong_answer(
    way: str, right: Expression, situation: Situation, printed: Mapping[str, Printed], system: str = "SI", quantity: str = ""
) -> float:
    """What `right`, the expression of the answer, comes to for someone who goes this way (SI); `quantity` is the kind asked for.

    Raises `UnknownNameError` for a way that is not known, and any refusal of `scenarios.solve`
    where the wrong thought leads to a cycle that cannot be.

    >>> from hpteach.questions.expressions import expression
    >>> from hpteach.questions.scenarios import Given
    >>> gauge = Situation(drawn={"reading": Given("gauge pressure", 800e3)})
    >>> wrong_answer("gauge_read_as_absolute", expression("reading + atmosphere"), gauge, {})
    800000.0
    """
    value = right.number(wrong_world(way, situation, printed, system).quantities)
    change = WAYS[way].answer
    return change(value, system, quantity) if change else value


def wrong_world(way: str, situation: Situation, printed: Mapping[str, Printed], system: str = "SI") -> Solved:
    """The situation as it stands for someone who goes this way, solved: what such a one ticks, or in which order such a one writes.

    Raises as `wrong_answer` does.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.questions.paths import StatedCircuit
    >>> cooling = Situation(stated_circuit=StatedCircuit(ValvePosition.COOLING))
    >>> wrong_world("wrong_valve_position", cooling, {}).words["condenser"]
    'indoor coil'
    """
    found = way_called(way)
    solved = solve(found.situation(situation, system) if found.situation else situation, printed, found.points)
    if not found.quantities:
        return solved
    return replace(solved, quantities={**solved.quantities, **found.quantities(solved.quantities, situation, system)})


def way_called(name: str) -> Way:
    """The way called `name`; raises `UnknownNameError` with the nearest names.

    >>> way_called("coils_swapped").id
    'coils_swapped'
    """
    if name not in WAYS:
        raise UnknownNameError.among("way of going wrong", name, WAYS)
    return WAYS[name]


def why_not(way: str, stated: Stated, quantity: str = "") -> str:
    """Why a way has no meaning in a question, or "" where it has one; `quantity` is what the part asks, "" where it asks no number.

    >>> why_not("cop_upside_down", Stated(frozenset({"cycle"})), "power")
    'it changes a number of ratio, and this part asks for a power'
    """
    found = way_called(way)
    if found.answer and not quantity:
        return "it changes a number, and this part asks for none"
    return found.fits(stated, quantity)
