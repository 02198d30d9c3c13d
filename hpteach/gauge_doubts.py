"""Why a set of gauge readings is not believed as it stands, and what to check again.

What lives here: the doubts, each with its limit and its sentence.  What does not: what the readings say (gauges).

The limits and what is to be checked are common practice, no source; that a boiling mixture is never colder than bubble, nor a
condensing one warmer than dew, and that no efficiency is above 1, is thermodynamics.
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
    "high condensing": 338.15,
    "below air": 100.0,
    "told": 0.5,
    "probe error": 2.0,
    "small superheat": 2.0,
    "large superheat": 25.0,
    "small subcooling": 1.0,
    "large subcooling": 20.0,
    "liquid line": 5.0,
    "isentropic efficiency": 0.4,
    "discharge line": 380.37,
}
"""Beyond these (Pa, K, ratios) a reading is doubted: common practice, no source.

"told" is the least difference that a probe and a gauge tell, "probe error" the most by which they may be off together,
"liquid line" how far a line before the metering device is above the evaporating temperature; 380.37 K is the trade's 225 °F.
"""


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
    measures, figures = _measures(found), _figures(found)
    if found.runs:
        raised = [(id, template) for id, holds, template in (*_PRESSURES, *_DOUBTS) if holds(found)]
    else:
        difference = found.readings.suction_pressure - found.readings.discharge_pressure
        id = "at_rest" if difference <= LIMITS["pressure difference"] else "gauges_swapped"
        raised = [(id, template) for id, holds, template in _PRESSURES if holds(found)] + [(id, _NO_CYCLE[id])]
    return tuple(_doubt(id, template, measures, figures) for id, template in raised)


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
        "highest_dew": _highest_dew(found),
        "high_condensing": LIMITS["high condensing"],
        "perfect": ideal.temperature if ideal else None,
        "hot": LIMITS["discharge line"],
    }
    differences = {
        "superheat": found.superheat,
        "from_bubble": _from_bubble(found),
        "subcooling": found.subcooling,
        "from_dew": _from_dew(found),
        "liquid_line_margin": LIMITS["liquid line"],
        **{name.replace(" ", "_"): LIMITS[name] for name in ("small superheat", "large superheat", "small subcooling", "large subcooling")},
    }
    pressures = {
        "suction": readings.suction_pressure,
        "discharge": readings.discharge_pressure,
        "highest": _highest(found),
        "lowest": _lowest(found),
        "air": found.atmosphere,
    }
    kinds = (("temperature", temperatures), ("temperature difference", differences), ("gauge pressure", pressures))
    return {name: Measure(value, kind) for kind, values in kinds for name, value in values.items() if value is not None}


def _figures(found: Any) -> dict[str, str]:
    """The figures without a unit as text: two decimals or whole percent, and more only where a figure would look like its limit."""
    figures = {}
    figures["share"] = f"{100.0 * _highest(found) / found.critical_pressure:.0f}"
    if found.isentropic_efficiency is not None:
        figures["efficiency"], figures["least_efficiency"] = _apart(found.isentropic_efficiency, LIMITS["isentropic efficiency"], 2)
    if found.pressure_ratio is not None:
        figures["ratio"], figures["least_ratio"] = _apart(found.pressure_ratio, LIMITS["pressure ratio"], 2)
    return figures


def _apart(value: float, limit: float, decimals: int) -> tuple[str, str]:
    enough = (n for n in range(decimals, 9) if f"{value:.{n}f}" != f"{limit:.{n}f}")
    n = next(enough, decimals)
    return f"{value:.{n}f}", f"{limit:.{n}f}"


def _doubt(id: str, template: str, measures: Mapping[str, Measure], figures: Mapping[str, str]) -> Doubt:
    for name, text in figures.items():
        template = template.replace(f"{{{name}}}", text)
    return Doubt(id, template, {name: measure for name, measure in measures.items() if f"{{{name}}}" in template})


def _highest(found: Any) -> float:
    return max(found.readings.suction_pressure, found.readings.discharge_pressure)


def _lowest(found: Any) -> float:
    return min(found.readings.suction_pressure, found.readings.discharge_pressure)


def _highest_dew(found: Any) -> float:
    return max(found.saturated_suction_temperature, found.saturated_condensing_temperature)


def _from_bubble(found: Any) -> float:
    return found.readings.suction_line_temperature - found.suction_bubble_temperature


def _from_dew(found: Any) -> float:
    return found.saturated_condensing_temperature - found.readings.liquid_line_temperature


def _beyond(value: float | None, limit: float) -> bool:
    return value is not None and value > limit


_NO_CYCLE = {
    "at_rest": "Suction and discharge stand alike, at {suction} and {discharge}: the machine is at rest, or nothing meters, and there is no superheat "
    "or subcooling to read. Check again when the compressor has run for some minutes.",
    "gauges_swapped": "The discharge pressure of {discharge} is below the suction pressure of {suction}: check whether the hoses or the figures are swapped. "
    "In a reversible machine check too which line each service port belongs to as the valve stands.",
}

_PRESSURES: tuple[tuple[str, Callable[[Any], bool], str], ...] = (
    ("high_condensing", lambda f: _highest_dew(f) > LIMITS["high condensing"],
     "The high side at {highest}, which is {highest_dew} and {share} % of the critical pressure, is dangerously high: above {high_condensing} "
     "(common practice, no source). Stop the machine by its own switch; the high-pressure cut-out should have acted. Then let trained people check the condenser's "
     "airflow or water, air in the circuit, the charge and the cut-out, and whether the gauge and the refrigerant are right."),
    ("suction_below_air", lambda f: _lowest(f) < f.atmosphere - LIMITS["below air"],
     "The low side at {lowest} is below the air's {air}: a closed valve, an empty or starved circuit, a gauge that is not opened or not zeroed, or a gauge reading "
     "taken as absolute. Through a leak air and moisture come in, which is dangerous with a flammable refrigerant above all. Unless the machine is built to run so, "
     "stop it by its own switch and check these."),
)  # fmt: skip
"""What the pressures alone say, of a machine at rest too, whichever gauge shows them."""

_DOUBTS: tuple[tuple[str, Callable[[Any], bool], str], ...] = (
    ("pressures_close", lambda f: f.pressure_ratio < LIMITS["pressure ratio"],
     "Discharge over suction is only {ratio}, below {least_ratio}, in absolute pressures: the machine has just started or stopped, or the compressor or the reversing valve leaks. "
     "Check whether it runs and for how long."),
    ("suction_line_below_bubble", lambda f: _from_bubble(f) < -LIMITS["probe error"],
     "The suction line at {suction_line} is below the bubble temperature of {evaporating_begins}, a superheat of {superheat}: neither vapour nor a boiling mixture is that "
     "cold, so it is a reading that is wrong, and whether liquid comes back is not known. Check the probe's grip, the gauge's zero, the refrigerant and the altitude."),
    ("negative_superheat", lambda f: f.superheat < -LIMITS["told"] and _from_bubble(f) >= -LIMITS["probe error"],
     "The suction line at {suction_line} is below the saturated suction temperature of {dew}, a superheat of {superheat}: vapour cannot be that cold. Liquid comes back "
     "to the compressor and can break it, or a reading is wrong. Check the probe's grip and insulation, the gauge's zero, the refrigerant and the column."),
    ("superheat_from_bubble", lambda f: f.superheat < 0.0 < _from_bubble(f) and _from_bubble(f) - f.superheat >= LIMITS["told"],
     "The suction line at {suction_line} lies between bubble ({evaporating_begins}) and dew ({dew}): counted from the bubble column there would seem to be "
     "{from_bubble} of superheat that is not there. Check the column: superheat counts from dew."),
    ("small_superheat", lambda f: -LIMITS["told"] <= f.superheat < LIMITS["small superheat"],
     "A superheat of {superheat} is less than the {small_superheat} that gauge and probe together can be trusted for: liquid may reach the compressor. "
     "Check the probe and the metering device."),
    ("large_superheat", lambda f: f.superheat > LIMITS["large superheat"],
     "A superheat of {superheat} is very large, above {large_superheat}: the evaporator is starved, or a reading is wrong. Check whether the probe sits on the suction "
     "line at the compressor, the refrigerant, and whether a gauge pressure was taken as absolute."),
    ("liquid_line_above_dew", lambda f: _from_dew(f) < -LIMITS["probe error"],
     "The liquid line at {liquid_line} is above the dew temperature of {condensing}, a subcooling of {subcooling}: at that pressure it would hold vapour only, which is "
     "not flash gas. The probe grips another line, another reading is wrong, or nothing condenses. Check the probe, the gauge's zero, the refrigerant and the altitude."),
    ("negative_subcooling", lambda f: f.subcooling < -LIMITS["told"] and _from_dew(f) >= -LIMITS["probe error"],
     "The liquid line at {liquid_line} is above the bubble temperature of {bubble}, a subcooling of {subcooling}: vapour is still in it, flash gas on its way "
     "to the metering device, or a reading is wrong. Check which line the probe grips, the gauge's zero, the refrigerant and the column."),
    ("subcooling_from_dew", lambda f: f.subcooling < 0.0 < _from_dew(f) and _from_dew(f) - f.subcooling >= LIMITS["told"],
     "The liquid line at {liquid_line} lies between bubble ({bubble}) and dew ({condensing}): counted from the dew column there would seem to be {from_dew} of "
     "subcooling that is not there. Check the column: subcooling counts from bubble."),
    ("small_subcooling", lambda f: -LIMITS["told"] <= f.subcooling < LIMITS["small subcooling"],
     "A subcooling of {subcooling} is less than the {small_subcooling} that gauge and probe together can be trusted for: vapour may reach the metering device. "
     "Check the probe and the gauge; a machine with a receiver may run so."),
    ("liquid_line_below_evaporating", lambda f: f.readings.liquid_line_temperature <= f.saturated_suction_temperature + LIMITS["liquid line"],
     "The liquid line at {liquid_line} is not {liquid_line_margin} above the saturated suction temperature of {dew}: before metering the liquid is not that cold. Check "
     "whether the probe sits before the metering device, for after it the line holds a mixture and tells no subcooling, and whether two probes are swapped."),
    ("large_subcooling", lambda f: f.subcooling > LIMITS["large subcooling"],
     "A subcooling of {subcooling} is very large, above {large_subcooling}: liquid backs up in the condenser, or air or another gas that does not condense raises the "
     "gauge and shows as false subcooling, or the probe sits after the metering device, where the line holds a mixture, or a reading is wrong. Check the probe and its "
     "place, the refrigerant and whether the discharge gauge was read, and for air with the machine at rest."),
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
