"""A machine in weather as tables, JSON and sentences (hpteach/machine_readouts.py)."""

from __future__ import annotations

import json

import pytest

from hpteach.circuit import ValvePosition
from hpteach.fluids import moist_air, refrigerant
from hpteach.machine import demo_machine, operate
from hpteach.machine_readouts import NO_LIMIT, STEADY, limits_in_words, operation_cautions, operation_dictionary, operation_in_words, operation_tables
from hpteach.readouts import cycle_dictionary

WEATHER = {
    "mild": (moist_air(281.15, wet_bulb=279.15), moist_air(294.15, wet_bulb=288.15)),
    "frosty": (moist_air(274.15, wet_bulb=273.15), moist_air(294.15, wet_bulb=288.15)),
    "bitter": (moist_air(249.15, relative_humidity=0.8), moist_air(294.15, wet_bulb=288.15)),
    "hot": (moist_air(308.15, wet_bulb=297.15), moist_air(300.15, wet_bulb=292.15)),
    "dry": (moist_air(308.15, wet_bulb=292.15), moist_air(300.15, relative_humidity=0.15)),
}
HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
CASES = [(HEATING, "mild"), (HEATING, "frosty"), (HEATING, "bitter"), (COOLING, "hot"), (COOLING, "dry")]
MACHINES = {name: demo_machine(name) for name in ("R-32", "R-454B")}
RAN = {(name, *case): operate(machine, case[0], *WEATHER[case[1]]) for name, machine in MACHINES.items() for case in CASES}

PROMISED = {
    "capacity_W", "sensible_W", "latent_W", "compressor_W", "fans_W", "cop", "saturated_suction_K", "saturated_condensing_K", "superheat_K",
    "subcooling_K", "discharge_K", "mass_flow_kg_per_s", "frosting", "limits",
}  # fmt: skip


@pytest.fixture(params=RAN, ids=lambda key: " ".join(map(str, key)))
def ran(request):
    """(refrigerant, operation, its dictionary)."""
    fluid, found = refrigerant(request.param[0]), RAN[request.param]
    return fluid, found, operation_dictionary(fluid, found)


def point(told: dict, label: str) -> dict:
    (found,) = [one for one in told["points"] if one["label"] == label]
    return found


def test_json_holds_all_of_points_and_what_the_contract_adds(ran) -> None:
    """The keys of `points` with the same values, those that the contract names for a machine, and nothing that JSON cannot write."""
    fluid, found, told = ran
    cycle = cycle_dictionary(fluid, found.cycle)
    assert cycle == {key: told[key] for key in cycle}
    assert set() == PROMISED - set(told)
    assert json.loads(json.dumps(told, allow_nan=False)) == told


def test_powers_follow_from_the_points_and_the_mass_flow(ran) -> None:
    """Compressor = m (h2 - h1) + heat lost; a coil's heat = m times its difference of enthalpy; the capacity counts the indoor fan."""
    _, found, told = ran
    flow = told["mass_flow_kg_per_s"]
    enthalpy = {label: point(told, label)["enthalpy_J_per_kg"] for label in "1234"}
    assert told["compressor_W"] == pytest.approx(flow * told["specific_work_J_per_kg"] + told["heat_loss_W"], rel=1e-6)
    heat = {coil["place"]: coil["heat_W"] for coil in told["coils"]}
    condensing, boiling = flow * (enthalpy["2"] - enthalpy["3"]), flow * (enthalpy["1"] - enthalpy["4"])
    assert (pytest.approx(condensing, rel=1e-4), pytest.approx(-boiling, rel=1e-4)) == (heat[told["condenser"]], heat[told["evaporator"]])
    fan = found.machine.indoor_coil.fan_power
    useful = condensing + fan if told["valve_position"] == "heating" else boiling - fan
    assert useful == pytest.approx(told["capacity_W"], rel=1e-4)
    assert told["cop"] == pytest.approx(told["capacity_W"] / (told["compressor_W"] + told["fans_W"]), rel=1e-12)
    assert told["capacity_W"] == pytest.approx(told["sensible_W"] + told["latent_W"], abs=1e-6)


def test_temperatures_follow_from_the_points(ran) -> None:
    """Saturated temperatures are dew temperatures at the compressor; superheat and subcooling count from dew and bubble; the ratio is of absolute pressures."""
    fluid, _, told = ran
    low, high, liquid = (point(told, label) for label in "123")
    assert fluid.dew_temperature(low["pressure_Pa"]) == pytest.approx(told["saturated_suction_K"], abs=1e-6)
    assert fluid.dew_temperature(high["pressure_Pa"]) == pytest.approx(told["saturated_condensing_K"], abs=1e-6)
    assert low["temperature_K"] - told["saturated_suction_K"] == pytest.approx(told["superheat_K"], abs=1e-6)
    assert fluid.bubble_temperature(liquid["pressure_Pa"]) - liquid["temperature_K"] == pytest.approx(told["subcooling_K"], abs=1e-6)
    assert (high["temperature_K"], high["pressure_Pa"] / low["pressure_Pa"]) == (told["discharge_K"], pytest.approx(told["pressure_ratio"]))


def test_zones_make_up_their_coil(ran) -> None:
    """Shares of the zones add up to the whole coil, and their heat to the coil's."""
    for coil in ran[2]["coils"]:
        assert 1.0 == pytest.approx(sum(zone["share"] for zone in coil["zones"]), abs=1e-6)
        assert coil["heat_W"] == pytest.approx(sum(zone["heat_W"] for zone in coil["zones"]), rel=1e-9)


def test_weather_is_told_as_it_was_given() -> None:
    """Dry and wet bulb come back; the supply air is warmer than the room in heating and colder in cooling."""
    told = {case: operation_dictionary(refrigerant("R-32"), RAN["R-32", *case]) for case in CASES}
    mild, hot = told[HEATING, "mild"], told[COOLING, "hot"]
    assert (281.15, pytest.approx(279.15)) == (mild["outdoor"]["dry_bulb_K"], mild["outdoor"]["wet_bulb_K"])
    assert mild["supply_air"]["dry_bulb_K"] > mild["indoor"]["dry_bulb_K"] and hot["supply_air"]["dry_bulb_K"] < hot["indoor"]["dry_bulb_K"]


@pytest.mark.parametrize(
    ("case", "frosting", "surface", "latent"),
    [((HEATING, "mild"), False, "wet", False), ((HEATING, "frosty"), True, "frosting", False), ((COOLING, "hot"), False, "wet", True), ((COOLING, "dry"), False, "dry", False)],
)
def test_water_on_the_coil_is_told(case, frosting: bool, surface: str, latent: bool) -> None:
    """Dew, frost or neither: the surface of the boiling zone, the rate of frost, and latent capacity in cooling only."""
    told = operation_dictionary(refrigerant("R-32"), RAN["R-32", *case])
    (boiling,) = [zone for coil in told["coils"] for zone in coil["zones"] if zone["name"] == "boiling"]
    assert (frosting, frosting, surface) == (told["frosting"], told["frost_kg_per_s"] > 0.0, boiling["surface"])
    assert latent == (told["latent_W"] > 1.0)


@pytest.mark.parametrize(("system", "degrees", "other"), [("SI", "°C", "°F"), ("IP", "°F", "°C")])
@pytest.mark.parametrize("case", CASES)
def test_tables_are_in_the_readers_units(case, system: str, degrees: str, other: str) -> None:
    """Air, what the machine does, points and coils stand in one system; electricity is in kilowatts in both."""
    found = RAN["R-32", *case]
    text = "\n\n".join(map(str, operation_tables(found, system)))
    assert (True, False) == (degrees in text, other in text)
    assert f"{found.compressor_power / 1e3:.2f} kW" in text


def test_table_of_points_names_the_places() -> None:
    """Each point stands with its place, its phase and both pressures; gauges count from the reader's air."""
    at_sea, on_high = (operation_tables(RAN["R-32", HEATING, "mild"], atmosphere=air)[2] for air in (101325.0, 84e3))
    assert ("1", "compressor, suction", "superheated vapour") == at_sea.rows[0][:3]
    gauges = [float(table.rows[0][list(table.headings).index("p, bar g")]) for table in (at_sea, on_high)]
    assert 0.17 == pytest.approx(gauges[1] - gauges[0], abs=0.011)


def test_table_of_coils_has_each_coil_and_its_zones() -> None:
    """The indoor coil with its zones comes first, then the outdoor coil; in heating the first condenses."""
    rows = operation_tables(RAN["R-32", HEATING, "frosty"])[3].rows
    assert [("indoor coil", "condenser"), ("outdoor coil", "evaporator")] == [row[:2] for row in rows if row[0]]
    assert ["vapour", "condensing", "liquid", "boiling", "superheating"] == [row[1] for row in rows if not row[0]]


def test_sensible_and_latent_heat_stand_apart_in_cooling_only() -> None:
    """In cooling the capacity is parted in two rows; in heating frost has its row."""
    heating, cooling = ([row[0] for row in operation_tables(RAN["R-32", *case])[1].rows] for case in ((HEATING, "mild"), (COOLING, "hot")))
    assert (["frost that grows"], ["of it sensible", "of it latent"]) == ([one for one in heating if one not in cooling], [one for one in cooling if one not in heating])


def test_words_say_where_the_heat_comes_from() -> None:
    """In heating the parts named add up to the capacity; with frost it is said that the figures are those of a clean coil."""
    found = RAN["R-32", HEATING, "frosty"]
    said = " ".join(operation_in_words(found))
    parts = (-found.outdoor_coil.heat, found.compressor_power - found.heat_loss, found.machine.indoor_coil.fan_power)
    assert found.capacity == pytest.approx(sum(parts), rel=1e-6)
    assert [] == [part for part in parts if f"{part / 1e3:.2f} kW" not in said]
    assert STEADY in said and STEADY not in " ".join(operation_in_words(RAN["R-32", HEATING, "mild"]))


def test_words_part_the_capacity_in_cooling() -> None:
    """In cooling the words name sensible and latent heat, and the indoor coil as the one that takes heat."""
    found = RAN["R-32", COOLING, "hot"]
    said = operation_in_words(found)
    assert said[0].startswith("The indoor coil takes heat from air at 27.0 °C")
    assert [] == [part for part in (found.sensible, found.latent) if f"{part / 1e3:.2f} kW" not in said[2]]


@pytest.mark.parametrize(("system", "degrees"), [("SI", "°C"), ("IP", "°F")])
def test_limits_are_sentences_in_the_readers_units(system: str, degrees: str) -> None:
    """What is beyond a limit is said in the reader's units; JSON has its id and the sentence in SI."""
    found = RAN["R-32", HEATING, "bitter"]
    (limit,) = [one for one in operation_dictionary(refrigerant("R-32"), found)["limits"] if one["id"] == "discharge_temperature"]
    said = limits_in_words(found, system)
    assert said[0].startswith("Limit: Discharge temperature") and degrees in said[0]
    assert limits_in_words(found)[0] == f"Limit: {limit['sentence']}"


def test_without_a_limit_the_words_permit_nothing() -> None:
    """Where no limit is reached, that is said, with what it does not mean."""
    assert (NO_LIMIT,) == limits_in_words(RAN["R-32", HEATING, "mild"])


def test_cautions_are_those_of_the_refrigerant() -> None:
    """A flammable refrigerant brings its caution, in JSON and beside the tables."""
    fluid = refrigerant("R-32")
    assert operation_cautions(fluid) == operation_dictionary(fluid, RAN["R-32", HEATING, "mild"])["cautions"]
    assert fluid.listing.caution == operation_cautions(fluid)[0]
