"""The quantities of a solved cycle that a question's expressions may name.

What lives here: their names and kinds, read off a cycle, and what is worked out from its points.
What does not: solving it (scenarios, weather).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from hpteach.cycle import Cycle
from hpteach.questions.paths import FLAGS, WORDS, flags

_LABELS = ("1", "2", "3", "4", "2a", "2b", "4a")
_PROPERTIES = {"h": "specific energy", "T": "temperature", "p": "pressure", "s": "specific entropy"}

DERIVED: Mapping[str, str] = {
    **{name: "specific energy" for name in ("w", "q_e", "q_c", "q_indoor", "q_outdoor")},
    **{name: "ratio" for name in ("cop_cooling", "cop_heating", "pressure_ratio")},
}
"""What is worked out from the state points, with its kind."""

QUANTITIES: Mapping[str, str] = {
    **{letter + label: kind for letter, kind in _PROPERTIES.items() for label in _LABELS},
    **{"h2s": "specific energy", "T2s": "temperature", "v1": "specific volume", "x4": "ratio"},
    **DERIVED,
    "isentropic_efficiency": "ratio",
    **{name: "temperature difference" for name in ("superheat", "subcooling")},
    **{name: "temperature" for name in ("saturated_suction_temperature", "saturated_condensing_temperature")},
    **{name: "ratio" for name in FLAGS},
}
"""Every quantity of a solved cycle that an expression may name, with its kind."""

TEXTS = ("refrigerant", *WORDS)
"""Every word of a solved cycle that a text may name."""


def state_quantities(cycle: Cycle) -> dict[str, float]:
    """Every quantity of the points of a cycle, and the flags of its path; a point that it does not make has none."""
    found = {}
    for point in cycle.points:
        for letter, value in zip("hTps", (point.enthalpy, point.temperature, point.pressure, point.entropy)):
            found[letter + point.label] = value
    return found | {
        "h2s": cycle.isentropic_discharge.enthalpy,
        "T2s": cycle.isentropic_discharge.temperature,
        "v1": 1.0 / cycle.point("1").density,
        "x4": cycle.flash_gas,
        **flags(cycle.flow),
    }


def derived(found: Mapping[str, float]) -> dict[str, float]:
    """Work, heat and their ratios, from the state points as they stand."""
    work = found["h2"] - found["h1"]
    taken_up, given_off = found["h1"] - found["h4"], found["h2"] - found["h3"]
    indoors = bool(found["condenser_indoors"])
    return {
        "w": work,
        "q_e": taken_up,
        "q_c": given_off,
        "q_indoor": given_off if indoors else taken_up,
        "q_outdoor": taken_up if indoors else given_off,
        "cop_cooling": taken_up / work if work else math.inf,
        "cop_heating": given_off / work if work else math.inf,
        "pressure_ratio": found["p2"] / found["p1"],
    }
