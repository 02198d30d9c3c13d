"""Picture codes: places to a code and back, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.errors import InputError
from hpteach.panels.picture_code import CHARACTERS, CodeReader, write_code

PLACES = st.lists(st.integers(1, 5000).flatmap(lambda many: st.tuples(st.just(many), st.integers(0, many - 1))), min_size=1, max_size=9)


@given(PLACES)
def test_a_code_gives_back_every_place(places: list[tuple[int, int]]) -> None:
    """What was written is read, place by place."""
    reader = CodeReader("a panel", write_code("a panel", places))
    assert [at for _, at in places] == [reader.take(many) for many, _ in places]


@given(PLACES, st.data())
def test_one_wrong_character_is_refused_but_for_one_in_a_thousand(places: list[tuple[int, int]], data: st.DataObject) -> None:
    """A code with one other character is refused, or is by chance the code of another picture: never the same picture."""
    code = write_code("a panel", places).replace("-", "")
    at = data.draw(st.integers(0, len(code) - 1))
    other = data.draw(st.sampled_from([character for character in CHARACTERS if character != code[at]]))
    try:
        reader = CodeReader("a panel", code[:at] + other + code[at + 1 :])
    except InputError:
        return
    assert [at for _, at in places] != [reader.take(many) for many, _ in places]


def test_most_wrong_characters_are_refused() -> None:
    """Of all codes with one wrong character at most one in a hundred passes the proof."""
    code = write_code("a panel", [(12, 5), (2, 1), (1200, 834), (1000, 17)]).replace("-", "")
    passed = tried = 0
    for at in range(len(code)):
        for other in CHARACTERS.replace(code[at], ""):
            tried += 1
            try:
                CodeReader("a panel", code[:at] + other + code[at + 1 :])
            except InputError:
                continue
            passed += 1
    assert tried == 31 * len(code) and passed <= tried // 100


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("", "has 0 characters"),
        ("A2", "has 2 characters"),
        ("X" * 41, "has 41 characters"),
        ("H8O", "has 'O', which is in no code"),
        ("H8-1P", "has '1', which is in no code"),
        ("H8Q", "is not one of this panel"),
    ],
)
def test_a_code_that_cannot_be_one_is_refused(code: str, said: str) -> None:
    """The refusal says what is wrong with the code."""
    with pytest.raises(InputError, match=said):
        CodeReader("lamp", code)


def test_a_code_of_another_panel_is_refused() -> None:
    """The same places have another proof in another panel."""
    with pytest.raises(InputError, match="copied from another panel"):
        CodeReader("door", write_code("lamp", [(2, 1), (10, 7)]))


@pytest.mark.parametrize("at", [-1, 2])
def test_a_place_that_is_not_there_is_refused(at: int) -> None:
    """A control of two places has no place before the first or after the second."""
    with pytest.raises(InputError, match=f"place {at} is not among the 2"):
        write_code("lamp", [(2, at)])


def test_no_character_is_taken_for_another() -> None:
    """Thirty-two characters, without I, O, 0 and 1."""
    assert 32 == len(set(CHARACTERS)) and not set("IO01") & set(CHARACTERS)
