"""Lines of constant something: what they keep, where they pass, and where they end."""

import numpy as np
import pytest

from hpteach.errors import LimitError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.fluids.isolines import dome, isentrope, isobar, isotherm, quality_line

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
