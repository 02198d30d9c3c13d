"""Arithmetic of question files and texts with gaps: what is worked out, what is refused, how fast."""

import math
import time

import pytest

from hpteach.errors import HpteachError, InputError, LimitError, UnknownNameError
from hpteach.questions.expressions import expression, fill, gaps, shortened

VALUES = {"h1": 430e3, "h2": 470e3, "h4": 260e3, "zero": 0.0}

# Worked out by hand; multiplication before addition, from left to right, as school arithmetic has it.
NUMBERS = [
    ("h1 - h4", 170e3), ("(h1 - h4) / (h2 - h1)", 4.25), ("h1 - h4 / 2", 300e3), ("-h4 + 1", -259999.0), ("+h4", 260e3),
    ("abs(h4 - h1)", 170e3), ("min(h1, h2, h4)", 260e3), ("max(h1, 500e3)", 500e3), ("2 * 3.5 - 1e1", -3.0), (" h1 ", 430e3),
    ("h2 - h1 - h4", -220e3), ("8 / 4 / 2", 1.0),
]  # fmt: skip

TRUTHS = [
    ("h2 > h1", True), ("h2 < h1", False), ("h4 < h1 < h2", True), ("h4 < h2 < h1", False), ("h1 == h1 and not h1 != h1", True),
    ("h1 > h2 or h4 <= 260e3", True), ("h1 >= h2", False), ("abs(h2 - h1) <= 0.1 * h1", True), ("zero", False), ("not zero", True),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), NUMBERS)
def test_arithmetic_is_worked_out(text, expected):
    """An expression comes to the number that school arithmetic gives."""
    assert expected == expression(text).number(VALUES)


@pytest.mark.parametrize(("text", "expected"), TRUTHS)
def test_comparison_holds_or_not(text, expected):
    """A comparison comes to true or false; a bare name holds unless it is zero."""
    assert expected is expression(text, "truth").truth(VALUES)


def test_expression_knows_its_names():
    """The names that an expression needs are listed; its functions are not among them."""
    assert {"h1", "h2"} == expression("max(abs(h1), h2)").names


@pytest.mark.parametrize(
    "text",
    [
        "h1 ** 2", "h1 // 2", "h1 % 2", "h1 @ h2", "h1 << 2", "~h1", "h1.real", "h1[0]", "[h1]", "{h1}", "(h1, h2)", "'text'",
        "lambda: 1", "h1 if h2 else h4", "__import__('os')", "open(h1)", "abs()", "abs(h1, h2)", "min(h1)", "min(*h1)",
        "max(h1, h2, key=abs)", "(lambda: 1)()", "h1 = 2", "h1 := 2", "h1; h2", "print(h1)", "True", "None", "1j", "...", "h1 is h2",
        "h1 in h2", "", "   ", "h1 +", "0x", "1e999", "9e15", "\0", "h1\x00", "é", "(h1 > h2) + 1", "not 5 + 2", "abs(h1 > h2)", "f'{h1}'",
    ],
)  # fmt: skip
def test_anything_else_is_refused(text):
    """Powers, calls, texts, containers, assignments and mixtures of numbers and truths are refused while reading."""
    with pytest.raises(InputError):
        expression(text)


def test_refusal_names_the_offence_and_what_is_allowed():
    """The sentence repeats the expression, says what it holds, and lists what may be used."""
    with pytest.raises(InputError, match=r"^'h1 \*\* 2' holds a Pow: allowed are names, numbers, \+ - \* /, comparisons"):
        expression("h1 ** 2")


@pytest.mark.parametrize(("text", "yields"), [("h1 > h2", "number"), ("h1 - h2", "truth")])
def test_number_and_truth_are_not_confused(text, yields):
    """A comparison is refused as an answer, and a number as a condition."""
    with pytest.raises(InputError, match="comes to a"):
        expression(text, yields)


def test_number_divided_by_zero_is_refused():
    """A division by zero is a refusal with the expression in it, not a crash."""
    with pytest.raises(LimitError, match="'h1 / zero' divides by zero"):
        expression("h1 / zero").number(VALUES)


def test_number_beyond_finite_is_refused():
    """A result that is infinite or no number is refused."""
    with pytest.raises(LimitError, match="finite"):
        expression("h1 - h1").number({"h1": math.inf})


def test_unknown_name_is_refused_with_the_nearest():
    """A name without a value is refused, and the nearest name is offered."""
    with pytest.raises(UnknownNameError, match="did you mean"):
        expression("h11").number(VALUES)


@pytest.mark.parametrize("text", ["9" * 10_000, "9**" * 60 + "9", "-" * 199 + "1", "h1+" * 66 + "h1", "(" * 199, "[" * 10_000], ids=len)
def test_hostile_expression_is_refused_at_once(text):
    """Huge numbers, towers of powers and deep nesting are refused in less than 50 ms with a short sentence."""
    begun = time.thread_time()
    with pytest.raises(HpteachError) as refusal:
        expression(text)
    assert 0.05 > time.thread_time() - begun
    assert 250 > len(str(refusal.value))


def test_gaps_are_found_and_filled():
    """A gap is a name in braces, with the kind it is to be shown as where that is given."""
    text = "{reading} is {p1:gauge pressure}"
    assert (("reading", None), ("p1", "gauge pressure")) == gaps(text)
    assert "8 bar g is p1/gauge pressure" == fill(text, lambda name, kind: f"{name}/{kind}" if kind else "8 bar g")


@pytest.mark.parametrize("text", ["{", "}", "{}", "{h1", "h1}", "{{h1}}", "{h1!r}", "{h1.real}", "{h1:>10}", "{0}"])
def test_stray_brace_is_refused(text):
    """A brace that makes no gap is refused, so that no format trick passes."""
    with pytest.raises(InputError, match="has a brace that belongs to no gap"):
        gaps(text)


def test_repeated_text_is_short_and_printable():
    """A sentence repeats at most 40 characters of what was written, and no control character."""
    assert "'" + "a" * 40 + "...'" == shortened("a" * 41)
    assert "'??x'" == shortened("\x00\x1bx")
