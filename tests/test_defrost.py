"""Defrost: valve in cooling position, outdoor fan off, the room's heat at work."""

import math

import pytest

from hpteach.errors import LimitError
from hpteach.fluids import moist_air
from hpteach.machine import DEMO_MACHINES, demo_machine
from hpteach.machine.air_side import FUSION
from hpteach.machine.defrost import ICE_HEAT, Body, Demand, Ending, TimeTemperature, defrost, stretch

ROOM = moist_air(293.15, relative_humidity=0.4)


@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_energies_of_a_stretch_close(name):
    """Heat to the outdoor coil is heat from the room and the work that the shell does not lose."""
    machine = demo_machine(name)
    found = stretch(machine, ROOM, 273.15)
    kept = 1.0 - machine.compressor.heat_loss
    assert found.heat_from_room + kept * found.compressor_power == pytest.approx(found.heat, rel=1e-9)


@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_outdoor_coil_condenses_a_little_above_melting_ice(name):
    """Melting ice takes the heat at 0 C, so the condensing temperature lies above it and far below that of heating; the indoor coil boils below the room."""
    found = stretch(demo_machine(name), ROOM, 273.15)
    assert 273.15 < found.saturated_condensing_temperature < 293.15
    assert found.saturated_suction_temperature < found.saturated_condensing_temperature
    assert found.saturated_suction_temperature < ROOM.dry_bulb - 10.0


def test_heat_is_what_frost_and_metal_need():
    """1.5 kg of frost at -5 C and the metal up to 12 C, with a fifth more for the outdoor air, take just the heat of the defrost."""
    machine = demo_machine("R-32")
    found = defrost(machine, ROOM, 1.5, 268.15, Ending(coil_temperature=285.15, lost=0.2))
    needed = 1.5 * (FUSION + ICE_HEAT * 5.0) + machine.frost.metal_heat * (285.15 - 268.15)
    assert 1.2 * needed == pytest.approx(found.heat, rel=1e-9)
    assert (1.5, 0.0) == (found.melted, found.left)


def test_clean_coil_needs_heat_for_its_metal_only():
    """A defrost of a coil without frost melts nothing, and lasts only as long as warming the metal takes."""
    machine = demo_machine("R-32")
    found = defrost(machine, ROOM, 0.0, 268.15, Ending(coil_temperature=285.15, lost=0.0))
    assert 0.0 == found.melted
    assert machine.frost.metal_heat * 17.0 == pytest.approx(found.heat, rel=1e-9)


def test_more_frost_takes_longer():
    """Each kilogram of frost adds the same time."""
    machine = demo_machine("R-32")
    durations = [defrost(machine, ROOM, frost, 268.15).duration for frost in (0.0, 1.0, 2.0)]
    assert durations[1] - durations[0] == pytest.approx(durations[2] - durations[1], rel=1e-9)
    assert durations[1] > durations[0]


def test_cut_off_defrost_leaves_what_its_heat_could_not_melt():
    """In 60 s the machine gives 60 s of melting heat; what that leaves of the frost is said."""
    machine = demo_machine("R-32")
    found = defrost(machine, ROOM, 3.0, 268.15, Ending(longest=60.0, lost=0.0))
    given = 60.0 * found.melting.heat - machine.frost.metal_heat * 5.0 - 3.0 * ICE_HEAT * 5.0
    assert 60.0 == found.duration
    assert 3.0 - given / FUSION == pytest.approx(found.left, rel=1e-9)
    assert 60.0 * found.melting.heat == pytest.approx(found.heat, rel=1e-12)


def test_air_cools_in_a_defrost_and_auxiliary_heat_warms_it():
    """The room is blown at with air colder than its own; auxiliary heat Q raises it by Q / (m c_p)."""
    machine = demo_machine("R-32")
    found = defrost(machine, ROOM, 1.5, 268.15)
    coil = found.melting.indoor_coil
    assert found.supply_temperature < ROOM.dry_bulb - 5.0
    warmed = found.supply_with(5000.0) - found.supply_temperature
    assert 5000.0 / (coil.dry_flow * coil.leaving.specific_heat) == pytest.approx(warmed, rel=1e-9)


def test_colder_room_gives_less_heat():
    """The heat that melts the frost comes from the room: from a colder one less comes."""
    machine = demo_machine("R-32")
    warm, cold = (stretch(machine, moist_air(kelvin, relative_humidity=0.4), 273.15).heat for kelvin in (296.15, 286.15))
    assert cold < warm


def test_body_takes_what_the_refrigerant_side_lets_through():
    """A body at one temperature has no air side: the heat is conductance times difference."""
    assert 2500.0 == Body(273.15).capacity_flow * Body(273.15).effectiveness(2500.0)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: TimeTemperature(interval=10.0), "interval between defrosts in s of 10 cannot be: use a number from 600 to 36000"),
        (lambda: TimeTemperature(coil_below=300.0), "coil temperature below which the clock runs, in K of 300 cannot be"),
        (lambda: Demand(excess=0.0), "excess of the difference between air and coil in K of 0 cannot be: use a number above 0"),
        (lambda: Demand(longest=math.inf), "longest time between defrosts in s of inf cannot be"),
        (lambda: Ending(coil_temperature=273.15), "coil temperature at which a defrost ends, in K of 273.15 cannot be: use a number above 273.15"),
        (lambda: Ending(lost=1.5), "share of the defrost's heat that the outdoor air takes of 1.5 cannot be"),
        (lambda: Ending(longest=1.0), "longest defrost in s of 1 cannot be"),
        (lambda: defrost(demo_machine("R-32"), ROOM, -1.0, 268.15), "frost in kg of -1 cannot be: use a number of 0 or more"),
        (lambda: defrost(demo_machine("R-32"), ROOM, 1.0, 268.15).supply_with(-1.0), "auxiliary heat in W of -1 cannot be"),
    ],
)
def test_settings_that_cannot_be_are_refused(make, sentence):
    """Each refusal names the quantity, its value and what to use."""
    with pytest.raises(LimitError) as refused:
        make()
    assert sentence in str(refused.value)
