"""The quantities that a question draws: which numbers, and how each is printed.

What lives here: `Draw` and its reading from a question file.
What does not: choosing by a seed (variants).

    [draw.evaporating]            [draw.refrigerant]
    kind = "temperature"          kind = "name"
    from = "0 C"                  choices = ["R-410A", "R-32"]
    to = "10 C"
    step = "2 K"
    IP = { from = "32 F", to = "50 F", step = "2 F" }

`follows = "refrigerant"` takes the value at the same place in the list as that other draw,
so that a constant printed beside a drawn name belongs to it; its values may repeat.
Without numbers of its own, IP prints those of SI converted.  What is printed is what
counts: a variant reads its numbers back from the printed text.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from hpteach import units
from hpteach.questions.entries import Entry

MOST_VALUES = 200


@dataclass(frozen=True)
class Draw:
    """A drawn quantity or name: its kind and the printed texts to choose from, by unit system.

    `follows` names the draw beside which its values stand in pairs, "" where it is drawn by itself.
    """

    name: str
    kind: str
    texts: Mapping[str, tuple[str, ...]]
    follows: str = ""


def read_draw(entry: Entry) -> Draw:
    """The draw in a table [draw.name].

    Raises `DataError` for values that cannot be read, or that print alike.

    >>> read_draw(Entry("start/mine.toml", "draw.warmth", {
    ...     "kind": "temperature", "from": "0 C", "to": "5 C", "step": "2.5 K"})).texts["IP"]
    ('32.0 °F', '36.5 °F', '41.0 °F')
    """
    name = entry.place.rpartition(".")[2]
    kind = entry.one_of("kind", (*units.KINDS, "name"))
    follows = entry.text("follows") if "follows" in entry.data else ""
    if kind == "name":
        entry.only(("kind", "choices", "follows"))
        choices = entry.texts("choices")
        return Draw(name, kind, MappingProxyType({system: _distinct(entry, choices, follows) for system in units.SYSTEMS}), follows)
    entry.only(("kind", "choices", "from", "to", "step", "IP", "follows"))
    values = _values(entry, kind)
    imperial = _values(entry.table("IP"), kind) if "IP" in entry.data else values
    texts = {
        "SI": _distinct(entry, printed(values, kind, "SI"), follows),
        "IP": _distinct(entry, printed(imperial, kind, "IP"), follows),
    }
    return Draw(name, kind, MappingProxyType(texts), follows)


def check_followed(draws: Mapping[str, Draw], entry: Entry) -> None:
    """Refuse a draw that follows one that is not there, follows itself another, or has another number of values."""
    for name, draw in draws.items():
        if not draw.follows:
            continue
        leading = draws.get(draw.follows)
        if leading is None or leading.follows:
            raise entry.refuse(f"draw.{name}.follows", draw.follows, "the name of another draw, which follows none itself")
        for system in units.SYSTEMS:
            if len(draw.texts[system]) != len(leading.texts[system]):
                count = f"{len(draw.texts[system])} in {system}"
                raise entry.refuse(f"draw.{name}.choices", count, f"as many values as {draw.follows} has, {len(leading.texts[system])}")


def printed(values: Sequence[float], kind: str, system: str) -> tuple[str, ...]:
    """Quantities (SI) as printed, all with the fewest decimals that print each of them exactly.

    Where no short number is exact, they have the usual decimals of the kind.  "gauge pressure" is Pa gauge here.

    >>> printed([278.15, 283.15], "temperature", "SI"), printed([800e3, 850e3], "gauge pressure", "SI")
    (('5 °C', '10 °C'), ('8.0 bar g', '8.5 bar g'))
    """
    shift = units.STANDARD_ATMOSPHERE if kind == "gauge pressure" else 0.0
    usual = units.unit_shown(kind, system).decimals
    numbers = [units.shown_number(value + shift, kind, system) for value in values]
    decimals = next((places for places in range(usual + 3) if all(_exact(number, places) for number in numbers)), usual)
    return tuple(units.show(value + shift, kind, system, decimals=decimals) for value in values)


def _exact(number: float, places: int) -> bool:
    return math.isclose(round(number, places), number, rel_tol=1e-9, abs_tol=1e-9)


def _values(entry: Entry, kind: str) -> list[float]:
    if "choices" in entry.data:
        for key in ("from", "to", "step"):
            if key in entry.data:
                raise entry.refuse(key, entry.data[key], "no such key beside choices")
        return [entry.quantity("choices", kind, text) for text in entry.texts("choices")]
    first, last = entry.quantity("from", kind), entry.quantity("to", kind)
    step = entry.size("step", kind)
    if not (step > 0.0 and last > first):
        raise entry.refuse("step", entry.data["step"], "a step above zero, from a lower value up to a higher one")
    count = (last - first) / step
    if count > MOST_VALUES:
        raise entry.refuse("step", entry.data["step"], f"a step that makes up to {MOST_VALUES} values, not {count:.0f}")
    if abs(count - round(count)) > 1e-6:
        raise entry.refuse("step", entry.data["step"], f"a step that divides the span from {entry.data['from']} to {entry.data['to']}")
    return [first + index * step for index in range(round(count) + 1)]


def _distinct(entry: Entry, texts: Sequence[str], follows: str) -> tuple[str, ...]:
    if follows:
        return tuple(texts)
    for index, text in enumerate(texts):
        if text in texts[:index]:
            raise entry.refuse("", text, "values that differ as printed: use wider steps")
    return tuple(texts)
