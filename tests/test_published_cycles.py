"""Worked examples of textbooks, recomputed quantity by quantity (tests/reference/03_cycle_examples.csv).

A printed result has to agree to half of its last digit.  Where the book's table rests on
another equation, was read from a chart or was interpolated, tests/reference/disagreements.csv
holds the size of the difference and the reason.  The size has to stay what it is, and below the
limit of its reason in limits.csv.
Every example is solved with the valve in cooling and in heating.
"""

from dataclasses import replace
from functools import cache

import pytest

from hpteach.circuit import ValvePosition, flow, reversible_circuit
from hpteach.cycle import conditions_for, solve
from hpteach.fluids import refrigerant
from tests.reference import beyond_rounding, half_digit, limit_for, limits, readme, rows

FILE = "03_cycle_examples.csv"
ZERO_CELSIUS = 273.15
KILOJOULES_PER_HOUR = 1000.0 / 3600.0
TON = 211e3 / 60.0  # W; the ton of 211 kJ/min that Moran & Shapiro state in the example

# Temperatures in C, pressures in bar.  `load` (W) or `mass_flow` (kg/s) as the example gives it.
# suction, liquid and discharge are temperatures where the book states them in place of
# superheat, subcooling and isentropic efficiency.
EXAMPLES = {
    "Cengel & Boles Ex. 11-1": dict(fluid="R-134a", reference="ashrae", low=1.4, high=8.0, mass_flow=0.05),
    # The book's condenser pressure drop (0.8 to 0.72 MPa) and line drop (0.14 to 0.15 MPa) are not in the model.
    "Cengel & Boles Ex. 11-2": dict(
        fluid="R-134a", reference="ashrae", low=1.4, high=8.0, suction=-10.0, liquid=26.0, discharge=50.0, mass_flow=0.05
    ),
    "Moran & Shapiro Ex. 10.1": dict(fluid="R-134a", reference="ashrae", evaporating=0.0, condensing=26.0, mass_flow=0.08),
    "Moran & Shapiro Ex. 10.2": dict(fluid="R-134a", reference="ashrae", evaporating=-10.0, high=9.0, mass_flow=0.08),
    "Moran & Shapiro Ex. 6.8": dict(
        fluid="R-22", reference="ashrae", low=3.5, high=14.0, suction=-5.0, liquid=28.0, discharge=75.0, mass_flow=1.0
    ),
    "Balmer Ex. 14.4": dict(fluid="R-22", reference="ashrae", evaporating=-15.0, condensing=20.0, efficiency=0.75, mass_flow=1.0),
    "Stoecker & Jones Ex. 10-1": dict(fluid="R-22", reference="iir", evaporating=-10.0, condensing=35.0, load=50e3),
    "Arasu Ex. 6.8": dict(
        fluid="R-22", reference="iir", evaporating=-25.0, condensing=20.0, superheat=10.0, subcooling=5.0,
        load=15 * 14000 * KILOJOULES_PER_HOUR,
    ),
    "Borgnakke & Sonntag Ex. 11.6": dict(fluid="R-134a", reference="iir", evaporating=-20.0, condensing=40.0, mass_flow=0.03),
    "ASHRAE Fundamentals ch. 2 Example 3": dict(fluid="R-134a", reference="iir", evaporating=-20.0, condensing=30.0, load=50e3),
    "Nag Ex. 14.2": dict(fluid="R-134a", reference="ashrae", low=1.4, high=8.0, mass_flow=0.06),
}  # fmt: skip

# Work (the integral of v dp) and heat of evaporation (Clapeyron: T times the change of v times dp/dT) both go with the
# specific volume, in which tables differ, so their ratio hardly feels the table: 0.2 % where both ends are saturated or
# isentropic.  The exceptions are the three examples of R-22, 0.22 % off: the heat capacity of the liquid, which its equation
# states to 1 %, is in the effect and not in the work.  limits.csv has the basis of each figure.
COP_AGREES_WITHIN = {"R-134a": ("older R-134a equation", "COP"), "R-22": ("another R-22 table", "COP")}


def isentropic_efficiency(face, low, high, superheat, discharge):
    """What the stated discharge temperature says of the compressor: (h2s - h1) / (h2 - h1)."""
    suction = face.superheated(low, superheat)
    ideal = face.state_ps(high, suction.entropy)
    return (ideal.enthalpy - suction.enthalpy) / (face.state_pt(high, discharge).enthalpy - suction.enthalpy)


@cache
def solved(name, valve_position):
    """The cycle of an example, and its mass flow (kg/s)."""
    given = EXAMPLES[name]
    face = refrigerant(given["fluid"], given["reference"])
    evaporating = face.dew_temperature(given["low"] * 1e5) if "low" in given else given["evaporating"] + ZERO_CELSIUS
    condensing = face.dew_temperature(given["high"] * 1e5) if "high" in given else given["condensing"] + ZERO_CELSIUS
    low, high = face.dew_pressure(evaporating), face.dew_pressure(condensing)
    superheat = given["suction"] + ZERO_CELSIUS - evaporating if "suction" in given else given.get("superheat", 0.0)
    bubble = face.bubble_temperature(high)
    subcooling = bubble - given["liquid"] - ZERO_CELSIUS if "liquid" in given else given.get("subcooling", 0.0)
    efficiency = given.get("efficiency", 1.0)
    if "discharge" in given:
        efficiency = isentropic_efficiency(face, low, high, superheat, given["discharge"] + ZERO_CELSIUS)
    conditions = conditions_for(
        flow(reversible_circuit(), valve_position),
        saturated_suction_temperature=evaporating,
        saturated_condensing_temperature=condensing,
        superheat=superheat,
        subcooling=subcooling,
        isentropic_efficiency=efficiency,
    )
    cycle = solve(face, conditions)
    return cycle, given.get("mass_flow") or given["load"] / cycle.refrigerating_effect


def quantities(name, unit, valve_position):
    """What the examples print, under the names of the file's `quantity` column."""
    cycle, mass_flow = solved(name, valve_position)
    one, two, three = (cycle.point(number) for number in (1, 2, 3))
    ideal = cycle.isentropic_discharge
    evaporating = cycle.conditions.saturated_suction_temperature
    carnot = evaporating / (cycle.conditions.saturated_condensing_temperature - evaporating)
    capacity = mass_flow * cycle.refrigerating_effect
    power = mass_flow * cycle.specific_work
    bar_or_kilopascal = 1e5 if unit == "bar" else 1e3
    return {
        "h1": one.enthalpy / 1e3,
        "s1": one.entropy / 1e3,
        "p1": one.pressure / bar_or_kilopascal,
        "h2": two.enthalpy / 1e3,
        "s2": two.entropy / 1e3,
        "p2": two.pressure / bar_or_kilopascal,
        "T2": two.temperature - ZERO_CELSIUS,
        "discharge temp": two.temperature - ZERO_CELSIUS,
        "h2s": ideal.enthalpy / 1e3,
        "T2s": ideal.temperature - ZERO_CELSIUS,
        "h3": three.enthalpy / 1e3,
        "s3": three.entropy / 1e3,
        "p_cond": three.pressure / 1e3,
        "refrigerating effect": cycle.refrigerating_effect / 1e3,
        "Q_L": capacity / 1e3,
        "capacity": capacity / (TON if unit == "ton" else 1e3),
        "W_in": power / 1e3,
        "W_c": power / 1e3,
        "power": power / 1e3,
        "Q_H": mass_flow * cycle.heat_rejected / 1e3,
        "mass flow": mass_flow * (60.0 if unit == "kg/min" else 1.0),
        "suction volume flow": mass_flow / one.density,
        "COP": cycle.cop_cooling,
        "COP_R": cycle.cop_cooling,
        "COP Carnot": carnot,
        "refrigerating efficiency": cycle.cop_cooling / carnot,
        "eta_isentropic": cycle.conditions.isentropic_efficiency,
    }


CELLS = rows(FILE)
DISAGREEMENTS = {(entry["row"], entry["quantity"]): entry for entry in rows("disagreements.csv") if entry["file"] == FILE}
POSITIONS = (ValvePosition.COOLING, ValvePosition.HEATING)


def label(cell):
    return f"{cell['example']}: {cell['quantity']}"


def known_disagreement(cell):
    return DISAGREEMENTS.get((cell["example"], cell["quantity"]))


def actual(cell, valve_position):
    return quantities(cell["example"], cell["unit"], valve_position)[cell["quantity"]]


@pytest.mark.parametrize("valve_position", POSITIONS, ids=str)
@pytest.mark.parametrize("cell", [cell for cell in CELLS if not known_disagreement(cell)], ids=label)
def test_printed_result_agrees_to_half_its_last_digit(cell, valve_position):
    """A worked example on the same equation is met to the rounding of its printed digits, whichever way the valve stands."""
    assert float(cell["book"]) == pytest.approx(actual(cell, valve_position), rel=0, abs=half_digit(cell["book"]))


@pytest.mark.parametrize("valve_position", POSITIONS, ids=str)
@pytest.mark.parametrize("cell", [cell for cell in CELLS if known_disagreement(cell)], ids=label)
def test_named_disagreement_keeps_its_size(cell, valve_position):
    """A worked example on another table differs by the size that is written down, whichever way the valve stands."""
    size = known_disagreement(cell)["published_minus_computed"]
    assert float(size) == pytest.approx(float(cell["book"]) - actual(cell, valve_position), rel=0, abs=half_digit(size))


@pytest.mark.parametrize("cell", [cell for cell in CELLS if known_disagreement(cell)], ids=label)
def test_named_disagreement_is_more_than_rounding_and_has_a_reason(cell):
    """Only a difference beyond half the last printed digit is excused, and never without a reason in the README."""
    found = known_disagreement(cell)
    assert abs(float(found["published_minus_computed"])) >= half_digit(cell["book"]) / (1.0 + 1e-9)
    assert f"| {found['reason']} |" in readme()


@pytest.mark.parametrize("cell", [cell for cell in CELLS if known_disagreement(cell)], ids=label)
def test_named_disagreement_stays_below_the_limit_of_its_reason(cell):
    """A reason excuses so much and no more, beside the rounding of the printed digits."""
    computed = actual(cell, ValvePosition.COOLING)
    assert beyond_rounding(cell["book"], computed) <= limit_for(known_disagreement(cell)["reason"], cell["quantity"], computed)


def test_readme_counts_the_printed_results_that_hold():
    """The README says how many printed results hold to half their last digit, in how many examples, and the counts are true."""
    holding = [cell for cell in CELLS if not known_disagreement(cell)]
    assert f"{len(holding)} of {len(CELLS)} results of worked examples" in readme()
    assert f"{len({cell['example'] for cell in holding})} of the {len(EXAMPLES)} worked examples" in readme()
    cops = [cell for cell in holding if cell["quantity"] in ("COP", "COP_R")]
    assert f"COP to half its last digit in {len(cops)}" in readme()


def test_every_named_disagreement_stands_in_an_example():
    """A disagreement whose printed result is gone is not kept, and every example is solved."""
    assert set() == set(DISAGREEMENTS) - {(cell["example"], cell["quantity"]) for cell in CELLS}
    assert set(EXAMPLES) == {cell["example"] for cell in CELLS}


@pytest.mark.parametrize("cell", [cell for cell in CELLS if cell["quantity"] in ("COP", "COP_R")], ids=label)
def test_cop_agrees_whatever_the_table(cell):
    """COP is a ratio of differences: whatever table it rests on, it lies within 0.2 % of the computed one, for R-22 within 0.24 %."""
    largest = limits()[COP_AGREES_WITHIN[EXAMPLES[cell["example"]]["fluid"]]]["largest"]
    assert float(cell["book"]) == pytest.approx(actual(cell, ValvePosition.COOLING), rel=float(largest) / 100.0)


@pytest.mark.parametrize("name", EXAMPLES)
def test_both_valve_positions_give_the_same_numbers(name):
    """Turning the valve moves the state points of an example to other places and changes no number."""
    cooling, heating = (solved(name, valve_position)[0] for valve_position in POSITIONS)
    without_place = [tuple(replace(point, place="") for point in cycle.points) for cycle in (cooling, heating)]
    assert without_place[0] == without_place[1]
    assert (cooling.point(3).place, heating.point(3).place) == ("outdoor coil, liquid side", "indoor coil, liquid side")
