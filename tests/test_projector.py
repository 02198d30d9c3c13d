"""Scripts for the projector: what they claim is what the panels show (hpteach/panels/projector.py)."""

import pytest

from hpteach.errors import UnknownNameError
from hpteach.panels.projector import PANELS, ProjectorScript, script, scripts


def direction(before, after):
    """How a number moved, in the words of the panels."""
    if abs(after - before) <= 1e-9 * max(abs(before), abs(after)):
        return "stays as it is"
    return "rises" if after > before else "falls"


@pytest.mark.parametrize("lesson", scripts())
def test_what_a_script_claims_is_what_its_panel_shows(lesson):
    """At every step the panel accepts what is set, and each quantity moves, and each part stands, as the script says."""
    room = ProjectorScript(lesson)
    for number, step in enumerate(room.script.steps):
        room.go_to_step(number)
        before = room.panel.told()
        room.show_it()
        assert (None, None) == (room.refusal, room.panel.refusal), step.ask
        after = room.panel.told()
        assert dict(step.moves) == {name: direction(before[name].value, after[name].value) for name in step.moves}, step.ask
        assert dict(step.stands) == {name: after[name].value for name in step.stands}, step.ask
        assert step.hear.split(".")[0][:30] in room.reading.value.replace("&#x27;", "'").replace("&amp;", "&").replace("&gt;", ">")


@pytest.mark.parametrize("lesson", scripts())
def test_a_script_is_as_long_as_a_lesson_allows(lesson):
    """A script has five to eight questions, takes fifteen to thirty minutes, and claims something that can be proved."""
    found = script(lesson)
    assert lesson == found.lesson and found.panel in PANELS
    assert 5 <= len(found.steps) <= 8 and 15 <= found.minutes <= 30
    assert any(step.moves or step.stands for step in found.steps)
    assert all(step.ask.count("?") + step.ask.count("Point") + step.ask.count("Write") for step in found.steps)


@pytest.mark.parametrize("lesson", scripts())
def test_units_turn_and_nothing_else_does(lesson):
    """In IP the same states are shown, at every step."""
    one, other = ProjectorScript(lesson), ProjectorScript(lesson, units="IP")
    for number in range(len(one.script.steps)):
        for room in (one, other):
            room.go_to_step(number)
            room.show_it()
        told = [{name: found.value for name, found in room.panel.told().items()} for room in (one, other)]
        assert told[0] == pytest.approx(told[1], rel=1e-6) if all(isinstance(v, float) for v in told[0].values()) else told[0].keys() == told[1].keys()
        assert "IP" == other.panel.controls["units"].value


def test_the_room_answers_before_the_panel_moves():
    """Until "Show it" the panel shows the step before, and what to hear is not on the screen; Back takes both back."""
    room = ProjectorScript("03")
    room.go_to_step(2)
    assert 45.0 == room.panel.controls["saturated_condensing_temperature"].value and "To hear" not in room.reading.value
    room.show_it()
    assert 55.0 == room.panel.controls["saturated_condensing_temperature"].value and "To hear" in room.reading.value
    room.go_to_step(1)
    assert 45.0 == room.panel.controls["saturated_condensing_temperature"].value


def test_the_ends_are_said():
    """Before the first and after the last question it says so, and stays."""
    room = ProjectorScript("05")
    room.go_to_step(-1)
    assert "first question" in room.status.value and 0 == room.number
    room.go_to_step(99)
    assert "last question" in room.status.value and 0 == room.number


def test_a_lesson_without_script_is_refused():
    """The refusal lists the lessons that have one."""
    with pytest.raises(UnknownNameError, match="03"):
        ProjectorScript("02")
