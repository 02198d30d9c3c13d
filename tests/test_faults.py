"""Faults put into the machine, each against its physics by hand (hpteach/machine/faults.py)."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import CircuitError, HpteachError, InputError, LimitError, UnknownNameError
from hpteach.fluids import moist_air, refrigerant
from hpteach.machine import Operation, demo_machine, map_of, operate
from hpteach.machine.faults import BOTH, COOLING, HEATING, KINDS, Fault, check_together, fault, operate_with, position_with, shows
from hpteach.machine.metering import ORIFICE, THERMOSTATIC
from hpteach.machine.signs import COMPARED
from tests.sign_table import METERING, REFRIGERANTS, WEATHER, machine_with, run_of, signs

NAMES = ("R-410A", "R-290", "R-454B")

OF_LIQUID = 5e-3
"""By how much a flow or loss of liquid may differ: the balance takes its temperature from one specific heat near the dome, the points of the cycle from their enthalpy."""

MODES = pytest.mark.parametrize("mode", BOTH, ids=["cooling", "heating"])


def found_with(name: str, mode: ValvePosition, *faults: Fault, metering: str = THERMOSTATIC) -> Operation:
    return operate_with(machine_with(name, metering), mode, *WEATHER[mode], faults)


def figures(found: Operation) -> np.ndarray:
    return np.array([*(compared.value(found) for compared in COMPARED.values()), found.mass_flow, found.charge, found.cop])


def evaporator(mode: ValvePosition) -> str:
    return "indoor" if mode is COOLING else "outdoor"


def condenser(mode: ValvePosition) -> str:
    return "outdoor" if mode is COOLING else "indoor"


# The list ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_usual_size_lies_within_what_it_may_be(kind) -> None:  # noqa: ANN001
    """A fault has a size between its least and most, and one at which it does nothing that lies outside, or no size at all."""
    if kind.size is None:
        assert (None, None, "") == (kind.least, kind.most, kind.quantity)
    else:
        assert kind.least < kind.size < kind.most and kind.quantity
        assert not kind.least < kind.harmless < kind.most or "stuck_open" in kind.id
    assert kind.words and kind.mechanism.endswith(".") and set(kind.shows_in) <= set(BOTH) and kind.shows_in


@pytest.mark.parametrize("metering", METERING)
@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_fault_shows_where_it_says_and_nowhere_else(kind, metering: str) -> None:  # noqa: ANN001
    """In a mode in which it does not show, nothing changes by a millionth; where it shows, something does, be it for a switch."""
    if metering == ORIFICE and "stuck" in kind.id and "metering" in kind.id:
        return
    for mode in BOTH:
        healthy = figures(found_with("R-410A", mode, metering=metering))
        if shows(fault(kind.id), position_with(mode, [fault(kind.id)]), mode):
            off = figures(run_of("R-410A", metering, mode.value, kind.id).operation) / healthy - 1.0
            assert np.abs(off).max() > 1e-3, mode
        else:
            off = figures(found_with("R-410A", mode, fault(kind.id), metering=metering)) / healthy - 1.0
            assert np.abs(off).max() < 1e-6, mode


@MODES
def test_machine_without_faults_is_the_machine(mode: ValvePosition) -> None:
    """With an empty list the answer is that of the balance itself."""
    machine = demo_machine("R-32")
    assert figures(operate(machine, mode, *WEATHER[mode])) == pytest.approx(figures(operate_with(machine, mode, *WEATHER[mode])), rel=1e-6)


# Mechanisms by hand -----------------------------------------------------------------------------


@MODES
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("metering", METERING)
def test_energy_closes_with_a_leaking_spool(name: str, mode: ValvePosition, metering: str) -> None:
    """Leaked gas comes by the gap's equation, mixes by enthalpy with what the coil sends, and the first law holds for compressor and machine."""
    found = found_with(name, mode, fault("spool_leak", 0.6), metering=metering)
    suction, discharge = found.cycle.point("1"), found.cycle.point("2")
    fall = discharge.pressure - max(suction.pressure, 0.55 * discharge.pressure)
    assert 0.6e-6 * math.sqrt(2.0 * discharge.density * fall) == pytest.approx(found.leaked_flow, rel=1e-6)
    through = found.mass_flow + found.leaked_flow
    mixed = (found.mass_flow * found.evaporator_outlet.enthalpy + found.leaked_flow * discharge.enthalpy) / through
    assert mixed == pytest.approx(suction.enthalpy, abs=0.05)
    assert found.compressor_power == pytest.approx(through * (discharge.enthalpy - suction.enthalpy) + found.heat_loss, rel=1e-6)
    outdoors, indoors = found.outdoor_coil.heat, found.indoor_coil.heat
    assert found.compressor_power == pytest.approx(outdoors + indoors + found.heat_loss, rel=1e-6)


@MODES
@pytest.mark.parametrize("name", NAMES)
def test_foreign_gas_adds_its_partial_pressure(name: str, mode: ValvePosition) -> None:
    """Dalton: the gauge shows the refrigerant's pressure and the gas's, and reads subcooling too large by what lies between both bubble points."""
    gas = 3e5
    found, fluid = found_with(name, mode, fault("foreign_gas", gas)), refrigerant(name)
    liquid, last_bubble = found.cycle.point("3"), found.cycle.point("2b")
    assert gas == pytest.approx(liquid.pressure - last_bubble.pressure, abs=0.1)
    true = fluid.bubble_temperature(liquid.pressure - gas) - liquid.temperature
    read = fluid.bubble_temperature(liquid.pressure) - liquid.temperature
    assert read == pytest.approx(found.subcooling, abs=1e-6)
    assert 0.0 < true < read


@MODES
@pytest.mark.parametrize("name", NAMES)
def test_leaking_check_valve_stands_beside_the_metering_device(name: str, mode: ValvePosition) -> None:
    """Two openings side by side: the flow is Bernoulli's through the sum of the valve's opening at its superheat and the gap."""
    found = found_with(name, mode, fault(f"{evaporator(mode)}_check_valve_leaking", 0.6))
    device, fluid, entering = found.machine.metering(mode), refrigerant(name), found.before_metering
    area = device.opening * device.share_open(found.coil_superheat) + 0.6e-6
    assert area == pytest.approx(device.opening * found.share_open)
    throat = max(found.cycle.point("4").pressure, 0.8 * min(fluid.bubble_pressure(entering.temperature), entering.pressure))
    assert area * math.sqrt(2.0 * entering.density * (entering.pressure - throat)) == pytest.approx(found.mass_flow, rel=OF_LIQUID)


@MODES
def test_narrow_places_in_a_row_add_their_losses(mode: ValvePosition) -> None:
    """A check valve stuck shut sends the liquid through the device at rest, a crushed line comes on top: both losses and the line's own add up."""
    line, shut = 0.8, f"{condenser(mode)}_check_valve_shut"
    found = found_with("R-410A", mode, fault(shut), fault("liquid_line_restricted", line))
    machine = found.machine
    resting = machine.outdoor_metering if mode is COOLING else machine.indoor_metering
    openings = (resting.opening, line * machine.metering(mode).opening)
    leaves = found.cycle.point("3")
    losses = [(found.mass_flow / opening) ** 2 / (2.0 * leaves.density) for opening in openings]
    pipe = machine.liquid_loss.at(found.mass_flow, found.cycle.point("2b").density)
    assert leaves.pressure - pipe - sum(losses) == pytest.approx(found.before_metering.pressure, abs=OF_LIQUID * sum(losses))


@MODES
def test_device_at_rest_that_is_narrow_matters_only_behind_a_check_valve_stuck_shut(mode: ValvePosition) -> None:
    """Dirt in the device at rest does nothing by itself, and narrows the way further where the check valve sends the liquid through it."""
    place = condenser(mode)
    dirt, shut = fault(f"{place}_metering_restricted", 0.8), fault(f"{place}_check_valve_shut")
    healthy, dirty, blocked, both = (found_with("R-410A", mode, *faults, metering=ORIFICE) for faults in ((), (dirt,), (shut,), (shut, dirt)))
    assert healthy.capacity == pytest.approx(dirty.capacity, rel=1e-6)
    assert both.cycle.point("1").pressure < blocked.cycle.point("1").pressure < healthy.cycle.point("1").pressure


@MODES
@pytest.mark.parametrize("name", NAMES)
def test_worn_compressor_gives_less_for_the_same_work(name: str, mode: ValvePosition) -> None:
    """Between the pressures at which it settles, the sound compressor would pump 1 / 0.7 of the flow with the same power."""
    found = found_with(name, mode, fault("compressor_worn", 0.3))
    sound = demo_machine(name).compressor.run(refrigerant(name), refrigerant(name).state_ph(found.cycle.point("1").pressure, found.cycle.point("1").enthalpy), found.cycle.point("2").pressure)
    assert (0.7, 1.0) == (pytest.approx(found.mass_flow / sound.mass_flow), pytest.approx(found.compressor_power / sound.power))


def test_worn_compressor_of_a_map_loses_flow_too() -> None:
    """A measured compressor that is worn takes in 0.7 of the flow of its map, so the suction rises."""
    machine = demo_machine("R-410A")
    mapped = replace(machine, compressor=map_of(machine.compressor, refrigerant("R-410A"), range(263, 294, 5), range(303, 334, 5), 11.1))
    healthy, worn = (operate_with(mapped, COOLING, *WEATHER[COOLING], faults) for faults in ((), (fault("compressor_worn", 0.3),)))
    assert worn.cycle.point("1").pressure > 1.03 * healthy.cycle.point("1").pressure and worn.capacity < 0.95 * healthy.capacity


@MODES
def test_charge_is_what_is_left_or_too_much(mode: ValvePosition) -> None:
    """A quarter of the charge missing, or too much, is what the coils and the line then hold less or more."""
    healthy, low, high = (found_with("R-32", mode, *faults) for faults in ((), (fault("undercharge", 0.2),), (fault("overcharge", 0.2),)))
    quarter = 0.2 * demo_machine("R-32").charge
    assert (-quarter, quarter) == (pytest.approx(low.charge - healthy.charge, abs=1e-6), pytest.approx(high.charge - healthy.charge, abs=1e-6))


@MODES
@pytest.mark.parametrize("place", ["indoor", "outdoor"])
def test_less_air_is_what_passes_the_coil(place: str, mode: ValvePosition) -> None:
    """A dirty coil has its share of the air; a fan that has failed takes no power besides."""
    healthy, dirty = found_with("R-32", mode), found_with("R-32", mode, fault(f"{place}_coil_dirty", 0.7))
    air = [getattr(found, f"{place}_coil").air_flow for found in (healthy, dirty)]
    assert (0.7, healthy.fan_power) == (pytest.approx(air[1] / air[0]), dirty.fan_power)
    if place == evaporator(mode):
        failed = found_with("R-32", mode, fault(f"{place}_fan_failed"))
        assert healthy.fan_power - getattr(healthy.machine, f"{place}_coil").fan_power == failed.fan_power


@MODES
def test_stuck_valve_lets_through_what_its_share_does(mode: ValvePosition) -> None:
    """A device stuck at a share has that share open, whatever the superheat; one stuck open is not said to be too small."""
    found = found_with("R-410A", mode, fault(f"{evaporator(mode)}_metering_stuck_open", 1.2))
    assert (1.2, 0.0) == (found.share_open, found.superheat)
    assert "metering_fully_open" not in {limit.id for limit in found.limits}


def test_valve_that_needs_more_is_said_to_be_fully_open() -> None:
    """A restricted valve at the end of its band is, and with a small leak beside it as well."""
    narrow = fault("indoor_metering_restricted", 0.5)
    for faults in ((narrow,), (narrow, fault("indoor_check_valve_leaking", 0.1 + 0.2))):
        found = found_with("R-410A", COOLING, *faults)
        assert ("metering_fully_open" in {limit.id for limit in found.limits}) is (found.coil_superheat >= found.machine.indoor_metering.fully_open_at)


def test_frost_that_would_melt_is_refused() -> None:
    """Frost on the coil has no meaning in air of 15 °C; in cooling the fault waits for winter."""
    frost = fault("defrost_never_starts", 0.6)
    with pytest.raises(InputError, match=r"15 °C.*melts") as refusal:
        operate_with(demo_machine("R-32"), HEATING, moist_air(288.15, relative_humidity=0.8), WEATHER[HEATING][1], [frost])
    assert not isinstance(refusal.value, LimitError)
    assert found_with("R-32", COOLING, frost).capacity == pytest.approx(found_with("R-32", COOLING).capacity, rel=1e-9)


# Positions and roles ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("called", "id", "stands"),
    [(COOLING, "valve_stuck_heating", HEATING), (HEATING, "valve_stuck_heating", HEATING), (COOLING, "valve_stuck_cooling", COOLING), (HEATING, "valve_stuck_cooling", COOLING), (COOLING, "wrong_wiring", HEATING), (HEATING, "wrong_wiring", COOLING), (COOLING, "spool_leak", COOLING), (HEATING, "valve_between", HEATING)],
)
def test_valve_stands_where_the_fault_has_it(called: ValvePosition, id: str, stands: ValvePosition) -> None:
    """A stuck valve stays, wrong wiring turns it round, a leak leaves it; the machine then does what that position does."""
    assert stands is position_with(called, [fault(id)])
    if id not in ("spool_leak", "valve_between"):
        turned = operate(demo_machine("R-32"), stands, *WEATHER[called])
        assert figures(turned) == pytest.approx(figures(found_with("R-32", called, fault(id))), rel=1e-6)


@pytest.mark.parametrize("name", REFRIGERANTS)
@pytest.mark.parametrize("metering", METERING)
def test_faults_act_on_the_role_of_their_part(name: str, metering: str) -> None:
    """The same dirty coil raises the high side where it condenses and lowers the low side where it boils, in either mode; a restriction starves the coil that boils."""
    for mode in BOTH:
        boils, condenses = evaporator(mode), condenser(mode)
        assert "up" == signs(name, metering, mode.value, f"{condenses}_coil_dirty")["discharge_pressure"].way
        assert "down" == signs(name, metering, mode.value, f"{boils}_coil_dirty")["suction_pressure"].way
        starved = signs(name, metering, mode.value, f"{boils}_metering_restricted")
        assert ("down", "up") == (starved["suction_pressure"].way, starved["superheat"].way)
        assert {"same"} == {sign.way for sign in signs(name, metering, mode.value, f"{condenses}_metering_restricted").values()}


# What grows with the size: 1 up, -1 down.  E and C stand for the place that boils and the one that condenses.
GROWS = [
    ("valve_between", "suction_pressure", 1), ("spool_leak", "capacity", -1), ("spool_leak", "suction_pressure", 1),
    ("E_check_valve_leaking", "superheat", -1), ("E_metering_stuck_open", "superheat", -1), ("E_metering_restricted", "suction_pressure", 1), ("E_metering_restricted", "superheat", -1),
    ("E_coil_dirty", "suction_pressure", 1), ("E_fan_failed", "capacity", 1), ("C_coil_dirty", "discharge_pressure", -1),
    ("undercharge", "capacity", -1), ("overcharge", "discharge_pressure", 1), ("liquid_line_restricted", "suction_pressure", 1),
    ("foreign_gas", "discharge_pressure", 1), ("compressor_worn", "suction_pressure", 1), ("compressor_worn", "capacity", -1), ("defrost_never_starts", "capacity", -1),
]  # fmt: skip


@MODES
@pytest.mark.parametrize("name", ["R-410A", "R-290"])
@pytest.mark.parametrize(("pattern", "quantity", "way"), GROWS, ids=[f"{row[0]}-{row[1]}" for row in GROWS])
def test_larger_size_has_a_larger_effect(pattern: str, quantity: str, way: int, name: str, mode: ValvePosition) -> None:
    """Over eight sizes, as far as the machine runs, the headline quantity never turns back, and moves over all of them."""
    kind = KINDS[pattern.replace("E_", f"{evaporator(mode)}_").replace("C_", f"{condenser(mode)}_")]
    if mode not in kind.shows_in:
        return
    values = []
    for size in np.geomspace(kind.least, kind.most, 8):
        try:
            values.append(COMPARED[quantity].value(found_with(name, mode, Fault(kind, float(size)))))
        except HpteachError:
            continue
    steps = way * np.diff(values)
    assert len(values) >= 3 and (steps >= -1e-6 * abs(values[0])).all() and steps.sum() > 0.01 * abs(values[0]), values


@pytest.mark.parametrize(("id", "sizes"), [("outdoor_metering_stuck_open", (1.397, 1.403)), ("outdoor_check_valve_leaking", (1.7, 3.0))])
def test_flooded_coil_is_found_beside_a_valve(id: str, sizes: tuple[float, ...]) -> None:
    """A valve that no longer holds superheat floods the coil like an orifice, and the balance is found there."""
    for size in sizes:
        assert 0.0 == found_with("R-410A", HEATING, fault(id, size)).superheat


@pytest.mark.parametrize(("id", "size"), [("liquid_line_restricted", 0.571), ("spool_leak", 0.678), ("overcharge", 0.441), ("overcharge", 0.0982)])
def test_orifice_is_balanced_amid_its_sizes(id: str, size: float) -> None:
    """Sizes at which the search does not close from its likely start are found from others."""
    name = "R-410A" if id == "liquid_line_restricted" else "R-32"
    assert found_with(name, HEATING, fault(id, size), metering=ORIFICE).energy_residual < 1e-6


# Refusals ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ids", "part"),
    [
        (("undercharge", "overcharge"), "the charge is"), (("indoor_metering_stuck_open", "indoor_metering_restricted"), "indoor metering device is"),
        (("indoor_check_valve_shut", "indoor_check_valve_leaking"), "indoor check valve is"), (("outdoor_coil_dirty", "outdoor_fan_failed"), "air of the outdoor coil is"),
        (("valve_stuck_heating", "wrong_wiring"), "position of the reversing valve is"), (("spool_leak", "valve_between"), "position of the reversing valve is"),
    ],
)  # fmt: skip
def test_faults_that_exclude_each_other_are_refused(ids: tuple[str, str], part: str) -> None:
    """The refusal names both and what they say differently."""
    with pytest.raises(InputError, match=f"{ids[0]} and {ids[1]} exclude each other.*{part}"):
        check_together(fault(id) for id in ids)


def test_fault_named_twice_is_refused() -> None:
    """Also with another size."""
    with pytest.raises(InputError, match="undercharge is named twice"):
        operate_with(demo_machine("R-32"), COOLING, *WEATHER[COOLING], [fault("undercharge", 0.1), fault("undercharge", 0.2)])


@pytest.mark.parametrize("kind", [kind for kind in KINDS.values() if kind.size is not None], ids=lambda kind: kind.id)
def test_size_out_of_range_is_refused(kind) -> None:  # noqa: ANN001
    """Below the least, above the most and no number at all; the limits themselves are allowed."""
    for size in (0.99 * kind.least, 1.01 * kind.most, math.nan, -kind.size):
        with pytest.raises(LimitError, match=kind.id) as refusal:
            fault(kind.id, size)
        assert (kind.least, kind.most) == (refusal.value.measures["least"].value, refusal.value.measures["most"].value)
    assert [kind.least, kind.most] == [fault(kind.id, size).size for size in (kind.least, kind.most)]
    for size in ("0.3", True):
        with pytest.raises(InputError, match=f"{kind.id}.*give a number"):
            fault(kind.id, size)


def test_size_of_a_fault_without_one_is_refused() -> None:
    """Wrong wiring is there or not."""
    with pytest.raises(InputError, match="wrong_wiring has no size"):
        fault("wrong_wiring", 0.5)


@pytest.mark.parametrize(("given", "nearest"), [("undercharg", "undercharge"), ("spool leak", "spool_leak"), ("foreign-gas", "foreign_gas"), ("indoor_fan", "indoor_fan_failed")])
def test_unknown_fault_is_refused_with_the_nearest(given: str, nearest: str) -> None:
    """The refusal offers the nearest names."""
    with pytest.raises(UnknownNameError, match=f"did you mean .*{nearest}"):
        fault(given)


@pytest.mark.parametrize("id", [f"{place}_metering_{how}" for place in ("indoor", "outdoor") for how in ("stuck_open", "stuck_shut")])
def test_stuck_orifice_has_no_meaning(id: str) -> None:
    """A fixed orifice has nothing that could stick, in the mode where it works and where it rests; the refusal says what to use."""
    for mode in BOTH:
        with pytest.raises(InputError, match=f"{id} has no meaning.*fixed orifice.*use {id.split('_')[0]}_metering_restricted"):
            found_with("R-410A", mode, fault(id), metering=ORIFICE)


def test_position_between_the_seats_cannot_be_called_for() -> None:
    """It is a fault and named so."""
    with pytest.raises(CircuitError, match="valve_between"):
        operate_with(demo_machine("R-32"), ValvePosition.BETWEEN, *WEATHER[COOLING])
