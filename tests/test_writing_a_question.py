"""The page for whoever writes a question (docs/writing-a-question.md): its examples are read and proved, and every key is on it."""

import re
import textwrap
from pathlib import Path

import pytest

from hpteach import units
from hpteach.questions import Bank, prove
from hpteach.questions import bank as bank_module
from hpteach.questions import parts as parts_module
from hpteach.questions.air_conditions import AIR, WEATHER
from hpteach.questions.bank import read_question
from hpteach.questions.conditions import CONDITIONS
from hpteach.questions.law_topics import law_topics
from hpteach.questions.mistakes import WAYS
from tests.example_question import head

PAGE = (Path(__file__).parents[1] / "docs" / "writing-a-question.md").read_text(encoding="utf-8")
BLOCKS = [textwrap.dedent(block).strip() for block in re.findall(r"(?:^    .*\n|^\n(?=    ))+", PAGE, re.MULTILINE)]
WHOLE = [block for block in BLOCKS if block.startswith("title = ")]
PARTS = [block for block in BLOCKS if block.startswith("[[parts]]")]

# A small question, into which each example of a part is put.
BESIDE = head("03", "1.02") + """
prompt = "A bench unit (invented) runs steadily in {position}, with R-32, between {low} and {high}."

[draw.position]
kind = "name"
choices = ["heating", "cooling"]

[draw.low]
kind = "temperature"
choices = ["2 C", "6 C"]

[draw.high]
kind = "temperature"
choices = ["42 C", "48 C"]

[scenario]
refrigerant = "R-32"
valve_position = "position"
saturated_suction_temperature = "low"
saturated_condensing_temperature = "high"
superheat = "6 K"
subcooling = "5 K"

"""


def kind_of(block):
    return re.search(r'^kind = "(\w+)"', block, re.MULTILINE)[1]


def test_annotated_question_is_read_and_holds():
    """The question that is read line by line is a question, with its remarks, and its proof holds."""
    assert 1 == len(WHOLE)
    question = read_question(WHOLE[0], "pressure-enthalpy/flash-gas-behind-the-device.toml")
    assert () == prove(Bank({question.id: question}), seeds=range(6)).failures
    assert 15 <= WHOLE[0].count("  # "), "read line by line"


@pytest.mark.parametrize("block", PARTS, ids=kind_of)
def test_example_of_a_kind_is_read_and_holds(block):
    """Each example of a kind of part, put beside a small cycle, is read and its right and wrong answers are judged."""
    text = BESIDE + block
    if kind_of(block) == "several":  # the page shows its first choice; a part needs three
        text += "".join(f'\n[[parts.choices]]\ntext = "The {place} coil evaporates."\nwhen = "{when}"\n' for place, when in (("outdoor", "heating"), ("indoor", "cooling")))
    question = read_question(text, "start/example.toml")
    failures = prove(Bank({"example": question}), seeds=range(6)).failures
    assert () == failures


def test_every_kind_that_needs_an_example_has_one():
    """The kinds that a file could not be guessed for stand with an example, the others with their keys."""
    assert {"several", "state", "truth", "table"} == {kind_of(block) for block in PARTS}
    for kind in parts_module.KINDS:
        assert f"`{kind}`" in PAGE or f'`kind = "{kind}"`' in PAGE, kind


KEYS = [
    *bank_module._QUESTION_KEYS,
    *(key for keys in parts_module._OWN_KEYS.values() for key in keys),
    "id", "kind", "hints", "solution", "read_from", "marked", "follows", "from", "to", "step", "choices", "IP", "when", "right", "correction", "left_out", "says",
    "relative", "absolute", "reason", "way", "value", "cells",
]  # fmt: skip


@pytest.mark.parametrize("key", sorted(set(KEYS)))
def test_every_key_is_on_the_page(key):
    """No key that a file may have is kept from whoever writes one."""
    assert re.search(rf"`[^`\n]*(?<![\w]){key}(?![\w])[^`\n]*`|^ +\[*(?:parts\.)?{key}\b", PAGE, re.MULTILINE), key


@pytest.mark.parametrize("key", sorted({*AIR, *WEATHER} - {f"leaving_{name}" for name in ("dew_point", "relative_humidity", "humidity_ratio")}))
def test_conditions_of_air_and_weather_are_on_the_page(key):
    """The keys of [air] and [weather] are named; the other ways to state air behind a coil follow those before it."""
    assert re.search(rf"\b{key}\b", PAGE), key


def test_list_of_conditions_is_where_the_page_says():
    """The keys of [scenario] stand in the module that the page names."""
    assert "hpteach/questions/conditions.py" in PAGE and {"refrigerant", "superheat"} <= set(CONDITIONS)


def test_names_on_the_page_are_known():
    """Every code of the law, every way and every file that the page names is there."""
    for code in re.findall(r'"((?:EU|US) \d[^"]*\w)"', PAGE):
        assert code in law_topics() or code.endswith("...") or code == "EU 2015/2067", code
    for way in re.findall(r'way = "(\w+)"', PAGE):
        assert way in WAYS, way
    for path in re.findall(r"`((?:hpteach|docs|exercises)/[\w/.-]+\.(?:py|toml|md))`", PAGE):
        assert "TOPIC" in path or (Path(__file__).parents[1] / path).is_file(), path


@pytest.mark.parametrize("kind", units.KINDS)
def test_every_kind_of_quantity_is_named(kind):
    """Whoever writes a question finds every kind on the page."""
    assert f"`{kind}`" in PAGE.split("## Kinds of quantity")[1].split("\n## ")[0]


@pytest.mark.parametrize("way", WAYS.values(), ids=lambda way: way.id)
def test_every_named_way_stands_with_what_it_changes(way):
    """Whoever writes a question finds every named way on the page, and what it changes."""
    assert f"| `{way.id}` | {way.changes} |" in PAGE
