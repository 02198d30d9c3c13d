"""A short code for what a panel shows: copied, read aloud or written on the board, it brings a room back to the same picture.

What lives here: positions of controls to a code and back.  What does not: controls (view).

A code is one number in a mixed radix, one digit for each control, written with thirty-two
characters of which none is taken for another (no I, O, 0 or 1), and two more that prove it.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence

from hpteach.errors import InputError

CHARACTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
_BASE = len(CHARACTERS)
_PROOF, _WEIGHT = 1021, 17
"""A prime above 32, and a weight: no single wrong character, and no two neighbours exchanged, give the same proof."""

_DASHES = "-\u2010\u2011\u2012\u2013\u2014\u2212"
_GROUP = 4
_MOST = 40


def write_code(panel: str, places: Sequence[tuple[int, int]]) -> str:
    """The code of a panel whose controls stand at given places: (how many there are, which one, from 0), each in turn.

    `panel` names the panel and all that its places mean: the same code means nothing in another one.  Raises `InputError` for a place that a control has not.

    >>> write_code("lamp", [(2, 1), (10, 7)])
    'HQG'
    """
    number = 0
    for many, at in reversed(places):
        if not 0 <= at < many:
            raise InputError(f"place {at} is not among the {many} of a control: use 0 to {many - 1}")
        number = number * many + at
    digits = _written(number) + _written(_proof(panel, number), 2)
    return "-".join(digits[start : start + _GROUP] for start in range(0, len(digits), _GROUP))


class CodeReader:
    """Reads a code place by place, in the order in which it was written.

    Capitals, blanks and dashes do not matter.  Raises `InputError` for a character that is in no code, and
    for a code that is not of this panel or was mistyped.

    >>> reader = CodeReader("lamp", "hq g")
    >>> reader.take(2), reader.take(10)
    (1, 7)
    """

    def __init__(self, panel: str, code: str) -> None:
        digits = "".join(character for character in code.upper() if not character.isspace() and character not in _DASHES)
        if not 3 <= len(digits) <= _MOST:
            raise InputError(f"picture code {code[:_MOST]!r} has {len(digits)} characters, and a code has 3 to {_MOST}: copy it again")
        for character in digits:
            if character not in CHARACTERS:
                raise InputError(f"picture code {code[:_MOST]!r} has {character!r}, which is in no code (letters but I and O, figures from 2 to 9): read it again")
        self._code = code
        *first, tens, ones = (CHARACTERS.index(character) for character in digits)
        self._number = 0
        for digit in first:
            self._number = self._number * _BASE + digit
        if _proof(panel, self._number) != tens * _BASE + ones:
            raise InputError(f"picture code {code[:_MOST]!r} is not one of this panel: a character is wrong, or it was copied from another panel or edition")

    def take(self, many: int) -> int:
        """The next place, of so many."""
        self._number, at = divmod(self._number, many)
        return at

    def end(self) -> None:
        """Refuse a code that says more than was taken."""
        if self._number:
            raise InputError(f"picture code {self._code[:_MOST]!r} says more than this panel has: it was copied from another panel or edition")


def _written(number: int, least: int = 1) -> str:
    digits = ""
    while number or len(digits) < least:
        number, digit = divmod(number, _BASE)
        digits = CHARACTERS[digit] + digits
    return digits


def _proof(panel: str, number: int) -> int:
    proof, weight = zlib.crc32(panel.encode()), 1
    while number:
        number, digit = divmod(number, _BASE)
        proof, weight = proof + weight * (digit + 1), weight * _WEIGHT
    return proof % _PROOF
