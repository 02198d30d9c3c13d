"""The frost panel in figures and in sentences.

What lives here: its two tables, and why frost grows, what starts the defrost, what it costs and what the room feels.
What does not: the moment (frost_moment), the pictures (frost_pictures).
"""

from __future__ import annotations

from hpteach.fluids import listing, saturated_air
from hpteach.machine import Operation
from hpteach.machine.coils import Zone
from hpteach.machine.frost import FrostCycle, Growth, thickness
from hpteach.panels.frost_moment import DEFROST, FrostMoment, lost, supply_in
from hpteach.readouts import cautions
from hpteach.tables import Table
from hpteach.units import show

LITTLE = 0.1
"""kg of frost that is not worth a defrost: it lies a hundredth of a millimetre thick."""

_FREEZING = 273.15
_DEEP, _MILD = 264.15, 279.15
"""K; below the one cold air brings little water, above the other the coil mostly stays free of ice."""

_ALMOST_NOTHING = 0.005


def coil_zone(operation: Operation) -> Zone:
    """The largest zone of the outdoor coil: where the refrigerant boils."""
    return max(operation.outdoor_coil.zones, key=lambda zone: zone.share)


def moment_table(cycle: FrostCycle, moment: FrostMoment, system: str) -> Table:
    """The moment beside the clean machine and the means."""
    clean = cycle.clean

    def temperature(value: float) -> str:
        return show(value, "temperature", system)

    rows = [
        ("capacity", *(show(value, "power", system) for value in (moment.capacity, clean.capacity, cycle.capacity))),
        ("power", *(show(value, "power", system) for value in (moment.power, clean.power, cycle.power))),
        ("COP", "-" if moment.cop is None else f"{moment.cop:.2f}", f"{clean.cop:.2f}", f"{cycle.cop:.2f}"),
        ("supply air", temperature(moment.supply_temperature), temperature(clean.supply_air.dry_bulb), ""),
        ("saturated suction", temperature(moment.saturated_suction_temperature), temperature(clean.saturated_suction_temperature), ""),
        ("outdoor air flow", f"{moment.air_flow_share:.0%}", "100%", ""),
        ("frost on the coil", show(moment.frost, "mass", system), show(0.0, "mass", system), ""),
        ("thickness on each side", show(moment.thickness, "thickness", system), show(0.0, "thickness", system), ""),
    ]
    return Table("", ("", "this moment", "clean coil", "mean with defrost"), rows, right=(1, 2, 3))


def defrost_table(growth: Growth, cycle: FrostCycle, auxiliary_heat: float, system: str) -> Table:
    """The defrost that ends the run."""
    found = cycle.defrost
    if found is None:
        return Table("", ("defrost", ""), [("starts", "never")], right=(1,))
    rows = [
        ("starts after heating for", show(cycle.running, "duration", system)),
        ("started by", _STARTERS[cycle.begins_because]),
        ("duration", show(found.duration, "duration", system)),
        ("frost melted", show(found.melted, "mass", system)),
        *([("frost left", show(found.left, "mass", system))] if found.left > 0.0 else []),
        ("heat to the outdoor coil", show(found.heat, "heat", system)),
        ("heat taken from the room", show(from_the_room(cycle), "heat", system)),
        ("supply air while it melts", show(found.supply_temperature, "temperature", system)),
        (f"with {show(auxiliary_heat, 'power', system)} auxiliary heat", show(found.supply_with(auxiliary_heat), "temperature", system)),
    ]
    return Table("", ("defrost", ""), rows, right=(1,))


_STARTERS = {
    "the clock": "the clock",
    "the coil lies too far below the air": "the coil's excess",
    "the longest time": "the longest time",
    "the coil is blocked": "a blocked coil",
}


def from_the_room(cycle: FrostCycle) -> float:
    """Heat (J) that a defrost takes from the room, the indoor fan's own heat counted."""
    found = cycle.defrost
    return 0.0 if found is None else found.heat_from_room - found.duration * found.fan_power


def frost_in_words(growth: Growth, cycle: FrostCycle, moment: FrostMoment, by_clock: bool, auxiliary_heat: float, system: str) -> list[str]:
    """Why frost grows or not, the moment, the defrost and its price, and what the room feels."""
    said = [_why(growth, system), *_weather(growth, system), _moment(growth, moment, system), *_defrost(growth, cycle, by_clock, system)]
    if cycle.defrost is not None:
        said.append(_room(growth, cycle, auxiliary_heat, system))
    return [*said, CAUTION, *cautions(listing(growth.machine.refrigerant))]


CAUTION = (
    "Caution: in a defrost the outdoor fan stands and starts again by itself, and hot gas heats the outdoor coil: keep hands out, and lock off the power before any work. "
    "Water from the coil freezes on the ground. Never chip ice off fins or pipes: a pierced pipe lets refrigerant out. Your local codes come first."
)


def _why(growth: Growth, system: str) -> str:
    """Whether frost grows on the clean coil, by its surface, freezing and the dew point."""
    clean, air = growth.clean, growth.outdoor
    zone = coil_zone(clean)
    surface, dew = show(zone.met.surface_temperature, "temperature", system), show(air.dew_point, "temperature", system)
    rate, freezing = show(clean.outdoor_coil.water, "water flow", system), show(_FREEZING, "temperature", system)
    if clean.outdoor_coil.water <= 0.0 or not zone.met.wet:
        cold = ", cold as it is" if zone.met.surface_temperature < _FREEZING else ""
        return f"The coil's surface is at {surface}{cold}, but the dew point of the air is {dew}: nothing settles on a surface warmer than the dew point, so no frost grows."
    if not growth.grows:
        return f"The coil's surface is at {surface}: below the dew point of the air, {dew}, but above freezing, {freezing}. Water drips from it, {rate}, and no frost grows."
    if zone.met.frozen_share < 1.0:
        frost = show(clean.frost_rate, "water flow", system)
        where = f"The coil's surface is at {surface}, close to freezing ({freezing}), and below the dew point of the air, {dew}"
        return f"{where}: a part of the water, {frost}, freezes, the rest drips off."
    return f"Frost grows, because the coil's surface, {surface}, is below freezing ({freezing}) and below the dew point of the air ({dew}): {rate} settle on the clean coil."


def _weather(growth: Growth, system: str) -> list[str]:
    """What this weather is to a coil: where most frost grows, and why not here."""
    air = growth.outdoor
    holds = saturated_air(air.pressure).humidity_ratio
    at_freezing = show(holds(_FREEZING), "humidity ratio", system)
    here = show(air.humidity_ratio, "humidity ratio", system)
    if air.dry_bulb < _DEEP:
        most = show(holds(air.dry_bulb), "humidity ratio", system)
        return [f"Deep cold brings little frost: air this cold holds at most {most} of water, where air at freezing holds {at_freezing}."]
    if growth.grows and air.dry_bulb < _MILD and air.relative_humidity > 0.75:
        return [
            f"This is frost weather: air just around freezing holds much water ({here} here), and the coil is still below freezing. "
            "In deeper cold there is less water in the air, and in milder weather the water drips off."
        ]
    return []


def _moment(growth: Growth, moment: FrostMoment, system: str) -> str:
    if moment.stage == DEFROST:
        return f"At this moment the valve stands in cooling position and the outdoor fan is off: {show(moment.frost, 'mass', system)} of frost are still to melt."
    capacity, clean = show(moment.capacity, "power", system), growth.clean
    if moment.frost <= 0.0:
        return f"At this moment the coil is clean and the capacity is {capacity}."
    colder = show(clean.saturated_suction_temperature - moment.saturated_suction_temperature, "temperature difference", system)
    blocked = moment.air_flow_share
    return (
        f"At this moment frost {show(moment.thickness, 'thickness', system)} thick on each side leaves {blocked:.0%} of the air: less air, and a layer that "
        f"keeps heat out. The refrigerant boils {colder} colder than on the clean coil, and the capacity is {capacity} instead of {show(clean.capacity, 'power', system)}."
    )


def _defrost(growth: Growth, cycle: FrostCycle, by_clock: bool, system: str) -> list[str]:
    found = cycle.defrost
    if found is None:
        if not by_clock:
            return ["On demand nothing starts a defrost here, because nothing grows: the machine gives its full capacity all the time."]
        return ["The clock does not run here: the coil is not cold enough. The machine gives its full capacity all the time."]
    share = lost(growth, cycle)
    price = f"With the defrost the mean capacity is {show(cycle.capacity, 'power', system)}: {share.all:.1%} less than from a clean coil"
    parts = f", {share.by_frost:.1%} by frost while it heats and {share.by_defrost:.1%} by the defrost."
    said = [price + (parts if share.by_frost >= _ALMOST_NOTHING else ", nearly all of it by the defrost.")]
    duration, heat = show(found.duration, "duration", system), show(from_the_room(cycle), "heat", system)
    if cycle.begins_because == "the coil is blocked":
        said.append("The coil is blocked before anything starts the defrost: the model ends here, and on a real machine ice would build up. Start the defrost earlier.")
    elif found.melted < LITTLE:
        much = "no frost at all" if found.melted < 0.005 else f"only {show(found.melted, 'mass', system)} of frost"
        said.append(
            f"The clock defrosts for nothing: there is {much} on the coil, but for {duration} the valve turns, metal is warmed and "
            f"{heat} are taken from the room, every time. On demand the machine would go on heating."
            if by_clock
            else f"The longest time starts a defrost though there is {much}."
        )
    else:
        layer = show(thickness(growth.machine.frost, found.melted), "thickness", system)
        melts = f"The defrost melts {show(found.melted, 'mass', system)} ({layer} on each side) in {duration}"
        said.append(f"{melts}; the compressor's work helps, but {heat} come from the room.")
    if found.left > 0.0:
        said.append(f"The longest defrost is over with {show(found.left, 'mass', system)} left: ice builds up from time to time.")
    return said


def _room(growth: Growth, cycle: FrostCycle, auxiliary_heat: float, system: str) -> str:
    found = cycle.defrost
    usual, cold = (show(value, "temperature", system) for value in (cycle.clean.supply_air.dry_bulb, found.supply_temperature))
    said = f"What the room feels: instead of {usual} the outlets blow {cold}, colder than the room at {show(growth.indoor.dry_bulb, 'temperature', system)}."
    if auxiliary_heat <= 0.0:
        return f"{said} Without auxiliary heat people call it a cold draught."
    warmed = supply_in(found.melting, found.fan_power, auxiliary_heat)
    enough = "" if warmed >= growth.indoor.dry_bulb else ", still colder than the room"
    return f"{said} With {show(auxiliary_heat, 'power', system)} of auxiliary heat it is {show(warmed, 'temperature', system)}{enough}."
