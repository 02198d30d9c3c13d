"""The code of a form: eight characters on every sheet, without meaning to anybody but the instructor.

What lives here: writing a code and reading one back as it was typed.  What does not: whose form it is (forms, manifest).

The characters are 32, of which none is taken for another (no I, O, 0 or 1).  Seven carry a number, the eighth proves them.  With
the characters as elements d of the field GF(32) and a its generator (a^5 = a^2 + 1),

    a^7 d1 + a^6 d2 + ... + a d7 + d8 = 0

A single wrong character changes one term, so the sum is no longer zero; two different characters exchanged change it by
(a^i - a^j)(d - d'), which is not zero either, as no two of the powers are equal.
"""

from __future__ import annotations

from collections.abc import Sequence

from hpteach.errors import InputError

CHARACTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
LENGTH = 8
POSSIBLE = len(CHARACTERS) ** (LENGTH - 1)
"""How many codes there are."""

_DASHES = "-\u2010\u2011\u2012\u2013\u2014\u2212"
_LONGEST_SHOWN = 20


def form_code(number: int) -> str:
    """The code of a number; numbers that differ by a multiple of `POSSIBLE` have the same.

    >>> form_code(1), form_code(2**34)
    ('2222-2234', 'J222-2229')
    """
    digits = []
    for _ in range(LENGTH - 1):
        number, digit = divmod(number, len(CHARACTERS))
        digits.insert(0, digit)
    digits.append(check_sum([*digits, 0]))
    return _grouped("".join(CHARACTERS[digit] for digit in digits))


def read_form_code(text: str) -> str:
    """The code that was typed, as `form_code` writes it; capitals, blanks and dashes do not matter.

    Raises `InputError` for a text that is no code, and for one with a wrong character or two exchanged.

    >>> read_form_code("2222 2234")
    '2222-2234'
    >>> read_form_code("2222-2243")
    Traceback (most recent call last):
    hpteach.errors.InputError: form code '2222-2243' is of no form: a character is wrong, or two are exchanged; read it again
    """
    shown = repr("".join(mark if mark.isprintable() else "?" for mark in text[:_LONGEST_SHOWN]))
    bare = bare_code(text)
    for mark in bare:
        if mark not in CHARACTERS:
            raise InputError(f"form code {shown} has a character that is in no code (letters but I and O, figures from 2 to 9): read it again")
    if len(bare) != LENGTH:
        raise InputError(f"form code {shown} has {len(bare)} characters, and a code has {LENGTH}: read it again")
    if check_sum([CHARACTERS.index(mark) for mark in bare]):
        raise InputError(f"form code {shown} is of no form: a character is wrong, or two are exchanged; read it again")
    return _grouped(bare)


def bare_code(text: str) -> str:
    """The characters of a code as it was typed, without blanks and dashes, in capitals.

    >>> bare_code("k7qm - 2xad")
    'K7QM2XAD'
    """
    return "".join(mark for mark in text.upper() if not mark.isspace() and mark not in _DASHES)


def check_sum(digits: Sequence[int]) -> int:
    """The sum above, by Horner's rule: addition in GF(32) is the exclusive or.  It proves up to 31 characters.

    >>> check_sum([CHARACTERS.index(mark) for mark in "22222234"])
    0
    """
    total = 0
    for digit in digits:
        total = _times_a(total) ^ digit
    return total


def _times_a(digit: int) -> int:
    digit <<= 1
    return digit ^ 0b100101 if digit & 0b100000 else digit


def _grouped(characters: str) -> str:
    return f"{characters[: LENGTH // 2]}-{characters[LENGTH // 2 :]}"
