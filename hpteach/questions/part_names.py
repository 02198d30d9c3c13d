"""The names that a question's expressions and texts may use.

What lives here: `Names`.  What does not: the parts of a question (parts), what the names stand for (scenarios).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from hpteach import units
from hpteach.errors import HpteachError, UnknownNameError
from hpteach.questions import air, fault_conditions, frost, weather
from hpteach.questions.cycle_quantities import QUANTITIES, TEXTS
from hpteach.questions.draws import Draw
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import Expression, expression, gaps
from hpteach.questions.paths import FLAGS, STATED, WORDS
from hpteach.questions.scenarios import OTHER, UNIT_OF_MASS


class Names:
    """The names that a question's expressions and texts may use."""

    def __init__(
        self, entry: Entry, draws: Mapping[str, Draw], scenario: Mapping, compare: Mapping, *, of_air: Mapping | None = None, of_weather: Mapping | None = None
    ) -> None:
        numbers = {"atmosphere", *(name for name, draw in draws.items() if draw.kind != "name")}
        words = {UNIT_OF_MASS, *draws}
        known: Mapping[str, str] = QUANTITIES
        texts: tuple[str, ...] = TEXTS
        stating = scenario
        if of_air:
            known, texts, stating = air.names_of({**of_air, **compare}), (), of_air
        elif of_weather:
            known, stating = frost.QUANTITIES if "defrost" in of_weather else weather.QUANTITIES, of_weather
            if "fault" in of_weather:
                known, texts = fault_conditions.QUANTITIES, (*TEXTS, *fault_conditions.TEXTS)
        for prefix, present in (("", bool(of_air or of_weather) or "refrigerant" in scenario), (OTHER, bool(compare))):
            if present:
                numbers |= {prefix + name for name in known}
                words |= {prefix + name for name in texts}
        for name in draws:
            taken = name in known or name in texts or name in ("answer", "atmosphere", UNIT_OF_MASS) or name.startswith(OTHER)
            stated = stating.get(name)
            if taken and not (isinstance(stated, Expression) and stated.text == name):
                raise entry.refuse("draw", name, "a name that is no quantity of the cycle, air or weather, unless the table that states it has the same key by it")
        if "refrigerant" not in scenario and {"valve_position", "energised_in"} & set(scenario):
            numbers |= set(FLAGS)
            words |= {*WORDS, *STATED}
        self.circuit = bool({"valve_position", "energised_in"} & set(scenario))
        self.numbers, self.words = frozenset(numbers), frozenset(words | numbers)

    def expression(self, entry: Entry, key: str, yields: str = "number") -> Expression:
        """The expression under a key, if it names only what is known."""
        text = entry.text(key)
        try:
            read = expression(text, yields)
        except HpteachError as error:
            raise entry.refuse(key, text, f"an expression ({error})") from None
        for name in sorted(read.names - self.numbers):
            raise entry.refuse(key, text, f"an expression of known names ({UnknownNameError.among('quantity', name, sorted(self.numbers))})")
        return read

    def template(self, entry: Entry, key: str, *, extra: Iterable[str] = (), text: str | None = None) -> str:
        """The text under a key (or `text`), if its gaps are known."""
        text = entry.text(key) if text is None else text
        try:
            found = gaps(text)
        except HpteachError as error:
            raise entry.refuse(key, text, f"a text with gaps ({error})") from None
        for name, kind in found:
            if name not in self.words and name not in extra:
                raise entry.refuse(key, f"{{{name}}}", "a gap that is one of " + ", ".join(sorted({*self.words, *extra})))
            if kind is not None and (kind not in units.KINDS or name not in self.numbers):
                raise entry.refuse(key, f"{{{name}:{kind}}}", "a quantity shown as one of " + ", ".join(units.KINDS))
        return text.strip()
