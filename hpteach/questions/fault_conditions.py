"""A faulty machine in weather, as a question states it: what it comes to, and the names for it.

What lives here: `FaultWeather` and its names.  What does not: reading it from a file (air_conditions), how a fault acts (machine).

A [weather] that states `fault` (one of `machine.faults.KINDS`, with `fault_size` or its usual size) has all names of a machine in weather, which
are those of the faulty one, and besides

    suction_pressure discharge_pressure evaporating_split condensing_split    the other signs that are compared
    healthy_NAME      each of these, superheat, subcooling, discharge_temperature, capacity and compressor_power without the fault
    NAME_way          1 where it is higher than healthy, -1 lower, 0 about the same (as far as `machine.signs` counts)
    reading_ID healthy_reading_ID    what a technician reads, by the ids of `machine.readings`
    stopped           1 where a pressure switch stops the machine; all else is then of that moment
    fault_words fault_part stopped_by    words: what is wrong, the part, the switch (or "nothing")

Pressures are absolute: a text shows them as {suction_pressure:gauge pressure}.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hpteach.errors import InputError
from hpteach.machine.faults import KINDS, Fault, fault, shows, position_with
from hpteach.machine.readings import READINGS, YES_OR_NO, read
from hpteach.machine.signs import COMPARED, DOWN, UP, signs_of
from hpteach.machine.switches import Run, run_with
from hpteach.questions.paths import words as words_of
from hpteach.questions.weather import DERIVED as OF_THE_WEATHER_DERIVED
from hpteach.questions.weather import QUANTITIES as OF_THE_WEATHER
from hpteach.questions.weather import Weather, quantities_of, worked

HEALTHY, READING, WAY = "healthy_", "reading_", "_way"

_NAMES: Mapping[str, str] = MappingProxyType({id: "compressor_power" if id == "power" else id for id in COMPARED})
"""What the compared quantities are called in a question, where `power` counts the fans too."""

_WAYS = {UP: 1.0, DOWN: -1.0}


def _kind(kind: str) -> str:
    return {"gauge pressure": "pressure", YES_OR_NO: "ratio"}.get(kind, kind)


QUANTITIES: Mapping[str, str] = {
    **OF_THE_WEATHER,
    **{prefix + _NAMES[id]: _kind(compared.kind) for prefix in ("", HEALTHY) for id, compared in COMPARED.items()},
    **{name + WAY: "ratio" for name in _NAMES.values()},
    **{prefix + READING + id: _kind(reading.kind) for prefix in ("", HEALTHY) for id, reading in READINGS.items()},
    "stopped": "ratio",
}
"""Every quantity that an expression may name where a fault is stated, with its kind."""

DERIVED = OF_THE_WEATHER_DERIVED
"""What is worked out from others, as they are printed."""

TEXTS = ("fault_words", "fault_part", "stopped_by")
"""The words that a text may name besides."""


def fault_named(text: str) -> Fault:
    """The fault called so, of its usual size; raises `UnknownNameError` for another name.

    >>> fault_named("undercharge").kind.words
    'refrigerant missing'
    """
    return fault(text)


@dataclass(frozen=True)
class FaultWeather(Weather):
    """A machine in weather with one fault, by its id and size (None: its usual size).

    Raises `InputError` for a fault that does not show in the position that is called for, and the refusals of `machine.faults.fault`.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.circuit import ValvePosition
    >>> hot, room = moist_air(308.15, relative_humidity=0.4), moist_air(299.85, relative_humidity=0.51)
    >>> low = FaultWeather("R-32", ValvePosition.COOLING, hot, room, fault="undercharge")
    >>> found = low.found()
    >>> found["subcooling_way"], found["capacity"] < found["healthy_capacity"], low.words()["fault_words"]
    (-1.0, True, 'refrigerant missing')
    """

    fault: str = ""
    fault_size: float | None = None

    def __post_init__(self) -> None:
        one = self.amiss
        if not shows(one, position_with(self.valve_position, [one]), self.valve_position):
            raise InputError(f"fault {self.fault} does not show when {self.valve_position.value} is called for: state the other position or another fault")

    @property
    def amiss(self) -> Fault:
        """The fault with its size."""
        return fault(self.fault, self.fault_size)

    @property
    def run(self) -> Run:
        """The faulty machine as it runs, or at the moment when a switch stops it."""
        healthy = worked(self)
        return run_with(healthy.machine, self.valve_position, self.outdoor, self.indoor, [self.amiss])

    def found(self) -> dict[str, float]:
        """Every quantity in SI; raises the refusals of `run_with`."""
        run, one = self.run, self.amiss
        healthy, faulty = worked(self), run.operation
        quantities = quantities_of(faulty) | {"stopped": float(run.stopped_by is not None)}
        for id, sign in signs_of(healthy, faulty).items():
            quantities |= {_NAMES[id]: sign.faulty, HEALTHY + _NAMES[id]: sign.healthy, _NAMES[id] + WAY: _WAYS.get(sign.way, 0.0)}
        for prefix, readings in (("", read(faulty, [one])), (HEALTHY, read(healthy))):
            quantities |= {prefix + READING + id: value for id, value in readings.items()}
        return quantities

    def words(self) -> dict[str, str]:
        """What a text may name: the words of the faulty machine's path, and of the fault."""
        run = self.run
        of_fault = {"fault_words": KINDS[self.fault].words, "fault_part": KINDS[self.fault].part, "stopped_by": run.stopped_by or "nothing"}
        return words_of(run.operation.cycle.flow) | {"refrigerant": run.operation.machine.refrigerant} | of_fault
