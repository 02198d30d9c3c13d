"""The displacement compressor: published examples, energy and its two efficiencies, wet suction, speed, and every refusal.

The published examples are rows of tests/reference/03_cycle_examples.csv, whose README.md says how each source is known.
"""

import math
from dataclasses import fields, replace

import pytest

from hpteach.errors import LimitError, PropertyError
from hpteach.fluids import catalogue, refrigerant
from hpteach.machine import Compression, DisplacementCompressor
from hpteach.machine.compressor import ideal_work, pressure_ratio
from tests.reference import half_digit, rows

PRINTED = {(row["example"], row["quantity"]): row["book"] for row in rows("03_cycle_examples.csv")}

# An invented compressor, about that of a small split unit with R-32.
COMPRESSOR = DisplacementCompressor(
    swept_volume=33e-6, speed=48.0, volumetric_best=0.97, volumetric_fall=0.02, isentropic_best=0.7, isentropic_fall=0.2,
    best_pressure_ratio=2.6, heat_loss=0.05,
)  # fmt: skip
VARIABLE = replace(COMPRESSOR, least_speed_ratio=0.3, most_speed_ratio=1.5, speed_fall=0.1)
PERFECT = replace(COMPRESSOR, volumetric_best=1.0, volumetric_fall=0.0, isentropic_best=1.0, isentropic_fall=0.0, heat_loss=0.0)
PURE = [name for name in catalogue() if catalogue()[name].model == "pure"]


def suction_of(name, *, evaporating=270.15, superheat=5.0):
    face = refrigerant(name)
    return face.superheated(face.dew_pressure(evaporating), superheat)


def run(name="R-32", compressor=COMPRESSOR, *, evaporating=270.15, ratio=2.2, superheat=5.0, speed_ratio=1.0):
    suction = suction_of(name, evaporating=evaporating, superheat=superheat)
    return suction, compressor.run(refrigerant(name), suction, ratio * suction.pressure, speed_ratio)


# Published examples ---------------------------------------------------------------


def test_power_is_that_of_a_published_ideal_compression():
    """Cengel & Boles 11-1 (seen in a public copy): 0.05 kg/s of R-134a, saturated at 0.14 MPa, to 0.8 MPa needs the printed power."""
    face = refrigerant("R-134a")
    suction = face.saturated_vapour(1.4e5)
    compressor = replace(PERFECT, swept_volume=0.05 / suction.density / 48.0)
    printed = PRINTED["Cengel & Boles Ex. 11-1", "W_in"]
    assert float(printed) == pytest.approx(compressor.run(face, suction, 8e5).power / 1e3, rel=0, abs=half_digit(printed))


def test_published_mass_flow_needs_the_published_displacement_and_power():
    """Stoecker & Jones 10-1 (from memory, not seen here): its mass flow of R-22, -10 to 35 C, needs its volume flow and its power."""
    face = refrigerant("R-22")
    mass_flow, displacement, power = (PRINTED["Stoecker & Jones Ex. 10-1", quantity] for quantity in ("mass flow", "suction volume flow", "power"))
    suction, high = face.saturated_vapour(face.dew_pressure(263.15)), face.dew_pressure(308.15)
    swept = float(mass_flow) / replace(PERFECT, swept_volume=1.0, speed=1.0).run(face, suction, high).mass_flow
    assert float(displacement) == pytest.approx(swept, rel=0, abs=half_digit(displacement))
    found = replace(PERFECT, swept_volume=swept, speed=1.0).run(face, suction, high)
    assert float(power) == pytest.approx(found.power / 1e3, rel=0, abs=half_digit(power))


# Energy and efficiencies ----------------------------------------------------------


@pytest.mark.parametrize("name", list(catalogue()))
@pytest.mark.parametrize("heat_loss", [0.0, 0.05, 0.5])
def test_power_leaves_with_the_vapour_or_through_the_shell(name, heat_loss):
    """Mass flow times the rise of enthalpy, with the heat lost, is the power, for every refrigerant of the catalogue."""
    suction, found = run(name, replace(COMPRESSOR, heat_loss=heat_loss), ratio=1.6 if name == "R-744" else 2.2)
    assert found.power == pytest.approx(found.mass_flow * (found.discharge_enthalpy - suction.enthalpy) + found.heat_loss, rel=1e-9)
    assert found.heat_loss == pytest.approx(heat_loss * found.power, rel=1e-12)


@pytest.mark.parametrize("efficiency", [1.0, 0.7, 0.35])
def test_work_is_the_ideal_work_over_the_efficiency(efficiency):
    """Without a hump the isentropic efficiency is that of the field, and ideal work over work is the same."""
    compressor = replace(COMPRESSOR, isentropic_best=efficiency, isentropic_fall=0.0)
    suction, found = run(compressor=compressor)
    ideal = refrigerant("R-32").state_ps(2.2 * suction.pressure, suction.entropy).enthalpy - suction.enthalpy
    assert efficiency == found.isentropic_efficiency
    assert efficiency == pytest.approx(ideal * found.mass_flow / found.power, rel=1e-12)


@pytest.mark.parametrize("name", PURE)
def test_perfect_compression_keeps_the_entropy(name):
    """A perfect compressor without heat loss delivers vapour of the suction's entropy."""
    suction, found = run(name, PERFECT, ratio=1.6)
    discharge = refrigerant(name).state_ph(1.6 * suction.pressure, found.discharge_enthalpy)
    assert suction.entropy == pytest.approx(discharge.entropy, rel=1e-8)


@pytest.mark.parametrize(("ratio", "expected"), [(1.5, 0.96), (2.0, 0.95), (3.5, 0.92), (10.0, 0.79)])
def test_volumetric_efficiency_falls_in_a_straight_line(ratio, expected):
    """0.97 less 0.02 for each unit of the pressure ratio above 1; it is the mass taken in over the mass that would fill the swept volume."""
    assert expected == pytest.approx(COMPRESSOR.volumetric_efficiency(ratio), rel=1e-12)
    suction, found = run(evaporating=240.15, ratio=ratio)
    assert expected == pytest.approx(found.volumetric_efficiency, rel=1e-12)
    assert expected == pytest.approx(found.mass_flow / (33e-6 * 48.0 * suction.density), rel=1e-12)


@pytest.mark.parametrize("away", [1.2, 2.0, 4.0])
def test_isentropic_efficiency_is_the_same_a_factor_above_and_below_its_best(away):
    """The hump is even in the logarithm of the pressure ratio, and highest at the best one."""
    compressor = replace(COMPRESSOR, best_pressure_ratio=5.0)
    above, below = compressor.isentropic_efficiency(5.0 * away), compressor.isentropic_efficiency(5.0 / away)
    assert above == pytest.approx(below, rel=1e-12)
    assert above == pytest.approx(0.7 / (1.0 + 0.2 * math.log(away) ** 2), rel=1e-12)
    assert 0.7 == compressor.isentropic_efficiency(5.0) > above


@pytest.mark.parametrize("quality", [0.85, 0.95, 1.0])
def test_wet_suction_is_compressed_too(quality):
    """Liquid that comes along makes the suction denser: the mass flow follows the density and energy still balances."""
    face = refrigerant("R-32")
    suction = face.state_px(8e5, quality)
    found = COMPRESSOR.run(face, suction, 20e5)
    dry = COMPRESSOR.run(face, face.saturated_vapour(8e5), 20e5)
    assert found.mass_flow / dry.mass_flow == pytest.approx(suction.density / face.saturated_vapour(8e5).density, rel=1e-12)
    assert found.power == pytest.approx(found.mass_flow * (found.discharge_enthalpy - suction.enthalpy) + found.heat_loss, rel=1e-9)


@pytest.mark.parametrize("name", PURE)
def test_reference_state_changes_no_work(name):
    """Enthalpy counted from another zero gives the same mass flow and power."""
    found = []
    for reference in ("iir", "nbp") if name != "R-744" else ("iir", "ashrae"):
        face = refrigerant(name, reference)
        found.append(COMPRESSOR.run(face, face.superheated(face.dew_pressure(270.15), 5.0), 1.6 * face.dew_pressure(270.15)))
    assert found[0].power == pytest.approx(found[1].power, rel=1e-9)
    assert found[0].mass_flow == pytest.approx(found[1].mass_flow, rel=1e-12)


@pytest.mark.parametrize("speed_ratio", [0.3, 0.5, 1.0, 1.5])
def test_mass_flow_goes_with_the_speed_and_the_efficiency_falls_from_the_nominal_one(speed_ratio):
    """Half the revolutions move half the mass; the efficiency loses a tenth of the square of the distance from the nominal speed."""
    nominal, found = run(compressor=VARIABLE)[1], run(compressor=VARIABLE, speed_ratio=speed_ratio)[1]
    assert found.mass_flow == pytest.approx(speed_ratio * nominal.mass_flow, rel=1e-12)
    assert found.isentropic_efficiency == pytest.approx(nominal.isentropic_efficiency * (1.0 - 0.1 * (speed_ratio - 1.0) ** 2), rel=1e-12)


def test_result_is_frozen_and_in_si():
    """A compression holds the mass flow, power, discharge enthalpy, both efficiencies and the heat lost, and cannot be changed."""
    names = ["mass_flow", "power", "discharge_enthalpy", "isentropic_efficiency", "volumetric_efficiency", "heat_loss"]
    assert names == [field.name for field in fields(Compression)]
    with pytest.raises(AttributeError):
        run()[1].power = 0.0


# Refusals -------------------------------------------------------------------------

CANNOT_BE = [
    ("swept_volume", "swept volume", [0.0, -33e-6, math.nan, math.inf, True, "33"]),
    ("speed", "nominal speed", [0.0, -48.0, math.nan, math.inf]),
    ("volumetric_best", "best volumetric efficiency", [0.0, -0.1, 1.01, 97.0, math.nan]),
    ("volumetric_fall", "fall of the volumetric efficiency", [-0.01, math.inf, math.nan]),
    ("isentropic_best", "best isentropic efficiency", [0.0, -0.1, 1.01, 70.0, math.nan]),
    ("isentropic_fall", "fall of the isentropic efficiency", [-0.01, math.inf, math.nan]),
    ("best_pressure_ratio", "best pressure ratio", [1.0, 0.5, -2.0, math.inf, math.nan]),
    ("heat_loss", "heat loss", [-0.01, 0.51, 5.0, math.nan]),
    ("least_speed_ratio", "least speed ratio", [0.0, -1.0, 1.1, math.nan]),
    ("most_speed_ratio", "most speed ratio", [0.9, math.inf, math.nan]),
    ("speed_fall", "fall of the efficiency with speed", [-0.1, math.inf, math.nan]),
]


@pytest.mark.parametrize(("field", "words", "value"), [(field, words, value) for field, words, values in CANNOT_BE for value in values])
def test_field_that_cannot_be_is_refused(field, words, value):
    """Each field is refused by its name, with the value and what to use."""
    shown = f"{value:g}" if isinstance(value, float) else repr(value)
    with pytest.raises(LimitError, match=rf"^{words}.* of {shown} cannot be: use a number "):
        replace(COMPRESSOR, **{field: value})


def test_list_of_what_cannot_be_has_every_field():
    """No field of the compressor is left without its refusal."""
    assert [field.name for field in fields(DisplacementCompressor)] == [field for field, _, _ in CANNOT_BE]


@pytest.mark.parametrize(("least", "most", "limit"), [(0.2, 1.0, "1.562"), (1.0, 2.0, "1,"), (0.5, 1.5, "4,")])
def test_speed_that_would_leave_no_efficiency_is_refused(least, most, limit):
    """A fall with speed that takes all of the efficiency at an end of the range is refused, with the most that it may be."""
    with pytest.raises(LimitError, match=rf"fall of the efficiency with speed of 4 .* use less than {limit}"):
        replace(COMPRESSOR, least_speed_ratio=least, most_speed_ratio=most, speed_fall=4.0)


@pytest.mark.parametrize("speed_ratio", [0.29, 1.51, 0.0, -1.0, math.nan])
def test_speed_outside_the_range_is_refused(speed_ratio):
    """A variable speed names its range."""
    with pytest.raises(LimitError, match=rf"speed ratio of {speed_ratio:g} cannot be: use a number from 0.3 to 1.5 times the nominal speed"):
        run(compressor=VARIABLE, speed_ratio=speed_ratio)


@pytest.mark.parametrize("speed_ratio", [0.99, 1.01])
def test_fixed_speed_is_fixed(speed_ratio):
    """Without a range any other speed is refused."""
    with pytest.raises(LimitError, match=rf"speed ratio of {speed_ratio:g} cannot be: use a number of 1, as this compressor has a fixed speed"):
        run(speed_ratio=speed_ratio)


@pytest.mark.parametrize("ratio", [1.0, 0.8, -1.0, math.nan])
def test_discharge_not_above_suction_is_refused(ratio):
    """Both pressures stand in the sentence."""
    with pytest.raises(LimitError, match=r"discharge pressure of .* is not above the suction pressure of .* bar: raise the first or lower the second"):
        run(ratio=ratio)
    with pytest.raises(LimitError, match=r"discharge pressure"):
        pressure_ratio(suction_of("R-32"), ratio * suction_of("R-32").pressure)


@pytest.mark.parametrize("ratio", [1.0, 0.0, math.nan])
def test_efficiencies_refuse_a_pressure_ratio_that_is_not_above_one(ratio):
    """An efficiency asked by itself has the same limit."""
    for efficiency in (COMPRESSOR.volumetric_efficiency, COMPRESSOR.isentropic_efficiency):
        with pytest.raises(LimitError, match=rf"pressure ratio of {ratio:g} is not above 1"):
            efficiency(ratio)


def test_pressure_ratio_at_which_nothing_is_taken_in_is_refused():
    """0.5 less 0.1 for each unit is gone at a pressure ratio of 6."""
    compressor = replace(COMPRESSOR, volumetric_best=0.5, volumetric_fall=0.1, isentropic_fall=0.0)
    assert 0.0 < run(compressor=compressor, evaporating=240.15, ratio=5.9)[1].mass_flow
    with pytest.raises(LimitError, match=r"pressure ratio of 6.1 leaves this compressor nothing to take in.* gone at 6: raise the suction pressure"):
        run(compressor=compressor, evaporating=240.15, ratio=6.1)


@pytest.mark.parametrize("ratio", [1.01, 3.0, 8.0, 15.0])
def test_isentropic_efficiency_never_runs_out(ratio):
    """However far from its best pressure ratio, a compressor keeps some efficiency."""
    assert 0.0 < replace(COMPRESSOR, isentropic_fall=1.0).isentropic_efficiency(ratio) < COMPRESSOR.isentropic_best


def test_discharge_above_the_dome_is_refused_as_the_discharge():
    """A pressure above the critical one names the discharge and the limit of the refrigerant."""
    sentence = "^discharge of the compressor: R-32 cannot be saturated at 60 bar: its critical pressure is 57.83 bar; use 57.21 bar or less"
    with pytest.raises(LimitError, match=sentence):
        COMPRESSOR.run(refrigerant("R-32"), suction_of("R-32"), 60e5)


def test_discharge_hotter_than_the_equation_is_refused_as_the_discharge():
    """Very hot suction vapour, compressed, is beyond the equation of state: the sentence names the discharge and the highest temperature."""
    face = refrigerant("R-32")
    hot = face.state_pt(2e5, face.highest_temperature - 1.0)
    with pytest.raises(LimitError, match=r"^discharge of the compressor: R-32 at .* is outside its equation of state") as refused:
        replace(COMPRESSOR, volumetric_fall=0.0, isentropic_fall=0.0).run(face, hot, 50e5)
    assert face.highest_temperature == refused.value.measures["most"].value


def test_missing_answer_of_the_equation_names_the_discharge():
    """Where the property library gives no answer, the refusal keeps its kind and names the discharge."""

    class Silent:
        def state_ps(self, pressure, entropy):
            raise PropertyError("R-32: the equation of state gave no answer")

    with pytest.raises(PropertyError, match=r"^discharge of the compressor: R-32: the equation of state gave no answer"):
        ideal_work(Silent(), suction_of("R-32"), 20e5)
