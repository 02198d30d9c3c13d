"""A heating season as tables in the reader's units, as a dictionary for JSON, and in sentences.

What lives here: the layouts of `machine.season.Season`.  What does not: adding it up (machine), reading a command line (cli).
Electricity is in kilowatts and energy in kilowatt-hours in both systems, as the meter counts them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hpteach.readouts import GENERAL_CAUTION
from hpteach.tables import Table
from hpteach.units import show, unit_shown

if TYPE_CHECKING:
    from hpteach.machine import Machine
    from hpteach.machine.climate import Climate
    from hpteach.machine.season import BinResult, BuildingLoad, Season

_KILOWATT_HOUR = 3.6e6  # J
_HOUR = 3600.0  # s
_SMALL_LOAD = 1000.0  # W
_BTU_PER_WATT_HOUR = 3600.0 / 1055.05585262  # the international table Btu is 1055.05585262 J by definition


@dataclass(frozen=True, kw_only=True)
class SeasonChoices:
    """What a season was reckoned with, to be shown beside it.

    `prices` and carbon per J by the names that `machine.season.season` gives them, None where there are none; `currency` of the prices;
    `chosen` the options that were given: every other choice is a default.  `frost` says how frost and defrost are counted.
    """

    machine: Machine
    climate: Climate
    load: BuildingLoad
    indoor_temperature: float
    degradation: float
    auxiliary_cop: float
    prices: dict[str, float | None]
    currency: str
    chosen: frozenset[str]
    frost: str


def choices_dictionary(choices: SeasonChoices) -> dict[str, Any]:
    """What a season was reckoned with in SI; `chosen` lists the options that were given."""
    return {
        "machine": choices.machine.name,
        "machine_note": choices.machine.note,
        "refrigerant": choices.machine.refrigerant,
        "climate_source": choices.climate.source,
        "moisture_source": choices.climate.moisture_source,
        "indoor_K": choices.indoor_temperature,
        "design_load_W": choices.load.design_load,
        "design_temperature_K": choices.load.design_temperature,
        "zero_load_temperature_K": choices.load.zero_load_temperature,
        "degradation": choices.degradation,
        "currency": choices.currency,
        **{f"{name}_{'kg_' if 'carbon' in name else ''}per_J": value for name, value in choices.prices.items()},
        "frost": choices.frost,
        "chosen": sorted(choices.chosen),
    }


def choices_table(choices: SeasonChoices, system: str = "SI") -> Table:
    """What a season was reckoned with, each choice with the option that gave it, or as a default that the option would change."""

    def row(name: str, value: str, *options: str) -> tuple[str, str, str]:
        given = [option for option in options if option in choices.chosen]
        return name, value, " ".join(given) if given else f"default; {' or '.join(options)}"

    def per_kilowatt_hour(name: str, unit: str) -> str:
        value = choices.prices.get(name)
        return "-" if value is None else f"{value * _KILOWATT_HOUR:.3f} {unit}".rstrip() + "/kWh"

    load = choices.load
    rows = [
        row("machine", choices.machine.name, "--machine", "--refrigerant"),
        row("climate", choices.climate.name, "--climate"),
        row("room", show(choices.indoor_temperature, "temperature", system), "--indoor"),
        row("design load", show(load.design_load, "power", system, decimals=_decimals(load.design_load < _SMALL_LOAD, system)), "--design-load"),
        row("at an outdoor temperature of", show(load.design_temperature, "temperature", system), "--design-temperature"),
        row("no heat needed from", show(load.zero_load_temperature, "temperature", system), "--zero-load"),
        row("cost of starting and stopping", f"{choices.degradation:g}", "--degradation"),
        row("auxiliary COP", f"{choices.auxiliary_cop:g}", "--auxiliary-cop"),
        row("price of electricity", per_kilowatt_hour("electricity_price", choices.currency), "--electricity-price"),
        row("carbon of electricity", per_kilowatt_hour("electricity_carbon", "kg"), "--carbon"),
    ]
    if choices.prices.get("auxiliary_price") is not None:
        rows.append(row("price of auxiliary energy", per_kilowatt_hour("auxiliary_price", choices.currency), "--auxiliary-price"))
    if choices.prices.get("auxiliary_carbon") is not None:
        rows.append(row("carbon of auxiliary energy", per_kilowatt_hour("auxiliary_carbon", "kg"), "--auxiliary-carbon"))
    return Table("Reckoned with", ("choice", "value", "from"), rows)


def season_dictionary(season: Season) -> dict[str, Any]:
    """A season in SI: its bins, balance point, heat, energy used, COP, cost and carbon; None where a thing is not there.

    `power_W` is the machine's electrical power and `auxiliary_W` the auxiliary heat, both averages over the bin; `energy_J` is
    what the machine uses and `auxiliary_energy_J` what the auxiliary source uses.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> told = season_dictionary(season(lambda outdoor: Running(6000.0, 2000.0), average, load_in(average, 5000.0)))
    >>> told["bins"][0]["load_W"], told["balance"], told["balance_point_K"], round(told["seasonal_cop"], 2)
    (5000.0, 'covers all', None, 2.56)
    """
    return {
        "climate": season.climate,
        "bins": [
            {
                "outdoor_K": one.outdoor_temperature,
                "hours": one.hours,
                "load_W": one.load,
                "capacity_W": one.capacity,
                "power_W": one.power,
                "auxiliary_W": one.auxiliary,
                "part_load_share": one.part_load_share,
                "part_load_factor": one.part_load_factor,
                "note": one.note,
            }
            for one in season.bins
        ],
        "balance": season.balance,
        "balance_point_K": season.balance_point,
        "stops_below_K": season.stops_below,
        "seasonal_cop": season.seasonal_cop,
        "machine_cop": season.machine_cop,
        "heat_J": season.heat_delivered,
        "auxiliary_heat_J": season.heat_auxiliary,
        "energy_J": season.energy_machine,
        "auxiliary_energy_J": season.energy_auxiliary,
        "auxiliary_cop": season.auxiliary_cop,
        "cost": season.cost,
        "carbon_kg": season.carbon,
        "cautions": [GENERAL_CAUTION],
    }


def season_tables(season: Season, system: str = "SI", *, currency: str = "", frost: str = "") -> tuple[Table, Table]:
    """The bins, and the whole season; `currency` stands behind the cost, and `frost` says in the headings how frost is counted.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> whole = season(lambda outdoor: Running(6000.0, 2000.0), average, load_in(average, 5000.0))
    >>> season_tables(whole)[0].rows[0]
    ('-10.0', '1', '5.00', '6.00', '0.833', '1.74', '0.00', '')
    >>> season_tables(whole)[1].rows[0]
    ('heat delivered', '10328 kWh')
    """
    counted = f", {frost}" if frost else ""
    return _bins_table(season, system, counted), _whole_table(season, system, currency, counted)


def balance_in_words(season: Season, system: str = "SI") -> str:
    """What became of the balance point, as a sentence.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> balance_in_words(season(lambda outdoor: Running(3000.0, 1000.0), average, load_in(average, 6500.0)), "IP")
    'The balance point is 39.2 °F: at that temperature the machine gives just what the house needs; in colder air auxiliary heat helps.'
    """
    heated = [one.outdoor_temperature for one in season.bins if one.load > 0.0]

    def temperature(value: float) -> str:
        return show(value, "temperature", system)

    if season.balance == "met":
        return (
            f"The balance point is {temperature(season.balance_point)}: at that temperature the machine gives just what the house needs; "
            "in colder air auxiliary heat helps."
        )
    if season.balance == "stops":
        return (
            f"The machine covers the load down to {temperature(season.stops_below)} and does not run below: "
            "it stops before capacity and load meet, and auxiliary heat does all in colder air."
        )
    if season.balance == "covers all":
        return f"The machine covers the whole load down to the coldest bin, {temperature(min(heated))}: there is no balance point among the bins."
    return f"The machine does not cover the load even in the mildest bin that needs heat, {temperature(max(heated))}: there is no balance point among the bins."


def season_in_words(season: Season, system: str = "SI") -> tuple[str, ...]:
    """Why the season's COP is what it is: the balance point, what cycling costs, and what auxiliary heat costs.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> season_in_words(season(lambda outdoor: Running(6000.0, 2000.0), average, load_in(average, 5000.0)))[1]
    'In 4910 of 4910 hours the machine gives more than the house needs and starts and stops: that costs 586 kWh, 14.5 % of its electricity.'
    """
    said = [balance_in_words(season, system)]
    hours = sum(one.hours for one in season.bins if one.load > 0.0)
    cycling = [one for one in season.bins if 0.0 < one.part_load_share < 1.0]
    if cycling:
        lost = sum(one.hours * one.power * (1.0 - one.part_load_factor) for one in cycling) * _HOUR
        said.append(
            f"In {sum(one.hours for one in cycling):.0f} of {hours:.0f} hours the machine gives more than the house needs and starts and stops: "
            f"that costs {_kilowatt_hours(lost)}, {100.0 * lost / season.energy_machine:.1f} % of its electricity."
        )
    stands = sum(one.hours for one in season.bins if one.load > 0.0 and one.capacity is None)
    if stands:
        reasons = {one.note.partition(": ")[2]: None for one in season.bins if one.load > 0.0 and one.capacity is None}
        why = "; ".join(filter(None, reasons))
        said.append(f"In {stands:.0f} of {hours:.0f} hours it does not run at all{f': {why}' if why else ''}.")
    said += beyond_limits_in_words(season)
    if season.heat_auxiliary > 0.0:
        energy = season.energy_machine + season.energy_auxiliary
        said.append(
            f"Auxiliary heat gives {100.0 * season.heat_auxiliary / season.heat_delivered:.1f} % of the heat "
            f"and takes {100.0 * season.energy_auxiliary / energy:.1f} % of the energy."
        )
    return tuple(said)


def beyond_limits_in_words(season: Season) -> tuple[str, ...]:
    """For how many hours the machine is beyond which of its compressor's limits, and what a real one does there; nothing where it never is.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> hot = Running(6000.0, 2000.0, "beyond limit: discharge temperature; frost")
    >>> beyond_limits_in_words(season(lambda outdoor: hot, average, load_in(average, 5000.0)))[0][:85]
    'In 4910 of 4910 hours it would run beyond a limit of its compressor (discharge temper'
    """
    heated = [one for one in season.bins if one.load > 0.0 and one.hours > 0.0]
    beyond: dict[str, float] = {}
    for one in heated:
        for limit in _limits_beyond(one):
            beyond[limit] = beyond.get(limit, 0.0) + one.hours
    if not beyond:
        return ()
    hours = sum(one.hours for one in heated if _limits_beyond(one))
    which = ", ".join(f"{limit} {over:.0f} h" for limit, over in beyond.items())
    return (
        f"In {hours:.0f} of {sum(one.hours for one in heated):.0f} hours it would run beyond a limit of its compressor ({which}). "
        "A real machine slows down, injects liquid or vapour into the compressor, or stops there, so these hours are reckoned too well.",
    )


# Inside -------------------------------------------------------------------------------


def _limits_beyond(one: BinResult) -> list[str]:
    from hpteach.machine.season import BEYOND

    return [said.removeprefix(BEYOND) for said in one.note.split("; ") if said.startswith(BEYOND)]


def _bins_table(season: Season, system: str, counted: str) -> Table:
    degrees, power = (unit_shown(kind, system).label for kind in ("temperature", "power"))

    small = max(one.load for one in season.bins) < _SMALL_LOAD

    def watts(value: float | None) -> str:
        return "-" if value is None else show(value, "power", system, decimals=_decimals(small, system)).removesuffix(power).rstrip()

    def row(one: BinResult) -> tuple[str, ...]:
        outdoor = show(one.outdoor_temperature, "temperature", system).removesuffix(degrees).rstrip()
        share = show(one.part_load_share, "ratio", system)
        return (outdoor, f"{one.hours:.0f}", watts(one.load), watts(one.capacity), share, f"{one.power / 1e3:.{3 if small else 2}f}", watts(one.auxiliary), one.note)

    headings = (
        f"outdoor, {degrees}", "hours", f"load, {power}", f"capacity, {power}", "part load", "electricity, kW", f"auxiliary heat, {power}", "note",
    )  # fmt: skip
    caption = f"Bins of {season.climate}: load and most capacity{counted}; part load, power and auxiliary heat on average"
    return Table(caption, headings, [row(one) for one in season.bins], right=range(7))


def _whole_table(season: Season, system: str, currency: str, counted: str) -> Table:
    rows = [
        ("heat delivered", _kilowatt_hours(season.heat_delivered)),
        ("of it auxiliary heat", f"{_kilowatt_hours(season.heat_auxiliary)} ({100.0 * season.heat_auxiliary / season.heat_delivered:.1f} %)"),
        ("electricity of the machine", _kilowatt_hours(season.energy_machine)),
        (f"energy for auxiliary heat, at {season.auxiliary_cop:g}", _kilowatt_hours(season.energy_auxiliary)),
        ("seasonal COP, all heat by all energy", _performance(season.seasonal_cop, system)),
        ("seasonal COP of the machine alone", "-" if season.machine_cop is None else _performance(season.machine_cop, system)),
        ("balance point", "-" if season.balance_point is None else show(season.balance_point, "temperature", system)),
    ]
    if season.cost is not None:
        rows.append(("cost", f"{season.cost:.2f} {currency}".rstrip()))
    if season.carbon is not None:
        rows.append(("carbon dioxide", f"{season.carbon:.0f} kg"))
    return Table(f"The heating season of {season.climate}{counted}", ("quantity", "value"), rows, right=(1,))


def _decimals(small: bool, system: str) -> int | None:
    """A small load needs one figure more in kilowatts; Btu/h have enough."""
    return 3 if small and system == "SI" else None


def _kilowatt_hours(energy: float) -> str:
    return f"{energy / _KILOWATT_HOUR:.0f} kWh"


def _performance(cop: float, system: str) -> str:
    return f"{cop:.2f}" if system == "SI" else f"{cop:.2f} ({cop * _BTU_PER_WATT_HOUR:.2f} Btu/Wh)"
