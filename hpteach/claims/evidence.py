"""What a claim is tried by: figures, and the places where one looks whether it holds.

What lives here: `Evidence`, as the function of a claim returns it, and the verdict that follows.  What does not: any text (claims.toml, trials).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from hpteach.errors import InputError

FALSE, HALF_TRUE, TRUE_WITHIN_LIMITS = "false", "half true", "true within limits"
VERDICTS = (FALSE, HALF_TRUE, TRUE_WITHIN_LIMITS)

WORDS = "words"
"""Kind of a figure that is a word and no number."""

SHARE = "share"
"""Kind of a number that is shown in per cent."""

PRESSURE_DIFFERENCE = "pressure difference"
"""Kind of a difference of two pressures, which is neither gauge nor absolute."""

Value = tuple[float | str, str]
"""A figure in SI, or a word, with its kind."""


@dataclass(frozen=True)
class Evidence:
    """Figures by name, and whether the claim holds where one meets it every day and where one meets it seldom."""

    figures: Mapping[str, Value]
    every_day: Mapping[str, bool]
    seldom: Mapping[str, bool] = field(default_factory=dict)

    @property
    def verdict(self) -> str:
        """False where it holds nowhere in everyday work, half true where it holds here and not there, true within limits where it holds every day.

        >>> Evidence({}, {"in cooling": True, "in heating": False}).verdict
        'half true'
        """
        return verdict_of(self.every_day.values())


def verdict_of(holds: Iterable[bool]) -> str:
    """The verdict on a claim by whether it holds in each everyday case; raises `InputError` for no case at all.

    >>> verdict_of([False, False]), verdict_of([True, False]), verdict_of([True])
    ('false', 'half true', 'true within limits')
    """
    held = list(holds)
    if not held:
        raise InputError("a claim that is never met has nothing to judge it by: give at least one everyday case")
    return TRUE_WITHIN_LIMITS if all(held) else HALF_TRUE if any(held) else FALSE


def temperature(value: float) -> Value:
    """A temperature (K) as a figure.

    >>> temperature(273.15)
    (273.15, 'temperature')
    """
    return value, "temperature"


def difference(value: float) -> Value:
    """A temperature difference (K) as a figure.

    >>> difference(5.0)
    (5.0, 'temperature difference')
    """
    return value, "temperature difference"


def gauge(value: float) -> Value:
    """A pressure (Pa, absolute) as a gauge at sea level shows it.

    >>> gauge(1e6)
    (1000000.0, 'gauge pressure')
    """
    return value, "gauge pressure"


def absolute(value: float) -> Value:
    """A pressure (Pa) counted from a vacuum.

    >>> absolute(1e6)
    (1000000.0, 'pressure')
    """
    return value, "pressure"


def pressure_difference(value: float) -> Value:
    """A difference of two pressures (Pa) as a figure.

    >>> pressure_difference(1e5)
    (100000.0, 'pressure difference')
    """
    return value, PRESSURE_DIFFERENCE


def power(value: float) -> Value:
    """A power or a flow of heat (W) as a figure.

    >>> power(3000.0)
    (3000.0, 'power')
    """
    return value, "power"


def energy(value: float) -> Value:
    """An enthalpy or an energy for each kilogram (J/kg) as a figure.

    >>> energy(2e5)
    (200000.0, 'specific energy')
    """
    return value, "specific energy"


def ratio(value: float) -> Value:
    """A bare number as a figure.

    >>> ratio(0.5)
    (0.5, 'ratio')
    """
    return value, "ratio"


def share(value: float) -> Value:
    """A share, shown in per cent.

    >>> share(0.5)
    (0.5, 'share')
    """
    return value, SHARE
