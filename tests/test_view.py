"""What every panel has for the class: keys, larger type, the picture code, predict first."""

from __future__ import annotations

import io
import random

import numpy as np
import pytest
from PIL import Image

from hpteach.live import LiveFigure
from hpteach.panels import AirAtTheCoil, Changeover, ClaimsOnTrial, Comparison, CycleExplorer, FeltLines, Frost, GaugeReading, GlideView, SeasonOfHouse, TemperaturePressure, View, Weather, WhatIsWrong
from hpteach.panels.parts import turned
from hpteach.panels.unit_choice import forget_shared_choice

PANELS = {
    "air at the coil": lambda: AirAtTheCoil(),
    "explorer": lambda: CycleExplorer(),
    "changeover": lambda: Changeover(predict=False),
    "temperature and pressure": lambda: TemperaturePressure(),
    "glide": lambda: GlideView(),
    "gauges": lambda: GaugeReading(),
    "comparison": lambda: Comparison(),
    "felt lines": lambda: FeltLines(),
    "weather": lambda: Weather(machine="R-32-variable-speed"),
    "frost": lambda: Frost(),
    "season": lambda: SeasonOfHouse(auxiliary="boiler"),
    "what is wrong": lambda: WhatIsWrong(),
    "claims": lambda: ClaimsOnTrial(),
}
ALL = pytest.mark.parametrize("name", PANELS)


def elsewhere(name: str) -> View:
    """A panel of another learner, whose units are chosen apart."""
    forget_shared_choice()
    return PANELS[name]()


def live_figures(view: View) -> list[LiveFigure]:
    """Every live picture of a panel, wherever it keeps them."""
    found, seen = [], [vars(view)]
    while seen:
        for value in seen.pop().values():
            if isinstance(value, LiveFigure):
                found.append(value)
            elif isinstance(value, dict) and all(isinstance(one, LiveFigure) for one in value.values()):
                found += value.values()
            elif type(value).__module__.endswith("_pictures"):
                seen.append(vars(value))
    return found


def pictures(view: View) -> list[bytes]:
    """The pictures as shown."""
    return [bytes(live.image.value) for live in live_figures(view)]


def dark(picture: bytes) -> int:
    """How many pixels are not paper."""
    return int((np.asarray(Image.open(io.BytesIO(picture)).convert("L")) < 160).sum())


# Keys ---------------------------------------------------------------------------------------


@ALL
def test_every_control_has_a_key_of_its_own(name: str) -> None:
    """Each key names a control, each control of the panel has a key, and the browser is told to listen to them."""
    view = PANELS[name]()
    asked_first = ("condenser", "check_valve", "metering_device") if name == "changeover" else ()
    assert sorted(set(view.controls) - set(asked_first)) == sorted(view.KEYS.values())
    assert {*view.KEYS, *(key.upper() for key in view.KEYS), "1", "2", "3"} == set(view.keyboard.listens_to)


@ALL
def test_a_key_moves_its_control_and_shift_moves_it_back(name: str) -> None:
    """Each key changes its control by one step, and with Shift the control is where it was."""
    view = PANELS[name]()
    for key, control in view.KEYS.items():
        before = view.controls[control].value
        view.keyboard.press(key)
        assert before != view.controls[control].value, control
        view.keyboard.press(key.upper())
        assert before == view.controls[control].value, control


def test_a_slider_stays_at_its_end() -> None:
    """A key at the end of a slider leaves it there."""
    view = CycleExplorer(subcooling="25K")
    view.key("s")
    assert 25.0 == view.controls["subcooling"].value


def test_a_key_that_is_none_does_nothing() -> None:
    """Another key moves nothing."""
    view = CycleExplorer()
    code = view.write_code()
    view.keyboard.press("q")
    view.keyboard.press("")
    assert code == view.write_code()


# The picture code -------------------------------------------------------------------------


def walked(view: View, drawn: random.Random, names: list[str]) -> None:
    """Some steps of some controls, either way."""
    for _ in range(drawn.randrange(1, 9)):
        turned(view.controls[drawn.choice(names)], backwards=drawn.random() < 0.5)


def close(first: bytes, second: bytes) -> bool:
    """Whether two pictures are the same but for the shades of their palettes, and a label that kept to its side while it was moved."""
    grey = [np.asarray(Image.open(io.BytesIO(one)).convert("L")).astype(int) for one in (first, second)]
    return bool((np.abs(grey[0] - grey[1]) > 60).mean() < 0.004)


@pytest.mark.parametrize("units", ["SI", "IP"])
@ALL
def test_a_code_brings_another_panel_to_the_same_picture(name: str, units: str) -> None:
    """From random walks of the keys the code gives the same controls, table, reading and pictures."""
    drawn = random.Random(name)
    view, other = PANELS[name](), elsewhere(name)
    if "units" in view.controls:
        view.controls["units"].value = units
        view.set({control: round(view.controls[control].value) for control, _ in view.numbers()})
    names = [control for control in view.KEYS.values() if control not in ("units", "side")]  # a side has numbers of its own, in SI
    compared = 0
    for _ in range(5):
        walked(view, drawn, names)
        if view.refusal or not view.code.value:  # a reading beyond what the next refrigerant's gauge shows has no code
            continue
        compared += 1
        other.code.value = view.code.value
        assert view.code.value == view.write_code() == other.write_code()
        assert {control: view.controls[control].value for control in names} == {control: other.controls[control].value for control in names}
        assert other.refusal is None and view.reading.value == other.reading.value
        assert [True] * len(pictures(view)) == [close(*pair) for pair in zip(pictures(view), pictures(other))]
    assert compared >= 2


@pytest.mark.parametrize("name", [name for name in PANELS if name != "felt lines"])
def test_a_number_between_two_steps_is_kept(name: str) -> None:
    """A number that came from the other unit system is kept to a thousandth of a step."""
    drawn = random.Random(name)
    view, other = PANELS[name](), elsewhere(name)
    for _ in range(5):
        walked(view, drawn, list(view.KEYS.values()))
        if view.refusal is None and view.code.value:
            other.code.value = view.code.value
            for (control, number), (_, found) in zip(view.numbers(), other.numbers()):
                assert abs(number - found) <= view.span(control)[2] / 1999, control


def test_a_code_is_short_enough_for_the_board() -> None:
    """The longest panel's code has at most eleven characters, and twenty-one where numbers came from the other unit system."""
    view = Changeover(predict=False)
    assert len(CycleExplorer().write_code().replace("-", "")) <= 11 >= len(view.write_code().replace("-", ""))
    view.controls["units"].value = "IP"
    assert len(CycleExplorer(units="IP").write_code().replace("-", "")) <= 21 >= len(view.write_code().replace("-", ""))


@pytest.mark.parametrize("typed", ["zzzz-zzzz", "what?", "H8P"])
def test_a_wrong_code_moves_nothing_and_says_why(typed: str) -> None:
    """The picture stays as it is, unfaded, and the status line has the reason."""
    view = CycleExplorer()
    before = (view.write_code(), pictures(view))
    view.code.value = typed
    assert before == (view.write_code(), pictures(view))
    assert "picture code" in view.status.value and "hpteach-refused" in view.status.value
    view.key("h")
    assert "hpteach-refused" not in view.status.value


def test_a_code_of_another_panel_is_refused() -> None:
    """The code of the glide panel is not one of the explorer."""
    view = CycleExplorer()
    view.code.value = GlideView().write_code()
    assert "not one of this panel" in view.status.value


@ALL
def test_the_picture_of_the_start_comes_back(name: str) -> None:
    """After some moves one key brings back the first picture; the units that are read stay, and turned back they show it as it was."""
    view = PANELS[name]()
    first, seen = (view.write_code(), view.reading.value), pictures(view)
    for key in view.KEYS:
        view.key(key)
    view.key("2")
    if "units" in view.controls:
        assert "IP" == view.system
        view.controls["units"].value = "SI"
    assert first == (view.write_code(), view.reading.value)
    assert [True] * len(seen) == [close(*pair) for pair in zip(seen, pictures(view))]


def test_the_changeover_keeps_both_modes_in_its_code() -> None:
    """The code holds the temperatures of the mode that is not shown too."""
    view, other = Changeover(predict=False), Changeover(predict=False)
    view.controls["saturated_suction_temperature"].value = -9.5
    view.controls["valve_position"].value = "cooling"
    view.controls["saturated_condensing_temperature"].value = 50.5
    other.code.value = view.code.value
    other.controls["valve_position"].value = "heating"
    assert -9.5 == other.controls["saturated_suction_temperature"].value
    other.controls["valve_position"].value = "cooling"
    assert 50.5 == other.controls["saturated_condensing_temperature"].value


# Larger -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in PANELS if name != "felt lines"])
def test_larger_draws_larger_and_comes_back(name: str) -> None:
    """Larger for the room puts more ink in every chart, marks the panel for its style sheet, and goes away without a trace."""
    view = PANELS[name]()
    before = pictures(view)
    view.key("1")
    assert view.larger.value and "hpteach-large" in view._dom_classes
    charts = {"changeover": slice(1, None), "what is wrong": slice(2)}.get(name, slice(None))  # the circuit is shown wider instead
    assert {True} == {dark(after) > 1.1 * dark(was) for was, after in zip(before[charts], pictures(view)[charts])}
    view.key("1")
    assert before == pictures(view) and "hpteach-large" not in view._dom_classes


@pytest.mark.parametrize("name", [name for name in PANELS if name != "felt lines"])
def test_a_screen_of_high_density_gets_more_pixels(name: str) -> None:
    """When the browser says that it has two pixels on one, every picture is drawn with twice the width, sharp, and stays so."""
    view = PANELS[name]()
    lives = live_figures(view)
    lives[0].image.density = 2.0
    sizes = [live.figure.get_size_inches() * 200.0 for live in lives]
    for live, (across, up) in zip(lives, sizes):
        assert (round(across), round(up)) == Image.open(io.BytesIO(live.image.value)).size == (live.image.width, live.image.height)
    before = pictures(view)
    view.key(next(iter(view.KEYS)))
    assert before != pictures(view)


# Predict first ----------------------------------------------------------------------------


def test_nothing_moves_before_the_prediction() -> None:
    """A move fades the picture and leaves table and reading; the commitment without a choice is refused; then it moves and is judged."""
    view = CycleExplorer()
    view.key("3")
    table, reading = view.table.value, view.reading.value
    view.controls["superheat"].value = 12.0
    assert (table, reading) == (view.table.value, view.reading.value)
    assert "hpteach-faded" in view.table._dom_classes and "still the one before" in view.status.value
    view.foresight._commit.click()
    assert "choose first" in view.status.value and table == view.table.value
    view.foresight.quantity.value = "the discharge temperature T2"
    view.foresight.expected.value = "rises"
    view.foresight._commit.click()
    assert table != view.table.value and "hpteach-faded" not in view.table._dom_classes
    assert "Right." in view.foresight._verdict.value and 12.0 == round(view.cycle.conditions.superheat, 6)


def test_several_moves_make_one_prediction() -> None:
    """All controls may move before the commitment; the verdict is on all of it."""
    view = CycleExplorer()
    view.key("3")
    view.controls["saturated_suction_temperature"].value = 2.0
    view.controls["saturated_condensing_temperature"].value = 50.0
    view.foresight.quantity.value = "the pressure ratio"
    view.foresight.expected.value = "falls"
    view.foresight._commit.click()
    assert "Not right." in view.foresight._verdict.value and "it rises" in view.foresight._verdict.value


def test_a_refused_state_is_no_verdict() -> None:
    """Where the moved controls are impossible, the reason is said, the prediction stays open, and can be committed once mended."""
    view = CycleExplorer()
    view.key("3")
    view.set({"saturated_suction_temperature": 20.0, "saturated_condensing_temperature": 15.0})
    view.foresight.expected.value = "falls"
    view.foresight._commit.click()
    assert view.refusal and "" == view.foresight._verdict.value
    view.set({"saturated_condensing_temperature": 40.0})
    view.foresight.expected.value = "falls"
    view.foresight._commit.click()
    assert view.refusal is None and view.foresight._verdict.value


@ALL
def test_every_panel_can_be_predicted(name: str) -> None:
    """Each panel offers quantities; a key moves it, the right expectation is right, and leaving the mode shows all at once."""
    view = PANELS[name]()
    before = dict(view.told())
    view.key("3")
    key = {"changeover": "v", "felt lines": "v", "season": "m", "what is wrong": "f", "claims": "c"}.get(name, "r")
    view.key(key)
    scout = PANELS[name]()
    scout.key(key)
    after = scout.told()
    for quantity in before:
        if quantity in after and quantity in view.foresight.quantity.options:
            view.foresight.quantity.value = quantity
            view.foresight.expected.value = before[quantity].becomes(after[quantity])
            break
    view.foresight._commit.click()
    assert "Right." in view.foresight._verdict.value
    view.key(key)
    view.key("3")
    assert "none" == view.foresight.layout.display and "still the one before" not in view.status.value


def test_a_code_opens_without_a_prediction() -> None:
    """The instructor's code is the picture, also while predictions are asked for."""
    other = CycleExplorer()
    other.key("h")
    view = CycleExplorer()
    view.key("3")
    view.key("s")
    view.code.value = other.write_code()
    assert pictures(other) == pictures(view) and "still the one before" not in view.status.value


def test_larger_waits_with_the_picture() -> None:
    """Larger type while a prediction waits shows nothing new; after the commitment the picture is larger."""
    view = CycleExplorer()
    view.key("3")
    view.key("h")
    table, drawn = view.table.value, pictures(view)
    view.key("1")
    view._pictures["pressure-enthalpy"].image.density = 2.0
    assert table == view.table.value and "still the one before" in view.status.value
    view.foresight.expected.value = "rises"
    view.foresight._commit.click()
    assert table != view.table.value and dark(pictures(view)[0]) > 1.1 * dark(drawn[0])


@pytest.mark.parametrize("name", [name for name in PANELS if name != "felt lines"])
def test_turning_the_units_changes_no_quantity(name: str) -> None:
    """Who turns the units and expects everything to stay as it is, is right, and is told so in the new units."""
    view = PANELS[name]()
    view.key("3")
    view.key("u")
    view.foresight.expected.value = "stays as it is" if "stays as it is" in view.foresight.expected.options else view.foresight.expected.options[0]
    view.foresight._commit.click()
    assert "Right." in view.foresight._verdict.value and "°C" not in view.foresight._verdict.value


def test_the_note_of_a_panel_is_said_after_a_prediction_too() -> None:
    """What is left out of the picture stands in the status line, with and without a prediction."""
    plain, asked = TemperaturePressure(), TemperaturePressure()
    plain.controls["temperature"].value = -10.0
    asked.key("3")
    asked.controls["temperature"].value = -10.0
    asked.foresight.expected.value = "falls"
    asked.foresight._commit.click()
    assert "Left out" in plain.status.value and plain.status.value == asked.status.value


def test_the_start_comes_back_also_where_it_was_refused() -> None:
    """A panel that starts refused goes back to just that start."""
    view = CycleExplorer(evaporating="20C", condensing="15C")
    assert view.refusal and "" == view.code.value and "no code" in view.code.placeholder
    view.controls["saturated_condensing_temperature"].value = 45.0
    assert view.refusal is None and view.code.value
    view.key("2")
    assert view.refusal and 15.0 == view.controls["saturated_condensing_temperature"].value


def test_the_same_code_clears_a_wrong_one() -> None:
    """After a mistyped code the right one is read, though it is that of the picture already shown."""
    view = CycleExplorer()
    code = view.code.value
    view.code.value = "zzz9"
    assert "hpteach-refused" in view.status.value
    view.code.value = code
    assert "hpteach-refused" not in view.status.value


def test_a_refused_picture_stays_when_the_screen_is_dense() -> None:
    """More pixels for a refused state redraw the last good picture, faded, and do not empty it."""
    view = CycleExplorer()
    view.set({"saturated_suction_temperature": 20.0, "saturated_condensing_temperature": 15.0})
    lives = live_figures(view)
    before = [len(live.image.patch) for live in lives]
    lives[0].image.density = 2.0
    assert [True, True] == [live.image.faded and len(live.image.patch) > 2 * was for live, was in zip(lives, before)]


def test_keys_before_the_panel_is_open_do_nothing() -> None:
    """A changeover that still asks its questions hears no key."""
    view = Changeover()
    for key in "123v":
        view.key(key)
    assert "heating" == view.controls["valve_position"].value
