"""A heating season from the options of the command line (hpteach/season_options.py)."""

from __future__ import annotations

import itertools
from argparse import Namespace

import pytest

from hpteach import season_options
from hpteach.errors import HpteachError
from hpteach.machine import demo_machine, machine_text
from hpteach.machine.climate import climate
from hpteach.options import OPTIONS, Reader
from hpteach.season_options import DEFAULT_REFRIGERANT, MONEY, climate_of, rate, season_of

KILOWATT_HOUR = 3.6e6  # J
CHOICES = ("--climate", "--design-load", "--design-temperature", "--zero-load", *MONEY)


def options(**changed) -> Namespace:
    """The options of a season as they are when none is given."""
    none = {option.removeprefix("--").replace("-", "_"): OPTIONS[option].default for option in CHOICES}
    return Namespace(**(none | {"refrigerant": None, "machine": None, "indoor": "20C"} | changed))


def reader(atmosphere: float = 101325.0) -> Reader:
    """Whoever reads, in an air pressure (Pa)."""
    found = Reader(run=lambda command: 0)
    found.atmosphere = atmosphere
    return found


@pytest.fixture
def hours(tmp_path):
    """A reader's own file of two bins (invented)."""
    file = tmp_path / "mine.csv"
    file.write_text("outdoor_C,hours\n-8,50\n9,400\n", encoding="utf-8")
    return str(file)


@pytest.mark.parametrize(
    ("text", "what", "value", "currency"),
    [
        ("0.30/kWh", "price", 0.30 / KILOWATT_HOUR, ""),
        ("0.30 EUR/kWh", "price", 0.30 / KILOWATT_HOUR, "EUR"),
        ("$0.15 / kWh", "price", 0.15 / KILOWATT_HOUR, "$"),
        ("30ct/kWh", "price", 30.0 / KILOWATT_HOUR, "ct"),
        ("0,30€/kwh", "price", 0.30 / KILOWATT_HOUR, "€"),
        ("90/MWh", "price", 90.0 / 3.6e9, ""),
        ("1.20 USD/therm", "price", 1.20 / 1.05505585262e8, "USD"),
        ("0.25kg/kWh", "carbon", 0.25 / KILOWATT_HOUR, "kg"),
        ("250 g/kWh", "carbon", 0.25 / KILOWATT_HOUR, "kg"),
        ("0.8lb/kWh", "carbon", 0.8 * 0.45359237 / KILOWATT_HOUR, "kg"),
        ("56kg/GJ", "carbon", 56.0 / 1e9, "kg"),
        ("0/kWh", "price", 0.0, ""),
    ],
)  # fmt: skip
def test_price_and_carbon_are_read_for_each_joule(text: str, what: str, value: float, currency: str) -> None:
    """A price has any currency or none, carbon a mass; both are for a unit of energy (a therm is 100 000 Btu, a Btu 1055.05585262 J)."""
    assert (pytest.approx(value, rel=1e-12), currency) == rate(text, what)


@pytest.mark.parametrize("text", ["0.30", "0.30/", "/kWh", "-1/kWh", "0.3/kWh/h", "1 000/kWh", "0.3 EUR/kg", "EUR 0.3 USD/kWh", "{a}/kWh", "nan/kWh", "x" * 80])
def test_price_that_is_none_is_refused(text: str) -> None:
    """What is no price for a unit of energy is refused with what to write."""
    with pytest.raises(HpteachError, match="kWh"):
        rate(text, "price")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1,234/kWh", "has a comma that may part thousands or decimals: write 1234 or 1.234"),
        ("1,200 EUR/MWh", "has a comma that may part thousands or decimals: write 1200 or 1.2"),
        ("0.3/mWh", "is for a thousandth of a watt-hour or joule: write kWh, MWh or MJ"),
        ("0.3/mJ", "is for a thousandth of a watt-hour or joule: write kWh, MWh or MJ"),
    ],
)
def test_price_that_may_mean_two_things_is_refused(text: str, words: str) -> None:
    """A comma before three figures, and a small m before a unit of energy, are sent back."""
    with pytest.raises(HpteachError) as refused:
        rate(text, "price")
    assert f"{text!r} {words}" in str(refused.value)


@pytest.mark.parametrize("text", ["0.25/kWh", "0.25bar/kWh", "kg 0.25/kWh", "0.25 EUR/kWh"])
def test_carbon_without_a_mass_is_refused(text: str) -> None:
    """Carbon without kg, g or lb is refused."""
    with pytest.raises(HpteachError, match="kg, g or lb"):
        rate(text, "carbon")


def test_climate_is_a_name_or_a_file(hours) -> None:
    """A published season goes by its name; a file of hours by its path."""
    assert climate("us-region-iv") == climate_of(options(climate="US region IV"))
    assert [50.0, 400.0] == [one.hours for one in climate_of(options(climate=hours)).bins]


def test_temperatures_of_the_house_may_be_given(hours) -> None:
    """Design and zero-load temperature are those of the climate unless given."""
    there = climate_of(options(climate=hours))
    changed = climate_of(options(climate=hours, design_temperature="-12C", zero_load="59F"))
    assert ((265.15, 289.15), (261.15, 288.15)) == tuple((one.design_temperature, one.zero_load_temperature) for one in (there, changed))


def test_every_choice_that_was_not_given_is_the_default(hours) -> None:
    """Without options the bench unit of the default refrigerant heats a house of 9 kW at 20 °C, without prices."""
    found, choices, remarks = season_of(options(climate=hours), reader())
    assert (demo_machine(DEFAULT_REFRIGERANT), 9000.0, 293.15, 0.25, 1.0, ()) == (
        choices.machine, choices.load.design_load, choices.indoor_temperature, choices.degradation, choices.auxiliary_cop, remarks,
    )  # fmt: skip
    assert (None, None, frozenset()) == (found.cost, found.carbon, choices.chosen)


def test_choices_reach_the_season(hours) -> None:
    """Load, prices, carbon, auxiliary COP and degradation change the season as its own functions say."""
    found, choices, _ = season_of(
        options(
            climate=hours, refrigerant="R-290", design_load="7kW", auxiliary_cop="90%", degradation="0.1", electricity_price="0.3 EUR/kWh",
            auxiliary_price="0.1 EUR/kWh", carbon="250g/kWh", auxiliary_carbon="200g/kWh",
        ),
        reader(),
    )  # fmt: skip
    assert ("R-290", "EUR", 7000.0) == (choices.machine.refrigerant, choices.currency, found.bins[0].load)
    mild = found.bins[1]
    assert 1.0 - 0.1 * (1.0 - mild.part_load_share) == pytest.approx(mild.part_load_factor)
    assert found.heat_auxiliary / 0.9 == pytest.approx(found.energy_auxiliary)
    used = (found.energy_machine / KILOWATT_HOUR, found.energy_auxiliary / KILOWATT_HOUR)
    assert (0.3 * used[0] + 0.1 * used[1], 0.25 * used[0] + 0.2 * used[1]) == (pytest.approx(found.cost), pytest.approx(found.carbon))


def test_file_and_variable_speed_reach_the_season(hours, tmp_path) -> None:
    """A machine file is read; a compressor of variable speed follows the load, so that it does not cycle in the cold bin."""
    file = tmp_path / "mine.toml"
    file.write_text(machine_text(demo_machine("R-32 variable speed")), encoding="utf-8")
    found, choices, _ = season_of(options(climate=hours, machine=str(file), design_load="6kW"), reader())
    assert (demo_machine("R-32 variable speed"), pytest.approx(1.0, abs=1e-3)) == (choices.machine, found.bins[0].part_load_share)
    assert found.bins[0].note.startswith("speed 0.")


def test_output_options_are_no_choices(hours) -> None:
    """How a season is shown is no choice of it."""
    seen = {"--json": True, "--units": "IP", "--altitude": "0m", "--climate": hours}
    assert {"--altitude", "--climate"} == season_of(options(climate=hours, _seen=seen), reader())[1].chosen


def test_long_season_tells_how_far_it_is(hours, monkeypatch) -> None:
    """Where nothing was said for some seconds, a sentence tells the bin; a quick season says nothing."""
    quick: list[str] = []
    monkeypatch.setattr(season_options, "monotonic", lambda: 0.0)
    season_of(options(climate=hours), reader(), quick.append)
    ticks = itertools.count(0.0, 3.0)
    monkeypatch.setattr(season_options, "monotonic", lambda: next(ticks))
    slow: list[str] = []
    season_of(options(climate=hours), reader(), slow.append)
    assert ([], ["Working: most capacity, bin 1 of 2.", "Working: most capacity, bin 2 of 2."]) == (quick, slow[:2])


def test_thin_air_reaches_the_season(hours) -> None:
    """At an altitude the machine gives less."""
    here, there = (season_of(options(climate=hours), reader(air))[0].bins[1].capacity for air in (101325.0, 80e3))
    assert there < here


@pytest.mark.parametrize(
    ("changed", "begins"),
    [
        ({"climate": "alpine"}, "--climate: climate 'alpine' is not known; known are average, warmer, colder, us-region-iv; your own hours are a file that ends in .csv"),
        ({"climate": "nowhere.csv"}, "--climate: nowhere.csv: cannot be read (No such file or directory)"),
        ({"design_load": "9"}, "--design-load: '9' has no unit of power"),
        ({"design_load": "0kW"}, "--design-load 0kW: design load of 0 is not positive"),
        ({"design_temperature": "20C"}, "--design-temperature 20C: design temperature of 20 °C is not below the zero-load temperature of 16 °C"),
        ({"zero_load": "100C"}, "--zero-load 100C: outdoor temperature of 100 °C is not one of a season's air"),
        ({"indoor": "20"}, "--indoor: '20' has no unit of temperature"),
        ({"indoor": "70C"}, "--indoor 70C: room temperature of 70 °C is not one to which a house is heated: use 5 °C to 35 °C, and a --zero-load"),
        ({"indoor": "4C"}, "--indoor 4C: room temperature of 4 °C is not one to which a house is heated"),
        ({"zero_load": "22C"}, "--indoor 20C and --zero-load 22C contradict each other: a room at 20 °C loses no heat to air at 22 °C"),
        ({"indoor": "10C"}, "--indoor 10C and --zero-load contradict each other: a room at 10 °C loses no heat to air at 16 °C"),
        ({"zero_load": "-20C"}, "--zero-load -20C: zero-load temperature of -20 °C is not above the design temperature of -10 °C"),
        ({"design_load": "5W"}, "--design-load 5W is less than any house needs: use 100 or more, such as 9000"),
        ({"auxiliary_cop": "90"}, "--auxiliary-cop 90: auxiliary COP of 90 is more than any source of heat has: was a percentage meant? Write 0.9 for 90 %"),
        ({"degradation": "2"}, "--degradation 2: degradation of 2 cannot be: use 0"),
        ({"auxiliary_cop": "0"}, "--auxiliary-cop 0: auxiliary COP of 0 is not positive"),
        ({"electricity_price": "0.3"}, "--electricity-price: '0.3' is no price for a unit of energy"),
        ({"carbon": "0.3/kWh"}, "--carbon: '0.3/kWh' does not say how much carbon dioxide"),
        ({"auxiliary_price": "0.1/kWh"}, "--auxiliary-price 0.1/kWh stands without --electricity-price"),
        ({"auxiliary_carbon": "0.1kg/kWh"}, "--auxiliary-carbon 0.1kg/kWh stands without --carbon"),
        (
            {"electricity_price": "0.3 EUR/kWh", "auxiliary_price": "0.1/kWh"},
            "--electricity-price 0.3 EUR/kWh and --auxiliary-price 0.1/kWh are not in one currency",
        ),
        ({"refrigerant": "R-32", "machine": "R-290"}, "--refrigerant R-32 and --machine R-290, which holds R-290, contradict each other"),
    ],
)  # fmt: skip
def test_season_that_cannot_be_is_refused_by_its_option(changed: dict, begins: str) -> None:
    """A refusal begins with the option that is to blame."""
    with pytest.raises(HpteachError) as refused:
        season_of(options(**changed), reader())
    assert str(refused.value).startswith(begins)


@pytest.mark.parametrize(
    ("text", "begins"),
    [
        ("outdoor_C,hours\n-5,-3\n", "--climate {file}: mine.csv: line 2: hours = '-3'"),
        ("outdoor,hours\n-5,3\n", "--climate {file}: mine.csv: line 2: outdoor = '-5'"),
        ("", "--climate {file}: mine.csv: is empty"),
        ("outdoor_C,hours\n20,30\n", "--climate {file}: its coldest bin with hours, 20 °C, is not below the zero-load temperature of 16 °C"),
    ],
)
def test_hours_that_cannot_be_are_refused(text: str, begins: str, tmp_path) -> None:
    """A file of hours is refused with the option, the file and the line."""
    file = tmp_path / "mine.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(HpteachError) as refused:
        season_of(options(climate=str(file)), reader())
    assert str(refused.value).startswith(begins.format(file=str(file)[:60]))


def test_load_that_no_bin_asks_for_is_refused(hours) -> None:
    """Where every bin is warmer than the house needs, there is nothing to heat, and the climate is blamed."""
    with pytest.raises(HpteachError) as refused:
        season_of(options(climate=hours, design_temperature="-30C", zero_load="-20C"), reader())
    assert str(refused.value).startswith(f"--climate {hours[:60]}: no bin with hours is below the zero-load temperature of -20 °C")


def test_air_too_thin_blames_the_altitude(hours) -> None:
    """An air pressure outside the model is no fault of the room's option."""
    with pytest.raises(HpteachError) as refused:
        season_of(options(climate=hours), reader(42e3))
    assert str(refused.value).startswith("--altitude or --atmosphere: air pressure of 0.42 bar")
