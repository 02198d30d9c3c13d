"""The panel what is wrong, driven by its controls without a browser, its words and its pictures."""

from __future__ import annotations

from dataclasses import replace
from html import unescape
from types import SimpleNamespace

import pytest

from hpteach.circuit import INDOOR_COIL, OUTDOOR_COIL, REVERSING_VALVE, ValvePosition
from hpteach.diagrams import circuit_layout as layout
from hpteach.errors import HpteachError
from hpteach.fault_readouts import OPENING, trouble_in_words
from hpteach.fluids import listing, moist_air
from hpteach.machine import DEMO_MACHINES, demo_machine
from hpteach.machine.faults import KINDS, fault
from hpteach.machine.readings import READINGS
from hpteach.machine.signs import COMPARED
from hpteach.machine.trouble import trouble
from hpteach.panels import WhatIsWrong
from hpteach.panels.what_is_wrong import machine_of
from hpteach.panels.what_is_wrong_pictures import flow_of, mark_of
from hpteach.panels.what_is_wrong_words import FAULTS, HEALTHY, ORIFICE, VALVE, WORKING, alike, reading_cautions, scale_of, signs_told, why
from hpteach.units import show

COOLING, HEATING = ValvePosition.COOLING, ValvePosition.HEATING
HOT, ROOM = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
MILD, WARM = moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5)
AIRS = {COOLING: (HOT, ROOM), HEATING: (MILD, WARM)}


def pictures(view: WhatIsWrong) -> list[bytes]:
    """What the three pictures show."""
    return [bytes(live.image.value) for live in view._pictures.live]


def shown(view: WhatIsWrong) -> list[object]:
    """Pictures, tables and reading."""
    return [*pictures(view), view.table.value, view.readings.value, view.reading.value]


def found_of(id: str, called: ValvePosition = COOLING, metering: str = VALVE, size: float | None = None, machine: str = "R-410A"):
    """A fault, and the trouble that it makes."""
    one = fault(id, size)
    return one, trouble(machine_of(machine, metering), called, *AIRS[called], [one])


# The panel ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("called", "units"), [("cooling", "SI"), ("heating", "IP")])
@pytest.mark.parametrize("machine", DEMO_MACHINES)
def test_the_panel_shows_the_trouble_of_the_machine(machine: str, called: str, units: str) -> None:
    """Both cycles and all figures are those of `trouble` in the weather of the slider, and tables and reading hold them."""
    view = WhatIsWrong(machine=machine, called=called, fault="overcharge", size=0.3, outdoor="33C" if called == "cooling" else "5C", units=units)
    outdoor = moist_air(306.15, relative_humidity=0.4) if called == "cooling" else moist_air(278.15, relative_humidity=0.87)
    expected = trouble(demo_machine(machine), ValvePosition(called), outdoor, AIRS[ValvePosition(called)][1], [fault("overcharge", 0.3)])
    assert [sign.faulty for sign in expected.signs.values()] == pytest.approx([sign.faulty for sign in view.found.signs.values()], rel=1e-6)
    assert [sign.healthy for sign in expected.signs.values()] == pytest.approx([sign.healthy for sign in view.found.signs.values()], rel=1e-6)
    assert show(expected.readings["suction_gauge"], "gauge pressure", units) in view.readings.value and show(expected.found.subcooling, "temperature difference", units) in view.table.value
    reading = unescape(view.reading.value)
    assert [] == [one for one in (*trouble_in_words(view.found, units), *why(view.found, view.fault, units), OPENING) if one not in reading]
    assert "(invented)" in reading and ("°F" in reading) == (units == "IP")


@pytest.mark.parametrize(
    ("control", "value"),
    [("machine", "R-290"), ("metering", ORIFICE), ("called", "heating"), ("fault", "compressor_worn"), ("size", 40.0), ("outdoor_temperature", 42.0), ("alike", "shown"), ("units", "IP")],
)
def test_every_control_moves_what_is_shown(control: str, value: object) -> None:
    """Each control changes pictures, tables or reading; nothing is refused."""
    view = WhatIsWrong()
    before = shown(view)
    view.controls[control].value = value
    assert view.refusal is None and before != shown(view)
    assert pictures(view) != before[:3] or control == "alike"


def test_healthy_shows_one_cycle_and_a_fault_both() -> None:
    """Without a fault there is one cycle and nothing is marked; with one the healthy cycle lies dashed under it and the chart names both."""
    view = WhatIsWrong(fault=HEALTHY)
    assert () == view.found.faults and view.controls["size"].disabled and "" == view.note()
    (scenes,), (kept,) = view._pictures._scenes.kept.values(), view._pictures._drawings.kept.values()
    assert {} == kept.words.words and not kept.frame.get_visible()
    sound = [live.image.still for live in view._pictures.live]
    view.controls["fault"].value = "outdoor_check_valve_leaking"  # hides in cooling: the same reach
    assert sound[0] != view._pictures.live[0].image.still
    scene = scenes["pressure-enthalpy"]
    assert ("healthy", "with the fault") == (scene.healthy.label, scene.faulty.label)
    assert "--" == scene.healthy.handle.get_linestyle() and "-" == scene.faulty.handle.get_linestyle()
    assert 1 == len(kept.words.words) and kept.frame.get_visible()
    view.controls["fault"].value = HEALTHY
    assert sound == [live.image.still for live in view._pictures.live]


def test_a_size_step_keeps_the_still_parts() -> None:
    """Steps of the size that stay within a chart's reach send no new still part."""
    view = WhatIsWrong(fault="outdoor_coil_dirty")
    stills = [live.image.still for live in view._pictures.live]
    before = pictures(view)
    view.key("s")
    assert stills == [live.image.still for live in view._pictures.live] and before != pictures(view)


def test_few_drawings_are_kept() -> None:
    """Whatever was shown, few charts and drawings stay on their figures."""
    view = WhatIsWrong()
    for id in FAULTS:
        view.controls["fault"].value = id
    for units in ("IP", "SI"):
        view.controls["units"].value = units
    assert len(view._pictures._scenes.kept) <= 5 and [True] * 3 == [len(live.figure.axes) <= 5 for live in view._pictures.live]


@pytest.mark.parametrize("id", ["undercharge", "spool_leak", "foreign_gas", "indoor_metering_stuck_shut", "liquid_line_restricted"])
def test_the_slider_reaches_both_ends_of_a_size(id: str) -> None:
    """A fault begins at its usual size; least and most are reached in either unit system and not refused."""
    view = WhatIsWrong(fault=HEALTHY)
    view.controls["fault"].value = id
    assert KINDS[id].size == pytest.approx(view.fault.size, rel=0.02)
    scale = scale_of(KINDS[id])
    for end in (KINDS[id].least, KINDS[id].most):
        view.controls["units"].value = "SI"
        view.controls["size"].value = scale.shown(end, "SI")
        view.controls["units"].value = "IP"
        assert end == pytest.approx(view.fault.size, rel=1e-4)
        least, most, step = view.span("size")
        assert least <= view.controls["size"].value <= most + step and view.write_code()


@pytest.mark.parametrize("id", [id for id in KINDS if KINDS[id].size is None])
def test_a_fault_without_a_size_locks_the_slider(id: str) -> None:
    """There is nothing to choose, and the code holds that too."""
    view, other = WhatIsWrong(fault=id), WhatIsWrong()
    assert view.controls["size"].disabled and view.fault.size is None
    other.code.value = view.code.value
    assert other.controls["size"].disabled and view.fault == other.fault and view.reading.value == other.reading.value


def test_the_weather_of_each_position_comes_back() -> None:
    """What was set in cooling is there again after heating."""
    view = WhatIsWrong(outdoor="40C")
    view.controls["called"].value = "heating"
    assert 7.0 == view.controls["outdoor_temperature"].value and view.found.called is HEATING
    view.controls["outdoor_temperature"].value = -5.0
    view.controls["called"].value = "cooling"
    assert 40.0 == view.controls["outdoor_temperature"].value
    view.controls["called"].value = "heating"
    assert -5.0 == view.controls["outdoor_temperature"].value


def test_a_fault_without_meaning_is_refused_and_the_picture_fades() -> None:
    """A fixed orifice cannot stick open: the reason stands in the status line, and the last picture stays, faded."""
    view = WhatIsWrong(metering=ORIFICE)
    last = view.table.value
    view.controls["fault"].value = "indoor_metering_stuck_open"
    assert "has no meaning" in view.refusal and "use indoor_metering_restricted" in unescape(view.status.value)
    assert [True] * 3 == [live.image.faded for live in view._pictures.live] and last == view.table.value
    view.controls["metering"].value = VALVE
    assert view.refusal is None and [False] * 3 == [live.image.faded for live in view._pictures.live]


def test_the_switch_and_hiding_stand_in_the_status_line() -> None:
    """A stopped machine says which switch stopped it, a fault that hides where it shows."""
    view = WhatIsWrong(fault="outdoor_fan_failed")
    assert "Stopped by the high-pressure switch" in unescape(view.status.value) and "Stopped by" in unescape(view.reading.value)
    view.controls["fault"].value = "outdoor_metering_restricted"
    assert "It hides: with the valve in cooling" in unescape(view.status.value)
    view.controls["called"].value = "heating"
    assert "hides" not in view.status.value and "It shows with the valve in heating only" in unescape(view.reading.value)


def test_look_alikes_are_worked_out_on_demand(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody waits for them unasked; asked for, the status line says that it takes some seconds."""
    said: list[str] = []
    from hpteach.panels import what_is_wrong as panel

    real = panel.alike
    monkeypatch.setattr(panel, "alike", lambda *args: (said.append(unescape(view.status.value)), real(*args))[1])
    view = WhatIsWrong(fault="liquid_line_restricted")
    assert [] == said
    view.controls["outdoor_temperature"].value = 31.0
    view.controls["alike"].value = "shown"
    assert 1 == len(said) and "could as well be" in unescape(view.reading.value) or "leave nothing else" in unescape(view.reading.value)
    view.controls["outdoor_temperature"].value = 30.0
    assert WORKING in said[1]


@pytest.mark.parametrize(
    ("id", "quantity", "becomes"),
    [
        ("undercharge", "the subcooling", "falls"), ("undercharge", "the discharge pressure", "falls"), ("overcharge", "the subcooling", "rises"),
        ("outdoor_coil_dirty", "the discharge pressure", "rises"), ("outdoor_coil_dirty", "the superheat at the compressor", "stays as it is"),
        ("indoor_metering_restricted", "the superheat at the compressor", "rises"), ("compressor_worn", "the suction pressure", "rises"),
        ("outdoor_check_valve_leaking", "the capacity", "stays as it is"),
    ],
)  # fmt: skip
def test_a_fault_can_be_predicted(id: str, quantity: str, becomes: str) -> None:
    """From the healthy machine the learner says what the fault will do, and is judged by what counts as a sign."""
    view = WhatIsWrong(fault=HEALTHY)
    view.foresee.value = True
    before = shown(view)
    view.controls["fault"].value = id
    assert before[3:] == shown(view)[3:]
    view.foresight.quantity.value = quantity
    view.foresight.expected.value = becomes
    view.foresight._commit.click()
    assert "Right." in view.foresight._verdict.value and before[3:] != shown(view)[3:]


def test_told_quantities_are_the_signs() -> None:
    """Each sign can be predicted, in the reader's units."""
    _, found = found_of("undercharge")
    told = signs_told(found, "IP")
    assert [f"the {one.words}" for one in COMPARED.values()] == list(told) and told["the suction pressure"].shown.endswith("psig")


@pytest.mark.parametrize(
    ("arguments", "begins"),
    [
        ({"called": "between"}, "a position between the seats cannot be called for"),
        ({"fault": "undercharg"}, "fault 'undercharg' is not known; did you mean undercharge"),
        ({"metering": "capillary"}, "metering device 'capillary' is not known"),
        ({"size": 3.0}, "size of the fault undercharge, the share of the charge that is missing, cannot be 3"),
        ({"fault": "none", "size": 0.3}, "a healthy machine has no size of a fault: leave 0.3 out"),
        ({"fault": "wrong_wiring", "size": 0.3}, "fault wrong_wiring has no size"),
        ({"machine": "R-22"}, "demo machine 'R-22' is not known"),
        ({"outdoor": "70C"}, "outdoor temperature of 70 °C is outside the panel's 15 to 50 °C"),
        ({"units": "metric"}, "unit system 'metric' is not known"),
    ],
)
def test_what_no_control_mends_is_refused(arguments: dict, begins: str) -> None:
    """A wrong start is refused with what is allowed."""
    with pytest.raises(HpteachError) as refused:
        WhatIsWrong(**arguments)
    assert str(refused.value).startswith(begins), str(refused.value)


def _variant(**changed):
    """A dealt question with a fault, as far as the panel reads it."""
    healthy = trouble(machine_of("R-32", changed.pop("metering", VALVE)), HEATING, moist_air(275.15, relative_humidity=0.7), WARM).healthy
    return SimpleNamespace(**{"question": SimpleNamespace(id="faulty"), "system": "IP", "weather": healthy, "fault": fault("undercharge", 0.33)} | changed)


@pytest.mark.parametrize("metering", [VALVE, ORIFICE])
def test_a_question_opens_the_panel_at_its_fault(metering: str) -> None:
    """Machine, device, weather, fault, size and units are those of the question, and the start comes back to them."""
    variant = _variant(metering=metering)
    view = WhatIsWrong.for_question(variant)
    assert (variant.fault.kind.id, "R-32", metering, "IP") == (view.fault.kind.id, *(view.controls[one].value for one in ("machine", "metering", "units")))
    assert variant.fault.size == pytest.approx(view.fault.size) and variant.weather.capacity == pytest.approx(view.found.healthy.capacity, rel=1e-6)
    first = view.reading.value
    view.key("f")
    view.key("2")
    assert first == view.reading.value


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"fault": None}, "question 'faulty' has no fault to look at"),
        ({"weather": None}, "question 'faulty' has no fault to look at"),
    ],
)
def test_a_question_without_a_fault_is_refused(changed: dict, words: str) -> None:
    """The refusal names the question and what to choose."""
    with pytest.raises(HpteachError, match=words):
        WhatIsWrong.for_question(_variant(**changed))


def test_a_question_of_another_machine_is_refused() -> None:
    """A machine that the panel has not is named."""
    variant = _variant()
    other = replace(variant.weather, machine=replace(variant.weather.machine, charge=1.3))
    with pytest.raises(HpteachError, match="none of the panel's machines"):
        WhatIsWrong.for_question(_variant(weather=other))


# Words and marks ----------------------------------------------------------------------------


@pytest.mark.parametrize("metering", [VALVE, ORIFICE])
@pytest.mark.parametrize("called", [COOLING, HEATING])
@pytest.mark.parametrize("id", KINDS)
def test_every_sign_that_moves_has_a_reason(id: str, called: ValvePosition, metering: str) -> None:
    """For each fault, position and device: one sentence for each sign that moved, with arrow, word and a reason; or why none did."""
    if metering == ORIFICE and id.endswith(("stuck_open", "stuck_shut")):
        with pytest.raises(HpteachError, match="has no meaning"):
            found_of(id, called, metering)
        return
    one, found = found_of(id, called, metering)
    said = why(found, one)
    moved = [sign for sign in found.signs.values() if sign.way != "same"]
    if found.turned or not moved:
        assert 1 == len(said)
        return
    assert [f"{sign.compared.words[0].upper()}{sign.compared.words[1:]}" for sign in moved] == [text.split(" ▲")[0].split(" ▼")[0] for text in said[: len(moved)]]
    assert [] == [text for text in said[: len(moved)] if ": " not in text]


@pytest.mark.parametrize("called", [COOLING, HEATING])
@pytest.mark.parametrize("id", KINDS)
def test_every_fault_is_marked_in_the_circuit(id: str, called: ValvePosition) -> None:
    """The faulty part is framed (the charge is everywhere), the word says whether it hides, and the drawing's flow reaches every state point."""
    one, found = found_of(id, called)
    mark = mark_of(one, found)
    assert mark.word.text.startswith("fault:" if found.shows(one) else "fault, hides:")
    assert (mark.frame is None) == (id in ("undercharge", "overcharge"))
    way = flow_of(found)
    assert found.found.valve_position is way.valve_position and {way.condenser, way.evaporator} == {INDOOR_COIL, OUTDOOR_COIL}
    if id.endswith("coil_dirty"):
        left, bottom, right, top = layout.COIL_BODIES[INDOOR_COIL if id.startswith("indoor") else OUTDOOR_COIL]
        assert mark.frame[0] < left < right < mark.frame[2] and mark.frame[1] < bottom < top < mark.frame[3]


def test_foreign_gas_is_marked_where_it_gathers() -> None:
    """The frame stands round the coil that condenses, and moves with the valve."""
    frames = [mark_of(*found_of("foreign_gas", called)).frame for called in (COOLING, HEATING)]
    assert frames[0][0] < layout.COIL_BODIES[OUTDOOR_COIL][0] and frames[1][0] > 50.0


def test_what_sticks_or_leaks_is_drawn_so() -> None:
    """Check valves and the reversing valve are drawn stuck or leaking; a check valve stuck shut sends the liquid through both devices."""
    assert {"indoor check valve": "leaking"} == dict(flow_of(found_of("indoor_check_valve_leaking")[1]).stuck)
    assert {REVERSING_VALVE: "leaking"} == dict(flow_of(found_of("spool_leak")[1]).stuck)
    assert {REVERSING_VALVE: "heating"} == dict(flow_of(found_of("valve_stuck_heating")[1]).stuck)
    both = flow_of(found_of("outdoor_check_valve_shut")[1])
    assert {"outdoor check valve": "shut"} == dict(both.stuck) and {"outdoor metering device", "indoor metering device"} <= {step.component for step in both.path}


def test_look_alikes_name_the_reading_that_tells() -> None:
    """A restricted liquid line looks like a restricted device until the line is felt before the device; a hidden fault looks like all that hide."""
    one, found = found_of("liquid_line_restricted")
    said = alike(found, one)
    assert "indoor metering device restricted (told apart by: " in said[0] and READINGS["liquid_line_end"].words in said[0]
    one, found = found_of("outdoor_metering_restricted")
    assert 1 == len(alike(found, one)) and "looks like a healthy machine" in alike(found, one)[0]


def test_cautions_of_readings_stand_once() -> None:
    """Each caution of a reading is in the panel's reading, and the flammable refrigerant's too."""
    view = WhatIsWrong(machine="R-290", fault="outdoor_fan_failed")
    reading = unescape(view.reading.value)
    assert [1] * len(reading_cautions()) == [reading.count(one) for one in reading_cautions()]
    assert {one.caution for one in READINGS.values()} == set(reading_cautions()) and listing("R-290").caution in reading
