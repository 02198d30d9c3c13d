"""A heating season as tables, JSON and sentences (hpteach/season_readouts.py)."""

from __future__ import annotations

import json

import pytest

from hpteach.machine import demo_machine
from hpteach.machine.climate import climate
from hpteach.machine.season import Running, load_in, season
from hpteach.readouts import GENERAL_CAUTION
from hpteach.season_readouts import SeasonChoices, balance_in_words, choices_dictionary, choices_table, season_dictionary, season_in_words, season_tables
from hpteach.tables import Table

AVERAGE = climate("average")
KILOWATT_HOUR = 3.6e6  # J


def straight(outdoor: float) -> Running:
    """An invented machine: 6 kW at 7 °C, less in the cold."""
    return Running(6000.0 + 150.0 * (outdoor - 280.15), 1700.0, "frost" if 266.0 < outdoor < 278.0 else "")


def whole(performance=straight, design_load: float = 6500.0, **choices):
    """The season of an invented house."""
    return season(performance, AVERAGE, load_in(AVERAGE, design_load), **choices)


def values(table: Table) -> dict[str, str]:
    """The rows of a table of two columns."""
    return dict(table.rows)


def test_json_holds_the_season_and_each_bin() -> None:
    """The dictionary has the season's own figures in SI, nothing rounded, and can be written as JSON."""
    found = whole(electricity_price=0.3 / KILOWATT_HOUR, electricity_carbon=0.4 / KILOWATT_HOUR)
    told = season_dictionary(found)
    assert [(one.outdoor_temperature, one.hours, one.load, one.capacity, one.power, one.auxiliary) for one in found.bins] == [
        tuple(row[key] for key in ("outdoor_K", "hours", "load_W", "capacity_W", "power_W", "auxiliary_W")) for row in told["bins"]
    ]
    assert [(one.part_load_share, one.part_load_factor, one.note) for one in found.bins] == [
        (row["part_load_share"], row["part_load_factor"], row["note"]) for row in told["bins"]
    ]
    keys = ("balance_point_K", "seasonal_cop", "machine_cop", "heat_J", "auxiliary_heat_J", "energy_J", "auxiliary_energy_J", "cost", "carbon_kg")
    figures = (
        found.balance_point, found.seasonal_cop, found.machine_cop, found.heat_delivered, found.heat_auxiliary,
        found.energy_machine, found.energy_auxiliary, found.cost, found.carbon,
    )  # fmt: skip
    assert figures == tuple(told[key] for key in keys)
    assert ("average", "met", [GENERAL_CAUTION]) == (told["climate"], told["balance"], told["cautions"])
    assert json.loads(json.dumps(told, allow_nan=False)) == told


def test_json_is_null_where_a_thing_is_not_there() -> None:
    """A machine that never runs has no capacity, COP, balance point, cost and carbon; the rest stays a number."""
    told = season_dictionary(whole(lambda outdoor: None))
    assert {"balance_point_K", "stops_below_K", "machine_cop", "cost", "carbon_kg"} == {key for key, value in told.items() if value is None}
    assert {None} == {row["capacity_W"] for row in told["bins"]}
    assert ("covers none", 0.0, pytest.approx(1.0)) == (told["balance"], told["energy_J"], told["seasonal_cop"])


@pytest.mark.parametrize(
    ("system", "headings", "coldest"),
    [
        (
            "SI",
            ("outdoor, °C", "hours", "load, kW", "capacity, kW", "part load", "electricity, kW", "auxiliary heat, kW", "note"),
            ("-10.0", "1", "6.50", "3.45", "1.000", "1.70", "3.05", ""),
        ),
        (
            "IP",
            ("outdoor, °F", "hours", "load, Btu/h", "capacity, Btu/h", "part load", "electricity, kW", "auxiliary heat, Btu/h", "note"),
            ("14.0", "1", "22179", "11772", "1.000", "1.70", "10407", ""),
        ),
    ],
)
def test_table_of_bins_is_in_the_readers_units(system: str, headings: tuple[str, ...], coldest: tuple[str, ...]) -> None:
    """Temperatures, load, capacity and auxiliary heat change with the system; electricity is in kilowatts in both."""
    bins, _ = season_tables(whole(), system)
    assert (headings, coldest, len(AVERAGE.bins)) == (tuple(bins.headings), bins.rows[0], len(bins.rows))
    assert "frost" == bins.rows[5][-1]


def test_table_of_bins_has_a_dash_where_the_machine_does_not_run() -> None:
    """No capacity is a dash, with the note that says why."""
    bins, _ = season_tables(whole(lambda outdoor: straight(outdoor) if outdoor > 265.0 else None))
    assert ("-", "0.000", "0.00", "6.50", "machine does not run") == bins.rows[0][3:]


def test_table_of_the_season_holds_its_figures() -> None:
    """Heat, energies in kWh, COP, balance point, cost with its currency, and carbon stand in the second table."""
    found = whole(electricity_price=0.3 / KILOWATT_HOUR, electricity_carbon=0.4 / KILOWATT_HOUR)
    told = values(season_tables(found, currency="EUR")[1])
    assert f"{6.5 * 2065.615:.0f} kWh" == told["heat delivered"]
    assert f"{found.energy_machine / KILOWATT_HOUR:.0f} kWh" == told["electricity of the machine"]
    assert f"{found.seasonal_cop:.2f}" == told["seasonal COP, all heat by all energy"]
    used = (found.energy_machine + found.energy_auxiliary) / KILOWATT_HOUR
    assert (f"{0.3 * used:.2f} EUR", f"{0.4 * used:.0f} kg") == (told["cost"], told["carbon dioxide"])
    assert f"{found.balance_point - 273.15:.1f} °C" == told["balance point"]
    share = 100.0 * found.heat_auxiliary / found.heat_delivered
    assert f"{found.heat_auxiliary / KILOWATT_HOUR:.0f} kWh ({share:.1f} %)" == told["of it auxiliary heat"]


def test_season_without_prices_has_no_row_of_cost() -> None:
    """Cost and carbon dioxide stand only where they were asked for."""
    assert set() == {"cost", "carbon dioxide"} & set(values(season_tables(whole())[1]))


def test_season_in_ip_is_told_in_btu_for_each_watt_hour_too() -> None:
    """The US trade states a season's performance in Btu/Wh: 3.412 times the COP (the factor by the definition of the Btu)."""
    found = whole()
    told = values(season_tables(found, "IP")[1])
    assert f"{found.seasonal_cop:.2f} ({3.41214 * found.seasonal_cop:.2f} Btu/Wh)" == told["seasonal COP, all heat by all energy"]
    assert f"{1.8 * (found.balance_point - 273.15) + 32.0:.1f} °F" == told["balance point"]


def test_machine_that_never_runs_has_dashes_for_its_figures() -> None:
    """Neither a balance point nor a COP of the machine is made up."""
    told = values(season_tables(whole(lambda outdoor: None))[1])
    assert ("-", "-", "1.00") == (told["balance point"], told["seasonal COP of the machine alone"], told["seasonal COP, all heat by all energy"])


@pytest.mark.parametrize(
    ("performance", "system", "words"),
    [
        (lambda outdoor: Running(3000.0, 1000.0), "SI", "The balance point is 4.0 °C: at that temperature the machine gives just what the house needs"),
        (lambda outdoor: Running(9000.0, 3000.0), "SI", "covers the whole load down to the coldest bin, -10.0 °C: there is no balance point"),
        (lambda outdoor: Running(9000.0, 3000.0), "IP", "covers the whole load down to the coldest bin, 14.0 °F: there is no balance point"),
        (lambda outdoor: Running(100.0, 30.0), "SI", "does not cover the load even in the mildest bin that needs heat, 15.0 °C: there is no balance point"),
        (lambda outdoor: Running(9000.0, 3000.0) if outdoor > 268.0 else None, "SI", "covers the load down to -5.1 °C and does not run below"),
        (lambda outdoor: Running(9000.0, 3000.0) if outdoor > 268.0 else None, "IP", "covers the load down to 22.7 °F and does not run below"),
    ],
)
def test_balance_point_is_told_in_words(performance, system: str, words: str) -> None:
    """Where capacity and load meet, or why they do not, is one sentence in the reader's units."""
    assert words in balance_in_words(whole(performance), system)


def test_headings_say_how_frost_is_counted() -> None:
    """Both tables carry the words; without them the headings are plain."""
    plain, counted = (season_tables(whole(), frost=frost) for frost in ("", "without defrost"))
    assert [False, False, True, True] == ["without defrost" in table.caption for table in (*plain, *counted)]
    assert plain[0].rows == counted[0].rows


def test_words_say_what_cycling_and_auxiliary_heat_cost() -> None:
    """Cycling costs the power above the balance point times what the part-load factor leaves off; auxiliary heat its share of heat and energy."""
    found = whole()
    lost = sum(one.hours * one.power * (1.0 - one.part_load_factor) for one in found.bins) * 3600.0
    _, cycling, auxiliary = season_in_words(found)
    assert f"that costs {lost / KILOWATT_HOUR:.0f} kWh, {100.0 * lost / found.energy_machine:.1f} % of its electricity." in cycling
    share = found.energy_auxiliary / (found.energy_auxiliary + found.energy_machine)
    assert f"gives {100.0 * found.heat_auxiliary / found.heat_delivered:.1f} % of the heat and takes {100.0 * share:.1f} % of the energy." in auxiliary


def test_words_say_when_the_machine_stands() -> None:
    """The hours below the temperature at which it stops are told; where it covers all, there is no word of auxiliary heat."""
    cold = sum(one.hours for one in AVERAGE.bins if one.outdoor_temperature < 268.0)
    assert f"In {cold:.0f} of 4910 hours it does not run at all." in season_in_words(whole(lambda outdoor: straight(outdoor) if outdoor > 268.0 else None))
    assert [] == [said for said in season_in_words(whole(lambda outdoor: Running(9000.0, 3000.0))) if "uxiliary" in said]


def choices(**changed) -> SeasonChoices:
    """What an invented house was reckoned with."""
    prices = {"electricity_price": 0.3 / KILOWATT_HOUR, "auxiliary_price": None, "electricity_carbon": None, "auxiliary_carbon": None}
    usual = {
        "machine": demo_machine("R-290"), "climate": AVERAGE, "load": load_in(AVERAGE, 6500.0), "indoor_temperature": 293.15, "degradation": 0.25,
        "auxiliary_cop": 1.0, "prices": prices, "currency": "EUR", "chosen": frozenset({"--design-load"}), "frost": "without defrost",
    }  # fmt: skip
    return SeasonChoices(**(usual | changed))


def test_choices_are_told_with_the_option_that_gave_them() -> None:
    """A choice that was given names its option; every other one says that it is a default, and which option would change it."""
    told = {name: (value, origin) for name, value, origin in choices_table(choices()).rows}
    assert ("6.50 kW", "--design-load") == told["design load"]
    assert ("20.0 °C", "default; --indoor") == told["room"]
    assert ("0.300 EUR/kWh", "-") == (told["price of electricity"][0], told["carbon of electricity"][0])
    assert "22179 Btu/h" in str(choices_table(choices(), "IP"))


def test_prices_of_auxiliary_energy_have_rows_where_they_are_given() -> None:
    """A boiler's price and carbon stand in rows of their own."""
    given = {"electricity_price": 0.3 / KILOWATT_HOUR, "auxiliary_price": 0.1 / KILOWATT_HOUR, "electricity_carbon": 0.0, "auxiliary_carbon": 0.2 / KILOWATT_HOUR}
    told = {name: value for name, value, _ in choices_table(choices(prices=given)).rows}
    assert ("0.100 EUR/kWh", "0.200 kg/kWh") == (told["price of auxiliary energy"], told["carbon of auxiliary energy"])
    assert set() == {"price of auxiliary energy", "carbon of auxiliary energy"} & {row[0] for row in choices_table(choices()).rows}


def test_choices_for_json_are_in_si() -> None:
    """Load, temperatures and prices in SI, the source of the hours, and which options were given; JSON can write it."""
    told = choices_dictionary(choices())
    assert (6500.0, 263.15, 289.15, 293.15, ["--design-load"], "without defrost") == tuple(
        told[key] for key in ("design_load_W", "design_temperature_K", "zero_load_temperature_K", "indoor_K", "chosen", "frost")
    )
    assert ({"electricity_price_per_J", "electricity_carbon_kg_per_J"}, AVERAGE.source) == ({key for key in told if key.startswith("electricity")}, told["climate_source"])
    assert json.loads(json.dumps(told, allow_nan=False)) == told
