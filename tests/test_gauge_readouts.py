"""What gauges told, as tables, JSON and sentences (hpteach/gauge_readouts.py)."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from hpteach.circuit import ValvePosition
from hpteach.fluids import refrigerant
from hpteach.gauge_readouts import (
    GAUGE_CAUTION, NO_DOUBT, doubts_in_words, gauge_cautions, gauge_tables, gauges_dictionary, gauges_in_words, probes_in_words, readings_table,
)  # fmt: skip
from hpteach.gauges import read_gauges
from hpteach.readouts import cycle_dictionary
from tests.test_gauges import sound

HIGH_AIR = 83523.0  # Pa; the air at 1600 m


def found_in(name: str = "R-410A", position: ValvePosition = ValvePosition.COOLING, **change):
    """A refrigerant, a sound cycle of it, and what its readings (some changed) tell."""
    cycle, readings = sound(name, position)
    fluid = refrigerant(name)
    return fluid, cycle, read_gauges(fluid, replace(readings, **change))


def test_json_has_the_keys_of_a_cycle_and_those_of_readings() -> None:
    """The dictionary holds what that of a solved cycle holds, with the same values, and what readings add."""
    fluid, cycle, found = found_in()
    told, solved = gauges_dictionary(fluid, found), cycle_dictionary(fluid, cycle)
    added = {"isentropic_efficiency", "superheat_K", "subcooling_K", "saturated_suction_K", "saturated_condensing_K", "liquid_bubble_K", "doubts"}
    assert added == set(told) - set(solved)
    assert set() == set(solved) - set(told)
    assert [point["place"] for point in solved["points"]] == [point["place"] for point in told["points"]]
    assert solved["cop_cooling"] == pytest.approx(told["cop_cooling"], rel=1e-5)
    assert (7.0, 4.0) == pytest.approx((told["superheat_K"], told["subcooling_K"]), abs=1e-5)
    assert json.loads(json.dumps(told, allow_nan=False)) == told


def test_json_is_null_where_a_thing_has_no_meaning() -> None:
    """At rest superheat, subcooling, work, heat and COP are None and there are no points; saturation temperatures stay."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    fluid, _, found = found_in(discharge_pressure=readings.suction_pressure)
    told = gauges_dictionary(fluid, found)
    empty = {key for key, value in told.items() if value is None}
    assert {
        "specific_work_J_per_kg", "refrigerating_effect_J_per_kg", "heat_rejected_J_per_kg", "cop_heating", "cop_cooling", "pressure_ratio",
        "isentropic_efficiency", "superheat_K", "subcooling_K",
    } == empty  # fmt: skip
    assert [] == told["points"] and ["at_rest"] == [doubt["id"] for doubt in told["doubts"]]


def test_doubts_of_json_speak_the_readers_units() -> None:
    """The sentence of a doubt is in the system and counts from the air that are asked for."""
    fluid, _, found = found_in(suction_line_temperature=270.15)
    (doubt,) = gauges_dictionary(fluid, found, "IP", atmosphere=HIGH_AIR)["doubts"]
    assert "suction_line_below_bubble" == doubt["id"] and "a superheat of -9.0 °F" in doubt["sentence"]
    assert (f"Doubt: {doubt['sentence']}",) == doubts_in_words(found, "IP", atmosphere=HIGH_AIR)


def test_no_doubt_is_said_in_words_to_be_no_proof() -> None:
    """A sound set of readings has one sentence instead of doubts, which names the nameplate; JSON has an empty list."""
    fluid, _, found = found_in()
    assert (NO_DOUBT,) == doubts_in_words(found)
    assert [] == gauges_dictionary(fluid, found)["doubts"]
    assert "No doubt is no proof" in NO_DOUBT and "Read the nameplate" in NO_DOUBT


@pytest.mark.parametrize(("system", "figures"), [("SI", ("9.0 °C", "7.0 K", "4.0 K", "0.70")), ("IP", ("48.2 °F", "12.6 °F", "7.2 °F", "0.70"))])
def test_the_table_of_readings_holds_each_reading_and_its_figure(system: str, figures: tuple[str, ...]) -> None:
    """Suction line, superheat, subcooling and the implied efficiency stand in the reader's units."""
    _, _, found = found_in()
    table = readings_table(found, system)
    assert [] == [figure for figure in figures if figure not in str(table)]
    assert ["suction gauge", "suction line", "discharge gauge", "", "liquid line", "discharge line"] == [row[0] for row in table.rows]


def test_gauge_readings_count_from_the_air_of_the_place() -> None:
    """The same absolute pressure reads higher on a gauge at an altitude, in the table, among the points and in words."""
    _, _, found = found_in()
    shown = ["\n".join(map(str, (*gauge_tables(found, "IP", atmosphere=air), *gauges_in_words(found, "IP", atmosphere=air)))) for air in (101325.0, HIGH_AIR)]
    psig = [(found.readings.suction_pressure - air) / 6894.757293168 for air in (101325.0, HIGH_AIR)]
    for text, here, there in zip(shown, psig, reversed(psig)):
        assert f"{here:.1f} psig" in text and f"{there:.1f} psig" not in text
        point_one = next(line for line in text.splitlines() if line.startswith("1 "))
        assert f" {here:.1f} " in point_one


def test_only_what_is_known_is_tabled() -> None:
    """Without the discharge line there is its row neither of work nor of COP; at rest there is the table of readings alone."""
    _, _, found = found_in(discharge_line_temperature=None)
    *_, known = gauge_tables(found)
    assert ["refrigerating effect"] == [row[0] for row in known.rows]
    assert "discharge line" not in str(readings_table(found))
    _, readings = sound("R-410A", ValvePosition.COOLING)
    _, _, resting = found_in(discharge_pressure=readings.suction_pressure)
    assert 1 == len(gauge_tables(resting))
    assert "no cycle" in gauges_in_words(resting)[0] and 1 == len(gauges_in_words(resting))


@pytest.mark.parametrize(("position", "cop"), [(ValvePosition.COOLING, "COP in cooling"), (ValvePosition.HEATING, "COP in heating")])
def test_the_words_name_the_cop_of_the_position(position: ValvePosition, cop: str) -> None:
    """The implied efficiency is said with the COP of the mode in which the machine runs."""
    _, cycle, found = found_in(position=position)
    useful = cycle.cop_cooling if position is ValvePosition.COOLING else cycle.cop_heating
    assert f"implies an isentropic efficiency of 0.70 and a {cop} of {useful:.2f}" in " ".join(gauges_in_words(found))


@pytest.mark.parametrize(("name", "told"), [("R-407C", True), ("R-454B", True), ("R-410A", False), ("R-32", False)])
def test_the_glide_is_said_where_a_thermometer_tells_it(name: str, told: bool) -> None:
    """Words warn of the wrong column for blends with glide only."""
    _, _, found = found_in(name)
    assert told == ("has a glide of" in " ".join(gauges_in_words(found)))


def test_no_superheat_is_said_as_none() -> None:
    """On the wrong side of saturation the words say that there is none, not a negative number."""
    _, _, found = found_in(suction_line_temperature=270.15, liquid_line_temperature=320.15)
    one, two, *_ = gauges_in_words(found)
    assert one.endswith("no superheat.") and two.endswith("no subcooling.")


def test_an_efficiency_that_cannot_be_is_not_said_as_one() -> None:
    """Above 1 the implied efficiency stands in the table and in the doubt, and not in the words."""
    _, _, found = found_in(discharge_line_temperature=323.15)
    assert found.isentropic_efficiency > 1.0
    assert "implies" not in " ".join(gauges_in_words(found))


def test_probe_words_name_the_lines_in_order() -> None:
    """A sentence for each of the four lines, beginning with its name."""
    _, _, found = found_in()
    assert ["Suction line", "Discharge line", "Vapour line", "Liquid line"] == [said.partition(":")[0] for said in probes_in_words(found)]


def test_the_caution_for_gauges_comes_first() -> None:
    """Goggles, gloves, trained people and local codes are named, before the cautions of the refrigerant."""
    for word in ("goggles", "gloves", "trained people", "local codes", "burns"):
        assert word in GAUGE_CAUTION
    assert GAUGE_CAUTION == gauge_cautions(refrigerant("R-290").listing)[0]
    assert 3 == len(gauge_cautions(refrigerant("R-290").listing))
