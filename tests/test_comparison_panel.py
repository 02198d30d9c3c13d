"""The comparison panel and its words, driven by their controls without a browser."""

from __future__ import annotations

import re
from html import escape, unescape

import pytest

from hpteach.circuit import ValvePosition
from hpteach.comparison import EQUAL, Compared, at_duty, compare, mean_evaporating_temperature, same_conditions
from hpteach.cycle import Conditions, solve
from hpteach.errors import HpteachError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.panels import Comparison, Prediction
from hpteach.panels.comparison_words import NEVER_SWAPPED, comparison_cautions, comparison_in_words, comparison_table
from hpteach.questions import deal, read_bank
from hpteach.readouts import cautions
from hpteach.units import read, shown_number

START = dict(evaporating="0C", condensing="25C")  # R-744 has a cycle there too


def compared(first: str, second: str, *, equal: str = "dew", valve_position: str = "cooling", condensing: float = 318.15) -> Compared:
    """The comparison that a panel should show."""
    towards = {"cooling": "indoor coil", "heating": "outdoor coil"}[valve_position]
    one, other = refrigerant(first), refrigerant(second)
    cycle = solve(one, Conditions(ValvePosition(valve_position), towards, 280.15, condensing, 5.0, 5.0, 0.7))
    return compare(at_duty(one, cycle, 10e3), at_duty(other, same_conditions(other, cycle, equal), 10e3))


def pictures(view: Comparison) -> list[bytes]:
    """What both image widgets show."""
    return [bytes(picture.image.value) for picture in view._pictures.values()]


def shown(view: Comparison) -> list[object]:
    """Pictures, table and reading."""
    return [*pictures(view), view.table.value, view.reading.value]


@pytest.mark.parametrize("equal", EQUAL)
@pytest.mark.parametrize("position", ["cooling", "heating"])
@pytest.mark.parametrize("pair", [("R-410A", "R-290"), ("R-22", "R-407C"), ("R-454C", "R-454B")], ids="/".join)
def test_the_panel_shows_the_library_s_comparison(pair: tuple[str, str], position: str, equal: str) -> None:
    """Both cycles and all figures are those of the library for the same conditions, and the table holds them."""
    view = Comparison(first=pair[0], second=pair[1], valve_position=position, equal=equal)
    expected = compared(*pair, equal=equal, valve_position=position)
    for side in ("first", "second"):
        assert getattr(expected, side).cycle.points == getattr(view.compared, side).cycle.points
        assert getattr(expected, side).suction_volume_flow == getattr(view.compared, side).suction_volume_flow
    assert comparison_table(expected)._repr_html_() in view.table.value


@pytest.mark.parametrize(
    ("control", "value"),
    [
        ("first", "R-454C"),
        ("second", "R-32"),
        ("equal", "mean"),
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
    view = Comparison(first="R-22", second="R-407C")
    before = shown(view)
    view.controls[control].value = value
    assert view.refusal is None
    assert [True] * 4 == [old != new for old, new in zip(before, shown(view))]


def test_the_duty_moves_figures_and_words_and_no_picture() -> None:
    """A larger duty needs more flow and power; the cycles on the charts stay where they are."""
    view = Comparison()
    before = shown(view)
    view.controls["duty"].value = 20.0
    assert [False, False, True, True] == [old != new for old, new in zip(before, shown(view))]
    assert 20e3 == view.compared.first.duty


def test_turning_the_valve_takes_the_duty_at_the_other_coil() -> None:
    """In heating the duty is the heat given off, so the mass flow falls; the cycles stay as they are."""
    view = Comparison()
    before, points = view.compared.first.mass_flow, pictures(view)
    view.controls["valve_position"].value = "heating"
    assert view.compared.first.mass_flow < before
    assert points == pictures(view) and "10.00 kW of heating" in view.table.value


def test_twice_the_same_refrigerant_is_refused_and_the_last_picture_stays_faded() -> None:
    """The status line says to choose another, everything fades, and another choice brings it back."""
    view = Comparison(first="R-410A", second="R-290")
    good, last = shown(view), view.compared
    view.controls["second"].value = "R-410A"
    assert "both refrigerants are R-410A: choose another one" in view.refusal and "choose another" in view.status.value
    assert [True, True, False, False] == [old != new for old, new in zip(good, shown(view))]
    assert last is view.compared and "hpteach-faded" in view.table._dom_classes and "hpteach-faded" in view.reading._dom_classes
    view.controls["second"].value = "R-290"
    assert view.refusal is None and good == shown(view) and "hpteach-faded" not in view.table._dom_classes


def test_a_refrigerant_without_a_cycle_there_is_named() -> None:
    """R-744 cannot condense at 45 °C: the sentence names it, and the first one keeps no blame."""
    view = Comparison(first="R-290", second="R-32", units="IP")
    view.controls["second"].value = "R-744"
    assert view.refusal.startswith("R-744 cannot be compared at these conditions") and "113.0 °F" in view.refusal


def test_turning_the_units_keeps_every_state() -> None:
    """SI to IP and back leaves the conditions, the duty and the controls as they were, at the ends of the sliders too."""
    view = Comparison(evaporating="-35C", condensing="65C", superheat="25K", duty="1kW", second="R-134a", first="R-22")
    values, duty = {name: control.value for name, control in view.controls.items()}, view.compared.first.duty
    view.controls["units"].value = "IP"
    assert "3412 Btu/h" in view.table.value and duty == pytest.approx(view.compared.first.duty, rel=1e-9)
    view.controls["units"].value = "SI"
    assert values == {name: control.value for name, control in view.controls.items()}


@pytest.mark.parametrize("duty", ["1kW", "30kW"])
def test_a_duty_at_an_end_keeps_its_code_in_the_other_units(duty: str) -> None:
    """Turned to IP, or started in it, a duty at an end of the slider of SI stays as it is and has a code that leads back to it."""
    view, other, there = Comparison(duty=duty), Comparison(), round(shown_number(read(duty, "power"), "power", "IP"), 6)
    view.controls["units"].value = "IP"
    assert there == view.controls["duty"].value == Comparison(duty=duty, units="IP").controls["duty"].value
    other.go_to(view.code.value)
    assert abs(there - other.controls["duty"].value) <= 0.5
    view.controls["units"].value = "SI"
    assert duty == f"{view.controls['duty'].value:g}kW"
    assert (1.0, 30.0) == (view.controls["duty"].min, view.controls["duty"].max)


def test_the_start_of_a_question_is_the_question() -> None:
    """The key for the start brings the question's refrigerants and sliders back."""
    view = Comparison.for_question(deal(read_bank().question("predict-suction-volume"), 1))
    before = (view.write_code(), view.compared.first.cycle.points)
    view.set({"superheat": 17.5, "saturated_condensing_temperature": 30.0, "second": "R-32"})
    assert before != (view.write_code(), view.compared.first.cycle.points)
    view.key("2")
    assert before == (view.write_code(), view.compared.first.cycle.points)


def test_scenes_of_another_density_are_dropped() -> None:
    """Once a finer screen shows the panel, no chart of the coarser one is kept."""
    view = Comparison()
    view.controls["second"].value = "R-32"
    for picture in view._pictures.values():
        picture.image.density = 2.0
    assert {2.0} == {style.density for *_, style in view._kept.kept}
    assert [1, 1] == [len(picture.figure.axes) for picture in view._pictures.values()]


def test_a_pair_shown_before_comes_back_as_it_was() -> None:
    """After another pair, other units and larger type the first pictures return, to the byte."""
    view = Comparison(first="R-410A", second="R-290")
    first = pictures(view)
    view.controls["second"].value = "R-32"
    assert [True, True] == [old != new for old, new in zip(first, pictures(view))]
    view.larger.value = True
    view.controls["units"].value = "IP"
    view.set({"units": "SI", "second": "R-290"})
    assert [True, True] == [old != new for old, new in zip(first, pictures(view))]
    view.larger.value = False
    assert first == pictures(view)


def test_charts_kept_ready_are_few() -> None:
    """However many pairs were shown, a picture holds the axes of six at most, each with both domes and both cycles."""
    view = Comparison(first="R-134a", second="R-32", **START)
    for name in list(catalogue())[1:]:
        view.controls["second"].value = name
    assert 6 == len(view._kept.kept)
    assert [6, 6] == [len(picture.figure.axes) for picture in view._pictures.values()]
    scene = list(view._kept.kept.values())[-1]["pressure-enthalpy"]
    assert ("R-134a", "R-744") == (scene.chart.refrigerant.name, scene.chart.beside.name)
    assert [True, True] == [scene.chart.covers(at.cycle) for at in (view.compared.first, view.compared.second)]


@pytest.mark.parametrize("name", catalogue())
def test_the_cautions_are_of_both_refrigerants_and_against_swapping(name: str) -> None:
    """What to mind with either refrigerant stands there by name, that refrigerants are never swapped comes first, and what figures are for comes last."""
    other = "R-290" if name != "R-290" else "R-744"
    said = comparison_cautions(compared(name, other, condensing=298.15))
    assert NEVER_SWAPPED == said[0] and "manufacturer" in NEVER_SWAPPED and "local codes" in NEVER_SWAPPED
    assert [f"{one}: {caution}" for one in (name, other) for caution in cautions(listing(one))[:-1]] == list(said[1:-1])
    assert cautions(listing(name))[-1] == said[-1]


def test_the_reading_holds_the_cautions() -> None:
    """The panel says every caution of the comparison, and the words before them."""
    view = Comparison(first="R-744", second="R-290", **START)
    reading = unescape(view.reading.value)
    assert [] == [text for text in (*comparison_in_words(view.compared, "dew"), *comparison_cautions(view.compared)) if text not in reading]


def test_the_words_say_what_the_second_needs() -> None:
    """Less mass flow but more suction volume asks for a larger compressor, the other way round for a smaller one."""
    said = comparison_in_words(compared("R-410A", "R-290"), "dew")[1]
    assert "For this duty R-290 needs 43 % less mass flow than R-410A, but 71 % more suction volume: the compressor would have to be larger." == said
    said = comparison_in_words(compared("R-290", "R-410A"), "dew")[1]
    assert re.search(r"R-410A needs \d+ % more mass flow than R-290, but 42 % less suction volume: the compressor would have to be smaller", said)
    said = comparison_in_words(compared("R-22", "R-407C", equal="mean"), "mean")[1]
    assert "needs as much mass flow as R-22, and 2 % less suction volume: the compressor would be about as large." in said


def test_the_words_say_what_glide_does_to_the_comparison() -> None:
    """Equal dew temperatures leave the evaporator of the blend colder, by as much as the means differ; without glide nothing is said."""
    found = compared("R-22", "R-407C")
    by = mean_evaporating_temperature(found.first.cycle) - mean_evaporating_temperature(found.second.cycle)
    assert f"the evaporator of R-407C is on average {by:.1f} K colder" in comparison_in_words(found, "dew")[-1]
    found = compared("R-407C", "R-22")
    assert f"the evaporator of R-407C is on average {by:.1f} K colder" in comparison_in_words(found, "dew")[-1]
    assert "middle of each coil" in comparison_in_words(compared("R-22", "R-407C", equal="mean"), "mean")[-1]
    assert [4, 4] == [len(comparison_in_words(compared("R-32", "R-290", equal=equal), equal)) for equal in EQUAL]


@pytest.mark.parametrize(("system", "difference", "zero"), [("SI", "-12.8 K", "0.0 K"), ("IP", "-23.1 °F", "0.0 °F")])
def test_the_table_gives_temperatures_as_differences(system: str, difference: str, zero: str) -> None:
    """Discharge temperatures are compared by their difference, in IP without the 32 of the scale; equal dew is zero."""
    rows = {row[0]: row for row in comparison_table(compared("R-410A", "R-290"), system).rows}
    assert (difference, zero) == (rows["discharge temperature"][3], rows["dew point, low pressure"][3])
    assert "+71 %" == rows["suction volume flow"][3]


def test_the_coil_of_the_other_heat_is_named() -> None:
    """In cooling the other heat is given off, in heating it is taken up."""
    names = {position: comparison_table(compared("R-32", "R-290", valve_position=position)).rows[4][0] for position in ("cooling", "heating")}
    assert {"cooling": "heat given off", "heating": "heat taken up"} == names


def test_a_wet_discharge_is_warned_of_by_name() -> None:
    """Without superheat and with a perfect compressor R-1234yf ends inside the dome, and the reading says of which of the two it is true."""
    view = Comparison(first="R-32", second="R-1234yf", evaporating="0C", superheat="0K", isentropic_efficiency=1.0)
    assert "R-1234yf: Caution: the discharge is wet" in view.reading.value and "R-32: Caution: the discharge" not in view.reading.value


def test_a_prediction_opens_the_comparison_of_its_question() -> None:
    """The lesson's prediction opens the panel at the question's two refrigerants and conditions, in its units."""
    view = Prediction("predict-suction-volume", seed=14, units="IP", then=Comparison.for_question)
    view.controls["prediction"].value = view.variant.parts[0].choices[0]
    view.commit()
    panel = view.revealed
    assert ("R-410A", "R-290", "IP") == (panel.controls["first"].value, panel.controls["second"].value, panel.system)
    for name in ("saturated_suction_temperature", "saturated_condensing_temperature", "superheat", "subcooling"):
        assert getattr(view.variant.cycle.conditions, name) == pytest.approx(getattr(panel.compared.first.cycle.conditions, name), abs=1e-6)


def test_what_lesson_09_says_of_the_comparison_is_true() -> None:
    """R-290 for R-410A: less mass flow, more suction volume, COP within a tenth; R-407C for R-22: less volume and more high pressure at equal means."""
    found = compared("R-410A", "R-290")
    assert found.ratio("mass_flow") < 0.8 and found.ratio("suction_volume_flow") > 1.3 and abs(found.ratio("cop") - 1.0) < 0.1
    dew, mean = (compared("R-22", "R-407C", equal=equal) for equal in EQUAL)
    assert mean_evaporating_temperature(dew.second.cycle) < mean_evaporating_temperature(dew.first.cycle) - 1.0
    assert mean.second.suction_volume_flow < 0.98 * dew.second.suction_volume_flow
    assert mean.second.condensing_pressure > 1.02 * dew.second.condensing_pressure


@pytest.mark.parametrize("question", ["predict-which-coil", "read-a-gauge"])
def test_a_question_without_two_refrigerants_is_refused(question: str) -> None:
    """Only a question that compares two refrigerants can open the panel."""
    with pytest.raises(HpteachError, match="no two refrigerants to compare"):
        Comparison.for_question(deal(read_bank().question(question), 1))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"first": "R-11"}, "refrigerant 'R-11'"),
        ({"valve_position": "between"}, "heating and cooling"),
        ({"equal": "bubble"}, "known are dew, mean|Known are dew, mean"),
        ({"duty": "10"}, "power"),
        ({"duty": "100kW"}, "duty of 100 kW is outside the panel's 1 to 30 kW"),
        ({"units": "CGS"}, "unit system"),
    ],
)
def test_a_panel_that_cannot_start_is_refused(words: dict, said: str) -> None:
    """A lesson that asks for an impossible panel gets a sentence, not a broken panel."""
    with pytest.raises(HpteachError, match=said):
        Comparison(**words)


def test_what_can_be_predicted_is_that_of_the_second() -> None:
    """Predict first offers the flows, power, COP, high pressure and discharge of the second refrigerant, as the table shows them."""
    view = Comparison()
    told = view.told()
    assert 6 == len(told) and all(name.endswith("of the second") for name in told)
    assert all(escape(one.shown) in view.table.value for one in told.values())


def test_the_picture_code_brings_the_comparison_back() -> None:
    """The code of one panel sets another to the same refrigerants, choices and sliders."""
    view = Comparison(first="R-454B", second="R-32", equal="mean", duty="8kW", valve_position="heating")
    other = Comparison()
    other.go_to(view.write_code())
    assert {name: one.value for name, one in view.controls.items()} == {name: one.value for name, one in other.controls.items()}
    assert pictures(view) == pictures(other)
