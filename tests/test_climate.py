"""Heating seasons as bins of hours (hpteach/machine/climate.py, climates.toml).

Hours, shares and formulas are those of tests/reference/04b, 04d and 04e, whose README.md says how each is known.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.errors import DataError, InputError, LimitError, UnknownNameError
from hpteach.fluids import moist_air
from hpteach.machine.climate import (
    MOST_HOURS, OWN_RELATIVE_HUMIDITY, Bin, Climate, climate, climate_from_file, climates, read_climates, read_hours,
)  # fmt: skip
from tests.reference import readme, rows

EUROPEAN = rows("04b_en14825_heating_bins.csv")
AMERICAN = [row for row in rows("04d_us_heating_bins.csv") if re.fullmatch("-?[0-9]+", row["bin_F"])]
FORMULAS = rows("04e_rating_formulas.csv")


def celsius(temperature: float) -> float:
    """What a thermometer in Celsius shows."""
    return round(temperature - 273.15, 6)


def kelvin_of_fahrenheit(text: str) -> float:
    """A printed temperature in Fahrenheit, by the definition of the scale."""
    return (float(text) + 459.67) * 5.0 / 9.0


# Published seasons --------------------------------------------------------------------


@pytest.mark.parametrize("name", ["average", "warmer", "colder"])
def test_bins_are_those_of_the_regulation(name: str) -> None:
    """Every bin with hours in Regulation (EU) 206/2012, Annex II, table 1 stands here with those hours, and no other."""
    published = [(float(row["Tj_C"]), float(row[f"hours_{name}"])) for row in EUROPEAN if float(row[f"hours_{name}"]) > 0.0]
    assert published == [(celsius(one.outdoor_temperature), one.hours) for one in climate(name).bins]


@pytest.mark.parametrize(("name", "hours"), [("average", 2066), ("colder", 2465), ("warmer", 1336)])
def test_heating_load_hours_are_the_published_ones(name: str, hours: int) -> None:
    """The bins give the equivalent heating hours of Regulation (EU) 811/2013, Annex VII, for hydronic heaters, to their whole hour (file 04e)."""
    (printed,) = (row["formula"] for row in FORMULAS if row["item"] == "equivalent heating hours")
    assert f"{2066} / {2465} / {1336} (average/colder/warmer) for hydronic heaters" in printed
    assert hours == round(climate(name).heating_load_hours)


@pytest.mark.parametrize(("name", "design"), [("average", -10.0), ("warmer", 2.0), ("colder", -22.0)])
def test_european_design_temperatures(name: str, design: float) -> None:
    """Design temperatures are those of Regulation (EU) 206/2012, Annex II, table 3; the load is zero at 16 °C (Annex I (15), file 04e)."""
    (printed,) = (row["formula"] for row in FORMULAS if row["item"] == "part load ratio")
    assert "pl(Tj) = (Tj-16)/(Tdesign-16)" == printed
    assert (design, 16.0) == (celsius(climate(name).design_temperature), celsius(climate(name).zero_load_temperature))


def test_american_shares_are_those_of_region_iv() -> None:
    """The shares of 10 CFR 430 appendix M1, region IV (file 04d) come back from the hours, bin by bin."""
    season = climate("us-region-iv")
    published = {round(kelvin_of_fahrenheit(row["bin_F"]), 3): float(row["region_IV_M1"]) for row in AMERICAN if float(row["region_IV_M1"]) > 0.0}
    assert list(reversed(published)) == [round(one.outdoor_temperature, 3) for one in season.bins]
    of_all = season.hours / sum(published.values())
    assert [one.hours for one in season.bins] == pytest.approx([of_all * share for share in reversed(published.values())], rel=1e-12)


def test_american_hours_give_the_heating_load_hours() -> None:
    """Hours follow from the shares so that sum of hours x (55 - bin) / (55 - 5) is the 1701 heating load hours of region IV."""
    (heating_load_hours,) = (row["region_IV"] for row in rows("04d_us_heating_bins.csv") if row["bin_F"] == "HLH Appendix M1 (h)")
    season = climate("us-region-iv")
    by_hand = sum(one.hours * (55.0 - (one.outdoor_temperature * 1.8 - 459.67)) / 50.0 for one in season.bins)
    assert float(heating_load_hours) == pytest.approx(by_hand, rel=1e-9)
    assert float(heating_load_hours) == pytest.approx(season.heating_load_hours, rel=1e-12)


def test_american_hours_agree_with_the_older_method() -> None:
    """The shares of appendix M1 are of all hours below 65 °F: so appendix M (2250 h, zero load 65 °F, from memory) gives as long a season, to its rounding."""
    (older,) = (row["region_IV"] for row in rows("04d_us_heating_bins.csv") if row["bin_F"] == "HLH Appendix M (h)")
    weight = sum(float(row["region_IV"]) * (65.0 - float(row["bin_F"])) / 60.0 for row in AMERICAN)
    season = climate("us-region-iv")
    whole = season.hours / sum(float(row["region_IV_M1"]) for row in AMERICAN)
    assert float(older) / weight == pytest.approx(whole, abs=0.5 / 1701.0 * whole)  # half an hour of the 1701


@pytest.mark.parametrize(
    ("name", "dry_bulb", "wet_bulb"),
    [("average", 7.0, 6.0), ("average", 2.0, 1.0), ("average", -7.0, -8.0), ("warmer", 12.0, 11.0), ("colder", -15.0, -16.0)],
)
def test_european_wet_bulb_is_one_kelvin_lower(name: str, dry_bulb: float, wet_bulb: float) -> None:
    """EN 14825 rates at a wet bulb 1 K below the dry bulb (7(6) seen in Regulation (EU) 206/2012, the rule from memory)."""
    assert {"wet_bulb": pytest.approx(wet_bulb + 273.15, abs=1e-9)} == climate(name).moisture(dry_bulb + 273.15)


@pytest.mark.parametrize(("dry_bulb", "wet_bulb"), [(62, 56.5), (47, 43), (35, 33), (17, 15), (5, 4), (41, 38), (-8, -9), (70, 64.5)])
def test_american_wet_bulbs_go_through_the_rating_points(dry_bulb: float, wet_bulb: float) -> None:
    """Wet bulbs are those of appendix M1 (35/33 °F seen, others from memory), half-way between at half-way, level beyond the ends."""
    assert {"wet_bulb": pytest.approx(kelvin_of_fahrenheit(str(wet_bulb)), abs=1e-3)} == climate("us-region-iv").moisture(kelvin_of_fahrenheit(str(dry_bulb)))


@pytest.mark.parametrize("name", list(climates()))
def test_air_of_every_bin_can_be(name: str) -> None:
    """Each bin of a published season has a wet bulb that moist air can have, between 15 and 95 % of relative humidity."""
    season = climate(name)
    humidity = [moist_air(one.outdoor_temperature, **season.moisture(one.outdoor_temperature)).relative_humidity for one in season.bins]
    assert 0.15 < min(humidity) and max(humidity) < 0.95


def test_air_of_own_hours_has_the_given_humidity() -> None:
    """The moisture of a reader's own season is understood by moist air as it stands."""
    own = read_hours("outdoor,hours\n-40C,24", "mine.csv", relative_humidity=0.7)
    assert 0.7 == pytest.approx(moist_air(233.15, **own.moisture(233.15)).relative_humidity, rel=1e-6)


@pytest.mark.parametrize("name", ["average", "Average", " AVERAGE ", "us region iv", "US_Region_IV"])
def test_climate_is_found_however_it_is_spelled(name: str) -> None:
    """Capitals, blanks and underscores make no other climate."""
    assert climate(name) is climates()[name.strip().lower().replace(" ", "-").replace("_", "-")]


def test_unknown_climate_is_refused_with_the_known_ones() -> None:
    """A climate that is in no list is refused, with those that are."""
    with pytest.raises(UnknownNameError, match="'warm' is not known; did you mean warmer\\? Known are average, warmer, colder, us-region-iv"):
        climate("warm")


def test_every_climate_names_its_sources() -> None:
    """Each published season says where hours and wet bulbs come from."""
    assert [] == [name for name, one in climates().items() if "430" not in one.source + one.moisture_source and "206/2012" not in one.source]
    assert [] == [name for name, one in climates().items() if not one.moisture_source]


def test_readme_of_the_tables_is_true() -> None:
    """The page beside the tables states how many rows the three files have."""
    counts = (len(EUROPEAN), len(rows("04d_us_heating_bins.csv")), len(FORMULAS))
    assert "{} bins of file 04b, {} rows of file 04d and {} rows of file 04e".format(*counts) in readme()


# A climate that cannot be -------------------------------------------------------------

GOOD = Climate("two bins", (Bin(268.15, 100.0), Bin(278.15, 300.0)), 263.15, 289.15, "invented", relative_humidity=0.8)


@pytest.mark.parametrize(
    ("change", "error", "words"),
    [
        ({"bins": ()}, InputError, "has no bins"),
        ({"bins": (Bin(278.15, 1.0), Bin(268.15, 1.0))}, InputError, "bin of -5 °C stands after that of 5 °C"),
        ({"bins": (Bin(268.15, 1.0), Bin(268.15, 1.0))}, InputError, "list each temperature once"),
        ({"bins": (Bin(268.15, -1.0), Bin(278.15, 9.0))}, LimitError, "hours of -1 in the bin of -5 °C"),
        ({"bins": (Bin(268.15, float("nan")),)}, LimitError, "hours of nan"),
        ({"bins": (Bin(float("nan"), 1.0),)}, LimitError, "outdoor temperature of nan"),
        ({"bins": (Bin(393.15, 1.0),)}, LimitError, "120 °C is not one of a season's air: use -60 °C to 60 °C"),
        ({"bins": (Bin(268.15, 0.0),)}, LimitError, "0 hours in all"),
        ({"bins": (Bin(268.15, 8000.0), Bin(278.15, 785.0))}, LimitError, "8785 hours in all.*at most 8784"),
        ({"design_temperature": 103.15}, LimitError, "-170 °C is not one of a season's air"),
        ({"relative_humidity": None}, InputError, "needs one rule of moisture"),
        ({"wet_bulb_depression": ((280.15, 1.0),)}, InputError, "needs one rule of moisture"),
        ({"relative_humidity": 80.0}, LimitError, "relative humidity of 80 cannot be: use 0 to 1"),
    ],
)
def test_climate_that_cannot_be_is_refused(change: dict, error: type, words: str) -> None:
    """Bins, hours, temperatures and moisture that contradict themselves are refused with what to change."""
    with pytest.raises(error, match=words):
        replace(GOOD, **change)


def test_heating_load_hours_want_a_design_below_zero_load() -> None:
    """Without a design temperature below the zero-load temperature there is no load line."""
    with pytest.raises(LimitError, match="design temperature of 16 °C is not below the zero-load temperature of 16 °C"):
        replace(GOOD, design_temperature=289.15).heating_load_hours  # noqa: B018 - asked for its refusal


# The file of seasons ------------------------------------------------------------------

ENTRY = {
    "title": '"a season"', "source": '"invented"', "design_temperature": '"-10C"', "zero_load_temperature": '"16C"',
    "moisture_source": '"invented"', "wet_bulb_depression": '{ "7C" = "1K" }', "hours": '{ "-5C" = 100, "5C" = 300 }',
}  # fmt: skip


def entry(**change: str | None) -> str:
    """The text of a file with one season, some keys changed or left out."""
    return "[here]\n" + "\n".join(f"{key} = {value}" for key, value in (ENTRY | change).items() if value is not None)


def test_a_sound_entry_is_read() -> None:
    """An entry becomes bins from cold to warm with their hours."""
    assert ((268.15, 100.0), (278.15, 300.0)) == read_climates(entry(), "f")["here"].bins


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("here = ", "not readable as TOML"),
        ("here = 3", "here = 3: allowed is a table with the keys"),
        (entry(rain="3"), "here.rain = 3: allowed is only the keys"),
        (entry(title='""'), "here.title = '': allowed is a text"),
        (entry(source=None), "here.source = None: allowed is a text"),
        (entry(hours=None), "here.hours = None: allowed is a table of outdoor temperatures"),
        (entry(hours="{ }"), "here.hours = {}: allowed is a table of outdoor temperatures"),
        (entry(hours='{ "-5" = 100 }'), "here.hours.-5 = '-5': allowed is a temperature with its unit"),
        (entry(hours='{ "-5C" = 0 }'), "here.hours.-5C = 0: allowed is a number above 0"),
        (entry(hours='{ "-5C" = true }'), "here.hours.-5C = True: allowed is a number above 0"),
        (entry(hours='{ "-5C" = nan }'), "here.hours.-5C = nan: allowed is a number above 0"),
        (entry(hours='{ "-5C" = 9000 }'), "here: 9000 hours in all"),
        (entry(hours='{ "5C" = 1, "41F" = 1 }'), "here: bin of 5 °C stands after that of 5 °C"),
        (entry(shares='{ "-5C" = 0.5 }'), "here = .*: allowed is either hours, or shares together with heating_load_hours"),
        (entry(hours=None, shares='{ "-5C" = 0.5 }'), "here = .*: allowed is either hours, or shares together with heating_load_hours"),
        (entry(heating_load_hours="2000"), "here = .*: allowed is either hours, or shares together with heating_load_hours"),
        (entry(hours=None, shares='{ "-5C" = 0.5 }', heating_load_hours="-1"), "here.heating_load_hours = -1: allowed is a number above 0"),
        (entry(hours=None, shares='{ "17C" = 0.5 }', heating_load_hours="900"), "here.shares = .*: allowed is at least one bin below the zero-load temperature"),
        (entry(design_temperature=None), "here.design_temperature = None: allowed is a temperature with its unit"),
        (entry(zero_load_temperature='"16"'), "here.zero_load_temperature = '16': allowed is a temperature with its unit"),
        (entry(hours=None, shares='{ "-5C" = 0.5 }', heating_load_hours="900", design_temperature='"16C"'), "here: design temperature of 16 °C is not below"),
        (entry(wet_bulb_depression='{ "7C" = "1" }'), "here.wet_bulb_depression.7C = '1': allowed is a temperature difference with its unit"),
        (entry(wet_bulb_depression='"1K"'), "here.wet_bulb_depression = '1K': allowed is a table of outdoor temperatures"),
    ],
)
def test_wrong_entry_is_refused_with_file_key_and_value(text: str, words: str) -> None:
    """A wrong file is refused with its name, the key, the value and what is allowed."""
    with pytest.raises(DataError, match=f"mine.toml: {words}"):
        read_climates(text, "mine.toml")


# A reader's own hours -----------------------------------------------------------------

BINS = (Bin(266.15, 24.0), Bin(273.15, 240.5))


@pytest.mark.parametrize(
    "text",
    [
        "outdoor,hours\n-7C,24\n0C,240.5",
        "outdoor,hours\n0C,240.5\n-7C,24\n",
        "outdoor_C,hours\n-7,24\n0,240.5",
        "outdoor_F,hours\n19.4,24\n32,240.5",
        "outdoor_K,hours\n266.15,24\n273.15,240.5",
        "Outdoor temperature (°C), Hours\n-7, 24\n0, 240.5",
        "outdoor [degF]\thours [h]\n19.4\t24\n32\t240.5",
        "outdoor_C;hours\r\n-7,0;24\r\n0,0;240,5\r\n",
        "# an invented place\n\noutdoor,hours\n\n\u22127C,24\n32F,2.405e2\n",
        '"outdoor","hours"\n"-7C","24"\n"0C","240.5"',
    ],
)
def test_hours_are_read_in_any_sensible_form(text: str) -> None:
    """Unit in the heading or in the cells, any order, comma, semicolon or tab, comments and empty lines: the bins are the same."""
    assert BINS == read_hours(text, "mine.csv").bins


def test_own_hours_have_the_stated_choices() -> None:
    """Unless told otherwise the design temperature is that of the coldest bin with hours, zero load at 16 °C, humidity 80 %."""
    text = "outdoor,hours\n-9C,0\n-7C,24\n0C,240.5"
    own, given_by_reader = read_hours(text, "mine.csv"), read_hours(text, "mine.csv", design_temperature=258.15, zero_load_temperature=291.15, relative_humidity=0.7)
    assert (266.15, 289.15, {"relative_humidity": OWN_RELATIVE_HUMIDITY}) == (own.design_temperature, own.zero_load_temperature, own.moisture(280.0))
    assert (258.15, 291.15, {"relative_humidity": 0.7}) == (
        given_by_reader.design_temperature, given_by_reader.zero_load_temperature, given_by_reader.moisture(280.0),
    )  # fmt: skip
    assert "mine.csv" == own.name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty: write two columns"),
        ("# only this\n\n", "is empty: write two columns"),
        ("outdoor,hours\n", "has a heading and no bins"),
        ("-7C,24\n0C,240", "line 1: heading ['-7C', '24']: allowed are two columns, outdoor and hours"),
        ("temp,hours\n-7C,24", "line 1: heading ['temp', 'hours']: allowed are"),
        ("outdoor,days\n-7C,24", "line 1: heading ['outdoor', 'days']: allowed are"),
        ("outdoor\n-7C", "line 1: heading ['outdoor']: allowed are"),
        ("outdoor,hours,hours\n-7C,24,1", "line 1: heading ['outdoor', 'hours', 'hours']: allowed are"),
        ("outdoor,hours\n-7C", "line 2: 1 cells (['-7C'])"),
        ("outdoor,hours\n-7C,240,5", "line 2: 3 cells (['-7C', '240', '5'])"),
        ("outdoor,hours\n-7C,-24", "line 2: hours = '-24': allowed is a number of 0 or more"),
        ("outdoor,hours\n\n-7C,many", "line 3: hours = 'many': allowed is a number of 0 or more"),
        ("outdoor,hours\n-7C,nan", "line 2: hours = 'nan': allowed is a number of 0 or more"),
        ("outdoor,hours\n-7C,inf", "line 2: hours = 'inf': allowed is a number of 0 or more"),
        ("outdoor,hours\n-7C,", "line 2: hours = '': allowed is a number of 0 or more"),
        ("outdoor;hours\n-7C;1,200", "line 2: hours = '1,200': its mark may part thousands or decimals"),
        ("outdoor,hours\n-7C,24h", "line 2: hours = '24h': allowed is a number of 0 or more"),
        ("outdoor,hours\n-7C,9000", "line 2: hours = '9000': allowed are at most 8784"),
        ("outdoor,hours\n-7C,8000\n0C,785", "8785 hours in all: allowed is more than 0 and at most 8784"),
        ("outdoor_C;hours\n-7;1.200", "line 2: hours = '1.200': its mark may part thousands or decimals: write 1200 or 1.2"),
        ("outdoor_C;hours\n-7;1,200", "line 2: hours = '1,200': its mark may part thousands or decimals: write 1200 or 1.2"),
        ("outdoor_C\thours\n-7,125\t12", "line 2: outdoor = '-7,125': its mark may part thousands or decimals: write -7125 or -7.1250"),
        ("outdoor;hours\n-7.125C;12", "line 2: outdoor = '-7.125C': its mark may part thousands or decimals"),
        ("outdoor,hours\n-7C,0", "0 hours in all: allowed is more than 0"),
        ("outdoor,hours\n-7C,24\n0C,1\n-7C,3", "line 4: outdoor = '-7C' stands in line 2 already: allowed is each temperature once"),
        ("outdoor,hours\n0C,24\n32F,1", "line 3: outdoor = '32F' stands in line 2 already"),
        ("outdoor,hours\n-7,24", "line 2: outdoor = '-7': allowed is a temperature from -60C to 60C"),
        ("outdoor,hours\n,24", "line 2: outdoor = '': allowed is a temperature"),
        ("outdoor,hours\nnan,24", "line 2: outdoor = 'nan': allowed is a temperature"),
        ("outdoor,hours\n-7bar,24", "line 2: outdoor = '-7bar': allowed is a temperature"),
        ("outdoor_C,hours\ncold,24", "line 2: outdoor = 'cold': allowed is a temperature"),
        ("outdoor_F,hours\n-7C,24", "line 2: outdoor = '-7C': allowed is a temperature from -60C to 60C (a number without a unit, as the heading has it in F)"),
        ("outdoor_C,hours\n62,24", "line 2: outdoor = '62': allowed is a temperature from -60C to 60C"),
        ("outdoor_C,hours\n-300,24", "line 2: outdoor = '-300': allowed is a temperature"),
        ('outdoor,hours\n"-7C,24', "line 2: '\"-7C,24' cannot be read as cells"),
    ],
)
def test_wrong_hours_are_refused_with_file_line_and_value(text: str, words: str) -> None:
    """A wrong table of hours is refused with file, line, value and what is allowed."""
    with pytest.raises(DataError, match=re.escape(f"mine.csv: {words}")):
        read_hours(text, "mine.csv")


def test_file_of_hours_is_read(tmp_path) -> None:
    """A file as a spreadsheet saves it, with a byte-order mark, is read and names the season."""
    file = tmp_path / "mine.csv"
    file.write_bytes(b"\xef\xbb\xbfoutdoor_C;hours\r\n-7;24\r\n0;240,5\r\n")
    assert ("mine.csv", BINS) == (climate_from_file(file).name, climate_from_file(file).bins)


@pytest.mark.parametrize(("content", "words"), [(None, "cannot be read"), (b"outdoor,hours\n-7\xb0C,24", "is not text in UTF-8")])
def test_file_that_is_no_text_is_refused(tmp_path, content: bytes | None, words: str) -> None:
    """A missing file and one in another encoding are refused by name."""
    if content is not None:
        (tmp_path / "mine.csv").write_bytes(content)
    with pytest.raises(DataError, match=f"^mine.csv: {words}"):
        climate_from_file(tmp_path / "mine.csv")


@given(st.text(max_size=60), st.sampled_from(["", "outdoor,hours\n", "outdoor_C;hours\n", "outdoor_F,hours\n-7,"]))
def test_any_text_is_read_or_refused_in_our_own_words(text: str, head: str) -> None:
    """Whatever stands in a file, it becomes a season or a refusal of this library that names the file."""
    try:
        assert 0.0 < read_hours(head + text, "mine.csv").hours <= MOST_HOURS
    except DataError as error:
        assert str(error).startswith("mine.csv: ")
