"""The code of a form (hpteach/assessment/form_codes.py)."""

from __future__ import annotations

import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.form_codes import CHARACTERS, POSSIBLE, check_sum, form_code, read_form_code
from hpteach.errors import InputError

numbers = st.integers(0, POSSIBLE - 1)


def wrongly(code: str) -> bool:
    """Whether a code is refused."""
    try:
        read_form_code(code)
    except InputError:
        return True
    return False


def test_characters_are_thirty_two_and_none_looks_like_another() -> None:
    """Capitals and figures without I, O, 0 and 1."""
    assert 32 == len(set(CHARACTERS)) == len(CHARACTERS)
    assert set() == set(CHARACTERS) & set("IO01")


@given(numbers)
def test_code_is_read_as_it_was_written(number: int) -> None:
    """Two groups of four; small letters, blanks and other dashes are read too."""
    code = form_code(number)
    assert re.fullmatch(r"[2-9A-HJ-NP-Z]{4}-[2-9A-HJ-NP-Z]{4}", code)
    assert code == read_form_code(code)
    assert code == read_form_code(f" {code.lower().replace('-', ' – ')} ")
    assert code == read_form_code(code.replace("-", ""))


@given(numbers, numbers)
def test_different_numbers_have_different_codes(first: int, second: int) -> None:
    """Below `POSSIBLE` no two numbers share a code."""
    assert (first == second) == (form_code(first) == form_code(second))


@given(numbers)
def test_every_wrong_character_is_caught(number: int) -> None:
    """Each of 8 places with each of 31 other characters."""
    code = form_code(number).replace("-", "")
    slips = [code[:place] + other + code[place + 1 :] for place in range(8) for other in CHARACTERS if other != code[place]]
    assert 8 * 31 == sum(map(wrongly, slips))


@given(numbers)
def test_every_exchange_of_two_characters_is_caught(number: int) -> None:
    """Neighbours and any others, where they differ."""
    code = form_code(number).replace("-", "")
    for first, second in itertools.combinations(range(8), 2):
        swapped = list(code)
        swapped[first], swapped[second] = swapped[second], swapped[first]
        assert (code[first] != code[second]) == wrongly("".join(swapped))


def test_powers_of_the_generator_are_all_different() -> None:
    """The generator runs through all 31 elements but zero, on which the proof above rests."""
    powers = [check_sum([1] + [0] * place) for place in range(31)]
    assert set(range(1, 32)) == set(powers)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "form code '' has 0 characters, and a code has 8: read it again"),
        ("2222-223", "has 7 characters"),
        ("2222-22344", "has 9 characters"),
        ("2222-2O34", "has a character that is in no code (letters but I and O, figures from 2 to 9)"),
        ("2222-2243", "is of no form: a character is wrong, or two are exchanged"),
        ("<b>2222</b>", "has a character that is in no code"),
        ("٢٢٢٢2234", "has a character that is in no code"),
        ("\x1b[31m2222", "form code '?[31m2222' has a character"),
        ("2" * 5000, "form code '22222222222222222222' has 5000 characters"),
    ],
)
def test_text_that_is_no_code_is_refused(text: str, sentence: str) -> None:
    """The text is repeated, shortened and without control characters."""
    with pytest.raises(InputError) as caught:
        read_form_code(text)
    assert sentence in str(caught.value)
