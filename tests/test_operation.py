"""What a settled machine does: energies, points, air, and the same machine in both positions (hpteach/machine/operation.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.errors import LimitError
from hpteach.fluids import refrigerant
from hpteach.machine import DEMO_MACHINES, Operation, demo_machine, operate
from hpteach.machine.air_side import FUSION
from tests.settling import COOLING, HEATING, air, machine_for, with_charge, with_orifices

WEATHER = {
    "dry": (COOLING, air(35.0, 0.4), air(27.0, 0.15)), "wet": (COOLING, air(35.0, 0.4), air(27.0, 0.6)), "mild": (COOLING, air(5.0, 0.8), air(24.0, 0.5)),
    "fog": (COOLING, air(-16.0, 0.3), air(22.0, 0.9)), "heating": (HEATING, air(8.3, 0.73), air(21.1)), "frosting": (HEATING, air(1.7, 0.82), air(21.1)),
    "near freezing": (HEATING, air(5.5, 0.9), air(20.0)), "cold": (HEATING, air(-15.0, 0.7), air(20.0)), "warm": (HEATING, air(35.0, 0.5), air(20.0)),
}  # fmt: skip
CASES = [(name, kind) for name in (*DEMO_MACHINES, "R-407C", "orifice", "short charge") for kind in WEATHER]


def made(name: str):  # noqa: ANN201
    if name == "orifice":
        return with_orifices(demo_machine("R-32"), 0.8)
    if name == "short charge":
        return with_charge(demo_machine("R-454B"), 0.7)
    return demo_machine(name) if name in DEMO_MACHINES else machine_for(name)


@pytest.fixture(scope="module", params=CASES, ids=lambda case: " ".join(case))
def found(request) -> Operation:  # noqa: ANN001
    name, kind = request.param
    return operate(made(name), *WEATHER[kind])


def roles(found: Operation):  # noqa: ANN201
    """Evaporator and condenser at work."""
    coils = {coil.role: coil for coil in (found.indoor_coil, found.outdoor_coil)}
    return coils["evaporator"], coils["condenser"]


# Energies ------------------------------------------------------------------------------------


def test_energies_close(found: Operation) -> None:
    """Its own measure of what is left is below a millionth of the power."""
    assert found.energy_residual < 1e-6


def test_energies_close_by_public_figures(found: Operation) -> None:
    """The air's enthalpies at both coils, the power and the shell's loss add up, with no figure of the refrigerant among them."""
    gained = sum(coil.dry_flow * (coil.leaving.enthalpy - coil.entering.enthalpy) for coil in (found.indoor_coil, found.outdoor_coil))
    ice = sum(FUSION * coil.frost * coil.water for coil in (found.indoor_coil, found.outdoor_coil))
    assert found.compressor_power == pytest.approx(gained - ice + found.heat_loss, rel=1e-5)


def test_refrigerant_carries_what_the_air_gets(found: Operation) -> None:
    """Mass flow times the enthalpies of the points is the heat at each coil."""
    evaporator, condenser = roles(found)
    point = found.cycle.point
    assert -evaporator.heat == pytest.approx(found.mass_flow * (point("1").enthalpy - point("4").enthalpy), rel=1e-7)
    assert condenser.heat == pytest.approx(found.mass_flow * (point("2").enthalpy - point("3").enthalpy), rel=1e-7)


def test_capacity_counts_the_indoor_fan(found: Operation) -> None:
    """It adds to heating and takes from cooling; COP is over compressor and both fans."""
    fan = found.machine.indoor_coil.fan_power
    sign = 1.0 if found.valve_position is HEATING else -1.0
    assert sign * found.indoor_coil.heat + sign * fan == pytest.approx(found.capacity, rel=1e-12)
    power = found.compressor_power + fan + found.machine.outdoor_coil.fan_power
    assert found.capacity / power == pytest.approx(found.cop, rel=1e-12)
    assert found.sensible + found.latent == pytest.approx(found.capacity, rel=1e-12)


# Air ------------------------------------------------------------------------------------------


def test_water_is_what_the_air_has_lost(found: Operation) -> None:
    """Never negative, none where the air is warmed; frost is a share of it, on the coil that boils."""
    evaporator, condenser = roles(found)
    lost = evaporator.dry_flow * (evaporator.entering.humidity_ratio - evaporator.leaving.humidity_ratio)
    assert evaporator.water == pytest.approx(lost, rel=1e-9, abs=1e-12)
    assert evaporator.water >= 0.0 and condenser.water == 0.0 and 0.0 <= evaporator.frost <= 1.0
    assert condenser.entering.humidity_ratio == pytest.approx(condenser.leaving.humidity_ratio, rel=1e-12)
    assert found.frosting == (evaporator.water * evaporator.frost > 0.0)
    assert found.boiling_coil is evaporator


def test_leaving_air_lies_between_refrigerant_and_entering_air(found: Operation) -> None:
    """It is colder than it came at the evaporator, warmer at the condenser, and no fog."""
    evaporator, condenser = roles(found)
    assert found.cycle.point("1").temperature - 60.0 < evaporator.leaving.dry_bulb < evaporator.entering.dry_bulb
    assert condenser.entering.dry_bulb < condenser.leaving.dry_bulb < found.cycle.point("2").temperature
    assert evaporator.leaving.relative_humidity <= 1.0 + 2e-5


def test_latent_heat_is_that_of_the_water(found: Operation) -> None:
    """Latent heat over water is the heat of evaporation, 2.45 to 2.6 MJ/kg, with the fusion of what freezes; without water there is none."""
    evaporator, _ = roles(found)
    assert (evaporator.latent == 0.0) == (evaporator.water == 0.0)
    assert 2.4e6 * evaporator.water <= -evaporator.latent - FUSION * evaporator.frost * evaporator.water <= 2.65e6 * evaporator.water
    cooled = evaporator.dry_flow * 0.5 * (evaporator.entering.specific_heat + evaporator.leaving.specific_heat)
    assert evaporator.sensible == pytest.approx(cooled * (evaporator.leaving.dry_bulb - evaporator.entering.dry_bulb), rel=2e-3)


def test_supply_air_is_warmed_by_the_fan(found: Operation) -> None:
    """Enthalpy behind the fan is that behind the coil and the fan's power."""
    gained = found.indoor_coil.dry_flow * (found.supply_air.enthalpy - found.indoor_coil.leaving.enthalpy)
    assert found.machine.indoor_coil.fan_power == pytest.approx(gained, rel=2e-3)
    assert found.indoor_coil.leaving.humidity_ratio == found.supply_air.humidity_ratio


# Points ---------------------------------------------------------------------------------------


def test_points_stand_in_the_order_of_flow(found: Operation) -> None:
    """Pressure falls from the discharge to the suction; enthalpy falls through the condenser and rises through the evaporator."""
    points = {point.label: point for point in found.cycle.points}
    order = [label for label in ("2", "2a", "2b", "3", "4", "4a", "1") if label in points]
    pressures = [points[label].pressure for label in order]
    assert all(later <= earlier * (1.0 + 1e-12) for earlier, later in zip(pressures, pressures[1:]))
    through_condenser = [points[label].enthalpy for label in order if label[0] in "23"]
    through_evaporator = [points[label].enthalpy for label in order if label[0] in "41"]
    assert sorted(through_condenser, reverse=True) == through_condenser and sorted(through_evaporator) == through_evaporator
    assert points["3"].enthalpy == pytest.approx(points["4"].enthalpy, rel=1e-9)


def test_conditions_are_those_of_the_points(found: Operation) -> None:
    """Saturated temperatures, superheat and subcooling are read at the compressor and at the condenser's outlet."""
    fluid, point, conditions = refrigerant(found.machine.refrigerant), found.cycle.point, found.cycle.conditions
    assert found.saturated_suction_temperature == pytest.approx(fluid.dew_temperature(point("1").pressure), abs=1e-9)
    assert found.saturated_condensing_temperature == pytest.approx(fluid.dew_temperature(point("2").pressure), abs=1e-9)
    superheat = point("1").temperature - found.saturated_suction_temperature if point("1").quality is None else 0.0
    subcooling = fluid.bubble_temperature(point("3").pressure) - point("3").temperature if point("3").quality is None else 0.0
    assert (found.superheat, found.subcooling) == pytest.approx((superheat, subcooling), abs=1e-9)
    assert (conditions.superheat, conditions.subcooling, conditions.valve_position) == (found.superheat, found.subcooling, found.valve_position)
    assert found.isentropic_efficiency == conditions.isentropic_efficiency
    assert found.discharge_temperature == point("2").temperature and found.pressure_ratio == pytest.approx(point("2").pressure / point("1").pressure)


def test_wet_ends_have_no_crossing(found: Operation) -> None:
    """A wet discharge does not begin to condense, what leaves with vapour does not end, a wet suction does not end to boil."""
    labels = {point.label for point in found.cycle.points}
    assert ("2a" in labels) == (found.cycle.point("2").quality is None)
    assert ("2b" in labels) == (found.cycle.point("3").quality is None)
    assert ("4a" in labels) == (found.cycle.point("1").quality is None)


def test_shares_fill_each_coil_and_the_charge_is_all_there(found: Operation) -> None:
    """Zones add up to the coil; refrigerant adds up to what circulates."""
    for coil in (found.indoor_coil, found.outdoor_coil):
        assert sum(zone.share for zone in coil.zones) == pytest.approx(1.0, abs=1e-7)
        assert -coil.heat == pytest.approx(sum(zone.heat for zone in coil.zones), rel=1e-12)
    assert found.machine.circulating(found.valve_position) == pytest.approx(found.charge, rel=1e-6)


# The two positions ---------------------------------------------------------------------------------


def test_both_positions_use_the_same_coils() -> None:
    """What each coil was in cooling the other is in heating, with its own air flow in both."""
    machine = demo_machine("R-32")
    cooling, heating = operate(machine, *WEATHER["wet"]), operate(machine, *WEATHER["heating"])
    assert cooling.machine is heating.machine is machine
    for place in ("indoor_coil", "outdoor_coil"):
        coil = getattr(machine, place)
        assert {"evaporator", "condenser"} == {getattr(one, place).role for one in (cooling, heating)}
        assert [coil.air_flow] * 2 == [getattr(one, place).air_flow for one in (cooling, heating)]


def test_coil_with_less_air_stands_in_for_the_machines_own() -> None:
    """With a third of its air the outdoor coil evaporates lower, and the machine gives less at a lower COP."""
    machine = demo_machine("R-32")
    clean = operate(machine, *WEATHER["frosting"])
    blocked = operate(machine, *WEATHER["frosting"], outdoor_coil=machine.outdoor_coil.with_air(1.0 / 3.0))
    assert blocked.saturated_suction_temperature < clean.saturated_suction_temperature - 3.0
    assert blocked.capacity < clean.capacity and blocked.cop < clean.cop
    assert clean.outdoor_coil.air_flow / 3.0 == pytest.approx(blocked.outdoor_coil.air_flow)


def test_air_that_leaves_too_hot_is_refused_by_its_coil() -> None:
    """Beyond 60 °C moist air is not computed, and the refusal says at which coil."""
    machine = demo_machine("R-290")
    machine = replace(machine, indoor_coil=machine.indoor_coil.with_air(0.35))
    with pytest.raises(LimitError, match="air that leaves the indoor coil"):
        operate(machine, HEATING, air(20.0), air(31.0))
