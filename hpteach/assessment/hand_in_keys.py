"""The key of a form, with which a learner's machine signs what is handed in by file.

What lives here: making a key from the instructor's secret, and reading one as it was typed.  What does not: signing (hand_in).

A key has twenty of the characters of form codes (form_codes): nineteen carry 95 bits of an HMAC of the form's code with the secret,
the twentieth proves them together with the code.  With d the characters of code (but its own last one) and key, and a the generator
of GF(32), the sum of a^i d is zero, so that a wrong character, or two exchanged, are told at once; so is the key of another form, but for
one in 32.
"""

from __future__ import annotations

from hpteach.assessment.form_codes import CHARACTERS, bare_code, check_sum, read_form_code
from hpteach.assessment.secret import Secret
from hpteach.errors import InputError

LENGTH = 20
_GROUP = 4


def hand_in_key(secret: Secret, code: str) -> str:
    """The key of the form with a code, as it is printed; whoever does not hold the secret cannot foretell it.

    >>> hand_in_key(Secret(bytes(range(16))), "2222-2234")
    'SGDF-LJE2-XDYT-PHCN-FF3V'
    """
    code = read_form_code(code)
    number, digits = int.from_bytes(secret.digest("hand-in", code), "big"), []
    for _ in range(LENGTH - 1):
        number, digit = divmod(number, len(CHARACTERS))
        digits.append(digit)
    digits.append(check_sum([*_digits(code)[:-1], *digits, 0]))
    return _grouped("".join(CHARACTERS[digit] for digit in digits))


def read_hand_in_key(text: str, code: str) -> str:
    """The key that was typed for the form with a code, as `hand_in_key` writes it; capitals, blanks and dashes do not matter.

    Raises `InputError` for a text that is no key, for one with a wrong character, and for most keys of other forms.

    >>> read_hand_in_key("sgdf lje2 xdyt phcn ff3v", "2222-2234")
    'SGDF-LJE2-XDYT-PHCN-FF3V'
    >>> read_hand_in_key("sgdf lje2 xdyt phcn ff3w", "2222-2234")
    Traceback (most recent call last):
    hpteach.errors.InputError: the key does not belong to form 2222-2234: a character of it is wrong, or it is another form's; read both again
    """
    code, bare = read_form_code(code), bare_code(text)
    for mark in bare:
        if mark not in CHARACTERS:
            raise InputError("the key has a character that is in no key (letters but I and O, figures from 2 to 9): read it again")
    if len(bare) != LENGTH:
        raise InputError(f"the key has {len(bare)} characters, and a key has {LENGTH}: read it again")
    if check_sum([*_digits(code)[:-1], *_digits(bare)]):
        raise InputError(f"the key does not belong to form {code}: a character of it is wrong, or it is another form's; read both again")
    return _grouped(bare)


def _digits(code: str) -> list[int]:
    return [CHARACTERS.index(mark) for mark in bare_code(code)]


def _grouped(characters: str) -> str:
    return "-".join(characters[start : start + _GROUP] for start in range(0, LENGTH, _GROUP))
