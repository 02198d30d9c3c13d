"""What a named wrong way is: an id, a correction, what it changes, and where it has a meaning.

What lives here: `Way`, what a question states as far as a way must know it, and the reasons why a way has no meaning there.
What does not: the ways themselves (wrong_readings, wrong_circuits, wrong_cycles), going one (mistakes).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from hpteach.questions.scenarios import OTHER, Given, Setting, Situation, Source

CYCLE, CIRCUIT, AIR, WEATHER = "cycle", "circuit", "air", "weather"


@dataclass(frozen=True)
class Stated:
    """What a question states: `tables` of cycle, circuit (alone), air, weather; the keys in them; the kinds of quantity that it draws."""

    tables: frozenset[str]
    keys: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()


Fits = Callable[[Stated, str], str]
"""Why a way has no meaning for what is stated and the quantity asked ("" where no number is asked); "" where it has one."""


def anywhere(stated: Stated, quantity: str) -> str:
    """No reason against it."""
    return ""


@dataclass(frozen=True)
class Way:
    """One wrong way: its permanent id, the correction of the thought, and what it changes, in words or as a formula.

    `situation` changes what is stated; `points` what was solved of a cycle, air or weather, before work, heat and ratios are
    worked out from it; `quantities` all quantities at the end, with the unit system; `answer` the finished number, with the system and the
    kind of quantity.  A way may change a stated cycle by `situation` and a machine in weather by `points`.
    """

    id: str
    correction: str
    changes: str
    fits: Fits = anywhere
    situation: Callable[[Situation, str], Situation] | None = None
    points: Callable[[Mapping[str, float], Source], Mapping[str, float]] | None = None
    quantities: Callable[[Mapping[str, float], Situation, str], Mapping[str, float]] | None = None
    answer: Callable[[float, str, str], float] | None = None


def where(*tables: str, why: str) -> Fits:
    """Meaning only where one of these tables is stated.

    >>> where(CYCLE, why="it turns a cycle's valve")(Stated(frozenset({AIR})), "ratio")
    "it turns a cycle's valve: the question has to state cycle"
    """

    def fits(stated: Stated, quantity: str) -> str:
        return "" if stated.tables & set(tables) else f"{why}: the question has to state {' or '.join(tables)}"

    return fits


def asked(*kinds: str) -> Fits:
    """Meaning only for a number of one of these kinds.

    >>> asked("power")(Stated(frozenset()), "ratio")
    'it changes a number of power, and this part asks for a ratio'
    """

    def fits(stated: Stated, quantity: str) -> str:
        return "" if quantity in kinds else f"it changes a number of {' or '.join(kinds)}, and this part asks for {_named(quantity)}"

    return fits


def not_asked(*kinds: str, why: str) -> Fits:
    """Meaning for any number but those of these kinds.

    >>> not_asked("temperature", why="it has no kilo")(Stated(frozenset()), "temperature")
    'this part asks for a temperature: it has no kilo'
    """

    def fits(stated: Stated, quantity: str) -> str:
        if not quantity:
            return "it changes a number, and this part asks for none"
        return f"this part asks for {_named(quantity)}: {why}" if quantity in kinds else ""

    return fits


def turned_in_settings(situation: Situation, change: Callable[[Setting], Setting]) -> Situation:
    """The situation with both of its cycles changed, as far as it has them."""
    return replace(
        situation,
        setting=change(situation.setting) if situation.setting else None,
        other=change(situation.other) if situation.other else None,
    )


def drawn_changed(situation: Situation, kinds: tuple[str, ...], change: Callable[[float], float]) -> Situation:
    """The situation with every drawn quantity of these kinds changed; the air's own pressure stays."""
    drawn = {
        name: Given(given.kind, change(given.value)) if given.kind in kinds and name != situation.air else given
        for name, given in situation.drawn.items()
    }
    return replace(situation, drawn=drawn)


def swapped(quantities: Mapping[str, float], *pairs: tuple[str, str]) -> dict[str, float]:
    """The quantities of each pair in one another's place, also behind other_, where both are there.

    >>> swapped({"q_e": 1.0, "q_c": 2.0, "w": 1.0}, ("q_e", "q_c"))
    {'q_e': 2.0, 'q_c': 1.0}
    """
    found = {}
    for prefix in ("", OTHER):
        for one, other in ((prefix + first, prefix + second) for first, second in pairs):
            if one in quantities and other in quantities:
                found |= {one: quantities[other], other: quantities[one]}
    return found


def _named(quantity: str) -> str:
    return f"{'an' if quantity[:1] in 'aeio' else 'a'} {quantity}" if quantity else "no number"
