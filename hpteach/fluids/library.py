"""The property library's states, one set for each thread, and its errors in our own words.

What lives here: every call that changes a state of the property library.
What does not: checks of range and the reference state (refrigerant).
"""

from __future__ import annotations

import CoolProp
from CoolProp.CoolProp import AbstractState

from hpteach.errors import PropertyError
from hpteach.units import STANDARD_ATMOSPHERE

REFERENCES = {
    # saturated liquid at: (inputs, first, second, h there in J/kg, s there in J/(kg K))
    "iir": (CoolProp.QT_INPUTS, 0.0, 273.15, 200e3, 1000.0),
    "ashrae": (CoolProp.QT_INPUTS, 0.0, 233.15, 0.0, 0.0),
    "nbp": (CoolProp.PQ_INPUTS, STANDARD_ATMOSPHERE, 0.0, 0.0, 0.0),
}


class Library:
    """One thread's states of the property library; a state is never shared between threads.

    With the phase imposed the library looks for one root only, which is quick, and right
    because the face has already decided the phase from the dome.  `name` is the library's own
    name of the fluid, `Listing.library_name`.

    >>> library = Library("R32")
    >>> library.set_reference("iir", "R-32")
    >>> update(library.saturated, CoolProp.QT_INPUTS, 0.0, 273.15, "R-32")
    >>> round(library.saturated.hmass() + library.enthalpy_offset, 3)
    200000.0
    """

    def __init__(self, name: str) -> None:
        try:
            self.saturated, self.free, self.gas, self.liquid = (AbstractState("HEOS", name) for _ in range(4))
        except ValueError:
            raise PropertyError(f"the property library has no fluid called {name!r}: correct library_name in the catalogue") from None
        self.gas.specify_phase(CoolProp.iphase_gas)
        self.liquid.specify_phase(CoolProp.iphase_liquid)
        self.enthalpy_offset = self.entropy_offset = 0.0

    def set_reference(self, reference: str, name: str) -> None:
        """Take the offsets (J/kg, J/(kg K)) that put these states on a key of `REFERENCES`; no global setting is touched."""
        inputs, first, second, enthalpy, entropy = REFERENCES[reference]
        update(self.saturated, inputs, first, second, name)
        self.enthalpy_offset = enthalpy - self.saturated.hmass()
        self.entropy_offset = entropy - self.saturated.smass()


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
