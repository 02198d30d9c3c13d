"""From what the lines feel like back to where the reversing valve stands.

What lives here: `position_by_feel`, the lines and feels it knows, the caution.  What does not:
temperatures (measure them with a clamp probe), and the flow itself (walk).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from hpteach.circuit.parts import ValvePosition
from hpteach.errors import UnknownNameError

LINES = ("vapour line", "liquid line", "discharge line", "suction line", "outdoor coil line")
"""The lines that can be felt; the outdoor coil line runs from the reversing valve to the outdoor coil."""

FEELS = ("hot", "warm", "cool", "cold")
"""What a line can feel like."""

CAUTION = (
    "Caution: a discharge line burns, and the vapour line can be one. Touch nothing that moves or is live; "
    "measure with a clamp probe rather than by hand, and leave the rest to whoever is licensed for it."
)
"""What to say before anybody touches a line."""

# The two lines that change places, with the position in which each carries the discharge gas.
_HOT_IN = {"vapour line": ValvePosition.HEATING, "outdoor coil line": ValvePosition.COOLING}
_ALIKE = {
    "discharge line": "it should be hot in both positions",
    "suction line": "it should be cool in both positions",
    "liquid line": "what it carries depends on where the liquid is metered, not on the position alone",
}


@dataclass(frozen=True)
class Felt:
    """Where the reversing valve stands by what was felt, or None, with the reasons and whatever contradicts them."""

    position: ValvePosition | None
    reasons: tuple[str, ...]
    contradictions: tuple[str, ...] = ()


def position_by_feel(felt: Mapping[str, str]) -> Felt:
    """Where the reversing valve stands, from what each line feels like.

    Only the vapour line and the line from the valve to the outdoor coil can tell: the one
    that is hot carries the discharge gas, the one that is cool the suction gas; both hot or
    both warm with a hot suction line tell of a spool between its seats (common practice, no
    source).  A hot suction line or a cold discharge line leaves the position open otherwise.
    It is meant for a compressor that has run for some minutes.

    Raises `UnknownNameError` for a line or a feel that is not known.

    >>> position_by_feel({"vapour line": "hot", "suction line": "cool"}).position
    <ValvePosition.HEATING: 'heating'>
    """
    for line, feel in felt.items():
        if line not in LINES:
            raise UnknownNameError.among("line", str(line), LINES)
        if feel not in FEELS:
            raise UnknownNameError.among(f"feel of the {line}", str(feel), FEELS)
    told, reasons = {}, []
    for line in (line for line in LINES if line in felt):
        feel = felt[line]
        if line in _ALIKE:
            reasons.append(f"The {line} cannot tell: {_ALIKE[line]}.")
        elif feel == "warm":
            reasons.append(f"The {line} is warm, neither hot nor cool: it cannot tell.")
        else:
            told[line] = _HOT_IN[line] if feel == "hot" else _other(_HOT_IN[line])
            gas = "discharge" if feel == "hot" else "suction"
            reasons.append(f"The {line} is {feel}: it carries {gas} gas, as in {told[line].value}.")
    standing = felt.get("discharge line") in ("cool", "cold")
    if not standing and _gas_everywhere(felt):
        reasons.append(
            f"The vapour line and the outdoor coil line are both {felt['vapour line']} and the suction line is hot: "
            "the discharge gas goes straight to the suction, as with the spool between its seats."
        )
        return Felt(ValvePosition.BETWEEN, tuple(reasons))
    if not told:
        reasons.append("Nothing that can tell was felt clearly: measure the vapour line, and the line from the valve to the outdoor coil.")
    contradictions = _contradictions(felt, told)
    positions = set(told.values())
    sure = len(positions) == 1 and not standing and felt.get("suction line") != "hot"
    return Felt(positions.pop() if sure else None, tuple(reasons), tuple(contradictions))


def _gas_everywhere(felt: Mapping[str, str]) -> bool:
    alike = felt.get("vapour line") == felt.get("outdoor coil line") in ("hot", "warm")
    return alike and felt.get("suction line") == "hot"


def _contradictions(felt: Mapping[str, str], told: Mapping[str, ValvePosition]) -> list[str]:
    found = []
    if len(set(told.values())) > 1:
        if felt["vapour line"] == "hot":
            found.append("The vapour line and the outdoor coil line are both hot: the spool stands perhaps between its seats, or leaks.")
        else:
            found.append("Neither the vapour line nor the outdoor coil line is hot: the compressor perhaps stands, or the circuit is short of refrigerant.")
    if felt.get("discharge line") in ("cool", "cold"):
        found.append(f"The discharge line is {felt['discharge line']}: the compressor perhaps stands, and then no line tells anything.")
    if felt.get("suction line") in ("hot", "warm"):
        found.append(f"The suction line is {felt['suction line']}: the spool perhaps leaks discharge gas into it, or stands between its seats.")
    return found


def _other(position: ValvePosition) -> ValvePosition:
    return ValvePosition.COOLING if position is ValvePosition.HEATING else ValvePosition.HEATING
