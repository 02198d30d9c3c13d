"""The frost panel, its pictures and its words, driven by its controls without a browser, and the figures that lesson 12 states."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from hpteach.errors import InputError, UnknownNameError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.air_side import FUSION
from hpteach.machine.defrost import ICE_HEAT, Demand, Ending, TimeTemperature
from hpteach.machine.frost import Growth
from hpteach.panels import Frost, Prediction
from hpteach.panels.frost_moment import AGAIN, DEFROST, HEATING, RUN, lost, melting_time, moment_at, supply_in
from hpteach.panels.frost_words import CAUTION, from_the_room
from hpteach.questions import deal, read_bank
from hpteach.units import show, shown_number

LESSON = Path(__file__).parents[1] / "notebooks" / "12-frost-and-defrost.ipynb"
DAMP = dict(outdoor="1C", outdoor_humidity="85%")
DRY_COLD = dict(outdoor="-10C", outdoor_humidity="40%")
MILD = dict(outdoor="12C", outdoor_humidity="85%")


def growth(celsius: float = 1.0, humidity: float = 0.85, machine: str = "R-32") -> Growth:
    """Frost on a bench unit in a room of 20 C and 50 %."""
    return Growth(demo_machine(machine), moist_air(273.15 + celsius, relative_humidity=humidity), moist_air(293.15, relative_humidity=0.5))


def words(view: Frost) -> str:
    """The reading without marks."""
    return unescape(re.sub("<[^>]+>", " ", view.reading.value))


def shown(view: Frost) -> list[object]:
    """Both pictures, both tables and the reading."""
    return [*(bytes(picture.image.value) for picture in view._pictures.values()), view.table.value, view.defrost_table.value, view.reading.value]


# A moment of the cycle ----------------------------------------------------------------------


def test_the_way_goes_from_clean_coil_through_frost_to_clean_coil() -> None:
    """Along the way frost grows, then melts to nothing, and at its end the machine has the capacity of the clean coil."""
    frost, cycle = growth(), growth().cycle(TimeTemperature())
    way = [moment_at(frost, cycle, float(place)) for place in range(0, 101, 5)]
    assert [HEATING] * 17 == [one.stage for one in way[:17]]
    assert [DEFROST, DEFROST, DEFROST, AGAIN] == [one.stage for one in way[17:]]
    grown = [one.frost for one in way]
    assert grown[:17] == sorted(grown[:17]) and grown[16:] == sorted(grown[16:], reverse=True)
    assert (0.0, cycle.moments[-1].frost, 0.0) == pytest.approx((grown[0], grown[16], grown[-1]))
    assert cycle.clean.capacity == pytest.approx(way[0].capacity, rel=1e-9) == pytest.approx(way[-1].capacity, rel=1e-9)
    assert way[18].capacity < 0.0 < way[16].capacity < way[0].capacity
    assert 3600.0 == pytest.approx(way[16].time)


def test_a_moment_lies_on_the_run_of_the_machine() -> None:
    """At each stored moment of the run the panel's moment has its frost, capacity and air."""
    frost, cycle = growth(), growth().cycle(Demand(excess=2.0))
    for one in cycle.moments:
        found = moment_at(frost, cycle, RUN * one.time / cycle.running)
        assert (one.frost, one.capacity, one.air_flow_share) == pytest.approx((found.frost, found.capacity, found.air_flow_share), abs=1e-6)


def test_the_gap_is_two_layers_and_what_is_left() -> None:
    """Thickness on both sides and the free gap add up to the gap between the fins."""
    frost, cycle = growth(), growth().cycle(TimeTemperature())
    for place in (0.0, 40.0, RUN, 85.0, 100.0):
        found = moment_at(frost, cycle, place)
        assert frost.machine.frost.gap == pytest.approx(2.0 * found.thickness + found.gap_left, rel=1e-12)


@pytest.mark.parametrize(("celsius", "humidity"), [(1.0, 0.85), (-10.0, 0.85), (-10.0, 0.4)])
def test_melting_takes_the_heat_of_ice_and_cold_metal(celsius: float, humidity: float) -> None:
    """The time of melting, by hand: ice and metal from the coil's temperature to 0 C, the heat of fusion, and the share for the air."""
    frost = growth(celsius, humidity)
    cycle = frost.cycle(TimeTemperature())
    mass, surface = cycle.moments[-1].frost, frost.machine.frost
    colder = 273.15 - frost.suction_at(mass)
    heat = (1.0 + Ending().lost) * (mass * (FUSION + ICE_HEAT * colder) + surface.metal_heat * colder)
    assert heat / cycle.defrost.melting.heat == pytest.approx(melting_time(cycle.defrost), rel=1e-6)


def test_what_is_lost_is_frost_and_defrost() -> None:
    """Both parts add up to what the mean lacks; that of the defrost is its time without heating and the heat from the room, by hand."""
    frost, cycle = growth(), growth().cycle(TimeTemperature())
    share, found = lost(frost, cycle), cycle.defrost
    whole = cycle.clean.capacity * (cycle.running + found.duration)
    assert 1.0 - cycle.capacity_share == pytest.approx(share.all, rel=1e-9)
    assert (cycle.clean.capacity * found.duration + from_the_room(cycle)) / whole == pytest.approx(share.by_defrost, rel=1e-9)
    assert 0.0 < share.by_frost < share.by_defrost


def test_auxiliary_heat_warms_the_air_of_the_defrost() -> None:
    """With and without it, the air while the frost melts is that of the defrost itself."""
    found = growth().cycle(TimeTemperature()).defrost
    assert found.supply_temperature == pytest.approx(supply_in(found.melting, found.fan_power), abs=1e-9)
    assert found.supply_with(5e3) == pytest.approx(supply_in(found.melting, found.fan_power, 5e3), abs=1e-9)


# The panel ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("control", "value"),
    [("machine", "R-290"), ("start", "on demand"), ("units", "IP"), ("outdoor_temperature", -3.0), ("outdoor_humidity", 95.0), ("indoor_temperature", 23.0),
     ("indoor_humidity", 30.0), ("interval", 90.0), ("auxiliary_heat", 8.0), ("moment", 88.0)],
)  # fmt: skip
def test_every_control_moves_what_is_shown(control: str, value: object) -> None:
    """A change of one control changes a picture, a table or the reading, without a refusal."""
    view = Frost()
    before = shown(view)
    view.controls[control].value = value
    assert view.refusal is None and before != shown(view)


def test_only_the_slider_in_use_is_there() -> None:
    """By the clock there is an interval, on demand an excess, and the excess moves the picture then."""
    view = Frost()
    assert (None, "none") == tuple(view.controls[name].layout.display for name in ("interval", "excess"))
    view.controls["start"].value = "on demand"
    assert ("none", None) == tuple(view.controls[name].layout.display for name in ("interval", "excess"))
    before = view.cycle.running
    view.controls["excess"].value = 3.0
    assert view.cycle.running > before


def test_control_and_moment_cost_no_new_growth() -> None:
    """The growth of the present weather stays while interval, start, excess, auxiliary heat and moment move, and another weather has its own."""
    view = Frost()
    first = view.growth
    for control, value in (("moment", 20.0), ("interval", 90.0), ("start", "on demand"), ("excess", 2.0), ("auxiliary_heat", 0.0)):
        view.controls[control].value = value
    assert first is view.growth
    view.controls["outdoor_temperature"].value = -4.0
    assert first is not view.growth


def test_an_impossible_state_is_refused_and_fades() -> None:
    """Where the machine finds no balance the reason stands in the status line and pictures and texts fade, until the controls are mended."""
    view = Frost()
    view.set({"outdoor_temperature": -25.0, "indoor_temperature": 30.0})
    assert "outside what this machine can do" in view.refusal and "hpteach-refused" in view.status.value
    assert all(picture.image.faded for picture in view._pictures.values())
    assert all("hpteach-faded" in text._dom_classes for text in view.texts)
    view.set({"outdoor_temperature": 1.0, "indoor_temperature": 20.0})
    assert view.refusal is None and not any(picture.image.faded for picture in view._pictures.values())


def test_turning_the_units_keeps_the_state() -> None:
    """SI to IP and back leaves the cycle and the controls as they were; IP speaks of pounds, inches and Btu."""
    view = Frost(**DAMP)
    before, values = view.cycle.capacity, {name: control.value for name, control in view.controls.items()}
    view.controls["units"].value = "IP"
    assert before == pytest.approx(view.cycle.capacity, rel=1e-6)
    assert all(unit in view.table.value + view.defrost_table.value for unit in (" lb", " in<", " Btu<", "°F")) and "kg" not in view.table.value
    view.controls["units"].value = "SI"
    assert values == {name: control.value for name, control in view.controls.items()}


@pytest.mark.parametrize("wrong", [{"start": "now"}, {"machine": "R-999"}, {"units": "metric"}])
def test_unknown_names_are_refused(wrong: dict) -> None:
    """Another start of the defrost, machine or unit system is refused with those that are known."""
    with pytest.raises(UnknownNameError):
        Frost(**wrong)


def test_the_tables_say_what_the_machine_does() -> None:
    """Every figure of the tables is that of the cycle, in the reader's units."""
    view = Frost(**DAMP, moment=RUN)
    cycle, found = view.cycle, view.cycle.defrost
    for value, kind in ((cycle.capacity, "power"), (cycle.clean.capacity, "power"), (cycle.moments[-1].frost, "mass")):
        assert show(value, kind) in view.table.value
    for value, kind in ((cycle.running, "duration"), (found.duration, "duration"), (found.melted, "mass"), (found.heat, "heat"), (from_the_room(cycle), "heat"),
                        (found.supply_temperature, "temperature"), (found.supply_with(5e3), "temperature")):  # fmt: skip
        assert show(value, kind) in view.defrost_table.value
    assert "the clock" in view.defrost_table.value and f"{cycle.cop:.2f}" in view.table.value


def test_without_a_defrost_the_table_says_never() -> None:
    """On demand in dry cold nothing starts, and the mean is that of the clean coil."""
    view = Frost(**DRY_COLD, start="on demand")
    assert "never" in view.defrost_table.value and view.cycle.clean.capacity == view.cycle.capacity
    assert "On demand nothing starts a defrost" in words(view)
    assert "0.0%" == view.told()["the share of capacity lost"].shown


def test_the_view_opens_at_the_weather_of_a_question() -> None:
    """In its units, at the end of the run; the prediction of the lesson opens it; a question of a cycle is refused."""
    variant = deal(read_bank().question("predict-when-frost-grows"), 3, "IP")
    view = Frost.for_question(variant)
    assert "IP" == view.system and HEATING == view.moment.stage
    assert variant.weather.frost_rate == pytest.approx(view.cycle.clean.frost_rate, rel=1e-5)
    prediction = Prediction("predict-what-the-room-feels", then=Frost.for_question)
    prediction.controls["prediction"].value = prediction.controls["prediction"].options[0]
    prediction.commit()
    assert isinstance(prediction.revealed, Frost)
    with pytest.raises(InputError, match="no machine in heating"):
        Frost.for_question(deal(read_bank().question("cooling-cop"), 1))


# The pictures -------------------------------------------------------------------------------


def test_the_frost_is_drawn_true_to_scale() -> None:
    """Each drawn layer is as wide as its thickness is of the gap, and the air between them is as high as its share."""
    view = Frost(**DAMP, moment=RUN)
    left, right = (polygon.get_xy() for polygon in view._gap._layers)
    layer = view.moment.thickness / view.growth.machine.frost.gap
    assert layer == pytest.approx(max(left[:, 0]), abs=1e-9) and 1.0 - layer == pytest.approx(min(right[:, 0]), abs=1e-9)
    heights = {round(max(arrow.get_ydata()) - min(arrow.get_ydata()), 9) for arrow in view._gap._air}
    assert {round(0.68 * view.moment.air_flow_share, 9)} == heights


def test_in_a_defrost_no_air_is_drawn_but_drops() -> None:
    """With the fan off no arrow shows, water drips, and the words under the gap say so."""
    view = Frost(**DAMP, moment=85.0)
    assert not any(arrow.get_visible() for arrow in view._gap._air) and len(view._gap._drops.get_xdata()) == 4
    assert "fan stands" in view._gap._said.get_text() and "outdoor fan off" in view._gap._stage.get_text()
    view.controls["moment"].value = 40.0
    assert all(arrow.get_visible() for arrow in view._gap._air) and len(view._gap._drops.get_xdata()) == 0


@pytest.mark.parametrize(("units", "by"), [("SI", 1.0), ("IP", 1e-3)])
def test_the_chart_draws_clean_mean_and_run(units: str, by: float) -> None:
    """Lines for clean coil and mean lie at their capacities, the run goes from the one to its end, the defrost below zero, and the marker on it."""
    view = Frost(**DAMP, units=units, moment=RUN)
    chart, cycle = view._chart.scene, view.cycle

    def level(value: float) -> float:
        return by * shown_number(value, "power", units)

    assert [level(cycle.clean.capacity)] * 2 == pytest.approx(list(chart.clean[0].get_ydata()))
    assert [level(cycle.capacity)] * 2 == pytest.approx(list(chart.mean[1].get_ydata()))
    times, powers = chart.run[0].get_data()
    assert (0.0, 60.0) == pytest.approx((times[0], times[-1])) and level(cycle.moments[-1].capacity) == pytest.approx(powers[-1])
    assert level(cycle.defrost.fan_power - cycle.defrost.melting.heat_from_room) == pytest.approx(chart.melt[0].get_ydata()[1])
    (_, point), _ = chart.points_run
    assert (60.0, powers[-1]) == pytest.approx((point.get_xdata()[0], point.get_ydata()[0]))


def test_everything_drawn_lies_within_the_axes() -> None:
    """In all weathers and units every line of the chart stays inside its frame."""
    view = Frost()
    for units in ("SI", "IP"):
        view.controls["units"].value = units
        for celsius, humidity, start in ((1, 95, "by the clock"), (-20, 90, "on demand"), (-10, 40, "by the clock"), (12, 80, "on demand"), (4, 100, "on demand")):
            view.set({"outdoor_temperature": float(shown_number(273.15 + celsius, "temperature", units)), "outdoor_humidity": humidity, "start": start})
            assert view.refusal is None
            scene = view._chart.scene
            for line in (*scene.run, *scene.melt, scene.warmed, *scene.clean, *scene.mean):
                (least, most), (low, high) = line.axes.get_xlim(), line.axes.get_ylim()
                assert all(least <= x <= most for x in line.get_xdata()) and all(low <= y <= high for y in line.get_ydata())


# The words ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("weather", "said"),
    [
        (DAMP, "is below freezing (0.0 °C) and below the dew point"),
        (MILD, "but above freezing, 0.0 °C. Water drips from it"),
        (DRY_COLD, "nothing settles on a surface warmer than the dew point"),
        (dict(outdoor="-15C", outdoor_humidity="90%"), "Deep cold brings little frost"),
        (DAMP, "This is frost weather"),
        (DRY_COLD, "The clock defrosts for nothing: there is no frost at all"),
        (MILD, "The clock does not run here"),
        (dict(outdoor="1C", outdoor_humidity="95%", interval="120min"), "The coil is blocked before"),
    ],
)
def test_the_reading_says_why(weather: dict, said: str) -> None:
    """Each weather has its reason in words."""
    assert said in words(Frost(**weather))


def test_frost_weather_is_not_said_of_other_weather() -> None:
    """Neither deep cold, nor dry air, nor mild air is called frost weather, and only the clock defrosts for nothing."""
    for weather in (DRY_COLD, MILD, dict(outdoor="-15C", outdoor_humidity="90%"), dict(outdoor="1C", outdoor_humidity="50%")):
        assert "frost weather" not in words(Frost(**weather))
    assert "for nothing" not in words(Frost(**DAMP)) and "for nothing" not in words(Frost(**DRY_COLD, start="on demand"))


def test_the_room_is_told_of_cold_air_and_of_auxiliary_heat() -> None:
    """The supply air of the defrost is said with and without auxiliary heat, and whether it is still colder than the room."""
    view = Frost(**DAMP)
    found = view.cycle.defrost
    assert f"the outlets blow {show(found.supply_temperature, 'temperature')}" in words(view)
    assert f"it is {show(found.supply_with(5e3), 'temperature')}, still colder than the room." in words(view)
    view.controls["auxiliary_heat"].value = 10.0
    assert f"it is {show(found.supply_with(10e3), 'temperature')}." in words(view)
    view.controls["auxiliary_heat"].value = 0.0
    assert "cold draught" in words(view)


@pytest.mark.parametrize("weather", [DAMP, MILD, DRY_COLD])
def test_the_caution_is_always_said(weather: dict) -> None:
    """The fan that starts by itself, hot gas, the power, ice on the ground, and never to chip ice."""
    for said in ("starts again by itself", "hot gas", "lock off the power", "freezes on the ground", "Never chip ice", "local codes"):
        assert said in CAUTION
    assert CAUTION in words(Frost(**weather))


# What lesson 12 states ------------------------------------------------------------------------


def prose() -> str:
    """All text of the lesson."""
    return "\n".join("".join(cell["source"]) for cell in json.loads(LESSON.read_text("utf-8"))["cells"] if cell["cell_type"] == "markdown")


@pytest.mark.parametrize("celsius", [-15.0, -5.0, 0.0, 3.0, 7.0])
def test_the_table_of_the_lesson_is_computed(celsius: float) -> None:
    """Water in the air, surface of the coil and frost in an hour of the R-32 bench unit at 85 %, in both unit systems."""
    clean = growth(celsius).clean
    surface = max(clean.outdoor_coil.zones, key=lambda zone: zone.share).met.surface_temperature
    cells = [
        f"{shown_number(273.15 + celsius, 'temperature', 'SI'):.0f} °C ({shown_number(273.15 + celsius, 'temperature', 'IP'):.4g} °F)",
        f"{show(clean.outdoor.humidity_ratio, 'humidity ratio')} ({show(clean.outdoor.humidity_ratio, 'humidity ratio', 'IP')})",
        f"{show(surface, 'temperature')} ({show(surface, 'temperature', 'IP')})",
        f"{show(3600.0 * clean.frost_rate, 'mass')} ({show(3600.0 * clean.frost_rate, 'mass', 'IP')})" if clean.frosting else "none: it drips",
    ]
    assert f"| {' | '.join(cells)} |" in prose()
    assert clean.outdoor_coil.water > 0.0


def test_the_best_intervals_of_the_lesson_are_found() -> None:
    """Of intervals from 20 to 120 minutes 40 is best at 1 C, 95 at -10 C; on demand with 1 K the mean is within 0.5 % of both."""
    text = prose()
    for celsius, best in ((1.0, 40.0), (-10.0, 95.0)):
        frost = growth(celsius)
        means = {float(minutes): frost.cycle(TimeTemperature(interval=60.0 * minutes)).capacity for minutes in range(20, 121, 5)}
        assert best == max(means, key=means.get) and f"{best:.0f} minutes" in text
        assert frost.cycle(Demand(excess=1.0)).capacity > 0.995 * means[best]


def test_a_thin_layer_takes_a_third_of_the_air() -> None:
    """At the end of an hour in frost weather the layer is thinner than half a millimetre and takes more than a third of the air."""
    last = growth().cycle(TimeTemperature()).moments[-1]
    assert last.air_flow_share < 2.0 / 3.0 and moment_at(growth(), growth().cycle(TimeTemperature()), RUN).thickness < 0.5e-3
