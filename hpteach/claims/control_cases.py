"""Claims about controls: thermostat, defrost, reversing valve.

What lives here: one function for each claim, its inputs (SI) with their usual values.  What does not: words (claims.toml).
"""

from __future__ import annotations

import math

from hpteach.circuit import ReversingValve, ValvePosition
from hpteach.claims.bench import HEATING, MILD_DAY, ROOM, heating, with_faults
from hpteach.claims.evidence import WORDS, Evidence, power, ratio, share, temperature
from hpteach.errors import UnknownNameError
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.defrost import stretch
from hpteach.machine.switches import run_with

MELTING = 273.15


def higher_setting_heats_faster(
    fixed: str = "R-32", variable: str = "R-32-variable-speed", outdoors: float = MILD_DAY, room: float = 290.15, high: float = 298.15,
    slow: float = 0.6, fast: float = 1.3,
) -> Evidence:  # fmt: skip
    """The heat into a cool room (K) on the way to a high setting (K): of one speed, and of a compressor that a small demand would let run slowly.

    That a compressor of one speed has no other for another setting is the premise, and nothing to look at.
    What is looked at is whether it brings more as the room nears the high setting.

    >>> higher_setting_heats_faster().verdict
    'half true'
    """
    cool = moist_air(room, relative_humidity=0.5)
    one_speed = heating(demo_machine(fixed), outdoors, room=cool)
    warm_room = heating(demo_machine(fixed), outdoors, room=moist_air(high, relative_humidity=0.5))
    speeds = {name: heating(demo_machine(variable), outdoors, room=cool, speed_ratio=speed) for name, speed in (("slow", slow), ("fast", fast))}
    return Evidence(
        {
            "room": temperature(room),
            "high": temperature(high),
            "capacity_now": power(one_speed.capacity),
            "capacity_warm_room": power(warm_room.capacity),
            "cop_now": ratio(one_speed.cop),
            "cop_warm_room": ratio(warm_room.cop),
            **{f"capacity_{name}": power(one.capacity) for name, one in speeds.items()},
            **{f"cop_{name}": ratio(one.cop) for name, one in speeds.items()},
        },
        {"fixed": warm_room.capacity > one_speed.capacity, "variable": speeds["fast"].capacity > speeds["slow"].capacity},
    )


def still_fan_is_a_fault(machine: str = "R-32", outdoors: float = 268.15) -> Evidence:
    """The outdoor fan stands still while the compressor runs, in a defrost and in heating (K outdoors).

    With the fan running in a defrost, air at -5 C would carry heat off the coil as it does from any coil at one temperature:
    flow of heat = m c (1 - exp(-UA / (m c))) (t coil - t air), with the air side alone.

    >>> still_fan_is_a_fault().verdict
    'half true'
    """
    unit = demo_machine(machine)
    melting = stretch(unit, ROOM, MELTING)
    air, coil = moist_air(outdoors, relative_humidity=0.87), unit.outdoor_coil
    flow = coil.air_flow / air.specific_volume * air.specific_heat
    carried = flow * (1.0 - math.exp(-coil.air_conductance / flow)) * (MELTING - outdoors)
    sound = heating(unit, outdoors)
    still = run_with(unit, HEATING, sound.outdoor, sound.indoor, with_faults("outdoor_fan_failed"))
    return Evidence(
        {
            "outdoors": temperature(outdoors),
            "heat": power(melting.heat),
            "carried": power(carried),
            "carried_share": share(carried / melting.heat),
            "boiling_sound": temperature(sound.saturated_suction_temperature),
            "boiling_still": temperature(still.operation.saturated_suction_temperature),
            "capacity_sound": power(sound.capacity),
            "capacity_still": power(still.operation.capacity),
            "stopped_by": (still.stopped_by or "no switch", WORDS),
        },
        {"defrost": carried < 0.1 * melting.heat, "heating": still.stopped_by is not None or still.operation.capacity < 0.8 * sound.capacity},
    )


def energised_means_cooling(energised: str = "yes") -> Evidence:
    """Where a reversing valve stands with its coil energised (yes or no), for both wirings in use.  Raises `UnknownNameError` for another word.

    >>> energised_means_cooling().verdict
    'half true'
    """
    if energised not in ("yes", "no"):
        raise UnknownNameError.among("answer to whether the coil is energised", energised, ("yes", "no"))
    carries = energised == "yes"
    stands = {f"in_{mode.value}": ReversingValve(energised_in=mode).position(carries) for mode in (ValvePosition.COOLING, ValvePosition.HEATING)}
    return Evidence(
        {"energised": ("energised" if carries else "without current", WORDS), **{name: (position.value, WORDS) for name, position in stands.items()}},
        {name: (position is ValvePosition.COOLING) == carries for name, position in stands.items()},
    )
