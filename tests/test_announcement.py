"""Paragraphs that are read out as they come."""

from __future__ import annotations

from hpteach.panels.announcement import Announcement


def test_a_paragraph_is_added_to_those_that_stand_there() -> None:
    """The earlier ones stay as they are, so that only the new one is read out."""
    said = Announcement()
    said.add("Hint 1 of 2:", "Look at point 1.")
    before = said.blocks
    said.add("Hint 2 of 2:", "Look at point 2.", "right")
    assert before == said.blocks[:1] and "right" == said.blocks[1]["kind"]
    assert "Hint 1 of 2: Look at point 1.\nHint 2 of 2: Look at point 2." == said.text


def test_all_can_be_taken_away() -> None:
    """Nothing is left to be read."""
    said = Announcement()
    said.add("Hint 1 of 2:", "Look at point 1.")
    said.clear()
    assert ((), "") == (said.titles, said.text)
