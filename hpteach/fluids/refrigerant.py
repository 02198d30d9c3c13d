"""One face for every refrigerant: saturation, states and the reference state.

What lives here: `Refrigerant`.  What does not: lines of constant something
for charts (isolines), the list of refrigerants (catalogue), the cycle.

Everything is SI: K, Pa absolute, J/kg, J/(kg K), kg/m3.  Dew is where the first drop
forms (quality 1), bubble where the first bubble forms (quality 0).  A blend without a
full mixture model is a pseudo-pure fluid: it has a bubble and a dew line of its own, and
between them states lie on the straight line between the two, as the property library has it.
"""

from __future__ import annotations

import math
import threading
from functools import cache

from hpteach.errors import LimitError, Measure, UnknownNameError
from hpteach.fluids.catalogue import Listing, listing
from hpteach.fluids.agreement import check_sublimation
from hpteach.fluids.blend import BlendLibrary
from hpteach.fluids.library import REFERENCES, Library
from hpteach.fluids.state import (
    SUBCOOLED_LIQUID,
    SUPERCRITICAL,
    SUPERHEATED_VAPOUR,
    State,
)


@cache
def refrigerant(name: str, reference: str = "iir") -> Refrigerant:
    """The refrigerant called `name`, with enthalpy and entropy on a reference state.

    `reference` is "iir" (h = 200 kJ/kg, s = 1 kJ/(kg K) for saturated liquid at 0 C),
    "ashrae" (both zero for saturated liquid at -40 C) or "nbp" (both zero for saturated
    liquid at 101.325 kPa).  Raises `UnknownNameError` for any other name or reference.

    >>> round(refrigerant("R-134a").dew_pressure(273.15))
    292803
    """
    if reference not in REFERENCES:
        raise UnknownNameError.among("reference state", reference, REFERENCES)
    return Refrigerant(listing(name), reference)


class Refrigerant:
    """Saturation and states of one refrigerant, by `listing.equation`; usable from several threads.

    Outside `lowest_temperature` to `highest_temperature` (K; saturation to `highest_saturation_temperature`)
    and above `highest_pressure` (Pa) it raises `LimitError`.  Stated uncertainty: docs/sources.md.

    >>> r134a = refrigerant("R-134a")
    >>> round(r134a.saturated_liquid(r134a.bubble_pressure(273.15)).enthalpy, 3)
    200000.0
    """

    def __init__(self, listing: Listing, reference: str = "iir") -> None:
        self.listing = listing
        self.name = listing.name
        self.reference = reference
        self._threads = threading.local()
        library = self._library
        self.critical_temperature: float = library.critical_temperature
        self.critical_pressure: float = library.critical_pressure
        self.highest_saturation_temperature: float = library.highest_saturation_temperature
        self.highest_dome_temperature: float = library.highest_dome_temperature
        self.lowest_temperature: float = listing.lowest_temperature
        self.highest_temperature: float = library.free.Tmax()
        self.highest_pressure: float = library.free.pmax()
        self.molar_mass: float = library.free.molar_mass()
        self.lowest_saturation_pressure = library.saturated_by_temperature(self.lowest_temperature, 1.0).pressure
        check_sublimation(listing, self.lowest_saturation_pressure)
        self.highest_saturation_pressure = library.saturated_by_temperature(self.highest_saturation_temperature, 1.0).pressure
        self._highest_bubble_pressure = library.saturated_by_temperature(self.highest_saturation_temperature, 0.0).pressure

    def __repr__(self) -> str:
        return f"<Refrigerant {self.name}, reference {self.reference}>"

    # Saturation -------------------------------------------------------------------

    def bubble_pressure(self, temperature: float) -> float:
        """Pressure (Pa) at which liquid at T (K) begins to boil; raises `LimitError` off the dome.

        >>> round(refrigerant("R-410A").bubble_pressure(278.15))
        936207
        """
        self._check_saturation_temperature(temperature)
        return self._library.saturated_by_temperature(temperature, 0.0).pressure

    def dew_pressure(self, temperature: float) -> float:
        """Pressure (Pa) at which vapour at T (K) begins to condense; raises `LimitError` off the dome.

        >>> round(refrigerant("R-410A").dew_pressure(278.15))
        933176
        """
        self._check_saturation_temperature(temperature)
        return self._library.saturated_by_temperature(temperature, 1.0).pressure

    def bubble_temperature(self, pressure: float) -> float:
        """Temperature (K) at which liquid at p (Pa) begins to boil; raises `LimitError` off the dome.

        >>> round(refrigerant("R-410A").bubble_temperature(1e6), 2)
        280.32
        """
        self._check_saturation_pressure(pressure, bubble=True)
        return self._library.saturated_by_pressure(pressure, 0.0).temperature

    def dew_temperature(self, pressure: float) -> float:
        """Temperature (K) at which vapour at p (Pa) begins to condense; raises `LimitError` off the dome.

        >>> round(refrigerant("R-410A").dew_temperature(1e6), 2)
        280.42
        """
        self._check_saturation_pressure(pressure)
        return self._library.saturated_by_pressure(pressure, 1.0).temperature

    def glide(self, pressure: float) -> float:
        """Dew minus bubble temperature (K) at p (Pa); zero for a pure refrigerant.  Raises `LimitError` off the dome.

        >>> round(refrigerant("R-32").glide(1e6), 6)
        0.0
        """
        return self.dew_temperature(pressure) - self.bubble_temperature(pressure)

    def saturated_liquid(self, pressure: float) -> State:
        """The bubble point at p (Pa), quality 0; raises `LimitError` off the dome.

        >>> round(refrigerant("R-410A").saturated_liquid(1e6).density)
        1141
        """
        self._check_saturation_pressure(pressure, bubble=True)
        return self._library.saturated_by_pressure(pressure, 0.0)

    def saturated_vapour(self, pressure: float) -> State:
        """The dew point at p (Pa), quality 1; raises `LimitError` off the dome.

        >>> round(refrigerant("R-410A").saturated_vapour(1e6).enthalpy)
        423401
        """
        self._check_saturation_pressure(pressure)
        return self._library.saturated_by_pressure(pressure, 1.0)

    # States -----------------------------------------------------------------------

    def superheated(self, pressure: float, superheat: float) -> State:
        """Vapour at p (Pa), `superheat` (K) above the dew point; at zero the dew point itself, below it a `LimitError`.

        >>> round(refrigerant("R-134a").superheated(292803.0, 10.0).temperature, 2)
        283.15
        """
        dew = self.dew_temperature(pressure)
        self._check_number(superheat, "superheat")
        if not superheat >= 0.0:
            raise LimitError(
                "superheat of {given} is negative: use {least} or more, counted from the dew point",
                given=Measure(superheat, "temperature difference"),
                least=Measure(0.0, "temperature difference"),
            )
        if dew + superheat <= dew:
            return self.saturated_vapour(pressure)
        self._check_temperature(dew + superheat)
        return self._library.single(self._library.gas, pressure, dew + superheat, SUPERHEATED_VAPOUR)

    def subcooled(self, pressure: float, subcooling: float) -> State:
        """Liquid at p (Pa), `subcooling` (K) below the bubble point; at zero the bubble point itself, below it a `LimitError`.

        >>> refrigerant("R-134a").subcooled(1e6, 5.0).phase
        'subcooled liquid'
        """
        bubble = self.bubble_temperature(pressure)
        self._check_number(subcooling, "subcooling")
        if not subcooling >= 0.0:
            raise LimitError(
                "subcooling of {given} is negative: use {least} or more, counted from the bubble point",
                given=Measure(subcooling, "temperature difference"),
                least=Measure(0.0, "temperature difference"),
            )
        if bubble - subcooling >= bubble:
            return self.saturated_liquid(pressure)
        self._check_temperature(bubble - subcooling)
        return self._library.single(self._library.liquid, pressure, bubble - subcooling, SUBCOOLED_LIQUID)

    def state_pt(self, pressure: float, temperature: float) -> State:
        """The state at p (Pa) and T (K), off the dome.

        Raises `LimitError` outside the equation's range, and on or inside the dome, where
        pressure and temperature do not fix the state.

        >>> refrigerant("R-32").state_pt(1e6, 300.0).phase
        'superheated vapour'
        """
        self._check_temperature(temperature)
        self._check_pressure(pressure)
        library = self._library
        if pressure < self.lowest_saturation_pressure and temperature >= self.lowest_temperature:
            return library.single(library.gas, pressure, temperature, SUPERHEATED_VAPOUR)
        if pressure > self.highest_saturation_pressure:
            phase = self._phase_above(pressure, temperature)
            state = library.liquid if temperature <= self.highest_saturation_temperature else library.free
            return library.single(state, pressure, temperature, phase)
        dew, bubble = self.dew_temperature(pressure), self.bubble_temperature(pressure)
        if temperature > dew:
            return self._library.single(self._library.gas, pressure, temperature, SUPERHEATED_VAPOUR)
        if temperature < bubble:
            return self._library.single(self._library.liquid, pressure, temperature, SUBCOOLED_LIQUID)
        raise LimitError(
            "{temperature} at {pressure} lies on the dome, where pressure and temperature do not fix the state: give the quality as well",
            temperature=Measure(temperature, "temperature"),
            pressure=Measure(pressure, "pressure"),
        )

    def state_px(self, pressure: float, quality: float) -> State:
        """The state on the dome at p (Pa) with a quality from 0 (bubble) to 1 (dew); raises `LimitError` for any other.

        >>> round(refrigerant("R-134a").state_px(292803.0, 0.3).enthalpy)
        259581
        """
        if isinstance(quality, bool) or not 0.0 <= quality <= 1.0:
            raise LimitError(f"quality of {quality:g} is outside 0 to 1: use a share of vapour between the two")
        vapour, liquid = self.saturated_vapour(pressure), self.saturated_liquid(pressure)
        if quality in (0.0, 1.0):
            return vapour if quality else liquid
        return self._library.inside(liquid, vapour, "quality", quality)

    def state_ph(self, pressure: float, enthalpy: float) -> State:
        """The state at p (Pa) and h (J/kg); raises `LimitError` for a pressure without a dome.

        >>> round(refrigerant("R-134a").state_ph(292803.0, 259581.0).quality, 4)
        0.3
        """
        return self._from_dome(pressure, enthalpy, "enthalpy")

    def state_ps(self, pressure: float, entropy: float) -> State:
        """The state at p (Pa) and s (J/(kg K)); raises `LimitError` for a pressure without a dome.

        >>> round(refrigerant("R-134a").state_ps(1e6, 1750.0).temperature, 2)
        323.7
        """
        return self._from_dome(pressure, entropy, "entropy")

    def gas_at(self, density: float, temperature: float) -> State:
        """The gas of a density (kg/m3) at T (K); the caller knows that it is gas.  Raises `LimitError` off the equation's range.

        >>> round(refrigerant("R-134a").gas_at(10.0, 300.0).pressure)
        232931
        """
        self._check_temperature(temperature)
        self._check_number(density, "density")
        return self._library.gas_at(density, temperature)

    # For charts --------------------------------------------------------------------

    def dome_state(self, temperature: float, quality: float) -> State:
        """The bubble (quality 0) or dew point (quality 1) at T (K), up to `highest_dome_temperature`.

        For drawing the dome only: nearer to the critical point than a working state may be.

        >>> refrigerant("R-32").dome_state(351.25, 1.0).phase
        'saturated vapour'
        """
        if not self.lowest_temperature <= temperature <= self.highest_dome_temperature:
            self._check_saturation_temperature(temperature)
        if quality not in (0.0, 1.0):
            raise LimitError(f"quality of {quality:g} is not on the dome's line: use 0 for the bubble or 1 for the dew point")
        return self._library.saturated_by_temperature(temperature, quality)

    def critical_state(self) -> State:
        """The critical point.

        >>> round(refrigerant("R-32").critical_state().temperature, 3)
        351.255
        """
        return self._library.critical_state()

    def dome_top(self) -> tuple[State, ...]:
        """The states over the top of the dome, from the bubble to the dew side, above `highest_dome_temperature`.

        >>> len(refrigerant("R-32").dome_top())
        1
        """
        return self._library.dome_top()

    # Inside -----------------------------------------------------------------------

    @property
    def _library(self) -> Library:
        try:
            return self._threads.library
        except AttributeError:
            # The offsets belong to the thread's own states: the property library gives each new
            # state the reference that is in force when it is made.
            kind = BlendLibrary if self.listing.model == "blend" else Library
            self._threads.library = kind(self.listing, self.reference)
            return self._threads.library

    def _from_dome(self, pressure: float, value: float, of: str) -> State:
        if not math.isfinite(value):
            raise LimitError(f"{of} of {value} is not a finite number: give a number")
        library, vapour = self._library, self.saturated_vapour(pressure)
        high = getattr(vapour, of)
        if value > high:  # the bubble point of a blend costs a search of its own, which vapour can spare
            start, state, phase = vapour, library.gas, SUPERHEATED_VAPOUR
        else:
            liquid = self.saturated_liquid(pressure)
            low = getattr(liquid, of)
            if low <= value <= high:
                return liquid if value == low else vapour if value == high else library.inside(liquid, vapour, of, value)
            start, state, phase = liquid, library.liquid, SUBCOOLED_LIQUID
        offset = library.enthalpy_offset if of == "enthalpy" else library.entropy_offset
        limits = (self.lowest_temperature, self.highest_temperature)
        if not library.solve_single(state, start, of, value - offset, limits):
            self._check_temperature(limits[1] + 1.0 if value > high else limits[0] - 1.0)
        return library.state(state, None, phase, pressure)

    def _phase_above(self, pressure: float, temperature: float) -> str:
        """The phase at a pressure above the highest with a dome."""
        if temperature >= self.critical_temperature:
            return SUPERCRITICAL if pressure >= self.critical_pressure else SUPERHEATED_VAPOUR
        if temperature <= self.highest_saturation_temperature:
            if pressure > self._library.saturated_by_temperature(temperature, 0.0).pressure:
                return SUBCOOLED_LIQUID
        elif pressure >= self.critical_pressure:
            return SUBCOOLED_LIQUID
        raise LimitError(
            f"{self.name} at {{pressure}} and {{temperature}} is too near its critical point ({{critical_pressure}}, "
            "{critical_temperature}): go further from one of the two",
            pressure=Measure(pressure, "pressure"),
            temperature=Measure(temperature, "temperature"),
            critical_pressure=Measure(self.critical_pressure, "pressure"),
            critical_temperature=Measure(self.critical_temperature, "temperature"),
        )

    def _check_saturation_temperature(self, temperature: float) -> None:
        self._check_number(temperature, "temperature")
        if temperature < self.lowest_temperature:
            raise LimitError(
                f"{self.name} cannot be saturated at {{given}}: its properties begin at {{limit}}; use a higher temperature",
                given=Measure(temperature, "temperature"),
                limit=Measure(self.lowest_temperature, "temperature", "least"),
            )
        if temperature > self.highest_saturation_temperature:
            raise LimitError(
                f"{self.name} cannot be saturated at {{given}}: its critical temperature is {{critical}}; use {{limit}} or less",
                given=Measure(temperature, "temperature"),
                critical=Measure(self.critical_temperature, "temperature"),
                limit=Measure(self.highest_saturation_temperature, "temperature", "most"),
            )

    def _check_saturation_pressure(self, pressure: float, *, bubble: bool = False) -> None:
        self._check_number(pressure, "pressure")
        highest = max(self._highest_bubble_pressure, self.highest_saturation_pressure) if bubble else self.highest_saturation_pressure
        if pressure < self.lowest_saturation_pressure:
            raise LimitError(
                f"{self.name} cannot be saturated at {{given}}: its properties begin at {{limit}}; use a higher pressure",
                given=Measure(pressure, "pressure"),
                limit=Measure(self.lowest_saturation_pressure, "pressure", "least"),
            )
        if pressure > highest:
            raise LimitError(
                f"{self.name} cannot be saturated at {{given}}: its critical pressure is {{critical}}; use {{limit}} or less",
                given=Measure(pressure, "pressure"),
                critical=Measure(self.critical_pressure, "pressure"),
                limit=Measure(highest, "pressure", "most"),
            )

    def _check_temperature(self, temperature: float) -> None:
        self._check_number(temperature, "temperature")
        if not self.lowest_temperature <= temperature <= self.highest_temperature:
            raise LimitError(
                f"{self.name} at {{given}} is outside its equation of state: use {{least}} to {{most}}",
                given=Measure(temperature, "temperature"),
                least=Measure(self.lowest_temperature, "temperature", "least"),
                most=Measure(self.highest_temperature, "temperature", "most"),
            )

    def _check_pressure(self, pressure: float) -> None:
        self._check_number(pressure, "pressure")
        if not 0.0 < pressure <= self.highest_pressure:
            raise LimitError(
                f"{self.name} at {{given}} is outside its equation of state: use a positive pressure up to {{most}}",
                given=Measure(pressure, "pressure"),
                most=Measure(self.highest_pressure, "pressure", "most"),
            )

    def _check_number(self, value: float, what: str) -> None:
        if not math.isfinite(value):
            raise LimitError(f"{what} of {value} is not a finite number: give a number")
