"""The order in which parts of the circuit are met: scrambled, answered by numbers, diagnosed.

What lives here: listing the parts in an order of the seed, the right order and the orders
that known thoughts lead to.  What does not: reading an answer (answers), the path (paths).

An order is written as the numbers of the list, such as "3 1 2".
"""

from __future__ import annotations

import random

from hpteach.circuit import Flow
from hpteach.errors import CircuitError
from hpteach.questions.mistakes import WAYS
from hpteach.questions.paths import met, ranked

BACKWARDS = "flow_taken_backwards"
OTHER_POSITION = "coils_swapped"
STARTED_ELSEWHERE = "started_elsewhere"
TWO_SWAPPED = "two_parts_swapped"

CORRECTIONS = {
    OTHER_POSITION: f"This is the order with the reversing valve in its other position. {WAYS[OTHER_POSITION].correction}",
    BACKWARDS: "You went against the flow. The compressor pushes gas out at its discharge and draws it in at its suction, in both modes: begin at the discharge.",
    STARTED_ELSEWHERE: "You followed the flow the right way round, but you began at another place than the question says.",
    TWO_SWAPPED: "Nearly: only two of the parts have changed places. Follow the pipes once more, one by one.",
}
"""Each known thought about an order with the sentence that corrects it."""


def scrambled(listed: tuple[str, ...], right: tuple[int, ...], source: random.Random) -> tuple[int, ...]:
    """The places of `listed` in an order that the source makes, which is never the right one.

    >>> scrambled(("a", "b", "c"), (0, 1, 2), random.Random(1)) == (0, 1, 2)
    False
    """
    mixed = tuple(sorted(range(len(listed)), key=lambda place: source.random()))
    return mixed if mixed != right else mixed[1:] + mixed[:1]


def right_order(flow: Flow, listed: tuple[str, ...]) -> tuple[int, ...]:
    """The places of `listed` in the order in which the refrigerant meets them.

    Raises `CircuitError` where a part is not met at all, for example because it is bypassed.
    """
    for name in listed:
        if not met(flow, name):
            raise CircuitError(f"the {name} is not met on this path: list what is met, such as {{working_device}}")
    return ranked(flow, listed)


def wrong_orders(flow: Flow, other: Flow, listed: tuple[str, ...]) -> dict[str, tuple[int, ...]]:
    """The orders to which known thoughts lead, by the mistake's id; `other` is the flow with the valve in its other position."""
    right = right_order(flow, listed)
    found = {OTHER_POSITION: ranked(other, listed), BACKWARDS: right[::-1]}
    first = listed[right[0]]
    if first != "compressor" and found[OTHER_POSITION] == right[::-1]:
        del found[BACKWARDS]  # one and the same order: the thought of the valve goes deeper
    return {id: order for id, order in found.items() if order != right}


def diagnosed(given: str, right: str) -> str | None:
    """The mistake in a wrong order that no fixed order stands for: two parts swapped, or begun elsewhere.

    >>> diagnosed("2 1 3 4", "1 2 3 4"), diagnosed("2 3 4 1", "1 2 3 4"), diagnosed("3 4 2 1", "1 2 3 4")
    ('two_parts_swapped', 'started_elsewhere', None)
    """
    wrong, true = given.split(), right.split()
    if 2 == sum(one != other for one, other in zip(wrong, true)):
        return TWO_SWAPPED
    turns = [true[start:] + true[:start] for start in range(1, len(true))]
    return STARTED_ELSEWHERE if wrong in turns else None
