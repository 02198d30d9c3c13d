"""A heating season: a house, a climate and a machine, added up bin by bin.

What lives here: the building load, the balance point, cycling at part load, auxiliary heat, and the season's energy, COP, cost and
carbon.  What does not: how a machine comes by its capacity (here it is any function of the outdoor temperature), hours (climate).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from hpteach.errors import InputError, LimitError, Measure
from hpteach.machine.climate import Bin, Climate

DEGRADATION = 0.25
"""What cycling costs at no load at all, unless measured: Regulation (EU) 206/2012, Annex I, table 1 (air to air), and 10 CFR 430 appendix M1 (heating)."""

MOST_AUXILIARY_COP = 8.0
"""A second heat pump at its best; what is above was meant as a percentage (chosen)."""

STANDS = "machine does not run"
"""With what the note of a bin begins in which the machine stands still; the reason may follow after a colon."""

BEYOND = "beyond limit: "
"""With what each part of a bin's note begins that names a limit of the compressor beyond which the machine runs."""

_SECONDS = 3600.0
_WIDTH = 1e-4  # K, to which a balance point is searched
_EQUAL = 1e-9  # of the load, within which capacity and load are one
_SHORT = 1e-3  # of the load, by which a machine that follows it may miss it


@dataclass(frozen=True)
class BuildingLoad:
    """What heat a house needs: `design_load` (W) at `design_temperature` (K), none at `zero_load_temperature` (K), on a straight line.

    Source: the load line of EN 14825 (part load ratio, Regulation (EU) 206/2012, Annex I (15)) and of 10 CFR 430 appendix M1.
    Raises `LimitError` for a design load that is not positive, and a design temperature not below the zero-load temperature.

    >>> BuildingLoad(6500.0, 263.15, 289.15).at(276.15)
    3250.0
    """

    design_load: float
    design_temperature: float
    zero_load_temperature: float

    def __post_init__(self) -> None:
        if not 0.0 < self.design_load < math.inf:
            raise LimitError(
                "design load of {given} is not positive: give the heat that the house needs on the design day",
                given=Measure(self.design_load, "power"),
            )
        if not 0.0 < self.design_temperature < self.zero_load_temperature < math.inf:
            raise LimitError(
                "design temperature of {given} is not below the zero-load temperature of {zero}: use a lower one",
                given=Measure(self.design_temperature, "temperature"),
                zero=Measure(self.zero_load_temperature, "temperature"),
            )

    def at(self, outdoor_temperature: float) -> float:
        """The load (W) at an outdoor temperature (K); none at and above the zero-load temperature.

        >>> BuildingLoad(6500.0, 263.15, 289.15).at(295.15)
        0.0
        """
        if outdoor_temperature >= self.zero_load_temperature:
            return 0.0
        return self.design_load * (self.zero_load_temperature - outdoor_temperature) / (self.zero_load_temperature - self.design_temperature)


def load_in(climate: Climate, design_load: float) -> BuildingLoad:
    """The load of a house that needs `design_load` (W) at the design temperature of a climate.

    >>> from hpteach.machine.climate import climate
    >>> load_in(climate("average"), 6500.0).at(276.15)
    3250.0
    """
    return BuildingLoad(design_load, climate.design_temperature, climate.zero_load_temperature)


@dataclass(frozen=True)
class Running:
    """A machine that runs without stopping: `capacity` (W of heat), electrical `power` (W), defrosting counted in; a `note` of what limits it."""

    capacity: float
    power: float
    note: str = ""


Performance = Callable[[float], "Running | None"]
"""How a machine runs at an outdoor temperature (K), at the most that it gives; None where it does not run."""

Following = Callable[[float, float], "Running | None"]
"""How a machine of variable speed runs at an outdoor temperature (K), asked for a load (W) below its most: at that load, or at the least it can."""


def following_in_proportion(performance: Performance, least_share: float) -> Following:
    """A machine that follows the load down to `least_share` of its capacity, with the COP that it has at full capacity.

    A plain stand-in: a real machine's coils are large for a small flow, so its COP at part load is higher (common practice, no source).
    Raises `LimitError` for a share outside 0 to 1.

    >>> following_in_proportion(lambda outdoor: Running(6000.0, 2000.0), 0.25)(280.15, 3000.0)
    Running(capacity=3000.0, power=1000.0, note='')
    """
    if not 0.0 <= least_share <= 1.0:
        raise LimitError(f"least share of capacity of {least_share:g} cannot be: use 0 to 1")

    def follow(outdoor_temperature: float, load: float) -> Running | None:
        full = performance(outdoor_temperature)
        if full is None:
            return None
        share = max(least_share, load / full.capacity)
        return Running(full.capacity * share, full.power * share, full.note)

    return follow


@dataclass(frozen=True)
class BinResult:
    """One bin: temperature (K), hours (h), `load` (W); averages over the bin of the machine's electrical `power` and of `auxiliary` heat (W).

    `capacity` (W) is the most that the machine gives, None where it does not run or is not asked.  `part_load_share` is the share
    of what it gives while running that the load takes (1 where it never stops, 0 where it does not run), `part_load_factor` what
    cycling leaves of its COP.

    >>> BinResult(268.15, 200.0, load=6e3, capacity=5e3, power=1.8e3, auxiliary=1e3, part_load_share=1.0, part_load_factor=1.0).machine_heat
    5000.0
    """

    outdoor_temperature: float
    hours: float
    load: float
    capacity: float | None
    power: float
    auxiliary: float
    part_load_share: float
    part_load_factor: float
    note: str = ""

    @property
    def machine_heat(self) -> float:
        """What the machine gives to the house (W, average over the bin): the load less the auxiliary heat."""
        return self.load - self.auxiliary


@dataclass(frozen=True)
class Season:
    """A season added up; energies in J.

    `balance` says what became of the balance point (K): "met"; or there is none within the bins, as the machine "covers all", "covers none",
    or "stops" while it still covers the load: then `stops_below` (K) is where.  `energy_auxiliary` is what the auxiliary source uses, at
    `auxiliary_cop`.  `seasonal_cop` is all heat by all energy used; `machine_cop` that of the machine alone, None where it never ran.
    `cost` in the currency of the prices, `carbon` in kg, None where they were not asked for.
    """

    climate: str
    bins: tuple[BinResult, ...]
    balance: str
    balance_point: float | None
    stops_below: float | None
    heat_delivered: float
    heat_auxiliary: float
    energy_machine: float
    energy_auxiliary: float
    auxiliary_cop: float
    seasonal_cop: float
    machine_cop: float | None
    cost: float | None
    carbon: float | None


def season(
    performance: Performance,
    climate: Climate,
    load: BuildingLoad,
    *,
    following: Following | None = None,
    reason: Callable[[float], str] | None = None,
    degradation: float = DEGRADATION,
    auxiliary_cop: float = 1.0,
    electricity_price: float | None = None,
    auxiliary_price: float | None = None,
    electricity_carbon: float | None = None,
    auxiliary_carbon: float | None = None,
) -> Season:
    """The season of a house in a climate with a machine.

    In a bin where the load is below what the machine gives, it cycles: with X = load / capacity its average power is
    power X / PLF, where PLF = 1 - degradation (1 - X).  A machine of variable speed is given as `following` as well: it is asked
    where the load is below its most, and cycles only where it still gives more.  Where the load is above, or the machine does not
    run, auxiliary heat gives the rest, at `auxiliary_cop`: 1 for an electric heater, its efficiency for a boiler.  `reason` says in
    words why the machine does not run at an outdoor temperature (K); it stands in the note of the bin.

    Prices in currency per J, carbon in kg per J of energy used; those of the auxiliary source are those of electricity unless given.

    Sources: 10 CFR 430 appendix M1 (PLF, bins, resistance heat), Regulation (EU) 206/2012 (default degradation), as in
    tests/reference/04e_rating_formulas.csv.
    Raises `LimitError` for a capacity or power that is not positive, a degradation outside 0 to 1, an auxiliary COP that is not above 0 and up to 8,
    a negative price or carbon; `InputError` where no bin needs heat, and where the auxiliary source has a price or carbon but electricity has none.

    >>> from hpteach.machine.climate import climate
    >>> average = climate("average")
    >>> whole = season(lambda outdoor: Running(6000.0 + 150.0 * (outdoor - 280.15), 1700.0), average, load_in(average, 5000.0))
    >>> round(whole.seasonal_cop, 2), round(whole.balance_point - 273.15, 2)
    (2.69, -5.47)
    """
    _check_choices(degradation, auxiliary_cop, electricity_price, auxiliary_price, electricity_carbon, auxiliary_carbon)
    if not any(one.hours > 0.0 and load.at(one.outdoor_temperature) > 0.0 for one in climate.bins):
        raise InputError(
            "no bin with hours is below the zero-load temperature of {zero}, so there is nothing to heat: give colder hours or a higher temperature",
            zero=Measure(load.zero_load_temperature, "temperature"),
        )
    runs = {one.outdoor_temperature: _runs(performance, one.outdoor_temperature) for one in climate.bins if load.at(one.outdoor_temperature) > 0.0}
    bins = tuple(_bin_result(one, load.at(one.outdoor_temperature), runs.get(one.outdoor_temperature), following, reason, degradation) for one in climate.bins)
    balance, balance_point, stops_below = _balance(performance, load, runs)
    heat, from_auxiliary, energy_machine = (
        _SECONDS * math.fsum(one.hours * value(one) for one in bins) for value in (lambda one: one.load, lambda one: one.auxiliary, lambda one: one.power)
    )
    energy_auxiliary = from_auxiliary / auxiliary_cop
    return Season(
        climate=climate.name,
        bins=bins,
        balance=balance,
        balance_point=balance_point,
        stops_below=stops_below,
        heat_delivered=heat,
        heat_auxiliary=from_auxiliary,
        energy_machine=energy_machine,
        energy_auxiliary=energy_auxiliary,
        auxiliary_cop=auxiliary_cop,
        seasonal_cop=heat / (energy_machine + energy_auxiliary),
        machine_cop=(heat - from_auxiliary) / energy_machine if energy_machine > 0.0 else None,
        cost=_charged(energy_machine, electricity_price, energy_auxiliary, auxiliary_price),
        carbon=_charged(energy_machine, electricity_carbon, energy_auxiliary, auxiliary_carbon),
    )


def _check_choices(degradation: float, auxiliary_cop: float, *per_joule: float | None) -> None:
    if not 0.0 <= degradation <= 1.0:
        raise LimitError(f"degradation of {degradation:g} cannot be: use 0 (cycling costs nothing) to 1; 0.25 is usual")
    if not 0.0 < auxiliary_cop < math.inf:
        raise LimitError(f"auxiliary COP of {auxiliary_cop:g} is not positive: use 1 for an electric heater, or a boiler's efficiency such as 0.9")
    if auxiliary_cop > MOST_AUXILIARY_COP:
        raise LimitError(
            f"auxiliary COP of {auxiliary_cop:g} is more than any source of heat has: was a percentage meant? Write 0.9 for 90 %, 1 for an electric heater, "
            f"or up to {MOST_AUXILIARY_COP:g} for a second heat pump"
        )
    per_energy = dict(zip(("electricity price", "auxiliary price", "electricity carbon", "auxiliary carbon"), per_joule, strict=True))
    for what, value in per_energy.items():
        if value is not None and not 0.0 <= value < math.inf:
            raise LimitError(f"{what} of {value:g} per joule cannot be: use 0 or more")
    for what in ("price", "carbon"):
        if per_energy[f"auxiliary {what}"] is not None and per_energy[f"electricity {what}"] is None:
            raise InputError(f"auxiliary {what} is given and electricity {what} is not: the machine runs on electricity, so give both")


def _runs(performance: Performance, outdoor_temperature: float) -> Running | None:
    return _believed(performance(outdoor_temperature), outdoor_temperature)


def _believed(running: Running | None, outdoor_temperature: float) -> Running | None:
    """How the machine runs, if its figures can be."""
    for what in ("capacity", "power") if running is not None else ():
        value = getattr(running, what)
        if not 0.0 < value < math.inf:
            raise LimitError(
                f"machine's {what} of {{given}} at an outdoor temperature of {{at}} is not positive: give None where it does not run",
                given=Measure(value, "power"),
                at=Measure(outdoor_temperature, "temperature"),
            )
    return running


def _bin_result(
    one: Bin, load: float, full: Running | None, following: Following | None, reason: Callable[[float], str] | None, degradation: float
) -> BinResult:
    temperature, hours = one
    if load == 0.0:
        return BinResult(temperature, hours, 0.0, None, 0.0, 0.0, 0.0, 1.0, "no heat needed")
    if full is None:
        why = reason(temperature) if reason is not None else ""
        return BinResult(temperature, hours, load, None, 0.0, load, 0.0, 1.0, f"{STANDS}: {why}" if why else STANDS)
    running = full
    if following is not None and load < full.capacity:
        running = _believed(following(temperature, load), temperature)
        if running is None or running.capacity < load * (1.0 - _SHORT):
            raise LimitError(
                "machine that follows the load gives {given} of {load} at an outdoor temperature of {at}, though it can give {most}: let it follow",
                given=Measure(0.0 if running is None else running.capacity, "power"),
                load=Measure(load, "power"),
                at=Measure(temperature, "temperature"),
                most=Measure(full.capacity, "power"),
            )
    share = min(load / running.capacity, 1.0)
    factor = 1.0 - degradation * (1.0 - share)
    auxiliary = max(load - running.capacity, 0.0)
    return BinResult(temperature, hours, load, full.capacity, running.power * share / factor, auxiliary, share, factor, running.note)


def _balance(performance: Performance, load: BuildingLoad, runs: dict[float, Running | None]) -> tuple[str, float | None, float | None]:
    """What became of the balance point, coming from the warm side; its temperature; where the machine stops if it does so first."""
    temperatures = sorted(runs, reverse=True)
    margins = [_margin(runs[temperature], load.at(temperature)) for temperature in temperatures]
    for at, (temperature, margin) in enumerate(zip(temperatures, margins)):
        if abs(margin) <= _EQUAL * load.at(temperature):
            return "met", temperature, None
        if margin < 0.0:
            if at == 0:
                return "covers none", None, None
            return _crossing(performance, load, temperature, temperatures[at - 1], margin, margins[at - 1])
    return "covers all", None, None


def _margin(running: Running | None, load: float) -> float:
    return (0.0 if running is None else running.capacity) - load


def _crossing(
    performance: Performance, load: BuildingLoad, cold: float, warm: float, at_cold: float, at_warm: float
) -> tuple[str, float | None, float | None]:
    """Where capacity falls below the load, between a cold side where it is short and a warm one where it is not; by chords and halves in turn."""
    halve = False
    while warm - cold > _WIDTH:
        middle = 0.5 * (cold + warm) if halve else _chord(cold, warm, at_cold, at_warm)
        margin = _margin(_runs(performance, middle), load.at(middle))
        if abs(margin) <= _EQUAL * load.at(middle):
            return "met", middle, None
        if margin < 0.0:
            cold, at_cold = middle, margin
        else:
            warm, at_warm = middle, margin
        halve = not halve
    if _runs(performance, cold) is None:
        return "stops", None, warm
    return "met", _chord(cold, warm, at_cold, at_warm), None


def _chord(cold: float, warm: float, at_cold: float, at_warm: float) -> float:
    return cold - at_cold * (warm - cold) / (at_warm - at_cold)


def _charged(energy_machine: float, per_joule: float | None, energy_auxiliary: float, auxiliary_per_joule: float | None) -> float | None:
    if per_joule is None:
        return None
    return energy_machine * per_joule + energy_auxiliary * (per_joule if auxiliary_per_joule is None else auxiliary_per_joule)
