"""A machine of another size or for another refrigerant (hpteach/machine/sizing.py)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from hpteach.errors import InputError, LimitError
from hpteach.fluids import catalogue, refrigerant
from hpteach.machine import demo_machine, map_of, operate
from hpteach.machine.sizing import Rating, sized
from tests.settling import COOLING, HEATING, machine_for

SIZED = [name for name in catalogue() if name != "R-744"]


@pytest.mark.parametrize("name", SIZED)
def test_sized_machine_reaches_its_rating(name: str) -> None:
    """Capacity to a ten-thousandth, subcooling in both positions to a hundredth of a kelvin, valves open to the share asked for within a hundredth."""
    machine, rating = machine_for(name), Rating()
    cooling, heating = operate(machine, COOLING, *rating.cooling), operate(machine, HEATING, *rating.heating)
    assert rating.cooling_capacity == pytest.approx(cooling.capacity, rel=1e-4)
    assert [rating.subcooling] * 2 == pytest.approx([cooling.subcooling, heating.subcooling], abs=0.01)
    assert [rating.share_open] * 2 == pytest.approx([cooling.share_open, heating.share_open], abs=0.01)
    assert () == cooling.limits


@pytest.mark.parametrize("name", SIZED)
def test_coils_stay_the_same_for_every_refrigerant(name: str) -> None:
    """Surfaces, air and volumes are those of the machine it was made from: only what the refrigerant needs changes."""
    machine, before = machine_for(name), demo_machine("R-32")
    for coil in ("indoor_coil", "outdoor_coil"):
        for size in ("air_flow", "air_conductance", "boiling_conductance", "condensing_conductance", "volume", "fan_power"):
            assert getattr(getattr(before, coil), size) == getattr(getattr(machine, coil), size)
    assert name == machine.refrigerant and before.frost == machine.frost


def test_thinner_vapour_needs_a_larger_compressor() -> None:
    """R-134a sweeps more than twice what R-32 does for the same capacity."""
    assert machine_for("R-134a").compressor.swept_volume > 2.0 * machine_for("R-32").compressor.swept_volume


@pytest.mark.parametrize(("capacity", "share"), [(8e3, 0.5), (11e3, 0.7)])
def test_another_rating_is_met(capacity: float, share: float) -> None:
    """Capacity, subcooling and opening may be chosen."""
    rating = Rating(cooling_capacity=capacity, subcooling=4.0, share_open=share)
    found = operate(sized(demo_machine("R-32"), "R-32", rating), COOLING, *rating.cooling)
    assert (capacity, 4.0, share) == pytest.approx((found.capacity, found.subcooling, found.share_open), rel=1e-2)


def test_refrigerant_above_its_critical_point_is_refused_with_it() -> None:
    """R-744 cannot condense at 45 °C, and the refusal names its critical temperature."""
    with pytest.raises(InputError, match="cannot be sized for R-744") as refusal:
        sized(demo_machine("R-32"), "R-744")
    critical = refrigerant("R-744").critical_temperature
    assert critical in [pytest.approx(measure.value, abs=1e-6) for measure in refusal.value.measures.values()]
    assert f"critical temperature is {critical - 273.15:.4g} °C" in str(refusal.value)


def test_compressor_known_by_its_map_is_not_sized() -> None:
    """A map has one size and one refrigerant."""
    machine = demo_machine("R-32")
    mapped = map_of(machine.compressor, refrigerant("R-32"), (258.15, 268.15, 278.15, 288.15), (298.15, 308.15, 318.15, 328.15), 11.0)
    with pytest.raises(InputError, match="known by its map"):
        sized(replace(machine, compressor=mapped), "R-290")


@pytest.mark.parametrize(
    ("rating", "words"),
    [
        (Rating(cooling_capacity=0.0), "cooling capacity"), (Rating(cooling_capacity=math.nan), "cooling capacity"), (Rating(subcooling=0.0), "subcooling"),
        (Rating(subcooling=-3.0), "subcooling"), (Rating(share_open=0.0), "share to which a valve is open"), (Rating(share_open=1.0), "share to which"),
    ],
)  # fmt: skip
def test_rating_that_cannot_be_is_refused(rating: Rating, words: str) -> None:
    """Before anything is sized, with the quantity named."""
    with pytest.raises(LimitError, match=words):
        sized(demo_machine("R-32"), "R-32", rating)


@pytest.mark.parametrize("capacity", [200.0, 60e3])
def test_capacity_that_the_coils_cannot_do_is_refused(capacity: float) -> None:
    """Far too much or too little for the coils is refused in a sentence that names machine and refrigerant."""
    with pytest.raises(InputError, match="cannot be sized for R-32"):
        sized(demo_machine("R-32"), "R-32", Rating(cooling_capacity=capacity))
