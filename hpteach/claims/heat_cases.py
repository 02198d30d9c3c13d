"""Claims about heat, cold air and what a machine brings, each tried on a machine in weather.

What lives here: one function for each claim, its inputs (SI) with their usual values.  What does not: words (claims.toml).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from hpteach.claims.bench import MILD_DAY, ROOM, cooling, heating, with_faults
from hpteach.claims.evidence import Evidence, difference, power, ratio, share, temperature
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.climate import Climate, climate
from hpteach.machine.frost import frost_cycle
from hpteach.machine.running import MachineInWinter
from hpteach.machine.running_table import RunningTable, running_table
from hpteach.machine.season import Season, load_in, season

FREEZING = 273.15


def no_heat_below_freezing(machine: str = "R-32", cool: float = 268.15, cold: float = 258.15) -> Evidence:
    """What the outdoor coil takes from air at two temperatures (K) below freezing, and by how much that air is cooled.

    >>> no_heat_below_freezing().verdict
    'false'
    """
    found = {"cool": heating(demo_machine(machine), cool), "cold": heating(demo_machine(machine), cold)}
    return Evidence(
        {
            "cool": temperature(cool),
            "cold": temperature(cold),
            **{f"taken_{name}": power(-one.outdoor_coil.heat) for name, one in found.items()},
            **{f"capacity_{name}": power(one.capacity) for name, one in found.items()},
            **{f"from_air_{name}": share(-one.outdoor_coil.heat / one.capacity) for name, one in found.items()},
            "leaving_cold": temperature(found["cold"].outdoor_coil.leaving.dry_bulb),
            "coil_cold": temperature(found["cold"].saturated_suction_temperature),
        },
        {name: not -one.outdoor_coil.heat > 0.0 for name, one in found.items()},
    )


def more_than_one_breaks_conservation(machine: str = "R-32", mild: float = MILD_DAY, cold: float = 258.15) -> Evidence:
    """Electricity and heat of the air against heat to the room and lost from the shell, at two outdoor temperatures (K).

    >>> more_than_one_breaks_conservation().verdict
    'false'
    """
    found = {"mild": heating(demo_machine(machine), mild), "cold": heating(demo_machine(machine), cold)}
    figures, holds = {"mild": temperature(mild), "cold": temperature(cold)}, {}
    for name, one in found.items():
        entering = one.compressor_power - one.outdoor_coil.heat + one.machine.indoor_coil.fan_power
        leaving = one.capacity + one.heat_loss
        figures |= {
            f"electricity_{name}": power(one.power),
            f"air_{name}": power(-one.outdoor_coil.heat),
            f"room_{name}": power(one.capacity),
            f"cop_{name}": ratio(one.cop),
            f"open_{name}": share(abs(entering - leaving) / entering),
        }
        holds[name] = one.cop > 1.0 and abs(entering - leaving) > 0.01 * entering
    return Evidence(figures, holds)


def cop_tells_how_well_it_is_built(machine: str = "R-32", mild: float = 283.15, cold: float = 263.15, better: float = 0.1) -> Evidence:
    """The same machine on two days (K), and one with a compressor better by a share on the mild and on the cold day: COP and share of the Carnot limit.

    >>> cop_tells_how_well_it_is_built().verdict
    'half true'
    """
    unit = demo_machine(machine)
    compressor = replace(unit.compressor, isentropic_best=unit.compressor.isentropic_best * (1.0 + better))
    finer = replace(unit, compressor=compressor)
    found = {"mild": heating(unit, mild), "cold": heating(unit, cold), "finer_mild": heating(finer, mild), "finer_cold": heating(finer, cold)}
    limits = {name: one.indoor.dry_bulb / (one.indoor.dry_bulb - one.outdoor.dry_bulb) for name, one in found.items()}
    return Evidence(
        {
            "mild": temperature(mild),
            "cold": temperature(cold),
            **{f"cop_{name}": ratio(one.cop) for name, one in found.items()},
            **{f"limit_{name}": ratio(limits[name]) for name in ("mild", "cold")},
            **{f"of_limit_{name}": share(one.cop / limits[name]) for name, one in found.items()},
        },
        {
            "same_day": found["finer_mild"].cop > found["mild"].cop,
            "same_machine": abs(found["mild"].cop / found["cold"].cop - 1.0) < 0.03,
            "other_day": found["finer_cold"].cop > found["mild"].cop,
        },
    )


def larger_difference_is_better(machine: str = "R-32-variable-speed", fast: float = 1.4) -> Evidence:
    """A larger difference between air and coil: by a faster compressor (share of the nominal speed), and by a clogged filter.

    >>> larger_difference_is_better().verdict
    'half true'
    """
    unit = demo_machine(machine)
    found = {"usual": heating(unit), "fast": heating(unit, speed_ratio=fast)}
    clean, dirty = cooling(unit), cooling(unit, faults=with_faults("indoor_coil_dirty"))
    split = {name: one.outdoor.dry_bulb - one.saturated_suction_temperature for name, one in found.items()}
    return Evidence(
        {
            "speed": share(fast),
            **{f"split_{name}": difference(one) for name, one in split.items()},
            **{f"capacity_{name}": power(one.capacity) for name, one in found.items()},
            **{f"cop_{name}": ratio(one.cop) for name, one in found.items()},
            **{f"split_{name}": difference(one.indoor.dry_bulb - one.saturated_suction_temperature) for name, one in (("clean", clean), ("dirty", dirty))},
            **{f"capacity_{name}": power(one.capacity) for name, one in (("clean", clean), ("dirty", dirty))},
        },
        {
            "heat": split["fast"] > split["usual"] and found["fast"].capacity > found["usual"].capacity,
            "cop": split["fast"] > split["usual"] and found["fast"].cop > found["usual"].cop,
            "filter": dirty.capacity > clean.capacity,
        },
    )


def cool_air_means_no_heat(machine: str = "R-32", mild: float = MILD_DAY, cold: float = 263.15, skin: float = 306.15) -> Evidence:
    """The supply air against the skin (K, about 33 C: common practice, no source) on two days, and while a defrost melts ice.

    >>> cool_air_means_no_heat().verdict
    'half true'
    """
    unit = demo_machine(machine)
    found = {"mild": heating(unit, mild), "cold": heating(unit, cold)}
    icy = frost_cycle(unit, moist_air(274.15, relative_humidity=0.9), ROOM).defrost
    below = {name: one.supply_air.dry_bulb for name, one in found.items() if one.supply_air.dry_bulb < skin}
    return Evidence(
        {
            "skin": temperature(skin),
            "room": temperature(ROOM.dry_bulb),
            "mild": temperature(mild),
            "cold": temperature(cold),
            **{f"supply_{name}": temperature(one.supply_air.dry_bulb) for name, one in found.items()},
            **{f"capacity_{name}": power(one.capacity) for name, one in found.items()},
            "supply_defrost": temperature(icy.supply_temperature),
            "minutes": (icy.duration, "duration"),
        },
        {name: not found[name].capacity > 0.0 for name in below} | {"defrost": icy.supply_temperature < ROOM.dry_bulb},
    )


def frost_needs_snow(machine: str = "R-32", damp: float = 275.15, cold: float = 265.15, humidity: float = 0.85, dry: float = 0.5) -> Evidence:
    """Ice that grows on the outdoor coil without any snow: on a damp day just above freezing (K), on a colder one, and in dry cold air.

    >>> frost_needs_snow().verdict
    'false'
    """
    unit = demo_machine(machine)
    found = {"damp": heating(unit, damp, humidity=humidity), "cold": heating(unit, cold, humidity=humidity), "dry": heating(unit, cold, humidity=dry)}
    return Evidence(
        {
            "damp": temperature(damp),
            "cold": temperature(cold),
            "humidity": (humidity, "relative humidity"),
            "humidity_dry": (dry, "relative humidity"),
            **{f"coil_{name}": temperature(one.saturated_suction_temperature) for name, one in found.items()},
            "dew_point_damp": temperature(found["damp"].outdoor.dew_point),
            **{f"ice_{name}": (one.frost_rate, "water flow") for name, one in found.items()},
        },
        {name: not found[name].frosting for name in ("damp", "cold")},
        {"dry": not found["dry"].frosting},
    )


def colder_air_means_lower_cop(
    machine: str = "R-32", mild: float = 283.15, cool: float = 278.15, cold: float = 263.15, damp: float = 274.15, dry: float = 272.15
) -> Evidence:
    """The mean COP over run and defrost on ever colder days (K) of usual humidity; and damp air beside somewhat colder, dry air.

    >>> colder_air_means_lower_cop().verdict
    'true within limits'
    """
    unit = demo_machine(machine)
    days = {"mild": (mild, 0.8), "cool": (cool, 0.8), "cold": (cold, 0.8), "damp": (damp, 0.95), "dry": (dry, 0.6)}
    cops = {name: frost_cycle(unit, moist_air(one, relative_humidity=humidity), ROOM).cop for name, (one, humidity) in days.items()}
    return Evidence(
        {
            **{name: temperature(one) for name, (one, _) in days.items()},
            **{f"cop_{name}": ratio(one) for name, one in cops.items()},
            "humidity_damp": (days["damp"][1], "relative humidity"),
            "humidity_dry": (days["dry"][1], "relative humidity"),
        },
        {"to_cool": cops["cool"] < cops["mild"], "to_cold": cops["cold"] < cops["cool"]},
        {"damp_and_dry": cops["dry"] < cops["damp"]},
    )


@lru_cache(maxsize=8)
def _winter(machine: str, climate_name: str) -> tuple[Climate, RunningTable]:
    place = climate(climate_name)
    return place, running_table(MachineInWinter(demo_machine(machine), ROOM.dry_bulb, place.moisture), place)


def _season(table: RunningTable, place: Climate, design_load: float) -> Season:
    return season(table.performance, place, load_in(place, design_load), following=table.following)


def larger_machine_heats_cheaper(machine: str = "R-32", factor: float = 1.5, small: float = 6e3, large: float = 16e3, place: str = "average") -> Evidence:
    """A winter (EN 14825) of a small and of a large house (W on the design day), with the machine and with one larger by a factor.

    >>> larger_machine_heats_cheaper().verdict
    'half true'
    """
    winter, table = _winter(machine, place)
    found = {
        f"{size}_{name}": _season(one, winter, load)
        for size, load in (("small", small), ("large", large))
        for name, one in (("usual", table), ("larger", table.larger(factor)))
    }
    return Evidence(
        {
            "factor": ratio(factor),
            "small": power(small),
            "large": power(large),
            **{f"cop_{name}": ratio(one.seasonal_cop) for name, one in found.items()},
            **{f"auxiliary_{name}": share(one.heat_auxiliary / one.heat_delivered) for name, one in found.items()},
        },
        {size: found[f"{size}_larger"].seasonal_cop > found[f"{size}_usual"].seasonal_cop for size in ("small", "large")},
    )


def auxiliary_heat_at_freezing(machine: str = "R-32", small: float = 6e3, middle: float = 12e3, large: float = 16e3, place: str = "average") -> Evidence:
    """Capacity and load at freezing, and the balance point, of three houses (W on the design day) with the same machine.

    >>> auxiliary_heat_at_freezing().verdict
    'half true'
    """
    winter, table = _winter(machine, place)
    loads = {"small": small, "middle": middle, "large": large}
    found = {name: _season(table, winter, load) for name, load in loads.items()}
    points = {name: one.balance_point for name, one in found.items()}
    return Evidence(
        {
            "freezing": temperature(FREEZING),
            "capacity": power(table.performance(FREEZING).capacity),
            **{name: power(load) for name, load in loads.items()},
            **{f"load_{name}": power(load_in(winter, load).at(FREEZING)) for name, load in loads.items()},
            **{f"balance_{name}": temperature(point) if point is not None else ("none, it covers the load in every bin", "words") for name, point in points.items()},
        },
        {name: point is not None and abs(point - FREEZING) < 1.5 for name, point in points.items()},
    )
