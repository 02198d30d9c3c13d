"""The property library's states, one set for each thread, and its errors in our own words.

What lives here: every call that changes a state of the property library.
What does not: checks of range and the reference state (refrigerant).
"""

from __future__ import annotations

import CoolProp
from CoolProp.CoolProp import AbstractState

from hpteach.errors import PropertyError


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


def update(state, inputs: int, first: float, second: float, name: str) -> None:  # noqa: ANN001
    try:
        state.update(inputs, first, second)
    except ValueError as error:
        raise PropertyError(f"{name}: the equation of state gave no answer ({str(error)[:120]})".replace("{", "(").replace("}", ")")) from None
