"""Water beside the refrigerants: boiling and steam against published figures and another code's equation."""

import pytest

from hpteach.errors import LimitError
from hpteach.fluids import catalogue, water

ZERO_CELSIUS = 273.15
STANDARD_ATMOSPHERE = 101325.0

# IAPWS-95 (Wagner & Pruss 2002), table of check values at saturation, from memory, not seen here:
# T in K: p in Pa, density of liquid and of vapour in kg/m3
SATURATION = {
    275.0: (698.451167, 999.887406, 0.00550664919),
    450.0: (932203.564, 890.341250, 4.81200360),
}


@pytest.mark.parametrize("temperature", SATURATION)
def test_saturation_of_the_formulations_own_check_values(temperature):
    """Pressure and both densities are those that the formulation prints for checking a program (from memory, not seen here)."""
    pressure = water().dew_pressure(temperature)
    liquid, vapour = water().saturated_liquid(pressure), water().saturated_vapour(pressure)
    assert SATURATION[temperature] == pytest.approx((pressure, liquid.density, vapour.density), rel=1e-6)


def test_water_boils_at_99_97_degrees_under_the_standard_atmosphere():
    """At 101.325 kPa water boils at 99.974 C (IAPWS-95; the round 100 C belongs to a scale of temperature that is gone)."""
    assert 99.974 == pytest.approx(water().bubble_temperature(STANDARD_ATMOSPHERE) - ZERO_CELSIUS, abs=5e-4)


def test_heat_of_evaporation_at_the_normal_boiling_point():
    """Boiling a kilogram takes 2256.5 kJ (steam tables, from memory, not seen here: 2256.4 to 2256.5), from the liquid at zero."""
    liquid, vapour = water().saturated_liquid(STANDARD_ATMOSPHERE), water().saturated_vapour(STANDARD_ATMOSPHERE)
    assert 2256.5 == pytest.approx((vapour.enthalpy - liquid.enthalpy) / 1e3, abs=0.1)
    assert (0.0, 0.0) == pytest.approx((liquid.enthalpy, liquid.entropy), abs=1e-3)


def test_critical_point_of_water():
    """The critical point is 647.096 K and 22.064 MPa (IAPWS release on the values at the critical point, from memory, not seen here)."""
    assert (647.096, 22.064e6) == pytest.approx((water().critical_temperature, water().critical_pressure), rel=1e-6)


def test_water_begins_at_its_triple_point():
    """Saturation begins at 0.01 C and 611.65 Pa; ice is refused."""
    assert 611.65 == pytest.approx(water().lowest_saturation_pressure, abs=0.01)
    with pytest.raises(LimitError, match="water cannot be saturated at .*: its properties begin at"):
        water().dew_pressure(273.0)


def test_water_is_no_refrigerant_of_the_catalogue():
    """Water stands beside the catalogue, not in it, and has no glide and no caution."""
    assert "water" not in catalogue()
    assert 0.0 == pytest.approx(water().glide(STANDARD_ATMOSPHERE), abs=1e-9)
    assert water().listing.caution is None
