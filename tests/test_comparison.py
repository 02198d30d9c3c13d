"""Two refrigerants at one duty: published figures for each kilowatt or ton, identities, equal dew and equal mean temperatures, refusals.

The published figures (tests/reference/10_refrigerants_at_duty.csv) are from memory, not seen here.  A printed figure has to agree to half
its last digit; what does not stands with size and reason in tests/reference/disagreements.csv.
Horsepower, pound and foot are exact by definition (NIST Special Publication 811, from memory).
"""

from dataclasses import fields, replace

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition, reversible_circuit
from hpteach.comparison import (
    EQUAL,
    QUANTITIES,
    AtDuty,
    at_duty,
    compare,
    mean_condensing_temperature,
    mean_evaporating_temperature,
    same_conditions,
)
from hpteach.cycle import Conditions, solve
from hpteach.errors import InputError, LimitError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.units import KINDS, sentence
from tests.reference import beyond_rounding, half_digit, limit_for, readme, rows

FILE = "10_refrigerants_at_duty.csv"
CELLS = rows(FILE)
DISAGREEMENTS = {(entry["row"], entry["quantity"]): entry for entry in rows("disagreements.csv") if entry["file"] == FILE}

BTU, POUND, FOOT, HORSEPOWER = 1055.056, 0.45359237, 0.3048, 550.0 * 0.3048 * 0.45359237 * 9.80665
TON = 12000.0 * BTU / 3600.0
UNITS = {  # unit: (duty in W, SI of one unit)
    "kPa": (1e3, 1e3), "-": (1e3, 1.0), "kJ/kg": (1e3, 1e3), "L/s per kW": (1e3, 1e-3), "Btu/lb": (TON, BTU / POUND), "F": (TON, 1.0),
    "lb/min per ton": (TON, POUND / 60.0), "ft3/min per ton": (TON, FOOT**3 / 60.0), "hp per ton": (TON, HORSEPOWER),
}  # fmt: skip
FIELD = {
    "p1": "evaporating_pressure", "p2": "condensing_pressure", "pressure ratio": "pressure_ratio", "suction volume flow": "suction_volume_flow",
    "COP": "cop", "mass flow": "mass_flow", "power": "compressor_power", "T2": "discharge_temperature",
}  # fmt: skip

NAMES = list(catalogue())
BLENDS = [name for name in NAMES if catalogue()[name].model == "blend"]
PURE = [name for name in NAMES if catalogue()[name].model == "pure"]


def cycle_of(name, *, valve_position="cooling", evaporating=280.15, condensing=298.15, superheat=5.0, subcooling=5.0, efficiency=0.7):
    towards = {"cooling": "indoor coil", "heating": "outdoor coil"}[valve_position]
    return solve(refrigerant(name), Conditions(ValvePosition(valve_position), towards, evaporating, condensing, superheat, subcooling, efficiency))


def at(name, duty=10e3, **conditions):
    return at_duty(refrigerant(name), cycle_of(name, **conditions), duty)


def label(cell):
    return f"{cell['table']}: {cell['quantity']}"


def known(cell):
    return DISAGREEMENTS.get((cell["table"], cell["quantity"]))


def actual(cell):
    duty, unit = UNITS[cell["unit"]]
    found = at(cell["fluid"], duty, evaporating=258.15, condensing=303.15, superheat=0.0, subcooling=0.0, efficiency=1.0)
    value = found.cycle.refrigerating_effect if cell["quantity"] == "refrigerating effect" else getattr(found, FIELD[cell["quantity"]])
    return value * 1.8 - 459.67 if cell["unit"] == "F" else value / unit


@pytest.mark.parametrize("cell", [cell for cell in CELLS if not known(cell)], ids=label)
def test_printed_figure_agrees_to_half_its_last_digit(cell):
    """A handbook's figure for each kilowatt or ton is met to the rounding of its printed digits."""
    assert float(cell["printed"]) == pytest.approx(actual(cell), rel=0, abs=half_digit(cell["printed"]))


@pytest.mark.parametrize("cell", [cell for cell in CELLS if known(cell)], ids=label)
def test_named_disagreement_keeps_its_size_and_stays_below_its_limit(cell):
    """A figure on another table differs by the size that is written down, which its reason excuses and rounding alone does not."""
    size, reason = known(cell)["published_minus_computed"], known(cell)["reason"]
    assert float(size) == pytest.approx(float(cell["printed"]) - actual(cell), rel=0, abs=half_digit(size))
    degrees = 1.8 if cell["unit"] == "F" else 1.0
    assert 0.0 < beyond_rounding(cell["printed"], actual(cell)) <= degrees * limit_for(reason, cell["quantity"], actual(cell))
    assert f"| {reason} |" in readme()


def test_every_named_disagreement_stands_in_a_table_and_the_readme_counts_the_rest():
    """No disagreement is kept whose figure is gone, and the README says how many of the figures hold."""
    assert set() == set(DISAGREEMENTS) - {(cell["table"], cell["quantity"]) for cell in CELLS}
    assert f"{len(CELLS) - len(DISAGREEMENTS)} of {len(CELLS)} figures of refrigerants at a duty" in readme()


@pytest.mark.parametrize("valve_position", ["cooling", "heating"])
@pytest.mark.parametrize("name", NAMES)
def test_energy_of_a_machine_is_kept(name, valve_position):
    """What the condensing coil gives off is what the evaporating coil takes up and the compressor's power, and the duty is that of its coil."""
    found = at(name, 10e3, valve_position=valve_position)
    condensing, evaporating = (found.duty, found.other_heat) if valve_position == "heating" else (found.other_heat, found.duty)
    assert condensing == pytest.approx(evaporating + found.compressor_power, rel=1e-9)
    assert found.duty == pytest.approx(found.cop * found.compressor_power, rel=1e-12)
    assert found.duty == pytest.approx(found.volumetric_capacity * found.suction_volume_flow, rel=1e-12)
    assert found.mass_flow == pytest.approx(found.suction_volume_flow * found.cycle.point(1).density, rel=1e-12)


def test_duty_scales_flows_and_power_and_nothing_else():
    """Twice the duty is twice the mass flow, volume flow, power and heat; pressures, temperatures, COP and volumetric capacity stay."""
    one, two = at("R-32", 5e3), at("R-32", 10e3)
    scaled = {"duty", "mass_flow", "suction_volume_flow", "compressor_power", "other_heat"}
    for field in fields(AtDuty):
        if field.name != "cycle":
            factor = 2.0 if field.name in scaled else 1.0
            assert getattr(two, field.name) == pytest.approx(factor * getattr(one, field.name), rel=1e-12), field.name


@pytest.mark.parametrize("name", NAMES)
def test_glide_is_that_of_each_pressure(name):
    """Glide at both pressures is dew minus bubble there: zero for one substance, several kelvin for R-407C and R-454C."""
    fluid, found = refrigerant(name), at(name)
    for pressure, glide in ((found.evaporating_pressure, found.evaporating_glide), (found.condensing_pressure, found.condensing_glide)):
        assert fluid.dew_temperature(pressure) - fluid.bubble_temperature(pressure) == glide
        assert (abs(glide) < 1e-6) == (name in PURE)
        assert (glide > 4.0) == (name in ("R-407C", "R-454C"))


def test_every_quantity_is_a_field_with_a_kind_of_units():
    """What is compared stands in `AtDuty` and has a kind that can be shown."""
    assert set() == set(QUANTITIES) - {field.name for field in fields(AtDuty)}
    assert set() == set(QUANTITIES.values()) - set(KINDS)


def test_ratios_and_differences_are_of_the_second_to_the_first():
    """R-290 in place of R-410A: less mass flow, more volume flow, lower pressures; the discharge temperature is a difference."""
    first, second = at("R-410A", condensing=318.15), at("R-290", condensing=318.15)
    found = compare(first, second)
    assert second.mass_flow / first.mass_flow == found.ratio("mass_flow") < 1.0
    assert found.ratio("suction_volume_flow") == pytest.approx(1.0 / found.ratio("volumetric_capacity"), rel=1e-12)
    assert found.ratio("suction_volume_flow") > 1.5 and found.ratio("condensing_pressure") < 0.7
    assert second.discharge_temperature - first.discharge_temperature == found.difference("discharge_temperature") < 0.0


def test_before_and_after_a_change_are_compared_the_same_way():
    """One refrigerant at a lower evaporating temperature and the same duty: more volume flow, more power, hotter discharge."""
    found = compare(at("R-32", condensing=318.15), at("R-32", evaporating=273.15, condensing=318.15))
    assert found.ratio("suction_volume_flow") > 1.2 and found.ratio("compressor_power") > 1.1
    assert found.difference("discharge_temperature") > 5.0


@pytest.mark.parametrize("quantity", [name for name, kind in QUANTITIES.items() if kind.startswith("temperature")])
def test_ratio_of_temperatures_is_refused(quantity):
    """A ratio of temperatures depends on where the scale begins, so it is refused and the difference offered."""
    found = compare(at("R-32"), at("R-290"))
    with pytest.raises(InputError, match="take the difference"):
        found.ratio(quantity)
    assert found.difference(quantity) == getattr(found.second, quantity) - getattr(found.first, quantity)


@pytest.mark.parametrize("ask", ["ratio", "difference"])
def test_unknown_quantity_is_refused_with_the_nearest(ask):
    """A misspelt quantity is refused, and the nearest name offered."""
    with pytest.raises(UnknownNameError, match="did you mean mass_flow"):
        getattr(compare(at("R-32"), at("R-290")), ask)("massflow")


@pytest.mark.parametrize("name", NAMES)
def test_equal_dew_keeps_every_condition(name):
    """With equal dew temperatures the second runs at the first's conditions to the letter, in its circuit and valve position."""
    first = cycle_of("R-32", valve_position="heating")
    second = same_conditions(refrigerant(name), first)
    assert first.conditions == second.conditions and name == second.refrigerant
    assert "outdoor coil" == second.flow.evaporator


@pytest.mark.parametrize("first", [*BLENDS, "R-410A", "R-32"])
@pytest.mark.parametrize("name", NAMES)
def test_equal_mean_meets_both_means(first, name):
    """With equal mean temperatures both coils have the first's means within a millionth of a kelvin, and all else stays."""
    one = cycle_of(first)
    other = same_conditions(refrigerant(name), one, "mean")
    assert mean_evaporating_temperature(one) == pytest.approx(mean_evaporating_temperature(other), abs=1e-6)
    assert mean_condensing_temperature(one) == pytest.approx(mean_condensing_temperature(other), abs=1e-6)
    moved = {"saturated_suction_temperature": 0.0, "saturated_condensing_temperature": 0.0}
    assert replace(one.conditions, **moved) == replace(other.conditions, **moved)


@pytest.mark.parametrize("name", BLENDS)
def test_equal_mean_gives_a_refrigerant_back_its_own_conditions(name):
    """At the means of its own cycle a blend finds its own dew temperatures again."""
    first = cycle_of(name)
    again = same_conditions(refrigerant(name), first, "mean").conditions
    assert first.conditions.saturated_suction_temperature == pytest.approx(again.saturated_suction_temperature, abs=1e-5)
    assert first.conditions.saturated_condensing_temperature == pytest.approx(again.saturated_condensing_temperature, abs=1e-5)


@pytest.mark.parametrize("name", PURE)
def test_cop_does_not_feel_the_choice_without_glide(name):
    """Between two refrigerants without glide, equal dew and equal mean give one COP."""
    first = cycle_of("R-32")
    dew, mean = (same_conditions(refrigerant(name), first, equal).cop_cooling for equal in EQUAL)
    assert dew == pytest.approx(mean, rel=1e-7)


@pytest.mark.parametrize("name", ["R-407C", "R-454C"])
def test_volume_flow_of_a_blend_feels_the_choice(name):
    """Beside R-32, a blend with glide evaporates at a higher dew temperature for equal means, so its suction vapour is denser and its volume flow smaller."""
    first = cycle_of("R-32", condensing=318.15)
    dew, mean = (same_conditions(refrigerant(name), first, equal) for equal in EQUAL)
    assert mean.conditions.saturated_suction_temperature > dew.conditions.saturated_suction_temperature + 1.0
    found = compare(*(at_duty(refrigerant(name), cycle, 10e3) for cycle in (dew, mean)))
    assert 0.9 < found.ratio("suction_volume_flow") < 0.97


def test_another_layout_of_the_circuit_is_taken():
    """The circuit of the second cycle may be given; places and metering are then its own."""
    circuit = reversible_circuit(MeteringLayout.OUTDOOR)
    assert MeteringLayout.OUTDOOR is same_conditions(refrigerant("R-290"), cycle_of("R-32"), circuit=circuit).flow.metering_layout


@pytest.mark.parametrize("equal", EQUAL)
def test_refrigerant_without_a_cycle_there_is_refused_by_name(equal):
    """R-744 cannot condense at 45 C: the refusal names it, its limit, and shows both in the reader's units."""
    with pytest.raises(LimitError, match="R-744 cannot be compared at these conditions: .*critical temperature") as refused:
        same_conditions(refrigerant("R-744"), cycle_of("R-290", condensing=318.15), equal)
    assert "113.0 °F" in sentence(refused.value, "IP")


def test_unknown_kind_of_equality_is_refused():
    """Only dew and mean can be equal."""
    with pytest.raises(UnknownNameError, match="known are dew, mean|Known are dew, mean"):
        same_conditions(refrigerant("R-32"), cycle_of("R-290"), "bubble")


@pytest.mark.parametrize("duty", [0.0, -5.0, float("inf"), float("nan")])
def test_impossible_duty_is_refused(duty):
    """A duty that is zero, negative or no finite number is refused with an example."""
    with pytest.raises(LimitError, match="duty of .* is not possible: use a positive one") as refused:
        at("R-32", duty)
    assert "10.00 kW" in sentence(refused.value)


def test_cycle_of_another_refrigerant_is_refused():
    """A cycle is put at a duty with its own refrigerant only."""
    with pytest.raises(InputError, match="the cycle is one of R-290, not of R-32"):
        at_duty(refrigerant("R-32"), cycle_of("R-290"), 10e3)


def test_different_duties_are_not_compared():
    """Two duties are refused, with both of them in the sentence."""
    with pytest.raises(LimitError, match="differ") as refused:
        compare(at("R-32", 10e3), at("R-290", 8e3))
    assert "10.00 kW and 8.00 kW" in sentence(refused.value)


def test_heating_and_cooling_are_not_compared():
    """A duty at the condenser is not that at the evaporator."""
    with pytest.raises(InputError, match="the first cycle is in heating and the second in cooling"):
        compare(at("R-32", valve_position="heating"), at("R-290"))
