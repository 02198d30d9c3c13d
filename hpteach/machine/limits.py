"""What stands in the way of a machine that has settled: the maker's limits and liquid where none should be.

What lives here: `Limit` and `limits_of`.  What does not: the balance.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from hpteach.errors import Measure


@dataclass(frozen=True)
class Limit:
    """A limit that is reached: what is beyond it, by how much, and why it matters.

    `template` has gaps for `measures`; `units.sentence` fills them in the reader's units.

    >>> from hpteach.units import sentence
    >>> sentence(Limit("hot", "It is {it}.", {"it": Measure(373.15, "temperature")}))
    'It is 100.0 °C.'
    """

    id: str
    template: str
    measures: Mapping[str, Measure] = field(default_factory=dict)

    def sentence(self, show: Callable[[Measure], str]) -> str:
        """The limit with every quantity written by `show(measure)`."""
        return self.template.format(**{name: show(measure) for name, measure in self.measures.items()})


def limits_of(found: Any) -> tuple[Limit, ...]:
    """The limits that an `Operation` reaches, in the order compressor, suction, liquid line, metering."""
    limits = found.machine.limits
    reached = []

    def add(holds: bool, id: str, template: str, **measures: tuple[float, str]) -> None:
        if holds:
            reached.append(Limit(id, template, {name: Measure(*measure) for name, measure in measures.items()}))

    add(
        found.discharge_temperature > limits.discharge_temperature, "discharge_temperature",
        "Discharge temperature {given} is above the {limit} that this compressor stands: oil and motor suffer.",
        given=(found.discharge_temperature, "temperature"), limit=(limits.discharge_temperature, "temperature"),
    )  # fmt: skip
    add(
        found.pressure_ratio > limits.pressure_ratio, "pressure_ratio",
        "Pressure ratio {given} is above the {limit} that this compressor stands.",
        given=(found.pressure_ratio, "ratio"), limit=(limits.pressure_ratio, "ratio"),
    )  # fmt: skip
    add(
        found.pressure_ratio < limits.least_pressure_ratio, "low_pressure_ratio",
        "Pressure ratio {given} is below the {limit} of this compressor: it is badly oiled, and the metering device lets too little through. "
        "A real machine slows the fan of the coil that condenses, or stops.",
        given=(found.pressure_ratio, "ratio"), limit=(limits.least_pressure_ratio, "ratio"),
    )  # fmt: skip
    add(
        found.saturated_suction_temperature > limits.most_saturated_suction_temperature, "high_suction_temperature",
        "Saturated suction temperature {given} is above the {limit} of this compressor: so much vapour overloads its motor.",
        given=(found.saturated_suction_temperature, "temperature"), limit=(limits.most_saturated_suction_temperature, "temperature"),
    )  # fmt: skip
    add(
        found.saturated_suction_temperature < limits.least_saturated_suction_temperature, "saturated_suction_temperature",
        "Saturated suction temperature {given} is below the {limit} of this compressor: thin vapour carries little heat and cools the motor badly.",
        given=(found.saturated_suction_temperature, "temperature"), limit=(limits.least_saturated_suction_temperature, "temperature"),
    )  # fmt: skip
    add(
        found.saturated_condensing_temperature > limits.saturated_condensing_temperature, "saturated_condensing_temperature",
        "Saturated condensing temperature {given} is above the {limit} of this compressor: on a real machine the pressure switch opens.",
        given=(found.saturated_condensing_temperature, "temperature"), limit=(limits.saturated_condensing_temperature, "temperature"),
    )  # fmt: skip
    add(
        found.cycle.point("1").pressure < found.outdoor.pressure, "suction_below_air",
        "Suction pressure {given} is below the air's {limit}: a leak would draw air in.",
        given=(found.cycle.point("1").pressure, "pressure"), limit=(found.outdoor.pressure, "pressure"),
    )  # fmt: skip
    add(
        found.cycle.point("1").quality is not None, "liquid_to_compressor",
        "The suction carries liquid: on a real machine it washes out the oil and can break the compressor.",
    )  # fmt: skip
    add(
        found.indoor_coil.role == "evaporator" and found.frosting, "ice_on_indoor_coil",
        "Ice grows on the indoor coil, {given}: it blocks the air, and in the end liquid reaches the compressor. Too little air, a cold room or too little refrigerant are the usual reasons.",
        given=(found.frost_rate, "water flow"),
    )  # fmt: skip
    add(found.cycle.point("3").quality is not None, "vapour_in_liquid_line", "The condenser does not condense all: vapour enters the liquid line.")
    add(found.fully_open, "metering_fully_open", "The metering valve is fully open and lets through less than it would need to hold its superheat.")
    return tuple(reached)
