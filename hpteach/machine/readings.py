"""What a technician reads on a machine: gauges, clamp probes, air, power, and what a look tells.

What lives here: the list of readings with their place and the minutes that they take, and their values on a machine that
runs.  What does not: what they mean (gauges, signs), which fault fits them (diagnosis).

Readings are as exact as the usual instruments (common practice, no source): pressures to 1.5 %, clamp probes to 1 K (2 K where it is
hot), air to 0.7 K, power to 3 %.  `tolerance` is what two instruments may differ by.  Minutes are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hpteach.machine.faults import Fault
from hpteach.machine.operation import Operation

GAUGES = "Gauges are for trained people: goggles, gloves, and no hose where a probe will do, as a hose loses refrigerant each time; a flammable one must meet no spark."
LINES = "Lines may be hot or cold enough to burn: glove first, hand later."
LIVE = "Behind the panel parts are live, also when the machine stands still: only licensed people measure there."
FANS = "Fans start by themselves: keep hands and clothes away from blades and belts."

YES_OR_NO = "yes or no"
"""Kind of a reading that is 1 or 0."""


@dataclass(frozen=True)
class Reading:
    """A reading: where it is taken, its kind of quantity, the minutes that it takes, what it may be off by (SI, or a share), and a caution.

    A look answers a question by yes (1) or no (0), its kind being `YES_OR_NO`.
    """

    id: str
    words: str
    kind: str
    minutes: int
    within: float
    share: float
    caution: str
    value: Callable[[Operation, frozenset[str]], float]

    def tolerance(self, value: float) -> float:
        """What two readings of one thing may differ by (SI).

        >>> READINGS["suction_line"].tolerance(280.0)
        1.0
        """
        return max(self.within, self.share * abs(value))


def _point(label: str, name: str) -> Callable[[Operation, frozenset[str]], float]:
    return lambda found, _: float(getattr(found.cycle.point(label), name))


def _temperature(pick: Callable[[Operation], float]) -> Callable[[Operation, frozenset[str]], float]:
    return lambda found, _: pick(found)


def _look(*ids: str) -> Callable[[Operation, frozenset[str]], float]:
    return lambda _, faults: float(bool(faults & set(ids)))


def _frosted(found: Operation, faults: frozenset[str]) -> float:
    """In cooling the outdoor coil is hot: frost of the last cold day is gone."""
    return float("defrost_never_starts" in faults and found.outdoor_coil.role == "evaporator")


def _readings() -> list[Reading]:
    return [
        Reading("outdoor_fan", "look: does the outdoor fan stand still?", YES_OR_NO, 1, 0.5, 0.0, FANS, _look("outdoor_fan_failed")),
        Reading("indoor_fan", "look: does the indoor fan stand still?", YES_OR_NO, 1, 0.5, 0.0, FANS, _look("indoor_fan_failed")),
        Reading("outdoor_frost", "look: is the outdoor coil thick with frost?", YES_OR_NO, 1, 0.5, 0.0, FANS, _frosted),
        Reading("suction_line", "clamp probe on the suction line at the compressor", "temperature", 2, 1.0, 0.0, LINES, _point("1", "temperature")),
        Reading("discharge_line", "clamp probe on the discharge line", "temperature", 2, 2.0, 0.0, LINES, _point("2", "temperature")),
        Reading("liquid_line", "clamp probe on the liquid line where it leaves the condensing coil", "temperature", 2, 1.0, 0.0, LINES, _point("3", "temperature")),
        Reading(
            "liquid_line_end", "clamp probe on the liquid line before the metering device that works", "temperature", 3, 1.0, 0.0, LINES,
            _temperature(lambda found: found.before_metering.temperature),
        ),
        Reading(
            "return_line", "clamp probe on the line that brings vapour to the reversing valve", "temperature", 3, 1.0, 0.0, LINES,
            _temperature(lambda found: found.evaporator_outlet.temperature),
        ),
        Reading("supply_air", "thermometer in the supply air indoors", "temperature", 2, 0.7, 0.0, FANS, _temperature(lambda found: found.supply_air.dry_bulb)),
        Reading(
            "outdoor_leaving_air", "thermometer in the air that leaves the outdoor coil", "temperature", 2, 0.7, 0.0, FANS,
            _temperature(lambda found: found.outdoor_coil.leaving.dry_bulb),
        ),
        Reading("suction_gauge", "suction gauge", "gauge pressure", 5, 5e3, 0.015, GAUGES, _point("1", "pressure")),
        Reading("discharge_gauge", "discharge gauge", "gauge pressure", 5, 5e3, 0.015, GAUGES, _point("2", "pressure")),
        Reading("compressor_power", "power meter at the compressor", "power", 6, 30.0, 0.03, LIVE, _temperature(lambda found: found.compressor_power)),
        Reading("valve_wiring", "meter at the reversing valve's coil: does it carry current when it should not, or none when it should?", YES_OR_NO, 6, 0.5, 0.0, LIVE, _look("wrong_wiring")),
    ]  # fmt: skip


READINGS: Mapping[str, Reading] = MappingProxyType({reading.id: reading for reading in _readings()})
"""Every reading by its id: looks first, then probes, then gauges and meters."""


def read(found: Operation, faults: Iterable[Fault] = ()) -> Mapping[str, float]:
    """All readings of a machine that runs with faults (SI; pressures absolute).

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> found = operate(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47))
    >>> round(read(found)["suction_line"] - 273.15)
    13
    """
    ids = frozenset(one.kind.id for one in faults)
    return MappingProxyType({id: reading.value(found, ids) for id, reading in READINGS.items()})
