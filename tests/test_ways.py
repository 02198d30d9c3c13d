"""What a named wrong way is, and where it has a meaning."""

import pytest

from hpteach.questions.scenarios import Given, Situation
from hpteach.questions.ways import AIR, CYCLE, Stated, anywhere, asked, drawn_changed, not_asked, swapped, where

A_CYCLE = Stated(frozenset({CYCLE}))


@pytest.mark.parametrize(
    ("fits", "stated", "quantity", "reason"),
    [
        (anywhere, Stated(frozenset()), "", ""),
        (where(CYCLE, why="it is about a cycle"), A_CYCLE, "power", ""),
        (where(CYCLE, AIR, why="it is about heat"), Stated(frozenset()), "power", "it is about heat: the question has to state cycle or air"),
        (asked("power", "heat"), A_CYCLE, "power", ""),
        (asked("power", "heat"), A_CYCLE, "ratio", "it changes a number of power or heat, and this part asks for a ratio"),
        (asked("power"), A_CYCLE, "", "it changes a number of power, and this part asks for no number"),
        (not_asked("ratio", why="it has no kilo"), A_CYCLE, "power", ""),
        (not_asked("ratio", why="it has no kilo"), A_CYCLE, "ratio", "this part asks for a ratio: it has no kilo"),
        (not_asked("air flow", why="no"), A_CYCLE, "air flow", "this part asks for an air flow: no"),
        (not_asked("ratio", why="it has no kilo"), A_CYCLE, "", "it changes a number, and this part asks for none"),
    ],
)
def test_reason_says_where_a_way_has_no_meaning(fits, stated, quantity, reason):
    """A way fits where its table is stated and its kind of number is asked; elsewhere there is a reason in words."""
    assert reason == fits(stated, quantity)


def test_pairs_change_places_in_both_cycles():
    """Both of a pair change places, of the second cycle too; what has no partner stays out."""
    found = swapped({"p1": 1.0, "p2": 2.0, "other_p1": 3.0, "other_p2": 4.0, "q_e": 5.0}, ("p1", "p2"), ("q_e", "q_c"))
    assert {"p1": 2.0, "p2": 1.0, "other_p1": 4.0, "other_p2": 3.0} == found


def test_air_pressure_is_no_drawn_reading():
    """A change of all drawn pressures leaves the air's own pressure as it is."""
    situation = Situation(drawn={"reading": Given("pressure", 8e5), "air": Given("pressure", 1e5), "warm": Given("temperature", 300.0)}, air="air")
    found = drawn_changed(situation, ("pressure",), lambda value: 2.0 * value)
    assert {"reading": 16e5, "air": 1e5, "warm": 300.0} == {name: given.value for name, given in found.drawn.items()}
