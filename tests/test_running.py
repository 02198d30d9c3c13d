"""A machine in the weather of a season: the most that it gives, and the speed that follows a load (hpteach/machine/running.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine, operate
from hpteach.machine.climate import climate
from hpteach.machine.frost import frost_cycle
from hpteach.machine.running import MachineInWinter
from hpteach.units import STANDARD_ATMOSPHERE

ROOM = 293.15
FIXED, VARYING = demo_machine("R-32"), demo_machine("R-32 variable speed")
HUMID = climate("average").moisture
VARYING_WINTER = MachineInWinter(VARYING, ROOM, HUMID)


def air(temperature: float):
    return moist_air(temperature, **HUMID(temperature))


def speed(note: str) -> float:
    """The speed that a note begins with."""
    word, number = note.split(";")[0].split()
    assert "speed" == word
    return float(number)


@pytest.mark.parametrize(("outdoor", "note"), [(263.15, "frost"), (275.15, "frost"), (279.15, "defrost by the clock"), (285.15, "")])
def test_fixed_speed_gives_the_means_over_frost_and_defrost(outdoor: float, note: str) -> None:
    """Capacity and power are those of a whole cycle of frost and defrost in the air of the climate, and the note says which."""
    running = MachineInWinter(FIXED, ROOM, HUMID).performance(outdoor)
    whole = frost_cycle(FIXED, air(outdoor), moist_air(ROOM, relative_humidity=0.4))
    assert (pytest.approx(whole.capacity, rel=1e-9), pytest.approx(whole.power, rel=1e-9), note) == (running.capacity, running.power, running.note)


def test_frost_and_defrost_cost_capacity_where_it_freezes_only() -> None:
    """At 2 °C the mean lies below that of the clean coil; at 12 °C it is that of the clean coil."""
    shares = []
    for outdoor in (275.15, 285.15):
        clean = operate(FIXED, ValvePosition.HEATING, air(outdoor), moist_air(ROOM, relative_humidity=0.4))
        shares.append(MachineInWinter(FIXED, ROOM, HUMID).performance(outdoor).capacity / clean.capacity)
    assert 0.8 < shares[0] < 0.98 and 1.0 == pytest.approx(shares[1], abs=1e-9)


def test_fixed_speed_follows_no_load() -> None:
    """A machine of one speed has no function that follows; one of variable speed has."""
    assert (None, True) == (MachineInWinter(FIXED, ROOM, HUMID).following, callable(MachineInWinter(VARYING, ROOM, HUMID).following))


def test_fixed_speed_runs_beyond_a_limit_and_says_so() -> None:
    """Nothing slows a fixed speed down: at -22 °C its discharge is too hot, which the note says."""
    winter = MachineInWinter(replace(FIXED, limits=replace(FIXED.limits, discharge_temperature=353.15)), ROOM, HUMID)
    assert "beyond limit: discharge temperature" in winter.performance(258.15).note


def test_variable_speed_slows_down_before_its_limit() -> None:
    """In cold air the most is given at a speed at which the discharge stays just within its limit: a hundredth faster goes beyond."""
    outdoor = 258.15
    found = speed(VARYING_WINTER.performance(outdoor).note)
    ids = [
        [limit.id for limit in operate(VARYING, ValvePosition.HEATING, air(outdoor), moist_air(ROOM, relative_humidity=0.4), speed_ratio=ratio).limits]
        for ratio in (found - 0.01, found + 0.01)
    ]
    assert VARYING.compressor.least_speed_ratio < found < VARYING.compressor.most_speed_ratio
    assert (False, True) == tuple("discharge_temperature" in one for one in ids)


def test_limited_speed_is_the_same_whatever_was_asked_before() -> None:
    """What is known of a colder and a warmer temperature speeds the search up and does not change what it finds."""
    after = MachineInWinter(VARYING, ROOM, HUMID)
    for outdoor in (256.15, 260.15, 258.15):
        found = after.performance(outdoor)
    assert VARYING_WINTER.performance(258.15).capacity == pytest.approx(found.capacity, rel=5e-4)


@pytest.mark.parametrize(("outdoor", "load"), [(263.15, 6000.0), (273.15, 5540.0), (275.15, 4850.0), (276.15, 4500.0), (281.15, 7000.0)])
def test_variable_speed_follows_the_load(outdoor: float, load: float) -> None:
    """The means over frost and defrost meet the load, at a lower speed than the most takes, with a better COP."""
    most, found = VARYING_WINTER.performance(outdoor), VARYING_WINTER.following(outdoor, load)
    assert load == pytest.approx(found.capacity, rel=5e-4)
    assert speed(found.note) < speed(most.note)
    assert found.capacity / found.power > most.capacity / most.power


def test_variable_speed_goes_no_slower_than_its_least() -> None:
    """For a small load it gives what its lowest speed gives, and the season lets it cycle."""
    found = VARYING_WINTER.following(285.15, 1000.0)
    assert VARYING.compressor.least_speed_ratio == speed(found.note)
    assert 1000.0 < found.capacity < 5500.0


def test_most_is_given_where_the_load_is_larger() -> None:
    """A load above the most is met with the most."""
    assert VARYING_WINTER.performance(275.15) == VARYING_WINTER.following(275.15, 50e3)


def test_machine_that_finds_no_balance_does_not_run() -> None:
    """In air far too cold for the machine it does not run, at any speed, which is no error."""
    dry = {"relative_humidity": 0.8}
    for machine in (FIXED, VARYING):
        assert MachineInWinter(machine, ROOM, lambda outdoor: dry).performance(218.15) is None


def test_air_that_cannot_be_is_refused() -> None:
    """A wet bulb below that of dry air is no weather in which the machine stops: it is refused."""
    winter = MachineInWinter(FIXED, ROOM, lambda outdoor: {"wet_bulb": outdoor - 30.0})
    with pytest.raises(LimitError, match="too low for a dry bulb"):
        winter.performance(280.15)


def test_each_temperature_is_computed_once() -> None:
    """Asked again for a temperature, it remembers."""
    asked = []

    def moisture(outdoor: float):
        asked.append(outdoor)
        return HUMID(outdoor)

    winter = MachineInWinter(FIXED, ROOM, moisture)
    assert winter.performance(283.15) is winter.performance(283.15)
    assert [283.15] == asked


def test_thin_air_gives_less() -> None:
    """At 80 kPa the same fans move less air by mass, so capacity falls (computed; the direction follows from the density)."""
    here, there = (MachineInWinter(FIXED, ROOM, HUMID, pressure=pressure).performance(283.15).capacity for pressure in (STANDARD_ATMOSPHERE, 80e3))
    assert 0.9 < there / here < 0.999
