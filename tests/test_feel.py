"""Where the reversing valve stands, by what the lines feel like."""

from itertools import product

import pytest

from hpteach.circuit import CAUTION, FEELS, INDOOR_COIL, LINES, ValvePosition, flow, position_by_feel, reversible_circuit
from hpteach.errors import UnknownNameError

HEATING, COOLING, BETWEEN = ValvePosition.HEATING, ValvePosition.COOLING, ValvePosition.BETWEEN


@pytest.mark.parametrize(
    ("felt", "position", "doubt"),
    [
        ({"vapour line": "hot"}, HEATING, None),
        ({"vapour line": "cool"}, COOLING, None),
        ({"vapour line": "cold"}, COOLING, None),
        ({"outdoor coil line": "hot"}, COOLING, None),
        ({"outdoor coil line": "cold"}, HEATING, None),
        ({"vapour line": "hot", "outdoor coil line": "cool"}, HEATING, None),
        ({"vapour line": "warm", "outdoor coil line": "hot"}, COOLING, None),
        ({"vapour line": "warm"}, None, None),
        ({"liquid line": "warm", "discharge line": "hot", "suction line": "cool"}, None, None),
        ({}, None, None),
        ({"vapour line": "hot", "outdoor coil line": "hot"}, None, "between its seats, or leaks"),
        ({"vapour line": "cool", "outdoor coil line": "cold"}, None, "short of refrigerant"),
        ({"vapour line": "hot", "discharge line": "cold"}, None, "no line tells anything"),
        ({"vapour line": "hot", "discharge line": "cool"}, None, "no line tells anything"),
        ({"vapour line": "hot", "suction line": "hot"}, None, "leaks discharge gas into it"),
        ({"outdoor coil line": "hot", "vapour line": "cool", "suction line": "hot"}, None, "leaks discharge gas into it"),
        ({"vapour line": "hot", "suction line": "warm"}, HEATING, "leaks discharge gas into it"),
        ({"vapour line": "hot", "outdoor coil line": "hot", "suction line": "hot"}, BETWEEN, None),
        ({"vapour line": "warm", "outdoor coil line": "warm", "suction line": "hot", "discharge line": "hot"}, BETWEEN, None),
        ({"vapour line": "warm", "outdoor coil line": "warm", "suction line": "cool"}, None, None),
        ({"suction line": "hot"}, None, "leaks discharge gas into it"),
    ],
)
def test_position_is_told_by_the_lines_that_change(felt, position, doubt):
    """The vapour line and the outdoor coil line tell the position; lines that contradict each other leave it open, with the doubt said."""
    found = position_by_feel(felt)
    assert position is found.position
    assert [doubt is not None] * len(found.contradictions) == [doubt in said for said in found.contradictions]
    assert bool(doubt) == bool(found.contradictions)


@pytest.mark.parametrize("line", ["liquid line", "discharge line", "suction line"])
@pytest.mark.parametrize("feel", FEELS)
def test_some_lines_cannot_tell(line, feel):
    """Whatever the liquid, discharge or suction line feels like, alone it gives no position and a reason that names it."""
    found = position_by_feel({line: feel})
    assert found.position is None and found.reasons[0].startswith(f"The {line} cannot tell")


@pytest.mark.parametrize("feel", ["hot", "warm"])
def test_between_has_its_reason(feel):
    """A spool between its seats is told with what was felt, and not beside the complaint that nothing was felt clearly."""
    reasons = position_by_feel({"vapour line": feel, "outdoor coil line": feel, "suction line": "hot"}).reasons
    assert f"both {feel} and the suction line is hot: the discharge gas goes straight to the suction" in reasons[-1]
    assert not any("Nothing that can tell" in reason for reason in reasons)


def test_what_a_line_should_be_is_said_as_such():
    """The lines that are alike in both positions are said as they should be, whatever they felt like."""
    reasons = position_by_feel({"discharge line": "cold", "suction line": "hot"}).reasons
    assert ["should be hot in both positions.", "should be cool in both positions."] == [reason.split("it ")[-1] for reason in reasons[:2]]


@pytest.mark.parametrize("position", [HEATING, COOLING])
def test_feel_agrees_with_the_walk(position):
    """Whichever way the valve stands, the line that the discharge gas enters first feels hot and leads back to that position."""
    gas_meets_indoor_coil = flow(reversible_circuit(), position).condenser == INDOOR_COIL
    hot, cool = ("vapour line", "outdoor coil line") if gas_meets_indoor_coil else ("outdoor coil line", "vapour line")
    assert position is position_by_feel({hot: "hot", cool: "cool", "discharge line": "hot", "suction line": "cool"}).position


def test_every_feel_of_every_line_has_a_reason():
    """Each combination of feels gives a reason for each line felt, and no position without a line that tells it."""
    for feels in product((None, *FEELS), repeat=len(LINES)):
        felt = {line: feel for line, feel in zip(LINES, feels) if feel}
        found = position_by_feel(felt)
        assert all(any(f"The {line}" in reason for reason in found.reasons) for line in felt)
        telling = {felt.get("vapour line"), felt.get("outdoor coil line")} & {"hot", "cool", "cold"}
        assert telling or found.position in (None, BETWEEN)
        assert felt.get("suction line") != "hot" or found.position in (None, BETWEEN)
        assert felt.get("discharge line") not in ("cool", "cold") or found.position is None
        assert found.position or found.contradictions or not telling


@pytest.mark.parametrize(
    ("felt", "says"),
    [
        ({"vapor line": "hot"}, "line 'vapor line' is not known; did you mean vapour line"),
        ({"vapour line": "boiling"}, "feel of the vapour line 'boiling' is not known"),
        ({"vapour line": ""}, "feel of the vapour line '' is not known"),
    ],
)
def test_unknown_line_or_feel_is_refused(felt, says):
    """A line or a feel that is not known is refused with the known ones."""
    with pytest.raises(UnknownNameError, match=says):
        position_by_feel(felt)


def test_caution_names_what_hurts():
    """The caution says that a discharge line burns, what not to touch, and to measure with a clamp probe."""
    assert [] == [word for word in ("burns", "moves", "live", "clamp probe", "licensed") if word not in CAUTION]
