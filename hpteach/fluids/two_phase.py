"""A blend inside its dome: equilibrium of liquid and vapour at a pressure and one more quantity.

What lives here: Newton's method on the equations of equilibrium, with the property
library's own equation of state.  What does not: the dome's own lines (blend).

The library's search inside the dome is told a quality, needs half a millisecond, and at high
pressure fails for some qualities.  Here the unknowns are temperature, both densities, the
composition of the scarcer phase and the vapour's share; every property is then explicit.

    p(T, rho', x) = p    p(T, rho'', y) = p    f_i(T, rho', x) = f_i(T, rho'', y)
    z = (1 - b) x + b y    and    h, s or mass quality as given
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import CoolProp
import numpy as np

from hpteach.errors import PropertyError

_CLOSE = 1e-8
_STEP = 1e-6
_MOST = 25


@dataclass(frozen=True)
class Equilibrium:
    """What was found: T (K), and per kilogram h, s, volume (m3/kg) and the vapour's share by mass."""

    temperature: float
    enthalpy: float
    entropy: float
    volume: float
    quality: float


@dataclass(frozen=True)
class Start:
    """A first guess: T, both compositions, the vapour's molar share."""

    temperature: float
    liquid: list[float]
    vapour: list[float]
    share: float


def between(bubble: Start, dew: Start, share: float, overall: list[float]) -> Start:
    """A first guess at a molar share of vapour, from the bubble and the dew point at the same pressure.

    ln K = ln(y/x) is put on the straight line between the two, and x follows from the balance.
    """
    both = zip(overall, bubble.liquid, bubble.vapour, dew.liquid, dew.vapour)
    ratios = [(z, math.exp((1.0 - share) * math.log(yb / xb) + share * math.log(yd / xd))) for z, xb, yb, xd, yd in both]
    liquid = [z / (1.0 + share * (ratio - 1.0)) for z, ratio in ratios]
    vapour = [ratio * x for x, (_, ratio) in zip(liquid, ratios)]
    return Start(
        temperature=(1.0 - share) * bubble.temperature + share * dew.temperature,
        liquid=[x / sum(liquid) for x in liquid],
        vapour=[y / sum(vapour) for y in vapour],
        share=share,
    )


@dataclass(frozen=True)
class _Asked:
    """What is sought: at a pressure, the value of a quantity; and which phase is the scarcer."""

    pressure: float
    of: str
    value: float
    vapour_is_scarce: bool


class TwoPhase:
    """The equations of one blend; `overall` is its composition in moles, `masses` in kg/mol."""

    def __init__(self, liquid, vapour, overall: list[float], masses: list[float]) -> None:  # noqa: ANN001
        self._liquid, self._vapour = liquid, vapour
        self._overall, self._masses = overall, masses
        self._molar_mass = sum(z * mass for z, mass in zip(overall, masses))

    def solve(self, pressure: float, of: str, value: float, start: Start, name: str) -> Equilibrium:
        """The equilibrium at p (Pa) where `of` ("enthalpy", "entropy" in J per kg, or "quality") has a value.

        Raises `PropertyError` where the iteration does not close.
        """
        vapour_is_scarce = start.share <= 0.5
        scarce = start.vapour if vapour_is_scarce else start.liquid
        asked = _Asked(pressure, of, value, vapour_is_scarce)
        size = math.inf
        try:
            unknowns = np.array([start.temperature, 0.0, 0.0, *scarce[:-1], start.share])
            for index, (state, parts) in enumerate(zip((self._liquid, self._vapour), self._parts(unknowns, asked)), start=1):
                # The densities at p and T are asked of the library: a liquid guessed a little thin has a negative pressure.
                state.set_mole_fractions(parts)
                state.update(CoolProp.PT_INPUTS, pressure, start.temperature)
                unknowns[index] = math.log(state.rhomolar())
            phases = self._phases(unknowns, asked)
            residual = self._residual(unknowns, phases, asked)
            inverse = np.linalg.inv(self._jacobian(unknowns, phases, residual, asked))
            for _ in range(_MOST):
                size = float(np.abs(residual).max())
                if size < _CLOSE:
                    return self._found(unknowns, phases, asked)
                before = unknowns
                unknowns, phases = self._stepped(unknowns, inverse @ residual, asked)
                new = self._residual(unknowns, phases, asked)
                if np.abs(new).max() > 0.5 * size:
                    inverse = np.linalg.inv(self._jacobian(unknowns, phases, new, asked))
                else:  # Broyden's correction: cheaper than asking for the slopes again
                    step, change = unknowns - before, inverse @ (new - residual)
                    inverse += np.outer((step - change) / (step @ change), step @ inverse)
                residual = new
        except (ValueError, np.linalg.LinAlgError) as error:
            raise PropertyError(f"{name}: no equilibrium found at {pressure:.6g} Pa ({str(error)[:80]})") from None
        raise PropertyError(f"{name}: no equilibrium found at {pressure:.6g} Pa (residual {size:.1e})")

    def _stepped(self, unknowns: np.ndarray, step: np.ndarray, asked: _Asked) -> tuple[np.ndarray, tuple]:
        """The unknowns a whole step on, or a part of it where the whole would leave what is possible."""
        for share in (1.0, 0.5, 0.25, 0.1):
            moved = unknowns - share * step
            try:
                return moved, self._phases(moved, asked)
            except ValueError:
                continue
        raise ValueError("no step is possible")

    def _jacobian(self, unknowns: np.ndarray, phases: tuple, residual: np.ndarray, asked: _Asked) -> np.ndarray:
        """By differences, asking again only the phases that an unknown touches."""
        columns = np.empty((len(residual), len(unknowns)))
        for index in range(len(unknowns)):
            step = _STEP * (unknowns[0] if index == 0 else 1.0)
            moved = unknowns.copy()
            moved[index] += step
            x, y = self._parts(moved, asked)
            liquid, vapour = phases
            last = index == len(unknowns) - 1
            if index == 1 or index not in (2,) and not (last and not asked.vapour_is_scarce):
                liquid = self._phase(self._liquid, x, moved[1], moved[0])
            if index == 2 or index not in (1,) and not (last and asked.vapour_is_scarce):
                vapour = self._phase(self._vapour, y, moved[2], moved[0])
            columns[:, index] = (self._residual(moved, (liquid, vapour), asked) - residual) / step
        return columns

    def _parts(self, unknowns: np.ndarray, asked: _Asked) -> tuple[list[float], list[float]]:
        """The compositions x of the liquid and y of the vapour, from the balance of each component."""
        scarce = [*unknowns[3:-1].tolist(), 1.0 - float(unknowns[3:-1].sum())]
        part = float(unknowns[-1]) if asked.vapour_is_scarce else 1.0 - float(unknowns[-1])
        plenty = [(z - part * w) / (1.0 - part) for z, w in zip(self._overall, scarce)]
        if min(scarce) <= 0.0 or min(plenty) <= 0.0:
            raise ValueError("a composition left its range")
        return (plenty, scarce) if asked.vapour_is_scarce else (scarce, plenty)

    def _phases(self, unknowns: np.ndarray, asked: _Asked) -> tuple[tuple, tuple]:
        x, y = self._parts(unknowns, asked)
        return (
            self._phase(self._liquid, x, unknowns[1], unknowns[0]),
            self._phase(self._vapour, y, unknowns[2], unknowns[0]),
        )

    @staticmethod
    def _phase(state, parts: list[float], log_density: float, temperature: float) -> tuple:  # noqa: ANN001
        """Pressure, ln of each fugacity, molar h and s of one phase."""
        state.set_mole_fractions(parts)
        state.update(CoolProp.DmolarT_INPUTS, math.exp(log_density), temperature)
        fugacities = [math.log(state.fugacity(index)) for index in range(len(parts))]
        return state.p(), fugacities, state.hmolar(), state.smolar()

    def _residual(self, unknowns: np.ndarray, phases: tuple, asked: _Asked) -> np.ndarray:
        liquid, vapour = phases
        share = unknowns[-1]
        if asked.of == "quality":
            _, y = self._parts(unknowns, asked)
            closes = share * sum(part * mass for part, mass in zip(y, self._masses)) / self._molar_mass - asked.value
        else:
            column, scale = (2, 1e5) if asked.of == "enthalpy" else (3, 1e3)
            molar = (1.0 - share) * liquid[column] + share * vapour[column]
            closes = (molar / self._molar_mass - asked.value) / scale
        equal = [low - high for low, high in zip(liquid[1], vapour[1])]
        return np.array([liquid[0] / asked.pressure - 1.0, vapour[0] / asked.pressure - 1.0, *equal, closes])

    def _found(self, unknowns: np.ndarray, phases: tuple, asked: _Asked) -> Equilibrium:
        liquid, vapour = phases
        share, mass = float(unknowns[-1]), self._molar_mass
        _, y = self._parts(unknowns, asked)
        volume = (1.0 - share) / math.exp(unknowns[1]) + share / math.exp(unknowns[2])
        return Equilibrium(
            temperature=float(unknowns[0]),
            enthalpy=((1.0 - share) * liquid[2] + share * vapour[2]) / mass,
            entropy=((1.0 - share) * liquid[3] + share * vapour[3]) / mass,
            volume=volume / mass,
            quality=share * sum(part * m for part, m in zip(y, self._masses)) / mass,
        )
