"""What is taught of heat pumps must come out of the numbers of a machine in weather.

Bench unit (invented) for four refrigerants; statements of textbooks and of the trade, each held against what the machine does.
"""

from __future__ import annotations

from functools import cache

import pytest

from hpteach.fluids import refrigerant
from hpteach.machine import Operation, demo_machine, operate
from hpteach.units import STANDARD_ATMOSPHERE, sentence
from tests.settling import COOLING, HEATING, air

MACHINES = ("R-410A", "R-454B", "R-32", "R-290")
OUTDOORS = tuple(range(-25, 21, 3))


@cache
def heating(name: str, outdoors: float, indoors: float = 20.0) -> Operation:
    return operate(demo_machine(name), HEATING, air(outdoors, 0.7), air(indoors, 0.4))


@cache
def cooling(name: str, outdoors: float, indoors: float = 27.0) -> Operation:
    return operate(demo_machine(name), COOLING, air(outdoors, 0.4), air(indoors, 0.47))


@pytest.mark.parametrize("name", MACHINES)
def test_heat_flows_in_proportion_to_the_difference_at_a_coil(name: str) -> None:
    """At the condenser more heat goes with a larger difference between condensing temperature and air, in nearly the same proportion."""
    found = [heating(name, celsius) for celsius in (-15.0, -5.0, 5.0, 15.0)]
    differences = [one.saturated_condensing_temperature - one.indoor.dry_bulb for one in found]
    heats = [one.indoor_coil.heat for one in found]
    assert sorted(differences) == differences and sorted(heats) == heats
    ratios = [heat / difference for heat, difference in zip(heats, differences)]
    assert max(ratios) < 1.35 * min(ratios)


@pytest.mark.parametrize("name", MACHINES)
def test_cop_falls_as_the_lift_grows(name: str) -> None:
    """In heating with colder weather, and in cooling with hotter weather, the lift between the saturated temperatures grows and the COP falls."""
    for found in ([heating(name, celsius) for celsius in (20, 11, 2, -7, -16, -25)], [cooling(name, celsius) for celsius in (25.0, 30.0, 35.0, 40.0, 45.0)]):
        lifts = [one.saturated_condensing_temperature - one.saturated_suction_temperature for one in found]
        cops = [one.cop for one in found]
        assert sorted(lifts) == lifts
        assert sorted(cops, reverse=True) == cops


@pytest.mark.parametrize("name", MACHINES)
def test_capacity_and_cop_rise_with_the_weather(name: str) -> None:
    """From -25 to 20 °C outdoors both rise with every step."""
    found = [heating(name, celsius) for celsius in OUTDOORS]
    for figures in ([one.capacity for one in found], [one.cop for one in found]):
        assert all(later > earlier for earlier, later in zip(figures, figures[1:]))


@pytest.mark.parametrize("name", MACHINES)
def test_warmer_room_costs_capacity_and_cop(name: str) -> None:
    """Heating a room of 24 °C instead of 18 °C takes a higher condensing temperature."""
    cool, warm = heating(name, 5.0, 18.0), heating(name, 5.0, 24.0)
    assert warm.capacity < cool.capacity and warm.cop < cool.cop


@pytest.mark.parametrize("name", MACHINES)
def test_air_far_below_freezing_still_gives_heat(name: str) -> None:
    """At -25 °C the outdoor air is the warmer side: it gives heat, and the room gets more than the power taken."""
    found = heating(name, -25)
    assert -found.outdoor_coil.heat > 0.4 * found.capacity
    assert found.saturated_suction_temperature < found.outdoor.dry_bulb
    assert found.cop > 1.3
    assert found.capacity < 0.6 * heating(name, 8).capacity


@pytest.mark.parametrize("name", MACHINES)
def test_boiling_point_at_the_airs_pressure_is_not_what_limits(name: str) -> None:
    """At -25 °C outdoors the refrigerant still boils above its normal boiling point, so at more than the air's pressure; propane the nearest."""
    found = heating(name, -25)
    assert found.saturated_suction_temperature > refrigerant(name).dew_temperature(STANDARD_ATMOSPHERE) + 5.0
    assert found.cycle.point("1").pressure > STANDARD_ATMOSPHERE
    assert "suction_below_air" not in [limit.id for limit in found.limits]


def test_propane_comes_nearest_to_the_airs_pressure() -> None:
    """Of the four its suction pressure at -25 °C is the lowest, less than twice that of the air, and R-32's and its kin's more than twice."""
    pressures = {name: heating(name, -25).cycle.point("1").pressure for name in MACHINES}
    assert "R-290" == min(pressures, key=pressures.get)
    assert pressures["R-290"] < 2.0 * STANDARD_ATMOSPHERE < min(pressure for name, pressure in pressures.items() if name != "R-290")


@pytest.mark.parametrize("name", MACHINES)
def test_what_the_cold_takes_is_vapour_density(name: str) -> None:
    """From 8 to -25 °C the suction vapour thins to less than half, the pressure ratio and the discharge temperature rise."""
    mild, cold = heating(name, 8), heating(name, -25)
    assert cold.cycle.point("1").density < 0.5 * mild.cycle.point("1").density
    assert cold.pressure_ratio > 1.5 * mild.pressure_ratio
    assert cold.discharge_temperature > mild.discharge_temperature + 10.0
    assert cold.mass_flow < 0.45 * mild.mass_flow


def test_limit_of_the_cold_is_named() -> None:
    """At -25 °C and a warm room the bench unit for R-32 names its discharge temperature, with both figures."""
    limits = {limit.id: sentence(limit) for limit in heating("R-32", -25).limits}
    assert ["discharge_temperature"] == list(limits)
    assert f"{heating('R-32', -25).discharge_temperature - 273.15:.1f} °C" in limits["discharge_temperature"] and "130.0 °C" in limits["discharge_temperature"]
    assert () == heating("R-410A", -25).limits == heating("R-290", -25).limits


@pytest.mark.parametrize("name", MACHINES)
def test_hot_weather_lowers_cooling_and_raises_the_power(name: str) -> None:
    """From 25 to 45 °C outdoors the capacity falls and the compressor takes more."""
    found = [cooling(name, celsius) for celsius in (25.0, 35.0, 45.0)]
    assert found[0].capacity > found[1].capacity > found[2].capacity
    assert found[0].compressor_power < found[1].compressor_power < found[2].compressor_power


def test_moist_air_frosts_sooner_and_boils_higher() -> None:
    """At 2 °C moister air gives its latent heat too: the coil boils a little higher, gives more, and grows more ice."""
    dry, moist = (operate(demo_machine("R-32"), HEATING, air(2.0, humidity), air(20.0)) for humidity in (0.5, 0.95))
    assert moist.saturated_suction_temperature > dry.saturated_suction_temperature
    assert moist.capacity > dry.capacity and moist.frost_rate > dry.frost_rate
