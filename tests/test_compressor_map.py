"""The compressor map: the published polynomial, the correction for superheat, a map fitted to a model, energy, and every refusal.

The factors of the superheat correction (tests/reference/05_ahri540.csv, "example" rows) were computed from its formula with the property library
that this project uses: they check the programming.  The formula itself is from memory, not seen here.
"""

import math
import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, replace

import numpy as np
import pytest

from hpteach.errors import InputError, LimitError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.machine import CompressorMap, DisplacementCompressor, map_of
from hpteach.machine.compressor_map import polynomial_terms
from tests.reference import half_digit, readme, rows

FILE = "05_ahri540.csv"
RULES = {row["item"]: row["formula_or_value"] for row in rows(FILE)}
EXAMPLES = [(item, value) for item, value in RULES.items() if item.startswith("example ")]
EXAMPLE = re.compile(r"example R(\w+): (\d+) F dew, map at (\d+) F superheat, inlet at (\d+) F; density ratio ([\d.]+) -> flow factor ([\d.]+)")

# An invented compressor, and invented coefficients for R-32.
COMPRESSOR = DisplacementCompressor(
    swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02, isentropic_best=0.7, isentropic_fall=0.2,
    best_pressure_ratio=2.6, heat_loss=0.05,
)  # fmt: skip
FLAT = CompressorMap(
    refrigerant="R-32", mass_flow_coefficients=(0.05, *[0.0] * 9), power_coefficients=(4000.0, *[0.0] * 9), map_superheat=20.0 / 1.8,
    heat_loss=0.1, suction_range=(253.15, 288.15), discharge_range=(298.15, 333.15),
)  # fmt: skip
SUCTIONS = [253.15 + 5.0 * step for step in range(8)]  # -20 to 15 C
DISCHARGES = [298.15 + 5.0 * step for step in range(8)]  # 25 to 60 C
SUBCRITICAL = [name for name in catalogue() if name != "R-744"]


def fahrenheit(value):
    return (float(value) + 459.67) / 1.8


def run(compressor, name="R-32", *, evaporating=275.15, condensing=318.15, superheat=5.0, **more):
    face = refrigerant(name)
    suction = face.superheated(face.dew_pressure(evaporating), superheat)
    return suction, compressor.run(face, suction, face.dew_pressure(condensing), **more)


# The published form ---------------------------------------------------------------


def test_terms_stand_in_the_published_order():
    """The ten terms are those of the polynomial as it is printed, each with its own coefficient."""
    printed = RULES["ten-coefficient polynomial"].removeprefix("X = ")
    values = {"S": -7.0, "D": 43.0} | {f"C{number}": 10.0**-number for number in range(1, 11)}
    expected = eval(printed.replace("^", "**"), {}, values)  # noqa: S307
    actual = sum(10.0 ** -(number + 1) * term for number, term in enumerate(polynomial_terms(-7.0, 43.0)))
    assert expected == pytest.approx(actual, rel=1e-12)


@pytest.mark.parametrize("number", range(10))
def test_coefficient_multiplies_its_term_of_the_dew_temperatures(number):
    """At the superheat of the map, mass flow and power are the polynomial of the two dew temperatures in degrees Celsius."""
    term = polynomial_terms(2.0, 45.0)[number]
    one = [0.0] * 10
    one[number] = 0.05 / term
    found = run(replace(FLAT, mass_flow_coefficients=tuple(one)), superheat=FLAT.map_superheat)[1]
    assert found.mass_flow == pytest.approx(0.05, rel=1e-7)
    one[number] = 4000.0 / term
    found = run(replace(FLAT, power_coefficients=tuple(one)), superheat=FLAT.map_superheat)[1]
    assert found.power == pytest.approx(4000.0, rel=1e-7)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example[0])
def test_mass_flow_follows_the_superheat_by_the_printed_factor(example):
    """The mass flow at another superheat is that of the map times the printed factor, to its last digit; so is the density ratio."""
    number, dew, map_superheat, inlet, density_ratio, factor = EXAMPLE.fullmatch("; ".join(example)).groups()
    name, evaporating = f"R-{number}", fahrenheit(dew)
    compressor = replace(FLAT, refrigerant=name, map_superheat=float(map_superheat) / 1.8)
    suction, found = run(compressor, name, evaporating=evaporating, superheat=float(inlet) / 1.8)
    mapped, at_map = run(compressor, name, evaporating=evaporating, superheat=float(map_superheat) / 1.8)
    assert float(density_ratio) == pytest.approx(suction.density / mapped.density, rel=0, abs=half_digit(density_ratio))
    assert float(factor) == pytest.approx(found.mass_flow / at_map.mass_flow, rel=0, abs=half_digit(factor))


def test_readme_counts_the_examples():
    """The README of the reference says how many factors stand in the file, and that they were computed here."""
    assert f"{len(EXAMPLES)} flow factors" in readme()


def test_superheat_correction_is_the_published_one_unless_told():
    """The default is the factor that the file names."""
    assert RULES["mass-flow correction for superheat"].endswith(f"F_v = {CompressorMap.superheat_correction:g}")


@pytest.mark.parametrize("superheat", [0.0, 3.0, 11.0, 25.0])
def test_power_follows_flow_and_ideal_work_so_the_efficiency_stays(superheat):
    """The power takes the factor of the mass flow and that of the ideal work: the isentropic efficiency is the map's at any superheat."""
    expected = run(FLAT, superheat=FLAT.map_superheat)[1].isentropic_efficiency
    suction, found = run(FLAT, superheat=superheat)
    face = refrigerant("R-32")
    ideal = face.state_ps(face.dew_pressure(318.15), suction.entropy).enthalpy - suction.enthalpy
    assert expected == pytest.approx(found.isentropic_efficiency, rel=1e-9)
    assert expected == pytest.approx(found.mass_flow * ideal / found.power, rel=1e-9)


@pytest.mark.parametrize("name", SUBCRITICAL)
@pytest.mark.parametrize("heat_loss", [0.0, 0.1, 0.5])
def test_power_leaves_with_the_vapour_or_through_the_shell(name, heat_loss):
    """Mass flow times the rise of enthalpy, with the heat lost, is the power, for every refrigerant with a dome at 45 C."""
    suction, found = run(replace(FLAT, refrigerant=name, heat_loss=heat_loss, power_coefficients=(9000.0, *[0.0] * 9)), name)
    assert found.power == pytest.approx(found.mass_flow * (found.discharge_enthalpy - suction.enthalpy) + found.heat_loss, rel=1e-9)
    assert found.heat_loss == pytest.approx(heat_loss * found.power, rel=1e-12)
    assert found.volumetric_efficiency is None


def test_wet_suction_is_compressed_too():
    """A mixture is denser than vapour: the mass flow is more than of saturated vapour, and energy balances."""
    face = refrigerant("R-32")
    low, high = face.dew_pressure(275.15), face.dew_pressure(318.15)
    wet = face.state_px(low, 0.95)
    found, dry = FLAT.run(face, wet, high), FLAT.run(face, face.saturated_vapour(low), high)
    assert found.mass_flow > dry.mass_flow
    assert found.power == pytest.approx(found.mass_flow * (found.discharge_enthalpy - wet.enthalpy) + found.heat_loss, rel=1e-9)


# A map fitted to a model ----------------------------------------------------------


def farthest(name, superheat, share):
    """The largest relative deviation of mass flow and power of the fitted map from the model, half-way between the fitted points and on them."""
    fitted = replace(map_of(COMPRESSOR, refrigerant(name), SUCTIONS, DISCHARGES, 11.0), superheat_correction=share)
    off = []
    for evaporating in np.arange(253.15, 288.2, 2.5).tolist():
        for condensing in np.arange(298.15, 333.2, 2.5).tolist():
            expected, actual = (run(each, name, evaporating=evaporating, condensing=condensing, superheat=superheat)[1] for each in (COMPRESSOR, fitted))
            off.append((abs(actual.mass_flow / expected.mass_flow - 1.0), abs(actual.power / expected.power - 1.0)))
    return np.max(off, axis=0)


@pytest.mark.parametrize("name", ["R-134a", "R-410A", "R-32", "R-290", "R-22", "R-454B"])
def test_fitted_map_agrees_with_its_model_over_the_range(name):
    """Between -20 and 15 C and 25 and 60 C, mass flow agrees within 0.05 % and power within 3 %: what a third degree can follow."""
    mass_flow, power = farthest(name, superheat=11.0, share=0.75)
    assert mass_flow < 0.0005
    assert power < 0.03


@pytest.mark.parametrize("superheat", [0.0, 20.0])
def test_fitted_map_that_follows_all_of_the_density_agrees_at_another_superheat(superheat):
    """The model's mass flow goes with the density: with a correction of 1 the map is as near to it at another superheat as at its own."""
    mass_flow, power = farthest("R-32", superheat=superheat, share=1.0)
    assert mass_flow < 0.0005
    assert power < 0.03


def test_map_of_a_map_is_the_map():
    """A polynomial fitted to a polynomial gives its coefficients, its refrigerant, superheat, heat loss and range back."""
    first = map_of(COMPRESSOR, refrigerant("R-32"), SUCTIONS, DISCHARGES, 11.0)
    second = map_of(first, refrigerant("R-32"), SUCTIONS, DISCHARGES, 11.0)
    assert first.mass_flow_coefficients == pytest.approx(second.mass_flow_coefficients, rel=1e-4)
    assert first.power_coefficients == pytest.approx(second.power_coefficients, rel=1e-4)
    assert ("R-32", 11.0, 0.05, (253.15, 288.15), (298.15, 333.15)) == (
        second.refrigerant, second.map_superheat, second.heat_loss, second.suction_range, second.discharge_range,
    )  # fmt: skip


@pytest.mark.parametrize("name", SUBCRITICAL)
def test_ends_of_the_range_are_in_the_range(name):
    """The very ends come back from their pressures with rounding, as a thread that remembers no saturation sees them, and are taken."""
    face = refrigerant(name)
    compressor = replace(FLAT, refrigerant=name, power_coefficients=(15000.0, *[0.0] * 9))
    for evaporating in compressor.suction_range:
        for condensing in compressor.discharge_range:
            suction, high = face.saturated_vapour(face.dew_pressure(evaporating)), face.dew_pressure(condensing)
            with ThreadPoolExecutor(1) as fresh:
                assert 0.0 < fresh.submit(compressor.run, face, suction, high).result().power


# Refusals -------------------------------------------------------------------------

NINE = (0.05, *[0.0] * 8)
CANNOT_BE = [
    ("refrigerant", "R-99", UnknownNameError, "refrigerant 'R-99' is not known"),
    ("mass_flow_coefficients", NINE, LimitError, "mass flow of a compressor map has 9 coefficients: give ten, C1 to C10"),
    ("mass_flow_coefficients", (*NINE, math.nan), LimitError, "coefficient C10 of the mass flow of nan cannot be"),
    ("power_coefficients", (), LimitError, "power of a compressor map has 0 coefficients: give ten"),
    ("power_coefficients", (math.inf, *NINE), LimitError, "coefficient C1 of the power of inf cannot be"),
    ("map_superheat", -1.0, LimitError, "superheat of the map in K of -1 cannot be: use a number of 0 or more"),
    ("map_superheat", math.nan, LimitError, "superheat of the map in K of nan cannot be"),
    ("heat_loss", -0.1, LimitError, "heat loss of -0.1 cannot be: use a number from 0 to 0.5"),
    ("heat_loss", 0.6, LimitError, "heat loss of 0.6 cannot be: use a number from 0 to 0.5"),
    ("suction_range", (253.15,), LimitError, "suction range of the compressor map has 1 ends: give the lowest and the highest"),
    ("suction_range", (288.15, 253.15), LimitError, "suction range of the compressor map from 15 °C to -20 °C cannot be: give the lower"),
    ("suction_range", (-20.0, 15.0), LimitError, "suction range of the compressor map from -293.1 °C to -258.1 °C cannot be: .* both in kelvin"),
    ("suction_range", (340.0, 345.0), LimitError, "highest saturated condensing temperature of the map, 60 °C, is not above"),
    ("discharge_range", (298.15, math.nan), LimitError, "discharge range of the compressor map in K of nan cannot be"),
    ("discharge_range", (25.0, 60.0), LimitError, "discharge range of the compressor map .* cannot be: .* both in kelvin"),
    ("superheat_correction", -0.1, LimitError, "superheat correction of -0.1 cannot be: use a number from 0 to 1"),
    ("superheat_correction", 1.1, LimitError, "superheat correction of 1.1 cannot be: use a number from 0 to 1"),
]


@pytest.mark.parametrize(("field", "value", "kind", "sentence"), CANNOT_BE)
def test_field_that_cannot_be_is_refused(field, value, kind, sentence):
    """Each field is refused by its name, with the value and what to use."""
    with pytest.raises(kind, match=sentence):
        replace(FLAT, **{field: value})


def test_list_of_what_cannot_be_has_every_field():
    """No field of the map is left without its refusal."""
    assert {field.name for field in fields(CompressorMap)} == {field for field, *_ in CANNOT_BE}


def test_another_refrigerant_is_refused():
    """The map names its own refrigerant and the other."""
    with pytest.raises(InputError, match="compressor map is for R-32 and tells nothing of R-410A: use R-32, or the map for R-410A"):
        run(FLAT, "R-410A")


@pytest.mark.parametrize("speed_ratio", [0.5, 1.1, math.nan])
def test_another_speed_is_refused(speed_ratio):
    """A map holds for one speed, and says so in its range of speed."""
    assert (1.0, 1.0) == (FLAT.least_speed_ratio, FLAT.most_speed_ratio)
    with pytest.raises(LimitError, match=rf"speed ratio of {speed_ratio:g} cannot be: use a number of 1, as a compressor map holds for one speed"):
        run(FLAT, speed_ratio=speed_ratio)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"evaporating": 252.15}, "saturated suction temperature of -21 °C is outside the compressor map: use -20 °C to 15 °C"),
        ({"evaporating": 289.15}, "saturated suction temperature of 16 °C is outside"),
        ({"condensing": 297.15}, "saturated condensing temperature of 24 °C is outside the compressor map: use 25 °C to 60 °C"),
        ({"condensing": 334.15}, "saturated condensing temperature of 61 °C is outside"),
        ({"condensing": 275.15}, "discharge pressure of .* is not above the suction pressure"),
    ],
)
def test_temperature_outside_the_map_is_refused(changed, sentence):
    """A polynomial is not asked beyond what was measured."""
    with pytest.raises(LimitError, match=sentence):
        run(FLAT, **changed)


def test_discharge_above_the_dome_is_refused_as_the_discharge():
    """A pressure above the critical one has no dew temperature: the sentence names the discharge."""
    face = refrigerant("R-32")
    with pytest.raises(LimitError, match="^discharge of the compressor: R-32 cannot be saturated at 60 bar"):
        FLAT.run(face, face.saturated_vapour(8e5), 60e5)


@pytest.mark.parametrize(("field", "quantity"), [("mass_flow_coefficients", "mass flow"), ("power_coefficients", "power")])
def test_coefficients_that_give_nothing_are_refused(field, quantity):
    """Where the polynomial is not above zero, the sentence names the quantity and both temperatures."""
    with pytest.raises(LimitError, match=rf"give a {quantity} of -45, not above 0, at 2 °C .* and 45 °C"):
        run(replace(FLAT, **{field: (0.0, 0.0, -1.0, *[0.0] * 7)}))


def test_coefficients_in_another_unit_are_refused():
    """Mass flow in kg/h for kg/s would be an efficiency far above 1."""
    with pytest.raises(LimitError, match="isentropic efficiency of .*, above 1: see whether they are for mass flow in kg/s"):
        run(replace(FLAT, mass_flow_coefficients=(180.0, *[0.0] * 9)))


@pytest.mark.parametrize(
    ("suctions", "discharges", "sentence"),
    [
        (SUCTIONS[:3] + SUCTIONS[:3], DISCHARGES, "suction temperatures for a compressor map are 3 different ones: give 4 or more"),
        (SUCTIONS, DISCHARGES[:3], "discharge temperatures for a compressor map are 3 different ones: give 4 or more"),
        (SUCTIONS, [280.15, *DISCHARGES[:3]], "discharge pressure of .* is not above the suction pressure"),
    ],
)
def test_points_that_make_no_map_are_refused(suctions, discharges, sentence):
    """Too few temperatures for a third degree, and a pair that no compressor has, are refused."""
    with pytest.raises(LimitError, match=sentence):
        map_of(COMPRESSOR, refrigerant("R-32"), suctions, discharges, 11.0)
