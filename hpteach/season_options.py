"""A heating season from the options of the command line.

What lives here: which option gives which choice of a season, prices and carbon as texts, and refusals that begin with the option to blame.
What does not: the season (machine), how it is printed (season_readouts, cli).
"""

from __future__ import annotations

import re
from argparse import Namespace
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from hpteach import units
from hpteach.errors import HpteachError, InputError, UnitError, UnknownNameError
from hpteach.machine_options import machine_of
from hpteach.options import Reader, about, given, plain, read
from hpteach.season_readouts import SeasonChoices

if TYPE_CHECKING:
    from hpteach.machine.climate import Climate
    from hpteach.machine.season import Season

DEFAULT_REFRIGERANT = "R-410A"
"""Whose demo machine (invented) heats where no machine is named."""

MONEY = ("--degradation", "--auxiliary-cop", "--electricity-price", "--auxiliary-price", "--carbon", "--auxiliary-carbon")
"""Options that say what running costs."""

_ENERGIES = {"wh": 3.6e3, "kwh": 3.6e6, "mwh": 3.6e9, "j": 1.0, "mj": 1e6, "gj": 1e9, "therm": 1.05505585262e8}
"""J in each unit of energy that a price or carbon may be for; a therm is 100 000 Btu."""

_MASSES = {"g": 1e-3, "kg": 1.0, "lb": 0.45359237, "t": 1e3}
"""kg in each unit of carbon dioxide."""

_RATE = re.compile(r"\s*([^0-9.,+\-/]*?)\s*([0-9]*[.,]?[0-9]+)\s*([^0-9/]*?)\s*/\s*([A-Za-z]+)\s*")
_MOST_CURRENCY = 12


def season_of(args: Namespace, reader: Reader) -> tuple[Season, SeasonChoices, tuple[str, ...]]:
    """The season of the options, what it was reckoned with, and what is to be remarked.

    Raises what reading the options and adding up raise, beginning with the option.
    """
    from hpteach.machine.running import FROST_COUNTED, MachineInWinter
    from hpteach.machine.season import load_in, season

    where = climate_of(args)
    design_load = read("--design-load", args.design_load, lambda: units.read(args.design_load, "power"))
    try:
        load = load_in(where, design_load)
    except HpteachError as error:
        raise about(error, _blamed(error, args)) from None
    indoor_temperature = read("--indoor", args.indoor, lambda: units.read(args.indoor, "temperature"))
    degradation = read("--degradation", args.degradation, lambda: units.read(args.degradation, "ratio"))
    auxiliary_cop = read("--auxiliary-cop", args.auxiliary_cop, lambda: units.read(args.auxiliary_cop, "ratio"))
    prices, currency = _prices(args)
    machine, remarks = machine_of(args if args.refrigerant or args.machine else Namespace(refrigerant=DEFAULT_REFRIGERANT, machine=None))
    try:
        winter = MachineInWinter(machine, indoor_temperature, where.moisture, pressure=reader.atmosphere)
        found = season(winter.performance, where, load, following=winter.following, degradation=degradation, auxiliary_cop=auxiliary_cop, **prices)
    except HpteachError as error:
        raise about(error, _blamed(error, args)) from None
    return found, SeasonChoices(
        machine=machine, climate=where, load=load, indoor_temperature=indoor_temperature, degradation=degradation, auxiliary_cop=auxiliary_cop,
        prices=prices, currency=currency, chosen=frozenset(vars(args).get("_seen", ())), frost=FROST_COUNTED,
    ), remarks  # fmt: skip


def climate_of(args: Namespace) -> Climate:
    """The climate of --climate, a name or a file of hours, with the temperatures of --design-temperature and --zero-load.

    >>> climate_of(Namespace(climate="colder", design_temperature="-15C", zero_load=None)).design_temperature
    258.15
    """
    from hpteach.machine.climate import climate, climate_from_file

    text = args.climate

    def called() -> Climate:
        if plain(text).endswith(".csv") or Path(text).is_file():
            return climate_from_file(text)
        try:
            return climate(text)
        except UnknownNameError as error:
            raise UnknownNameError(f"{error.template}; your own hours are a file that ends in .csv") from None

    found = read("--climate", text, called)
    for option, field in (("--design-temperature", "design_temperature"), ("--zero-load", "zero_load_temperature")):
        if (value := given(args, option)) is not None:
            found = read(option, value, _changed(found, field, value))
    return found


def rate(text: str, what: str) -> tuple[float, str]:
    """A price or carbon for each joule, and its currency ("" where there is none; kg for carbon).

    >>> rate("0.36 EUR/kWh", "price")
    (1e-07, 'EUR')
    >>> rate("250g/kWh", "carbon")[0] == 0.25 / 3.6e6
    True
    """
    example = "0.30/kWh or '0.30 EUR/kWh'" if what == "price" else "0.25kg/kWh or 250g/kWh"
    found = _RATE.fullmatch(text) if len(text) <= 60 else None
    if found is None:
        raise UnitError(f"{text[:60]!r} is no {what} for a unit of energy: write it as {example}".replace("{", "(").replace("}", ")"))
    before, number, behind, energy = found.groups()
    if energy.lower() not in _ENERGIES:
        raise UnknownNameError.among("unit of energy", energy, ("kWh", "MWh", "MJ", "GJ", "therm"))
    value = float(number.replace(",", ".")) / _ENERGIES[energy.lower()]
    if what == "price":
        if (before and behind) or max(len(before), len(behind)) > _MOST_CURRENCY:
            raise UnitError(f"{text[:60]!r} has no single currency: write it as {example}")
        return value, before or behind
    if before or behind.lower() not in _MASSES:
        raise UnitError(f"{text[:60]!r} does not say how much carbon dioxide in kg, g or lb: write it as {example}")
    return value * _MASSES[behind.lower()], "kg"


# Inside -------------------------------------------------------------------------------


def _changed(climate: Climate, field: str, text: str) -> Callable[[], Climate]:
    return lambda: replace(climate, **{field: units.read(text, "temperature")})


def _prices(args: Namespace) -> tuple[dict[str, float | None], str]:
    options = {
        "--electricity-price": ("electricity_price", "price"), "--auxiliary-price": ("auxiliary_price", "price"),
        "--carbon": ("electricity_carbon", "carbon"), "--auxiliary-carbon": ("auxiliary_carbon", "carbon"),
    }  # fmt: skip
    prices: dict[str, float | None] = {}
    currencies: dict[str, str] = {}
    for option, (field, what) in options.items():
        text = given(args, option)
        prices[field], currency = (None, "") if text is None else read(option, text, lambda: rate(text, what))
        if text is not None and what == "price":
            currencies[option] = currency
    for option, ground in (("--auxiliary-price", "--electricity-price"), ("--auxiliary-carbon", "--carbon")):
        if given(args, option) is not None and given(args, ground) is None:
            raise InputError(f"{option} {given(args, option)[:60]} stands without {ground}: the machine runs on electricity, so give both")
    if len(set(currencies.values())) > 1:
        both = " and ".join(f"{option} {given(args, option)[:60]}" for option in currencies)
        raise InputError(f"{both} are not in one currency: write both in the same")
    return prices, next(iter(currencies.values()), "")


def _blamed(error: HpteachError, args: Namespace) -> str:
    begins = {
        "design load": "--design-load", "design temperature": "--design-temperature", "degradation": "--degradation", "auxiliary COP": "--auxiliary-cop",
        "electricity price": "--electricity-price", "auxiliary price": "--auxiliary-price", "electricity carbon": "--carbon",
        "auxiliary carbon": "--auxiliary-carbon", "dry bulb": "--indoor",
    }  # fmt: skip
    if error.template.startswith("air pressure"):
        return "--altitude or --atmosphere"
    option = next((option for words, option in begins.items() if error.template.startswith(words)), "--climate")
    text = given(args, option)
    return option if text is None else f"{option} {text[:60]}"
