"""Units chosen once, in every kind of view: what turns with the choice, and what keeps its units."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from hpteach.assessment import Progress
from hpteach.assessment.sitting import Sittings
from hpteach.errors import UnknownNameError
from hpteach.panels import (
    AirAtTheCoil, Changeover, ClaimsOnTrial, Comparison, CycleExplorer, Diagnosis, Exercise, Frost, GaugeReading, GlideView, MockExam, Practice, Prediction,
    ProjectorScript, SeasonOfHouse, TemperaturePressure, View, Weather, WhatIsWrong,
)  # fmt: skip
from hpteach.panels.unit_choice import UnitChoice
from tests.unit_views import refreshes, units

VIEWS: dict[str, Callable[[UnitChoice], View]] = {
    "air at the coil": lambda units: AirAtTheCoil(units=units),
    "changeover": lambda units: Changeover(predict=False, units=units),
    "changeover asked first": lambda units: Changeover(units=units),
    "claims": lambda units: ClaimsOnTrial(units=units),
    "comparison": lambda units: Comparison(units=units),
    "diagnosis": lambda units: Diagnosis(seed=3, units=units),
    "exercise": lambda units: Exercise("cooling-cop", seed=5, units=units),
    "explorer": lambda units: CycleExplorer(units=units),
    "frost": lambda units: Frost(units=units),
    "gauges": lambda units: GaugeReading(units=units),
    "glide": lambda units: GlideView(units=units),
    "mock exam": lambda units: MockExam("lesson-01", sittings=Sittings.off(), units=units),
    "prediction": lambda units: Prediction("predict-which-coil", units=units),
    "projector": lambda units: ProjectorScript("05", units=units),
    "season": lambda units: SeasonOfHouse(units=units),
    "temperature and pressure": lambda units: TemperaturePressure(units=units),
    "weather": lambda units: Weather(units=units),
    "what is wrong": lambda units: WhatIsWrong(units=units),
}


# What turns ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", VIEWS)
def test_a_choice_made_elsewhere_turns_a_view(name: str) -> None:
    """IP and back to SI, chosen in another view: the same texts as before, drawn once for each choice, and none refused."""
    choice = UnitChoice()
    view, other = VIEWS[name](choice), Exercise("read-a-gauge", seed=2, units=choice)
    before, seen = view.reading.value, refreshes(view)
    other.controls["units"].value = "IP"
    assert ("IP", "IP", None) == (units(view), choice.system, view.refusal)
    other.controls["units"].value = "SI"
    assert ("SI", before, None) == (units(view), view.reading.value, view.refusal)
    assert seen in ([], ["IP", "SI"])


@pytest.mark.parametrize("name", VIEWS)
def test_the_control_of_a_view_chooses_for_all(name: str) -> None:
    """The units control of any view turns another one, and a view opened later is in the chosen units."""
    choice = UnitChoice()
    view, other = VIEWS[name](choice), Exercise("read-a-gauge", seed=2, units=choice)
    view.controls["units"].value = "IP"
    assert ("IP", "IP", "IP") == (units(view), units(other), units(VIEWS[name](choice)))


def test_five_open_panels_are_drawn_once_each() -> None:
    """One choice draws each of five panels once more, the one in which it was made as well."""
    views = [CycleExplorer(), GaugeReading(), GlideView(), TemperaturePressure(), AirAtTheCoil()]
    seen = [refreshes(view) for view in views]
    views[2].controls["units"].value = "IP"
    assert [["IP"]] * 5 == seen


def test_a_view_opened_in_units_of_its_own_chooses_for_nobody() -> None:
    """`units="IP"` holds for that view until somebody chooses; then it follows, also the choice that was there already."""
    view, other = CycleExplorer(units="IP"), GaugeReading()
    assert ("IP", "SI", "SI") == (units(view), units(other), units(AirAtTheCoil()))
    third = AirAtTheCoil(units="IP")
    third.controls["units"].value = "SI"
    assert ("SI", "SI") == (units(view), units(other))


def test_unknown_units_are_refused() -> None:
    """No view opens in units that are none, and none are chosen."""
    for make in (lambda: CycleExplorer(units="CGS"), lambda: Exercise("read-a-gauge", units="CGS"), lambda: UnitChoice().choose("CGS")):
        with pytest.raises(UnknownNameError, match="CGS"):
            make()


def test_the_spool_may_be_under_way() -> None:
    """A changeover is turned at any step of the travel, and stays at that step."""
    for step in range(6):
        choice = UnitChoice()
        view = Changeover(predict=False, units=choice)
        view.controls["travel"].value = step
        choice.choose("IP")
        assert ("IP", step, None) == (units(view), view.controls["travel"].value, view.refusal)


# Picture codes, and the start -----------------------------------------------------------------


def test_a_picture_code_turns_its_own_panel_alone() -> None:
    """The code brings the picture in the units in which it was written, and chooses for nobody; the next choice turns it."""
    code = CycleExplorer(units="IP").write_code()
    choice = UnitChoice()
    view, other = CycleExplorer(units=choice), GaugeReading(units=choice)
    view.code.value = code
    assert ("IP", "SI", "SI") == (units(view), units(other), choice.system)
    choice.choose("SI")
    assert "SI" == units(view)


def test_the_picture_of_the_start_keeps_the_units() -> None:
    """"As at the start" moves the sliders, and the units that are read stay."""
    view, other = CycleExplorer(), GaugeReading()
    view.controls["units"].value = "IP"
    start = view.write_code()
    view.controls["superheat"].value = 20.0
    view.key("2")
    assert (start, "IP", "IP") == (view.write_code(), units(view), units(other))


# Predictions ------------------------------------------------------------------------------------


def test_a_picture_that_waits_for_a_prediction_waits_on() -> None:
    """The sliders turn at once; the picture and its verdict come with the commitment, in the new units."""
    choice = UnitChoice()
    view = CycleExplorer(units=choice)
    view.key("3")
    view.controls["superheat"].value = 10.0
    table = view.table.value
    choice.choose("IP")
    assert (18.0, table) == (view.controls["superheat"].value, view.table.value) and "still the one before" in view.status.value
    view.foresight.expected.value = "rises"
    view.foresight._commit.click()
    assert "Right." in view.foresight._verdict.value and "°F" in view.foresight._verdict.value


def test_what_is_chosen_before_committing_stays_chosen() -> None:
    """A prediction that waits asks in the new units, with the same choice; nothing is opened by it."""
    choice = UnitChoice()
    view = Prediction("predict-which-coil", units=choice)
    view.controls["prediction"].value = view.variant.parts[0].choices[1]
    choice.choose("IP")
    assert view.variant.parts[0].choices[1] == view.controls["prediction"].value and "°F" in view.variant.prompt
    assert {} == view.controls["prediction"].verdict and view.revealed is None


def test_a_committed_prediction_keeps_its_verdict() -> None:
    """After the commitment answer, verdict and reason stay, in the new units; the panel below turns; the record has one answer."""
    choice, progress = UnitChoice(), Progress.off()
    view = Prediction("predict-which-coil", then=CycleExplorer.for_question, units=choice, progress=progress)
    wrong = next(index for index, one in enumerate(view.variant.parts[0].choices) if one != view.variant.parts[0].answer)
    view.controls["prediction"].value = view.variant.parts[0].choices[wrong]
    view.commit()
    opened = view.revealed
    choice.choose("IP")
    assert ("IP", opened) == (units(view), view.revealed)
    assert view.variant.parts[0].choices[wrong] == view.controls["prediction"].value
    assert "Not right." == view.controls["prediction"].verdict["rows"][0]["word"] and view.reading.value
    view.commit()
    assert 1 == len(progress.attempts())


def test_the_panel_of_a_prediction_follows_too() -> None:
    """The panel that a prediction opened turns with the shared choice, and its own control turns the prediction."""
    view = Prediction("predict-which-coil", then=CycleExplorer.for_question)
    view.controls["prediction"].value = view.variant.parts[0].answer
    view.commit()
    view.revealed.controls["units"].value = "IP"
    assert ("IP", "IP") == (units(view.revealed), units(view)) and "Right." == view.controls["prediction"].verdict["rows"][0]["word"]


# Exercises --------------------------------------------------------------------------------------


@pytest.mark.parametrize("begun", ["typed", "judged", "unreadable"])
def test_an_exercise_that_is_begun_keeps_its_units_until_the_next_set(begun: str) -> None:
    """What was typed or judged belongs to these numbers: they stay, it is said, and the next set comes in the chosen units."""
    choice = UnitChoice()
    view = Exercise("cooling-cop", seed=5, units=choice, progress=Progress.off())
    first = view.variant.parts[0].id
    if begun == "typed":
        view.controls[first].value = "150 kJ/kg"
    else:
        view.answer("150 kJ/kg" if begun == "judged" else "a lot", first)
    prompt, typed, verdict = view.reading.value, view.controls[first].value, view.verdict(first)
    choice.choose("IP")
    assert ("SI", prompt, typed, verdict) == (units(view), view.reading.value, view.controls[first].value, view.verdict(first))
    assert "stay in SI" in view.status.value and "comes in IP" in view.status.value
    view.answer("151 kJ/kg", first)
    view.hint()
    assert "stay in SI" in view.status.value
    view.another()
    assert ("IP", "IP", "", "") == (units(view), view.variant.system, view.controls[first].value, view.note()) and "stay in" not in view.status.value


def test_another_number_typed_in_brings_the_chosen_units() -> None:
    """The set that the class was told comes in the chosen units, dealt once; it is the same for whoever has always read them."""
    choice = UnitChoice()
    view = Exercise("cooling-cop", seed=5, units=choice)
    view.controls[view.variant.parts[0].id].value = "1"
    choice.choose("IP")
    seen = refreshes(view)
    view.controls["seed"].value = 9
    assert ["IP"] == seen and view.reading.value == Exercise("cooling-cop", seed=9, units="IP").reading.value


def test_the_control_of_a_begun_exercise_turns_it_at_once() -> None:
    """Who presses its own button wants these numbers in the other units; what was typed stays in its field."""
    choice = UnitChoice()
    view = Exercise("cooling-cop", seed=5, units=choice)
    first = view.variant.parts[0].id
    view.controls[first].value = "150 kJ/kg"
    choice.choose("IP")
    view.controls["units"].value = "IP"
    assert ("IP", 5, "150 kJ/kg", "") == (units(view), view.variant.seed, view.controls[first].value, view.note()) and "stay in" not in view.status.value


def test_a_choice_that_goes_back_is_no_longer_announced() -> None:
    """An exercise that kept its units while others were chosen, and is in the chosen ones again, says nothing more of it."""
    choice = UnitChoice()
    view = Exercise("cooling-cop", seed=5, units=choice)
    view.controls[view.variant.parts[0].id].value = "1"
    choice.choose("IP")
    choice.choose("SI")
    assert "" == view.note() and "stay in" not in view.status.value
    view.another()
    assert "SI" == units(view)


def test_help_alone_does_not_hold_the_units() -> None:
    """A hint and the worked solution turn with the numbers as long as nothing is answered."""
    choice = UnitChoice()
    view = Exercise("cooling-cop", seed=5, units=choice)
    view.hint()
    view.give_up()
    choice.choose("IP")
    assert "IP" == units(view) and "Btu/lb" in view.help_text and "Hint 1" in view.help_text


def test_practice_goes_on_in_the_chosen_units() -> None:
    """A question that is begun stays; the next one is in the units chosen meanwhile, and so is the practice after an explicit start."""
    choice = UnitChoice()
    view = Practice(units=choice, progress=Progress.off())
    view.exercise.controls[view.exercise.variant.parts[0].id].value = view.exercise.variant.parts[0].choices[0] if view.exercise.variant.parts[0].choices else "1"
    choice.choose("IP")
    assert "SI" == units(view.exercise)
    view.following()
    assert "IP" == units(view.exercise)
    named = Practice(units="IP", progress=Progress.off())
    named.following()
    assert "IP" == units(named.exercise)
    named.exercise.controls["units"].value = "SI"
    named.following()
    assert "SI" == units(named.exercise)


# The mock exam, and the projector ---------------------------------------------------------------


def test_a_mock_exam_is_never_turned_in_the_middle() -> None:
    """While it is sat question and answers stay as they are; the practice after it, and the next exam, are in the chosen units."""
    choice = UnitChoice()
    exam = MockExam("lesson-03", sittings=Sittings.off(), units=choice, progress=Progress.off())
    exam.begin()
    first = exam.variant.parts[0]
    exam.answer(first.choices[0] if first.choices else "1", first.id)
    before, form = exam.reading.value, exam.controls[first.id]
    choice.choose("IP")
    assert ("SI", before, form) == (exam.system, exam.reading.value, exam.controls[first.id])
    assert {"SI"} == {asked.system for asked in exam.sitting.form.questions}
    exam.hand_in()
    exam.hand_in()
    assert ("SI", "IP") == (exam.result.system, exam.controls["units"].value)
    exam.result.practise()
    assert "IP" == units(exam.result.practice)
    exam.begin()
    assert {"IP"} == {asked.system for asked in exam.sitting.form.questions}


def test_a_script_and_its_panel_turn_together() -> None:
    """A choice made elsewhere turns both; the panel's own control chooses for all; setting the panel for a step chooses nothing."""
    choice = UnitChoice()
    room, other = ProjectorScript("03", units=choice), GaugeReading(units=choice)
    choice.choose("IP")
    assert ("IP", "IP") == (units(room), units(room.panel))
    seen = refreshes(other)
    room.go_to_step(2)
    room.show_it()
    assert ("IP", "IP", []) == (choice.system, units(room.panel), seen)
    room.panel.controls["units"].value = "SI"
    assert ("SI", "SI") == (units(room), units(other))
