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

    `quality` (kg vapour per kg) is None off the dome; `phase` is in words.
    """

    pressure: float
    temperature: float
    enthalpy: float
    entropy: float
    density: float
    quality: float | None
    phase: str


def on_the_lever(liquid: State, vapour: State, quality: float) -> State:
    """The lever rule: every property per kilogram lies between the two by the share of vapour."""

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
