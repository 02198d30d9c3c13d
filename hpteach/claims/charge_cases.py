"""Claims about charge, superheat, subcooling and pressures as signs, each tried on a machine with faults.

What lives here: one function for each claim, its inputs (SI) with their usual values.  What does not: words (claims.toml).

How much a sign has to differ to count is that of machine.signs (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace

from hpteach.claims.bench import COOLING, HEATING, charged, cooling, heating, with_faults, with_orifices
from hpteach.claims.evidence import Evidence, Value, difference, gauge, power, ratio, share, temperature
from hpteach.fluids import refrigerant
from hpteach.machine import Operation, demo_machine
from hpteach.machine.faults import fault
from hpteach.machine.signs import DOWN, UP, signs_of
from hpteach.machine.switches import run_with

_GRAVITY = 9.81  # m/s2
_MILDER = 298.15  # K outdoors


def liquid_line_never_flashes(machine: str = "R-410A") -> Evidence:
    """What arrives at the metering device: of a sound machine in both modes, short of refrigerant, with a clogged drier; and up which height it stays liquid.

    Both faults count as met every day (common practice, no source).

    >>> liquid_line_never_flashes().verdict
    'half true'
    """
    unit = demo_machine(machine)
    found = {"cooling": cooling(unit), "heating": heating(unit)}
    faulty = {"short": cooling(unit, faults=with_faults("undercharge")), "clogged": cooling(unit, faults=with_faults("liquid_line_restricted"))}
    sound = found["cooling"]
    arriving = sound.before_metering
    spare = arriving.pressure - refrigerant(unit.refrigerant).bubble_pressure(arriving.temperature)
    warm = {name: one.before_metering.temperature - one.outdoor.dry_bulb for name, one in found.items()}
    return Evidence(
        {
            "temperature_cooling": temperature(arriving.temperature),
            "temperature_heating": temperature(found["heating"].before_metering.temperature),
            "above_air": difference(warm["cooling"]),
            "height": (spare / (arriving.density * _GRAVITY), "length"),
            **{f"vapour_{name}": share(one.before_metering.quality or 0.0) for name, one in faulty.items()},
        },
        {name: one.before_metering.quality is None for name, one in (found | faulty).items()},
    )


def no_superheat_is_best(machine: str = "R-410A") -> Evidence:
    """The valve set for less superheat, and the valve stuck open: what becomes of capacity and of the vapour at the compressor.

    >>> no_superheat_is_best().verdict
    'half true'
    """
    unit = demo_machine(machine)
    valve = unit.indoor_metering
    lower = replace(unit, indoor_metering=replace(valve, opens_at=0.5 * valve.opens_at, fully_open_at=0.5 * valve.fully_open_at))
    usual, less, none = cooling(unit), cooling(lower), cooling(unit, faults=with_faults("indoor_metering_stuck_open"))
    liquid = 1.0 - (1.0 if (quality := none.cycle.point("1").quality) is None else quality)
    return Evidence(
        {
            **{f"superheat_{name}": difference(one.superheat) for name, one in (("usual", usual), ("less", less), ("none", none))},
            **{f"capacity_{name}": power(one.capacity) for name, one in (("usual", usual), ("less", less), ("none", none))},
            **{f"cop_{name}": ratio(one.cop) for name, one in (("usual", usual), ("less", less), ("none", none))},
            "liquid": share(liquid),
        },
        {"less": less.capacity > usual.capacity, "none": none.capacity > usual.capacity, "dry": liquid == 0.0},
    )


def high_head_means_overcharge(machine: str = "R-410A", hotter: float = 318.15) -> Evidence:
    """Discharge pressure too high: overcharged, with a dirty outdoor coil, with air in the circuit, and on a hotter day (K).

    >>> high_head_means_overcharge().verdict
    'half true'
    """
    unit = demo_machine(machine)
    ids = {"overcharge": "overcharge", "dirty": "outdoor_coil_dirty", "air": "foreign_gas"}
    runs = {name: cooling(unit, faults=with_faults(id)) for name, id in ids.items()} | {"hotter": cooling(unit, hotter)}
    return _sign_of(cooling(unit), runs, "discharge_pressure", "2", UP, "overcharge", {"outdoors": temperature(hotter)})


def low_suction_means_low_charge(machine: str = "R-410A", missing: float = 0.4, little: float = 0.2, cooler: float = 293.15) -> Evidence:
    """Suction pressure too low: a share of refrigerant missing, with a clogged filter, with a narrowed valve, and on a cooler day (K).

    >>> low_suction_means_low_charge().verdict
    'half true'
    """
    unit = demo_machine(machine)
    sound = cooling(unit)
    faults = {"short": [fault("undercharge", missing)], "filter": with_faults("indoor_coil_dirty"), "narrow": with_faults("indoor_metering_restricted")}
    runs = {name: run_with(unit, COOLING, sound.outdoor, sound.indoor, one).operation for name, one in faults.items()} | {"cooler": cooling(unit, cooler)}
    short_of_little = cooling(charged(unit, 1.0 - little)).cycle.point("1").pressure
    more = {"outdoors": temperature(cooler), "missing": share(missing), "little": share(little), "short_of_little": gauge(short_of_little)}
    return _sign_of(sound, runs, "suction_pressure", "1", DOWN, "short", more)


def _sign_of(sound: Operation, runs: dict[str, Operation], quantity: str, point: str, way: str, blamed: str, more: dict[str, Value]) -> Evidence:
    """A pressure as a sign: it holds where the pressure is off and the blamed cause is there."""
    signs = {name: signs_of(sound, one)[quantity].way for name, one in runs.items()}
    return Evidence(
        {
            "sound": gauge(sound.cycle.point(point).pressure),
            **{name: gauge(one.cycle.point(point).pressure) for name, one in runs.items()},
            **{f"superheat_{name}": difference(one.superheat) for name, one in runs.items()},
            **{f"subcooling_{name}": difference(one.subcooling) for name, one in runs.items()},
            **more,
        },
        {name: name == blamed for name, sign in signs.items() if sign == way},
    )


def charge_by_subcooling(machine: str = "R-410A", missing: float = 0.1) -> Evidence:
    """What a share of missing charge moves most, with a valve and with orifices, and whether that is the subcooling.

    >>> charge_by_subcooling().verdict
    'half true'
    """
    return _moved(machine, missing, "subcooling", "superheat")


def charge_by_superheat(machine: str = "R-410A", missing: float = 0.1) -> Evidence:
    """What a share of missing charge moves most, with a valve and with orifices, and whether that is the superheat.

    >>> charge_by_superheat().verdict
    'half true'
    """
    return _moved(machine, missing, "superheat", "subcooling")


def _moved(machine: str, missing: float, told_by: str, other: str) -> Evidence:
    unit = demo_machine(machine)
    units = {"valve": unit, "orifice": with_orifices(unit)}
    moved: dict[str, dict[str, float]] = {}
    figures: dict[str, Value] = {"missing": share(missing)}
    for name, one in units.items():
        full, less = cooling(one), cooling(charged(one, 1.0 - missing))
        for quantity in ("superheat", "subcooling"):
            figures[f"{quantity}_{name}_full"] = difference(getattr(full, quantity))
            figures[f"{quantity}_{name}_less"] = difference(getattr(less, quantity))
            moved.setdefault(name, {})[quantity] = abs(getattr(less, quantity) - getattr(full, quantity))
    milder = cooling(units["orifice"], _MILDER)
    figures |= {"milder": temperature(_MILDER), "superheat_orifice_milder": difference(milder.superheat)}
    return Evidence(figures, {name: by[told_by] > by[other] for name, by in moved.items()})


def more_refrigerant_is_better(machine: str = "R-410A", size: float = 0.2, hotter: float = 318.15) -> Evidence:
    """A share of refrigerant added to a machine that is short by as much, and to one that has what it needs; the latter on a hotter day (K) too.

    >>> more_refrigerant_is_better().verdict
    'half true'
    """
    unit = demo_machine(machine)
    found = {name: cooling(charged(unit, by)) for name, by in (("short", 1.0 - size), ("right", 1.0), ("much", 1.0 + size))}
    hot = {name: cooling(charged(unit, by), hotter).cycle.point("2").pressure for name, by in (("hot_right", 1.0), ("hot_much", 1.0 + size))}
    return Evidence(
        {
            "size": share(size),
            **{f"capacity_{name}": power(one.capacity) for name, one in found.items()},
            **{f"cop_{name}": ratio(one.cop) for name, one in found.items()},
            **{f"head_{name}": gauge(one.cycle.point("2").pressure) for name, one in found.items()},
            "outdoors": temperature(hotter),
            **{f"head_{name}": gauge(one) for name, one in hot.items()},
        },
        {"filled_up": found["right"].cop > found["short"].cop, "overfilled": found["much"].cop > found["right"].cop},
    )


def frost_means_low_charge(machine: str = "R-410A", cold: float = 275.15, mild: float = 283.15, humidity: float = 0.8, missing: float = 0.4) -> Evidence:
    """Ice on the outdoor coil: of a sound machine on a cold and on a mild day (K), and with a share of refrigerant missing on the mild day.

    >>> frost_means_low_charge().verdict
    'half true'
    """
    unit = demo_machine(machine)
    runs = {"sound_cold": heating(unit, cold, humidity=humidity), "sound_mild": heating(unit, mild, humidity=humidity)}
    air = runs["sound_mild"]
    runs["short_mild"] = run_with(unit, HEATING, air.outdoor, air.indoor, [fault("undercharge", missing)]).operation
    return Evidence(
        {
            "cold": temperature(cold),
            "mild": temperature(mild),
            "missing": share(missing),
            **{f"coil_{name}": temperature(one.saturated_suction_temperature) for name, one in runs.items()},
            **{f"ice_{name}": (one.frost_rate, "water flow") for name, one in runs.items()},
        },
        {name: name.startswith("short") for name, one in runs.items() if one.frosting},
    )
