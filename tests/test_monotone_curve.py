"""A smooth curve that never overshoots (hpteach/machine/monotone_curve.py), against SciPy's curve of the same make (scipy.interpolate)."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from hpteach.errors import InputError
from hpteach.machine.monotone_curve import MonotoneCurve

steps = st.floats(0.01, 100.0)
heights = st.floats(-1e3, 1e3).map(lambda one: round(one, 3))


@given(st.lists(st.tuples(steps, heights, heights), min_size=2, max_size=12))
def test_curve_is_that_of_scipy(points):
    """Whatever the points, both curves agree at and between them, one row of values or two."""
    places = np.cumsum([step for step, _, _ in points])
    values = np.array([[one, other] for _, one, other in points])
    at = np.linspace(places[0], places[-1], 101)
    for given_values in (values, values[:, 0]):
        expected = PchipInterpolator(places, given_values)(at)
        np.testing.assert_allclose(MonotoneCurve(places, given_values)(at), expected, rtol=1e-9, atol=1e-9)


@given(st.lists(st.tuples(steps, st.floats(0.0, 10.0)), min_size=2, max_size=12))
def test_curve_rises_where_the_points_do(points):
    """Through points that rise or stay the curve never falls by more than rounding, and never leaves their range."""
    places, values = np.cumsum([step for step, _ in points]), np.cumsum([rise for _, rise in points])
    found = MonotoneCurve(places, values)(np.linspace(places[0], places[-1], 201))
    assert (np.diff(found) >= -1e-9).all() and values[0] - 1e-9 <= found.min() and found.max() <= values[-1] + 1e-9


def test_one_place_gives_one_value():
    """A single place gives a value without an axis, or a row of values where there are several curves."""
    assert ((), (2,)) == (MonotoneCurve([0, 1], [0, 1])(0.5).shape, MonotoneCurve([0, 1], [[0, 1], [1, 2]])(0.5).shape)


@pytest.mark.parametrize(
    "places, values, words",
    [([0.0], [1.0], "1 places and 1 values make no curve"), ([0.0, 1.0], [1.0], "as many of both"), ([0.0, 0.0], [1.0, 2.0], "do not rise"), ([0.0, np.nan], [1.0, 2.0], "do not rise")],
)
def test_what_makes_no_curve_is_refused(places, values, words):
    """Too few places, and places that do not rise, are refused."""
    with pytest.raises(InputError, match=words):
        MonotoneCurve(places, values)


@pytest.mark.parametrize("at", [-0.1, 1.1, np.nan, [0.5, 1.1]])
def test_a_place_beyond_the_curve_is_refused(at):
    """A curve says nothing beyond its ends."""
    with pytest.raises(InputError, match="beyond the curve"):
        MonotoneCurve([0.0, 1.0], [0.0, 1.0])(at)


def test_no_session_loads_scipy():
    """Frost and season are computed without the rooms of SciPy, which would take each learner's session 20 MB."""
    lines = (
        "import sys\n"
        "from hpteach.panels import Frost, SeasonOfHouse\n"
        "Frost(), SeasonOfHouse()\n"
        "print(any(name.startswith(('scipy.interpolate', 'scipy.optimize', 'scipy.sparse')) for name in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", lines], check=True, capture_output=True, text=True)
    assert "False" == done.stdout.strip()
