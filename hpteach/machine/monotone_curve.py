"""A smooth curve through computed points, which rises and falls only where the points do.

What lives here: `MonotoneCurve`.  What does not: which points are computed (frost, running_table).

Between two points runs a cubic whose slopes at both ends are chosen so that it never overshoots: Fritsch and Butland, A Method for Constructing
Local Monotone Piecewise Cubic Interpolants, SIAM Journal on Scientific and Statistical Computing 5 (1984), equation 5; at the outer ends the
slope of a parabola through three points, cut back where it would overshoot (Moler, Numerical Computing with MATLAB, 2004, section 3.6).  Both
from memory, not seen here; the tests compare with SciPy's curve of the same make.  SciPy itself is not used, as loading it takes
every learner's session 20 MB and a third of a second for this one curve.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hpteach.errors import InputError

_HAIR = 1e-9  # of the span, by which a place may lie beyond it through rounding


class MonotoneCurve:
    """The curve through `values` at `places`, which rise; a row of several values for each place makes as many curves.

    `places` has shape (n,), `values` (n,) or (n, k), with n of 2 or more, each in any unit.  Called with places of shape s it gives values of shape
    s or s + (k,).  Raises `InputError` for fewer than two places, for places that do not rise, and for one beyond the first or the last.

    >>> curve = MonotoneCurve([0.0, 1.0, 2.0], [0.0, 1.0, 1.0])
    >>> float(curve(0.5)), float(curve(1.5))
    (0.6875, 1.0)
    """

    def __init__(self, places: Sequence[float] | np.ndarray, values: Sequence[float] | np.ndarray) -> None:
        self._places, self._values = np.asarray(places, dtype=float), np.asarray(values, dtype=float)
        if len(self._places) < 2 or len(self._values) != len(self._places):
            raise InputError(f"{len(self._places)} places and {len(self._values)} values make no curve: give two or more, and as many of both")
        self._widths = np.diff(self._places)
        if not np.all(self._widths > 0.0):
            raise InputError("the places of a curve do not rise: give them from the least to the most")
        self._slopes = _slopes(self._widths, self._values)

    def __call__(self, at: float | np.ndarray) -> np.ndarray:
        """The values of the curve at places between the first and the last."""
        at = np.asarray(at, dtype=float)
        least, most = float(self._places[0]), float(self._places[-1])
        hair = _HAIR * (most - least)
        if at.size and not (least - hair <= float(at.min()) and float(at.max()) <= most + hair):
            raise InputError(f"place {float(at.min()):g} to {float(at.max()):g} is beyond the curve, which runs from {least:g} to {most:g}: use one within")
        left = np.clip(np.searchsorted(self._places, at, side="right") - 1, 0, len(self._widths) - 1)
        more = (1,) * (self._values.ndim - 1)
        width = self._widths[left].reshape(at.shape + more)
        t = ((at - self._places[left]) / self._widths[left]).reshape(at.shape + more)
        s = 1.0 - t
        ends = s * s * (1.0 + 2.0 * t) * self._values[left] + t * t * (1.0 + 2.0 * s) * self._values[left + 1]
        return ends + width * t * s * (s * self._slopes[left] - t * self._slopes[left + 1])


def _slopes(widths: np.ndarray, values: np.ndarray) -> np.ndarray:
    """The slope of the curve at each place."""
    h = widths.reshape(widths.shape + (1,) * (values.ndim - 1))
    steps = np.diff(values, axis=0) / h
    if len(widths) == 1:
        return np.concatenate([steps, steps])
    before, after = steps[:-1], steps[1:]
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    one_way = before * after > 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (w1 + w2) / (w1 / before + w2 / after)
    inner = np.where(one_way, mean, 0.0)
    return np.concatenate([_end(h[0], h[1], steps[0], steps[1])[None], inner, _end(h[-1], h[-2], steps[-1], steps[-2])[None]])


def _end(h0: np.ndarray, h1: np.ndarray, step0: np.ndarray, step1: np.ndarray) -> np.ndarray:
    """The slope at an outer place, next to which lie a width and a step, and then another of each."""
    slope = ((2.0 * h0 + h1) * step0 - h0 * step1) / (h0 + h1)
    turns = np.sign(step0) != np.sign(step1)
    slope = np.where(turns & (np.abs(slope) > 3.0 * np.abs(step0)), 3.0 * step0, slope)
    return np.where(np.sign(slope) != np.sign(step0), 0.0, slope)
