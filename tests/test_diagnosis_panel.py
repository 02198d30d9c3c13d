"""The diagnosis panel: readings are bought once, asking costs points, the verdict closes a case, and a number brings the same case to everybody."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import ipywidgets
import pytest

from hpteach.diagnosis_words import complaint, fitting, transcript, verdict
from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.diagnosis import SOUND, lineup, thriftiest
from hpteach.machine.faults import COOLING, KINDS, fault
from hpteach.machine.readings import READINGS
from hpteach.machine.signs import signs_of
from hpteach.machine.switches import run_with
from hpteach.panels import Diagnosis, Prediction, WhatIsWrong

LESSON = Path(__file__).parents[1] / "notebooks" / "14-faults.ipynb"


def words(*parts: ipywidgets.HTML) -> str:
    """What a learner reads."""
    return html.unescape(re.sub(r"<[^>]+>", " ", " ".join(part.value for part in parts)))


def seed_of(view: Diagnosis, id: str) -> int:
    """A case number whose fault is this one."""
    for seed in range(1, 200):
        view.controls["seed"].value = seed
        if view.case.hidden_id == id:
            return seed
    raise AssertionError(f"no case of {id}")


@pytest.fixture(scope="module")
def finder() -> Diagnosis:
    """A panel in which cases are looked for, so that others begin at their number."""
    return Diagnosis(seed=1)


# A case ---------------------------------------------------------------------------------------


def test_a_number_deals_everybody_the_same_case() -> None:
    """Two panels with the same machine, position and number have the same fault, weather and readings; another number another case."""
    first, second, third = Diagnosis(seed=5), Diagnosis(seed=5), Diagnosis(seed=6)
    assert first.case.readings == second.case.readings and first.case.hidden == second.case.hidden
    assert first.case.readings != third.case.readings
    second.controls["units"].value = "IP"
    assert first.case.readings == second.case.readings


def test_without_a_number_one_is_drawn_and_shown() -> None:
    """The number stands in its field, and dealing it again gives the same case."""
    view = Diagnosis()
    assert Diagnosis(seed=view.controls["seed"].value).case.hidden == view.case.hidden


def test_the_weather_is_drawn_with_the_case(finder: Diagnosis) -> None:
    """Over some numbers both weathers of a position come up."""
    seen = set()
    for seed in range(1, 13):
        finder.controls["seed"].value = seed
        seen.add(round(finder.case.outdoor.dry_bulb, 2))
    assert {308.15, 303.15} == seen


def test_nothing_is_given_away_at_the_start(finder: Diagnosis) -> None:
    """Complaint, position and weather are there; no reading is, and no verdict."""
    view = Diagnosis(seed=seed_of(finder, "undercharge"))
    assert complaint(view.case) in words(view.reading) and "calls for cooling" in words(view.reading)
    assert [] == view.bought and "" == view.closing.value == view.suspected.value and view.points is None
    assert "refrigerant missing" not in words(view.reading, view.table)


def test_only_suspects_of_this_position_can_be_named(finder: Diagnosis) -> None:
    """The list has each suspect of the line-up once, in words, with nothing chosen."""
    view = Diagnosis(seed=3)
    case = view.case
    expected = {one.id for one in lineup(case.machine, case.called, case.outdoor, case.indoor)}
    assert expected == {id for _, id in view.controls["named"].options} and SOUND in expected
    assert view.controls["named"].value is None


# Readings -----------------------------------------------------------------------------------


def test_a_press_buys_a_reading_with_its_value_minutes_and_caution() -> None:
    """The value stands on the button, in the table and in the status line, with the minutes and what to mind."""
    view = Diagnosis(seed=4)
    view.presses["discharge_line"].click()
    value = f"{view.case.readings['discharge_line'] - 273.15:.1f} °C"
    assert ["discharge_line"] == view.bought
    assert value in view.presses["discharge_line"].description and value in words(view.table)
    said = words(view.status)
    assert value in said and "2 minutes, 2 together" in said and READINGS["discharge_line"].caution in said
    assert READINGS["discharge_line"].caution in words(view.table)


def test_a_reading_is_paid_once() -> None:
    """Pressed again it costs nothing and says so."""
    view = Diagnosis(seed=4)
    view.buy("suction_gauge")
    view.presses["suction_gauge"].click()
    assert ["suction_gauge"] == view.bought and "Taken already" in words(view.status)


def test_every_reading_has_a_button_with_its_minutes() -> None:
    """Each names its place and its minutes, and can be reached by keyboard, as buttons can."""
    view = Diagnosis(seed=4)
    assert set(READINGS) == set(view.presses)
    for id, one in view.presses.items():
        assert f"({READINGS[id].minutes} min)" in one.description and not one.disabled


def test_an_unknown_reading_is_refused() -> None:
    """In the status line, with the case as it was."""
    view = Diagnosis(seed=4)
    view.buy("dowsing rod")
    assert "dowsing rod" in view.refusal and [] == view.bought


def test_the_data_sheet_costs_nothing() -> None:
    """The healthy machine's readings stand beside, and no minute is spent."""
    view = Diagnosis(seed=4)
    before = words(view.table)
    view.controls["healthy"].value = True
    assert "healthy" in words(view.table) and "healthy" not in before and [] == view.bought
    assert words(view.table).rstrip().endswith("0")


def test_units_turn_what_is_shown_and_keep_the_case() -> None:
    """IP shows °F and psig, and bought readings stay bought."""
    view = Diagnosis(seed=4)
    view.buy("suction_line")
    view.buy("suction_gauge")
    view.controls["units"].value = "IP"
    assert ["suction_line", "suction_gauge"] == view.bought
    assert all(unit in words(view.table) for unit in ("°F", "psig")) and "°C" not in words(view.table, view.reading)
    assert "psig" in view.presses["suction_gauge"].description


# Suspects, and the name -----------------------------------------------------------------------


def test_asking_costs_before_the_name_and_not_after(finder: Diagnosis) -> None:
    """Ten points for one question; afterwards it is free."""
    view = Diagnosis(seed=seed_of(finder, "undercharge"))
    for id in thriftiest(view.case):
        view.buy(id)
    view.ask()
    assert fitting(view.case, view.bought) in words(view.suspected)
    view.name("undercharge")
    assert 90 == view.points
    view.ask()
    assert 90 == view.points


def test_suspects_fade_when_a_reading_is_added() -> None:
    """What was told holds for the readings of then."""
    view = Diagnosis(seed=4)
    view.ask()
    view.buy("liquid_line")
    assert "hpteach-faded" in view.suspected._dom_classes
    view.ask()
    assert "hpteach-faded" not in view.suspected._dom_classes and 2 == view.asked


def test_without_a_choice_nothing_is_judged() -> None:
    """The panel asks for a choice first."""
    view = Diagnosis(seed=4)
    view.name()
    assert view.judgement is None and "choose first" in view.refusal


def test_a_verdict_closes_the_case(finder: Diagnosis) -> None:
    """After the name nothing can be bought or named again, until another case is dealt."""
    view = Diagnosis(seed=seed_of(finder, "undercharge"))
    view.controls["named"].value = "overcharge"
    view.name()
    assert not view.judgement.right and 0 == view.points and "hpteach-wrong" in view.closing.value
    view.name("undercharge")
    view.buy("liquid_line")
    assert "closed" in view.refusal and [] == view.bought and not view.judgement.right
    view.another()
    assert view.judgement is None and "" == view.closing.value


def test_the_tally_counts_the_first_verdict_only(finder: Diagnosis) -> None:
    """A case that is dealt again after its verdict adds nothing."""
    seed = seed_of(finder, "undercharge")
    view = Diagnosis(seed=seed)
    view.name("overcharge")
    assert "1 case, 0 right, 0 points" in words(view.closing)
    view.controls["seed"].value = seed + 1
    view.controls["seed"].value = seed
    for id in thriftiest(view.case):
        view.buy(id)
    view.name("undercharge")
    assert view.judgement.right and "1 case, 0 right, 0 points" in words(view.closing)


def test_a_full_case_from_the_call_to_the_verdict(finder: Diagnosis) -> None:
    """The transcript of what was done stands in the closing note, whole: call, readings, name, verdict, what to mind; and turning the units turns it."""
    view = Diagnosis(seed=seed_of(finder, "compressor_worn"), machine="R-410A")
    view.controls["healthy"].value = True
    for id in ("outdoor_fan", "suction_line", "liquid_line", "suction_gauge"):
        view.presses[id].click()
    view.ask()
    view.controls["named"].value = "spool_leak"
    view.name()
    case, bought = view.case, ["outdoor_fan", "suction_line", "liquid_line", "suction_gauge"]
    assert bought == view.bought and re.search(r"all together\s+10\s", words(view.table))
    for sentence in verdict(case, bought, "spool_leak", asked=1):
        assert sentence in words(view.closing)
    told = html.unescape(re.search(r"<pre[^>]*>(.*)</pre>", view.closing.value, re.DOTALL)[1])
    assert transcript(case, bought, "spool_leak", "SI", asked=1) == told
    assert told.startswith(f"Case {case.seed}, Fernhill bench unit, R-410A (invented), cooling\n\n")
    assert "It was: compressor with worn valves" in told and "recover the refrigerant" in told
    view.controls["units"].value = "IP"
    assert html.escape(transcript(case, bought, "spool_leak", "IP", asked=1)) in view.closing.value


@pytest.mark.parametrize("called", ["cooling", "heating"])
def test_the_thrifty_learner_has_all_points(called: str) -> None:
    """In twelve cases of each position the thriftiest readings and the right name give a hundred."""
    view = Diagnosis(called=called, seed=1)
    for seed in range(1, 13):
        view.controls["seed"].value = seed
        for id in thriftiest(view.case):
            view.buy(id)
        view.name(view.case.hidden_id)
        assert 100 == view.points, (seed, view.case.hidden_id)


# The panel ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("control", "value"), [("machine", "R-32"), ("called", "heating"), ("seed", 77)])
def test_another_machine_position_or_number_is_another_case(control: str, value: object) -> None:
    """What was bought is forgotten, and the case is of the new choice."""
    view = Diagnosis(seed=4)
    view.buy("suction_line")
    before = view.case
    view.controls[control].value = value
    assert before != view.case and [] == view.bought and view.refusal is None


@pytest.mark.parametrize("wrong", [{"called": "between"}, {"machine": "R-999"}, {"units": "metric"}])
def test_unknown_names_are_refused(wrong: dict) -> None:
    """Another position, machine or unit system is refused with those that are known."""
    with pytest.raises(UnknownNameError):
        Diagnosis(**wrong)


def test_larger_marks_the_panel_for_its_style_sheet() -> None:
    """On and off without a trace."""
    view = Diagnosis(seed=4)
    view.controls["larger"].value = True
    assert "hpteach-large" in view._dom_classes
    view.controls["larger"].value = False
    assert "hpteach-large" not in view._dom_classes


def test_working_is_said_while_a_line_up_is_computed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before the seconds pass, the status line says what is done."""
    said = []
    monkeypatch.setattr(Diagnosis, "say", lambda self, text, refused=False: said.append(text))
    Diagnosis(seed=4)
    assert "some seconds" in said[0] and "Case 4" in said[-1]


# What lesson 14 states ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "id",
    ["undercharge", "overcharge", "liquid_line_restricted", "outdoor_coil_dirty", "indoor_coil_dirty", "foreign_gas", "compressor_worn", "spool_leak", "indoor_metering_stuck_open"],
)
def test_the_table_of_the_lesson_is_computed(id: str) -> None:
    """Every arrow is that of the R-410A bench unit in cooling, at 35 °C and 40 % outdoors, 26.7 °C and 51 % indoors."""
    machine, airs = demo_machine("R-410A"), (moist_air(308.15, relative_humidity=0.40), moist_air(299.85, relative_humidity=0.51))
    sound, faulty = (run_with(machine, COOLING, *airs, faults) for faults in ((), [fault(id)]))
    signs = signs_of(sound.operation, faulty.operation)
    arrows = [{"up": "▲", "down": "▼", "same": "="}[signs[name].way] for name in ("suction_pressure", "discharge_pressure", "superheat", "subcooling", "discharge_temperature")]
    prose = "\n".join("".join(cell["source"]) for cell in json.loads(LESSON.read_text("utf-8"))["cells"])
    assert f"| {KINDS[id].words} | {' | '.join(arrows)} |" in prose


@pytest.mark.parametrize("question", ["predict-dirty-outdoor-coil", "predict-restriction-or-missing-charge", "predict-which-call-shows-it"])
def test_the_predictions_open_the_machine_with_its_fault(question: str) -> None:
    """After the commitment the panel shows the fault of the question, at its size, in the same machine and position."""
    prediction = Prediction(question, then=WhatIsWrong.for_question)
    prediction.controls["prediction"].value = prediction.controls["prediction"].options[0]
    prediction.commit()
    view, variant = prediction.revealed, prediction.variant
    assert isinstance(view, WhatIsWrong) and view.refusal is None
    assert variant.fault.kind is view.fault.kind and variant.fault.size == pytest.approx(view.fault.size, rel=1e-3)
    assert variant.weather.machine == view.found.healthy.machine and variant.weather.valve_position is view.found.called


@pytest.mark.parametrize("seed", [-1, 1_000_000, 2.5, True, "7"])
def test_case_number_that_cannot_be_is_refused(seed) -> None:
    """A case number that is no whole number from 0 to 999999 is refused, not bent."""
    with pytest.raises(InputError, match="case number of .* cannot be: use a whole number from 0 to 999999"):
        Diagnosis(seed=seed)
