"""Lines of constant something, ready to be drawn on a chart.

What lives here: the dome and the families of lines, as arrays of p, T, h and s.
What does not: drawing, units, which lines a chart wants.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from hpteach.errors import LimitError, Measure, PropertyError
from hpteach.fluids.refrigerant import Refrigerant
from hpteach.fluids.state import State, on_the_lever


@dataclass(frozen=True)
class Isoline:
    """A line along which `kind` keeps `value`: arrays of equal length, shape (n,), in SI; not to be written to."""

    kind: str
    value: float
    pressure: np.ndarray
    temperature: np.ndarray
    enthalpy: np.ndarray
    entropy: np.ndarray


@lru_cache(maxsize=2000)
def dome(refrigerant: Refrigerant, *, lowest_temperature: float, points: int | None = None) -> Isoline:
    """The bubble line from a lowest temperature (K) up to the critical point and down the dew line.

    Shape (2 points + k,), k states over the top.  Raises `LimitError` for a lowest temperature off the dome.

    >>> from hpteach.fluids import refrigerant
    >>> line = dome(refrigerant("R-32"), lowest_temperature=233.15)
    >>> round(float(line.pressure.max()) / refrigerant("R-32").critical_pressure, 3)
    1.0
    """
    points = points or _usual(refrigerant, 70, 40)
    refrigerant.dew_pressure(lowest_temperature)  # refuses what is off the dome
    # Near the critical point h runs with the cube root of Tc - T: cubed steps are even steps in h.
    spread = np.linspace(1.0, 0.0, points) ** 3
    top = refrigerant.highest_dome_temperature
    temperatures = top - (top - lowest_temperature) * spread
    bubble = [_row(refrigerant.dome_state(t, 0.0)) for t in temperatures]
    dew = [_row(refrigerant.dome_state(t, 1.0)) for t in temperatures[::-1]]
    return _line("dome", float("nan"), [*bubble, *(_row(state) for state in refrigerant.dome_top()), *dew])


@lru_cache(maxsize=2000)
def quality_line(refrigerant: Refrigerant, quality: float, *, lowest_temperature: float, points: int | None = None) -> Isoline:
    """The states of one quality (0 to 1) from a lowest temperature (K) to near the critical point.

    Shape (points,).

    >>> from hpteach.fluids import refrigerant
    >>> line = quality_line(refrigerant("R-32"), 0.2, lowest_temperature=233.15)
    >>> float(line.value)
    0.2
    """
    points = points or _usual(refrigerant, 30, 12)
    top = refrigerant.highest_dome_temperature
    temperatures = top - (top - lowest_temperature) * np.linspace(1.0, 0.0, points) ** 3
    if refrigerant.listing.model == "blend":
        pressures = [refrigerant.dew_pressure(float(temperature)) for temperature in temperatures]
        return _line("quality", quality, [_row(refrigerant.state_px(pressure, quality)) for pressure in pressures])
    rows = []
    for temperature in temperatures:
        liquid, vapour = refrigerant.dome_state(temperature, 0.0), refrigerant.dome_state(temperature, 1.0)
        rows.append(_row(on_the_lever(liquid, vapour, quality)))
    return _line("quality", quality, rows)


@lru_cache(maxsize=2000)
def isotherm(
    refrigerant: Refrigerant, temperature: float, *, lowest_pressure: float, highest_pressure: float, points: int | None = None
) -> Isoline:
    """The states of one temperature (K) between two pressures (Pa), through the dome where it meets it.

    Raises `LimitError` for a temperature or pressure outside the equation of state.

    >>> from hpteach.fluids import refrigerant
    >>> line = isotherm(refrigerant("R-32"), 300.0, lowest_pressure=1e5, highest_pressure=5e6)
    >>> bool(np.allclose(line.temperature, 300.0))
    True
    """
    points = points or _usual(refrigerant, 24, 16)
    rows: list[tuple[float, ...]] = []
    if temperature > refrigerant.highest_dome_temperature:
        pressures = np.geomspace(lowest_pressure, highest_pressure, 5 * points)
        return _line("temperature", temperature, [_row(s) for s in _single_phase(refrigerant, pressures, temperature)])
    vapour, liquid = refrigerant.dome_state(temperature, 1.0), refrigerant.dome_state(temperature, 0.0)
    if lowest_pressure < vapour.pressure:
        # Closer steps near the dew line, where a gas bends away from the ideal.
        pressures = vapour.pressure * (lowest_pressure / vapour.pressure) ** (np.linspace(1.0, 0.0, points) ** 2)[:-1]
        rows += [_row(state) for state in _single_phase(refrigerant, pressures, temperature)]
    rows += [_row(vapour), _row(liquid)]
    if highest_pressure > liquid.pressure:
        pressures = np.geomspace(liquid.pressure, highest_pressure, points // 2)[1:]
        rows += [_row(state) for state in _single_phase(refrigerant, pressures, temperature)]
    return _line("temperature", temperature, rows)


@lru_cache(maxsize=2000)
def isobar(
    refrigerant: Refrigerant, pressure: float, *, lowest_temperature: float, highest_temperature: float, points: int | None = None
) -> Isoline:
    """The states of one pressure (Pa, on the dome) between two temperatures (K), through the dome.

    >>> from hpteach.fluids import refrigerant
    >>> line = isobar(refrigerant("R-32"), 1e6, lowest_temperature=250.0, highest_temperature=360.0)
    >>> bool(np.allclose(line.pressure, 1e6))
    True
    """
    points = points or _usual(refrigerant, 24, 14)
    bubble, dew = refrigerant.saturated_liquid(pressure), refrigerant.saturated_vapour(pressure)
    glides = refrigerant.listing.model == "blend"
    states = [bubble, *(refrigerant.state_px(pressure, x) for x in ((0.25, 0.5, 0.75) if glides else ())), dew]
    if lowest_temperature < bubble.temperature:
        steps = np.linspace(lowest_temperature, bubble.temperature, points)[:-1]
        states = [*(refrigerant.subcooled(pressure, bubble.temperature - t) for t in steps), *states]
    if highest_temperature > dew.temperature:
        steps = np.linspace(dew.temperature, highest_temperature, points)[1:]
        states += [refrigerant.superheated(pressure, t - dew.temperature) for t in steps]
    return _line("pressure", pressure, [_row(state) for state in states])


@lru_cache(maxsize=2000)
def isentrope(
    refrigerant: Refrigerant, entropy: float, *, lowest_pressure: float, highest_pressure: float, points: int | None = None
) -> Isoline:
    """The states of one entropy (J/(kg K)) between two pressures (Pa), as far as both have a dome.

    Ends that leave the equation of state are left out, so the arrays may be shorter than `points`.

    >>> from hpteach.fluids import refrigerant
    >>> line = isentrope(refrigerant("R-32"), 2200.0, lowest_pressure=1e5, highest_pressure=4e6)
    >>> bool(np.allclose(line.entropy, 2200.0))
    True
    """
    points = points or _usual(refrigerant, 24, 14)
    bottom = max(lowest_pressure, refrigerant.lowest_saturation_pressure)
    top = min(highest_pressure, refrigerant.highest_saturation_pressure * (1.0 - 1e-12))
    rows = []
    for pressure in np.geomspace(bottom, top, points):
        try:
            rows.append(_row(refrigerant.state_ps(float(min(max(pressure, bottom), top)), entropy)))
        except (LimitError, PropertyError):
            continue
    return _line("entropy", entropy, rows)


@lru_cache(maxsize=2000)
def isochore(
    refrigerant: Refrigerant,
    specific_volume: float,
    *,
    lowest_pressure: float,
    highest_pressure: float,
    highest_temperature: float,
    points: int | None = None,
) -> Isoline:
    """The states of one specific volume v (m3/kg) of vapour, from a lowest pressure (Pa) to a highest one or a highest temperature (K).

    The line goes through the dew point of its volume, where there is one at the lowest pressure or above, and inside
    the dome by the lever rule in v.  A blend's line begins at the dew point.  Raises `LimitError` for a volume
    that is no vapour's: less than `least_isochore`, or more than the vapour has between the limits, and for a
    dew point beyond the highest limits.

    >>> from hpteach.fluids import refrigerant
    >>> r32 = refrigerant("R-32")
    >>> line = isochore(r32, 0.05, lowest_pressure=2e5, highest_pressure=5e6, highest_temperature=400.0)
    >>> round(1.0 / r32.state_pt(line.pressure[-1], line.temperature[-1]).density, 6)
    0.05
    """
    points = points or _usual(refrigerant, 16, 10)
    gas_at = refrigerant.gas_at
    least = least_isochore(refrigerant)
    most = 1.0 / refrigerant.state_pt(lowest_pressure, highest_temperature).density
    if not least <= specific_volume < most:
        raise LimitError(
            f"{refrigerant.name} as vapour has no line of {{given}} here: use {{least}} to {{most}}",
            given=Measure(specific_volume, "specific volume"),
            least=Measure(least, "specific volume", "least"),
            most=Measure(most, "specific volume", "most"),
        )
    density = 1.0 / specific_volume
    bottom = max(lowest_pressure, refrigerant.lowest_saturation_pressure)
    # Found back from its pressure, the lowest temperature can lie a rounding below itself.
    coldest = max(refrigerant.dew_temperature(bottom), refrigerant.lowest_temperature)
    hottest = refrigerant.highest_saturation_temperature
    rows = []
    if density > refrigerant.saturated_vapour(bottom).density:
        temperature = _where(lambda t: float(np.log(refrigerant.dome_state(t, 1.0).density / density)), coldest, hottest)
        dew = refrigerant.dome_state(temperature, 1.0)
        if refrigerant.listing.model != "blend":
            rows += _below_the_dew_point(refrigerant, specific_volume, np.geomspace(bottom, dew.pressure, points)[:-1])
        rows.append(_row(dew))
    else:
        temperature = _where(lambda t: gas_at(density, t).pressure / bottom - 1.0, coldest, highest_temperature)
        rows.append(_row(gas_at(density, temperature)))
    if rows[-1][0] >= highest_pressure or temperature >= highest_temperature:
        raise LimitError(
            f"vapour of {refrigerant.name} with {{given}} begins at {{pressure}} and {{temperature}}: "
            "use a higher highest pressure and highest temperature, or a larger volume",
            given=Measure(specific_volume, "specific volume"),
            pressure=Measure(rows[-1][0], "pressure"),
            temperature=Measure(temperature, "temperature"),
        )
    if gas_at(density, highest_temperature).pressure > highest_pressure:
        highest_temperature = _where(lambda t: gas_at(density, t).pressure / highest_pressure - 1.0, temperature, highest_temperature)
    rows += [_row(gas_at(density, float(t))) for t in np.linspace(temperature, highest_temperature, points)[1:]]
    return _line("volume", specific_volume, rows)


def least_isochore(refrigerant: Refrigerant) -> float:
    """The least specific volume (m3/kg) with a line: twice the critical one, or that of the hottest dew point if larger.

    >>> from hpteach.fluids import refrigerant
    >>> round(least_isochore(refrigerant("R-32")), 5)
    0.00472
    """
    hottest = refrigerant.dome_state(refrigerant.highest_saturation_temperature, 1.0)
    return max(2.0 / refrigerant.critical_state().density, 1.001 / hottest.density)


def _below_the_dew_point(refrigerant: Refrigerant, volume: float, pressures: np.ndarray) -> list[tuple[float, ...]]:
    rows = []
    for pressure in pressures:
        liquid, vapour = refrigerant.saturated_liquid(float(pressure)), refrigerant.saturated_vapour(float(pressure))
        quality = (volume - 1.0 / liquid.density) / (1.0 / vapour.density - 1.0 / liquid.density)
        rows.append(_row(on_the_lever(liquid, vapour, quality)))
    return rows


def _where(off: Callable[[float], float], low: float, high: float) -> float:
    """The T (K) between two at which `off` is zero, by false position with the idle end's weight halved."""
    off_low, off_high, side = off(low), off(high), 0
    for _ in range(60):
        middle = (low * off_high - high * off_low) / (off_high - off_low)
        now = off(middle)
        if abs(now) < 1e-11 or high - low < 1e-11 * high:
            return middle
        if now * off_high > 0.0:
            high, off_high, off_low, side = middle, now, off_low * (0.5 if side > 0 else 1.0), 1
        else:
            low, off_low, off_high, side = middle, now, off_high * (0.5 if side < 0 else 1.0), -1
    return middle


def _usual(refrigerant: Refrigerant, points: int, blend: int) -> int:
    """How many states a line has: fewer for a blend, each of whose states costs fifty times as much."""
    return blend if refrigerant.listing.model == "blend" else points


def _single_phase(refrigerant: Refrigerant, pressures: np.ndarray, temperature: float) -> list[State]:
    return [refrigerant.state_pt(float(pressure), temperature) for pressure in pressures]


def _row(state: State) -> tuple[float, float, float, float]:
    return state.pressure, state.temperature, state.enthalpy, state.entropy


def _line(kind: str, value: float, rows: list[tuple[float, ...]]) -> Isoline:
    columns = np.array(rows, dtype=float).reshape(-1, 4).T
    columns.setflags(write=False)  # lines are remembered and shared
    return Isoline(kind, float(value), *columns)
