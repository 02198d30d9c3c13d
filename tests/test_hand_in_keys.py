"""The key of a form (hpteach/assessment/hand_in_keys.py)."""

import pytest

from hpteach.assessment.form_codes import CHARACTERS, form_code
from hpteach.assessment.hand_in_keys import hand_in_key, read_hand_in_key
from hpteach.assessment.secret import Secret
from hpteach.errors import InputError

SECRET = Secret(bytes(range(16)))
CODE = form_code(123_456)
KEY = hand_in_key(SECRET, CODE)


def test_key_has_five_groups_of_four():
    """A key is twenty characters of form codes in groups of four."""
    assert [4] * 5 == [len(group) for group in KEY.split("-")]
    assert set(KEY) <= {*CHARACTERS, "-"}


def test_key_hangs_on_secret_and_form():
    """Another secret or another form has another key, and the same ones have the same key."""
    others = [hand_in_key(SECRET, form_code(number)) for number in range(50)]
    assert 51 == len({KEY, *others})
    assert KEY != hand_in_key(Secret(bytes(range(16, 32))), CODE)
    assert KEY == hand_in_key(SECRET, CODE.lower())


@pytest.mark.parametrize("typed", [KEY.lower(), KEY.replace("-", " "), KEY.replace("-", ""), f"  {KEY} "])
def test_key_is_read_as_typed(typed):
    """Capitals, blanks and dashes do not matter."""
    assert KEY == read_hand_in_key(typed, CODE)


def test_single_wrong_character_is_found():
    """No key with one other character, and none with two neighbours exchanged, is taken for the key."""
    bare = KEY.replace("-", "")
    for place in range(len(bare)):
        for mark in set(CHARACTERS) - {bare[place]}:
            with pytest.raises(InputError, match="a character of it is wrong"):
                read_hand_in_key(bare[:place] + mark + bare[place + 1 :], CODE)
    for place in range(len(bare) - 1):
        swapped = bare[:place] + bare[place + 1] + bare[place] + bare[place + 2 :]
        if swapped != bare:
            with pytest.raises(InputError, match="a character of it is wrong"):
                read_hand_in_key(swapped, CODE)


def test_key_of_another_form_is_mostly_found():
    """Of the keys of a thousand other forms about one in 32 passes as this form's, by chance."""
    passed = 0
    for number in range(1000):
        try:
            read_hand_in_key(hand_in_key(SECRET, form_code(number)), CODE)
            passed += 1
        except InputError:
            pass
    assert 10 < passed < 60


@pytest.mark.parametrize(("typed", "words"), [("", "has 0 characters"), (KEY[:-1], "has 19 characters"), (KEY[:-1] + "0", "in no key"), ("é" * 20, "in no key")])
def test_text_that_is_no_key_is_refused(typed, words):
    """A text of another length or with another character is refused, without being repeated."""
    with pytest.raises(InputError, match=words):
        read_hand_in_key(typed, CODE)
