"""The weather panel, driven by its controls without a browser."""

from __future__ import annotations

import threading
from html import unescape

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import HpteachError
from hpteach.fluids import listing, moist_air
from hpteach.machine import DEMO_MACHINES, demo_machine, operate
from hpteach.machine.sweep import DESIGN_TEMPERATURES, LoadLine
from hpteach.panels import Prediction, Weather
from hpteach.panels import weather as panel
from hpteach.panels.weather import SCALES, USUAL, WORKING
from hpteach.panels.weather_words import weather_in_words, weather_table
from hpteach.questions import deal, read_bank
from hpteach.readouts import cautions
from hpteach.units import read, show

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
SLIDERS = ("outdoor_temperature", "outdoor_humidity", "indoor_temperature", "indoor_humidity", "design_load")


def pictures(view: Weather) -> list[bytes]:
    """What both pictures show."""
    return [bytes(live.image.value) for live in view._pictures.live]


def shown(view: Weather) -> list[object]:
    """Pictures, table and reading."""
    return [*pictures(view), view.table.value, view.reading.value]


@pytest.mark.parametrize("units", ["SI", "IP"])
@pytest.mark.parametrize(("position", "outdoor"), [("heating", "-10C"), ("heating", "12C"), ("cooling", "40C")])
@pytest.mark.parametrize("machine", DEMO_MACHINES)
def test_the_panel_shows_the_balance_of_the_machine(machine: str, position: str, outdoor: str, units: str) -> None:
    """Cycle and figures are those that `operate` finds in the weather of the sliders, and table and reading hold them."""
    view = Weather(machine=machine, valve_position=position, outdoor=outdoor, units=units)
    usual = USUAL[units][ValvePosition(position)]
    air = moist_air(read(outdoor, "temperature"), relative_humidity=usual["outdoor_humidity"])
    room = moist_air(usual["indoor_temperature"], relative_humidity=usual["indoor_humidity"])
    expected = operate(demo_machine(machine), ValvePosition(position), air, room)
    load = LoadLine(usual["design_load"], DESIGN_TEMPERATURES[ValvePosition(position)])
    for quantity in ("capacity", "power", "cop", "discharge_temperature", "saturated_suction_temperature"):
        assert getattr(expected, quantity) == pytest.approx(getattr(view.operation, quantity), rel=1e-6), quantity
    at_usual = next(one for one in view.sweep.operations if abs(one.outdoor.dry_bulb - usual["outdoor_temperature"]) < 1e-6)
    assert weather_table(expected, at_usual, load, units)._repr_html_() in view.table.value
    reading = unescape(view.reading.value)
    words = weather_in_words(view.operation, at_usual, view.sweep, load, view.balance, units)
    assert [] == [one for one in (*words, *cautions(listing(demo_machine(machine).refrigerant))) if one not in reading]
    assert "(invented)" in reading


def test_the_dot_stands_at_the_present_weather() -> None:
    """The moving dot of the capacity chart is at the slider's temperature and the operation's capacity, on the curve of the choice."""
    view = Weather()
    view.controls["outdoor_temperature"].value = -9.0  # one at which the curve was balanced
    curve = next(iter(view._pictures._curves.kept.values()))
    x, y = (float(one[0]) for one in curve.marks._gives.get_data())
    assert (-9.0, view.operation.capacity / 1e3) == pytest.approx((x, y), abs=1e-9)
    at = min(range(len(view.sweep.temperatures)), key=lambda index: abs(view.sweep.temperatures[index] - 264.15))
    assert view.sweep.capacities[at] == pytest.approx(view.operation.capacity, rel=1e-6)


@pytest.mark.parametrize(
    ("control", "value"),
    [
        ("machine", "R-290"),
        ("valve_position", "cooling"),
        ("chart", "temperature-entropy"),
        ("units", "IP"),
        ("outdoor_temperature", -12.0),
        ("outdoor_humidity", 30.0),
        ("indoor_temperature", 24.0),
        ("speed", 0.7),
    ],
)
def test_every_control_moves_the_picture(control: str, value: object) -> None:
    """Each control changes a picture, or table and reading; nothing is refused."""
    view = Weather(machine="R-32-variable-speed", outdoor="2C")
    before = shown(view)
    view.controls[control].value = value
    assert view.refusal is None and before != shown(view)
    assert pictures(view)[0] != before[0] or control in ("outdoor_humidity",)


def test_the_house_moves_the_balance_point_and_not_the_machine() -> None:
    """Another design load moves load and balance point; the cycle stays."""
    view = Weather()
    before, operation, balance = shown(view), view.operation, view.balance
    view.controls["design_load"].value = 11.0
    assert before[0] == pictures(view)[0] and before[1] != pictures(view)[1]
    assert operation.capacity == pytest.approx(view.operation.capacity, rel=1e-9)
    assert view.balance.temperature > balance.temperature


def test_indoor_humidity_matters_where_the_indoor_coil_is_cold() -> None:
    """More moisture in the room is more moisture taken from it."""
    view = Weather(valve_position="cooling")
    before = view.operation.latent
    view.controls["indoor_humidity"].value = 70.0
    assert view.operation.latent > 1.3 * before


def test_the_curve_is_worked_out_once_for_a_choice(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither the outdoor temperature nor load or chart balance the curve anew; another room does, and the status line says so meanwhile."""
    said: list[str] = []
    view = Weather()
    real = panel.sweep
    monkeypatch.setattr(panel, "sweep", lambda *args, **words: (said.append(view.status.value), real(*args, **words))[1])
    for control, value in (("outdoor_temperature", -3.0), ("design_load", 6.0), ("chart", "temperature-entropy")):
        view.controls[control].value = value
    assert [] == said
    view.controls["indoor_temperature"].value = 22.0
    assert 1 == len(said) and WORKING in unescape(said[0]) and WORKING not in unescape(view.status.value)
    view.controls["indoor_temperature"].value = 20.0
    assert 1 == len(said)


def test_the_still_parts_are_kept() -> None:
    """Outdoor steps send the same still part of both pictures, and another room too; charts kept ready are few."""
    view = Weather(outdoor="0C")
    stills = [live.image.still for live in view._pictures.live]
    for value in (-5.0, 5.0):
        view.controls["outdoor_temperature"].value = value
        assert stills == [live.image.still for live in view._pictures.live]
    view.controls["indoor_temperature"].value = 20.5
    assert stills[1] == view._pictures.capacity.image.still
    for machine in DEMO_MACHINES:
        for units in ("SI", "IP"):
            view.set({"machine": machine, "units": units})
    assert len(view._pictures._charts.kept) <= 8 >= len(view._pictures.cycle.figure.axes)


def test_turning_the_valve_brings_back_its_weather() -> None:
    """Each position has its weather and load; what was set in one is there again when the valve comes back."""
    view = Weather()
    view.set({"outdoor_temperature": -6.0, "design_load": 9.5, "indoor_temperature": 21.5})
    view.controls["valve_position"].value = "cooling"
    assert [35.0, 40.0, 27.0, 47.0, 8.0] == [view.controls[name].value for name in SLIDERS]
    assert view.operation.valve_position is COOLING and (15.0, 50.0) == (view.controls["outdoor_temperature"].min, view.controls["outdoor_temperature"].max)
    view.controls["outdoor_temperature"].value = 42.0
    view.controls["valve_position"].value = "heating"
    assert [-6.0, 87.0, 21.5, 50.0, 9.5] == [view.controls[name].value for name in SLIDERS]
    view.controls["valve_position"].value = "cooling"
    assert 42.0 == view.controls["outdoor_temperature"].value


def test_other_units_are_the_same_weather() -> None:
    """Turning the units moves no quantity, there and back."""
    view = Weather(machine="R-290", outdoor="-7C")
    before, values = shown(view), {name: view.controls[name].value for name in SLIDERS}
    capacity = view.operation.capacity
    view.controls["units"].value = "IP"
    assert capacity == pytest.approx(view.operation.capacity, rel=1e-6) and 19.4 == pytest.approx(view.controls["outdoor_temperature"].value, abs=1e-6)
    view.controls["units"].value = "SI"
    assert values == pytest.approx({name: view.controls[name].value for name in SLIDERS}, abs=1e-6) and before == shown(view)


def test_only_a_variable_speed_has_a_speed() -> None:
    """The speed is locked at 1 for a compressor of one speed, and free for the other one, whose capacity follows it."""
    view = Weather(machine="R-32-variable-speed", speed=1.4)
    fast = view.operation.capacity
    view.controls["machine"].value = "R-32"
    assert view.controls["speed"].disabled and 1.0 == view.controls["speed"].value == view.operation.speed_ratio
    assert view.operation.capacity < fast
    view.controls["machine"].value = "R-32-variable-speed"
    assert not view.controls["speed"].disabled


def test_a_machine_that_does_not_run_is_refused_and_the_picture_fades() -> None:
    """In the coldest air at the highest speed the reason stands in the status line, and the last picture stays, faded; milder air clears it."""
    view = Weather(machine="R-32-variable-speed", speed=1.5, outdoor="-10C")
    last, operation = (view.table.value, view.reading.value), view.operation
    view.controls["outdoor_temperature"].value = -25.0
    assert "outside what this machine can do" in (view.refusal or "") and view.refusal in unescape(view.status.value)
    assert [True, True] == [live.image.faded for live in view._pictures.live] and "hpteach-faded" in view.table._dom_classes
    assert last == (view.table.value, view.reading.value) and operation is view.operation
    view.controls["outdoor_temperature"].value = -9.5
    assert view.refusal is None and [False, False] == [live.image.faded for live in view._pictures.live]
    assert "hpteach-faded" not in view.table._dom_classes


def test_a_limit_reached_stands_in_the_status_line() -> None:
    """In deep cold the discharge of R-32 is too hot: the status line and the reading say so with both numbers."""
    view = Weather(outdoor="-25C")
    (limit,) = view.operation.limits
    assert "discharge_temperature" == limit.id and "Limit reached: Discharge temperature" in unescape(view.status.value)
    assert show(view.operation.discharge_temperature, "temperature") in view.status.value
    view.controls["outdoor_temperature"].value = 7.0
    assert "Limit" not in view.status.value


@pytest.mark.parametrize(
    ("quantity", "becomes"),
    [
        ("the capacity", "falls"),
        ("the COP", "falls"),
        ("the suction pressure", "falls"),
        ("the discharge temperature", "rises"),
        ("the temperature of the supply air", "falls"),
        ("ice on the outdoor coil", "grows"),
    ],
)
def test_a_colder_day_can_be_predicted(quantity: str, becomes: str) -> None:
    """Predict first asks before the picture moves, and judges by the numbers of the balance."""
    view = Weather()
    view.foresee.value = True
    before = shown(view)
    view.controls["outdoor_temperature"].value = -8.0
    assert before[2:] == shown(view)[2:]
    view.foresight.quantity.value = quantity
    view.foresight.expected.value = becomes
    view.guard(view._commit_foresight)
    assert "Right." in view.foresight._verdict.value and before[2:] != shown(view)[2:]


def test_told_is_what_the_table_shows() -> None:
    """What can be predicted stands in the table in the same figures."""
    view = Weather(units="IP", outdoor="20F")
    names = ("the capacity", "the COP", "the suction pressure", "the discharge pressure", "the discharge temperature", "the temperature of the supply air", "the pressure ratio")
    assert [True] * len(names) == [view.told()[name].shown in unescape(view.table.value) for name in names]


def test_what_the_code_and_the_start_bring_back() -> None:
    """The code of one panel sets another, and "As at the start" the first picture."""
    view = Weather(machine="R-454B", valve_position="cooling", outdoor="38C", design_load="9kW")
    start = [live.image.patch for live in view._pictures.live]
    other = Weather()
    other.go_to(view.write_code())
    assert {name: one.value for name, one in view.controls.items()} == {name: one.value for name, one in other.controls.items()}
    assert pictures(view) == pictures(other)
    view.set({"machine": "R-290", "outdoor_temperature": 20.0, "chart": "temperature-entropy"})
    view.key("2")
    assert start == [live.image.patch for live in view._pictures.live]


def test_two_hands_show_one_weather() -> None:
    """Two threads that drag at once leave pictures, table and operation of one state."""
    view = Weather(machine="R-290")
    hands = [
        threading.Thread(target=lambda name=name, values=values: [view.controls[name].set_trait("value", value) for value in values])
        for name, values in (("outdoor_temperature", [-5.0 + 0.5 * n for n in range(20)]), ("design_load", [5.0 + 0.5 * n for n in range(20)]))
    ]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    found = view.operation
    assert (4.5, 14.5) == (view.controls["outdoor_temperature"].value, view.controls["design_load"].value)
    assert 277.65 == pytest.approx(found.outdoor.dry_bulb, abs=1e-9) and show(found.capacity, "power") in view.table.value
    again = Weather(machine="R-290", outdoor="4.5C", design_load="14.5kW")
    assert again.table.value == view.table.value and again.reading.value == view.reading.value


# Starting it ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"machine": "R-744"}, "demo machine"),
        ({"valve_position": "between"}, "heating and cooling"),
        ({"outdoor": "30C"}, "outdoor temperature of 30 °C is outside the panel's -25 to 20 °C"),
        ({"outdoor": "7"}, "temperature"),
        ({"outdoor": ""}, "'' is not a number with a unit: write the temperature as"),
        ({"design_load": ""}, "'' is not a number with a unit: write the power as"),
        ({"air_pressure": "14psig"}, "air pressure of 14psig is 1.98 bar absolute, outside the panel's 0.50 bar to 1.10 bar"),
        ({"air_pressure": "0.3bar", "units": "IP"}, "air pressure of 0.3bar is 4.4 psia absolute, outside the panel's 7.3 psia to 16.0 psia"),
        ({"outdoor_humidity": "5%"}, "humidity outdoors"),
        ({"speed": 1.2}, "one speed"),
        ({"machine": "R-32-variable-speed", "speed": 2.0}, "speed"),
        ({"design_load": "100kW"}, "design load of 100 kW"),
        ({"units": "CGS"}, "unit system"),
    ],
)
def test_a_panel_that_cannot_start_is_refused(words: dict, said: str) -> None:
    """A lesson that asks for an impossible panel gets a sentence, not a broken panel."""
    with pytest.raises(HpteachError, match=said):
        Weather(**words)


@pytest.mark.parametrize("name", ["R-32 variable speed", "r32-variable-speed"])
def test_a_machine_may_be_spelt_as_people_do(name: str) -> None:
    """Any spelling that `demo_machine` reads will do."""
    assert "R-32-variable-speed" == Weather(machine=name).controls["machine"].value


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("question", ["predict-supply-air-when-colder", "pressure-ratio-in-the-cold", "which-limit-in-the-cold"])
def test_a_question_opens_the_panel_at_its_weather(question: str, system: str) -> None:
    """Machine, air and its pressure are those of the dealt question, so the panel shows the figures that its answer was worked out with."""
    variant = deal(read_bank().question(question), 3, system)
    view = Weather.for_question(variant)
    assert variant.weather.capacity == pytest.approx(view.operation.capacity, rel=1e-6)
    assert variant.weather.cycle.point("2").temperature == pytest.approx(view.operation.cycle.point("2").temperature, abs=1e-4)
    assert (system, variant.weather.outdoor.pressure) == (view.system, view.operation.outdoor.pressure)
    view.controls["outdoor_humidity"].value = 60.0
    view.key("2")
    assert variant.weather.capacity == pytest.approx(view.operation.capacity, rel=1e-6)


def test_a_prediction_opens_the_weather_of_its_question() -> None:
    """The lesson's prediction opens the panel when it is committed."""
    view = Prediction("predict-supply-air-when-colder", seed=5, units="IP", then=Weather.for_question)
    view.controls["prediction"].value = view.variant.parts[0].choices[0]
    view.commit()
    assert view.variant.weather.supply_air.dry_bulb == pytest.approx(view.revealed.operation.supply_air.dry_bulb, abs=1e-4)


@pytest.mark.parametrize("question", ["predict-which-coil", "read-a-gauge"])
def test_a_question_without_weather_is_refused(question: str) -> None:
    """Only a question that states a machine in weather can open the panel."""
    with pytest.raises(HpteachError, match="no weather to look at"):
        Weather.for_question(deal(read_bank().question(question), 1))


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("position", [HEATING, COOLING])
def test_usual_weather_lies_on_the_steps_of_the_sliders(position: ValvePosition, system: str) -> None:
    """The panel opens on whole steps of its sliders in either unit system, where a browser leaves them, and compares with that weather."""
    view = Weather(valve_position=position.value, units=system)
    for name in SLIDERS:
        least, most, step = SCALES[position][name].ranges[system]
        number = view.controls[name].value
        assert least <= number <= most and round((number - least) / step) == pytest.approx((number - least) / step, abs=1e-6), name
    now, usual = ([row[column] for row in weather_table(view.operation, view.operation, LoadLine(8000.0, 263.15), system).rows] for column in (1, 2))
    assert now == usual and f"at {show(USUAL[system][position]['outdoor_temperature'], 'temperature', system)}" in view.table.value


@pytest.mark.parametrize(
    ("system", "position", "humidity", "dry_bulb", "wet_bulb"),
    [
        ("SI", HEATING, "outdoor", "7C", "6C"),
        ("SI", COOLING, "outdoor", "35C", "24C"),
        ("SI", COOLING, "indoor", "27C", "19C"),
        ("IP", HEATING, "outdoor", "47F", "43F"),
        ("IP", COOLING, "outdoor", "95F", "75F"),
        ("IP", COOLING, "indoor", "80F", "67F"),
    ],
)
def test_usual_weather_is_that_of_ratings(system: str, position: ValvePosition, humidity: str, dry_bulb: str, wet_bulb: str) -> None:
    """Dry and wet bulb of EN 14511 and AHRI 210/240, the wet bulb to the nearest per cent of humidity."""
    usual, air = USUAL[system][position], moist_air(read(dry_bulb, "temperature"), wet_bulb=read(wet_bulb, "temperature"))
    assert air.dry_bulb == pytest.approx(usual[f"{humidity}_temperature"], abs=1e-6)
    assert round(100.0 * air.relative_humidity) == pytest.approx(100.0 * usual[f"{humidity}_humidity"], abs=1e-6)
