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
from time import monotonic
from typing import TYPE_CHECKING, Any

from hpteach import units
from hpteach.errors import HpteachError, InputError, Measure, UnitError, UnknownNameError
from hpteach.machine_options import machine_named, machine_of
from hpteach.options import Reader, about, given, plain, read
from hpteach.season_readouts import SeasonChoices

if TYPE_CHECKING:
    from hpteach.machine import Machine
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

_AMBIGUOUS = re.compile("[1-9][0-9]{0,2},[0-9]{3}")
"""A comma that may part thousands or decimals."""

LEAST_LOAD = 100.0
"""W; a house that needs less is a slip of the unit (chosen)."""

COLDEST_ROOM, WARMEST_ROOM = 278.15, 308.15
"""K; 5 and 35 C, beyond which nobody heats a room (chosen)."""

_ORDINARY_ROOM = 293.15
"""K; the room of the rating point of EN 14511 (from memory)."""

_SHOWN_ONLY = frozenset({"--json", "--units"})
"""Options that say how a season is shown, and choose nothing of it."""

_PATIENCE = 2.0
"""s without a word."""

_RATE = re.compile(r"\s*([^0-9.,+\-/]*?)\s*([0-9]*[.,]?[0-9]+)\s*([^0-9/]*?)\s*/\s*([A-Za-z]+)\s*")
_MOST_CURRENCY = 12


def season_of(args: Namespace, reader: Reader, tell: Callable[[str], object] | None = None) -> tuple[Season, SeasonChoices, tuple[str, ...]]:
    """The season of the options, what it was reckoned with, and what is to be remarked; `tell` hears how far it is where it takes long.

    Raises what reading the options and adding up raise, beginning with the option, and `InputError` for a load that no house has; also for a machine that runs in no weather of the season.
    """
    from hpteach.machine.running import FROST_COUNTED, MachineInWinter
    from hpteach.machine.season import load_in, season

    where = climate_of(args)
    design_load = read("--design-load", args.design_load, lambda: units.read(args.design_load, "power"))
    _require_order(where, args)
    try:
        load = load_in(where, design_load)
    except HpteachError as error:
        raise about(error, _blamed(error, args)) from None
    if load.design_load < LEAST_LOAD:
        raise InputError(
            f"--design-load {_told(args.design_load)} is less than any house needs: use {{least}} or more, such as {{such}}",
            least=Measure(LEAST_LOAD, "power"), such=Measure(9000.0, "power"),
        )  # fmt: skip
    indoor_temperature = read("--indoor", args.indoor, lambda: units.read(args.indoor, "temperature"))
    _require_room(indoor_temperature, where, args)
    degradation = read("--degradation", args.degradation, lambda: units.read(args.degradation, "ratio"))
    auxiliary_cop = read("--auxiliary-cop", args.auxiliary_cop, lambda: units.read(args.auxiliary_cop, "ratio"))
    prices, currency = _prices(args)
    machine, remarks = machine_of(args if args.refrigerant or args.machine else Namespace(refrigerant=DEFAULT_REFRIGERANT, machine=None))
    try:
        winter = MachineInWinter(machine, indoor_temperature, where.moisture, pressure=reader.atmosphere)
    except HpteachError as error:
        raise about(error, _blamed(error, args)) from None
    _require_running(machine, indoor_temperature, reader.atmosphere, args)
    try:
        asked = {"performance": winter.performance, "following": winter.following}
        if tell is not None:
            heated = sum(load.at(one.outdoor_temperature) > 0.0 for one in where.bins)
            asked = {name: function and _watched(function, name, heated, tell) for name, function in asked.items()}
        found = season(
            asked["performance"], where, load, following=asked["following"], reason=winter.reason, degradation=degradation, auxiliary_cop=auxiliary_cop, **prices,
        )  # fmt: skip
    except HpteachError as error:
        raise about(error, _blamed(error, args)) from None
    heated = [one for one in found.bins if one.load > 0.0 and one.hours > 0.0]
    if all(one.capacity is None for one in heated) and (refused := winter.refused(heated[-1].outdoor_temperature)) is not None:
        raise about(refused, f"{_machine_named(args)} and {_named('--climate', args)} and {_named('--indoor', args)}: it runs in no bin that needs heat, for even in the mildest")
    return found, SeasonChoices(
        machine=machine, climate=where, load=load, indoor_temperature=indoor_temperature, degradation=degradation, auxiliary_cop=auxiliary_cop,
        prices=prices, currency=currency, chosen=frozenset(vars(args).get("_seen", ())) - _SHOWN_ONLY, frost=FROST_COUNTED,
    ), remarks  # fmt: skip


def climate_of(args: Namespace) -> Climate:
    """The climate of --climate, a name or a file of hours, with the temperatures of --design-temperature and --zero-load.  Raises `UnknownNameError`.

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
    """A price or carbon for each joule, and its currency ("" where there is none; kg for carbon).  Raises `UnitError`, and `UnknownNameError` for a unit of energy.

    >>> rate("0.36 EUR/kWh", "price")
    (1e-07, 'EUR')
    >>> rate("250g/kWh", "carbon")[0] == 0.25 / 3.6e6
    True
    """
    example = "0.30/kWh or '0.30 EUR/kWh'" if what == "price" else "0.25kg/kWh or 250g/kWh"
    found = _RATE.fullmatch(text) if len(text) <= 60 else None
    if found is None:
        wanted = "no price" if what == "price" else "no amount of carbon dioxide"
        raise UnitError(f"{text[:60]!r} is {wanted} for a unit of energy: write it as {example}".replace("{", "(").replace("}", ")"))
    before, number, behind, energy = found.groups()
    if _AMBIGUOUS.fullmatch(number):
        short = number.replace(",", ".").rstrip("0").rstrip(".")
        raise UnitError(f"{text[:60]!r} has a comma that may part thousands or decimals: write {number.replace(',', '')} or {short}")
    if energy in ("mWh", "mwh", "mJ", "mj"):
        raise UnitError(f"{text[:60]!r} is for a thousandth of a watt-hour or joule: write kWh, MWh or MJ, with a capital M for a million")
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


def _told(text: str) -> str:
    """What was typed, fit to stand in a sentence with gaps."""
    return text[:60].replace("{", "(").replace("}", ")")


def _named(option: str, args: Namespace) -> str:
    """An option with its value; a default says so."""
    text = given(args, option)
    return option if text is None else f"{option} {_told(text)}"


def _machine_named(args: Namespace) -> str:
    return machine_named(args) if args.refrigerant or args.machine else f"--refrigerant {DEFAULT_REFRIGERANT} (the default)"


def _require_order(climate: Climate, args: Namespace) -> None:
    """Refuse a zero-load temperature that is not above the design temperature, blaming what was given."""
    if climate.design_temperature < climate.zero_load_temperature:
        return
    design, zero = given(args, "--design-temperature"), given(args, "--zero-load")
    temperatures = {"design": Measure(climate.design_temperature, "temperature"), "zero": Measure(climate.zero_load_temperature, "temperature")}
    if design is None and zero is not None:
        raise InputError(
            f"{_named('--zero-load', args)}: zero-load temperature of {{zero}} is not above the design temperature of {{design}}: "
            "use a higher one, or a lower --design-temperature", **temperatures,
        )  # fmt: skip
    if design is None:
        raise InputError(
            f"{_named('--climate', args)}: its coldest bin with hours, {{design}}, is not below the zero-load temperature of {{zero}}, so there is nothing to heat: "
            "give colder hours, or a higher --zero-load", **temperatures,
        )  # fmt: skip


def _require_room(room: float, climate: Climate, args: Namespace) -> None:
    """Refuse a room that nobody heats, and one that is colder than the air from which the house needs no heat."""
    zero = climate.zero_load_temperature
    if not COLDEST_ROOM <= room <= WARMEST_ROOM:
        raise InputError(
            f"{_named('--indoor', args)}: room temperature of {{given}} is not one to which a house is heated: use {{least}} to {{most}}, "
            "and a --zero-load that is not above it",
            given=Measure(room, "temperature"), least=Measure(COLDEST_ROOM, "temperature", "least"), most=Measure(WARMEST_ROOM, "temperature", "most"),
        )  # fmt: skip
    if zero > room:
        raise InputError(
            f"{_named('--indoor', args)} and {_named('--zero-load', args)} contradict each other: a room at {{room}} loses no heat to air at {{zero}}, "
            "from which it needs none: use a warmer room or a lower zero-load temperature",
            room=Measure(room, "temperature"), zero=Measure(zero, "temperature"),
        )  # fmt: skip


def _require_running(machine: Machine, room: float, pressure: float, args: Namespace) -> None:
    """Refuse a machine that finds no balance even in ordinary weather: it would stand still all through the season."""
    from hpteach.machine.running import refused_in_ordinary_weather

    refused = refused_in_ordinary_weather(machine, room, pressure)
    if refused is not None:
        anyway = refused_in_ordinary_weather(machine, _ORDINARY_ROOM, pressure) is not None
        raise about(refused, _machine_named(args) if anyway else f"{_named('--indoor', args)} with {_machine_named(args)}")


def _watched(function: Callable[..., Any], name: str, bins: int, tell: Callable[[str], object]) -> Callable[..., Any]:
    """The function, which tells from time to time how many bins it has been asked for."""
    asked: set[float] = set()
    last = monotonic()

    def watched(temperature: float, *load: float) -> Any:
        nonlocal last
        asked.add(temperature)
        if monotonic() - last > _PATIENCE:
            last = monotonic()
            doing = "most capacity" if name == "performance" else "speed that follows the load"
            tell(f"Working: {doing}, bin {min(len(asked), bins)} of {bins}.")
        return function(temperature, *load)

    return watched


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
