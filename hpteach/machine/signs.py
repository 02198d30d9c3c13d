"""Signs of a fault: how a machine differs from itself when healthy.

What lives here: the quantities that are compared, `Sign`, `signs_of`.  What does not: the trade's table of signs (it is a test's reference),
which fault fits (diagnosis).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hpteach.machine.operation import Operation

UP, SAME, DOWN = "up", "same", "down"


@dataclass(frozen=True)
class Compared:
    """A quantity that is compared: its words, its kind, and by how much (SI, or a share of the healthy value) it has to differ to count."""

    words: str
    kind: str
    least: float
    share: float
    value: Callable[[Operation], float]


@dataclass(frozen=True)
class Sign:
    """One quantity of a healthy and of a faulty machine (SI), and which way it went: up, down or the same."""

    compared: Compared
    healthy: float
    faulty: float

    @property
    def way(self) -> str:
        """Up, down or same, by what counts as a difference."""
        off = self.faulty - self.healthy
        if abs(off) < max(self.compared.least, self.compared.share * abs(self.healthy)):
            return SAME
        return UP if off > 0.0 else DOWN


def _evaporating_split(found: Operation) -> float:
    """Air that enters the coil that boils, less the saturated suction temperature."""
    coil = found.outdoor_coil if found.outdoor_coil.role == "evaporator" else found.indoor_coil
    return coil.entering.dry_bulb - found.saturated_suction_temperature


def _condensing_split(found: Operation) -> float:
    """Saturated condensing temperature, less the air that enters the coil that condenses."""
    coil = found.outdoor_coil if found.outdoor_coil.role == "condenser" else found.indoor_coil
    return found.saturated_condensing_temperature - coil.entering.dry_bulb


COMPARED: Mapping[str, Compared] = MappingProxyType(
    {
        "suction_pressure": Compared("suction pressure", "gauge pressure", 0.0, 0.02, lambda found: found.cycle.point("1").pressure),
        "discharge_pressure": Compared("discharge pressure", "gauge pressure", 0.0, 0.02, lambda found: found.cycle.point("2").pressure),
        "superheat": Compared("superheat at the compressor", "temperature difference", 1.5, 0.0, lambda found: found.superheat),
        "subcooling": Compared("subcooling", "temperature difference", 1.5, 0.0, lambda found: found.subcooling),
        "discharge_temperature": Compared("discharge temperature", "temperature", 3.0, 0.0, lambda found: found.discharge_temperature),
        "evaporating_split": Compared("air less saturated suction", "temperature difference", 1.0, 0.0, _evaporating_split),
        "condensing_split": Compared("saturated condensing less air", "temperature difference", 1.0, 0.0, _condensing_split),
        "capacity": Compared("capacity", "power", 0.0, 0.03, lambda found: found.capacity),
        "power": Compared("power of the compressor", "power", 0.0, 0.03, lambda found: found.compressor_power),
    }
)
"""What is compared, by id; how much counts is common practice, no source."""


def signs_of(healthy: Operation, faulty: Operation) -> Mapping[str, Sign]:
    """The signs by which a faulty machine differs from a healthy one in the same weather.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import COOLING, fault, operate_with
    >>> hot, room = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> found = [operate_with(demo_machine("R-32"), COOLING, hot, room, faults) for faults in ((), [fault("outdoor_coil_dirty")])]
    >>> signs_of(*found)["discharge_pressure"].way
    'up'
    """
    return {id: Sign(compared, compared.value(healthy), compared.value(faulty)) for id, compared in COMPARED.items()}
