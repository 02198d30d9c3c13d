"""What a question file may state of a cycle: the keys of [scenario] and [compare].

What lives here: reading those two tables.  What does not: solving them (scenarios).

Each key holds the name of a drawn quantity, an expression of drawn names ("evaporating -
drop"), or a fixed text ("5 K", "R-32", "heating").  A scenario may state the circuit alone:
the valve's position (or its wiring and solenoid), the metering layout, what is stuck.  [compare] states a second cycle, all
of whose other conditions are those of [scenario].
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from hpteach import units
from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.errors import DataError, HpteachError
from hpteach.fluids import listing
from hpteach.questions.draws import Draw
from hpteach.questions.entries import Entry
from hpteach.questions.expressions import Expression, expression
from hpteach.questions.paths import solenoid, stuck
from hpteach.questions.scenarios import Given

Condition = Expression | Given | str
"""A stated condition: drawn (an expression), a fixed quantity or a fixed name."""

CONDITIONS: Mapping[str, str] = {
    "refrigerant": "name",
    "valve_position": "name",
    "metering_layout": "name",
    "energised_in": "name",
    "solenoid": "name",
    "stuck": "name",
    "saturated_suction_temperature": "temperature",
    "saturated_condensing_temperature": "temperature",
    "suction_pressure": "pressure",
    "discharge_pressure": "pressure",
    "superheat": "temperature difference",
    "subcooling": "temperature difference",
    "suction_line_temperature": "temperature",
    "liquid_line_temperature": "temperature",
    "isentropic_efficiency": "ratio",
    "atmosphere": "pressure",
    "altitude": "length",
}
"""Every condition that can be stated, with its kind ("pressure" may also be a gauge reading)."""

OF_THE_AIR = ("atmosphere", "altitude")
OF_THE_CIRCUIT = ("valve_position", "metering_layout", "energised_in", "solenoid", "stuck")
_CIRCUIT_ALONE = ("energised_in", "solenoid", "stuck")
_NAMED: Mapping[str, Callable[[str], object]] = {
    "refrigerant": listing,
    "valve_position": ValvePosition.named,
    "metering_layout": MeteringLayout.named,
    "energised_in": ValvePosition.named,
    "solenoid": solenoid,
    "stuck": stuck,
}
_EITHER = (
    ("saturated_suction_temperature", "suction_pressure"),
    ("saturated_condensing_temperature", "discharge_pressure"),
)
_NOT_BOTH = (*_EITHER, ("superheat", "suction_line_temperature"), ("subcooling", "liquid_line_temperature"), OF_THE_AIR, ("valve_position", "energised_in"))


def read_conditions(entry: Entry, draws: Mapping[str, Draw], *, compared: bool = False) -> dict[str, Condition]:
    """The conditions in a [scenario], or (`compared`) in a [compare].

    A scenario without a cycle may state the air's pressure alone.  Raises `DataError` for a
    key or value that is not allowed, two keys that say the same, or a missing one.
    """
    entry.only(CONDITIONS)
    found = {key: read_condition(entry, key, kind, draws, _NAMED) for key, kind in CONDITIONS.items() if key in entry.data}
    for key in _CIRCUIT_ALONE if compared or set(found) - set(OF_THE_CIRCUIT) else ():
        if key in found:
            raise entry.refuse(key, entry.data[key], f"no such key beside a cycle or the air: a circuit alone has {', '.join(OF_THE_CIRCUIT)}")
    for pair in _NOT_BOTH:
        if set(pair) <= set(found):
            raise entry.refuse(pair[1], entry.data[pair[1]], f"{pair[0]} or {pair[1]}, not both")
    if compared:
        for key in OF_THE_AIR:
            if key in found:
                raise entry.refuse(key, entry.data[key], "no second air pressure: state it in [scenario]")
    elif set(found) - set(OF_THE_AIR) and not set(found) - set(OF_THE_CIRCUIT):
        wiring = [key for key in ("energised_in", "solenoid") if key not in found]
        if "valve_position" not in found and wiring:
            raise DataError(f"{entry.file}: {entry.place}.{wiring[0]} is missing: a circuit needs valve_position, or energised_in and solenoid")
        return found
    elif set(found) - set(OF_THE_AIR):
        for keys in (("refrigerant",), ("valve_position",), *_EITHER):
            if not set(keys) & set(found):
                raise DataError(f"{entry.file}: {entry.place}.{keys[0]} is missing: a cycle needs {' or '.join(keys)}")
    return found


def completed(compare: Mapping[str, Condition], scenario: Mapping[str, Condition]) -> dict[str, Condition]:
    """The conditions of the cycle to compare with: its own, and all others of the scenario.

    A pressure of its own takes the place of the scenario's saturated temperature, and so on.
    """
    kept = dict(scenario)
    for pair in _NOT_BOTH:
        if set(pair) & set(compare):
            for key in pair:
                kept.pop(key, None)
    return {**kept, **compare}


def read_condition(entry: Entry, key: str, kind: str, draws: Mapping[str, Draw], named: Mapping[str, Callable[[str], object]]) -> Condition:
    """One condition under its key: drawn, an expression of drawn names, or fixed; `named` reads the names that a key may have.

    Raises `DataError` with file, key, value and what is allowed.
    """
    text = entry.text(key)
    gauge_too = kind == "pressure" and key not in OF_THE_AIR
    if text in draws:
        drawn = draws[text].kind
        if drawn != kind and not (gauge_too and drawn == "gauge pressure"):
            raise entry.refuse(key, text, f"a drawn {kind}, and this one is a {drawn}")
        for name in draws[text].texts["SI"] if kind == "name" else ():
            _check_name(entry, key, name, named)
        return expression(text)
    if kind == "name":
        _check_name(entry, key, text, named)
        return text
    fixed = _fixed(text, ("gauge pressure", kind) if gauge_too else (kind,))
    if isinstance(fixed, Given):
        return fixed
    numbers = {name for name, draw in draws.items() if draw.kind not in ("name", "gauge pressure")}
    try:
        read = expression(text)
    except HpteachError:
        read = None
    if read is None or gauge_too or not read.names or not read.names <= numbers:
        raise entry.refuse(key, text, f"a drawn name, an expression of drawn names, or a fixed {kind} ({fixed})")
    return read


def _fixed(text: str, kinds: tuple[str, ...]) -> Given | HpteachError:
    """The quantity in a text as the first kind that fits, or why it fits none."""
    refusal = HpteachError("no kind to read it as")
    for kind in kinds:
        try:
            return Given(kind, units.read(text, kind))
        except HpteachError as error:
            refusal = error
    return refusal


def _check_name(entry: Entry, key: str, name: str, named: Mapping[str, Callable[[str], object]]) -> None:
    try:
        named[key](name)
    except HpteachError as error:
        raise entry.refuse(key, name, f"a drawn name or a known one ({error})") from None
    if name == ValvePosition.BETWEEN:
        raise entry.refuse(key, name, "heating or cooling, because between them there is no cycle to solve")
