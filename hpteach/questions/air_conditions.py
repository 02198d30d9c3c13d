"""What a question file may state of air and of a machine in weather: the keys of [air] and [weather], and of [compare] beside them.

What lives here: reading those tables, and what they state with numbers put in.  What does not: what follows (air, weather).

    [weather]                                   [air]
    machine = "R-32"  (or refrigerant)          dry_bulb = "indoor_air"
    valve_position = "heating"                  relative_humidity = "50 %"    (or wet_bulb, dew_point, humidity_ratio)
    outdoor_temperature = "cold"                coil_surface = "10 C"         (or leaving_dry_bulb and leaving_wet_bulb …)
    outdoor_humidity = "80 %"  (or …_wet_bulb)  bypass = "0.1"
    indoor_temperature = "20 C"                 air_flow = "2000 m3/h"
    indoor_humidity = "50 %"   (or …_wet_bulb)

Each holds the name of a drawn quantity, an expression of drawn names, or a fixed text, as in [scenario], which may state the air's
pressure beside them.  `outdoor_air_share` and `indoor_air_share` are the shares of its air flow that a coil still gets; `fault` is one of
the machine's kinds of fault, with `fault_size` as a number.
"""

from __future__ import annotations

from collections.abc import Mapping

from hpteach.circuit import ValvePosition
from hpteach.errors import DataError
from hpteach.fluids import MoistAir, listing, moist_air
from hpteach.machine import demo_machine
from hpteach.questions.air import MOIST, AirAlone
from hpteach.questions.conditions import Condition, read_condition
from hpteach.questions.draws import Draw
from hpteach.questions.entries import Entry
from hpteach.questions.fault_conditions import FaultWeather, fault_named
from hpteach.questions.frost import CLOCK, DEMAND, FrostWeather, start_of_defrost
from hpteach.questions.weather import Weather, machine_called

AIR: Mapping[str, str] = {
    "dry_bulb": "temperature", **MOIST,
    "leaving_dry_bulb": "temperature", **{f"leaving_{name}": kind for name, kind in MOIST.items()},
    "coil_surface": "temperature", "bypass": "ratio", "air_flow": "air flow",
}  # fmt: skip
"""The keys of [air], with their kinds."""

WEATHER: Mapping[str, str] = {
    "machine": "name", "refrigerant": "name", "valve_position": "name",
    "outdoor_temperature": "temperature", "outdoor_wet_bulb": "temperature", "outdoor_humidity": "relative humidity",
    "indoor_temperature": "temperature", "indoor_wet_bulb": "temperature", "indoor_humidity": "relative humidity",
    "speed_ratio": "ratio", "outdoor_air_share": "ratio", "indoor_air_share": "ratio",
    "defrost": "name", "defrost_interval": "duration", "defrost_excess": "temperature difference",
    "fault": "name", "fault_size": "ratio",
}  # fmt: skip
"""The keys of [weather], with their kinds."""

_NAMED = {"machine": demo_machine, "refrigerant": listing, "valve_position": ValvePosition.named, "defrost": start_of_defrost, "fault": fault_named}

# Of each group exactly one is stated, or none where the group begins with a key that stands for it.
_ONE_OF = {
    "air": (tuple(MOIST),),
    "weather": (("machine", "refrigerant"), ("outdoor_wet_bulb", "outdoor_humidity"), ("indoor_wet_bulb", "indoor_humidity")),
}
_NEEDED = {"air": ("dry_bulb",), "weather": ("valve_position", "outdoor_temperature", "indoor_temperature")}
_BEHIND = ("leaving_dry_bulb", *(f"leaving_{name}" for name in MOIST))
_INSTEAD = {
    "air": (tuple(MOIST), _BEHIND[1:], ("leaving_dry_bulb", "coil_surface")),
    "weather": _ONE_OF["weather"],
}


def read_air_conditions(entry: Entry, draws: Mapping[str, Draw], table: str, *, compared: bool = False) -> dict[str, Condition]:
    """The conditions in an [air] or a [weather], or (`compared`) in the [compare] beside one; `table` says which.

    Raises `DataError` for a key or value that is not allowed, two keys that say the same, or a missing one.
    """
    kinds = AIR if table == "air" else WEATHER
    entry.only(kinds)
    found = {key: read_condition(entry, key, kind, draws, _NAMED) for key, kind in kinds.items() if key in entry.data}
    for group in _INSTEAD[table]:
        both = [key for key in group if key in found]
        if len(both) > 1:
            raise entry.refuse(both[1], entry.data[both[1]], f"{both[0]} or {both[1]}, not both")
    if not compared:
        _check_whole(entry, found, table)
        _check_defrost(entry, found)
    return found


def _check_whole(entry: Entry, found: Mapping[str, Condition], table: str) -> None:
    needed = [*((key,) for key in _NEEDED[table]), *_ONE_OF[table]]
    if "leaving_dry_bulb" in found:
        needed.append(_BEHIND[1:])
    for group in needed:
        if not set(group) & set(found):
            raise DataError(f"{entry.file}: {entry.place}.{group[0]} is missing: [{table}] needs {' or '.join(group)}")
    if "leaving_dry_bulb" not in found:
        for key in _BEHIND[1:]:
            if key in found:
                raise entry.refuse(key, entry.data[key], "no such key without leaving_dry_bulb")
    if "bypass" in found and "coil_surface" not in found:
        raise entry.refuse("bypass", entry.data["bypass"], "no such key without coil_surface")


def _check_defrost(entry: Entry, found: Mapping[str, Condition]) -> None:
    for key, start in (("defrost_interval", CLOCK), ("defrost_excess", DEMAND)):
        if key in found and found.get("defrost") != start:
            raise entry.refuse(key, entry.data[key], f'no such key without defrost = "{start}"')
    for key, beside in (("fault_size", "fault" in found), ("fault", "defrost" not in found)):
        if key in found and not beside:
            raise entry.refuse(key, entry.data[key], "no such key " + ("without a fault" if key == "fault_size" else "beside defrost"))


def completed_air(compare: Mapping[str, Condition], stated: Mapping[str, Condition], table: str) -> dict[str, Condition]:
    """The conditions to compare with: those of [compare], and all others as in [air] or [weather]."""
    kept = dict(stated)
    for group in _INSTEAD[table]:
        if set(group) & set(compare):
            for key in group:
                kept.pop(key, None)
    if "coil_surface" in compare:
        for key in _BEHIND:
            kept.pop(key, None)
    return {**kept, **compare}


def air_alone(stated: Mapping[str, float], atmosphere: float) -> AirAlone:
    """The air of a question with its numbers (SI) put in; raises the refusals of `moist_air`.

    >>> air_alone({"dry_bulb": 299.15, "relative_humidity": 0.5}, 101325.0).entering.dry_bulb
    299.15
    """
    leaving = None
    if "leaving_dry_bulb" in stated:
        leaving = _air(stated["leaving_dry_bulb"], {key.removeprefix("leaving_"): stated[key] for key in _BEHIND[1:] if key in stated}, atmosphere)
    return AirAlone(
        entering=_air(stated["dry_bulb"], {key: stated[key] for key in MOIST if key in stated}, atmosphere),
        leaving=leaving,
        surface_temperature=stated.get("coil_surface"),
        air_flow=stated.get("air_flow"),
        **({"bypass": stated["bypass"]} if "bypass" in stated else {}),
    )


def weather_of(stated: Mapping[str, float | str], atmosphere: float) -> Weather:
    """The machine and the weather of a question with its numbers (SI) put in; raises the refusals of `moist_air`.

    >>> weather_of({"machine": "R-32", "valve_position": "heating", "outdoor_temperature": 273.15, "outdoor_humidity": 0.8,
    ...             "indoor_temperature": 293.15, "indoor_humidity": 0.5}, 101325.0).outdoor.dry_bulb
    273.15
    """
    name = stated.get("machine") or stated["refrigerant"]
    machine_called(name)  # refused here rather than at the first number
    airs = {}
    for place in ("outdoor", "indoor"):
        ways = {"wet_bulb": f"{place}_wet_bulb", "relative_humidity": f"{place}_humidity"}
        airs[place] = _air(stated[f"{place}_temperature"], {way: stated[key] for way, key in ways.items() if key in stated}, atmosphere)
    rest = {key: stated[key] for key in ("speed_ratio", "outdoor_air_share", "indoor_air_share") if key in stated}
    rest |= {"machine": name, "valve_position": ValvePosition.named(stated["valve_position"]), **airs}
    if "fault" in stated:
        return FaultWeather(**rest, fault=stated["fault"], fault_size=stated.get("fault_size"))
    if "defrost" not in stated:
        return Weather(**rest)
    of_defrost = {key: stated[f"defrost_{key}"] for key in ("interval", "excess") if f"defrost_{key}" in stated}
    return FrostWeather(**rest, defrost=stated["defrost"], **of_defrost)


def _air(dry_bulb: float, ways: Mapping[str, float], atmosphere: float) -> MoistAir:
    return moist_air(dry_bulb, **ways, pressure=atmosphere)
