"""Why a set of gauge readings is not believed as it stands, and what to check again.

What lives here: the doubts, each with its limit and its sentence.  What does not: what the readings say (gauges).

The limits and what is to be checked are common practice, no source; that a line cannot be colder than saturation, nor an
efficiency above 1, is thermodynamics.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from hpteach.errors import Measure

LIMITS: Mapping[str, float] = {
    "pressure difference": 1e4,
    "pressure ratio": 1.3,
    "small superheat": 2.0,
    "large superheat": 25.0,
    "large subcooling": 20.0,
    "isentropic efficiency": 0.4,
    "discharge line": 380.37,
}
"""Beyond these (Pa, K, ratios) a reading is doubted: common practice, no source.  380.37 K is the trade's 225 °F."""


@dataclass(frozen=True)
class Doubt:
    """Why a set of readings is not believed as it stands, and what to check again.

    `template` has gaps for `measures`, as a refusal has; `units.sentence` fills them in the reader's units.

    >>> from hpteach.units import sentence
    >>> sentence(Doubt("small", "Only {it}.", {"it": Measure(1.0, "temperature difference")}), "IP")
    'Only 1.8 °F.'
    """

    id: str
    template: str
    measures: Mapping[str, Measure] = field(default_factory=dict)

    def sentence(self, show: Callable[[Measure], str]) -> str:
        """The doubt with every quantity written by `show(measure)`."""
        return self.template.format(**{name: show(measure) for name, measure in self.measures.items()})


def doubts_of(found: Any) -> tuple[Doubt, ...]:
    """The doubts about what was found (`gauges.GaugeFindings`), the gravest about the machine as a whole first.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.gauges import FieldReadings, read_gauges
    >>> swapped = read_gauges(refrigerant("R-410A"), FieldReadings(ValvePosition.COOLING, 27e5, 9e5, 285.15, 313.15))
    >>> [doubt.id for doubt in doubts_of(swapped)]
    ['gauges_swapped']
    """
    measures = _measures(found)
    if not found.runs:
        difference = found.readings.suction_pressure - found.readings.discharge_pressure
        id = "at_rest" if difference <= LIMITS["pressure difference"] else "gauges_swapped"
        return (_doubt(id, _NO_CYCLE[id], measures),)
    return tuple(_doubt(id, template, measures) for id, holds, template in _DOUBTS if holds(found))


def _measures(found: Any) -> dict[str, Measure]:
    readings, ideal = found.readings, found.isentropic_discharge
    temperatures = {
        "suction_line": readings.suction_line_temperature,
        "liquid_line": readings.liquid_line_temperature,
        "discharge_line": readings.discharge_line_temperature,
        "dew": found.saturated_suction_temperature,
        "evaporating_begins": found.suction_bubble_temperature,
        "condensing": found.saturated_condensing_temperature,
        "bubble": found.liquid_bubble_temperature,
        "perfect": ideal.temperature if ideal else None,
        "hot": LIMITS["discharge line"],
    }
    differences = {
        "superheat": found.superheat,
        "from_bubble": readings.suction_line_temperature - found.suction_bubble_temperature,
        "subcooling": found.subcooling,
        "from_dew": found.saturated_condensing_temperature - readings.liquid_line_temperature,
        **{name.replace(" ", "_"): LIMITS[name] for name in ("small superheat", "large superheat", "large subcooling")},
    }
    ratios = {"ratio": found.pressure_ratio, "efficiency": found.isentropic_efficiency, "least_efficiency": LIMITS["isentropic efficiency"]}
    pressures = {"suction": readings.suction_pressure, "discharge": readings.discharge_pressure}
    kinds = (("temperature", temperatures), ("temperature difference", differences), ("ratio", ratios), ("gauge pressure", pressures))
    return {name: Measure(value, kind) for kind, values in kinds for name, value in values.items() if value is not None}


def _doubt(id: str, template: str, measures: Mapping[str, Measure]) -> Doubt:
    return Doubt(id, template, {name: measure for name, measure in measures.items() if f"{{{name}}}" in template})


def _beyond(value: float | None, limit: float) -> bool:
    return value is not None and value > limit


_NO_CYCLE = {
    "at_rest": "Suction and discharge stand alike, at {suction} and {discharge}: the machine is at rest, or nothing meters, and there is no superheat "
    "or subcooling to read. Check again when the compressor has run for some minutes.",
    "gauges_swapped": "The discharge pressure of {discharge} is below the suction pressure of {suction}: check whether the hoses or the figures are swapped. "
    "In a reversible machine check too which line each service port belongs to as the valve stands.",
}

_DOUBTS: tuple[tuple[str, Callable[[Any], bool], str], ...] = (
    ("pressures_close", lambda f: f.pressure_ratio < LIMITS["pressure ratio"],
     "Discharge over suction is only {ratio}, in absolute pressures: the machine has just started or stopped, or the compressor or the reversing valve leaks. "
     "Check whether it runs and for how long."),
    ("negative_superheat", lambda f: f.superheat < 0.0,
     "The suction line at {suction_line} is below the saturated suction temperature of {dew}, a superheat of {superheat}: vapour cannot be that cold. Liquid comes back "
     "to the compressor and can break it, or a reading is wrong. Check the probe's grip and insulation, the gauge's zero, the refrigerant and the column."),
    ("superheat_from_bubble", lambda f: f.superheat < 0.0 < f.readings.suction_line_temperature - f.suction_bubble_temperature,
     "The suction line at {suction_line} lies between bubble ({evaporating_begins}) and dew ({dew}): counted from the bubble column there would seem to be "
     "{from_bubble} of superheat that is not there. Check the column: superheat counts from dew."),
    ("small_superheat", lambda f: 0.0 <= f.superheat < LIMITS["small superheat"],
     "A superheat of {superheat} is less than the {small_superheat} that gauge and probe together can be trusted for: liquid may reach the compressor. "
     "Check the probe and the metering device."),
    ("large_superheat", lambda f: f.superheat > LIMITS["large superheat"],
     "A superheat of {superheat} is very large, above {large_superheat}: the evaporator is starved, or a reading is wrong. Check whether the probe sits on the suction "
     "line at the compressor, the refrigerant, and whether a gauge pressure was taken as absolute."),
    ("negative_subcooling", lambda f: f.subcooling < 0.0,
     "The liquid line at {liquid_line} is above the bubble temperature of {bubble}, a subcooling of {subcooling}: vapour is still in it, flash gas on its way "
     "to the metering device, or a reading is wrong. Check which line the probe grips, the gauge's zero, the refrigerant and the column."),
    ("subcooling_from_dew", lambda f: f.subcooling < 0.0 < f.saturated_condensing_temperature - f.readings.liquid_line_temperature,
     "The liquid line at {liquid_line} lies between bubble ({bubble}) and dew ({condensing}): counted from the dew column there would seem to be {from_dew} of "
     "subcooling that is not there. Check the column: subcooling counts from bubble."),
    ("large_subcooling", lambda f: f.subcooling > LIMITS["large subcooling"],
     "A subcooling of {subcooling} is very large, above {large_subcooling}: liquid backs up in the condenser, or a reading is wrong. Check the probe, the refrigerant "
     "and whether the discharge gauge was read."),
    ("liquid_line_below_evaporating", lambda f: f.readings.liquid_line_temperature <= f.suction_bubble_temperature,
     "The liquid line at {liquid_line} is not above the evaporating temperature of {evaporating_begins}: after metering it could not boil. Check whether the probe "
     "sits before the metering device, and whether two probes are swapped."),
    ("suction_line_above_liquid_line", lambda f: f.readings.suction_line_temperature > f.readings.liquid_line_temperature,
     "The suction line at {suction_line} is warmer than the liquid line at {liquid_line}: check whether the two probes are swapped, and whether the suction probe "
     "sits on a line that carries discharge gas as the valve stands."),
    ("discharge_line_below_condensing", lambda f: _beyond(f.saturated_condensing_temperature, f.readings.discharge_line_temperature or math.inf),
     "The discharge line at {discharge_line} is colder than the saturated condensing temperature of {condensing}: the vapour would be wet. Check the probe, "
     "whether it grips the discharge line, and the discharge gauge."),
    ("efficiency_above_one", lambda f: f.too_cool,
     "The discharge line is at {discharge_line}, but even a perfect compressor would leave the vapour at {perfect}: the implied efficiency is above 1, which cannot be. "
     "Check the probe on the discharge line, the suction line, and the refrigerant; a shell that loses much heat and liquid in the suction also do this."),
    ("low_efficiency", lambda f: f.isentropic_efficiency is not None and f.isentropic_efficiency < LIMITS["isentropic efficiency"],
     "The implied isentropic efficiency is {efficiency}, below {least_efficiency}: the compressor or the reversing valve leaks, or a reading is wrong. Check the "
     "discharge and suction probes and both gauges."),
    ("hot_discharge", lambda f: _beyond(f.readings.discharge_line_temperature, LIMITS["discharge line"]),
     "The discharge line at {discharge_line} is above {hot}, where the trade fears for the oil (common practice, no source). Check the superheat, the condenser's air "
     "or water, and the manufacturer's limit."),
)  # fmt: skip
