"""Equations of printed quantities in a text, worked out anew: "431.5 kJ/kg - 275.0 kJ/kg = 156.5 kJ/kg".

What lives here: finding them, and whether their sides agree within the rounding of what is printed.
What does not: which texts are looked at (proof_of_texts).

A side is read where it holds numbers, with units or without, joined by + - x / and brackets; words and symbols end it.  A printed number
may be off by half of its last figure; one without decimals and unit is exact.  A temperature may stand for a difference:
whichever reading agrees is taken.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from hpteach import units
from hpteach.unit_spellings import SHOWN

_LABELS = sorted({shown.label for _, *both in SHOWN.values() for shown in both if shown.label}, key=len, reverse=True)
_OTHERS = "kWh MWh Wh MJ kJ J MW W MPa kPa Pa psi tons ton kg/min kg/h g/s kg g lb oz m³/s L/s cfm min h s K °R".split()
_UNIT = re.compile(r"\ ?(" + "|".join(map(re.escape, [*_LABELS, *_OTHERS])) + r")(?![\w³°])(?!/\w)")
_NUMBER = re.compile(r"[0-9]{1,3}(?:[ \u202f][0-9]{3})+(?![0-9])(?:\.[0-9]+)?|[0-9]+(?:\.[0-9]+)?")
_OPERATOR = re.compile(r"\s*([-+*/×−÷]|x(?=[\s(]))\s*")
_JOINS = "+-*/×−÷("
_MOST_TEMPERATURES = 6


@dataclass(frozen=True)
class Equation:
    """Two sides of an equals sign as they stand in the text; `holds` is None where a side holds words, so that it cannot be worked out."""

    left: str
    right: str
    holds: bool | None

    def __str__(self) -> str:
        return f"{self.left} = {self.right}"


@dataclass(frozen=True)
class _Quantity:
    """A printed number in SI: from lowest to highest, and from-to where it is a temperature taken as a difference."""

    band: tuple[float, float]
    difference: tuple[float, float] | None = None


def equations(text: str) -> tuple[Equation, ...]:
    """Every equation of a text that has a sum on one of its sides, or numbers on both.

    >>> [str(one) for one in equations("q = h1 - h4 = 431.5 kJ/kg - 275.0 kJ/kg = 156.5 kJ/kg")]
    ['431.5 kJ/kg - 275.0 kJ/kg = 156.5 kJ/kg']
    >>> [one.holds for one in equations("7 bar - 5 bar = 3 bar; load x 2 kW = 3 kW")]
    [False, None]
    """
    sides = text.split("=")
    return tuple(found for left, right in itertools.pairwise(sides) if (found := _equation(left, right)))


def _equation(before: str, behind: str) -> Equation | None:
    left, right = _tail(before), _head(behind)
    if left and right:
        return Equation(left, right, _agree(left, right))
    sides = _last_clause(before), _first_clause(behind)
    mixed = [not read and _mixes_words(side) for read, side in zip((left, right), sides)]
    return Equation(*sides, None) if any(mixed) else None


def _tail(text: str) -> str:
    """The longest end of a text that can be read as a side, unless it is a part of a longer sum."""
    text = text.rstrip()
    for start in range(len(text)):
        if text[start] in "0123456789-(" and (start == 0 or text[start - 1] in " \n(:;,"):
            try:
                if _Reader(text[start:]).whole():
                    before = text[:start].rstrip()
                    return "" if before.endswith(tuple(_JOINS)) or re.search(r"(?:^|\s)x$", before) else text[start:]
            except ValueError:
                continue
    return ""


def _head(text: str) -> str:
    """The longest beginning of a text that can be read as a side, unless the sum goes on with words."""
    reader = _Reader(text.lstrip())
    try:
        reader.sum()
    except ValueError:
        return ""
    rest = reader.text[reader.at :]
    return "" if _OPERATOR.match(rest) and not re.match(r"\s*[-−]\s*$", rest) else reader.text[: reader.at].rstrip()


def _agree(left: str, right: str) -> bool:
    sides = [_Reader(side) for side in (left, right)]
    trees = [reader.sum() for reader in sides]
    places = [(reader, index) for reader in sides for index in reader.temperatures()]
    for taken in itertools.product((False, True), repeat=min(len(places), _MOST_TEMPERATURES)):
        differences = [{index for (owner, index), yes in zip(places, taken) if yes and owner is reader} for reader in sides]
        try:
            (low, high), (least, most) = (_work_out(tree, reader.quantities, taken) for tree, reader, taken in zip(trees, sides, differences))
        except ZeroDivisionError:
            continue
        slack = 1e-9 * max(abs(low), abs(high), abs(least), abs(most))
        if low <= most + slack and least <= high + slack:
            return True
    return False


class _Reader:
    """Reads one side: sum, product, quantity or bracket, leaving off where anything else begins."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.quantities = text, 0, []

    def whole(self) -> bool:
        """Whether all of the text is one side."""
        self.sum()
        return self.at == len(self.text)

    def temperatures(self) -> list[int]:
        """Which of its quantities may be a temperature or a difference."""
        return [index for index, quantity in enumerate(self.quantities) if quantity.difference]

    def sum(self) -> tuple:
        """A sum from here on, as a tree; raises `ValueError` where there is none."""
        return self._joined(self._product, "+-−")

    def _product(self) -> tuple:
        return self._joined(self._quantity, "*/×÷x")

    def _joined(self, inner, marks: str) -> tuple:
        found = inner()
        while (match := _OPERATOR.match(self.text, self.at)) and match[1] in marks:
            back, self.at = self.at, match.end()
            try:
                found = ({"−": "-", "×": "*", "x": "*", "÷": "/"}.get(match[1], match[1]), found, inner())
            except ValueError:
                self.at = back
                break
        return found

    def _quantity(self) -> tuple:
        if self.text[self.at : self.at + 1] == "(":
            self.at += 1
            found = self.sum()
            if self.text[self.at : self.at + 1] != ")":
                raise ValueError
            self.at += 1
            return found
        sign = re.compile(r"[-−]?").match(self.text, self.at)[0]
        match = _NUMBER.match(self.text, self.at + len(sign))
        if not match:
            raise ValueError
        self.at = match.end()
        unit = _UNIT.match(self.text, self.at)
        if unit and not (unit[1] == "in" and re.match(r"\s+\w", self.text[unit.end() :])):
            self.at = unit.end()
        else:
            unit = None
        self.quantities.append(_printed(("-" if sign else "") + re.sub("[ \u202f]", "", match[0]), unit[1] if unit else ""))
        return ("quantity", len(self.quantities) - 1)


def _printed(number: str, unit: str) -> _Quantity:
    decimals = len(number.partition(".")[2])
    half = 0.5 * 10.0**-decimals if decimals or unit and _is_rounded(unit) else 0.0
    if not unit or unit == "%":
        share = 0.01 if unit else 1.0
        return _Quantity((share * (float(number) - half), share * (float(number) + half)))
    kind = {"absolute pressure": "pressure"}.get(units.measured_by(unit) or "", units.measured_by(unit) or "")
    ends = [units.read(f"{float(number) + off!r} {unit}", kind) for off in (-half, half)] if kind else []
    if not ends:
        raise ValueError
    difference = None
    if kind in ("temperature", "temperature difference"):
        ends = [units.read(f"{float(number) + off!r} {unit}", "temperature") for off in (-half, half)]
        difference = tuple(units.read(f"{float(number) + off!r} {unit}", "temperature difference") for off in (-half, half))
    return _Quantity((ends[0], ends[1]), difference)


def _is_rounded(unit: str) -> bool:
    """Whether a quantity with this label is printed without decimals, so that its whole number is rounded."""
    return any(shown.label == unit and shown.decimals == 0 for _, *both in SHOWN.values() for shown in both) and unit not in ("%", "m", "ft")


def _work_out(tree: tuple, quantities: Sequence[_Quantity], differences: set[int]) -> tuple[float, float]:
    if tree[0] == "quantity":
        quantity = quantities[tree[1]]
        return quantity.difference if tree[1] in differences else quantity.band
    (a, b), (c, d) = (_work_out(side, quantities, differences) for side in tree[1:])
    match tree[0]:
        case "+":
            return a + c, b + d
        case "-":
            return a - d, b - c
        case "/":
            if c <= 0.0 <= d:
                raise ZeroDivisionError
            ends = [a / c, a / d, b / c, b / d]
        case _:
            ends = [a * c, a * d, b * c, b * d]
    return min(ends), max(ends)


def _last_clause(text: str) -> str:
    return re.split(r"(?<=[.;:?!])\s|,\s|\n", text)[-1].strip()


def _first_clause(text: str) -> str:
    return re.split(r"[.;:?!](?=\s|$)|,\s|\n", text.strip())[0].strip()


def _mixes_words(text: str) -> bool:
    """Whether a clause is a sum of printed numbers and words, which nobody can work out from the text alone; symbols such as h1 are no numbers."""
    numbers = re.sub(r"[A-Za-z]\w*[0-9]\w*|R-[0-9]+\w*", "", text)
    return bool(re.search(r"[0-9]\.[0-9]|[0-9] ?[°A-Za-z%]", numbers) and re.search(r"\s[-+*/×−÷x]\s", text))
