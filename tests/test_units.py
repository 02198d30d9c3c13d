"""Reading and showing quantities: every kind, SI and IP, gauge and absolute, differences, altitude, refusals.

The rows of quantities as they are written stand in tests/unit_readings.py, with the sources of their conversion factors.
"""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from hpteach import units
from hpteach.errors import HpteachError, LimitError, Measure, UnitError, UnknownNameError
from tests.unit_readings import PSI, READINGS, SPELT


@pytest.mark.parametrize(("text", "kind", "expected"), READINGS)
def test_text_is_read_into_si(text, kind, expected):
    """A number with its unit becomes SI, whatever the usual spelling."""
    assert expected == pytest.approx(units.read(text, kind), rel=1e-6)


@pytest.mark.parametrize(("text", "kind", "expected"), SPELT)
def test_other_spelling_reads_as_the_same(text, kind, expected):
    """Capitals, degree signs, a delta, units of a vacuum and a decimal comma are understood."""
    assert expected == pytest.approx(units.read(text, kind), rel=1e-6)


@pytest.mark.parametrize("text", ["0.8mPa", "800 mpa", "0.8mPaa", "0.8mPag", "10inHg down"])
def test_milli_is_never_read_as_mega(text):
    """A small m before Pa means a thousandth, which nobody measures here, so it is no known unit; nor is an inch of vacuum."""
    with pytest.raises(UnitError, match="is not known: write the pressure as"):
        units.read(text, "pressure")


@pytest.mark.parametrize("text", ["1,234C", "0,125C", "1,234.5C", "1.234,5C", "1,2,3C", ",5C", "5,C", "1,234,567C"])
def test_comma_that_may_part_thousands_is_refused(text):
    """A comma that is not plainly the decimal mark is refused with what to write."""
    with pytest.raises(UnitError, match=f"'{text}' has a comma that may part thousands or decimals: write a decimal point, as in 7.5"):
        units.read(text, "temperature")


@pytest.mark.parametrize("kind", ["temperature", "pressure", "gauge pressure"])
def test_difference_is_no_temperature(kind):
    """What says that it is a difference is refused where anything else is asked."""
    with pytest.raises(UnitError, match=f"'5 Δ°C' is a temperature difference, not a {kind}"):
        units.read("5 Δ°C", kind)


LOOKING_ALIKE = [
    ("temperature difference", (37.99, 37.98663), "37.990 K, 37.987 K", "68.382 °F, 68.376 °F"),
    ("temperature", (280.1505, 280.15), "7.001 °C, 7.000 °C", "44.601 °F, 44.600 °F"),
    ("temperature", (280.15, 280.15), "7.0 °C, 7.0 °C", "44.6 °F, 44.6 °F"),
    ("temperature", (280.15 + 1e-9, 280.15), "7.0 °C, 7.0 °C", "44.6 °F, 44.6 °F"),
    ("temperature", (280.15, 290.15), "7.0 °C, 17.0 °C", "44.6 °F, 62.6 °F"),
    ("temperature difference", (1e300, -1e-9), "1e+300 K, -1e-09 K", "1.8e+300 °F, -1.8e-09 °F"),
    ("pressure", (1.719e-4, 1e300), "1.719e-09 bar, 1e+295 bar", "2.493e-08 psia, 1.45e+296 psia"),
    ("temperature", (273.15 + 1e-9, 1e9), "0.0 °C, 1e+09 °C", "32.0 °F, 1.8e+09 °F"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "values", "si", "ip"), LOOKING_ALIKE)
def test_refusal_tells_its_quantities_apart(kind, values, si, ip):
    """In a refusal, quantities that differ look different, and none takes more than a few figures."""
    refusal = LimitError("{one}, {other}", one=units.Measure(values[0], kind), other=units.Measure(values[1], kind))
    assert (si, ip) == (units.sentence(refusal), units.sentence(refusal, "IP"))


def test_refusal_keeps_kinds_apart():
    """More decimals for one kind of quantity leave the others as they are."""
    measures = {"one": (280.1505, "temperature"), "other": (280.15, "temperature"), "apart": (5.0, "temperature difference")}
    refusal = LimitError("{one}, {other}, {apart}", **{name: units.Measure(*measure) for name, measure in measures.items()})
    assert "7.001 °C, 7.000 °C, 5.0 K" == units.sentence(refusal)


def test_every_kind_is_read_and_shown():
    """Each kind of quantity has readings above, and a label in SI and in IP."""
    assert set(units.KINDS) == {kind for _, kind, _ in READINGS}
    for kind in units.KINDS:
        assert (kind == "ratio") == (units.unit_shown(kind, "SI").label == "") == (units.unit_shown(kind, "IP").label == "")


SHOWN = [
    (318.15, "temperature", "45.0 °C", "113.0 °F"),
    (5.0, "temperature difference", "5.0 K", "9.0 °F"),
    (8.5e5, "pressure", "8.50 bar", "123.3 psia"),
    (914906.4, "gauge pressure", "8.14 bar g", "118.0 psig"),
    (1.5e5, "pressure difference", "1.50 bar", "21.8 psi"),
    (40e3, "specific energy", "40.0 kJ/kg", "17.20 Btu/lb"),
    (1750.0, "specific entropy", "1.7500 kJ/(kg·K)", "0.4180 Btu/(lb·°R)"),
    (30.0, "density", "30.00 kg/m³", "1.873 lb/ft³"),
    (0.03, "specific volume", "30.000 dm³/kg", "0.4806 ft³/lb"),
    (10e3, "power", "10.00 kW", "34121 Btu/h"),
    (2.5e3, "electric power", "2.50 kW", "2.50 kW"),
    (0.05, "mass flow", "0.0500 kg/s", "396.8 lb/h"),
    (0.005, "volume flow", "18.00 m³/h", "10.59 ft³/min"),
    (4e6, "volumetric capacity", "4000 kJ/m³", "107.4 Btu/ft³"),
    (1600.0, "length", "1600 m", "5249 ft"),
    (0.5, "air flow", "1800 m³/h", "1059 ft³/min"),
    (0.0005, "water flow", "1.80 kg/h", "3.97 lb/h"),
    (0.008, "humidity ratio", "8.00 g/kg", "56.0 gr/lb"),
    (0.5, "relative humidity", "50 %", "50 %"),
    (0.0003, "thickness", "0.30 mm", "0.012 in"),
    (2.0, "mass", "2.00 kg", "4.41 lb"),
    (4200.0, "carbon dioxide equivalent", "4.20 t CO2e", "4.20 t CO2e"),
    (30.0, "volume", "30.0 m³", "1059 ft³"),
    (0.012, "cylinder volume", "12.0 L", "0.42 ft³"),
    (0.5 * 133.3224, "vacuum", "0.67 mbar", "500 micron"),
    (90.0, "duration", "1.5 min", "1.5 min"),
    (1.4e6, "heat", "1400 kJ", "1327 Btu"),
    (1.8e9, "energy", "500 kWh", "500 kWh"),
    (0.7, "ratio", "0.700", "0.700"),
    (0.125, "share", "12.5 %", "12.5 %"),
]


@pytest.mark.parametrize(("value", "kind", "si", "ip"), SHOWN)
def test_si_is_shown_in_the_readers_units(value, kind, si, ip):
    """A value in SI is written with its unit, in SI and in IP."""
    assert (si, ip) == (units.show(value, kind), units.show(value, kind, "IP"))


@pytest.mark.parametrize("kind", [kind for kind in units.KINDS if kind != "relative humidity"])
def test_base_unit_is_read_as_si(kind):
    """A number beside the base unit of its kind is the number that is computed with."""
    assert 250.0 == units.read(f"250 {units.base_unit(kind)}", kind)


def test_difference_is_never_converted_like_a_temperature():
    """5 C is 278.15 K as a temperature and 5 K as a difference; 9 F of superheat is 5 K, not -12.8 C."""
    assert (278.15, 5.0) == (units.read("5C", "temperature"), units.read("5C", "temperature difference"))
    assert (5.0, "9.0 °F") == (units.read("9F", "temperature difference"), units.show(5.0, "temperature difference", "IP"))


def test_negative_zero_is_shown_as_zero():
    """A value that rounds to zero is written without a sign."""
    assert ("0.0 K", "0.0 °C") == (units.show(-1e-9, "temperature difference"), units.show(273.15 - 1e-9, "temperature"))


def test_decimals_may_be_chosen():
    """The number of decimals can be set by the caller."""
    assert "45.00 °C" == units.show(318.15, "temperature", decimals=2)


@pytest.mark.parametrize("text", ["118psi", "118 psi", "118 PSI", "118 Psi"])
@pytest.mark.parametrize("kind", [kind for kind in units.KINDS if kind != "pressure difference"])
def test_psi_alone_is_refused_as_ambiguous(text, kind):
    """psi does not say gauge or absolute, and the refusal says how to write either."""
    with pytest.raises(UnitError, match="does not say gauge or absolute: write psig or psia"):
        units.read(text, kind)


def test_absolute_pressure_is_refused_where_a_gauge_reading_is_asked():
    """A gauge reading is not taken from an absolute unit."""
    with pytest.raises(UnitError, match="'8.5bar' is an absolute pressure, not a gauge pressure: write it as 7.5barg or 118psig"):
        units.read("8.5bar", "gauge pressure")


@pytest.mark.parametrize("kind", [kind for kind in units.KINDS if kind != "ratio"])
def test_bare_number_is_refused_with_an_example(kind):
    """A number without a unit is refused, and the refusal shows how the kind is written."""
    with pytest.raises(UnitError, match="'5' has no unit of .*: write it as "):
        units.read("5", kind)


@pytest.mark.parametrize("kind", units.KINDS)
@pytest.mark.parametrize("other", units.KINDS)
def test_unit_of_another_quantity_is_refused(kind, other):
    """A reading of one kind is refused where another is asked, but for the pairs that share their units."""
    shares = {
        ("temperature", "temperature difference"), ("gauge pressure", "pressure"), ("volume flow", "air flow"), ("mass flow", "water flow"),
        ("ratio", "relative humidity"), ("heat", "energy"), ("power", "electric power"), ("length", "thickness"),
        ("pressure", "vacuum"), ("pressure difference", "pressure"), ("pressure difference", "gauge pressure"), ("pressure difference", "vacuum"), ("volume", "cylinder volume"), ("mass", "carbon dioxide equivalent"), ("ratio", "share"), ("relative humidity", "share"),
    }  # fmt: skip
    for text, read_as, _ in READINGS:
        if read_as != kind or kind == other or (kind, other) in shares or (other, kind) in shares:
            continue
        with pytest.raises(UnitError):
            units.read(text, other)


@pytest.mark.parametrize(
    "text",
    ["", " ", "C", "warm", "--5C", ",", "5 C C", "1_0C", "0x10C", "nan C", "inf C", "-inf C", "NaN", "5 furlong", "5{x}", "{x}C", "5C\x00", "5e", "½C"],
)  # fmt: skip
def test_unreadable_text_is_refused_with_an_example(text):
    """What is no number with a known unit is refused, and the refusal shows how it is written."""
    with pytest.raises(UnitError, match="write the temperature as 5C, 41F or 278.15K"):
        units.read(text, "temperature")


@pytest.mark.parametrize("text", ["5" * 70 + "C", "5C" + " " * 100, "x" * 100_000])
def test_huge_text_is_refused_without_being_repeated(text):
    """A text too long to be a quantity is refused in a short sentence."""
    with pytest.raises(UnitError, match="characters is too long") as refusal:
        units.read(text, "temperature")
    assert len(str(refusal.value)) < 200


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("1e400C", "temperature"), ("-1e400 psig", "pressure"), ("1e308psig", "pressure"), ("1e305MPa", "pressure"),
        ("1e308ton", "power"), ("-1e308 barg", "gauge pressure"), ("1e306 kJ/kg", "specific energy"),
    ],
)  # fmt: skip
def test_number_beyond_the_finite_is_refused(text, kind):
    """A number that overflows, before or after its conversion, is refused."""
    with pytest.raises(LimitError):
        units.read(text, kind)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("-273.15C", "temperature", "absolute zero"), ("-460F", "temperature", "absolute zero"), ("0K", "temperature", "absolute zero"),
        ("-1R", "temperature", "absolute zero"),
        ("0Pa", "pressure", "vacuum"), ("-1bar", "pressure", "vacuum"), ("-14.7psig", "pressure", "vacuum"),
        ("-1.1barg", "pressure", "a gauge cannot read below -1.013 bar"), ("-5barg", "gauge pressure", "vacuum"),
        ("0kg/m3", "density", "not positive"), ("-30dm3/kg", "specific volume", "not positive"),
    ],
)  # fmt: skip
def test_value_that_cannot_be_is_refused(text, kind, says):
    """Absolute zero, a perfect vacuum and matter without mass are refused, naming the value given."""
    with pytest.raises(LimitError, match=says) as refusal:
        units.read(text, kind)
    assert text in str(refusal.value)


def test_unknown_kind_and_system_are_refused_by_name():
    """A kind or a unit system that does not exist is refused with the known ones."""
    with pytest.raises(UnknownNameError, match="kind of quantity 'presure' is not known; did you mean pressure"):
        units.read("5bar", "presure")
    with pytest.raises(UnknownNameError, match="known are SI, IP"):
        units.show(5.0, "power", "imperial")


def test_gauge_readings_follow_the_air_pressure():
    """At 1600 m the same gauge reading is a lower absolute pressure, and reading and showing agree on it."""
    air = units.atmosphere_at(1600.0)
    absolute = units.read("118psig", "pressure", atmosphere=air)
    assert 118 * PSI + air == pytest.approx(absolute)
    assert "118.0 psig" == units.show(absolute, "gauge pressure", "IP", atmosphere=air)
    assert units.read("24psia", "pressure") == units.read("24psia", "pressure", atmosphere=air)


# ASHRAE Handbook - Fundamentals, chapter Psychrometrics, table of the standard atmosphere (from memory, not seen here).
@pytest.mark.parametrize(
    ("altitude", "kilopascal"), [(-500, 107.478), (0, 101.325), (500, 95.461), (1000, 89.875), (1500, 84.556), (2000, 79.495), (3000, 70.108), (5000, 54.020)]
)  # fmt: skip
def test_air_pressure_at_an_altitude(altitude, kilopascal):
    """The standard atmosphere agrees with ASHRAE's printed table to half its last digit."""
    assert kilopascal == pytest.approx(units.atmosphere_at(altitude) / 1e3, abs=0.0005)


@pytest.mark.parametrize("altitude", [-500.1, 5000.1, 1e300, math.inf, -math.inf, math.nan])
def test_altitude_outside_the_standard_atmosphere_is_refused(altitude):
    """An altitude outside -500 to 5000 m is refused with the range, in metres or in feet."""
    with pytest.raises(LimitError) as refusal:
        units.atmosphere_at(altitude)
    tenths = ".0" if math.isfinite(altitude) and abs(altitude) < 1e6 else ""  # a tenth of a metre is told apart from the limit
    assert f"-500{tenths} m to 5000{tenths} m" in units.sentence(refusal.value)
    assert "ft to 16404" in units.sentence(refusal.value, "IP")


@pytest.mark.parametrize(
    ("spelling", "measures"),
    [
        ("kJ/kg", "specific energy"), ("psig", "gauge pressure"), ("bar g", "gauge pressure"), ("bar", "absolute pressure"),
        ("°C", "temperature"), ("kg/m³", "density"), ("%", "ratio"), ("furlong", None), ("psi", None),
    ],
)  # fmt: skip
def test_unit_says_what_it_measures(spelling, measures):
    """A unit's spelling tells the quantity it measures, an unknown one nothing."""
    assert measures == units.measured_by(spelling)


NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
SPELLINGS = st.sampled_from([*sorted({text.lstrip("+-.0123456789e \N{MINUS SIGN}") for text, _, _ in READINGS}), "psi", "furlong"])


@given(st.text(max_size=80), st.sampled_from(units.KINDS))
def test_any_text_is_read_or_refused(text, kind):
    """Whatever is typed, the answer is a finite number or a refusal of the library's own."""
    try:
        assert math.isfinite(units.read(text, kind))
    except HpteachError as refusal:
        assert str(refusal)


@given(NUMBERS, SPELLINGS, st.sampled_from(units.KINDS))
@example(1e308, "psig", "pressure")
def test_any_number_with_any_unit_is_read_or_refused(number, spelling, kind):
    """Whatever the number and the unit, the answer is a finite number or a refusal of the library's own."""
    try:
        assert math.isfinite(units.read(f"{number!r}{spelling}", kind))
    except HpteachError as refusal:
        assert str(refusal)


@given(st.floats(1e-3, 1e7), st.sampled_from(units.KINDS), st.sampled_from(units.SYSTEMS))
def test_shown_number_turns_back_into_the_value(value, kind, system):
    """The number shown, put back in the same unit, is the value again."""
    assert value == pytest.approx(units.base_number(units.shown_number(value, kind, system), kind, system), rel=1e-9, abs=1e-7)


@given(st.floats(200.0, 500.0), st.sampled_from([kind for kind in units.KINDS if "pressure" not in kind]), st.sampled_from(units.SYSTEMS))
def test_text_shown_can_be_read_again(value, kind, system):
    """What is shown, with its label, is text that reads as the same value."""
    assert value == pytest.approx(units.read(units.show(value, kind, system, decimals=12), kind), rel=1e-6)


@given(st.floats(2e5, 5e6), st.sampled_from(["pressure", "gauge pressure"]), st.sampled_from(units.SYSTEMS), st.floats(5e4, 1.1e5))
def test_pressure_shown_gauge_or_absolute_can_be_read_again(value, kind, system, atmosphere):
    """A pressure shown as gauge or as absolute reads as the same absolute pressure, at any air pressure."""
    text = units.show(value, kind, system, atmosphere=atmosphere, decimals=9)
    assert value == pytest.approx(units.read(text, "pressure", atmosphere=atmosphere), rel=1e-9)


@given(st.floats(1.0, 1e6), st.floats(1.0, 1e6))
def test_difference_of_temperatures_is_shown_as_a_difference(one, other):
    """The shown numbers of two temperatures differ by the shown number of their difference."""
    for system in units.SYSTEMS:
        apart = units.shown_number(one, "temperature", system) - units.shown_number(other, "temperature", system)
        assert apart == pytest.approx(units.shown_number(one - other, "temperature difference", system), abs=1e-6)


@pytest.mark.parametrize(("bound", "system", "shown"), [
    ("most", "SI", "35.88 bar"), ("least", "SI", "35.89 bar"), ("most", "IP", "520.5 psia"), ("least", "IP", "520.6 psia"), ("", "SI", "35.89 bar"),
])
def test_limit_in_a_refusal_is_rounded_to_its_allowed_side(bound, system, shown):
    """The figure that a refusal tells the reader to use can be used."""
    error = LimitError("use {limit}", limit=Measure(35.888e5, "pressure", bound))
    assert f"use {shown}" == units.sentence(error, system)
