"""The keyboard of a panel: which keys it hears, and that its browser part is there."""

from __future__ import annotations

import pytest

from hpteach.panels import CycleExplorer, Exercise
from hpteach.panels.keyboard import Keyboard


@pytest.mark.parametrize(("message", "heard"), [({"key": "s"}, ["s"]), ({"key": "S"}, ["S"]), ({"key": "x"}, []), ({}, [])])
def test_only_its_own_keys_are_heard(message: dict, heard: list[str]) -> None:
    """A message of the browser with one of the keys is passed on; any other does nothing."""
    pressed: list[str] = []
    keyboard = Keyboard(pressed.append, listens_to=["s", "S"])
    keyboard._handle_custom_msg(message, [])
    assert heard == pressed


def test_the_browser_part_is_in_the_package() -> None:
    """The script that runs in the browser is read from the file beside the module."""
    assert "data-lm-suppress-shortcuts" in str(Keyboard(lambda _: None)._esm)


def test_a_message_of_the_browser_moves_the_panel() -> None:
    """What the browser sends ends in the control."""
    view = CycleExplorer()
    view.keyboard._handle_custom_msg({"key": "h"}, [])
    assert 5.5 == view.controls["superheat"].value


def test_an_exercise_has_no_keys_and_still_keeps_the_notebooks_away() -> None:
    """An exercise listens to no key, but holds the keyboard that lets the notebook's own keys rest inside it."""
    exercise = Exercise("cooling-cop", seed=7)
    assert exercise.keyboard in exercise.children and [] == exercise.keyboard.listens_to and not exercise.keyboard.copies
