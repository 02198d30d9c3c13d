"""Frost on the outdoor coil: how it grows, what it does to the machine, and what frost and defrost cost together.

What lives here: `frosted`, `frost_cycle`.  What does not: the defrost itself (defrost), the weather of a season (season).

    thickness = frost / (density x surface)            what is left of the gap: 1 - 2 thickness / gap
    air flow share = 1 / sqrt(f / left^3 + 1 - f)      f: share of the fan's pressure that the clean coil takes
    frost layer = thickness / (conductivity x surface), in series with the refrigerant side

The loss of pressure in a gap goes with the flow squared over the gap's third power (Darcy and Weisbach with a friction
factor that stays: speed goes with flow over gap, the hydraulic diameter with the gap; any textbook), and the fan's pressure
falls with the square of its flow (an assumption).  Density and conductivity of the frost stay the same while it grows (real
frost grows denser).  Water freezes as fast as the wet coil takes it from the air; what does not freeze drains off.
Balances at a few frost masses are joined by a smooth curve, over which time and energies are integrated.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hpteach.circuit import ValvePosition
from hpteach.errors import LimitError
from hpteach.fluids import MoistAir
from hpteach.machine.balance import operate
from hpteach.machine.coils import Coil
from hpteach.machine.compressor import require
from hpteach.machine.defrost import Control, Defrost, Ending, TimeTemperature, defrost
from hpteach.machine.frost_surface import FrostSurface
from hpteach.machine.machine import Machine
from hpteach.machine.monotone_curve import MonotoneCurve
from hpteach.machine.operation import Operation

MOST_BLOCKED = 0.75
"""Share of the gap that frost may fill before the model ends: no more air passes than through wet snow."""

_NODES = np.array([0.0, 0.12, 0.3, 0.5, 0.7, 0.86, 1.0])
_FINE = 241
_LEAST_RATE = 1e-9


@dataclass(frozen=True)
class Moment:
    """The machine at one time (s) since the last defrost, with so much frost (kg) and such a share of its air."""

    time: float
    frost: float
    air_flow_share: float
    capacity: float
    power: float
    saturated_suction_temperature: float
    supply_temperature: float


@dataclass(frozen=True)
class FrostCycle:
    """From one defrost to the end of the next: `running` (s) in heating, then the defrost.

    `clean` is the machine without frost; `capacity`, `power` and `cop` are means over running and defrost together
    (the heat that the defrost takes from the room is taken off).  `begins_because` says what started the defrost.
    Without a defrost the means are those of the clean machine and `running` is None.
    """

    clean: Operation
    moments: tuple[Moment, ...]
    running: float | None
    begins_because: str
    defrost: Defrost | None
    capacity: float
    power: float

    @property
    def cop(self) -> float:
        """Mean capacity over mean power."""
        return self.capacity / self.power

    @property
    def capacity_share(self) -> float:
        """Mean capacity over that of the clean machine."""
        return self.capacity / self.clean.capacity


def thickness(surface: FrostSurface, frost: float) -> float:
    """Thickness (m) of a frost mass (kg) spread evenly.

    >>> from hpteach.machine.frost_surface import FrostSurface
    >>> round(1e3 * thickness(FrostSurface(area=28.0, gap=1.6e-3, metal_heat=9e3), 1.4), 2)
    0.20
    """
    return frost / (surface.density * surface.area)


def most_frost(surface: FrostSurface) -> float:
    """The frost (kg) at which the model ends, with `MOST_BLOCKED` of the gap filled.

    >>> from hpteach.machine.frost_surface import FrostSurface
    >>> round(most_frost(FrostSurface(area=28.0, gap=1.6e-3, metal_heat=9e3)), 1)
    4.2
    """
    return 0.5 * MOST_BLOCKED * surface.gap * surface.density * surface.area


def air_flow_share(surface: FrostSurface, frost: float) -> float:
    """The share of the clean coil's air that a frost mass (kg) lets through; raises `LimitError` beyond `most_frost`.

    >>> from hpteach.machine.frost_surface import FrostSurface
    >>> round(air_flow_share(FrostSurface(area=28.0, gap=1.6e-3, metal_heat=9e3), 1.4), 3)
    0.770
    """
    most = most_frost(surface)
    require(frost, "frost in kg", f"from 0 to {most:.3g}, with which {MOST_BLOCKED:.0%} of the gap is filled", least=0.0, most=most * (1.0 + 1e-12))
    left = 1.0 - 2.0 * thickness(surface, frost) / surface.gap
    return (surface.coil_share / left**3 + 1.0 - surface.coil_share) ** -0.5


def frosted(coil: Coil, surface: FrostSurface, frost: float) -> Coil:
    """The coil with so much frost (kg): less air, and the layer of frost in series with the refrigerant side; raises `LimitError` beyond `most_frost`.

    >>> from hpteach.machine import demo_machine
    >>> machine = demo_machine("R-32")
    >>> frosted(machine.outdoor_coil, machine.frost, 1.0).air_flow < machine.outdoor_coil.air_flow
    True
    """
    if frost == 0.0:
        return coil
    layer = thickness(surface, frost) / (surface.conductivity * surface.area)
    thinner = coil.with_air(air_flow_share(surface, frost))

    def behind(conductance: float) -> float:
        return 1.0 / (1.0 / conductance + layer)

    return replace(
        thinner,
        boiling_conductance=behind(coil.boiling_conductance),
        condensing_conductance=behind(coil.condensing_conductance),
        liquid_conductance=behind(coil.liquid_conductance),
        vapour_conductance=behind(coil.vapour_conductance),
    )


def frost_cycle(
    machine: Machine, outdoor: MoistAir, indoor: MoistAir, control: Control | None = None, ending: Ending | None = None, *, speed_ratio: float = 1.0,
) -> FrostCycle:  # fmt: skip
    """The machine in heating over frost and defrost, in steady weather.

        mean capacity = (heat while running - heat that the defrost takes from the room) / (running + defrost)

    Raises what `operate` and `defrost` raise.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> found = frost_cycle(demo_machine("R-32"), moist_air(274.82, wet_bulb=273.71), moist_air(294.26, wet_bulb=288.71))
    >>> found.begins_because, 0.8 < found.capacity_share < 1.0
    ('the clock', True)
    """
    return Growth(machine, outdoor, indoor, speed_ratio).cycle(TimeTemperature() if control is None else control, ending)


def _cycle(growth: Growth, control: Control, ending: Ending | None) -> FrostCycle:
    machine = growth.machine
    frost, time, because = growth.start_of_defrost(control)
    if time is None:
        return FrostCycle(growth.clean, (growth.moment(0.0, 0.0),), None, because, None, growth.clean.capacity, growth.clean.power)
    # At nominal speed, whatever the speed in heating (common practice, no source): a slow compressor would melt for a long time.
    melted = defrost(machine, growth.indoor, frost, growth.suction_at(frost), ending)
    heat, work = growth.energies(frost, time)
    total = time + melted.duration
    room = melted.heat_from_room - melted.duration * machine.indoor_coil.fan_power
    return FrostCycle(
        clean=growth.clean,
        moments=growth.moments(frost, time),
        running=time,
        begins_because=because,
        defrost=melted,
        capacity=(heat - room) / total,
        power=(work + melted.work) / total,
    )


class Growth:
    """Frost on one machine in one weather: balances at a few frost masses, and the curves through them.

    Raises what `operate` raises, and `LimitError` where the machine stops as soon as frost grows.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> growth = Growth(demo_machine("R-32"), moist_air(274.82, wet_bulb=273.71), moist_air(294.26, wet_bulb=288.71))
    >>> growth.moment(1.0, 3600.0).capacity < growth.clean.capacity, growth.suction_at(1.0) < growth.clean.saturated_suction_temperature
    (True, True)
    """

    def __init__(self, machine: Machine, outdoor: MoistAir, indoor: MoistAir, speed_ratio: float = 1.0) -> None:
        self.machine, self.outdoor, self.indoor, self.speed_ratio = machine, outdoor, indoor, speed_ratio
        self.clean = self._operation(0.0)
        self.grows = self.clean.frost_rate > _LEAST_RATE
        self._curves = self._measured() if self.grows else None

    def _operation(self, frost: float) -> Operation:
        coil = frosted(self.machine.outdoor_coil, self.machine.frost, frost)
        return operate(self.machine, ValvePosition.HEATING, self.outdoor, self.indoor, speed_ratio=self.speed_ratio, outdoor_coil=coil)

    def _measured(self) -> MonotoneCurve:
        """The curves, up to the frost at which the model or the machine ends."""
        rows, masses = [_row(self.clean)], [0.0]
        for mass in (_NODES[1:] * most_frost(self.machine.frost)).tolist():
            try:
                found = self._operation(mass)
            except LimitError:
                break
            rows.append(_row(found))
            masses.append(mass)
        if len(rows) < 2:
            raise LimitError("frost stops this machine as soon as it begins to grow: use a larger coil or milder weather")
        self.most = masses[-1]
        return MonotoneCurve(masses, np.array(rows))

    def _at(self, frost: float) -> np.ndarray:
        return np.array(_row(self.clean)) if self._curves is None else self._curves(frost)

    def cycle(self, control: Control, ending: Ending | None = None) -> FrostCycle:
        """`frost_cycle` in this weather: another control costs no new balance of the machine in heating."""
        return _cycle(self, control, ending)

    def suction_at(self, frost: float) -> float:
        """Saturated suction temperature (K) with so much frost."""
        return float(self._at(frost)[3])

    def start_of_defrost(self, control: Control) -> tuple[float, float | None, str]:
        """The frost (kg) and the time (s) at which a control starts the defrost, and what starts it; no time where it never does."""
        cold = self.clean.saturated_suction_temperature
        if isinstance(control, TimeTemperature):
            if not self.grows:
                return (0.0, control.interval, "the clock") if cold < control.coil_below else (0.0, None, "no defrost: the coil is not cold enough for the clock")
            masses, times = self._times()
            suction = self._curves(masses)[:, 3]
            begins = float(times[np.argmax(suction < control.coil_below)]) if suction.min() < control.coil_below else None
            if begins is None or begins + control.interval > times[-1]:
                return self.most, float(times[-1]), "the coil is blocked"
            time = begins + control.interval
            return float(np.interp(time, times, masses)), time, "the clock"
        if not self.grows:
            return 0.0, None, "no defrost: no frost grows"
        masses, times = self._times()
        excess = cold - self._curves(masses)[:, 3]
        time, because = control.longest, "the longest time"
        if excess.max() >= control.excess:
            reached = float(np.interp(control.excess, np.maximum.accumulate(excess), times))
            if reached <= time:
                time, because = reached, "the coil lies too far below the air"
        if time > times[-1]:
            return self.most, float(times[-1]), "the coil is blocked"
        return float(np.interp(time, times, masses)), time, because

    def _times(self) -> tuple[np.ndarray, np.ndarray]:
        """Frost masses on a fine scale, and the time at which each is reached: t = integral of dm / rate."""
        masses = np.linspace(0.0, self.most, _FINE)
        slowness = 1.0 / np.maximum(self._curves(masses)[:, 2], _LEAST_RATE)
        return masses, np.concatenate([[0.0], np.cumsum(0.5 * (slowness[1:] + slowness[:-1]) * np.diff(masses))])

    def energies(self, frost: float, time: float) -> tuple[float, float]:
        """Heat to the room and work (J) until so much frost has grown in a time (s)."""
        if not self.grows:
            return self.clean.capacity * time, self.clean.power * time
        masses, times = self._times()
        at = np.append(times[masses < frost], time)
        rows = self._curves(np.append(masses[masses < frost], frost))
        return float(np.trapezoid(rows[:, 0], at)), float(np.trapezoid(rows[:, 1], at))

    def moment(self, frost: float, time: float) -> Moment:
        """The machine at one moment."""
        capacity, power, _, suction, supply = (float(value) for value in self._at(frost))
        return Moment(time, frost, air_flow_share(self.machine.frost, frost), capacity, power, suction, supply)

    def moments(self, frost: float, time: float, count: int = 25) -> tuple[Moment, ...]:
        """Evenly spaced moments from the clean coil to so much frost after a time (s)."""
        if not self.grows:
            return tuple(self.moment(0.0, at) for at in np.linspace(0.0, time, count).tolist())
        masses, times = self._times()
        return tuple(self.moment(min(float(np.interp(at, times, masses)), frost), at) for at in np.linspace(0.0, time, count).tolist())


def _row(found: Operation) -> tuple[float, ...]:
    return found.capacity, found.power, found.frost_rate, found.saturated_suction_temperature, found.supply_air.dry_bulb
