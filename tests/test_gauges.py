"""Field readings to superheat, subcooling and state points (hpteach/gauges.py), beside published rows."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import conditions_for, solve
from hpteach.errors import CircuitError, LimitError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.gauges import FieldReadings, closed_cycle, probe_places, read_gauges
from hpteach.units import read
from tests.reference import half_digit, limit_for, limits, rows

POSITIONS = (ValvePosition.COOLING, ValvePosition.HEATING)


def kelvin(fahrenheit: float) -> float:
    """A temperature in Fahrenheit, in K."""
    return (fahrenheit + 459.67) / 1.8


def sound(name: str, position: ValvePosition, *, layout: MeteringLayout = MeteringLayout.EACH_COIL, efficiency: float = 0.7):
    """A solved cycle and the readings that perfect instruments would show on it."""
    fluid = refrigerant(name)
    circuit = reversible_circuit(layout)
    cycle = solve(
        fluid,
        conditions_for(
            flow(circuit, position),
            saturated_suction_temperature=275.15,
            saturated_condensing_temperature=min(315.15, fluid.highest_saturation_temperature - 6.0),
            superheat=7.0,
            subcooling=4.0,
            isentropic_efficiency=efficiency,
        ),
        circuit,
    )
    one, two, three = (cycle.point(label) for label in "123")
    return cycle, FieldReadings(position, one.pressure, two.pressure, one.temperature, three.temperature, two.temperature, layout)


# Against what is published ----------------------------------------------------------------


def printed(quantity: str) -> str:
    """What Cengel & Boles, example 11-2 (tests/reference/03_cycle_examples.csv) prints for a quantity."""
    (row,) = [row for row in rows("03_cycle_examples.csv") if row["example"] == "Cengel & Boles Ex. 11-2" and row["quantity"] == quantity]
    return row["book"]


@pytest.mark.parametrize("position", POSITIONS)
def test_readings_of_a_worked_example_give_its_efficiency_and_cop(position: ValvePosition) -> None:
    """Cengel & Boles, example 11-2: 0.14 MPa and -10 C, 0.8 MPa and 50 C, liquid 26 C give efficiency 0.939 and COP 3.93, whichever way the valve stands.

    The book reads h2s and h2 off a table by interpolation: `limits.csv`, reason "interpolated", says how far that may lie off.
    """
    readings = FieldReadings(position, 0.14e6, 0.8e6, 263.15, 299.15, 323.15)
    found = read_gauges(refrigerant("R-134a", "ashrae"), readings)
    for quantity, computed in (("h1", found.point(1).enthalpy), ("h3", found.point(3).enthalpy)):
        assert float(printed(quantity)) == pytest.approx(computed / 1e3, abs=half_digit(printed(quantity)))
    assert float(printed("COP_R")) == pytest.approx(found.cop_cooling, abs=half_digit(printed("COP_R")))
    assert ("interpolated", "efficiency") in limits()
    efficiency = float(printed("eta_isentropic"))
    excused = limit_for("interpolated", "eta_isentropic", efficiency)
    assert efficiency == pytest.approx(found.isentropic_efficiency, abs=excused + half_digit(printed("eta_isentropic")))
    assert () == found.doubts


SATURATION = [row for row in rows("02_saturation_points.csv") if row["fluid"] == "R-134a" and row["entry"] == "T" and "scisuit" in row["source"]]
SUCTIONS = [row for row in SATURATION if -30 <= float(row["T_C"]) <= 10]
DISCHARGES = [row for row in SATURATION if 35 <= float(row["T_C"]) <= 80]


@pytest.mark.parametrize("high", DISCHARGES, ids=lambda row: f"{row['T_C']} C")
@pytest.mark.parametrize("low", SUCTIONS, ids=lambda row: f"{row['T_C']} C")
def test_superheat_and_subcooling_count_from_printed_saturation_rows(low: dict, high: dict) -> None:
    """R-134a, transcribed saturation table (02_saturation_points.csv, scisuit): a line 6 K above the row of its pressure has 6 K of superheat, and one 5 K below has 5 K of subcooling.

    0.01 K is what the last digit of the printed pressure moves the saturation temperature by.
    """
    suction, discharge = (float(row["T_C"]) + 273.15 for row in (low, high))
    readings = FieldReadings(ValvePosition.COOLING, float(low["p_kPa"]) * 1e3, float(high["p_kPa"]) * 1e3, suction + 6.0, discharge - 5.0)
    found = read_gauges(refrigerant("R-134a"), readings)
    assert (6.0, 5.0) == pytest.approx((found.superheat, found.subcooling), abs=0.01)
    assert float(high["hf"]) == pytest.approx(found.point("2b").enthalpy / 1e3, abs=0.02)
    assert float(low["hg"]) == pytest.approx(found.point("4a").enthalpy / 1e3, abs=0.01)


SAYINGS = {
    (match[1], int(match[2])): float(row["claimed_value"])
    for row in rows("07_trade_figures.csv")
    if (match := re.fullmatch(r"(R-\w+) saturation pressure at (\d+) F", row["claim"]))
}


@pytest.mark.parametrize("name", ["R-410A", "R-22", "R-134a", "R-32"])
def test_a_pocket_chart_and_the_library_agree(name: str) -> None:
    """Common practice, no source (07_trade_figures.csv): psig of a pocket chart at 40 and 100 F; with lines 12 F above and 10 F below, superheat is 12 F and subcooling 10 F.

    A chart of whole psi is good to one psi, and its one column is that of dew, so that subcooling may lie off by the glide (0.2 F for R-410A).
    """
    fluid = refrigerant(name)
    low, high = (read(f"{SAYINGS[name, at]}psig", "pressure") for at in (40, 100))
    psi = read("1psia", "pressure")
    worth = [1.8 * (fluid.dew_temperature(pressure + psi) - fluid.dew_temperature(pressure)) for pressure in (low, high)]
    found = read_gauges(fluid, FieldReadings(ValvePosition.COOLING, low, high, kelvin(52.0), kelvin(90.0)))
    assert 12.0 == pytest.approx(1.8 * found.superheat, abs=worth[0])
    assert 10.0 == pytest.approx(1.8 * found.subcooling, abs=worth[1] + 1.8 * fluid.glide(high))


# Against the cycle ------------------------------------------------------------------------


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("name", catalogue())
def test_readings_of_a_cycle_give_the_cycle_back(name: str, position: ValvePosition) -> None:
    """What perfect instruments show on a solved cycle leads back to its conditions, points, heat, work and COP."""
    cycle, readings = sound(name, position)
    found = read_gauges(refrigerant(name), readings)
    chosen = cycle.conditions
    assert (chosen.superheat, chosen.subcooling) == pytest.approx((found.superheat, found.subcooling), abs=1e-5)
    assert chosen.saturated_suction_temperature == pytest.approx(found.saturated_suction_temperature, abs=1e-5)
    assert chosen.saturated_condensing_temperature == pytest.approx(found.saturated_condensing_temperature, abs=1e-5)
    assert chosen.isentropic_efficiency == pytest.approx(found.isentropic_efficiency, abs=1e-5)
    assert [(point.label, point.place) for point in cycle.points] == [(point.label, point.place) for point in found.points]
    for point in cycle.points:
        assert point.enthalpy == pytest.approx(found.point(point.label).enthalpy, abs=1.0)
    for what in ("specific_work", "refrigerating_effect", "heat_rejected", "cop_cooling", "cop_heating", "pressure_ratio"):
        assert getattr(cycle, what) == pytest.approx(getattr(found, what), rel=1e-5)
    assert () == found.doubts
    closed = closed_cycle(refrigerant(name), found)
    assert cycle.cop_heating == pytest.approx(closed.cop_heating, rel=1e-5)


@pytest.mark.parametrize("layout", MeteringLayout)
@pytest.mark.parametrize("position", POSITIONS)
def test_a_perfect_compressor_is_no_doubt(layout: MeteringLayout, position: ValvePosition) -> None:
    """An implied efficiency of 1 is on the right side of what can be, and its cycle closes."""
    _, readings = sound("R-410A", position, layout=layout, efficiency=1.0)
    found = read_gauges(refrigerant("R-410A"), readings)
    assert 1.0 == pytest.approx(found.isentropic_efficiency, abs=1e-6)
    assert () == found.doubts
    assert closed_cycle(refrigerant("R-410A"), found) is not None


def test_turning_the_valve_moves_places_and_no_number() -> None:
    """Equal readings give equal states in cooling and in heating; only the places of the points differ."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    fluid = refrigerant("R-410A")
    one, other = (read_gauges(fluid, replace(readings, valve_position=position)) for position in POSITIONS)
    assert [(p.label, p.enthalpy, p.temperature) for p in one.points] == [(p.label, p.enthalpy, p.temperature) for p in other.points]
    assert ("outdoor coil, liquid side", "indoor coil, liquid side") == (one.point(3).place, other.point(3).place)


# What is left open ------------------------------------------------------------------------


def test_without_the_discharge_line_point_2_is_open() -> None:
    """No discharge line: no point 2, no work, no COP and no cycle, but superheat, subcooling, 1, 3, 4 and the effect."""
    cycle, readings = sound("R-410A", ValvePosition.HEATING)
    found = read_gauges(refrigerant("R-410A"), replace(readings, discharge_line_temperature=None))
    assert ["1", "2a", "2b", "3", "4", "4a"] == [point.label for point in found.points]
    assert [None] * 5 == [found.specific_work, found.heat_rejected, found.cop_cooling, found.cop_heating, found.isentropic_efficiency]
    assert cycle.refrigerating_effect == pytest.approx(found.refrigerating_effect, rel=1e-6)
    assert closed_cycle(refrigerant("R-410A"), found) is None
    with pytest.raises(UnknownNameError, match="state point '2' is not known"):
        found.point(2)


@pytest.mark.parametrize(
    ("quantity", "below", "open_points"),
    [
        ("suction_line_temperature", -8.0, {"1"}),
        ("liquid_line_temperature", 6.0, {"3", "4"}),
        ("discharge_line_temperature", -60.0, {"2"}),
    ],
)
def test_a_line_on_the_wrong_side_leaves_its_points_open(quantity: str, below: float, open_points: set[str]) -> None:
    """Pressure and temperature fix no state on the wrong side of saturation, and what hangs on it is open too."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    found = read_gauges(refrigerant("R-410A"), replace(readings, **{quantity: getattr(readings, quantity) + below}))
    assert {"1", "2", "2a", "2b", "3", "4", "4a"} - open_points == {point.label for point in found.points}
    assert found.doubts and closed_cycle(refrigerant("R-410A"), found) is None


@pytest.mark.parametrize("above", [-3e5, -1.01e4, 0.0, 0.99e4])
def test_without_a_pressure_difference_there_is_no_cycle(above: float) -> None:
    """Alike or swapped: saturation temperatures are there, superheat, subcooling, points and COP are not."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    found = read_gauges(refrigerant("R-410A"), replace(readings, discharge_pressure=readings.suction_pressure + above))
    assert not found.runs
    assert (None, None, (), None, None) == (found.superheat, found.subcooling, found.points, found.pressure_ratio, found.cop_heating)
    assert math.isfinite(found.saturated_condensing_temperature)
    assert ["gauges_swapped" if above < -1e4 else "at_rest"] == [doubt.id for doubt in found.doubts]


def test_a_reading_far_from_any_machine_leaves_the_compression_open() -> None:
    """A suction line so hot that a perfect compressor would leave the equation of state has no ideal discharge, and is doubted."""
    fluid = refrigerant("R-454B")
    _, readings = sound("R-454B", ValvePosition.COOLING)
    found = read_gauges(fluid, replace(readings, suction_line_temperature=fluid.highest_temperature - 5.0))
    assert found.isentropic_discharge is None and found.isentropic_efficiency is None
    assert "large_superheat" in [doubt.id for doubt in found.doubts]


# What is refused --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"discharge_pressure": 56e5}, "discharge pressure: R-410A cannot be saturated at 56 bar: its critical pressure is 49.01 bar"),
        ({"suction_pressure": 1e3}, "suction pressure: R-410A cannot be saturated at 0.01 bar: its properties begin at"),
        ({"suction_pressure": math.nan}, "suction pressure: pressure of nan is not a finite number"),
        ({"suction_pressure": -2e5}, "suction pressure: R-410A cannot be saturated at -2 bar"),
        ({"discharge_pressure": 56e5}, "check the gauge, the unit and the refrigerant; if they are right, stop the machine by its own switch; above its critical pressure"),
        ({"discharge_pressure": 48.9e5}, "discharge pressure: R-410A at 48.9 bar is too near its critical pressure of 49.01 bar to be reckoned here, above"),
        ({"suction_pressure": 1e3}, "; check the gauge, the unit and the refrigerant"),
        ({"liquid_line_temperature": 600.0}, "which holds from -73.15 °C to 226.9 °C: check the probe, the unit and the refrigerant"),
        ({"liquid_line_temperature": 600.0}, "liquid line temperature of 326.9 °C is outside the equation of state of R-410A"),
        ({"suction_line_temperature": 100.0}, "suction line temperature of -173.1 °C is outside the equation of state"),
        ({"discharge_line_temperature": math.inf}, "discharge line temperature of inf is not a finite number"),
    ],
)
def test_what_the_equation_of_state_cannot_hold_is_refused(change: dict, sentence: str) -> None:
    """A pressure or temperature outside the equation's range is refused by the name of the reading."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    with pytest.raises(LimitError, match=re.escape(sentence)) as refused:
        read_gauges(refrigerant("R-410A"), replace(readings, **change))
    assert "use " not in str(refused.value)


def test_a_discharge_above_the_critical_point_is_refused_for_carbon_dioxide() -> None:
    """R-744 rejects heat above its critical pressure on a warm day; there saturation has no meaning, and the refusal names the limit."""
    sentence = (
        "discharge pressure: R-744 cannot be saturated at 90 bar: its critical pressure is 73.77 bar; check the gauge, the unit and the refrigerant; "
        "above its critical pressure there is no condensing temperature and no subcooling, and this course stops there"
    )
    with pytest.raises(LimitError, match=f"{re.escape(sentence)}$"):
        read_gauges(refrigerant("R-744"), FieldReadings(ValvePosition.COOLING, 35e5, 90e5, 280.15, 303.15))


def test_a_valve_between_its_seats_has_no_sides_to_read() -> None:
    """With the spool between there is no condenser, so the readings are refused."""
    _, readings = sound("R-410A", ValvePosition.COOLING)
    with pytest.raises(CircuitError, match="choose heating or cooling"):
        read_gauges(refrigerant("R-410A"), replace(readings, valve_position=ValvePosition.BETWEEN))


# Where the probes go ----------------------------------------------------------------------


@pytest.mark.parametrize("layout", MeteringLayout)
@pytest.mark.parametrize("position", POSITIONS)
def test_the_liquid_probe_stands_before_the_device_that_meters(layout: MeteringLayout, position: ValvePosition) -> None:
    """The probe for subcooling goes between the condensing coil and the working device; where that meters before the liquid line, the line is warned of."""
    found = flow(reversible_circuit(layout), position)
    liquid = probe_places(found)["liquid line"]
    assert f"leaves the {found.condenser} on its liquid side, before the {found.metering.working}" in liquid
    met = [step.component for step in found.path]
    assert (met.index(found.metering.working) < met.index("liquid line")) == ("mixture" in liquid)


@pytest.mark.parametrize(("position", "gas"), list(zip(POSITIONS, ("suction gas now", "hot discharge gas"))))
def test_the_vapour_line_says_what_it_carries(position: ValvePosition, gas: str) -> None:
    """In cooling the vapour line carries suction gas, in heating discharge gas."""
    assert gas in probe_places(flow(reversible_circuit(), position))["vapour line"]


def test_probes_have_no_place_while_the_spool_stands_between() -> None:
    """Without roles for the coils no place is named."""
    with pytest.raises(CircuitError):
        probe_places(flow(reversible_circuit(), ValvePosition.BETWEEN))
