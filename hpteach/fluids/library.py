"""The property library's states, one set for each thread, and its errors in our own words.

What lives here: every call that changes a state of the property library.
What does not: checks of range and the reference state (refrigerant).
"""

from __future__ import annotations

import CoolProp
from CoolProp.CoolProp import AbstractState

from hpteach.errors import LimitError, Measure, PropertyError
from hpteach.fluids.agreement import check_fluid
from hpteach.fluids.catalogue import Listing
from hpteach.fluids.state import SATURATED_LIQUID, SATURATED_VAPOUR, SUPERCRITICAL, SUPERHEATED_VAPOUR, State, on_the_lever
from hpteach.units import STANDARD_ATMOSPHERE

_NEAR_CRITICAL = 0.5
"""K below the critical temperature within which saturation is refused: the two phases can
hardly be told apart there, and the pseudo-pure equations have gaps within 0.38 K."""

_MOST_REMEMBERED = 500

REFERENCES = {
    # Conventions of the IIR (0 C), of ASHRAE (-40 C) and of the normal boiling point (docs/sources.md).
    # saturated liquid at: (inputs, first, second, h there in J/kg, s there in J/(kg K))
    "iir": (CoolProp.QT_INPUTS, 0.0, 273.15, 200e3, 1000.0),
    "ashrae": (CoolProp.QT_INPUTS, 0.0, 233.15, 0.0, 0.0),
    "nbp": (CoolProp.PQ_INPUTS, STANDARD_ATMOSPHERE, 0.0, 0.0, 0.0),
}


class Library:
    """One thread's states of the property library; a state is never shared between threads.

    With the phase imposed the library looks for one root only, which is quick, and right
    because the face has already decided the phase from the dome.  Saturated states are
    remembered, as a cycle asks for each of them several times.

    >>> from hpteach.fluids import listing
    >>> library = Library(listing("R-32"), "iir")
    >>> round(library.saturated_by_temperature(273.15, 0.0).enthalpy, 3)
    200000.0
    """

    def __init__(self, listing: Listing, reference: str) -> None:
        name = listing.library_name
        try:
            self.saturated, self.free, self.gas, self.liquid = (AbstractState("HEOS", name) for _ in range(4))
        except ValueError:
            raise PropertyError(f"the property library has no fluid called {name!r}: correct library_name in the catalogue") from None
        check_fluid(listing, self.free)
        self.gas.specify_phase(CoolProp.iphase_gas)
        self.liquid.specify_phase(CoolProp.iphase_liquid)
        self.name = listing.name
        self._pure = listing.model == "pure"
        self._remembered: dict[tuple[float, float], State] = {}
        self.enthalpy_offset = self.entropy_offset = 0.0
        self._prepare(listing)
        inputs, first, second, enthalpy, entropy = REFERENCES[reference]
        raw = self.saturate(inputs, first, second)
        if raw.T() < listing.lowest_temperature:
            raise LimitError(
                f"reference state {reference} needs a saturated liquid at {{given}}, below the lowest temperature of {self.name}, {{least}}: "
                "use another reference state",
                given=Measure(raw.T(), "temperature"),
                least=Measure(listing.lowest_temperature, "temperature"),
            )
        self.enthalpy_offset, self.entropy_offset = enthalpy - raw.hmass(), entropy - raw.smass()

    def _prepare(self, listing: Listing) -> None:
        self.critical_temperature: float = self.free.T_critical()
        self.critical_pressure: float = self.free.p_critical()
        self.highest_saturation_temperature = self.critical_temperature - _NEAR_CRITICAL
        self.highest_dome_temperature = self.critical_temperature - (1e-4 if listing.model == "pure" else _NEAR_CRITICAL)

    def saturate(self, inputs: int, first: float, second: float):  # noqa: ANN201
        """The property library's saturated state at two inputs."""
        update(self.saturated, inputs, first, second, self.name)
        return self.saturated

    def saturated_by_pressure(self, pressure: float, quality: float) -> State:
        """The bubble (quality 0) or dew point (quality 1) at p (Pa)."""
        key = (pressure, quality)
        if key not in self._remembered:
            self._remember(key, self.saturate(CoolProp.PQ_INPUTS, pressure, quality), pressure)
        return self._remembered[key]

    def saturated_by_temperature(self, temperature: float, quality: float) -> State:
        """The bubble (quality 0) or dew point (quality 1) at T (K)."""
        state = self.saturate(CoolProp.QT_INPUTS, quality, temperature)
        return self._remember((state.p(), quality), state)

    def _remember(self, key: tuple[float, float], state, pressure: float | None = None) -> State:  # noqa: ANN001
        if len(self._remembered) >= _MOST_REMEMBERED:
            # The oldest go, never those of the present cycle: found again by pressure they could differ in the last bit.
            for old in list(self._remembered)[: _MOST_REMEMBERED // 4]:
                self._forget(old)
        self._forget(key)
        phase = SATURATED_VAPOUR if key[1] else SATURATED_LIQUID
        self._remembered[key] = self.state(state, key[1], phase, pressure)
        if self._pure:  # both ends lie at one temperature, and one search has found both
            self._remembered.pop((key[0], 1.0 - key[1]), None)
            self._remembered[key[0], 1.0 - key[1]] = self._other_end(state, self._remembered[key])
        return self._remembered[key]

    def _forget(self, key: tuple[float, float]) -> None:
        self._remembered.pop(key, None)

    def _other_end(self, state, one: State) -> State:  # noqa: ANN001
        liquid = one.phase == SATURATED_VAPOUR
        read = state.saturated_liquid_keyed_output if liquid else state.saturated_vapor_keyed_output
        return State(
            pressure=one.pressure,
            temperature=one.temperature,
            enthalpy=read(CoolProp.iHmass) + self.enthalpy_offset,
            entropy=read(CoolProp.iSmass) + self.entropy_offset,
            density=read(CoolProp.iDmass),
            quality=0.0 if liquid else 1.0,
            phase=SATURATED_LIQUID if liquid else SATURATED_VAPOUR,
        )

    def state(self, state, quality: float | None, phase: str, pressure: float | None = None) -> State:  # noqa: ANN001
        """A state of the property library as ours, on the chosen reference."""
        return State(
            pressure=state.p() if pressure is None else pressure,
            temperature=state.T(),
            enthalpy=state.hmass() + self.enthalpy_offset,
            entropy=state.smass() + self.entropy_offset,
            density=state.rhomass(),
            quality=quality,
            phase=phase,
        )

    def single(self, state, pressure: float, temperature: float, phase: str) -> State:  # noqa: ANN001
        """The state of one phase at p (Pa) and T (K)."""
        update(state, CoolProp.PT_INPUTS, pressure, temperature, self.name)
        return self.state(state, None, phase, pressure)

    def gas_at(self, density: float, temperature: float) -> State:
        """The gas of one density (kg/m3) at T (K), where the equation of state is explicit; that it is gas is not checked."""
        update(self.gas, CoolProp.DmassT_INPUTS, density, temperature, self.name)
        return self.state(self.gas, None, SUPERHEATED_VAPOUR)

    def solve_single(self, state, start: State, of: str, value: float, limits: tuple[float, float]) -> bool:  # noqa: ANN001
        """Bring a state of one phase to p of `start` and a value of enthalpy or entropy (raw, in SI).

        Newton in T and density together, where the equation of state is explicit.  False where
        the root lies beyond the limits (K).  Raises `PropertyError` where the search does not close.
        """
        asked = CoolProp.iHmass if of == "enthalpy" else CoolProp.iSmass
        temperature, density = start.temperature, start.density
        for _ in range(80):
            update(state, CoolProp.DmassT_INPUTS, density, temperature, self.name)
            pressure_off, value_off = start.pressure - state.p(), value - state.keyed_output(asked)
            p_t = state.first_partial_deriv(CoolProp.iP, CoolProp.iT, CoolProp.iDmass)
            p_d = state.first_partial_deriv(CoolProp.iP, CoolProp.iDmass, CoolProp.iT)
            v_t = state.first_partial_deriv(asked, CoolProp.iT, CoolProp.iDmass)
            v_d = state.first_partial_deriv(asked, CoolProp.iDmass, CoolProp.iT)
            bottom = p_t * v_d - p_d * v_t
            warmer = (pressure_off * v_d - p_d * value_off) / bottom
            denser = (p_t * value_off - pressure_off * v_t) / bottom
            if abs(warmer) < 1e-10 * temperature and abs(denser) < 1e-9 * density:
                return True
            # A long step is cut, and the density kept within what one phase can be.
            share = min(1.0, 40.0 / max(abs(warmer), 1e-12), 0.5 * density / max(abs(denser), 1e-12))
            inside = max(limits[0], min(limits[1], temperature + share * warmer))
            if inside == temperature and abs(warmer) > 1e-6 * temperature:
                return False
            temperature, density = inside, density + share * denser
        raise PropertyError(f"{self.name}: no temperature found for {of} {value:.6g} at {start.pressure:.6g} Pa")

    def inside(self, liquid: State, vapour: State, of: str, value: float) -> State:
        """The mixture between a bubble and a dew point at one pressure, where `of` has a value.

        `of` is "enthalpy" (J/kg), "entropy" (J/(kg K)) or "quality".
        """
        if of == "quality":
            return on_the_lever(liquid, vapour, value)
        low, high = getattr(liquid, of), getattr(vapour, of)
        return on_the_lever(liquid, vapour, (value - low) / (high - low))

    def critical_state(self) -> State:
        """The critical point."""
        update(self.free, CoolProp.DmassT_INPUTS, self.free.rhomass_critical(), self.critical_temperature, self.name)
        return self.state(self.free, None, SUPERCRITICAL)

    def dome_top(self) -> tuple[State, ...]:
        """The states over the top of the dome, from the bubble to the dew side, that saturation leaves out."""
        return (self.critical_state(),)


def update(state, inputs: int, first: float, second: float, name: str) -> None:  # noqa: ANN001
    """Move a state of the property library to two inputs; `name` is the refrigerant in a refusal.

    `inputs` is the library's word for what `first` and `second` are, such as `CoolProp.PT_INPUTS`
    for Pa and K or `CoolProp.PQ_INPUTS` for Pa and a quality.  Raises `PropertyError`, with the
    library's own words, where it finds no such state.

    >>> state = AbstractState("HEOS", "R32")
    >>> update(state, CoolProp.PQ_INPUTS, 101325.0, 1.0, "R-32")
    >>> round(state.T(), 2)
    221.50
    """
    try:
        state.update(inputs, first, second)
    except ValueError as error:
        raise PropertyError(f"{name}: the equation of state gave no answer ({str(error)[:120]})".replace("{", "(").replace("}", ")")) from None
