"""Reading the parts of a file: which keys a kind has, what goes together in one question."""

import tomllib

import pytest

from hpteach.errors import DataError
from hpteach.questions.entries import Entry
from hpteach.questions.parts import KINDS, check_parts, read_part
from hpteach.questions.part_names import Names
from tests.kinds_of_part import CHART, CHOICE, ORDER, SEVERAL, STATE, TABLE, TRUTH, circuit, cycle, dealt, number, question

PARTS = {
    "number": number("work", "specific energy", "h2 - h1", "relative = 0.01"), "choice": CHOICE, "several": SEVERAL, "order": ORDER,
    "state": STATE.replace("{place}", "liquid line"), "truth": TRUTH, "table": TABLE,
}  # fmt: skip


def test_every_kind_is_read_and_dealt():
    """One question may hold a part of every kind; a table is dealt as numbers."""
    asked = question(cycle(), *PARTS.values())
    assert KINDS == ("number", "choice", "several", "order", "state", "truth", "table")
    assert set(KINDS) == set(PARTS) == {part.kind for part in asked.parts}
    assert {*KINDS} - {"table"} == {part.kind for part in dealt(cycle(), *PARTS.values()).parts}


@pytest.mark.parametrize("kind", KINDS)
def test_key_of_another_kind_is_refused(kind):
    """Each kind has its own keys; the refusal names those that are allowed."""
    foreign = {"table": 'listed = ["a"]', "order": 'place = "x"'}.get(kind, 'points = ["1"]')
    with pytest.raises(DataError, match=r"start/example.toml: parts\[1\].\w+ = .*: allowed is only the keys id, kind, "):
        question(cycle(), PARTS[kind].replace(f'kind = "{kind}"', f'kind = "{kind}"\n{foreign}', 1))


def test_unknown_kind_is_refused():
    """The refusal lists the kinds."""
    with pytest.raises(DataError, match="parts.1..kind = 'guess': allowed is one of number, choice, several, order, state, truth, table"):
        question(cycle(), CHOICE.replace('"choice"', '"guess"', 2).replace('id = "guess"', 'id = "choice"'))


@pytest.mark.parametrize("kind", ["choice", "several", "order", "state", "truth"])
@pytest.mark.parametrize(
    ("mistake", "sentence"),
    [
        ('id = "mine"\nvalue = "1"\ncorrection = "?"', "allowed is a way (a named one) in a part that is no number"),
        ('way = "wrong_valve_positoin"', "parts[1].mistakes[1].way = 'wrong_valve_positoin': allowed is one of"),
        ('way = "cop_upside_down"', "parts[1].mistakes[1].way = 'cop_upside_down': allowed is a way that has a meaning here (it changes a number, and this part asks for none)"),
    ],
)  # fmt: skip
def test_part_that_is_no_number_takes_named_ways_only(kind, mistake, sentence):
    """A value needs a number; a way that is not known, or that changes a number, is refused."""
    with pytest.raises(DataError) as refusal:
        question(circuit(), PARTS[kind] + f"\n[[parts.mistakes]]\n{mistake}\n")
    assert sentence in str(refusal.value)


def test_parts_of_one_question_go_together():
    """Two parts with one id, a part with the id of a table's cell, and two charts in one question are refused."""
    entry = Entry("start/example.toml", "", {})
    chart = CHART.replace('id = "chart"', 'id = "other"')
    for parts, sentence in (
        ([CHOICE, TRUTH.replace('"claim"', '"choice"')], "parts = 'choice': allowed is a different one for each"),
        ([TABLE, number("table_h2", "specific energy", "h2", "relative = 0.01")], "parts = 'table_h2': allowed is a different one for each"),
        ([CHART, chart.replace("pressure-enthalpy", "temperature-entropy")], "allowed is one chart for all parts of a question"),
        ([CHART, chart.replace('["1", "2"]', '["1"]')], "allowed is one chart for all parts of a question"),
    ):
        with pytest.raises(DataError) as refusal:
            check_parts(entry, [part for text in parts for part in question(cycle(), text).parts])
        assert sentence in str(refusal.value)
    check_parts(entry, question(cycle(), CHART, chart, TABLE, CHOICE).parts)


@pytest.mark.parametrize("id", ["seed", "units", "prediction"])
def test_id_of_a_control_is_refused(id):
    """The panels call controls of their own by these names."""
    entry = Entry("start/example.toml", "parts[1]", {"id": id, "kind": "state", "text": "?", "place": "liquid line", "hints": ["?"], "solution": "?"})
    with pytest.raises(DataError, match="a name other than seed, units, prediction"):
        read_part(entry, Names(entry, {}, {"valve_position": "heating"}, {}))


ANYTHING = (None, True, 3, -1.5, "", "x", "{h2}", "{", "h2", [], ["x"], [3], [["x"]], {}, {"x": 1}, [{}], [{"text": "x"}], [{"way": "subcooling_ignored"}], "x" * 300)


def mutations(data):
    """The table with each of its entries, however deep, replaced by anything or taken away."""
    for key in data:
        for value in ANYTHING:
            yield {**data, key: value} if value is not None else {other: kept for other, kept in data.items() if other != key}
        if isinstance(data[key], dict):
            yield from ({**data, key: changed} for changed in mutations(data[key]))
        elif isinstance(data[key], list) and isinstance(data[key][0], dict):
            yield from ({**data, key: [changed, *data[key][1:]]} for changed in mutations(data[key][0]))
    yield {**data, "unknown": 1}


@pytest.mark.parametrize("kind", [*KINDS, "chart"])
def test_any_wrong_entry_is_refused_as_such(kind):
    """Whatever stands in the place of an entry, the part is read or refused with the file's name and nothing else."""
    data = tomllib.loads({**PARTS, "chart": CHART}[kind])["parts"][0]
    names = Names(Entry("start/example.toml", "", {}), {}, {"refrigerant": "R-32", "valve_position": "heating"}, {})
    refused = 0
    for changed in mutations(data):
        try:
            assert read_part(Entry("start/example.toml", "parts[1]", changed), names).id
        except DataError as error:
            refused += 1
            assert str(error).startswith("start/example.toml: ")
    assert refused > 50
