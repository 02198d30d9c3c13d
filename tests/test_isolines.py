"""Lines of constant something: what they keep, where they pass, and where they end."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from hpteach.errors import LimitError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.fluids.isolines import dome, isentrope, isobar, isochore, isotherm, quality_line

NAMES = tuple(catalogue())
LOWEST = 233.15


@pytest.mark.parametrize("name", NAMES)
def test_dome_is_one_line_over_the_top(name):
    """The dome runs up the bubble line, over the critical point and down the dew line, without a step that a chart would show."""
    face = refrigerant(name)
    line = dome(face, lowest_temperature=LOWEST)
    assert face.bubble_pressure(LOWEST) == pytest.approx(line.pressure[0], rel=1e-7)
    assert face.dew_pressure(LOWEST) == pytest.approx(line.pressure[-1], rel=1e-7)
    assert np.isfinite(line.pressure).all() and np.isfinite(line.enthalpy).all()
    width = line.enthalpy.max() - line.enthalpy.min()
    assert np.abs(np.diff(line.enthalpy)).max() < 0.1 * width
    assert (np.diff(line.enthalpy[: len(line.enthalpy) // 2]) > 0.0).all()
    top = int(line.pressure.argmax())
    assert (np.diff(line.pressure[: top + 1]) > 0.0).all() and (np.diff(line.pressure[top:]) < 0.0).all()


@pytest.mark.parametrize("name", NAMES)
def test_dome_passes_the_critical_point(name):
    """Somewhere on the dome temperature and pressure are the critical ones, to the closeness of its points."""
    face = refrigerant(name)
    line = dome(face, lowest_temperature=LOWEST)
    away = np.hypot(line.temperature / face.critical_temperature - 1.0, line.pressure / face.critical_pressure - 1.0)
    assert away.min() < 0.015


@pytest.mark.parametrize("name", [name for name in NAMES if listing(name).model != "pseudo-pure"])
def test_quality_line_has_its_quality(name):
    """Each state of a quality line has the quality it says, by mass."""
    face = refrigerant(name)
    line = quality_line(face, 0.3, lowest_temperature=LOWEST, points=8)
    below = line.pressure < face.highest_saturation_pressure
    assert below.sum() >= 6
    for pressure, enthalpy, entropy in zip(line.pressure[below], line.enthalpy[below], line.entropy[below]):
        assert 0.3 == pytest.approx(face.state_ph(pressure, enthalpy).quality, abs=1e-6)
        assert 0.3 == pytest.approx(face.state_ps(pressure, entropy).quality, abs=1e-6)


def test_quality_line_of_a_pseudo_pure_refrigerant_goes_by_temperature():
    """R-410A: a state of the line lies on the lever between bubble and dew point of one temperature, 0.3 % apart in pressure."""
    face = refrigerant("R-410A")
    line = quality_line(face, 0.3, lowest_temperature=LOWEST, points=8)
    for temperature, enthalpy, entropy in zip(line.temperature, line.enthalpy, line.entropy):
        bubble, dew = face.dome_state(temperature, 0.0), face.dome_state(temperature, 1.0)
        assert 0.3 == pytest.approx((enthalpy - bubble.enthalpy) / (dew.enthalpy - bubble.enthalpy), abs=1e-6)
        assert 0.3 == pytest.approx((entropy - bubble.entropy) / (dew.entropy - bubble.entropy), abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_isotherm_meets_the_dome_at_its_temperature(name):
    """An isotherm falls from vapour to liquid through the dew and the bubble point of its temperature."""
    face = refrigerant(name)
    line = isotherm(face, 280.0, lowest_pressure=5.5e5, highest_pressure=60e5)
    assert (line.temperature == pytest.approx(280.0)) and (np.diff(line.pressure) >= 0.0).all()
    for pressure in (face.dew_pressure(280.0), face.bubble_pressure(280.0)):
        assert np.abs(line.pressure / pressure - 1.0).min() < 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_isobar_is_level_in_the_dome_for_a_pure_refrigerant_only(name):
    """Inside the dome a pure refrigerant keeps its temperature; a blend's rises by the glide."""
    face = refrigerant(name)
    line = isobar(face, 12e5, lowest_temperature=235.0, highest_temperature=370.0)
    assert (line.pressure == pytest.approx(12e5)) and (np.diff(line.enthalpy) > 0.0).all()
    bubble, dew = face.saturated_liquid(12e5), face.saturated_vapour(12e5)
    inside = line.temperature[(line.enthalpy >= bubble.enthalpy) & (line.enthalpy <= dew.enthalpy)]
    assert face.glide(12e5) == pytest.approx(inside.max() - inside.min(), abs=1e-9)
    if listing(name).model == "blend":
        assert len(inside) == 5 and (np.diff(inside) > 0.0).all()


@pytest.mark.parametrize("name", NAMES)
def test_isentrope_keeps_its_entropy(name):
    """An isentrope through superheated vapour keeps s and warms as the pressure rises."""
    face = refrigerant(name)
    entropy = face.superheated(10e5, 20.0).entropy
    line = isentrope(face, entropy, lowest_pressure=7e5, highest_pressure=25e5)
    assert len(line.entropy) >= 12 and line.entropy == pytest.approx(np.full(len(line.entropy), entropy), rel=1e-6)
    assert (7e5, 25e5) == pytest.approx((line.pressure[0], line.pressure[-1]), rel=1e-9)
    assert (np.diff(line.temperature) > 0.0).all() and (np.diff(line.pressure) > 0.0).all()


@pytest.mark.parametrize("name", NAMES)
def test_lowest_temperature_off_the_dome_is_refused(name):
    """A dome or a quality line cannot begin below the equation of state or above the critical point."""
    face = refrigerant(name)
    for temperature in (face.lowest_temperature - 1.0, face.critical_temperature + 1.0):
        with pytest.raises(LimitError, match=f"{name} cannot be saturated at"):
            dome(face, lowest_temperature=temperature)


def vapour_line(face, volume, **limits):
    """An isochore between the usual limits."""
    return isochore(face, volume, **{"lowest_pressure": 2e5, "highest_pressure": 45e5, "highest_temperature": 410.0, **limits})


@pytest.mark.parametrize("name", NAMES)
def test_isochore_keeps_its_volume(name):
    """Above the dew point each state's density at its pressure and temperature is 1 / v, and p, T and h rise."""
    face = refrigerant(name)
    line = vapour_line(face, 0.03, lowest_pressure=max(2e5, 1.01 * face.lowest_saturation_pressure))
    assert (np.diff(line.pressure) > 0.0).all() and (np.diff(line.enthalpy) > 0.0).all()
    outside = [(p, t) for p, t in zip(line.pressure, line.temperature) if t > face.dew_temperature(p) + 1e-6]
    assert len(outside) >= 9
    for pressure, temperature in outside:
        assert 0.03 == pytest.approx(1.0 / face.state_pt(pressure, temperature).density, rel=1e-6)


@pytest.mark.parametrize(("name", "library_name"), [("R-134a", "R134a"), ("R-410A", "R410A")])
def test_isochore_agrees_with_the_property_library(name, library_name):
    """Asked plainly at p and h, inside the dome and above it, the library gives the density 1 / v."""
    face = refrigerant(name)
    line = vapour_line(face, 0.03)
    above = line.temperature > face.dew_temperature(float(line.pressure[0])) + 40.0
    for pressure, temperature in zip(line.pressure[above], line.temperature[above]):
        assert 1.0 / 0.03 == pytest.approx(PropsSI("D", "P", pressure, "T", temperature, library_name), rel=1e-6)
    states = [face.state_ph(p, h) for p, h in zip(line.pressure, line.enthalpy) if p < face.highest_saturation_pressure]
    inside = [index for index, state in enumerate(states) if state.quality is not None]
    assert len(inside) >= 10
    for index in inside:
        assert 1.0 / 0.03 == pytest.approx(PropsSI("D", "P", line.pressure[index], "Q", states[index].quality, library_name), rel=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_isochore_meets_the_dew_line(name):
    """One of the states is the dew point whose density is 1 / v; a blend's line begins there."""
    face = refrigerant(name)
    line = vapour_line(face, 0.03, lowest_pressure=max(2e5, 1.01 * face.lowest_saturation_pressure))
    dew = [face.saturated_vapour(p) for p in line.pressure if p < face.highest_saturation_pressure]
    off = [abs(d.enthalpy - h) for d, h in zip(dew, line.enthalpy)]
    nearest = int(np.argmin(off))
    assert off[nearest] < 1e-3 and 0.03 == pytest.approx(1.0 / dew[nearest].density, rel=1e-9)
    if listing(name).model == "blend":
        assert 0 == nearest


def test_isochore_ends_at_its_limits():
    """The line ends at the lowest pressure and at the highest pressure or temperature, whichever comes first."""
    face = refrigerant("R-134a")
    dense, thin = vapour_line(face, 0.006, highest_pressure=35e5), vapour_line(face, 0.15)
    assert (2e5, 35e5) == pytest.approx((dense.pressure[0], dense.pressure[-1]), rel=1e-9)
    assert (2e5, 410.0) == pytest.approx((thin.pressure[0], thin.temperature[-1]), rel=1e-9)


@pytest.mark.parametrize("volume", [0.001, 5.0])
def test_isochore_of_no_vapour_is_refused(volume):
    """A volume of a liquid, and one thinner than the limits allow, are refused."""
    with pytest.raises(LimitError, match="R-134a as vapour has no line of"):
        vapour_line(refrigerant("R-134a"), volume)


@pytest.mark.parametrize("limits", [{"highest_pressure": 5e5}, {"highest_temperature": 280.0}])
def test_isochore_beginning_beyond_its_limits_is_refused(limits):
    """A volume whose dew point (8.5 bar for 0.0241 m3/kg) lies above the highest pressure or temperature is refused."""
    with pytest.raises(LimitError, match="vapour of R-134a with .* begins at"):
        vapour_line(refrigerant("R-134a"), 0.0241, **limits)


def test_isochore_of_thin_vapour_begins_where_saturation_does():
    """R-744: below the lowest pressure with a dome the line begins at that pressure."""
    face = refrigerant("R-744")
    lowest = face.lowest_saturation_pressure
    volume = 1.2 / face.saturated_vapour(lowest).density
    line = vapour_line(face, volume, lowest_pressure=0.97 * lowest)
    assert lowest == pytest.approx(line.pressure[0], rel=1e-9)


@pytest.mark.parametrize("name", catalogue())
def test_gas_of_a_density_is_the_gas_at_its_pressure(name):
    """The state by density and temperature is the state by its pressure and temperature."""
    fluid = refrigerant(name)
    found = fluid.gas_at(8.0, 300.0)
    again = fluid.state_pt(found.pressure, 300.0)
    assert (8.0, again.enthalpy) == (pytest.approx(again.density, rel=1e-9), pytest.approx(found.enthalpy, rel=1e-9))


@pytest.mark.parametrize(("density", "temperature"), [(float("nan"), 300.0), (8.0, float("inf")), (8.0, 5000.0)])
def test_gas_beyond_the_equation_is_refused(density, temperature):
    """A density or temperature that is no number, or beyond the equation, is refused."""
    with pytest.raises(LimitError):
        refrigerant("R-134a").gas_at(density, temperature)
