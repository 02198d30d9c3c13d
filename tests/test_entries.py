"""A table of a question file: what is taken from it, and refusals that say where the fault stands."""

import re

import pytest

from hpteach.errors import DataError
from hpteach.questions.entries import Entry

FILE = "start/example.toml"
WORD = re.compile("[a-z]+")


def entry(**data):
    return Entry(FILE, "parts[1]", data)


@pytest.mark.parametrize(
    ("take", "value", "expected"),
    [
        (lambda table: table.text("key"), "a text", "a text"),
        (lambda table: table.texts("key"), ["one", "two"], ("one", "two")),
        (lambda table: table.truth("key"), True, True),
        (lambda table: table.truth("absent"), "anything", False),
        (lambda table: table.whole("key", range(1, 4)), 3, 3),
        (lambda table: table.matching("key", WORD, "a word"), "word", "word"),
        (lambda table: table.one_of("key", ("number", "choice")), "choice", "choice"),
        (lambda table: table.quantity("key", "temperature"), "41 F", 278.15),
        (lambda table: table.quantity("absent", "temperature", "0 C"), "anything", 273.15),
    ],
)
def test_entry_is_taken(take, value, expected):
    """An entry that is as it should be is taken, a list as a tuple and a quantity in SI."""
    assert expected == take(entry(key=value))


# Each row: how the entry is taken, its value, and what the refusal says is allowed.
REFUSALS = [
    (lambda table: table.text("key"), "  ", "a text"),
    (lambda table: table.text("key"), 7, "a text"),
    (lambda table: table.texts("key"), "one", "a list of one or more texts"),
    (lambda table: table.texts("key"), ["one", " "], "a list of one or more texts"),
    (lambda table: table.truth("key"), "true", "true or false"),
    (lambda table: table.truth("key"), 1, "true or false"),
    (lambda table: table.whole("key", range(1, 4)), 4, "a whole number from 1 to 3"),
    (lambda table: table.whole("key", range(1, 4)), 2.0, "a whole number from 1 to 3"),
    (lambda table: table.whole("key", range(1, 4)), True, "a whole number from 1 to 3"),
    (lambda table: table.matching("key", WORD, "a word"), "two words", "a word"),
    (lambda table: table.one_of("key", ("number", "choice")), "guess", "one of number, choice"),
    (lambda table: table.quantity("key", "pressure"), "8 K", "a pressure with its unit ('8 K' is a temperature"),
    (lambda table: table.size("key", "temperature"), "8 bar", "a temperature difference with its unit ("),
    (lambda table: table.table("key"), {}, "a table"),
    (lambda table: table.table("key"), "text", "a table"),
    (lambda table: table.tables("key"), {}, "one or more tables [[parts[1].key]]"),
    (lambda table: table.tables("key"), [], "one or more tables [[parts[1].key]]"),
    (lambda table: table.tables_by_name("key", WORD), {"Two Words": {}}, "names of lower-case words joined by underscores"),
]


@pytest.mark.parametrize(("take", "value", "allowed"), REFUSALS, ids=[f"{index} {row[2][:20]}" for index, row in enumerate(REFUSALS)])
def test_wrong_entry_is_refused_with_its_place(take, value, allowed):
    """A refusal names file, place, key, value and what is allowed."""
    shown = "Two Words" if value == {"Two Words": {}} else value
    with pytest.raises(DataError) as refusal:
        take(entry(key=value))
    assert str(refusal.value).startswith(f"start/example.toml: parts[1].key = {shown!r}: allowed is {allowed}")


@pytest.mark.parametrize("take", [Entry.text, Entry.texts, Entry.table, Entry.tables], ids=lambda take: take.__name__)
def test_missing_entry_is_refused(take):
    """An entry that is not there is refused by its key, with what to write."""
    with pytest.raises(DataError, match=r"start/example.toml: parts\[1\].key is missing: write "):
        take(entry(), "key")


def test_other_keys_are_refused():
    """A key that nobody knows is refused, so that a slip of the pen is not passed over."""
    entry(id="a", text="b").only(("id", "text"))
    with pytest.raises(DataError, match=r"parts\[1\].txet = 'b': allowed is only the keys id, text"):
        entry(id="a", txet="b").only(("id", "text"))


def test_long_value_is_cut_short():
    """A refusal repeats at most 80 characters of the value."""
    with pytest.raises(DataError) as refusal:
        entry(key="x" * 1000).whole("key", range(1, 4))
    assert f"key = '{79 * 'x'}...: allowed is" in str(refusal.value)


@pytest.mark.parametrize(
    ("kind", "text", "expected"),
    [
        # 0.9 °F is half a kelvin; a tolerance of temperature is a difference and not a point of the scale.
        ("temperature", "0.9 F", 0.5), ("temperature", "0.5 C", 0.5), ("temperature difference", "0.5 K", 0.5),
        ("pressure", "0.02 bar", 2000.0), ("pressure", "0.02 bar g", 2000.0), ("gauge pressure", "0.02 bar", 2000.0),
        ("gauge pressure", "2 kPa g", 2000.0), ("specific energy", "0.3 kJ/kg", 300.0), ("ratio", "2 %", 0.02),
    ],
)  # fmt: skip
def test_size_is_a_difference(kind, text, expected):
    """A step or a tolerance is a size: no zero of a scale and no air pressure is counted in."""
    assert pytest.approx(expected, rel=1e-9) == entry(key=text).size("key", kind)


def test_inner_tables_know_their_place():
    """A table inside a table, in a list or under a name carries the whole way to it, lists counted from 1."""
    top = Entry(FILE, "", {"parts": [{}, {"tolerance": {"reason": ""}}], "draw": {"fall": {"kind": "x"}}})
    assert "parts[2].tolerance" == top.tables("parts")[1].table("tolerance").place
    assert [("fall", Entry(FILE, "draw.fall", {"kind": "x"}))] == top.tables_by_name("draw", WORD)
    assert [] == top.tables_by_name("absent", WORD)
