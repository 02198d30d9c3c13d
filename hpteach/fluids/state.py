"""A state of a refrigerant and the words for its phase.

What lives here: `State` and the lever rule on the dome.  What does not: where a state comes from.
"""

from __future__ import annotations

from dataclasses import dataclass

SUBCOOLED_LIQUID = "subcooled liquid"
SATURATED_LIQUID = "saturated liquid"
MIXTURE = "mixture of liquid and vapour"
SATURATED_VAPOUR = "saturated vapour"
SUPERHEATED_VAPOUR = "superheated vapour"
SUPERCRITICAL = "supercritical fluid"


@dataclass(frozen=True)
class State:
    """A state of a refrigerant: p (Pa), T (K), h (J/kg), s (J/(kg K)), density (kg/m3).

    Pressure is absolute.  `quality` (kg vapour per kg) is None off the dome; `phase` is in words.

    >>> from hpteach.fluids import refrigerant
    >>> refrigerant("R-32").saturated_vapour(1e6).phase
    'saturated vapour'
    """

    pressure: float
    temperature: float
    enthalpy: float
    entropy: float
    density: float
    quality: float | None
    phase: str


def on_the_lever(liquid: State, vapour: State, quality: float) -> State:
    """The lever rule: every property per kilogram lies between the two by the share of vapour.

        h = h_liquid + quality (h_vapour - h_liquid), and so for s, v = 1 / density and T

    `liquid` and `vapour` are the bubble and the dew point of one pressure, `quality` is the share
    of vapour (kg/kg) between 0 and 1, which is not checked here (`Refrigerant.state_px` does).
    Exact for a pure refrigerant.  For a pseudo-pure one the straight line in T is the property
    library's own way, good for a glide of a few tenths of a kelvin.  Source: any textbook.

    >>> from hpteach.fluids import refrigerant
    >>> r32 = refrigerant("R-32")
    >>> liquid, vapour = r32.saturated_liquid(1e6), r32.saturated_vapour(1e6)
    >>> mixture = on_the_lever(liquid, vapour, 0.25)
    >>> round((mixture.enthalpy - liquid.enthalpy) / (vapour.enthalpy - liquid.enthalpy), 3)
    0.250
    """

    def share(low: float, high: float) -> float:
        return low + quality * (high - low)

    return State(
        pressure=liquid.pressure,
        temperature=share(liquid.temperature, vapour.temperature),
        enthalpy=share(liquid.enthalpy, vapour.enthalpy),
        entropy=share(liquid.entropy, vapour.entropy),
        density=1.0 / share(1.0 / liquid.density, 1.0 / vapour.density),
        quality=quality,
        phase=MIXTURE,
    )
