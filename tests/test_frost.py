"""Frost on the outdoor coil: growth, what it does, and the means over frost and defrost."""

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from hpteach.errors import LimitError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine, operate
from hpteach.machine.defrost import Demand, Ending, TimeTemperature
from hpteach.machine.frost import Growth, air_flow_share, frost_cycle, frosted, most_frost, thickness
from hpteach.circuit import ValvePosition

FAHRENHEIT = {47: (281.483, 279.261), 35: (274.817, 273.706), 17: (264.817, 263.706)}
"""Dry and wet bulb (K) of the heating rating points 47/43, 35/33 and 17/15 F, tests/reference/04_rating_conditions.csv."""
ROOM = (294.261, 288.706)
DEMOS = ("R-410A", "R-454B", "R-32", "R-290")


def rated(fahrenheit):
    """The air outdoors at a rating point."""
    dry_bulb, wet_bulb = FAHRENHEIT[fahrenheit]
    return moist_air(dry_bulb, wet_bulb=wet_bulb)


def room():
    """The air indoors of the US heating tests."""
    return moist_air(ROOM[0], wet_bulb=ROOM[1])


def test_rating_points_are_those_of_the_table():
    """The three weathers used here are the rows H1, H2 and H3 of the reference table."""
    with (Path(__file__).parent / "reference" / "04_rating_conditions.csv").open(encoding="utf-8") as file:
        rows = {row["code"]: row for row in csv.DictReader(file) if row["standard"] == "US M1"}
    for fahrenheit, code in ((47, "H1"), (35, "H2"), (17, "H3")):
        assert FAHRENHEIT[fahrenheit] == pytest.approx(
            (float(rows[code]["outdoor_db_C"]) + 273.15, float(rows[code]["outdoor_wb_C"]) + 273.15), abs=0.006
        )


# Growth ---------------------------------------------------------------------------------


def test_thickness_is_volume_over_surface():
    """2.8 kg of 250 kg/m3 on 28 m2 are 0.4 mm thick."""
    surface = replace(demo_machine("R-32").frost, area=28.0, density=250.0)
    assert 0.4e-3 == pytest.approx(thickness(surface, 2.8), rel=1e-12)


@pytest.mark.parametrize(("filled", "share"), [(0.0, 1.0), (0.5, (0.5 * 8.0 + 0.5) ** -0.5), (0.75, (0.5 * 64.0 + 0.5) ** -0.5)])
def test_air_flow_falls_with_the_gap_that_is_left(filled, share):
    """With half of the fan's pressure taken by the coil, a gap half filled lets through 1/sqrt(4.5) of the air."""
    surface = replace(demo_machine("R-32").frost, coil_share=0.5)
    frost = 0.5 * filled * surface.gap * surface.density * surface.area
    assert share == pytest.approx(air_flow_share(surface, frost), rel=1e-9)


def test_fan_that_feels_no_coil_keeps_its_air():
    """Where the coil takes no part of the fan's pressure, frost takes no air."""
    surface = replace(demo_machine("R-32").frost, coil_share=0.0)
    assert 1.0 == air_flow_share(surface, 0.9 * most_frost(surface))


@pytest.mark.parametrize("frost", [-0.1, float("nan"), 1.01])
def test_frost_that_cannot_be_is_refused(frost):
    """Frost below zero, beyond the gap that the model allows, or no number is refused with what is allowed."""
    machine = demo_machine("R-32")
    mass = frost * most_frost(machine.frost) if frost > 1.0 else frost
    with pytest.raises(LimitError, match=r"frost in kg of .* cannot be: use a number from 0 to 4.2"):
        frosted(machine.outdoor_coil, machine.frost, mass)


def test_layer_of_frost_is_a_resistance_in_series():
    """1 kg on 28 m2 is 0.143 mm; at 0.2 W/(m K) it adds 0.0255 mK/W to every conductance of the refrigerant side."""
    machine = demo_machine("R-32")
    surface = replace(machine.frost, area=28.0, density=250.0, conductivity=0.2)
    found = frosted(machine.outdoor_coil, surface, 1.0)
    for name in ("boiling_conductance", "condensing_conductance", "liquid_conductance", "vapour_conductance"):
        assert 1.0 / getattr(machine.outdoor_coil, name) + 1.0 / (250.0 * 28.0 * 0.2 * 28.0) == pytest.approx(1.0 / getattr(found, name), rel=1e-12)


def test_clean_coil_stays_as_it_is():
    """Without frost the coil is the same object."""
    machine = demo_machine("R-32")
    assert frosted(machine.outdoor_coil, machine.frost, 0.0) is machine.outdoor_coil


def test_frost_is_what_the_air_loses():
    """Frost grows as fast as dry air flow times the fall of the humidity ratio, where the whole surface lies below freezing."""
    found = operate(demo_machine("R-32"), ValvePosition.HEATING, rated(35), room())
    coil = found.outdoor_coil
    assert coil.frost == 1.0
    assert found.frost_rate == pytest.approx(coil.dry_flow * (coil.entering.humidity_ratio - coil.leaving.humidity_ratio), rel=1e-12)


@pytest.mark.parametrize("dew_point_below", [3.0, 8.0])
def test_dry_air_leaves_no_frost(dew_point_below):
    """No frost grows on a coil whose surface lies above the frost point, however cold it is."""
    machine = demo_machine("R-32")
    cold = operate(machine, ValvePosition.HEATING, moist_air(263.15, relative_humidity=0.2), room())
    dry = moist_air(263.15, dew_point=cold.saturated_suction_temperature - dew_point_below)
    found = operate(machine, ValvePosition.HEATING, dry, room())
    assert (0.0, False) == (found.frost_rate, found.frosting)
    assert found.saturated_suction_temperature < 263.15


def test_mild_air_leaves_water_and_no_frost():
    """At 47 F the coil may be wet, but its surface lies above freezing."""
    assert 0.0 == operate(demo_machine("R-32"), ValvePosition.HEATING, rated(47), room()).frost_rate


@pytest.mark.parametrize("name", DEMOS)
def test_frost_grows_fastest_a_little_above_freezing(name):
    """At 90 % humidity most frost grows between -1 and 4 C outdoors: colder air holds less water, milder air keeps the coil above freezing."""
    machine, indoor = demo_machine(name), room()
    rates = {
        celsius: operate(machine, ValvePosition.HEATING, moist_air(273.15 + celsius, relative_humidity=0.9), indoor).frost_rate
        for celsius in (-15.0, -10.0, -5.0, 0.0, 3.0, 7.0, 10.0)
    }
    assert max(rates, key=rates.get) in (0.0, 3.0)
    assert rates[-15.0] < rates[-10.0] < rates[-5.0] < rates[0.0]
    assert 0.0 == rates[10.0]


def test_frost_takes_capacity_and_lowers_the_suction():
    """With more frost, capacity, air and saturated suction temperature fall together."""
    growth = Growth(demo_machine("R-32"), rated(35), room())
    moments = growth.moments(2.5, 3900.0)
    for earlier, later in zip(moments, moments[1:]):
        assert later.frost > earlier.frost
        assert later.capacity < earlier.capacity
        assert later.air_flow_share < earlier.air_flow_share
        assert later.saturated_suction_temperature < earlier.saturated_suction_temperature


def test_curve_between_balances_is_near_a_balance():
    """Halfway between two frost masses at which the machine was balanced, the curve lies within 0.5 % of a balance made there."""
    machine, outdoor, indoor = demo_machine("R-32"), rated(35), room()
    growth = Growth(machine, outdoor, indoor)
    for frost in (0.25, 0.9, 1.7, 2.5):
        coil = frosted(machine.outdoor_coil, machine.frost, frost)
        balanced = operate(machine, ValvePosition.HEATING, outdoor, indoor, outdoor_coil=coil)
        moment = growth.moment(frost, 0.0)
        assert balanced.capacity == pytest.approx(moment.capacity, rel=0.005)
        assert balanced.power == pytest.approx(moment.power, rel=0.005)


def test_growth_marched_in_short_steps_agrees():
    """Ten steps of the clock with a balance at each, added by the trapezium rule, give frost and mean capacity of the cycle within 1 %."""
    machine, outdoor, indoor = demo_machine("R-32"), rated(35), room()
    found = frost_cycle(machine, outdoor, indoor, TimeTemperature(interval=3600.0))
    steps, step, frost, heat = 10, 360.0, 0.0, 0.0
    before = operate(machine, ValvePosition.HEATING, outdoor, indoor)
    for _ in range(steps):
        guess = frost + step * before.frost_rate
        after = operate(machine, ValvePosition.HEATING, outdoor, indoor, outdoor_coil=frosted(machine.outdoor_coil, machine.frost, guess))
        frost += 0.5 * step * (before.frost_rate + after.frost_rate)
        heat += 0.5 * step * (before.capacity + after.capacity)
        before = after
    assert frost == pytest.approx(found.moments[-1].frost, rel=0.01)
    room_heat = found.defrost.heat_from_room - found.defrost.duration * machine.indoor_coil.fan_power
    assert (heat - room_heat) / (3600.0 + found.defrost.duration) == pytest.approx(found.capacity, rel=0.01)


# The means --------------------------------------------------------------------------------


def test_means_close_over_the_whole_cycle():
    """Mean capacity and power times the whole time are the heat and the work of running and defrost."""
    machine = demo_machine("R-290")
    found = frost_cycle(machine, rated(35), room())
    total = found.running + found.defrost.duration
    growth = Growth(machine, rated(35), room())
    heat, work = growth.energies(found.moments[-1].frost, found.running)
    room_heat = found.defrost.heat_from_room - found.defrost.duration * machine.indoor_coil.fan_power
    assert heat - room_heat == pytest.approx(found.capacity * total, rel=1e-9)
    assert work + found.defrost.work == pytest.approx(found.power * total, rel=1e-9)
    assert found.cop == found.capacity / found.power


def test_without_frost_nothing_is_lost():
    """At 47 F no defrost begins, and the means are those of the clean machine."""
    found = frost_cycle(demo_machine("R-32"), rated(47), room(), Demand())
    assert (None, None, found.clean.capacity, found.clean.power) == (found.running, found.defrost, found.capacity, found.power)


def test_clock_defrosts_a_dry_cold_coil_for_nothing():
    """In dry cold air the clock starts defrosts that melt nothing and cost heat; on demand there is none."""
    outdoor = moist_air(263.15, relative_humidity=0.2)
    by_clock = frost_cycle(demo_machine("R-32"), outdoor, room(), TimeTemperature())
    on_demand = frost_cycle(demo_machine("R-32"), outdoor, room(), Demand())
    assert by_clock.clean.frost_rate == 0.0
    assert 0.0 == by_clock.defrost.melted
    assert by_clock.capacity < by_clock.clean.capacity
    assert by_clock.begins_because == "the clock"
    assert on_demand.capacity == on_demand.clean.capacity


def test_defrost_on_demand_begins_at_its_excess():
    """When the defrost begins, the coil lies just the set excess further below the air than it did when clean."""
    found = frost_cycle(demo_machine("R-32"), rated(35), room(), Demand(excess=2.0))
    fallen = found.clean.saturated_suction_temperature - found.moments[-1].saturated_suction_temperature
    assert 2.0 == pytest.approx(fallen, abs=0.02)


def test_blocked_coil_begins_a_defrost_by_itself():
    """A clock set too long is overtaken by the coil that blocks."""
    found = frost_cycle(demo_machine("R-32"), moist_air(274.15, relative_humidity=1.0), room(), TimeTemperature(interval=36000.0))
    assert "the coil is blocked" == found.begins_because
    assert found.running < 36000.0


@pytest.mark.parametrize("name", DEMOS)
def test_dip_at_35_f_has_the_published_shape(name):
    """Integrated capacity at 35/33 F lies within 3 %, power within 3 %, of the rating method's relation between 47, 35 and 17 F.

    Q35 = 0.90 (Q17 + 0.6 (Q47 - Q17)), E35 = 0.985 (E17 + 0.6 (E47 - E17)): tests/reference/04e_rating_formulas.csv.  The relation
    is a default for machines that were not tested, so it is no measurement of any; 3 % is a quarter of the dip in capacity.
    """
    machine, indoor = demo_machine(name), room()
    found = {fahrenheit: frost_cycle(machine, rated(fahrenheit), indoor, TimeTemperature(interval=5400.0)) for fahrenheit in (47, 35, 17)}
    mild, cold = found[47].clean, found[17].clean
    assert 0.90 * (cold.capacity + 0.6 * (mild.capacity - cold.capacity)) == pytest.approx(found[35].capacity, rel=0.03)
    assert 0.985 * (cold.power + 0.6 * (mild.power - cold.power)) == pytest.approx(found[35].power, rel=0.03)


def test_dip_is_deepest_where_most_frost_grows():
    """The share that frost and defrost take is larger at 35 F than at 47 and at 17 F."""
    machine, indoor = demo_machine("R-454B"), room()
    lost = {fahrenheit: 1.0 - frost_cycle(machine, rated(fahrenheit), indoor, Demand()).capacity_share for fahrenheit in (47, 35, 17)}
    assert lost[35] > 0.05 > lost[17] > lost[47] == 0.0


def test_longest_defrost_leaves_frost():
    """A defrost that is cut off leaves frost behind and says how much."""
    found = frost_cycle(demo_machine("R-32"), rated(35), room(), TimeTemperature(interval=5400.0), Ending(longest=60.0))
    assert 60.0 == found.defrost.duration
    assert 0.0 < found.defrost.left < found.moments[-1].frost
