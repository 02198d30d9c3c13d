"""What the changeover asks before anything is shown, and how it judges the answers."""

from __future__ import annotations

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.panels import Changeover
from hpteach.panels.changeover_words import MODES, QUESTIONS
from tests.test_changeover import CASES, pictures, shown


def within(widget: object) -> list:
    """A widget and all that it holds."""
    return [widget, *(found for child in getattr(widget, "children", ()) for found in within(child))]


def answered(layout: str, mode: str) -> dict[str, str]:
    """The right answers, from the walk through the circuit."""
    path = flow(reversible_circuit(MeteringLayout(layout)), ValvePosition(mode))
    opened = [f"{where} check valve" for where, state in path.check_valves.items() if state == "open"]
    return {"condenser": path.condenser, "check_valve": (opened or ["none"])[0], "metering_device": path.metering.working}


def test_nothing_is_shown_before_the_prediction_is_committed() -> None:
    """Before the commitment there is no picture, no table, no reading, and no panel to find them in."""
    view = Changeover()
    assert ([b"", b"", b"", "", ""], None, None) == (shown(view), view.flow, view.cycle)
    assert not {view.pictures.circuit.image, view.table, view.reading, view.controls["valve_position"]} & set(within(view))
    view.controls["metering"].value = "indoor"
    view.controls["valve_position"].value = "cooling"
    view.step()
    assert [b"", b"", b"", "", ""] == shown(view)
    assert "one indoors" in view._prompt.value and "turns to cooling" in view._prompt.value


@pytest.mark.parametrize("left_out", QUESTIONS)
def test_a_prediction_with_a_gap_opens_nothing(left_out: str) -> None:
    """One choice left out: the status line names the question, and nothing is shown."""
    view = Changeover()
    for name, answer in answered("each-coil", "heating").items():
        view.controls[name].value = None if name == left_out else answer
    view.commit()
    assert QUESTIONS[left_out][0] in view.status.value
    assert ([b"", b"", b"", "", ""], {}) == (shown(view), view.verdicts)


@pytest.mark.parametrize(("layout", "mode"), CASES)
def test_a_right_prediction_is_said_right(layout: str, mode: str) -> None:
    """What the walk through the circuit finds is right, in each layout and mode, and the panel opens in that mode."""
    view = Changeover(metering=layout, valve_position=mode)
    for name, answer in answered(layout, mode).items():
        view.controls[name].value = answer
    view.commit()
    assert {name: True for name in QUESTIONS} == view.verdicts
    assert (3, 0) == (view._judged.value.count("Right."), view._judged.value.count("Not right."))
    assert flow(reversible_circuit(MeteringLayout(layout)), ValvePosition(mode)) == view.flow
    assert view.pictures.circuit.image in within(view)
    assert all(picture.startswith(b"\x89PNG") for picture in pictures(view))


@pytest.mark.parametrize(("layout", "mode"), CASES)
@pytest.mark.parametrize("missed", QUESTIONS)
def test_a_wrong_prediction_is_said_wrong_with_the_reason(layout: str, mode: str, missed: str) -> None:
    """Only the missed one is wrong; the right answer stands beside it with a reason, and the panel opens all the same."""
    right = answered(layout, mode)
    for wrong in set(QUESTIONS[missed][1]) - {right[missed]}:
        view = Changeover(metering=layout, valve_position=mode)
        for name, answer in (right | {missed: wrong}).items():
            view.controls[name].value = answer
        view.commit()
        assert {name: name != missed for name in QUESTIONS} == view.verdicts
        assert 1 == view._judged.value.count("Not right.")
        assert f"<b>Not right.</b> {QUESTIONS[missed][0]} <b>{right[missed]}</b>: " in view._judged.value
        assert view.cycle is not None


@pytest.mark.parametrize(
    ("layout", "mode", "said"),
    [
        ("each-coil", "heating", "Your prediction for heating, one device at each coil:"),
        ("outdoor", "cooling", "Your prediction for cooling, one device outdoors:"),
        ("indoor", "heating", "Your prediction for heating, one device indoors:"),
    ],
)
def test_verdicts_say_what_they_are_about(layout: str, mode: str, said: str) -> None:
    """Mode and layout of the prediction stand over the verdicts, and stay when valve and layout are others."""
    view = Changeover(metering=layout, valve_position=mode)
    for name, answer in answered(layout, mode).items():
        view.controls[name].value = answer
    view.commit()
    assert said in view._judged.value
    view.set({"valve_position": MODES[mode == MODES[0]], "metering": "each-coil" if layout != "each-coil" else "indoor"})
    assert said in view._judged.value and view._judged.value.index(said) < view._judged.value.index("Right.")


def test_a_prediction_is_committed_once() -> None:
    """After the commitment the choices are closed, and a second commitment changes nothing."""
    view = Changeover()
    for name, (_, options) in QUESTIONS.items():
        view.controls[name].value = options[0]
    view.commit()
    verdicts, before = view.verdicts, shown(view)
    assert [True] * 4 == [widget.disabled for widget in (*(view.controls[name] for name in QUESTIONS), view._commit)]
    view.controls["condenser"].value = QUESTIONS["condenser"][1][1]
    view.commit()
    assert (verdicts, before) == (view.verdicts, shown(view))
