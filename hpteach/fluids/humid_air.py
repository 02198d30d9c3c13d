"""Moist air as it meets the coils: dry bulb, wet bulb, humidity, enthalpy.

What lives here: one state of moist air, the ways to give it, and saturated air quickly.
What does not: what a coil does to the air (machine).

Everything is counted for a kilogram of *dry* air, but for the density.  Enthalpy is zero for dry air at
0 C and for liquid water at 0.01 C.  Up to 0.01 C air is saturated over ice; below 0 C a wet bulb carries ice.

Source: Herrmann, Kretzschmar & Gatley, Thermodynamic properties of real moist air, ASHRAE RP-1485 (2009),
as the property library evaluates it.  Real air, so 0.4 to 0.6 % more water than the ideal-gas formulas.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

from CoolProp.CoolProp import HAPropsSI, PropsSI

from hpteach.errors import InputError, LimitError, Measure, PropertyError
from hpteach.units import STANDARD_ATMOSPHERE

LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 213.15, 333.15
"""K; the dry bulbs that are computed, -60 to 60 C."""

LOWEST_PRESSURE, HIGHEST_PRESSURE = 50e3, 110e3
"""Pa; about 5500 m above the sea to a deep mine."""

LOWEST_DEW_POINT = 173.15
"""K; air with a lower frost point than -100 C counts as dry: no dew point is given."""

_HAIR = 1e-9
"""K; what floating point may add to a temperature on its way from another unit."""

_LEAST, _MOST = LOWEST_TEMPERATURE - _HAIR, HIGHEST_TEMPERATURE + _HAIR

_TRIPLE_POINT, _FREEZING = 273.16, 273.15
_JUST_ABOVE = math.nextafter(_TRIPLE_POINT, 300.0)
_SATURATED_WITHIN = 1e-5
"""Share by which a humidity ratio may lie above saturation: the accuracy of `SaturatedAir`."""

_WATER_SLOPE = 4219.9
"""J/(kg K) of liquid water at 0 C (IAPWS-95), for the hundredth of a kelvin below the triple point."""

_ICE = (-333444.25, 2096.78, 3.66, 1.041e-3)
"""Enthalpy of ice near the triple point, J/kg: value, slope (per K), half the curvature (per K2), slope over pressure
(per Pa).  Source: IAPWS R10-06 (2009), check values at the triple point and at 101.325 kPa (from memory, not seen here)."""


@dataclass(frozen=True)
class MoistAir:
    """Moist air at a dry bulb (K), a humidity ratio (kg water in a kg of dry air) and a pressure (Pa absolute).

    Raises `LimitError` outside -60 to 60 C and 50 to 110 kPa, for a negative humidity ratio and for one above
    saturation (fog).  Source: ASHRAE RP-1485.

    >>> air = MoistAir(293.15, 0.0073, 101325.0)
    >>> round(air.relative_humidity, 2)
    0.50
    """

    dry_bulb: float
    humidity_ratio: float
    pressure: float = STANDARD_ATMOSPHERE

    def __post_init__(self) -> None:
        _check_dry_bulb(self.dry_bulb)
        _check_pressure(self.pressure)
        _check_finite(self.humidity_ratio, "humidity ratio")
        if self.humidity_ratio < 0.0:
            raise LimitError(
                "humidity ratio of {given} is negative: use {least} (dry air) or more",
                given=Measure(self.humidity_ratio, "ratio"), least=Measure(0.0, "ratio", "least"),
            )  # fmt: skip
        if self.humidity_ratio > self._most * (1.0 + _SATURATED_WITHIN):
            raise LimitError(
                "humidity ratio of {given} is more than air at {dry_bulb} holds, {most}: use less, or warmer air",
                given=Measure(self.humidity_ratio, "ratio"), dry_bulb=Measure(self.dry_bulb, "temperature"), most=Measure(self._most, "ratio", "most"),
            )  # fmt: skip

    @cached_property
    def _most(self) -> float:
        return _saturated("W", self.dry_bulb, self.pressure)

    @cached_property
    def enthalpy(self) -> float:
        """J for each kg of dry air, its water included."""
        return _forward("H", self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def specific_volume(self) -> float:
        """m3 for each kg of dry air."""
        return _forward("V", self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def specific_heat(self) -> float:
        """J/K for each kg of dry air: the slope of enthalpy over dry bulb at constant humidity ratio."""
        return _forward("C", self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def density(self) -> float:
        """kg of moist air in a m3."""
        return (1.0 + self.humidity_ratio) / self.specific_volume

    @cached_property
    def relative_humidity(self) -> float:
        """Share (0 to 1) of the water vapour pressure at saturation; over ice below 0.01 C."""
        return 1.0 if self.humidity_ratio >= self._most else _forward("R", self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def wet_bulb(self) -> float:
        """K; the temperature at which water evaporating into this air saturates it without heat from elsewhere.

        Close to freezing a wick may carry water or ice, and each has its own wet bulb, up to 0.7 K apart at a dry bulb of 10 C: then
        it is the one that was given to `moist_air`, or else that of water.
        """
        if self.humidity_ratio >= self._most:
            return self.dry_bulb
        return _wet_bulb(self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def dew_point(self) -> float:
        """K; the temperature at which cooling this air forms the first dew, or below 0.01 C frost.

        Raises `LimitError` for air so dry that it has none above -100 C.
        """
        if self.humidity_ratio >= self._most:
            return self.dry_bulb
        least = _saturated("W", LOWEST_DEW_POINT, self.pressure)
        if self.humidity_ratio < least:
            raise LimitError(
                "air with a humidity ratio of {given} is too dry for a dew point above {lowest}: use a humidity ratio of {least} or more",
                given=Measure(self.humidity_ratio, "ratio"), lowest=Measure(LOWEST_DEW_POINT, "temperature"), least=Measure(least, "ratio", "least"),
            )  # fmt: skip
        return _root(lambda t: math.log(_saturated("W", t, self.pressure) / self.humidity_ratio), LOWEST_DEW_POINT, self.dry_bulb)


def moist_air(
    dry_bulb: float,
    *,
    wet_bulb: float | None = None,
    relative_humidity: float | None = None,
    humidity_ratio: float | None = None,
    dew_point: float | None = None,
    pressure: float = STANDARD_ATMOSPHERE,
) -> MoistAir:
    """Moist air at a dry bulb (K) and exactly one of wet bulb (K), relative humidity (0 to 1), humidity ratio (kg/kg), dew point (K).

    Raises `InputError` for none or several of them and for numbers that are not finite, `LimitError` for air that cannot
    be.  Source: ASHRAE RP-1485.

    >>> air = moist_air(300.15, wet_bulb=292.15)  # 27/19 C, a room at the cooling rating
    >>> round(air.relative_humidity, 2)
    0.47
    """
    ways = {"wet_bulb": wet_bulb, "relative_humidity": relative_humidity, "humidity_ratio": humidity_ratio, "dew_point": dew_point}
    given = {name: value for name, value in ways.items() if value is not None}
    if len(given) != 1:
        found = " and ".join(given).replace("_", " ") or "none"
        raise InputError(f"moist air needs one of wet bulb, relative humidity, humidity ratio and dew point, and {found} was given: give exactly one")
    ((name, value),) = given.items()
    _check_finite(value, name.replace("_", " "))
    _check_dry_bulb(dry_bulb)
    _check_pressure(pressure)
    if name == "humidity_ratio":
        return MoistAir(dry_bulb, value, pressure)
    ratio = {"wet_bulb": _ratio_by_wet_bulb, "relative_humidity": _ratio_by_relative_humidity, "dew_point": _ratio_by_dew_point}[name]
    air = MoistAir(dry_bulb, ratio(dry_bulb, value, pressure), pressure)
    vars(air)[name] = value  # as it was measured: not searched again, and of two wet bulbs close to freezing the one that was given
    return air


@dataclass(frozen=True)
class SaturatedAir:
    """Saturated air at one pressure (Pa), quick enough for a coil's many rows; made by `saturated_air`.

    Cubic pieces 1 K wide through the property library's values and slopes, parted at 0.01 C where ice begins; relative error
    below 1e-5.  Source: ASHRAE RP-1485.

    >>> round(saturated_air(101325.0).humidity_ratio(293.15), 5)
    0.01476
    """

    pressure: float
    _humidity: tuple[_Curve, _Curve] = field(repr=False, compare=False)
    _enthalpy: tuple[_Curve, _Curve] = field(repr=False, compare=False)

    def humidity_ratio(self, temperature: float) -> float:
        """kg water in a kg of dry air saturated at T (K); over ice below 0.01 C.  Raises `LimitError` outside -60 to 60 C."""
        if not _LEAST <= temperature <= _MOST:
            _refuse_temperature(temperature, "temperature of saturated air")
        start, per_kelvin, pieces = self._humidity[temperature > _TRIPLE_POINT]
        place = (temperature - start) * per_kelvin
        index = int(place)
        place -= index
        a, b, c, d = pieces[index]
        return a + place * (b + place * (c + place * d))

    def enthalpy(self, temperature: float) -> float:
        """J for each kg of dry air, saturated at T (K); over ice below 0.01 C.  Raises `LimitError` outside -60 to 60 C."""
        if not _LEAST <= temperature <= _MOST:
            _refuse_temperature(temperature, "temperature of saturated air")
        start, per_kelvin, pieces = self._enthalpy[temperature > _TRIPLE_POINT]
        place = (temperature - start) * per_kelvin
        index = int(place)
        place -= index
        a, b, c, d = pieces[index]
        return a + place * (b + place * (c + place * d))


@lru_cache(maxsize=32)
def saturated_air(pressure: float = STANDARD_ATMOSPHERE) -> SaturatedAir:
    """Saturated air at a pressure (Pa absolute), prepared once and remembered.

    Raises `LimitError` outside 50 to 110 kPa.

    >>> round(saturated_air(101325.0).enthalpy(283.15) / 1000.0, 2)
    29.35
    """
    _check_pressure(pressure)
    humidity, enthalpy = (
        (_curve(quantity, pressure, LOWEST_TEMPERATURE, _TRIPLE_POINT), _curve(quantity, pressure, _JUST_ABOVE, HIGHEST_TEMPERATURE))
        for quantity in ("W", "H")
    )
    return SaturatedAir(pressure, humidity, enthalpy)


_Curve = tuple[float, float, tuple[tuple[float, float, float, float], ...]]
"""Where a curve starts (K), its pieces per K, and the coefficients of each piece over its own width."""

_PIECES = 60


def _curve(quantity: str, pressure: float, start: float, end: float) -> _Curve:
    """Cubic pieces through values and slopes of saturated air; the last one stands twice, as the end belongs to it."""
    width, step = (end - start) / _PIECES, 0.02

    def value(temperature: float) -> float:
        return _saturated(quantity, temperature, pressure)

    def slope(index: int) -> float:
        # By three points that keep to their own side of freezing.
        at = start + index * width
        way = step if index < _PIECES / 2 else -step
        return (4.0 * value(at + way) - 3.0 * value(at) - value(at + 2.0 * way)) / (2.0 * way)

    nodes = [start + index * width for index in range(_PIECES)] + [end]
    values, slopes = [value(node) for node in nodes], [slope(index) * width for index in range(_PIECES + 1)]
    pieces = []
    for index in range(_PIECES):
        rise = values[index + 1] - values[index]
        first, last = slopes[index], slopes[index + 1]
        pieces.append((values[index], first, 3.0 * rise - 2.0 * first - last, first + last - 2.0 * rise))
    a, b, c, d = pieces[-1]
    pieces.append((a + b + c + d, b + 2.0 * c + 3.0 * d, c + 3.0 * d, d))
    return start, 1.0 / width, tuple(pieces)


def _ratio_by_relative_humidity(dry_bulb: float, share: float, pressure: float) -> float:
    if not 0.0 <= share <= 1.0:
        raise LimitError(
            "relative humidity of {given} cannot be: use {least} (dry) to {most} (saturated)",
            **{name: Measure(of, "relative humidity") for name, of in (("given", share), ("least", 0.0), ("most", 1.0))},
        )  # fmt: skip
    return _call("W", "T", dry_bulb, "P", pressure, "R", share)


def _ratio_by_dew_point(dry_bulb: float, dew_point: float, pressure: float) -> float:
    _check_not_above(dew_point, dry_bulb, "dew point")
    if dew_point < LOWEST_DEW_POINT:
        raise LimitError(
            "dew point of {given} is below {least}: use a higher one, or a humidity ratio of 0 for dry air",
            given=Measure(dew_point, "temperature"), least=Measure(LOWEST_DEW_POINT, "temperature", "least"),
        )  # fmt: skip
    return _saturated("W", dew_point, pressure)


def _ratio_by_wet_bulb(dry_bulb: float, wet_bulb: float, pressure: float) -> float:
    _check_not_above(wet_bulb, dry_bulb, "wet bulb")
    if wet_bulb < LOWEST_TEMPERATURE - 1.0:  # dry air at the lowest dry bulb has a wet bulb a little below it
        _refuse_temperature(wet_bulb, "wet bulb")
    if wet_bulb >= dry_bulb:
        return _saturated("W", dry_bulb, pressure)
    surplus = _evaporation(dry_bulb, wet_bulb, pressure)
    of_dry_air = surplus(0.0)
    if of_dry_air > 1e-3:
        raise LimitError(
            "wet bulb of {given} is too low for a dry bulb of {dry_bulb}: wholly dry air has {least}; use that or a higher one, or measure again",
            given=Measure(wet_bulb, "temperature"),
            dry_bulb=Measure(dry_bulb, "temperature"),
            least=Measure(_wet_bulb(dry_bulb, 0.0, pressure), "temperature", "least"),
        )
    return 0.0 if of_dry_air >= 0.0 else _root(surplus, 0.0, _saturated("W", wet_bulb, pressure))


def _evaporation(dry_bulb: float, wet_bulb: float, pressure: float) -> Callable[[float], float]:
    """J per kg dry air by which air of a humidity ratio, and the water it takes up, carry more than saturated air at the wet bulb.

    Zero defines the thermodynamic wet bulb (ASHRAE Handbook - Fundamentals, chapter Psychrometrics; from memory, not seen here).
    The property library's own search fails where the wet bulb is near freezing: there one humidity ratio has two wet bulbs.
    """
    most, saturated, water = _saturated("W", wet_bulb, pressure), _saturated("H", wet_bulb, pressure), _water(wet_bulb, pressure)
    return lambda ratio: _forward("H", dry_bulb, ratio, pressure) + (most - ratio) * water - saturated


def _wet_bulb(dry_bulb: float, ratio: float, pressure: float) -> float:
    def deficit(temperature: float) -> float:
        return -_evaporation(dry_bulb, temperature, pressure)(ratio)

    if dry_bulb >= _FREEZING and deficit(_FREEZING) <= 0.0:
        return _root(deficit, _FREEZING, dry_bulb)
    return _root(deficit, LOWEST_TEMPERATURE - 1.0, min(dry_bulb, math.nextafter(_FREEZING, 0.0)))


def _water(temperature: float, pressure: float) -> float:
    """Enthalpy (J/kg) of what a wet bulb carries: water, or ice below 0 C."""
    if temperature >= _TRIPLE_POINT:
        return PropsSI("H", "T", temperature, "P", pressure, "Water")
    if temperature >= _FREEZING:
        return PropsSI("H", "T", _TRIPLE_POINT, "P", pressure, "Water") - _WATER_SLOPE * (_TRIPLE_POINT - temperature)
    value, slope, curvature, over_pressure = _ICE
    below = temperature - _TRIPLE_POINT
    return value + below * (slope + below * curvature) + over_pressure * pressure


def _root(rising: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that rises from `low` to `high` is zero, by false position (Illinois), to the last figures."""
    at_low, at_high = rising(low), rising(high)
    if at_high <= 0.0:
        return high
    middle, side = low, 0
    for _ in range(100):
        before, middle = middle, high - at_high * (high - low) / (at_high - at_low)
        at_middle = rising(middle)
        if abs(middle - before) < 1e-11 * high:
            break
        if at_middle > 0.0:
            high, at_high, at_low = middle, at_middle, at_low * (0.5 if side > 0 else 1.0)
            side = 1
        else:
            low, at_low, at_high = middle, at_middle, at_high * (0.5 if side < 0 else 1.0)
            side = -1
    return middle


def _forward(output: str, dry_bulb: float, ratio: float, pressure: float) -> float:
    return _call(output, "T", dry_bulb, "P", pressure, "W", ratio)


def _saturated(output: str, temperature: float, pressure: float) -> float:
    return _call(output, "T", temperature, "P", pressure, "R", 1.0)


def _call(*inputs: str | float) -> float:
    try:
        return HAPropsSI(*inputs)
    except ValueError as error:
        raise PropertyError(f"moist air: the property library gave no answer ({str(error)[:120]})".replace("{", "(").replace("}", ")")) from None


def _check_finite(value: float, name: str) -> None:
    if not math.isfinite(value):
        raise InputError(f"{name} of {value} is not a finite number: give a number")


def _check_dry_bulb(dry_bulb: float) -> None:
    _check_finite(dry_bulb, "dry bulb")
    if not _LEAST <= dry_bulb <= _MOST:
        _refuse_temperature(dry_bulb, "dry bulb")


def _refuse_temperature(temperature: float, name: str) -> None:
    _check_finite(temperature, name)
    raise LimitError(
        f"{name} of {{given}} is outside {{least}} to {{most}}: use one between them",
        given=Measure(temperature, "temperature"),
        least=Measure(LOWEST_TEMPERATURE, "temperature", "least"),
        most=Measure(HIGHEST_TEMPERATURE, "temperature", "most"),
    )


def _check_pressure(pressure: float) -> None:
    _check_finite(pressure, "air pressure")
    if not LOWEST_PRESSURE <= pressure <= HIGHEST_PRESSURE:
        raise LimitError(
            "air pressure of {given} is outside {least} to {most}: use one between them, in absolute pressure",
            given=Measure(pressure, "pressure"), least=Measure(LOWEST_PRESSURE, "pressure", "least"), most=Measure(HIGHEST_PRESSURE, "pressure", "most"),
        )  # fmt: skip


def _check_not_above(temperature: float, dry_bulb: float, name: str) -> None:
    if temperature > dry_bulb + _HAIR:
        raise LimitError(
            f"{name} of {{given}} is above the dry bulb of {{most}}: use a lower one; the two may have been exchanged",
            given=Measure(temperature, "temperature"), most=Measure(dry_bulb, "temperature", "most"),
        )  # fmt: skip
