"""Wrong ways of following the circuit: coils and sides exchanged, the valve or a check valve misjudged.

What lives here: those ways, with their corrections.  What does not: reading numbers (wrong_readings), the cycle on the circuit (wrong_cycles).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from hpteach.circuit import INDOOR_COIL, OUTDOOR_COIL, MeteringLayout
from hpteach.questions.paths import NOTHING_STUCK, flags, flow_of, turned
from hpteach.questions.scenarios import Situation
from hpteach.questions.ways import CIRCUIT, CYCLE, WEATHER, Stated, Way, swapped, turned_in_settings, where
from hpteach.questions.weather import QUANTITIES as OF_THE_WEATHER
from hpteach.questions.weather import Weather

_ROLES = (("condenser_indoors", "condenser_outdoors"), ("q_indoor", "q_outdoor"))
_PLACES = tuple(
    (name, other) for name in OF_THE_WEATHER if name.startswith("outdoor_") and (other := name.replace("outdoor", "indoor")) in OF_THE_WEATHER
)
_SIDES = (("p1", "p2"), ("p3", "p4"), ("saturated_suction_temperature", "saturated_condensing_temperature"), ("q_e", "q_c"))


def other_position(situation: Situation, system: str) -> Situation:
    """The reversing valve in its other position: heating for cooling, cooling for heating."""
    stands = situation.stated_circuit
    found = turned_in_settings(situation, lambda setting: replace(setting, valve_position=turned(setting.valve_position)))
    return replace(found, stated_circuit=replace(stands, valve_position=turned(stands.valve_position))) if stands else found


def coils_swapped_in_a_cycle(situation: Situation, system: str) -> Situation:
    """The other coil condenses, in every stated cycle."""
    return turned_in_settings(situation, lambda setting: replace(setting, valve_position=turned(setting.valve_position)))


def coils_swapped(quantities: Mapping[str, float], situation: Situation, system: str) -> dict[str, float]:
    """Of a circuit alone the roles of the coils change places, and the path stays; of a machine in weather all that is indoors and outdoors."""
    if situation.stated_circuit:
        return swapped(quantities, _ROLES[0])
    if isinstance(situation.around, Weather):
        return swapped(quantities, *_ROLES, ("capacity", "outdoor_heat"), *_PLACES)
    return {}


def sides_swapped(quantities: Mapping[str, float], situation: Situation, system: str) -> dict[str, float]:
    """p1 for p2 and p4 for p3, one saturated temperature for the other, q_e for q_c, and the pressure ratio that follows."""
    found = swapped(quantities, *_SIDES)
    for name in ("pressure_ratio", "other_pressure_ratio"):
        if quantities.get(name):
            found[name] = 1.0 / quantities[name]
    return found


def check_valve_ignored(situation: Situation, system: str) -> Situation:
    """The liquid passes the device of the condensing coil, which meters, as if that one stood alone: there is no check valve beside it."""
    stands = situation.stated_circuit
    if stands is None or stands.metering_layout is not MeteringLayout.EACH_COIL:
        return situation
    alone = {INDOOR_COIL: MeteringLayout.INDOOR, OUTDOOR_COIL: MeteringLayout.OUTDOOR}.get(flow_of(stands).condenser)
    return replace(situation, stated_circuit=replace(stands, metering_layout=alone, stuck=NOTHING_STUCK)) if alone else situation


def layout_as_stated(quantities: Mapping[str, float], situation: Situation, system: str) -> dict[str, float]:
    """The flags of the layout stay, as there is a device at each coil."""
    stated = flags(flow_of(situation.stated_circuit)) if situation.stated_circuit else {}
    return {name: stated[name] for name in ("each_coil", "single_indoors", "single_outdoors") if name in stated}


def stuck_part_ignored(situation: Situation, system: str) -> Situation:
    """Nothing is stuck."""
    stands = situation.stated_circuit
    return replace(situation, stated_circuit=replace(stands, stuck=NOTHING_STUCK)) if stands else situation


def _has_a_stuck_part(stated: Stated, quantity: str) -> str:
    return "" if CIRCUIT in stated.tables and "stuck" in stated.keys else "it is about a part that is stuck, and the question states none"


def _has_a_free_valve(stated: Stated, quantity: str) -> str:
    if WEATHER in stated.tables:
        return "a machine in weather would be another one with its valve in the other position: use coils_swapped"
    return where(CYCLE, CIRCUIT, why="it is about the reversing valve")(stated, quantity)


CIRCUITS = (
    Way(
        "coils_swapped",
        "The coils changed places in your thought. Follow the discharge gas through the reversing valve: "
        "the coil it meets first is the condenser.",
        "indoor coil for outdoor coil: condenser for evaporator, q_indoor for q_outdoor",
        where(CYCLE, CIRCUIT, WEATHER, why="it is about the two coils"),
        situation=coils_swapped_in_a_cycle,
        quantities=coils_swapped,
    ),
    Way(
        "wrong_valve_position",
        "That is how it would be with the reversing valve in its other position. See first where the spool stands, "
        "and then follow the gas from the discharge.",
        "heating for cooling, with the whole path",
        _has_a_free_valve,
        situation=other_position,
    ),
    Way(
        "check_valve_ignored",
        "You left out the check valve. Where it stands open, the liquid goes past the metering device beside it, and that device does nothing.",
        "the device at the condensing coil meters, and the liquid line holds a mixture",
        where(CIRCUIT, why="it is about the check valves on the path"),
        situation=check_valve_ignored,
        quantities=layout_as_stated,
    ),
    Way(
        "stuck_part_ignored",
        "That is how the sound circuit works. Here a part is stuck: follow the flow once more, and ask at that part what it lets through.",
        "nothing stuck",
        _has_a_stuck_part,
        situation=stuck_part_ignored,
    ),
    Way(
        "evaporating_and_condensing_swapped",
        "The two sides changed places. The evaporator and the suction have the low pressure and the low temperature; "
        "the discharge and the condenser have the high ones.",
        "p1 for p2, evaporating for condensing temperature, q_e for q_c",
        where(CYCLE, WEATHER, why="it is about the two sides of a cycle"),
        quantities=sides_swapped,
    ),
)  # fmt: skip
"""The wrong ways through the circuit, each with its correction."""
