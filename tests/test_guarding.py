"""Texts that a spreadsheet would take for formulas (hpteach/assessment/guarding.py)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.assessment.guarding import SIGNS, guarded, without_guard

BEGINNINGS = st.text(alphabet="=+-@＝－';\t\r\n ,1.5eaé\"", max_size=12)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("=1+1", "'=1+1"), ("+1+1", "'+1+1"), ("-1+1", "'-1+1"), ("@SUM(1)", "'@SUM(1)"), ("=HYPERLINK(\"http://x\")", "'=HYPERLINK(\"http://x\")"),
        ("  =1", "'  =1"), ("\u00a0=1", "'\u00a0=1"), ("＝1", "'＝1"), ("＋1", "'＋1"), ("－1 K", "'－1 K"), ("＠x", "'＠x"),
        ("\t5", "'\t5"), ("\r5", "'\r5"), ("\n5", "'\n5"), ("\t=5", "'\t'=5"), ("'=1", "''=1"), ("'\t5", "''\t5"),
        ("-5 °C", "'-5 °C"), ("-", "'-"), ("=", "'="), ("-1-1", "'-1-1"), ("-2+3+cmd|' /C calc'!A0", "'-2+3+cmd|' /C calc'!A0"), ("-1e9999", "'-1e9999"),
        ("+49 170 555", "'+49 170 555"), ("a;=1", "a;'=1"), ("a\n=1", "a\n'=1"), ("a\t @x", "a\t' @x"), ("a;b;-c", "a;b;'-c"),
    ],
)  # fmt: skip
def test_what_begins_as_a_formula_gets_an_apostrophe(text: str, written: str) -> None:
    """Signs of formulas, also behind blanks and where another spreadsheet would cut the text, are guarded; the guard comes off again."""
    assert written == guarded(text)
    assert text == without_guard(written)


@pytest.mark.parametrize(
    "text",
    ["", "Ada", "-3.5", "+3.5", "-3,5", "-12", "-1.2e-3", " -7 ", "3-2", "R-410A", "a=b", "me@home", "5 °C", "'t Hooft", "'", "''", "a;b", "a;-5", "a, -b", "O'Neill", "1 - 2"],
)  # fmt: skip
def test_what_does_no_harm_is_left_alone(text: str) -> None:
    """Plain numbers with a sign, and texts in which a sign stands further behind, are written and read as they are."""
    assert (text, text) == (guarded(text), without_guard(text))


@given(st.one_of(BEGINNINGS, st.text(max_size=20)))
def test_guard_comes_off_again(text: str) -> None:
    """Whatever the text, reading takes off what writing put on, and no more."""
    assert text == without_guard(guarded(text))


@given(BEGINNINGS)
def test_nothing_written_begins_as_a_formula(text: str) -> None:
    """A guarded text, and each piece into which a semicolon, a tab or a line end would cut it, begins with no sign but that of a number."""
    for piece in guarded(text).replace("\t", ";").replace("\r", ";").replace("\n", ";").split(";"):
        bare = piece.strip()
        assert not bare.startswith(SIGNS) or float(bare.replace(",", ".")) is not None
