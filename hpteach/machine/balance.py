"""The balance: at which saturated temperatures a machine settles in given weather.

What lives here: `operate` and the search.  What does not: the equations (trial), what comes of them (operation).

Three unknowns: the superheat, the condensing dew temperature, and the logarithm of how far the leaving
vapour stays below the air, as a coil with much to spare brings it very near.  Newton's method with a Jacobian by differences that is corrected by Broyden's rule from step to
step; a step that leaves what is possible is cut.  Where it does not close from a few starts, it goes there by steps from ordinary weather.
"""

from __future__ import annotations

import math

import numpy as np

from hpteach.circuit import ValvePosition
from hpteach.errors import CircuitError, HpteachError, LimitError, Measure, PropertyError
from hpteach.fluids import MoistAir, Refrigerant, moist_air, refrigerant
from hpteach.machine.air_side import AirStream
from hpteach.machine.coils import Coil, OffTheCoil
from hpteach.machine.compressor import require
from hpteach.machine.defects import Defects
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation, operation_of
from hpteach.machine.start import likely
from hpteach.machine.trial import Trial, Trials

CLOSE = 1e-8
"""Residual at which a balance counts as closed."""

_MOST_STEPS = 40
_NUDGE = (1e-5, 1e-4, 1e-4)
_LONGEST = np.array([1.5, 12.0, 6.0])
_STARTS = ((3.0, 14.0, None), (9.0, 20.0, None), (0.8, 9.0, None), (3.0, 10.0, 20.0), (3.0, 30.0, 3.0))
_WET_STARTS = ((8.0, 14.0, -30.0), (6.0, 14.0, -70.0), (4.0, 12.0, -100.0), (7.0, 24.0, -15.0), (7.0, 27.0, -75.0))
"""K by which a start lies below the air at the evaporator, less the superheat; above the air at the condenser; the superheat (None: amid the valve's band);
the wet ones are for an orifice, which may flood the evaporator."""

_MOVED = ((0.0, 3.0, 8.0), (1.5, 3.0, -8.0), (1.5, 0.0, 3.0), (1.5, 0.0, -3.0))
"""By how much the unknowns of a likely start are moved where an orifice does not close from any other."""

_ABOVE = (1.0, 0.65)
"""Shares of the difference to the air at the condenser with which a likely start is tried: with the whole one the discharge may be too hot."""

_ORDINARY = {ValvePosition.COOLING: ((308.15, 0.4), (300.15, 0.47)), ValvePosition.HEATING: ((280.15, 0.87), (293.15, 0.59))}
"""Ordinary weather, chosen near rating points (outdoors and indoors: K and relative humidity), from which a search goes by steps where it does not close at once."""

_SHORTEST = 1.0 / 128.0

NOT_EVEN_ORDINARY = "in ordinary weather too"
"""Words of a refusal for which the machine is to blame, and not the weather."""


def operate(
    machine: Machine, valve_position: ValvePosition, outdoor: MoistAir, indoor: MoistAir, *, speed_ratio: float = 1.0,
    outdoor_coil: Coil | None = None, defects: Defects | None = None,
) -> Operation:  # fmt: skip
    """The machine in weather: saturated temperatures, heat, power, COP and all state points at which everything agrees.

    `outdoor` and `indoor` are the air at the inlets of the coils; `outdoor_coil` stands in for the machine's own,
    such as one with frost on it; `defects` are what is amiss inside the circuit.  Raises `CircuitError` for a valve between its seats, and `LimitError`
    where the machine cannot run there, naming the limit.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> found = operate(demo_machine("R-32"), ValvePosition.HEATING, moist_air(280.15, wet_bulb=279.15), moist_air(293.15, relative_humidity=0.5))
    >>> 3.0 < found.cop < 4.5
    True
    """
    if valve_position not in (ValvePosition.HEATING, ValvePosition.COOLING):
        raise CircuitError("with the valve between its seats no pressures settle: choose heating or cooling")
    fluid = refrigerant(machine.refrigerant)
    trials = _trials(machine, fluid, valve_position, outdoor, indoor, speed_ratio, outdoor_coil, defects or Defects())
    trial = settled(trials)
    return operation_of(machine, fluid, valve_position, outdoor, indoor, trials, trial)


def _trials(
    machine: Machine, fluid: Refrigerant, valve_position: ValvePosition, outdoor: MoistAir, indoor: MoistAir, speed_ratio: float,
    outdoor_coil: Coil | None, defects: Defects,
) -> Trials:  # fmt: skip
    if abs(outdoor.pressure - indoor.pressure) > 1.0:
        raise LimitError(
            "air outdoors at {outdoor} and indoors at {indoor} cannot be: use one pressure of the air for both",
            outdoor=Measure(outdoor.pressure, "pressure"),
            indoor=Measure(indoor.pressure, "pressure"),
        )
    least, most = machine.compressor.least_speed_ratio, machine.compressor.most_speed_ratio
    allowed = f"from {least:g} to {most:g} times the nominal speed" if least < most else "of 1, as this compressor has a fixed speed"
    require(speed_ratio, "speed ratio", allowed, least=least, most=most)
    if outdoor_coil is not None and outdoor_coil.place != "outdoor coil":
        raise LimitError(f"a coil whose place is the {outdoor_coil.place} cannot stand outdoors: use one whose place is 'outdoor coil'")
    evaporator, condenser = machine.coils(valve_position)
    airs = {"outdoor coil": outdoor, "indoor coil": indoor}
    if outdoor_coil is not None:
        evaporator, condenser = (outdoor_coil if coil.place == "outdoor coil" else coil for coil in (evaporator, condenser))
    streams = [AirStream(airs[coil.place], coil.air_flow, coil.air_conductance) for coil in (evaporator, condenser)]
    return Trials(
        machine, fluid, evaporator, condenser, machine.metering(valve_position), *streams,
        charge=machine.circulating(valve_position), speed_ratio=speed_ratio, defects=defects,
    )  # fmt: skip


def settled(trials: Trials) -> Trial:
    """The trial at which everything agrees; raises `LimitError` where there is none."""
    band = (trials.metering.opens_at, trials.metering.fully_open_at)
    middle = 6.0 if None in band else 0.5 * sum(band)
    search = Search(trials)
    for above in _ABOVE:
        near = likely(trials, middle, above)
        found = None if near is None else search.run(near)
        if found is not None:
            return found
    held = trials.metering.holds_superheat and trials.defects.stuck_at is None and not trials.defects.bypass
    for below, above, superheat in _STARTS if held else _STARTS + _WET_STARTS:
        found = search.run(search.start(below, above, middle if superheat is None else superheat))
        if found is not None:
            return found
    near = None if held else likely(trials, middle, 1.0)
    for moved in () if near is None else _MOVED:
        found = search.run(near + np.array(moved))
        if found is not None:
            return found
    return _by_steps(trials, middle, search)


def _by_steps(trials: Trials, superheat: float, last: Search) -> Trial:
    """The balance reached from ordinary weather by steps, each from the balance before; raises `LimitError` with the weather where it ends."""
    boils_outdoors = trials.evaporator.place == "outdoor coil"
    outdoors, indoors = _ORDINARY[ValvePosition.HEATING if boils_outdoors else ValvePosition.COOLING]
    ends = [trials.boiling_air.inlet, trials.condensing_air.inlet]
    begins = [outdoors, indoors] if boils_outdoors else [indoors, outdoors]

    def on_the_way(share: float) -> Search:
        airs = [
            moist_air(
                first[0] + share * (end.dry_bulb - first[0]), relative_humidity=first[1] + share * (end.relative_humidity - first[1]), pressure=end.pressure,
            )
            for first, end in zip(begins, ends)
        ]  # fmt: skip
        return Search(trials.in_air(*airs))

    search = on_the_way(0.0)
    near = likely(search.trials, superheat, 1.0)
    trial = search.run(search.start(*_STARTS[0][:2], superheat) if near is None else near)
    if trial is None:
        raise _refusal(trials, None, search if last.refused is None else last)
    reached, step = 0.0, 0.25
    while reached < 1.0:
        share = min(1.0, reached + step)
        following = last if share == 1.0 else on_the_way(share)
        found = following.run(following.near(trial))
        if found is None:
            step *= 0.5
            if step < _SHORTEST:
                raise _refusal(trials, search.trials, following)
            continue
        reached, trial, search, step = share, found, following, min(2.0 * step, 0.5)
    return trial


class Search:
    """One search from one start."""

    def __init__(self, trials: Trials) -> None:
        self.trials = trials
        self.cold = trials.boiling_air.inlet.dry_bulb
        self.refused: HpteachError | None = None

    def start(self, below: float, above: float, superheat: float) -> np.ndarray:
        """Unknowns by how far they lie from the air."""
        evaporating = self.cold - max(superheat, 0.0) - below
        return np.array([math.log(below), max(self.trials.condensing_air.inlet.dry_bulb + above, evaporating + 8.0), superheat])

    def near(self, trial: Trial) -> np.ndarray:
        """Unknowns as in a trial that agreed in other weather."""
        return np.array([math.log(trial.below), trial.condensing, trial.superheat])

    def trial(self, unknowns: np.ndarray) -> Trial | None:
        """The trial of the unknowns, None where there is none."""
        below, condensing, superheat = map(float, unknowns)
        try:
            return self.trials.at(math.exp(below), condensing, superheat)
        except (LimitError, PropertyError) as error:
            self.refused = error
        except (OffTheCoil, OverflowError):
            pass
        return None

    def residual(self, trial: Trial) -> np.ndarray:
        """What has to become zero."""
        return np.array([trial.evaporator_residual, trial.charge_residual, trial.metering_residual])

    def run(self, start: np.ndarray) -> Trial | None:
        """The trial that agrees, from a start; None where it does not close."""
        unknowns, trial = start, self.trial(start)
        if trial is None:
            return None
        residual = self.residual(trial)
        inverse = self._inverse(unknowns, residual)
        fresh = True
        for _ in range(_MOST_STEPS):
            size = float(np.abs(residual).max())
            if size < CLOSE:
                return trial
            if inverse is None:
                return None
            step = -inverse @ residual
            step *= min(1.0, float((_LONGEST[: len(step)] / np.maximum(np.abs(step), 1e-12)).min()))
            moved, new_trial, new = self._cut(unknowns, step, size)
            if new_trial is None:
                if fresh:
                    return None
                inverse, fresh = self._inverse(unknowns, residual), True
                continue
            if np.abs(new).max() > 0.5 * size:
                unknowns, trial, residual = moved, new_trial, new
                inverse, fresh = self._inverse(unknowns, residual), True
                continue
            step, change = moved - unknowns, inverse @ (new - residual)
            inverse = inverse + np.outer((step - change) / (step @ change), step @ inverse)
            unknowns, trial, residual, fresh = moved, new_trial, new, False
        return None

    def _cut(self, unknowns: np.ndarray, step: np.ndarray, size: float) -> tuple[np.ndarray, Trial | None, np.ndarray]:
        """The whole step, or as much of it as brings the residual down."""
        for share in (1.0, 0.5, 0.25, 0.1, 0.03, 0.01):
            moved = unknowns + share * step
            trial = self.trial(moved)
            if trial is not None:
                new = self.residual(trial)
                if np.abs(new).max() < (1.0 - 0.1 * share) * size:
                    return moved, trial, new
        return unknowns, None, np.zeros(len(unknowns))

    def _inverse(self, unknowns: np.ndarray, residual: np.ndarray) -> np.ndarray | None:
        columns = np.empty((len(residual), len(unknowns)))
        for index in range(len(unknowns)):
            for sign in (1.0, -1.0):
                moved = unknowns.copy()
                moved[index] += sign * _NUDGE[index]
                trial = self.trial(moved)
                if trial is not None:
                    columns[:, index] = (self.residual(trial) - residual) / (sign * _NUDGE[index])
                    break
            else:
                return None
        try:
            return np.linalg.inv(columns)
        except np.linalg.LinAlgError:
            return None


def _refusal(asked: Trials, reached: Trials | None, search: Search) -> HpteachError:
    """Why no pressures settle: how far the weather went (None: not even ordinary weather did), and what stood in the way there."""
    measures = {
        "cold": Measure(asked.boiling_air.inlet.dry_bulb, "temperature"),
        "warm": Measure(asked.condensing_air.inlet.dry_bulb, "temperature"),
    }
    where = NOT_EVEN_ORDINARY
    if reached is not None:
        where = "beyond about {last_cold} and {last_warm}"
        measures["last_cold"] = Measure(reached.boiling_air.inlet.dry_bulb, "temperature")
        measures["last_warm"] = Measure(reached.condensing_air.inlet.dry_bulb, "temperature")
    reason = "no two pressures make flow, heat and charge agree: the metering device or the charge does not suit the machine"
    if search.refused is not None:
        reason = search.refused.template
        measures |= search.refused.measures
    return LimitError(
        f"air of {{cold}} at the {asked.evaporator.place} that boils and of {{warm}} at the {asked.condenser.place} that condenses is outside what this machine "
        f"can do with {asked.refrigerant.name}: {where}, {reason}",
        **measures,
    )
