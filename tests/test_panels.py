"""The panels, driven by their controls without a browser."""

from __future__ import annotations

import threading
from html import escape

import pytest

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.errors import HpteachError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.panels import CycleExplorer, installation_check
from hpteach.questions import deal, read_bank
from hpteach.readouts import cautions


def pictures(view: CycleExplorer) -> list[bytes]:
    """What both image widgets show."""
    return [bytes(picture.image.value) for picture in view._pictures.values()]


def charts_of(view: CycleExplorer) -> list:
    """The charts that the panel shows now."""
    return [scene.chart for scene in list(view._kept.kept.values())[-1].values()]


@pytest.mark.parametrize("name", catalogue())
@pytest.mark.parametrize("position", ["cooling", "heating"])
def test_the_explorer_shows_the_solved_cycle(name: str, position: str) -> None:
    """The panel's cycle is the library's cycle for the same conditions, and the table holds its numbers."""
    condensing = 24.0 if name == "R-744" else 44.0
    view = CycleExplorer(refrigerant=name, valve_position=position, evaporating="2C", condensing=f"{condensing}C")
    towards = {"cooling": "indoor coil", "heating": "outdoor coil"}[position]
    expected = solve(refrigerant(name), Conditions(ValvePosition(position), towards, 275.15, condensing + 273.15, 5.0, 5.0, 0.7))
    assert expected.points == view.cycle.points
    assert f"{expected.point(2).temperature - 273.15:.1f}" in view.table.value


@pytest.mark.parametrize(
    ("control", "value"),
    [
        ("refrigerant", "R-32"),
        ("saturated_suction_temperature", -5.0),
        ("saturated_condensing_temperature", 50.0),
        ("superheat", 12.0),
        ("subcooling", 1.0),
        ("isentropic_efficiency", 0.9),
        ("units", "IP"),
    ],
)
def test_every_control_moves_both_pictures_table_and_reading(control: str, value: object) -> None:
    """A change of one control changes both pictures, the table and the reading."""
    view = CycleExplorer()
    before = [*pictures(view), view.table.value, view.reading.value]
    view.controls[control].value = value
    after = [*pictures(view), view.table.value, view.reading.value]
    assert view.refusal is None
    assert [True] * 4 == [old != new for old, new in zip(before, after)]


def test_turning_the_valve_moves_places_and_not_points() -> None:
    """From cooling to heating the pictures stay as they are; the places in the table change."""
    view = CycleExplorer()
    before, table = pictures(view), view.table.value
    view.controls["valve_position"].value = "heating"
    assert before == pictures(view) and table != view.table.value


def test_turning_the_units_keeps_every_state() -> None:
    """SI to IP and back leaves the conditions and the controls as they were."""
    view = CycleExplorer(evaporating="-35C", condensing="65C", superheat="25K")
    before = view.cycle
    values = {name: control.value for name, control in view.controls.items()}
    view.controls["units"].value = "IP"
    for name in ("saturated_suction_temperature", "saturated_condensing_temperature", "superheat", "subcooling"):
        assert getattr(before.conditions, name) == pytest.approx(getattr(view.cycle.conditions, name), abs=1e-9)
    view.controls["units"].value = "SI"
    assert values == {name: control.value for name, control in view.controls.items()}


def test_an_impossible_combination_fades_the_last_picture_and_says_why() -> None:
    """Suction above condensing: the sentence stands in the status line, the pictures fade, and both recover."""
    view = CycleExplorer()
    good = pictures(view)
    view.set({"saturated_suction_temperature": 25.0, "saturated_condensing_temperature": 15.0})
    assert "not above the saturated suction temperature" in view.refusal
    assert "not above" in view.status.value and good != pictures(view)
    assert "hpteach-faded" in view.table._dom_classes and "hpteach-faded" in view.reading._dom_classes
    view.set({"saturated_suction_temperature": 7.0, "saturated_condensing_temperature": 45.0})
    assert view.refusal is None and good == pictures(view)
    assert "hpteach-faded" not in view.table._dom_classes


def test_a_panel_that_starts_refused_says_why_and_can_be_mended() -> None:
    """A start above condensing shows the sentence at once, and a better slider value brings the picture."""
    view = CycleExplorer(evaporating="20C", condensing="16C")
    assert "not above" in view.refusal and view.cycle is None
    view.controls["saturated_condensing_temperature"].value = 45.0
    assert view.refusal is None and view.cycle is not None


def test_a_question_beyond_the_sliders_is_refused() -> None:
    """A scenario that a slider would move to its end is refused, not shown wrongly."""
    from dataclasses import replace

    variant = deal(read_bank().question("predict-which-coil"), 1)
    hot = solve(refrigerant("R-32"), Conditions(ValvePosition.COOLING, "indoor coil", 280.15, 341.15))
    with pytest.raises(HpteachError, match="outside the panel"):
        CycleExplorer.for_question(replace(variant, cycle=hot))


def test_a_discharge_beyond_the_window_widens_it() -> None:
    """A very hot discharge is still drawn inside the axes, and labelled."""
    view = CycleExplorer(refrigerant="R-410A", evaporating="-30C", condensing="60C", isentropic_efficiency=0.45)
    assert view.refusal is None
    assert all(chart.covers(view.cycle) for chart in charts_of(view))


def test_a_refrigerant_shown_before_comes_back_as_it_was() -> None:
    """After another refrigerant and other units the first pictures return, to the byte, without a new chart."""
    view = CycleExplorer(refrigerant="R-410A")
    first, charts = pictures(view), charts_of(view)
    view.controls["refrigerant"].value = "R-32"
    assert [True, True] == [old != new for old, new in zip(first, pictures(view))]
    view.controls["units"].value = "IP"
    view.controls["units"].value = "SI"
    view.controls["refrigerant"].value = "R-410A"
    assert first == pictures(view)
    assert charts == charts_of(view)


@pytest.mark.parametrize("name", catalogue())
def test_the_explorer_shows_the_cautions(name: str) -> None:
    """The reading ends with what to mind with the refrigerant."""
    condensing = "25C" if name == "R-744" else "45C"
    reading = CycleExplorer(refrigerant=name, evaporating="0C", condensing=condensing).reading.value
    assert [True] * len(cautions(listing(name))) == [escape(caution) in reading for caution in cautions(listing(name))]


def test_charts_kept_ready_are_few() -> None:
    """However many refrigerants were shown, a picture holds the axes of eight at most."""
    view = CycleExplorer(condensing="25C", evaporating="-5C")
    for name in catalogue():
        view.controls["refrigerant"].value = name
    assert 8 == len(view._kept.kept)
    assert [8, 8] == [len(picture.figure.axes) for picture in view._pictures.values()]


def test_the_start_of_a_question_is_the_question() -> None:
    """The key for the start brings the question's sliders back, not those of a panel without a question."""
    view = CycleExplorer.for_question(deal(read_bank().question("predict-which-coil"), 1))
    before = (view.write_code(), view.cycle.points)
    view.set({"superheat": 17.5, "saturated_condensing_temperature": 61.0, "refrigerant": "R-134a"})
    assert before != (view.write_code(), view.cycle.points)
    view.key("2")
    assert before == (view.write_code(), view.cycle.points)


def test_nothing_is_kept_of_a_refused_state() -> None:
    """In a refused state keep goes back to off and says why; mended, the panel shows its cycle without a kept one."""
    view = CycleExplorer()
    view.set({"saturated_suction_temperature": 20.0, "saturated_condensing_temperature": 15.0})
    view.controls["keep"].value = "on"
    assert "off" == view.controls["keep"].value
    assert view.refusal in view.status.value and "Nothing is kept" in view.status.value
    view.set({"saturated_suction_temperature": 0.0, "saturated_condensing_temperature": 45.0})
    assert (None, None, "") == (view.refusal, view.kept, view.note())
    view.controls["keep"].value = "on"
    assert view.kept.points == view.cycle.points


def test_nothing_is_kept_when_keep_and_mended_sliders_come_together() -> None:
    """Set at once with sliders that mend the state, keep has no cycle yet: it goes back to off, and the note says so."""
    view = CycleExplorer(evaporating="20C", condensing="16C")
    view.set({"keep": "on", "saturated_condensing_temperature": 45.0})
    assert (None, "off", None) == (view.refusal, view.controls["keep"].value, view.kept)
    assert "Nothing is kept" in view.status.value
    view.controls["superheat"].value = 6.0
    assert "Nothing is kept" not in view.status.value


def test_a_kept_cycle_that_the_refrigerant_does_not_have_is_left_out() -> None:
    """Kept at 60 °C, R-744 shows its own cycle at 20 °C and says what is left out; the kept one comes back with its refrigerant."""
    view = CycleExplorer(condensing="60C")
    view.controls["keep"].value = "on"
    view.set({"refrigerant": "R-744", "saturated_condensing_temperature": 20.0})
    assert (None, None, "R-744") == (view.refusal, view.kept, view.cycle.refrigerant)
    assert view.note().startswith("The kept cycle is left out: ") and "60.0 °C" in view.note() and escape(view.note()) in view.status.value
    view.controls["refrigerant"].value = "R-410A"
    assert ("", 333.15) == (view.note(), view.kept.conditions.saturated_condensing_temperature)


def test_what_is_kept_while_a_prediction_waits_is_the_cycle_shown() -> None:
    """With sliders moved and nothing shown yet, keep takes the cycle of the picture."""
    view = CycleExplorer()
    view.foresee.value = True
    before = view.cycle
    view.controls["saturated_condensing_temperature"].value = 55.0
    view.controls["keep"].value = "on"
    assert view.cycle is before
    view.foresight.expected.value = "rises"
    view.foresight._commit.click()
    assert before.points == view.kept.points
    assert 328.15 == view.cycle.conditions.saturated_condensing_temperature


def test_a_code_with_a_kept_cycle_is_taken_up_in_a_refused_state() -> None:
    """The numbers of the kept cycle come with the code, whatever the panel showed before."""
    view, other = CycleExplorer(), CycleExplorer(evaporating="20C", condensing="16C")
    view.controls["keep"].value = "on"
    view.controls["superheat"].value = 12.0
    other.go_to(view.write_code())
    assert (None, "on", view.kept.points, view.cycle.points) == (other.refusal, other.controls["keep"].value, other.kept.points, other.cycle.points)


def test_scenes_of_another_density_are_dropped() -> None:
    """Once a finer screen shows the panel, no chart of the coarser one is kept."""
    view = CycleExplorer()
    view.controls["refrigerant"].value = "R-32"
    for picture in view._pictures.values():
        picture.image.density = 2.0
    assert {2.0} == {style.density for _, _, _, style in view._kept.kept}
    assert [1, 1] == [len(picture.figure.axes) for picture in view._pictures.values()]


def test_a_refusal_is_said_in_the_readers_units() -> None:
    """In IP the sentence speaks of degrees Fahrenheit."""
    view = CycleExplorer(units="IP")
    view.set({"saturated_suction_temperature": 77.0, "saturated_condensing_temperature": 60.0})
    assert "77.0 °F" in view.refusal


def test_setting_several_controls_draws_once() -> None:
    """`set` refreshes once, however many controls it moves."""
    view = CycleExplorer()
    seen: list[object] = []
    view.table.observe(seen.append, "value")
    view.set({"superheat": 9.0, "subcooling": 2.0, "isentropic_efficiency": 0.8})
    assert 1 == len(seen)


def test_two_hands_on_two_sliders_leave_one_whole_state() -> None:
    """With two threads moving two sliders, the last picture is that of the last controls."""
    view = CycleExplorer()

    def drag(control: str, values: list[float]) -> None:
        for value in values * 5:
            view.controls[control].value = value

    threads = [
        threading.Thread(target=drag, args=("superheat", [2.0, 4.0, 6.0, 8.0])),
        threading.Thread(target=drag, args=("saturated_condensing_temperature", [40.0, 43.0, 46.0, 49.0])),
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    fresh = CycleExplorer(condensing="49C", superheat="8K")
    assert fresh.cycle.points == view.cycle.points
    assert fresh.table.value == view.table.value


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"refrigerant": "R-11"}, "refrigerant 'R-11'"),
        ({"valve_position": "between"}, "heating and cooling"),
        ({"valve_position": "defrost"}, "valve position"),
        ({"evaporating": "7"}, "temperature"),
        ({"evaporating": "40C"}, "outside the panel"),
        ({"superheat": "-1K"}, "outside the panel"),
        ({"units": "CGS"}, "unit system"),
        ({"metering": "two"}, "metering layout"),
    ],
)
def test_a_panel_that_cannot_start_is_refused(words: dict, said: str) -> None:
    """A lesson that asks for an impossible panel gets a sentence, not a broken panel."""
    with pytest.raises(HpteachError, match=said):
        CycleExplorer(**words)


def test_the_installation_check_recomputes_a_published_figure() -> None:
    """The check says ready, with the published pressure of R-134a at 40 °C beside the computed one."""
    text = installation_check().children[1].value
    assert "10.166 bar" in text and "Ready." in text and "DOES NOT" not in text
