"""A dealt question for JSON, and its key (hpteach/question_readouts.py)."""

from __future__ import annotations

import json

import pytest

from hpteach.question_readouts import asked_dictionary, key_blocks
from hpteach.questions import check, deal, read_bank
from hpteach.units import show
from tests.kinds_of_part import CHART, CHOICE, ORDER, SEVERAL, STATE, TABLE, TRUTH, cycle, dealt

HIDDEN = {"answer", "answer_unit", "accepts", "mistakes", "hints", "solution"}


@pytest.mark.parametrize("key", [False, True])
def test_the_answer_is_there_with_the_key_only(key: bool) -> None:
    """Without the key nothing gives the answer away."""
    found = asked_dictionary(deal(read_bank().question("superheat-and-subcooling"), 3), key=key)
    assert [key, key] == [HIDDEN <= set(part) for part in found["parts"]]
    assert key or not any(HIDDEN & set(part) for part in found["parts"])
    assert ("superheat-and-subcooling", 3, "gauges") == (found["id"], found["seed"], found["topic"])


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize(("question", "units_of_parts"), [
    ("auxiliary-heat-needed", ["W"]), ("superheat-and-subcooling", ["K", "K"]), ("cop-on-a-cold-day", ["", ""]), ("gauge-at-altitude", ["Pa gauge"]),
    ("energy-of-a-bin", ["J"]), ("predict-gauge", [None]), ("water-on-the-coil", ["kg/s"]),
])  # fmt: skip
def test_the_key_says_in_which_unit_its_numbers_are(question: str, units_of_parts: list, system: str) -> None:
    """Answers, bands and mistakes are in the SI base unit that stands beside them, so that typed in they are right."""
    variant = deal(read_bank().question(question), 3, system)
    parts = asked_dictionary(variant, key=True)["parts"]
    assert units_of_parts == [part["answer_unit"] for part in parts]
    for part in parts:
        if part["answer_unit"] is not None:
            typed = [f"{value:.10g} {part['answer_unit']}" for value in (part["answer"], *part["accepts"], *(one["value"] for one in part["mistakes"]))]
            assert [True] * 3 + [False] * len(part["mistakes"]) == [check(variant, text, part["id"]).correct for text in typed]


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_the_key_shows_answers_in_the_readers_units(system: str) -> None:
    """For each part the answer, the band, the solution, and a row for each foreseen mistake."""
    variant = deal(read_bank().question("superheat-and-subcooling"), 3, system)
    blocks = key_blocks(variant)
    for part, said, table in zip(variant.parts, blocks[::2], blocks[1::2]):
        assert said.startswith(f"{part.id}: {show(part.answer, part.quantity, system)}, accepted from ")
        assert said.endswith(part.solution)
        assert [mistake.id for mistake in part.mistakes] == [row[0] for row in table.rows]


def test_a_gauge_pressure_counts_from_the_air_of_the_question() -> None:
    """An answer that is a gauge reading is shown as one."""
    variant = deal(read_bank().question("gauge-at-altitude"), 1)
    parts = [part for part in variant.parts if part.quantity == "gauge pressure"]
    shown = "\n".join(str(block) for block in key_blocks(variant))
    assert parts
    for part in parts:
        assert f"{part.id}: {part.answer / 1e5:.2f} bar g" in shown


def test_tables_and_chart_are_in_the_dictionary() -> None:
    """A state table and a chart to read from come with the question, as JSON can hold them, and give nothing away."""
    variant = dealt(cycle(), TABLE, CHART, SEVERAL)
    found = json.loads(json.dumps(asked_dictionary(variant, key=False)))
    assert {"kind": "pressure-enthalpy", "refrigerant": "R-410A", "marked": ["1", "2"]} == found["chart"]
    assert ["table_h2", "table_h3", "table_T4", "table_h4"] == [cell["part"] for row in found["tables"][0]["cells"] for cell in row if cell["part"]]
    assert [("table_h2", "table", "2", "enthalpy", ""), ("chart", "", "", "", "pressure-enthalpy"), ("which", "", "", "", "")] == [
        (part["id"], part["table"], part["row"], part["column"], part["read_from"]) for part in (found["parts"][0], *found["parts"][4:])
    ]
    assert (None, []) == tuple(asked_dictionary(deal(read_bank().question("cooling-cop"), 3), key=False)[name] for name in ("chart", "tables"))


def test_key_of_every_kind_is_shown() -> None:
    """The key names the answer of every kind of part: a number with its band, letters, an order, the words of a choice."""
    variant = dealt(cycle(), SEVERAL, STATE.replace("{place}", "liquid line"), TRUTH, TABLE, ORDER, CHOICE)
    said = [str(block) for block in key_blocks(variant)[::2]]
    for part, text in zip(variant.parts, said):
        shown = part.answer if isinstance(part.answer, str) else show(part.answer, part.quantity)
        assert text.startswith(f"{part.id}: {shown}")
