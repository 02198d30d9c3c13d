"""The changeover panel, driven by its controls without a browser."""

from __future__ import annotations

import threading

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import conditions_for, solve
from hpteach.errors import HpteachError
from hpteach.fluids import refrigerant
from hpteach.panels import Changeover
from hpteach.panels.changeover import BOTH, MODES, ONE, STEPS
from hpteach.panels.foresight import WAITING

LAYOUTS = [layout.value for layout in MeteringLayout]
CASES = [(layout, mode) for layout in LAYOUTS for mode in MODES]


def pictures(view: Changeover) -> list[bytes]:
    """The circuit drawing and both charts, as shown."""
    return [bytes(picture.image.value) for picture in (view.pictures.circuit, *view.pictures.charts.values())]


def shown(view: Changeover) -> list:
    """The three pictures, the table and the reading."""
    return [*pictures(view), view.table.value, view.reading.value]


def box_of(stamp: object) -> tuple:
    """Lower left and upper right corner in pixels of a label of a chart."""
    height, width = stamp._pixels.shape[:2]
    x, y = stamp.axes.transData.transform(stamp.xy) + stamp._offset * stamp.axes.figure.dpi / 72.0
    return (x - width / 2, y - height / 2), (x + width / 2, y + height / 2)


# The flip ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("layout", "mode"), CASES)
def test_flipping_the_valve_changes_everything_together(layout: str, mode: str) -> None:
    """The drawing, both charts, the table and the reading change, and each mode has the cycle of its own situation."""
    view = Changeover(predict=False, metering=layout, valve_position=MODES[mode == MODES[0]])
    before = shown(view)
    view.controls["valve_position"].value = mode
    assert [True] * 5 == [old != new for old, new in zip(before, shown(view))]
    circuit = reversible_circuit(MeteringLayout(layout))
    evaporating, condensing = {"cooling": (280.15, 318.15), "heating": (268.15, 315.15)}[mode]
    conditions = conditions_for(
        flow(circuit, ValvePosition(mode)),
        saturated_suction_temperature=evaporating,
        saturated_condensing_temperature=condensing,
        superheat=5.0,
        subcooling=5.0,
        isentropic_efficiency=0.7,
    )
    assert solve(refrigerant("R-410A"), conditions, circuit).points == view.cycle.points
    assert f"the {view.flow.condenser} condenses" in view.reading.value
    assert f"{view.flow.condenser}, liquid side" in view.table.value


def test_flipping_there_and_back_brings_the_same_pictures() -> None:
    """The pictures of a mode are the same to the byte after a turn there and back."""
    view = Changeover(predict=False)
    before = shown(view)
    view.controls["valve_position"].value = "cooling"
    view.controls["valve_position"].value = "heating"
    assert before == shown(view)


def test_each_mode_keeps_its_own_situation() -> None:
    """The sliders belong to the mode shown, and come back as they were left there, in both unit systems."""
    view = Changeover(predict=False, valve_position="cooling")
    view.set({"saturated_suction_temperature": 9.0, "saturated_condensing_temperature": 50.0})
    view.controls["valve_position"].value = "heating"
    assert (-5.0, 42.0) == tuple(view.controls[name].value for name in ("saturated_suction_temperature", "saturated_condensing_temperature"))
    view.controls["saturated_suction_temperature"].value = -10.0
    view.controls["units"].value = "IP"
    assert 14.0 == view.controls["saturated_suction_temperature"].value
    view.controls["valve_position"].value = "cooling"
    assert (48.2, 122.0) == tuple(view.controls[name].value for name in ("saturated_suction_temperature", "saturated_condensing_temperature"))
    assert "122.0 °F" not in view.reading.value and "psia" in view.reading.value


@pytest.mark.parametrize(
    ("control", "value"),
    [("refrigerant", "R-32"), ("saturated_suction_temperature", -12.0), ("saturated_condensing_temperature", 50.0), ("units", "IP")],
)
def test_every_control_moves_pictures_table_and_reading(control: str, value: object) -> None:
    """Refrigerant, temperatures and units change all five."""
    view = Changeover(predict=False)
    before = shown(view)
    view.controls[control].value = value
    assert (None, [True] * 5) == (view.refusal, [old != new for old, new in zip(before, shown(view))])


def test_another_metering_layout_changes_the_drawing_and_the_words() -> None:
    """The charts know nothing of the layout; the drawing and the reading do."""
    view = Changeover(predict=False)
    before = shown(view)
    view.controls["metering"].value = "outdoor"
    assert [True, False, False, False, True] == [old != new for old, new in zip(before, shown(view))]


def test_cautions_stand_in_the_reading() -> None:
    """The reading says who may work on it, and what to mind with a flammable refrigerant."""
    view = Changeover(predict=False, refrigerant="R-32")
    assert "under power only from its own controls" in view.reading.value
    assert refrigerant("R-32").listing.caution in view.reading.value


# Both modes laid over each other ----------------------------------------------------------


@pytest.mark.parametrize("mode", MODES)
def test_the_overlay_shows_both_modes_with_names(mode: str) -> None:
    """With the overlay both charts show both cycles in two looks, and the legend names them; without it, one."""
    view = Changeover(predict=False, valve_position=mode)
    alone = pictures(view)
    view.controls["overlay"].value = BOTH
    assert [False, True, True] == [old != new for old, new in zip(alone, pictures(view))]
    (scenes,) = view.pictures._scenes.kept.values()
    for kind, picture in view.pictures.charts.items():
        traces = scenes[kind].traces
        drawn = {artist for artist in picture._drawn}
        assert [True, True] == [set(trace.artists) <= drawn for trace in traces.values()]
        assert list(MODES) == [trace.label for trace in traces.values()]
        assert 2 == len({(trace.handle.get_linestyle(), trace.handle.get_marker()) for trace in traces.values()})
        assert list(traces[mode]._line.get_xdata()) != list(traces[MODES[mode == MODES[0]]]._line.get_xdata())
    assert "laid over each other" in view.reading.value
    before = shown(view)
    view.controls["valve_position"].value = MODES[mode == MODES[0]]
    assert [True] * 5 == [old != new for old, new in zip(before, shown(view))]
    view.set({"valve_position": mode, "overlay": ONE})
    assert alone == pictures(view)


def test_numbers_of_both_modes_stand_apart_on_the_high_side() -> None:
    """Where both modes condense nearly as warm, no number of a high-side point covers that of the other mode, and none is under a line."""
    view = Changeover(predict=False)
    view.controls["overlay"].value = BOTH
    (scenes,) = view.pictures._scenes.kept.values()
    for kind, picture in view.pictures.charts.items():
        stamps = [{name: box_of(label) for name, label in trace._labels.items()} for trace in scenes[kind].traces.values()]
        for name in ("2", "2a", "2b", "3"):
            (a_low, a_high), (b_low, b_high) = (one[name] for one in stamps)
            assert not all(min(a, b) > max(c, d) for a, b, c, d in zip(a_high, b_high, a_low, b_low)), (kind, name)
        orders = [artist.get_zorder() for artist in picture._drawn]
        assert sorted(orders) == orders


def test_an_overlay_whose_other_mode_cannot_be_solved_names_that_mode() -> None:
    """Where only the hidden mode is impossible, the refusal says which mode it is, and the pictures fade."""
    view = Changeover(predict=False, cooling=("20C", "16C"))
    good = pictures(view)
    view.controls["overlay"].value = BOTH
    assert view.refusal.startswith("in cooling, which is to be laid over, saturated condensing temperature of 16.0 °C")
    assert [True] * 3 == [old != new for old, new in zip(good, pictures(view))]
    view.controls["overlay"].value = ONE
    assert (None, good) == (view.refusal, pictures(view))


# Slow motion ------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", MODES)
def test_slow_motion_goes_step_by_step_to_the_other_mode(mode: str) -> None:
    """Five steps lead to the other mode: roles are lost between, swapped on arrival, and a cycle is back when steady."""
    other = MODES[mode == MODES[0]]
    view, straight = (Changeover(predict=False, valve_position=mode) for _ in range(2))
    straight.controls["valve_position"].value = other
    positions, cycles, seen = [], [], [shown(view)]
    for number in range(1, 6):
        view.step()
        assert number == view.controls["travel"].value
        assert STEPS[number].split(" ", 1)[1] in view._story.value and "common practice, no source" in view._story.value
        positions.append(view.flow.valve_position.value)
        cycles.append(view.cycle is not None)
        seen.append(shown(view))
    assert [mode, "between", "between", other, other] == positions
    assert [True, False, False, False, True] == cycles
    drawings = [one[0] for one in seen]
    assert 5 == len(set(drawings)) and drawings[0] == drawings[1]
    assert seen[2][1:3] == seen[3][1:3] == seen[4][1:3] != seen[1][1:3]
    assert shown(straight) == shown(view)
    assert other == view.controls["valve_position"].value


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (1, "Nothing equalises yet"),
        (2, "18.60 bar to push with"),
        (3, "High and low pressure run towards each other"),
        (4, "the roles are swapped: the discharge now leads to the outdoor coil"),
        (5, "steady in cooling"),
    ],
)
def test_each_step_says_what_equalises(step: int, said: str) -> None:
    """Turning from heating, a step says what happens to the pressures; no state point stands in the table on the way."""
    view = Changeover(predict=False)
    view.controls["travel"].value = step
    assert said in view._story.value
    assert (2 <= step <= 4) == ("none are computed" in view.table.value) == ("not computed" in view._story.value)


@pytest.mark.parametrize("control", ["saturated_suction_temperature", "saturated_condensing_temperature", "refrigerant", "metering", "units"])
def test_controls_rest_while_the_spool_travels(control: str) -> None:
    """Nothing that makes another machine can be chosen in the middle of a changeover."""
    view, resting = Changeover(predict=False), []
    for _ in range(5):
        view.step()
        resting.append(view.controls[control].disabled)
    assert [False, True, True, True, False] == resting
    view.controls["travel"].value = 3
    view.controls["valve_position"].value = "cooling"
    assert not view.controls[control].disabled


def test_sliders_are_those_of_the_other_mode_after_the_travel() -> None:
    """No temperature can be set while there is no steady cycle; afterwards the sliders are those of the other mode."""
    view = Changeover(predict=False)
    resting = []
    for _ in range(5):
        view.step()
        resting.append(view.controls["saturated_suction_temperature"].disabled)
    assert [False, True, True, True, False] == resting
    assert 7.0 == view.controls["saturated_suction_temperature"].value


def test_the_way_back_begins_after_the_last_step() -> None:
    """A further step after the last begins the changeover back; a slider drawn back runs the first one backwards."""
    view = Changeover(predict=False)
    view.controls["travel"].value = 5
    view.controls["travel"].value = 4
    assert ("heating", "cooling") == (view.controls["valve_position"].value, view.flow.valve_position.value)
    view.step()
    view.step()
    assert (1, "cooling") == (view.controls["travel"].value, view.flow.valve_position.value)
    assert "the cycle runs on in cooling" in view._story.value


def test_flipping_in_the_middle_ends_the_slow_motion() -> None:
    """The valve's buttons bring a steady mode at once, from wherever the spool was."""
    view = Changeover(predict=False)
    view.controls["travel"].value = 3
    view.controls["valve_position"].value = "cooling"
    assert (0, "", "outdoor coil") == (view.controls["travel"].value, view._story.value, view.flow.condenser)


# Refusals ---------------------------------------------------------------------------------


def close_pressures() -> Changeover:
    """A machine in cooling whose pressures lie 0.4 bar apart."""
    return Changeover(predict=False, valve_position="cooling", subcooling="0K", cooling=("20C", "21C"))


def test_a_valve_without_pressure_difference_stays_where_it_stands() -> None:
    """Below the least pressure difference the status line says why, and nothing else changes; further apart, it turns."""
    view = close_pressures()
    before = shown(view)
    view.controls["valve_position"].value = "heating"
    assert view.refusal is None and "pressure difference" in view.status.value
    assert ("cooling", before) == (view.controls["valve_position"].value, shown(view))
    view.set({"valve_position": "heating"})
    assert "pressure difference" in view.status.value
    view.controls["saturated_condensing_temperature"].value = 40.0
    assert view.refusal is None and "pressure difference" not in view.status.value
    view.controls["valve_position"].value = "heating"
    assert (None, "indoor coil") == (view.refusal, view.flow.condenser)


def test_a_spool_that_stays_loses_no_prediction() -> None:
    """With predict first, the reason is said at once, and the verdict comes beside it when the prediction is committed."""
    view = close_pressures()
    view.foresee.value = True
    view.controls["valve_position"].value = "heating"
    assert "pressure difference" in view.status.value and WAITING in view.status.value
    view.foresight.quantity.value = "the coil that condenses"
    view.foresight.expected.value = "indoor coil"
    view.foresight._commit.click()
    assert (None, "cooling") == (view.refusal, view.flow.valve_position.value)
    assert "pressure difference" in view.status.value and "Not right." in view.foresight._verdict.value
    assert "hpteach-faded" not in view.table._dom_classes
    view.foresee.value = False
    assert "pressure difference" not in view.status.value


def test_everything_fades_while_a_prediction_waits() -> None:
    """The picture of before is faded until the prediction is committed, and then as if nobody had predicted."""
    view, plain = Changeover(predict=False), Changeover(predict=False)
    good = pictures(view)
    view.foresee.value = True
    view.controls["valve_position"].value = plain.controls["valve_position"].value = "cooling"
    assert [True] * 3 == [old != new for old, new in zip(good, pictures(view))]
    assert "hpteach-faded" in view.table._dom_classes
    view.foresight.expected.value = "outdoor coil"
    view.foresight._commit.click()
    assert shown(plain) == shown(view) and "hpteach-faded" not in view.table._dom_classes


@pytest.mark.parametrize("step", [2, 3, 4, 5])
def test_without_pressure_difference_only_the_pilot_valve_moves(step: int) -> None:
    """In slow motion the spool goes no further than the first step, with the reason in the status line."""
    view = close_pressures()
    view.controls["travel"].value = step
    assert (1, "cooling") == (view.controls["travel"].value, view.flow.valve_position.value)
    assert "pressure difference" in view.status.value


@pytest.mark.parametrize("step", [3, 4, 5])
def test_a_travelling_spool_is_asked_again(step: int) -> None:
    """With another refrigerant, at a pressure difference that the valve refuses, the spool does not arrive."""
    view = Changeover(predict=False, subcooling="1K", heating=("10C", "15C"))
    view.controls["travel"].value = 2
    assert (None, 2) == (view.refusal, view.controls["travel"].value)
    view.controls["refrigerant"].value = "R-134a"
    assert (1, "heating") == (view.controls["travel"].value, view.flow.valve_position.value)
    assert "pressure difference" in view.status.value
    view.controls["travel"].value = step
    assert (1, "heating") == (view.controls["travel"].value, view.flow.valve_position.value)
    assert "pressure difference" in view.status.value


def test_a_spool_that_has_come_home_stays_with_another_refrigerant() -> None:
    """Steady the other way, a refrigerant that could not have pushed the spool there moves nothing."""
    view = Changeover(predict=False, subcooling="1K", heating=("10C", "15C"))
    view.controls["travel"].value = 5
    view.controls["refrigerant"].value = "R-134a"
    assert (None, 5, "cooling") == (view.refusal, view.controls["travel"].value, view.flow.valve_position.value)


def test_an_impossible_state_fades_everything_and_recovers() -> None:
    """Suction above condensing: the sentence in the status line, pictures and table faded, and back again."""
    view = Changeover(predict=False)
    good = shown(view)
    view.set({"saturated_suction_temperature": 25.0, "saturated_condensing_temperature": 15.0})
    assert "not above the saturated suction temperature" in view.status.value
    assert [True] * 3 == [old != new for old, new in zip(good, pictures(view))]
    assert "hpteach-faded" in view.table._dom_classes
    view.set({"saturated_suction_temperature": -5.0, "saturated_condensing_temperature": 42.0})
    assert (None, good) == (view.refusal, shown(view))
    assert "hpteach-faded" not in view.table._dom_classes


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"refrigerant": "R-11"}, "refrigerant 'R-11'"),
        ({"valve_position": "between"}, "heating or from cooling"),
        ({"valve_position": "defrost"}, "valve position"),
        ({"heating": ("40C", "50C")}, "in heating is outside the panel"),
        ({"cooling": ("7", "45C")}, "temperature"),
        ({"units": "CGS"}, "unit system"),
        ({"metering": "two"}, "metering layout"),
        ({"superheat": "-5K"}, "superheat of -5.* is negative"),
        ({"subcooling": "-5K"}, "subcooling of -5.* is negative"),
        ({"subcooling": "60K"}, "subcooling of 60"),
        ({"isentropic_efficiency": 0.0}, "isentropic efficiency of 0 "),
        ({"isentropic_efficiency": 1.5}, "isentropic efficiency of 1.5 "),
        # Only the mode that does not show first is impossible.
        ({"valve_position": "heating", "cooling": ("20C", "24C")}, "subcooling of 5"),
    ],
)
def test_a_panel_that_cannot_start_is_refused(words: dict, said: str) -> None:
    """A lesson that asks for an impossible panel gets a sentence, not a broken panel."""
    with pytest.raises(HpteachError, match=said):
        Changeover(**words)


# Two hands --------------------------------------------------------------------------------


def test_two_hands_leave_one_whole_state() -> None:
    """With one thread stepping the spool and another changing layout and overlay, all that is shown is of one state."""
    view = Changeover(predict=False)

    def steps() -> None:
        for _ in range(25):
            view.step()

    def others() -> None:
        for _ in range(8):
            for name, value in (("metering", "outdoor"), ("overlay", BOTH), ("metering", "each-coil"), ("overlay", ONE)):
                view.controls[name].value = value

    threads = [threading.Thread(target=steps), threading.Thread(target=others)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    fresh = Changeover(predict=False)
    fresh.controls["travel"].value = 5
    assert fresh.cycle.points == view.cycle.points
    assert (fresh.refusal, shown(fresh)) == (view.refusal, shown(view))
