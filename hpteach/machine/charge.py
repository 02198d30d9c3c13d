"""The charge: how much refrigerant stands in each zone.

What lives here: the mean density of a boiling or condensing stretch.  What does not: the zones (coils), the mass in them and the balance that it must fit (trial).

    void fraction  a(x) = x / (x + (1 - x) c),   c = (vapour density / liquid density)^(2/3)

Source: Zivi, J. Heat Transfer 86 (1964) 247-252 (from memory, not seen here).  Its mean over a stretch where the
quality changes evenly is worked out by integration.
"""

from __future__ import annotations

import math


def mean_density(liquid_density: float, vapour_density: float, first: float, last: float) -> float:
    """Mean density (kg/m3) of a stretch on which the quality goes evenly from one value to another, by Zivi's void fraction.

    >>> round(mean_density(1100.0, 38.0, 0.25, 1.0))
    121
    """
    c = (vapour_density / liquid_density) ** (2.0 / 3.0)
    if abs(last - first) < 1e-9:
        void = first / (first + (1.0 - first) * c)
    else:
        void = (_integral(last, c) - _integral(first, c)) / (last - first)
    return void * vapour_density + (1.0 - void) * liquid_density


def _integral(quality: float, c: float) -> float:
    """The integral of x / (c + (1 - c) x) from 0 to x."""
    rest = 1.0 - c
    return quality / rest - c / rest**2 * math.log((c + rest * quality) / c)
