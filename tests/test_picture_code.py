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
def test_one_wrong_character_is_always_refused(places: list[tuple[int, int]], data: st.DataObject) -> None:
    """A code with one other character is the code of nothing."""
    code = write_code("a panel", places).replace("-", "")
    at = data.draw(st.integers(0, len(code) - 1))
    other = data.draw(st.sampled_from([character for character in CHARACTERS if character != code[at]]))
    with pytest.raises(InputError, match="not one of this panel"):
        CodeReader("a panel", code[:at] + other + code[at + 1 :])


@given(PLACES, st.data())
def test_two_neighbours_exchanged_are_always_refused(places: list[tuple[int, int]], data: st.DataObject) -> None:
    """Two characters that stand side by side cannot change places."""
    code = write_code("a panel", places).replace("-", "")
    at = data.draw(st.integers(0, len(code) - 2))
    turned = code[:at] + code[at + 1] + code[at] + code[at + 2 :]
    if turned != code and at != len(code) - 3:  # the last of the number and the first of the proof are of two kinds
        with pytest.raises(InputError, match="not one of this panel"):
            CodeReader("a panel", turned)


def test_a_code_that_says_more_than_was_taken_is_refused() -> None:
    """Whoever has taken every place asks for the end, and a number left over is refused."""
    reader = CodeReader("lamp", write_code("lamp", [(2, 1), (10, 7)]))
    reader.take(2)
    with pytest.raises(InputError, match="says more than this panel has"):
        reader.end()
    reader.take(10)
    reader.end()


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("", "has 0 characters"),
        ("A2", "has 2 characters"),
        ("X" * 41, "has 41 characters"),
        ("HXO", "has 'O', which is in no code"),
        ("HX-1P", "has '1', which is in no code"),
        ("HQQ", "is not one of this panel"),
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


@pytest.mark.parametrize("between", [" ", "-", "\u00a0", "\u2013", "\t"])
def test_blanks_and_dashes_of_any_kind_do_not_matter(between: str) -> None:
    """A code that came through a mail or a text program is read as well."""
    code = write_code("lamp", [(2, 1), (10, 7)])
    reader = CodeReader("lamp", between.join(code.lower()))
    assert (1, 7) == (reader.take(2), reader.take(10))


def test_no_character_is_taken_for_another() -> None:
    """Thirty-two characters, without I, O, 0 and 1."""
    assert 32 == len(set(CHARACTERS)) and not set("IO01") & set(CHARACTERS)
