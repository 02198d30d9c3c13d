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
    because the face has already decided the phase from the dome.
    """

    def __init__(self, name: str) -> None:
        self.saturated = AbstractState("HEOS", name)
        self.free = AbstractState("HEOS", name)
        self.gas = AbstractState("HEOS", name)
        self.gas.specify_phase(CoolProp.iphase_gas)
        self.liquid = AbstractState("HEOS", name)
        self.liquid.specify_phase(CoolProp.iphase_liquid)
        self.enthalpy_offset = self.entropy_offset = 0.0

    def set_reference(self, reference: str, name: str) -> None:
        """Take the offsets that put these states on a reference; no global setting is touched."""
        inputs, first, second, enthalpy, entropy = REFERENCES[reference]
        update(self.saturated, inputs, first, second, name)
        self.enthalpy_offset = enthalpy - self.saturated.hmass()
        self.entropy_offset = entropy - self.saturated.smass()


def update(state, inputs: int, first: float, second: float, name: str) -> None:  # noqa: ANN001
    try:
        state.update(inputs, first, second)
    except ValueError as error:
        raise PropertyError(f"{name}: the equation of state gave no answer ({str(error)[:120]})".replace("{", "(").replace("}", ")")) from None
