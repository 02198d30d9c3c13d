"""Blends with glide: saturation from remembered guesses, and the mixture inside the dome.

What lives here: what a blend needs more than a pure refrigerant does: starting values for
the property library's own saturation solver, and the search for a quality on an isobar.
What does not: the face that users see (refrigerant), ranges, the reference state.

The property library finds the bubble and the dew point of a blend by iteration from a rough
first guess, which is slow and, above about two thirds of the critical pressure, often fails.
Its phase envelope is traced once for each thread; started from a point on it, the same
solver with the same equation of state needs a tenth of a millisecond and does not fail.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import CoolProp
import numpy as np
from CoolProp.CoolProp import AbstractState, PyGuessesStructure

from hpteach.errors import PropertyError
from hpteach.fluids.agreement import check_envelope
from hpteach.fluids.catalogue import Listing
from hpteach.fluids.library import Library
from hpteach.fluids.state import MIXTURE, SUPERCRITICAL, State
from hpteach.fluids.two_phase import Start, TwoPhase, between

_KNOTS = 56
"""Saturated states on each refined branch."""

_HIGHEST_SHARE = 0.97
"""Share of the critical temperature up to which a blend is saturated here; nearer, no search is sure to close."""


_LOG_PRESSURE, _TEMPERATURE = 0, 1


@dataclass(frozen=True)
class _Branch:
    """The bubble or the dew line as traced, by rising pressure.

    The rows of `table` are ln p, T, ln rho of liquid and of vapour (mol/m3), then the mole
    fractions of the liquid and of the vapour, shape (4 + 2 n, m).
    """

    table: np.ndarray
    quality: float

    def guess(self, row: int, given: float) -> PyGuessesStructure:
        """Starting values where a row has a value, on the cubic through the four nearest traced points.

        With a straight line instead, the search from here takes twice as long.
        """
        known = self.table[row]
        first = min(max(int(known.searchsorted(given)) - 2, 0), len(known) - 4)
        near = self.table[:, first : first + 4]
        a, b, c, d = near[row].tolist()
        e, f, g, h = given - a, given - b, given - c, given - d
        shares = (
            f * g * h / ((a - b) * (a - c) * (a - d)),
            e * g * h / ((b - a) * (b - c) * (b - d)),
            e * f * h / ((c - a) * (c - b) * (c - d)),
            e * f * g / ((d - a) * (d - b) * (d - c)),
        )
        log_pressure, temperature, log_liquid, log_vapour, *parts = (near @ shares).tolist()
        guess = PyGuessesStructure()
        guess.p, guess.T = math.exp(log_pressure), temperature
        guess.rhomolar_liq, guess.rhomolar_vap = math.exp(log_liquid), math.exp(log_vapour)
        guess.rhomolar = guess.rhomolar_vap if self.quality else guess.rhomolar_liq
        guess.x, guess.y = parts[: len(parts) // 2], parts[len(parts) // 2 :]
        return guess


class BlendLibrary(Library):
    """One thread's states of a blend; like `Library`, with an envelope to start from.

    >>> from hpteach.fluids import listing
    >>> library = BlendLibrary(listing("R-454B"), "iir")
    >>> round(library.saturated_by_temperature(278.15, 1.0).pressure)
    856989
    """

    def _prepare(self, listing: Listing) -> None:
        self.critical_temperature, self.critical_pressure = listing.critical_temperature, listing.critical_pressure
        self.highest_saturation_temperature = self.highest_dome_temperature = _HIGHEST_SHARE * self.critical_temperature
        self.free.specify_phase(CoolProp.iphase_supercritical)
        traced = AbstractState("HEOS", listing.library_name)
        traced.build_phase_envelope("")
        envelope = traced.get_phase_envelope_data()
        check_envelope(listing, min(envelope.T), max(envelope.T))
        bulk_is_vapour = np.array(envelope.Q) > 0.5
        bulk, incipient = np.log(envelope.rhomolar_vap), np.log(envelope.rhomolar_liq)
        bulk_parts, incipient_parts = np.array(envelope.y), np.array(envelope.x)
        self._temperatures = np.linspace(listing.lowest_temperature - 5.0, self.highest_saturation_temperature + 1.0, _KNOTS)
        self._dew = self._traced(envelope, 1.0, bulk_is_vapour, incipient, bulk, incipient_parts, bulk_parts)
        self._bubble = self._traced(envelope, 0.0, ~bulk_is_vapour, bulk, incipient, bulk_parts, incipient_parts)
        self._envelope = np.array([envelope.p, envelope.T, envelope.hmolar_vap, envelope.smolar_vap, envelope.rhomolar_vap])
        self._dew, self._bubble = self._refined(1.0), self._refined(0.0)
        self._ends: dict[tuple[float, float], Start] = {}
        self._molar_mass = traced.molar_mass()
        overall = traced.get_mole_fractions()
        masses = [traced.get_fluid_constant(index, CoolProp.imolar_mass) for index in range(len(overall))]
        liquid, vapour = AbstractState("HEOS", listing.library_name), AbstractState("HEOS", listing.library_name)
        liquid.specify_phase(CoolProp.iphase_liquid)
        vapour.specify_phase(CoolProp.iphase_gas)
        self._overall = list(overall)
        self._two_phase = TwoPhase(liquid, vapour, self._overall, masses)

    def _traced(self, envelope, quality: float, chosen, liquid, vapour, liquid_parts, vapour_parts) -> _Branch:  # noqa: ANN001
        """The working part of a branch as the envelope has it, on straight lines between its points."""
        table = np.vstack([np.array(envelope.lnp), np.array(envelope.T), liquid, vapour, liquid_parts, vapour_parts])[:, chosen]
        table = table[:, np.argsort(table[_LOG_PRESSURE])]
        table = table[:, : int(table[_TEMPERATURE].argmax()) + 1]
        return _Branch(np.array([np.interp(self._temperatures, table[_TEMPERATURE], row) for row in table]), quality)

    def _refined(self, quality: float) -> _Branch:
        """The same part as the equation of state has it, so that a search from it takes a step or two."""
        rows = []
        for temperature in self._temperatures.tolist():
            state = self.saturate(CoolProp.QT_INPUTS, quality, temperature)
            densities = (state.saturated_liquid_keyed_output(CoolProp.iDmolar), state.saturated_vapor_keyed_output(CoolProp.iDmolar))
            parts = (*state.mole_fractions_liquid(), *state.mole_fractions_vapor())
            rows.append((math.log(state.p()), state.T(), *np.log(densities), *parts))
        return _Branch(np.array(rows).T.copy(), quality)

    def saturate(self, inputs: int, first: float, second: float):  # noqa: ANN201
        """The bubble or dew point by temperature or pressure, from a point of the envelope.  Raises `PropertyError` where the equation of state gives none."""
        by_temperature = inputs == CoolProp.QT_INPUTS
        quality, given = (first, second) if by_temperature else (second, first)
        branch = self._dew if quality else self._bubble
        guess = branch.guess(_TEMPERATURE, given) if by_temperature else branch.guess(_LOG_PRESSURE, math.log(given))
        try:
            self.saturated.update_with_guesses(inputs, first, second, guess)
        except ValueError as error:
            text = f"{self.name}: no saturated state found ({str(error)[:100]})".replace("{", "(").replace("}", ")")
            raise PropertyError(text) from None
        return self.saturated

    def _remember(self, key: tuple[float, float], state, pressure: float | None = None) -> State:  # noqa: ANN001
        found = super()._remember(key, state, pressure)
        self._ends[key] = Start(state.T(), state.mole_fractions_liquid(), state.mole_fractions_vapor(), key[1])
        return found

    def _forget(self, key: tuple[float, float]) -> None:
        super()._forget(key)
        self._ends.pop(key, None)

    def inside(self, liquid: State, vapour: State, of: str, value: float) -> State:
        """The mixture in equilibrium at the pressure of its two ends, where `of` has a value."""
        pressure = liquid.pressure
        low, high = (0.0, 1.0) if of == "quality" else (getattr(liquid, of), getattr(vapour, of))
        share = (value - low) / (high - low)
        bubble, dew = self._end(pressure, 0.0), self._end(pressure, 1.0)
        offset = {"enthalpy": self.enthalpy_offset, "entropy": self.entropy_offset, "quality": 0.0}[of]
        found = self._two_phase.solve(pressure, of, value - offset, between(bubble, dew, share, self._overall), self.name)
        return State(
            pressure=pressure,
            temperature=found.temperature,
            enthalpy=found.enthalpy + self.enthalpy_offset,
            entropy=found.entropy + self.entropy_offset,
            density=1.0 / found.volume,
            quality=found.quality,
            phase=MIXTURE,
        )

    def critical_state(self) -> State:
        """The critical point of the catalogue."""
        return self.single(self.free, self.critical_pressure, self.critical_temperature, SUPERCRITICAL)

    def dome_top(self) -> tuple[State, ...]:
        """The traced states over the top of the dome, from the bubble to the dew side."""
        top = self._envelope[:, self._envelope[1] > self.highest_dome_temperature][:, ::-1]
        mass = self._molar_mass
        return tuple(
            State(p, t, h / mass + self.enthalpy_offset, s / mass + self.entropy_offset, rho * mass, None, SUPERCRITICAL)
            for p, t, h, s, rho in top.T.tolist()
        )

    def _end(self, pressure: float, quality: float) -> Start:
        key = (pressure, quality)
        if key not in self._ends:
            self._remember(key, self.saturate(CoolProp.PQ_INPUTS, pressure, quality), pressure)
        return self._ends[key]
