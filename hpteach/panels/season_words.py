"""A heating season in figures and in words: now, in a tighter house, and with a larger machine.

What lives here: `Compared`, its table, and what matters in it.  What does not: adding a season up (machine.season), its picture.
"""

from __future__ import annotations

from dataclasses import dataclass

from hpteach.machine.climate import Climate
from hpteach.machine.season import Performance, Running, Season
from hpteach.readouts import GENERAL_CAUTION
from hpteach.season_readouts import balance_in_words
from hpteach.tables import Table
from hpteach.units import show

LARGER = 1.25
"""How many times larger in all its parts the machine is that is compared."""

TIGHTER = 1.0 / LARGER
"""The load of the house that is compared: 20 % less, so that load over capacity becomes the same in both ways."""

INVENTED = (
    "The machine is an invented bench unit, prices and carbon are invented examples: put in your own. The load of a real house is worked out by "
    "qualified people to your local standard, and auxiliary heaters and boilers are connected by licensed ones."
)

_KILOWATT_HOUR = 3.6e6  # J
_EQUAL = 0.005  # of the seasonal COP, that reads as no change
_RATING = 280.15  # K: 7 °C, the usual rating point; of the US bins 47 °F is nearest


@dataclass(frozen=True)
class Compared:
    """The season of a house, and what would become of it: tighter house, larger machine, no starts and stops, always at its most.

    `electricity_price` and `auxiliary_price` in money per J of energy; `boiler` whether the auxiliary heat is one.
    """

    now: Season
    tighter: Season
    larger: Season
    steady: Season
    full: Season
    electricity_price: float
    auxiliary_price: float
    boiler: bool
    follows: bool


def hours_with_auxiliary(season: Season) -> float:
    """In how many hours (h) of a season the machine alone is not enough.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> hours_with_auxiliary(season(lambda outdoor: Running(5000.0, 2000.0), average, load_in(average, 6500.0)))
    168.0
    """
    return sum(one.hours for one in season.bins if one.auxiliary > 0.0)


def auxiliary_share(season: Season) -> float:
    """What part of the season's heat is auxiliary (0 to 1).

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average = climate("average")
    >>> round(auxiliary_share(season(lambda outdoor: Running(4000.0, 2000.0), average, load_in(average, 6500.0))), 4)
    0.0414
    """
    return season.heat_auxiliary / season.heat_delivered


def season_figures(compared: Compared, system: str = "SI") -> Table:
    """A row for each figure of the season: now, in a tighter house, with a larger machine; energies in kilowatt-hours.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average, runs = climate("average"), lambda outdoor: Running(6000.0, 2000.0)
    >>> one = season(runs, average, load_in(average, 5000.0), electricity_price=0.3 / 3.6e6, electricity_carbon=0.0)
    >>> compared = Compared(one, one, one, one, one, 0.3 / 3.6e6, 0.3 / 3.6e6, boiler=False, follows=False)
    >>> season_figures(compared).rows[6]
    ('seasonal COP', '2.56', '2.56', '2.56')
    """
    seasons = (compared.now, compared.tighter, compared.larger)
    rows = [
        ("balance point", *(_balance(one, system) for one in seasons)),
        ("hours with auxiliary heat", *(f"{hours_with_auxiliary(one):.0f} h" for one in seasons)),
        ("heat of the season", *(kilowatt_hours(one.heat_delivered) for one in seasons)),
        ("share of auxiliary heat", *(per_cent(auxiliary_share(one)) for one in seasons)),
        ("electricity of the machine", *(kilowatt_hours(one.energy_machine) for one in seasons)),
        ("fuel of the boiler" if compared.boiler else "electricity of the heater", *(kilowatt_hours(one.energy_auxiliary) for one in seasons)),
        ("seasonal COP", *(f"{one.seasonal_cop:.2f}" for one in seasons)),
        ("cost, in your money", *(f"{one.cost:.0f}" for one in seasons)),
        ("carbon dioxide", *(f"{one.carbon:.0f} kg" for one in seasons)),
    ]
    caption = f"The season now, of a house that is {100.0 * (1.0 - TIGHTER):.0f} % tighter, and with a machine that is {100.0 * (LARGER - 1.0):.0f} % larger"
    return Table(caption, ("in one season", "now", "tighter", "larger"), rows, right=(1, 2, 3))


def season_in_words(compared: Compared, performance: Performance, climate: Climate, system: str = "SI") -> tuple[str, ...]:
    """The balance point, why the seasonal COP is not that of one point, what a tighter house and a larger machine change, what heat costs.

    >>> from hpteach.machine.climate import climate
    >>> from hpteach.machine.season import Running, load_in, season
    >>> average, runs = climate("average"), lambda outdoor: Running(6000.0, 2000.0)
    >>> one = season(runs, average, load_in(average, 5000.0), electricity_price=0.3 / 3.6e6, electricity_carbon=0.0)
    >>> compared = Compared(one, one, one, one, one, 0.3 / 3.6e6, 0.3 / 3.6e6, boiler=False, follows=False)
    >>> season_in_words(compared, runs, average)[4]
    'Each kWh of heat costs 0.117 over the season. From an electric heater alone it would cost 0.300.'
    """
    now = compared.now
    said = [balance_in_words(now, system), _auxiliary(compared)]
    return (
        " ".join(filter(None, said)),
        _why_not_one_point(compared, performance, climate, system),
        _tighter(compared, system),
        _larger(compared),
        _money(compared),
        f"Hours of the bins: {climate.source.partition(': ')[0]}. {INVENTED}",
        GENERAL_CAUTION,
    )


def rating_bin(climate: Climate) -> float:
    """The bin (K) that is nearest to 7 °C, the usual point of a rating in heating.

    >>> from hpteach.machine.climate import climate
    >>> round(rating_bin(climate("average")), 2), round(rating_bin(climate("us-region-iv")), 2)
    (280.15, 281.48)
    """
    return min((one.outdoor_temperature for one in climate.bins), key=lambda at: abs(at - _RATING))


def kilowatt_hours(energy: float) -> str:
    """An energy (J) as a meter counts it.

    >>> kilowatt_hours(7.2e9)
    '2000 kWh'
    """
    return f"{energy / _KILOWATT_HOUR:.0f} kWh"


def per_cent(share: float) -> str:
    """A share as per cent, with a decimal where it is small.

    >>> per_cent(0.0312), per_cent(0.31), per_cent(0.0)
    ('3.1 %', '31 %', '0 %')
    """
    return f"{100.0 * share:.0f} %" if share >= 0.0995 or share == 0.0 else f"{100.0 * share:.1f} %"


# Inside -------------------------------------------------------------------------------


def _balance(season: Season, system: str) -> str:
    if season.balance_point is not None:
        return show(season.balance_point, "temperature", system)
    if season.stops_below is not None:
        return f"stops at {show(season.stops_below, 'temperature', system)}"
    return {"covers all": "covers every bin", "covers none": "covers no bin"}.get(season.balance, "-")


def _auxiliary(compared: Compared) -> str:
    now = compared.now
    if now.heat_auxiliary <= 0.0:
        return "No auxiliary heat is needed in these bins."
    energy = now.energy_auxiliary / (now.energy_auxiliary + now.energy_machine)
    return (
        f"Auxiliary heat helps in {hours_with_auxiliary(now):.0f} of the season's hours: it gives {per_cent(auxiliary_share(now))} of the heat "
        f"and takes {per_cent(energy)} of all energy."
    )


def _why_not_one_point(compared: Compared, performance: Performance, climate: Climate, system: str) -> str:
    now, at = compared.now, rating_bin(climate)
    running = performance(at)
    if running is None or now.machine_cop is None:
        return "The machine does not run in this season, so there is no COP of one point to compare with."
    point, full, steady, machine = running.capacity / running.power, compared.full.machine_cop, compared.steady.machine_cop, now.machine_cop
    said = [
        f"Why the seasonal COP is not that of one point: at {show(at, 'temperature', system)}, running without a stop{_speed(compared, running)}, the COP is {point:.2f}.",
        f"Most of the heat is needed in other air, part of it with frost and defrost: {_most(compared)} that leaves {full:.2f}.",
    ]
    if compared.follows and abs(steady - full) >= 0.005:
        said.append(f"Turning only as fast as the house asks, with coils that are then large for the flow, makes it {steady:.2f}.")
    if steady - machine >= 0.005:
        said.append(f"In mild air the machine gives more than is needed and stops and starts: {machine:.2f}.")
    if now.heat_auxiliary > 0.0:
        counted = "with the boiler's fuel counted in" if compared.boiler else "with the heater, which has a COP of 1"
        said.append(f"And {counted}, all heat by all energy is {now.seasonal_cop:.2f}.")
    return " ".join(said)


def _speed(compared: Compared, running: Running) -> str:
    """At which speed the COP of one point is, where a machine has more than one."""
    if not compared.follows:
        return " at its one speed"
    told = next((one.removeprefix("speed ") for one in running.note.split("; ") if one.startswith("speed ")), "")
    return " at its highest speed" + (f" ({told} of the nominal one)" if told else "")


def _most(compared: Compared) -> str:
    return "always at its highest speed" if compared.follows else "at full power"


def _tighter(compared: Compared, system: str) -> str:
    return f"A house that needs {100.0 * (1.0 - TIGHTER):.0f} % less: {_changes(compared.now, compared.tighter, system)}"


def _larger(compared: Compared) -> str:
    now, larger = compared.now, compared.larger
    text = (
        f"A machine {100.0 * (LARGER - 1.0):.0f} % larger: balance point and seasonal COP become those of the tighter house, as only load over capacity counts "
        f"for them; but all the heat is still to be made, and {_moved('the cost', f'{now.cost:.0f}', f'{larger.cost:.0f}')}."
    )
    if larger.seasonal_cop < now.seasonal_cop * (1.0 - _EQUAL):
        return f"{text} Larger is not better here: it stops and starts more often, and there is little auxiliary heat to be saved."
    if larger.seasonal_cop > now.seasonal_cop * (1.0 + _EQUAL):
        return f"{text} It saves auxiliary heat, which counts for more here than stopping and starting more often; what it costs to buy is not counted."
    return text


def _changes(now: Season, then: Season, system: str) -> str:
    parts = [
        _moved("the balance point", _balance(now, system), _balance(then, system)),
        _moved("the share of auxiliary heat", per_cent(auxiliary_share(now)), per_cent(auxiliary_share(then))),
        _moved("the seasonal COP", f"{now.seasonal_cop:.2f}", f"{then.seasonal_cop:.2f}"),
        _moved("the cost", f"{now.cost:.0f}", f"{then.cost:.0f}"),
    ]
    return f"{', '.join(parts[:-1])}, and {parts[-1]}."


def _moved(what: str, before: str, after: str) -> str:
    return f"{what} stays ({before})" if before == after else f"{what} goes from {before} to {after}"


def _money(compared: Compared) -> str:
    now = compared.now
    of_season = now.cost / (now.heat_delivered / _KILOWATT_HOUR)
    text = f"Each kWh of heat costs {of_season:.3f} over the season."
    if not compared.boiler:
        return f"{text} From an electric heater alone it would cost {compared.electricity_price * _KILOWATT_HOUR:.3f}."
    alone = compared.auxiliary_price * _KILOWATT_HOUR / now.auxiliary_cop
    text = f"{text} From the boiler alone, at an efficiency of {now.auxiliary_cop:g}, it would cost {alone:.3f}."
    if alone > 0.0:
        equal = compared.electricity_price * _KILOWATT_HOUR / alone
        text += f" The machine is the cheaper one as long as its COP is above {equal:.2f}: the price of electricity over that of the boiler's heat."
    return text
