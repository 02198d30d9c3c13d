"""A heating season as tables, JSON and sentences (hpteach/season_readouts.py)."""

from __future__ import annotations

import json

import pytest

from hpteach.machine.climate import climate
from hpteach.machine.season import Running, load_in, season
from hpteach.readouts import GENERAL_CAUTION
from hpteach.season_readouts import balance_in_words, season_dictionary, season_tables
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
        (lambda outdoor: Running(100.0, 30.0), "SI", "does not cover the load even in the mildest bin, 15.0 °C: there is no balance point"),
        (lambda outdoor: Running(9000.0, 3000.0) if outdoor > 268.0 else None, "SI", "covers the load down to -5.1 °C and does not run below"),
        (lambda outdoor: Running(9000.0, 3000.0) if outdoor > 268.0 else None, "IP", "covers the load down to 22.7 °F and does not run below"),
    ],
)
def test_balance_point_is_told_in_words(performance, system: str, words: str) -> None:
    """Where capacity and load meet, or why they do not, is one sentence in the reader's units."""
    assert words in balance_in_words(whole(performance), system)
