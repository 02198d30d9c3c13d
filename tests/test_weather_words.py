"""The table and the sentences of a machine in weather."""

from __future__ import annotations

import re
from functools import cache

import pytest

from hpteach.circuit import ValvePosition
from hpteach.fluids import moist_air
from hpteach.machine import DEMO_MACHINES, Operation, demo_machine
from hpteach.machine.sweep import DESIGN_TEMPERATURES, BalancePoint, LoadLine, Sweep, sweep
from hpteach.panels.weather_words import limits_in_words, weather_in_words, weather_table
from hpteach.units import show

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
OUTDOORS = {HEATING: (248.15, 261.15, 280.15, 293.15), COOLING: (293.15, 308.15, 321.15)}
USUAL = {HEATING: 2, COOLING: 1}
LOAD = {position: LoadLine(8000.0, DESIGN_TEMPERATURES[position]) for position in OUTDOORS}


@cache
def swept(name: str, position: ValvePosition, speed: float = 1.0) -> Sweep:
    """A demo machine over its outdoor temperatures."""
    indoor = moist_air(293.15, relative_humidity=0.5) if position is HEATING else moist_air(300.15, relative_humidity=0.47)
    return sweep(demo_machine(name), position, OUTDOORS[position], relative_humidity=0.85 if position is HEATING else 0.4, indoor=indoor, speed_ratio=speed)


def said(found: Operation, usual: Operation | None, of: Sweep, system: str = "SI", load: LoadLine | None = None) -> str:
    """All sentences in one."""
    load = load or LOAD[found.valve_position]
    return " ".join(weather_in_words(found, usual, of, load, of.balance_point(load), system))


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("position", [HEATING, COOLING])
@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_the_table_shows_the_figures_of_the_balance(name: str, position: ValvePosition, system: str) -> None:
    """Each row is a figure of the operation as `show` writes it, now and in usual weather."""
    of = swept(name, position)
    columns = (of.operations[0], of.operations[USUAL[position]])
    table = weather_table(*columns, LOAD[position], system)
    rows = {row[0]: row[1:] for row in table.rows}
    for index, one in enumerate(columns):
        expected = {
            "saturated suction": show(one.saturated_suction_temperature, "temperature", system),
            "saturated condensing": show(one.saturated_condensing_temperature, "temperature", system),
            "suction pressure": show(one.cycle.point("1").pressure, "gauge pressure", system),
            "discharge pressure": show(one.cycle.point("2").pressure, "gauge pressure", system),
            "discharge temperature": show(one.cycle.point("2").temperature, "temperature", system),
            f"{position.value} capacity": show(one.capacity, "power", system),
            "power, with both fans": show(one.compressor_power + one.fan_power, "electric power", system),
            "COP": f"{one.capacity / (one.compressor_power + one.fan_power):.2f}",
            "supply air": show(one.supply_air.dry_bulb, "temperature", system),
            "the house needs": show(LOAD[position].at(one.outdoor.dry_bulb), "power", system),
        }
        assert expected == {what: rows[what][index] for what in expected}
    assert ("", "now", f"at {show(columns[1].outdoor.dry_bulb, 'temperature', system)}") == tuple(table.headings)


@pytest.mark.parametrize("system", ["SI", "IP"])
@pytest.mark.parametrize("name", ["R-32", "R-454B"])
def test_a_cold_day_is_explained_by_thin_vapour_and_a_long_lift(name: str, system: str) -> None:
    """In the cold the vapour is said to be thinner, less refrigerant to flow, lift and pressure ratio to be larger: with the numbers of both weathers."""
    of = swept(name, HEATING)
    cold, usual = of.operations[1], of.operations[2]
    text = said(cold, usual, of, system)
    thinner = 100.0 * (1.0 - cold.cycle.point("1").density / usual.cycle.point("1").density)
    less = 100.0 * (1.0 - cold.mass_flow / usual.mass_flow)
    assert f"{thinner:.0f} % thinner than at" in text and f"{less:.0f} % less refrigerant flows than at" in text
    assert thinner > 20.0 and less > thinner
    assert f"pressure ratio of {cold.pressure_ratio:.2f}" in text and f"the pressure ratio {usual.pressure_ratio:.2f}" in text
    lifts = [show(one.saturated_condensing_temperature - one.saturated_suction_temperature, "temperature difference", system) for one in (cold, usual)]
    assert f"a lift of {lifts[0]}" in text and f"the lift is {lifts[1]}" in text
    assert "in the clearance expands more" in text and "auxiliary heat has to give the rest" in text


def test_a_hot_day_is_explained_by_a_warm_condenser() -> None:
    """In cooling the outdoor coil is the warmer one, and the share of the capacity that dries the air is told."""
    of = swept("R-32", COOLING)
    hot = of.operations[-1]
    text = said(hot, of.operations[1], of)
    assert f"The outdoor coil has to be warmer than the air of 48.0 °C: at the compressor's discharge the dew point is {show(hot.saturated_condensing_temperature, 'temperature')}." in text
    assert f"{show(hot.latent, 'power')} of the capacity ({100 * hot.latent / hot.capacity:.0f} %) takes moisture from it" in text
    assert "the house warms up until it needs less" in text


def test_in_usual_weather_nothing_is_compared() -> None:
    """In the weather that others are compared with there is no "than"."""
    of = swept("R-290", HEATING)
    text = said(of.operations[2], of.operations[2], of)
    assert " than at " not in text and "its density decides how much refrigerant flows" in text


@pytest.mark.parametrize(("at", "grows"), [(1, True), (3, False)])
def test_ice_is_told_where_it_grows(at: int, grows: bool) -> None:
    """Below freezing the rate stands there with the remark that the figures are of a clean coil; in mild air nothing is said of ice."""
    of = swept("R-32", HEATING)
    found = of.operations[at]
    assert found.frosting is grows
    assert grows == (f"Ice grows on the outdoor coil, {show(found.frost_rate, 'water flow')}" in said(found, None, of))
    assert ("none grows" in dict(weather_table(found, None, LOAD[HEATING]).rows)["ice on the outdoor coil"]) is not grows


@pytest.mark.parametrize(
    ("speed", "at", "design_load", "expected"),
    [
        (1.0, 3, 8000.0, "The house needs no heating in this weather."),
        (1.0, 2, 8000.0, "it can turn slower"),
        (0.35, 2, 2000.0, "so it stops now and then"),
        (1.0, 0, 8000.0, "the machine lacks"),
    ],
)
def test_the_house_is_told_apart_from_the_machine(speed: float, at: int, design_load: float, expected: str) -> None:
    """Too much, too little, nothing needed: what then happens, and a compressor at its lowest speed can only stop."""
    of = swept("R-32-variable-speed", HEATING, speed)
    assert expected in said(of.operations[at], None, of, load=LoadLine(design_load, 263.15))


def test_a_machine_that_meets_the_load_runs_without_a_stop() -> None:
    """At the balance point neither is too much."""
    of = swept("R-32", HEATING)
    at = of.balance_point(LOAD[HEATING]).temperature
    assert "the machine meets it, and runs without a stop" in said(of.at(at), None, of)


@pytest.mark.parametrize(
    ("balance", "expected"),
    [
        (BalancePoint("met", 265.15), "The balance point is -8.0 °C: in colder weather"),
        (BalancePoint("covers all"), "There is no balance point: down to -25.0 °C the machine gives enough."),
        (BalancePoint("covers none"), "There is no balance point: in no weather that is shown"),
        (BalancePoint("stops"), "There is no balance point: down to -25.0 °C, where it stops, the machine gives enough."),
    ],
)
def test_what_became_of_the_balance_point_is_told(balance: BalancePoint, expected: str) -> None:
    """Where there is none the reason stands there."""
    of = swept("R-290", HEATING)
    assert any(one.startswith(expected) for one in weather_in_words(of.operations[2], None, of, LOAD[HEATING], balance))


def test_the_end_of_the_curve_is_told() -> None:
    """A machine that does not run in the coldest weather says where its curve ends."""
    indoor = moist_air(293.15, relative_humidity=0.5)
    of = sweep(demo_machine("R-32 variable speed"), HEATING, (243.15, 253.15, 268.15, 283.15), relative_humidity=0.85, indoor=indoor, speed_ratio=1.5)
    end = show(of.temperatures[0], "temperature")
    assert f"The cross on the curve at {end} is its end: in colder weather this machine does not run." in said(of.operations[-1], None, of)


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_limits_are_told_in_the_readers_units(system: str) -> None:
    """Each limit reached is a sentence with its numbers, in the reading too."""
    of = swept("R-32", HEATING)
    coldest = of.operations[0]
    limits = limits_in_words(coldest, system)
    assert [limit.id for limit in coldest.limits] == ["discharge_temperature"] and 1 == len(limits)
    assert limits[0].startswith(f"Limit reached: Discharge temperature {show(coldest.discharge_temperature, 'temperature', system)} is above")
    assert limits[0] in said(coldest, None, of, system)


def test_ip_words_hold_no_si_units() -> None:
    """In IP no unit of SI is left in a sentence or in the table; electricity is in kilowatts everywhere."""
    for position in (HEATING, COOLING):
        of = swept("R-454B", position)
        for found in of.operations:
            text = said(found, of.operations[USUAL[position]], of, "IP") + str(weather_table(found, None, LOAD[position], "IP"))
            electricity = show(found.power, "electric power"), show(of.operations[USUAL[position]].power, "electric power")
            for one in electricity:
                text = text.replace(one, "")
            assert not re.search(r"°C|\bbar\b|kW|kJ|\bkg\b|\d K\b", text)
