"""The panel of the reverse question, driven by its controls without a browser."""

from __future__ import annotations

from html import escape

import pytest

from hpteach.circuit import CAUTION, LINES, ValvePosition, position_by_feel
from hpteach.errors import UnknownNameError
from hpteach.panels import FeltLines


@pytest.mark.parametrize(
    ("felt", "position", "said"),
    [
        ({"vapour line": "hot"}, ValvePosition.HEATING, "The valve stands in heating."),
        ({"vapour line": "cold"}, ValvePosition.COOLING, "The valve stands in cooling."),
        ({"outdoor coil line": "hot", "suction line": "cool"}, ValvePosition.COOLING, "The valve stands in cooling."),
        ({"vapour line": "warm", "outdoor coil line": "warm", "suction line": "hot"}, ValvePosition.BETWEEN, "between its seats."),
        ({"liquid line": "warm"}, None, "do not say where the valve stands"),
    ],
)
def test_the_panel_says_what_follows_from_the_lines(felt: dict, position: ValvePosition | None, said: str) -> None:
    """The position is that of `position_by_feel`, with each of its reasons and the caution."""
    view = FeltLines()
    view.set(felt)
    expected = position_by_feel(felt)
    assert (position, None) == (view.felt.position, view.refusal)
    assert said in view.reading.value
    sentences = (*expected.reasons, *expected.contradictions, CAUTION)
    assert [] == [sentence for sentence in sentences if escape(sentence) not in view.reading.value]


def test_the_reading_fades_while_a_prediction_waits() -> None:
    """A line chosen before the prediction fades the reading, which is that of the lines before; committed, it is plain again."""
    view = FeltLines(vapour_line="hot")
    view.foresee.value = True
    before = view.reading.value
    view.controls["vapour line"].value = "cold"
    assert "hpteach-faded" in view.reading._dom_classes and before == view.reading.value
    view.foresight.expected.value = "The valve stands in cooling."
    view.foresight._commit.click()
    assert "hpteach-faded" not in view.reading._dom_classes and "The valve stands in cooling." in view.reading.value


def test_nothing_measured_asks_for_a_line() -> None:
    """At the start every line is not measured, and the panel asks for one."""
    view = FeltLines()
    assert list(LINES) == list(view.controls)
    assert "Choose what the clamp probe shows" in view.reading.value and escape(CAUTION) in view.reading.value


@pytest.mark.parametrize(("name", "feel"), [("hot_line", "hot"), ("vapour_line", "boiling"), ("vapour_line", "")])
def test_unknown_line_or_feel_is_refused(name: str, feel: str) -> None:
    """A line or a feel that is not known is named in the refusal."""
    with pytest.raises(UnknownNameError, match="is not known"):
        FeltLines(**{name: feel})
