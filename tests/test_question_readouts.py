"""A dealt question for JSON, and its key (hpteach/question_readouts.py)."""

from __future__ import annotations

import pytest

from hpteach.question_readouts import asked_dictionary, key_blocks
from hpteach.questions import deal, read_bank
from hpteach.units import show

HIDDEN = {"answer", "accepts", "mistakes", "hints", "solution"}


@pytest.mark.parametrize("key", [False, True])
def test_the_answer_is_there_with_the_key_only(key: bool) -> None:
    """Without the key nothing gives the answer away."""
    found = asked_dictionary(deal(read_bank().question("superheat-and-subcooling"), 3), key=key)
    assert [key, key] == [HIDDEN <= set(part) for part in found["parts"]]
    assert key or not any(HIDDEN & set(part) for part in found["parts"])
    assert ("superheat-and-subcooling", 3, "gauges") == (found["id"], found["seed"], found["topic"])


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
