"""Air past a cold coil: dry above the dew point, wet below it, and its heat by hand.

The sums use 1.006 and 1.86 kJ/(kg K) and 2501 kJ/kg (ASHRAE Handbook - Fundamentals, chapter Psychrometrics; from memory, not seen here).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.errors import LimitError
from hpteach.fluids import MoistAir, moist_air, saturated_air
from hpteach.machine.air_at_coil import AirAtCoil, air_at_coil

ROOM = moist_air(299.15, relative_humidity=0.5)


def enthalpy(air: MoistAir) -> float:
    """J for each kg of dry air, by hand."""
    warm = air.dry_bulb - 273.15
    return 1006.0 * warm + air.humidity_ratio * (2501e3 + 1860.0 * warm)


@pytest.mark.parametrize("surface", [275.15, 280.15, 283.15, 287.0])
def test_wet_coil_by_hand(surface):
    """A tenth of the air passes as it came, nine tenths leave saturated at the surface: enthalpy, water and heat follow by hand."""
    found = air_at_coil(ROOM, surface, 0.5, bypass=0.1)
    touched = moist_air(surface, relative_humidity=1.0)
    humidity = 0.1 * ROOM.humidity_ratio + 0.9 * touched.humidity_ratio
    assert humidity == pytest.approx(found.leaving.humidity_ratio, rel=1e-4)
    mixed = 0.1 * enthalpy(ROOM) + 0.9 * enthalpy(touched)
    assert mixed == pytest.approx(enthalpy(found.leaving), rel=0.005)
    assert found.dry_flow * (enthalpy(ROOM) - mixed) == pytest.approx(found.heat, rel=0.01)
    assert found.dry_flow * (ROOM.humidity_ratio - humidity) == pytest.approx(found.water, rel=1e-3)
    assert pytest.approx(found.heat) == found.sensible + found.latent


@pytest.mark.parametrize("surface", [288.5, 293.15, 298.0])
def test_dry_coil_by_hand(surface):
    """Above the dew point only the temperature falls, by nine tenths of the way to the surface."""
    found = air_at_coil(ROOM, surface, 0.5, bypass=0.1)
    assert ROOM.humidity_ratio == found.leaving.humidity_ratio
    assert 0.9 * (299.15 - surface) == pytest.approx(299.15 - found.leaving.dry_bulb)
    assert found.dry_flow * (1006.0 + 1860.0 * ROOM.humidity_ratio) * 0.9 * (299.15 - surface) == pytest.approx(found.sensible, rel=0.005)
    assert (0.0, 0.0, 1.0) == (found.water, found.latent, found.sensible_heat_ratio)


@given(st.floats(288.15, 305.15), st.floats(0.1, 0.8), st.floats(0.0, 1.0), st.floats(0.0, 0.9))
def test_air_never_leaves_moister_warmer_or_foggy(dry_bulb, humidity, share, bypass):
    """Whatever the air and the surface, it leaves between the two, holds no more than saturated air, and gives heat."""
    air = moist_air(dry_bulb, relative_humidity=humidity)
    surface = 273.15 + share * (dry_bulb - 273.15)
    found = air_at_coil(air, surface, 0.5, bypass=bypass)
    assert surface - 0.01 <= found.leaving.dry_bulb <= dry_bulb
    assert found.leaving.humidity_ratio <= saturated_air(air.pressure).humidity_ratio(found.leaving.dry_bulb) * (1.0 + 2e-5)
    assert found.water >= 0.0 and found.heat >= 0.0
    assert (found.water > 0.0) == (saturated_air(air.pressure).humidity_ratio(surface) < air.humidity_ratio)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: air_at_coil(ROOM, 272.15, 0.5), "surface of .* is below freezing, where frost grows"),
        (lambda: air_at_coil(ROOM, 300.15, 0.5), "surface of .* is warmer than the air"),
        (lambda: air_at_coil(ROOM, 283.15, 0.5, bypass=1.0), "bypass of .* cannot be: use a share from 0 to less than 1"),
        (lambda: air_at_coil(ROOM, 283.15, 0.0), "air flow of .* cannot be: use one above 0"),
        (lambda: AirAtCoil(ROOM, moist_air(300.15, relative_humidity=0.3), 0.5), "cannot be warmer than the"),
        (lambda: AirAtCoil(ROOM, moist_air(295.15, relative_humidity=0.9), 0.5), "cannot hold more water than the"),
        (lambda: AirAtCoil(ROOM, ROOM, 0.5).sensible_heat_ratio, "no heat flows"),
    ],
)
def test_what_cannot_be_is_refused(make, says):
    """A surface below freezing or warmer than the air, air that comes out moister or warmer, no flow and no heat are refused by name."""
    with pytest.raises(LimitError, match=says):
        make()
