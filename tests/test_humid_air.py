"""Moist air against rating conditions, an independent code and a handbook table; wet bulbs on both sides of freezing; saturated air in a hurry."""

import math
import random
import re
import threading
import timeit

import pytest
from CoolProp.CoolProp import HAPropsSI

from hpteach.errors import InputError, LimitError, PropertyError
from hpteach.fluids import MoistAir, humid_air, moist_air, saturated_air, water
from tests.reference import half_digit, readme, rows

ZERO_CELSIUS = 273.15
STANDARD_ATMOSPHERE = 101325.0
PRESSURES = (50e3, 101325.0, 110e3)

WET_BULBS = {
    # Rounded to the hundredth of a kelvin in the columns in C, so read from the columns in the printed unit.
    "C": lambda printed: float(printed) + ZERO_CELSIUS,
    "F": lambda printed: (float(printed) - 32.0) / 1.8 + ZERO_CELSIUS,
}
RATINGS = [
    (row["code"], WET_BULBS[row["unit"]](row[f"{side}_db"]), WET_BULBS[row["unit"]](row[f"{side}_wb"]), row[f"CoolProp_{side}_RH_pct"],
     row.get(f"CoolProp_{side}_W_g_per_kg", ""))
    for row in rows("04_rating_conditions.csv") for side in ("indoor", "outdoor") if row[f"{side}_wb"] and row[f"CoolProp_{side}_RH_pct"]
]  # fmt: skip

# psychrolib 2.5.0 has the ideal-gas formulas of ASHRAE Handbook - Fundamentals 2017: no enhancement factor (water vapour beside air
# saturates 0.4 to 0.5 % higher than alone) and no compressibility (dry air is up to 0.07 % denser).  By quantity: tolerance, and whether it is a share.
IDEAL_GAS = {"W": (0.0065, True), "v": (0.0008, True), "RH": (0.13, False), "h": (0.2, False), "dew point": (0.03, False)}
PSYCHROLIB = [row for row in rows("08_independent_checks.csv") if row["library"].startswith("psychrolib")]
POINT = re.compile(r"(-?\d+)/W?(-?\d+)(?: (F))?")

# ASHRAE Handbook - Fundamentals, chapter Psychrometrics, table of moist air at 101.325 kPa (from memory, not seen here): C, then
# humidity ratio in kg/kg and enthalpy in kJ/kg as printed, and printed minus computed in units of the last digit.  The table
# rests on Hyland & Wexler (1983), whose water vapour pressure lies 0.01 to 0.02 % lower above 0 C; ice agrees.
HANDBOOK = [
    (-10.0, "0.0016062", "-6.070", 0, 0),
    (0.0, "0.003790", "9.475", 0, 0),
    (20.0, "0.014758", "57.555", -2, -4),
    (30.0, "0.027329", "100.006", -4, -4),
]


def celsius(value):
    return value + ZERO_CELSIUS


@pytest.mark.parametrize(("code", "dry_bulb", "wet_bulb", "humidity", "ratio"), RATINGS)
def test_rating_conditions_have_the_humidity_that_the_librarys_own_search_found(code, dry_bulb, wet_bulb, humidity, ratio):
    """From dry and wet bulb of each rating condition come the humidities that the property library's own search gave (AHRI 210/240, EN 14511, EN 14825)."""
    air = moist_air(dry_bulb, wet_bulb=wet_bulb)
    assert float(humidity) == pytest.approx(air.relative_humidity * 100.0, abs=half_digit("0.0"))
    if ratio:
        assert float(ratio) == pytest.approx(air.humidity_ratio * 1000.0, abs=half_digit("0.000"))


def test_readme_counts_what_holds():
    """The page of the published values says how many humidities of the rating conditions and how many rows of the other code there are."""
    page = " ".join(readme().split())
    assert f"{len(RATINGS)} relative humidities and {sum(bool(ratio) for *_, ratio in RATINGS)} humidity ratios of the rating conditions" in page
    assert f"psychrolib 2.5.0 for moist air ({len(PSYCHROLIB)} rows)" in page


@pytest.mark.parametrize("row", PSYCHROLIB, ids=lambda row: f"{row['point']}: {row['quantity']}")
def test_ideal_gas_formulas_of_another_code_lie_within_what_they_leave_out(row):
    """An independent code agrees within the enhancement factor and the compressibility that the ideal gas leaves out (psychrolib 2.5.0)."""
    dry_bulb, wet_bulb, fahrenheit = POINT.search(row["point"]).groups()
    read = WET_BULBS["F" if fahrenheit else "C"]
    air = moist_air(read(dry_bulb), wet_bulb=read(wet_bulb))
    computed = {
        "W": air.humidity_ratio * 1000.0,
        "RH": air.relative_humidity * 100.0,
        "h": air.enthalpy / 1000.0,
        "dew point": air.dew_point - ZERO_CELSIUS,
        "v": air.specific_volume,
    }[row["quantity"]]
    tolerance, relative = IDEAL_GAS[row["quantity"]]
    assert float(row["library_value"]) == pytest.approx(computed, abs=tolerance * (abs(computed) if relative else 1.0))


def test_ideal_gas_carries_less_water_everywhere():
    """Without the enhancement factor each humidity ratio of the other code lies 0.4 to 0.65 % low, so the difference has one cause and one sign."""
    ratios = [row for row in PSYCHROLIB if row["quantity"] == "W"]
    assert 11 == len(ratios)
    for row in ratios:
        dry_bulb, wet_bulb, fahrenheit = POINT.search(row["point"]).groups()
        read = WET_BULBS["F" if fahrenheit else "C"]
        assert 0.004 < 1.0 - float(row["library_value"]) / (moist_air(read(dry_bulb), wet_bulb=read(wet_bulb)).humidity_ratio * 1000.0) < 0.0065


@pytest.mark.parametrize(("temperature", "ratio", "enthalpy", "ratio_off", "enthalpy_off"), HANDBOOK)
def test_saturated_air_of_the_handbook(temperature, ratio, enthalpy, ratio_off, enthalpy_off):
    """Saturated air has the handbook's humidity and enthalpy to the last digit over ice, and a few digits off above (from memory, not seen here)."""
    air = moist_air(celsius(temperature), relative_humidity=1.0)
    for printed, computed, off in ((ratio, air.humidity_ratio, ratio_off), (enthalpy, air.enthalpy / 1000.0, enthalpy_off)):
        digit = 2.0 * half_digit(printed)
        assert off == round((float(printed) - computed) / digit)


@pytest.mark.parametrize("temperature", [5.0, 20.0, 35.0, 50.0])
def test_saturation_follows_from_the_vapour_pressure_of_water(temperature):
    """The humidity ratio is 0.621945 p/(P - p) with water's own vapour pressure p raised by 0.4 to 0.55 % (enhancement factor, ASHRAE; from memory)."""
    ratio = moist_air(celsius(temperature), relative_humidity=1.0).humidity_ratio
    vapour = STANDARD_ATMOSPHERE * ratio / (0.621945 + ratio)
    assert 1.004 < vapour / water().dew_pressure(celsius(temperature)) < 1.0055


@pytest.mark.parametrize("pressure", PRESSURES)
@pytest.mark.parametrize("dry_bulb", [-50.0, -30.0, -12.0, -0.5, 0.0, 0.5, 3.0, 20.0, 50.0, 60.0])
@pytest.mark.parametrize("humidity", [0.0, 0.01, 0.4, 0.9, 1.0])
def test_air_is_the_same_by_whatever_it_is_given(dry_bulb, humidity, pressure):
    """Wet bulb, dew point, relative humidity and humidity ratio, each taken from an air, give that air back."""
    humidity_ratio = moist_air(celsius(dry_bulb), relative_humidity=humidity, pressure=pressure).humidity_ratio
    air = MoistAir(celsius(dry_bulb), humidity_ratio, pressure)
    assert humidity == pytest.approx(air.relative_humidity, abs=1e-9)
    ways = {"wet_bulb": air.wet_bulb, "humidity_ratio": air.humidity_ratio, **({"dew_point": air.dew_point} if humidity_ratio > 1e-7 else {})}
    for way, value in ways.items():
        assert humidity_ratio == pytest.approx(moist_air(celsius(dry_bulb), pressure=pressure, **{way: value}).humidity_ratio, rel=1e-6, abs=1e-11), way
    assert air.wet_bulb <= air.dry_bulb


def test_wet_bulb_is_the_one_of_the_property_library():
    """Away from freezing the wet bulb is the one that the property library's own, slower search finds, over water and over ice."""
    dealt = random.Random(11)
    for _ in range(60):
        air = moist_air(dealt.uniform(225.0, 333.0), relative_humidity=dealt.random(), pressure=dealt.choice(PRESSURES))
        bulb = MoistAir(air.dry_bulb, air.humidity_ratio, air.pressure).wet_bulb
        if abs(bulb - ZERO_CELSIUS) > 1.5:
            assert HAPropsSI("B", "T", air.dry_bulb, "P", air.pressure, "W", air.humidity_ratio) == pytest.approx(bulb, abs=5e-5)


@pytest.mark.parametrize("wet_bulb", [-0.6, -0.1, -0.01, 0.0, 0.005, 0.01, 0.02, 0.1, 0.6])
def test_wet_bulb_near_freezing_is_understood(wet_bulb):
    """A wet bulb within a kelvin of freezing, where the property library's own search finds none, gives its balance of heat exactly, over ice or water."""
    air = moist_air(celsius(5.0), wet_bulb=celsius(wet_bulb))
    carried = -333.36e3 + 2097.0 * wet_bulb if wet_bulb < 0.0 else 4220.0 * wet_bulb + 60.0  # enthalpy of ice or water; IAPWS, from memory
    film = moist_air(celsius(wet_bulb), relative_humidity=1.0)
    balance = film.enthalpy - air.enthalpy - (film.humidity_ratio - air.humidity_ratio) * carried
    assert 0.0 == pytest.approx(balance, abs=0.2)
    assert celsius(wet_bulb) == air.wet_bulb


def test_one_air_has_two_wet_bulbs_near_freezing():
    """An iced wick and a wet one show two temperatures in one air; the one that was given stays, otherwise it is that of water."""
    iced = moist_air(celsius(5.0), wet_bulb=celsius(-0.1))
    wet = MoistAir(iced.dry_bulb, iced.humidity_ratio, iced.pressure).wet_bulb
    assert celsius(0.0) < wet < celsius(0.5)
    assert iced.humidity_ratio == pytest.approx(moist_air(celsius(5.0), wet_bulb=wet).humidity_ratio, rel=1e-9)


def test_wet_bulb_equal_to_dry_bulb_is_saturated_air():
    """Where both thermometers agree the air is saturated, and dew point and wet bulb are the dry bulb."""
    air = moist_air(celsius(2.0), wet_bulb=celsius(2.0))
    assert (1.0, celsius(2.0), celsius(2.0)) == (air.relative_humidity, air.wet_bulb, air.dew_point)
    assert moist_air(celsius(2.0), relative_humidity=1.0) == air


def test_specific_heat_is_the_slope_of_enthalpy():
    """The specific heat is the rise of enthalpy for a kelvin at constant humidity ratio, for each kg of dry air."""
    warmer, cooler = (MoistAir(celsius(t), 0.010) for t in (25.05, 24.95))
    assert (warmer.enthalpy - cooler.enthalpy) / 0.1 == pytest.approx(MoistAir(celsius(25.0), 0.010).specific_heat, rel=1e-5)


def test_density_counts_the_water():
    """Density is of moist air: with the specific volume of its dry air it gives back one kg and the water."""
    air = MoistAir(celsius(25.0), 0.010)
    assert 1.010 == pytest.approx(air.density * air.specific_volume, rel=1e-12)


def test_thin_air_holds_more_water_for_each_kilogram():
    """On a mountain saturated air of the same temperature has a larger humidity ratio and a larger volume."""
    valley, mountain = (moist_air(celsius(20.0), relative_humidity=1.0, pressure=pressure) for pressure in (101325.0, 80000.0))
    assert valley.humidity_ratio < mountain.humidity_ratio and valley.specific_volume < mountain.specific_volume


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"dry_bulb": 293.15, "wet_bulb": 294.15}, r"wet bulb of 21 °C is above the dry bulb of 20 °C: use a lower one"),
        ({"dry_bulb": 293.15, "dew_point": 294.15}, r"dew point of 21 °C is above the dry bulb of 20 °C: use a lower one"),
        ({"dry_bulb": 293.15, "dew_point": 170.0}, r"dew point of -103\.\d+ °C is below -100 °C: use a higher one"),
        ({"dry_bulb": 293.15, "wet_bulb": 278.15}, r"wet bulb of 5 °C is too low for a dry bulb of 20 °C: wholly dry air has 5\.8\d+ °C; use"),
        ({"dry_bulb": 263.15, "wet_bulb": 258.15}, r"wet bulb of -15 °C is too low for a dry bulb of -10 °C: wholly dry air has -1\d\.\d+ °C; use"),
        ({"dry_bulb": 293.15, "relative_humidity": 1.01}, r"relative humidity of 101 % cannot be: use 0 % \(dry\) to 100 %"),
        ({"dry_bulb": 293.15, "relative_humidity": -0.01}, r"relative humidity of -1 % cannot be"),
        ({"dry_bulb": 278.15, "wet_bulb": 4.0}, r"wet bulb of -269\.\d °C is outside -60 °C to 60 °C"),
        ({"dry_bulb": 293.15, "humidity_ratio": -0.001}, r"humidity ratio of -0\.001 is negative: use 0"),
        ({"dry_bulb": 293.15, "humidity_ratio": 0.015}, r"humidity ratio of 0\.015 is more than air at 20 °C holds, 0\.01476: use less, or warmer air"),
        ({"dry_bulb": 213.0, "relative_humidity": 0.5}, r"dry bulb of -60\.\d+ °C is outside -60 °C to 60 °C"),
        ({"dry_bulb": 334.0, "relative_humidity": 0.5}, r"dry bulb of 60\.\d+ °C is outside -60 °C to 60 °C"),
        ({"dry_bulb": 293.15, "relative_humidity": 0.5, "pressure": 49e3}, r"air pressure of 0\.49 bar is outside 0\.5 bar to 1\.1 bar"),
        ({"dry_bulb": 293.15, "relative_humidity": 0.5, "pressure": 111e3}, r"air pressure of 1\.11 bar is outside"),
    ],
)  # fmt: skip
def test_air_that_cannot_be_is_refused(given, match):
    """The refusal names the quantity, its value, the limit and what to change."""
    with pytest.raises(LimitError, match=match):
        moist_air(**given)


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({}, "none was given: give exactly one"),
        ({"wet_bulb": 290.0, "dew_point": 280.0}, "wet bulb and dew point was given: give exactly one"),
        ({"wet_bulb": math.nan}, "wet bulb of nan is not a finite number"),
        ({"relative_humidity": math.inf}, "relative humidity of inf is not a finite number"),
        ({"humidity_ratio": math.nan}, "humidity ratio of nan"),
        ({"relative_humidity": 0.5, "dry_bulb": math.nan}, "dry bulb of nan"),
        ({"relative_humidity": 0.5, "pressure": -math.inf}, "air pressure of -inf"),
    ],
)  # fmt: skip
def test_unusable_input_is_refused(given, match):
    """None, several, and what is no number are refused."""
    with pytest.raises(InputError, match=match):
        moist_air(**{"dry_bulb": 293.15, **given})


def test_dry_air_has_no_dew_point():
    """Air without water has a wet bulb and no dew point."""
    air = MoistAir(celsius(20.0), 0.0)
    assert 0.0 == air.relative_humidity
    with pytest.raises(LimitError, match="too dry for a dew point above -100 °C: use a humidity ratio of"):
        air.dew_point  # noqa: B018


def test_refusal_of_the_property_library_is_translated():
    """What the property library cannot compute leaves as an error of this library."""
    with pytest.raises(PropertyError, match="moist air: the property library gave no answer"):
        humid_air._call("W", "T", 1e6, "P", STANDARD_ATMOSPHERE, "R", 1.0)


@pytest.mark.parametrize("pressure", PRESSURES)
def test_saturated_air_is_that_of_the_property_library(pressure):
    """The quick curves are within 1e-5 of the property library everywhere, also beside the step from ice to water; enthalpy of at least 1 kJ/kg."""
    dealt, quick = random.Random(7), saturated_air(pressure)
    beside = [273.16 + way * 10.0**-power for power in (3, 6, 9) for way in (-1, 1)]
    for temperature in [*beside, 213.15, 273.15, 273.16, 333.15, *(dealt.uniform(213.15, 333.15) for _ in range(4000))]:
        ratio, enthalpy = (HAPropsSI(of, "T", temperature, "P", pressure, "R", 1.0) for of in "WH")
        assert ratio == pytest.approx(quick.humidity_ratio(temperature), rel=1e-5)
        assert enthalpy == pytest.approx(quick.enthalpy(temperature), rel=1e-5, abs=0.01)


@pytest.mark.parametrize("quantity", ["humidity_ratio", "enthalpy"])
def test_saturated_air_is_quick(quantity):
    """A value of saturated air takes less than 1.5 microseconds, the best of many tries."""
    ask = getattr(saturated_air(STANDARD_ATMOSPHERE), quantity)
    assert min(timeit.repeat(lambda: ask(281.3), number=500, repeat=40)) / 500 < 1.5e-6


def test_saturated_air_is_remembered():
    """One pressure is prepared once."""
    assert saturated_air(90e3) is saturated_air(90e3)


@pytest.mark.parametrize("quantity", ["humidity_ratio", "enthalpy"])
@pytest.mark.parametrize("temperature", [213.1, 333.2, math.nan])
def test_saturated_air_ends_at_60_degrees(quantity, temperature):
    """Beyond -60 to 60 C saturated air is refused, and so is what is no number."""
    with pytest.raises(InputError, match="temperature of saturated air of"):
        getattr(saturated_air(STANDARD_ATMOSPHERE), quantity)(temperature)


def test_saturated_air_makes_moist_air():
    """A humidity ratio read from the quick curves, which may lie a hair above saturation, is saturated air and not refused."""
    quick = saturated_air(STANDARD_ATMOSPHERE)
    for step in range(240):
        temperature = 213.4 + step * 0.497
        assert 1.0 == pytest.approx(MoistAir(temperature, quick.humidity_ratio(temperature)).relative_humidity, abs=1e-5)


def test_many_threads_find_the_same_air():
    """Air computed in six threads at once is the same as in one."""
    dealt = random.Random(5)
    asked = [(dealt.uniform(220.0, 330.0), dealt.random(), dealt.choice(PRESSURES)) for _ in range(40)]

    def answers():
        found = [moist_air(t, relative_humidity=share, pressure=pressure) for t, share, pressure in asked]
        return [(air.enthalpy, air.wet_bulb, saturated_air(air.pressure).enthalpy(air.dry_bulb)) for air in found]

    alone, together = answers(), []
    saturated_air.cache_clear()
    threads = [threading.Thread(target=lambda: together.append(answers())) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [alone] * 6 == together
