"""Gauges and clamp probes on a machine: readings to superheat, subcooling, state points, and what is doubtful.

What lives here: `read_gauges`, the cycle that readings close, where each probe belongs.
What does not: the doubts in words (gauge_doubts), units and gauge pressure (units), the cycle from chosen conditions (cycle), printing (gauge_readouts).

The model is that of `cycle`: no pressure drop in coils and lines, so that the suction gauge counts for the whole low
side and the discharge gauge for the whole high side; metering at constant enthalpy; a compressor that loses no heat.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

from hpteach import circuit as plumbing
from hpteach.circuit import LIQUID_LINE, Flow, MeteringLayout, ValvePosition
from hpteach.cycle import NAMES, Cycle, StatePoint, conditions_for, solve
from hpteach.errors import CircuitError, LimitError, Measure, UnknownNameError
from hpteach.fluids import Refrigerant, State
from hpteach.gauge_doubts import LIMITS, Doubt, doubts_of
from hpteach.units import STANDARD_ATMOSPHERE

ROUNDING = 1e-6
"""K, and share: what is smaller is noise of the property library, and counts as nothing."""


@dataclass(frozen=True)
class FieldReadings:
    """What was read on the machine: two pressures (Pa, absolute) and the temperatures (K) of lines.

    `valve_position` and `metering_layout` say which machine it is; the discharge line need not be measured.

    >>> FieldReadings(ValvePosition.COOLING, 9.9e5, 27.3e5, 285.15, 313.15).discharge_line_temperature is None
    True
    """

    valve_position: ValvePosition
    suction_pressure: float
    discharge_pressure: float
    suction_line_temperature: float
    liquid_line_temperature: float
    discharge_line_temperature: float | None = None
    metering_layout: MeteringLayout = MeteringLayout.EACH_COIL


@dataclass(frozen=True, kw_only=True)
class GaugeFindings:
    """What follows from field readings: SI, energies per kilogram; None where a thing has no meaning or is not determined.

    Saturated suction and condensing temperature are dew temperatures; superheat counts from dew, subcooling from
    bubble; both are negative where the line is on the wrong side.  `points` are those that the readings determine.
    `isentropic_discharge` is where a perfect compressor would end, `atmosphere` the air from which gauges count.
    """

    refrigerant: str
    critical_pressure: float
    readings: FieldReadings
    atmosphere: float
    flow: Flow
    saturated_suction_temperature: float
    saturated_condensing_temperature: float
    suction_bubble_temperature: float
    liquid_bubble_temperature: float
    superheat: float | None = None
    subcooling: float | None = None
    points: tuple[StatePoint, ...] = ()
    isentropic_discharge: State | None = None
    doubts: tuple[Doubt, ...] = ()

    def point(self, label: str | int) -> StatePoint:
        """The state point "1" to "4", "2a", "2b" or "4a"; raises `UnknownNameError` for one that the readings leave open.

        >>> from hpteach.fluids import refrigerant
        >>> readings = FieldReadings(ValvePosition.HEATING, 8e5, 27e5, 278.15, 313.15)
        >>> read_gauges(refrigerant("R-410A"), readings).point(3).place
        'indoor coil, liquid side'
        """
        if (found := self._state(str(label))) is None:
            raise UnknownNameError.among("state point", str(label), [point.label for point in self.points])
        return found

    @property
    def runs(self) -> bool:
        """Whether the discharge pressure is so far above the suction that a machine is running."""
        return self.superheat is not None

    @property
    def specific_work(self) -> float | None:
        """w = h2 - h1 (J/kg), where the discharge line was measured."""
        return self._difference("2", "1")

    @property
    def refrigerating_effect(self) -> float | None:
        """q_e = h1 - h4 (J/kg)."""
        return self._difference("1", "4")

    @property
    def heat_rejected(self) -> float | None:
        """q_c = h2 - h3 (J/kg)."""
        return self._difference("2", "3")

    @property
    def cop_cooling(self) -> float | None:
        """q_e / w, where both are known and the work is positive."""
        return self._per_work(self.refrigerating_effect)

    @property
    def cop_heating(self) -> float | None:
        """q_c / w, where both are known and the work is positive."""
        return self._per_work(self.heat_rejected)

    @property
    def pressure_ratio(self) -> float | None:
        """p2 / p1, of absolute pressures, of a machine that runs."""
        return self.readings.discharge_pressure / self.readings.suction_pressure if self.runs else None

    @property
    def isentropic_efficiency(self) -> float | None:
        """(h2s - h1) / (h2 - h1), implied by the discharge line; above 1 it cannot be, and a doubt says so."""
        if self.isentropic_discharge is None or self._state("1") is None:
            return None
        return self._per_work(self.isentropic_discharge.enthalpy - self.point("1").enthalpy)

    @property
    def too_cool(self) -> bool:
        """Whether the discharge line is above the dew point, but colder than a perfect compressor would leave it."""
        two, ideal = self._state("2"), self.isentropic_discharge
        return two is not None and ideal is not None and two.temperature < ideal.temperature - ROUNDING

    def _state(self, label: str) -> StatePoint | None:
        return next((point for point in self.points if point.label == label), None)

    def _difference(self, label: str, other: str) -> float | None:
        one, two = self._state(label), self._state(other)
        return None if one is None or two is None else one.enthalpy - two.enthalpy

    def _per_work(self, energy: float | None) -> float | None:
        work = self.specific_work
        return energy / work if energy is not None and work is not None and work > 0.0 else None


def read_gauges(refrigerant: Refrigerant, readings: FieldReadings, *, atmosphere: float = STANDARD_ATMOSPHERE) -> GaugeFindings:
    """What field readings (SI, absolute) say of a refrigerant's states, and what is doubtful about them.

    `atmosphere` (Pa) is the air at the machine: a side below it draws air in.

        superheat = suction line - dew(p1),  subcooling = bubble(p2) - liquid line,  h4 = h3

    Raises `LimitError` for a pressure or temperature outside the equation of state, which includes a discharge at or above
    the critical pressure, and `CircuitError` where the valve stands between its seats.  Source: the definitions of any
    textbook; the checks are named beside the tests.

    >>> from hpteach.fluids import refrigerant
    >>> from hpteach.units import read
    >>> cooling = FieldReadings(ValvePosition.COOLING, read("118psig", "pressure"), read("365psig", "pressure"), read("52F", "temperature"),
    ...                         read("100F", "temperature"))
    >>> found = read_gauges(refrigerant("R-410A"), cooling)
    >>> round(1.8 * found.superheat, 1), round(1.8 * found.subcooling, 1), found.doubts
    (12.2, 9.7, ())
    """
    circuit = plumbing.reversible_circuit(readings.metering_layout)
    flow = plumbing.flow(circuit, readings.valve_position)
    if flow.evaporator is None:
        raise CircuitError(f"with the valve {flow.valve_position.value} there is no suction and no discharge side to read: choose heating or cooling")
    low, high = readings.suction_pressure, readings.discharge_pressure
    evaporating_ends, boiling_begins = _saturated(refrigerant, low, "suction pressure")
    condensing_begins, condensing_ends = _saturated(refrigerant, high, "discharge pressure")
    for name in ("suction_line_temperature", "liquid_line_temperature", "discharge_line_temperature"):
        _check_line(refrigerant, name, getattr(readings, name))
    found = {
        "refrigerant": refrigerant.name,
        "critical_pressure": refrigerant.critical_pressure,
        "readings": readings,
        "atmosphere": atmosphere,
        "flow": flow,
        "saturated_suction_temperature": evaporating_ends.temperature,
        "saturated_condensing_temperature": condensing_begins.temperature,
        "suction_bubble_temperature": boiling_begins.temperature,
        "liquid_bubble_temperature": condensing_ends.temperature,
    }
    if high - low <= LIMITS["pressure difference"]:
        return GaugeFindings(**found, doubts=doubts_of(GaugeFindings(**found)))
    superheat = _settled(readings.suction_line_temperature - evaporating_ends.temperature)
    subcooling = _settled(condensing_ends.temperature - readings.liquid_line_temperature)
    met: dict[str, State | None] = {
        "1": refrigerant.superheated(low, superheat) if superheat >= 0.0 else None,
        "2": _discharge(refrigerant, high, condensing_begins, readings.discharge_line_temperature),
        "2a": condensing_begins,
        "2b": condensing_ends,
        "3": refrigerant.subcooled(high, subcooling) if subcooling >= 0.0 else None,
        "4": None,
        "4a": evaporating_ends,
    }
    # A reading far from any machine can lead beyond the equation of state; what it leads to is then left open, and doubted.
    if met["3"] is not None:
        met["4"] = _within(refrigerant.state_ph, low, met["3"].enthalpy)
    points = tuple(_point(label, state, flow) for label, state in met.items() if state is not None)
    ideal = None if met["1"] is None else _within(refrigerant.state_ps, high, met["1"].entropy)
    found |= {"superheat": superheat, "subcooling": subcooling, "points": points, "isentropic_discharge": ideal}
    return GaugeFindings(**found, doubts=doubts_of(GaugeFindings(**found)))


def closed_cycle(refrigerant: Refrigerant, findings: GaugeFindings) -> Cycle | None:
    """The cycle that readings close, or None where they leave a corner open or imply an efficiency outside 0 to 1.

    Raises the `LimitError` of `cycle.solve` for a cycle that cannot be.

    >>> from hpteach.fluids import refrigerant
    >>> r410a = refrigerant("R-410A")
    >>> found = read_gauges(r410a, FieldReadings(ValvePosition.COOLING, 9.93e5, 27.3e5, 285.15, 313.15, 348.15))
    >>> round(closed_cycle(r410a, found).cop_cooling, 2) == round(found.cop_cooling, 2)
    True
    """
    efficiency = findings.isentropic_efficiency
    numbered = {point.label for point in findings.points} >= {"1", "2", "3", "4"}
    if not numbered or efficiency is None or not 0.0 < efficiency <= 1.0 + ROUNDING:
        return None
    if findings.readings.liquid_line_temperature <= findings.suction_bubble_temperature:
        return None
    conditions = conditions_for(
        findings.flow,
        saturated_suction_temperature=findings.saturated_suction_temperature,
        saturated_condensing_temperature=findings.saturated_condensing_temperature,
        superheat=findings.superheat,
        subcooling=findings.subcooling,
        isentropic_efficiency=min(efficiency, 1.0),  # above 1 by rounding only
    )
    return solve(refrigerant, conditions, plumbing.reversible_circuit(findings.readings.metering_layout))


def probe_places(flow: Flow) -> dict[str, str]:
    """Where each gauge and clamp probe belongs as the valve stands (common practice, no source).

    Raises `CircuitError` where the flow gives the coils no role.

    >>> places = probe_places(plumbing.flow(plumbing.reversible_circuit(), ValvePosition.HEATING))
    >>> places["vapour line"]
    'not for superheat now: it carries hot discharge gas to the indoor coil'
    """
    flow.place("3")  # refuses a flow without roles
    heating = flow.condenser == plumbing.INDOOR_COIL
    met = [step.component for step in flow.path]
    early = met.index(flow.metering.working) < met.index(LIQUID_LINE)
    liquid = f"on the pipe that leaves the {flow.condenser} on its liquid side, before the {flow.metering.working}"
    return {
        "suction line": "between the reversing valve and the compressor; it is the suction line in both positions",
        "discharge line": "between the compressor and the reversing valve, near the compressor; it burns",
        "vapour line": "not for superheat now: it carries hot discharge gas to the indoor coil"
        if heating
        else "it carries suction gas now; in heating it carries discharge gas",
        "liquid line": f"{liquid}; beyond it, in the {LIQUID_LINE}, there is already a mixture" if early else liquid,
    }


# Inside ---------------------------------------------------------------------------------


_CHECK = "check the {}, the unit and the refrigerant"


def _saturated(refrigerant: Refrigerant, pressure: float, reading: str) -> tuple[State, State]:
    """The dew and the bubble point of a pressure that was read."""
    try:
        return refrigerant.saturated_vapour(pressure), refrigerant.saturated_liquid(pressure)
    except LimitError as error:
        raise LimitError(f"{reading}: {_of_a_reading(refrigerant, pressure, error)}", **error.measures) from None


def _of_a_reading(refrigerant: Refrigerant, pressure: float, error: LimitError) -> str:
    """The refusal of a pressure that was read, not chosen: what to check, where a wish would be told what to use."""
    said, _, _ = error.template.partition("; use ")
    if said == error.template:  # not a number
        return said
    if "critical" not in error.measures:
        return f"{said}; {_CHECK.format('gauge')}"
    stop = "; if they are right, stop the machine by its own switch" if refrigerant.critical_temperature > LIMITS["high condensing"] else ""
    if pressure < refrigerant.critical_pressure:
        return f"{refrigerant.name} at {{given}} is too near its critical pressure of {{critical}} to be reckoned here, above {{limit}}: {_CHECK.format('gauge')}{stop}"
    return f"{said}; {_CHECK.format('gauge')}{stop}; above its critical pressure there is no condensing temperature and no subcooling, and this course stops there"


def _check_line(refrigerant: Refrigerant, name: str, temperature: float | None) -> None:
    if temperature is None:
        return
    line = name.replace("_", " ")
    if not math.isfinite(temperature):
        raise LimitError(f"{line} of {temperature} is not a finite number: give a temperature")
    if not refrigerant.lowest_temperature <= temperature <= refrigerant.highest_temperature:
        raise LimitError(
            f"{line} of {{given}} is outside the equation of state of {refrigerant.name}, which holds from {{least}} to {{most}}: {_CHECK.format('probe')}",
            given=Measure(temperature, "temperature"),
            least=Measure(refrigerant.lowest_temperature, "temperature", "least"),
            most=Measure(refrigerant.highest_temperature, "temperature", "most"),
        )


def _within(state: Callable[[float, float], State], pressure: float, value: float) -> State | None:
    with suppress(LimitError):
        return state(pressure, value)
    return None


def _settled(difference: float) -> float:
    return 0.0 if abs(difference) < ROUNDING else difference


def _discharge(refrigerant: Refrigerant, pressure: float, dew: State, temperature: float | None) -> State | None:
    above = None if temperature is None else _settled(temperature - dew.temperature)
    return None if above is None or above < 0.0 else refrigerant.superheated(pressure, above)


def _point(label: str, state: State, flow: Flow) -> StatePoint:
    number = int(label) if label.isdigit() else None
    return StatePoint(**vars(state), number=number, label=label, name=NAMES[label], place=flow.place(label))
