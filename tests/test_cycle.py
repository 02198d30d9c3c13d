"""The cycle at given conditions: balances that hold, places that swap, and every bad input refused in a sentence."""

import math
from dataclasses import FrozenInstanceError, replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hpteach.circuit import INDOOR_COIL, OUTDOOR_COIL, MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import NAMES, Conditions, conditions_for, solve
from hpteach.errors import CircuitError, HpteachError, LimitError, UnknownNameError
from hpteach.fluids import catalogue, refrigerant

HEATING, COOLING, BETWEEN = ValvePosition.HEATING, ValvePosition.COOLING, ValvePosition.BETWEEN
FLUIDS = tuple(catalogue())
# An ordinary cooling day of the (invented) bench unit: 5 C evaporating, 45 C condensing
ORDINARY = Conditions(COOLING, INDOOR_COIL, 278.15, 318.15, 6.0, 5.0, 0.7)
IN_HEATING = {"valve_position": HEATING, "meters_towards": OUTDOOR_COIL}


def ordinary(name="R-410A", **changes):
    return solve(refrigerant(name), replace(ORDINARY, **changes))


CONDITIONS = st.builds(
    Conditions,
    valve_position=st.just(COOLING),
    meters_towards=st.just(INDOOR_COIL),
    saturated_suction_temperature=st.floats(240.0, 290.0),
    saturated_condensing_temperature=st.floats(295.0, 335.0),
    superheat=st.floats(0.0, 30.0),
    subcooling=st.floats(0.0, 20.0),
    isentropic_efficiency=st.floats(0.3, 1.0),
)


def solvable(name, conditions):
    """The cycle; a draw that is refused (subcooling past evaporating, say) is thrown away."""
    try:
        return solve(refrigerant(name), conditions)
    except HpteachError:
        assume(False)


@given(name=st.sampled_from(FLUIDS), conditions=CONDITIONS)
def test_energy_balances_round_the_cycle(name, conditions):
    """What goes in comes out: w + q_e = q_c, the valve keeps the enthalpy, and heating is cooling plus one."""
    cycle = solvable(name, conditions)
    assert cycle.specific_work + cycle.refrigerating_effect == pytest.approx(cycle.heat_rejected, rel=1e-9)
    assert cycle.point(3).enthalpy == pytest.approx(cycle.point(4).enthalpy, rel=1e-9)
    assert cycle.cop_cooling + 1.0 == pytest.approx(cycle.cop_heating, rel=1e-9)


@given(name=st.sampled_from(FLUIDS), conditions=CONDITIONS)
def test_second_law_holds_round_the_cycle(name, conditions):
    """Entropy grows in the compressor and the valve, and by Clausius q_e/T1 <= q_c/T3, between warmest taking up and coldest giving off."""
    cycle = solvable(name, conditions)
    one, two, three, four = (cycle.point(number) for number in (1, 2, 3, 4))
    assert one.entropy <= two.entropy + 1e-4 and three.entropy <= four.entropy + 1e-4
    assert one.entropy == pytest.approx(cycle.isentropic_discharge.entropy, abs=1e-4)
    assert cycle.refrigerating_effect / one.temperature < cycle.heat_rejected / three.temperature


@given(name=st.sampled_from(FLUIDS), conditions=CONDITIONS)
def test_conditions_are_met_by_the_state_points(name, conditions):
    """Superheat, subcooling, efficiency and both saturated temperatures can be read back from the state points."""
    cycle = solvable(name, conditions)
    face = refrigerant(name)
    one, two, three = (cycle.point(number) for number in (1, 2, 3))
    assert conditions.saturated_suction_temperature == pytest.approx(face.dew_temperature(one.pressure), abs=1e-6)
    assert conditions.saturated_condensing_temperature == pytest.approx(face.dew_temperature(two.pressure), abs=1e-6)
    assert conditions.superheat == pytest.approx(one.temperature - face.dew_temperature(one.pressure), abs=1e-6)
    assert conditions.subcooling == pytest.approx(face.bubble_temperature(three.pressure) - three.temperature, abs=1e-6)
    ideal = cycle.isentropic_discharge.enthalpy - one.enthalpy
    # The discharge state is found from its enthalpy to 1e-9 of its temperature.
    assert conditions.isentropic_efficiency == pytest.approx(ideal / cycle.specific_work, rel=1e-6)


@given(name=st.sampled_from(FLUIDS), conditions=CONDITIONS, layout=st.sampled_from(MeteringLayout))
def test_both_valve_positions_give_equal_cycles(name, conditions, layout):
    """Equal conditions give equal state points whichever way the valve stands; only the places differ."""
    cooling = solvable(name, conditions)
    heating = solve(refrigerant(name), replace(conditions, **IN_HEATING), reversible_circuit(layout))
    assert [replace(point, place="") for point in cooling.points] == [replace(point, place="") for point in heating.points]
    assert (cooling.cop_cooling, cooling.pressure_ratio, cooling.flash_gas) == (heating.cop_cooling, heating.pressure_ratio, heating.flash_gas)


def test_places_swap_with_the_valve():
    """Condenser points are outdoors in cooling and indoors in heating; the compressor's stay."""
    cooling, heating = ordinary(), ordinary(**IN_HEATING)
    swap = {OUTDOOR_COIL: INDOOR_COIL, INDOOR_COIL: OUTDOOR_COIL, "compressor": "compressor"}
    for point in cooling.points:
        where, inside = point.place.split(",", 1)
        assert f"{swap[where]},{inside}" == heating.point(point.label).place
    assert ("outdoor coil, liquid side", "indoor coil, liquid side") == (cooling.point(3).place, cooling.point(4).place)


def test_state_points_come_in_flow_order_with_number_label_and_name():
    """Points run 1, 2, 2a, 2b, 3, 4, 4a; the crossings of the dome have a label and no number."""
    cycle = ordinary()
    assert ["1", "2", "2a", "2b", "3", "4", "4a"] == [point.label for point in cycle.points] == list(NAMES)
    assert [1, 2, None, None, 3, 4, None] == [point.number for point in cycle.points]
    assert list(NAMES.values()) == [point.name for point in cycle.points]
    assert cycle.point("3") is cycle.point(3)


def test_pressures_are_two():
    """The model has no pressure drop: everything stands at the one pressure or at the other."""
    cycle = ordinary()
    face = refrigerant("R-410A")
    low, high = face.dew_pressure(278.15), face.dew_pressure(318.15)
    assert [low, high, high, high, high, low, low] == pytest.approx([point.pressure for point in cycle.points], rel=1e-9)
    assert high / low == pytest.approx(cycle.pressure_ratio)


def test_saturated_ends_fall_on_the_dome():
    """Without superheat and subcooling points 1 and 3 are the dew and bubble points themselves."""
    cycle = ordinary(superheat=0.0, subcooling=0.0)
    assert (1.0, 0.0) == (cycle.point(1).quality, cycle.point(3).quality)
    assert (cycle.point("4a").enthalpy, cycle.point("2b").enthalpy) == (cycle.point(1).enthalpy, cycle.point(3).enthalpy)


def test_flash_gas_is_the_quality_behind_the_valve():
    """Flash gas is the quality of point 4, and more subcooling leaves less of it."""
    little, much = ordinary(subcooling=2.0), ordinary(subcooling=20.0)
    assert little.point(4).quality == little.flash_gas > much.flash_gas > 0.0


def test_worse_compressor_takes_more_work_and_leaves_the_cooling():
    """A lower isentropic efficiency raises work and discharge temperature; the refrigerating effect stays."""
    better, worse = ordinary(isentropic_efficiency=0.8), ordinary(isentropic_efficiency=0.6)
    assert 0.8 / 0.6 == pytest.approx(worse.specific_work / better.specific_work)
    assert worse.point(2).temperature > better.point(2).temperature
    assert better.refrigerating_effect == worse.refrigerating_effect


def test_wet_compression_of_a_drying_refrigerant_has_no_condensing_start():
    """R-1234yf from saturated vapour ends inside the dome when compressed without loss: there is no point 2a to ask for."""
    cycle = solve(refrigerant("R-1234yf"), Conditions(COOLING, INDOOR_COIL, 263.15, 338.15))
    assert cycle.point(2).quality is not None and cycle.point(2).quality < 1.0
    with pytest.raises(UnknownNameError, match="state point '2a' is not known"):
        cycle.point("2a")


@pytest.mark.parametrize("label", ["5", "", "1a", "one"])
def test_unknown_state_point_is_refused(label):
    """A state point that does not exist is refused with those that do."""
    with pytest.raises(UnknownNameError, match="nown are 1, 2, 2a, 2b, 3, 4, 4a"):
        ordinary().point(label)


def test_cycle_cannot_be_changed():
    """Cycle, conditions and state points are results: their fields are fixed."""
    cycle = ordinary()
    for thing, field in ((cycle, "refrigerant"), (cycle.conditions, "superheat"), (cycle.point(1), "pressure")):
        with pytest.raises(FrozenInstanceError):
            setattr(thing, field, 1.0)


# Refusals -----------------------------------------------------------------------------------

BAD = {
    "condensing at evaporating": (
        {"saturated_condensing_temperature": 278.15},
        "saturated condensing temperature of 5 °C is not above the saturated suction temperature of 5 °C",
    ),
    "condensing below evaporating": (
        {"saturated_condensing_temperature": 268.15},
        "saturated condensing temperature of -5 °C is not above the saturated suction temperature of 5 °C: raise the first or lower the second",
    ),
    "condensing above critical": (
        {"saturated_condensing_temperature": 353.15},
        "saturated condensing temperature: R-410A cannot be saturated at 80 °C: its critical temperature is 71.34 °C; use ",
    ),
    "evaporating below the lowest": (
        {"saturated_suction_temperature": 190.0},
        "saturated suction temperature: R-410A cannot be saturated at -83.15 °C: its properties begin at -73.15 °C; use a higher temperature",
    ),
    "negative superheat": ({"superheat": -2.0}, "superheat of -2 K is negative: use 0 K or more"),
    "negative subcooling": ({"subcooling": -2.0}, "subcooling of -2 K is negative: use 0 K or more"),
    "subcooling past evaporating": (
        {"subcooling": 55.0},
        "subcooling of 55 K puts the liquid line at -10.12 °C, not above the evaporating temperature of 4.894 °C: use less than 39.99 K",
    ),
    "superheat beyond the equation": (
        {"superheat": 500.0},
        "superheat of 500 K puts the suction vapour beyond the equation of state of R-410A, which ends at 226.9 °C: use less",
    ),
    "discharge beyond the equation": ({"isentropic_efficiency": 0.01}, "isentropic efficiency of 0.01 makes the discharge vapour too hot"),
    "efficiency of zero": ({"isentropic_efficiency": 0.0}, "isentropic efficiency of 0 is outside 0 to 1"),
    "negative efficiency": ({"isentropic_efficiency": -0.7}, "isentropic efficiency of -0.7 is outside 0 to 1"),
    "efficiency above one": ({"isentropic_efficiency": 1.01}, "isentropic efficiency of 1.01 is outside 0 to 1: use a number above 0 and up to 1"),
    "efficiency in percent": ({"isentropic_efficiency": 70.0}, "isentropic efficiency of 70 is outside 0 to 1"),
}  # fmt: skip


@pytest.mark.parametrize(("changes", "says"), BAD.values(), ids=BAD)
def test_bad_condition_is_refused_with_value_and_limit(changes, says):
    """A condition that cannot be is refused with the quantity, its value, the limit and what to change."""
    with pytest.raises(LimitError) as refusal:
        ordinary(**changes)
    assert says in str(refusal.value)


def test_limit_of_subcooling_that_a_refusal_offers_is_accepted():
    """A little less subcooling than the refusal's limit gives a cycle."""
    with pytest.raises(LimitError) as refusal:
        ordinary(subcooling=55.0)
    most = refusal.value.measures["most"].value
    assert most - 0.001 == pytest.approx(ordinary(subcooling=most - 0.001).conditions.subcooling)


QUANTITIES = {
    "saturated_suction_temperature": "saturated suction temperature",
    "saturated_condensing_temperature": "saturated condensing temperature",
    "superheat": "superheat",
    "subcooling": "subcooling",
    "isentropic_efficiency": "isentropic efficiency",
}


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("quantity", QUANTITIES)
def test_not_a_number_is_refused_by_name(quantity, value):
    """NaN and infinity are refused with the name of the quantity that had them."""
    with pytest.raises(LimitError) as refusal:
        ordinary(**{quantity: value})
    assert str(refusal.value).startswith(QUANTITIES[quantity])
    assert f"{value:g}" in str(refusal.value)


@pytest.mark.parametrize("lift", [1e-13, 1e-9, 1e-6])
def test_lift_too_small_to_compute_is_refused_or_gives_a_sound_cycle(lift):
    """Two saturated temperatures that are equal but for rounding never give a negative or an infinite COP."""
    for start in (273.15, 273.52, 274.26, 280.0):
        try:
            cycle = solve(refrigerant("R-134a"), Conditions(COOLING, INDOOR_COIL, start, start + lift, 5.0))
        except LimitError:
            continue
        assert cycle.specific_work > 0.0 and math.isfinite(cycle.cop_cooling) and cycle.cop_cooling > 0.0


@pytest.mark.parametrize(("name", "evaporating", "condensing"), [("R-1234yf", 195.0, 353.0), ("R-290", 142.6, 366.8)])
def test_cycle_that_cannot_cool_is_refused(name, evaporating, condensing):
    """Where the valve would leave nothing but vapour there is no refrigerating effect: refused, not given as a negative COP."""
    with pytest.raises(LimitError):
        solve(refrigerant(name), Conditions(COOLING, INDOOR_COIL, evaporating, condensing))


@pytest.mark.parametrize(
    ("position", "towards", "says"),
    [
        (COOLING, OUTDOOR_COIL, "metering towards the outdoor coil contradicts the valve in cooling, where the outdoor coil condenses: "
                                "meter towards the indoor coil, or turn the valve"),
        (HEATING, INDOOR_COIL, "metering towards the indoor coil contradicts the valve in heating, where the indoor coil condenses: "
                               "meter towards the outdoor coil, or turn the valve"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("layout", MeteringLayout)
def test_contradictory_metering_direction_is_refused(layout, position, towards, says):
    """Metering into the condensing coil is refused with the coil to meter into."""
    conditions = replace(ORDINARY, valve_position=position, meters_towards=towards)
    with pytest.raises(CircuitError) as refusal:
        solve(refrigerant("R-410A"), conditions, reversible_circuit(layout))
    assert says == str(refusal.value)


@pytest.mark.parametrize("towards", ["indoor", "kitchen", "", "{x}"])
def test_unknown_metering_direction_is_refused(towards):
    """A metering direction that is no coil is refused with the two coils."""
    with pytest.raises(UnknownNameError, match="nown are indoor coil, outdoor coil"):
        ordinary(meters_towards=towards)


def test_valve_between_has_no_cycle():
    """With the spool between its seats there is no cycle to compute, and the refusal says what happens instead."""
    with pytest.raises(CircuitError) as refusal:
        ordinary(valve_position=BETWEEN)
    assert "with the valve between there is no cycle to compute (The spool stands between its seats" in str(refusal.value)
    assert str(refusal.value).endswith("choose heating or cooling, with sound parts")


@pytest.mark.parametrize("position", [HEATING, COOLING])
def test_conditions_for_a_flow_meter_into_its_evaporator(position):
    """Conditions made for a flow take its valve position and meter into the coil that evaporates."""
    found = flow(reversible_circuit(), position)
    conditions = conditions_for(found, saturated_suction_temperature=278.15, saturated_condensing_temperature=318.15)
    assert (position, found.evaporator) == (conditions.valve_position, conditions.meters_towards)
    assert solve(refrigerant("R-32"), conditions).flow.path == found.path


@pytest.mark.parametrize("stuck", [{"reversing valve": "between"}, {"indoor metering device": "shut"}, {"indoor check valve": "open"}])
def test_no_conditions_are_made_for_a_flow_without_an_evaporator(stuck):
    """A blocked, unmetered or short-circuited flow has no conditions, and the refusal repeats the remark that says why."""
    found = flow(reversible_circuit(), COOLING, stuck=stuck)
    with pytest.raises(CircuitError) as refusal:
        conditions_for(found, saturated_suction_temperature=278.15, saturated_condensing_temperature=318.15)
    assert found.remarks[-1].rstrip(".") in str(refusal.value)
