"""The mean density of a stretch against an integration by steps, and its limits (hpteach/machine/charge.py)."""

from __future__ import annotations

import pytest
from scipy.integrate import quad

from hpteach.machine.charge import mean_density

LIQUID, VAPOUR = 1100.0, 38.0


def by_steps(first: float, last: float, liquid: float = LIQUID, vapour: float = VAPOUR) -> float:
    """The mean of the local density by Zivi's void fraction (J. Heat Transfer 86, 1964; from memory, not seen here), integrated."""

    def density(quality: float) -> float:
        void = 1.0 / (1.0 + (1.0 - quality) / quality * (vapour / liquid) ** (2.0 / 3.0)) if quality > 0.0 else 0.0
        return void * vapour + (1.0 - void) * liquid

    return quad(density, first, last, epsabs=1e-10, epsrel=1e-10, limit=200)[0] / (last - first)


@pytest.mark.parametrize(("first", "last"), [(0.25, 1.0), (0.0, 1.0), (1.0, 0.0), (0.1, 0.2), (0.9, 0.95), (0.0, 0.01), (0.3, 0.30001)])
@pytest.mark.parametrize(("liquid", "vapour"), [(1100.0, 38.0), (480.0, 12.0), (950.0, 300.0), (1200.0, 2.0)])
def test_mean_density_is_that_of_an_integration(first: float, last: float, liquid: float, vapour: float) -> None:
    """The formula and the integration of the local density agree to a millionth, whichever way the quality goes."""
    assert by_steps(first, last, liquid, vapour) == pytest.approx(mean_density(liquid, vapour, first, last), rel=1e-6)


@pytest.mark.parametrize(("quality", "density"), [(0.0, LIQUID), (1.0, VAPOUR)])
def test_stretch_without_change_has_the_density_of_its_phase(quality: float, density: float) -> None:
    """All liquid is liquid, all vapour is vapour."""
    assert density == pytest.approx(mean_density(LIQUID, VAPOUR, quality, quality), rel=1e-12)


@pytest.mark.parametrize("quality", [0.05, 0.4, 0.99])
def test_short_stretch_passes_on_to_a_point(quality: float) -> None:
    """Where the two qualities come together the mean becomes the local density, without a jump."""
    at_once = mean_density(LIQUID, VAPOUR, quality, quality)
    assert at_once == pytest.approx(mean_density(LIQUID, VAPOUR, quality, quality + 2e-9), rel=1e-5)
    assert at_once == pytest.approx(mean_density(LIQUID, VAPOUR, quality, quality + 1e-5), rel=1e-3)


def test_more_vapour_is_less_mass() -> None:
    """A stretch that begins with more vapour holds less, and every one lies between vapour and liquid."""
    means = [mean_density(LIQUID, VAPOUR, 0.05 * step, 1.0) for step in range(20)]
    assert all(later < earlier for earlier, later in zip(means, means[1:]))
    assert VAPOUR < means[-1] and means[0] < LIQUID


def test_published_void_fraction() -> None:
    """At a quality of 0.5 and a density ratio of 1000, the void fraction of Zivi is 1 / (1 + 0.01), by the formula worked by hand."""
    assert (1.0 + 0.01 * 1000.0) / 1.01 == pytest.approx(mean_density(1000.0, 1.0, 0.5, 0.5), rel=1e-9)
