"""A machine in weather as tables in the reader's units, as a dictionary for JSON, and in sentences.

What lives here: the layouts of `machine.Operation`.  What does not: the balance (machine), reading a command line (machine_options, cli).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from hpteach.readouts import cautions, cycle_dictionary, points_table
from hpteach.tables import Table
from hpteach.units import STANDARD_ATMOSPHERE, sentence, show, unit_shown

if TYPE_CHECKING:
    from hpteach.fluids import MoistAir, Refrigerant
    from hpteach.machine.coils import Zone
    from hpteach.machine.operation import CoilAtWork, Operation

NO_LIMIT = "No limit of the machine is reached in this weather. That is no permission: the limits are those of an invented or a given machine file."
BTU_PER_WATT_HOUR = 3600.0 / 1055.05585262
"""The international table Btu is 1055.05585262 J by definition."""
STEADY = "Steady running with a coil that is still clean: frost that has grown, and defrost, are not in these figures."


def operation_dictionary(refrigerant: Refrigerant, found: Operation) -> dict[str, Any]:
    """A machine in weather in SI: all that `readouts.cycle_dictionary` tells of its cycle, and what the machine does.

    `compressor_W` = mass flow x specific work + `heat_loss_W`.  Heat of a coil and of its zones is what the air gains, so negative where
    the refrigerant boils.  `cop` counts compressor and fans; `cop_heating` and `cop_cooling` are those of the refrigerant alone.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air, refrigerant
    >>> from hpteach.machine import demo_machine, operate
    >>> found = operate(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, wet_bulb=297.15), moist_air(300.15, wet_bulb=292.15))
    >>> told = operation_dictionary(refrigerant("R-32"), found)
    >>> told["points"][0]["place"], told["frosting"], round(told["capacity_W"] - told["sensible_W"] - told["latent_W"], 6)
    ('compressor, suction', False, 0.0)
    """
    metering = found.machine.metering(found.valve_position)
    cycle = cycle_dictionary(refrigerant, found.cycle)
    said = cycle.pop("cautions")
    return cycle | {
        "machine": found.machine.name,
        "machine_note": found.machine.note,
        "outdoor": air_dictionary(found.outdoor),
        "indoor": air_dictionary(found.indoor),
        "supply_air": air_dictionary(found.supply_air),
        "air_pressure_Pa": found.outdoor.pressure,
        "speed_ratio": found.speed_ratio,
        "capacity_W": found.capacity,
        "sensible_W": found.sensible,
        "latent_W": found.latent,
        "compressor_W": found.compressor_power,
        "heat_loss_W": found.heat_loss,
        "fans_W": found.fan_power,
        "power_W": found.power,
        "cop": found.cop,
        "saturated_suction_K": found.saturated_suction_temperature,
        "saturated_condensing_K": found.saturated_condensing_temperature,
        "superheat_K": found.superheat,
        "coil_superheat_K": found.coil_superheat,
        "subcooling_K": found.subcooling,
        "discharge_K": found.discharge_temperature,
        "mass_flow_kg_per_s": found.mass_flow,
        "isentropic_efficiency": found.isentropic_efficiency,
        "volumetric_efficiency": found.volumetric_efficiency,
        "charge_kg": found.charge,
        "held_aside_kg": found.machine.charge - found.machine.circulating(found.valve_position),
        "valve": {"kind": metering.kind, "share_open": found.share_open, "fully_open": found.fully_open},
        "frosting": found.frosting,
        "frost_kg_per_s": found.frost_rate,
        "coils": [_coil_dictionary(coil) for coil in (found.indoor_coil, found.outdoor_coil)],
        "limits": [{"id": limit.id, "sentence": sentence(limit)} for limit in found.limits],
        "cautions": said,
    }


def air_dictionary(air: MoistAir) -> dict[str, float]:
    """Air by dry bulb, wet bulb (K) and relative humidity (0 to 1).

    >>> from hpteach.fluids import moist_air
    >>> air_dictionary(moist_air(293.15, wet_bulb=288.15))["wet_bulb_K"]
    288.15
    """
    return {"dry_bulb_K": air.dry_bulb, "wet_bulb_K": air.wet_bulb, "relative_humidity": air.relative_humidity}


def operation_tables(found: Operation, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> tuple[Table, ...]:
    """The air, what the machine does, its state points with their places, and both coils zone by zone.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> found = operate(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, wet_bulb=297.15), moist_air(300.15, wet_bulb=292.15))
    >>> operation_tables(found)[0].rows[0]
    ('outdoors', '35.0 °C', '24.0 °C', '40 %')
    """
    points = replace(points_table(found.cycle, system, atmosphere=atmosphere), caption=f"{found.cycle.refrigerant}: the state points and where they are, reference iir")
    return _air_table(found, system), _does_table(found, system), points, _coils_table(found, system)


def operation_in_words(found: Operation, system: str = "SI") -> tuple[str, ...]:
    """Why the machine settles where it does: what boils and condenses how far from its air, and where the heat comes from.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> found = operate(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, wet_bulb=297.15), moist_air(300.15, wet_bulb=292.15))
    >>> operation_in_words(found)[2].split(",")[0]
    'Of the 10.00 kW that the room loses'
    """
    heating = found.valve_position.value == "heating"
    evaporator, condenser = (found.outdoor_coil, found.indoor_coil) if heating else (found.indoor_coil, found.outdoor_coil)

    def power(value: float) -> str:
        return show(value, "power", system)

    def apart(value: float) -> str:
        return show(value, "temperature difference", system)

    boils, condenses = found.saturated_suction_temperature, found.saturated_condensing_temperature
    air_cold, air_warm = evaporator.entering.dry_bulb, condenser.entering.dry_bulb
    fan = found.machine.indoor_coil.fan_power
    said = [
        f"The {evaporator.place} takes heat from air at {show(air_cold, 'temperature', system)}: it settles with the suction at "
        f"{show(boils, 'temperature', system)} (dew), {apart(air_cold - boils)} below that air, where the coil boils just what the compressor takes.",
        f"The {condenser.place} gives heat to air at {show(air_warm, 'temperature', system)}: it settles at {show(condenses, 'temperature', system)} (dew), "
        f"{apart(condenses - air_warm)} above that air.",
    ]
    if heating:
        said.append(
            f"Of the {power(found.capacity)} that the room gains, {power(-evaporator.heat)} come from the outdoor air, "
            f"{power(found.compressor_power - found.heat_loss)} from the compressor and {power(fan)} from the indoor fan."
        )
    else:
        said.append(
            f"Of the {power(found.capacity)} that the room loses, {power(found.sensible)} make the air colder and {power(found.latent)} {'freeze' if found.frosting else 'condense'} moisture; "
            f"the heat of the indoor fan, {power(fan)}, is taken off already."
        )
    said.append(f"For {_electricity(found.power)} of electricity, fans included, that is a COP of {found.cop:.2f}; the COP of the refrigerant alone counts no fans.")
    if found.frosting:
        part = "a part of its surface" if evaporator.frost < 1.0 else "its surface"
        grows = f"Ice grows on the {evaporator.place}, {show(found.frost_rate, 'water flow', system)}: {part} is below freezing and below the dew point of the air."
        said.append(f"{grows} {STEADY}" if heating else grows)
    return tuple(said)


def limits_in_words(found: Operation, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> tuple[str, ...]:
    """The limits that are reached in the reader's units, each beginning with the word Limit; where there is none, that this permits nothing.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> found = operate(demo_machine("R-32"), ValvePosition.HEATING, moist_air(251.15, relative_humidity=0.8), moist_air(293.15, relative_humidity=0.4))
    >>> limits_in_words(found, "IP")[0][:28]
    'Limit: Discharge temperature'
    """
    return tuple(f"Limit: {sentence(limit, system, atmosphere=atmosphere)}" for limit in found.limits) or (NO_LIMIT,)


def operation_cautions(refrigerant: Refrigerant) -> list[str]:
    """What to mind with the refrigerant and with computed figures, as `readouts.cautions` has it.

    >>> from hpteach.fluids import refrigerant
    >>> len(operation_cautions(refrigerant("R-32")))
    2
    """
    return cautions(refrigerant.listing)


# Inside -------------------------------------------------------------------------------


def _coil_dictionary(coil: CoilAtWork) -> dict[str, Any]:
    return {
        "place": coil.place,
        "role": coil.role,
        "heat_W": coil.heat,
        "sensible_W": coil.sensible,
        "latent_W": coil.latent,
        "air_flow_m3_per_s": coil.air_flow,
        "air_in": air_dictionary(coil.entering),
        "air_out": air_dictionary(coil.leaving),
        "water_kg_per_s": coil.water,
        "frost_share": coil.frost,
        "zones": [{"name": zone.name, "share": zone.share, "heat_W": -zone.heat, "surface": _surface(zone)} for zone in coil.zones],
    }


def _surface(zone: Zone) -> str:
    """What the air finds: a dry surface, one with dew, or one with frost."""
    if not zone.met.wet:
        return "dry"
    return "frosting" if zone.met.frozen_share > 0.0 else "wet"


def _electricity(value: float) -> str:
    """Kilowatts in both systems, as on a meter."""
    return show(value, "power", "SI")


def _air(air: MoistAir, system: str) -> tuple[str, str, str]:
    return show(air.dry_bulb, "temperature", system), show(air.wet_bulb, "temperature", system), show(air.relative_humidity, "relative humidity", system)


def _air_table(found: Operation, system: str) -> Table:
    rows = [(place, *_air(air, system)) for place, air in (("outdoors", found.outdoor), ("in the room", found.indoor), ("supplied to the room", found.supply_air))]
    return Table(f"{found.machine.name} in {found.valve_position.value}: the air", ("air", "dry bulb", "wet bulb", "relative humidity"), rows, right=(1, 2, 3))


def _does_table(found: Operation, system: str) -> Table:
    def row(name: str, value: float | None, kind: str, note: str = "") -> tuple[str, str, str]:
        return name, "-" if value is None else show(value, kind, system), note

    heating = found.valve_position.value == "heating"
    metering = found.machine.metering(found.valve_position)
    rows = [
        row("capacity", found.capacity, "power", "heat to the room, indoor fan included" if heating else "heat from the room, indoor fan taken off"),
        *([] if heating else [row("of it sensible", found.sensible, "power", "colder air"), row("of it latent", found.latent, "power", "frozen moisture" if found.frosting else "condensed moisture")]),
        ("compressor", _electricity(found.compressor_power), f"electricity; its shell loses {show(found.heat_loss, 'power', system)} to the air"),
        ("fans", _electricity(found.fan_power), "electricity of both"),
        ("COP", f"{found.cop:.2f}", "capacity / (compressor + fans)" + (f", {found.cop * BTU_PER_WATT_HOUR:.1f} Btu/Wh" if system == "IP" else "")),
        row("saturated suction", found.saturated_suction_temperature, "temperature", "dew, at the compressor"),
        row("saturated condensing", found.saturated_condensing_temperature, "temperature", "dew, at the compressor"),
        ("pressure ratio", f"{found.pressure_ratio:.2f}", "p2 / p1, absolute"),
        row("superheat", found.superheat, "temperature difference", "at the compressor, above the dew point"),
        row("subcooling", found.subcooling, "temperature difference", "of the liquid, below the bubble point"),
        row("discharge temperature", found.discharge_temperature, "temperature"),
        row("mass flow", found.mass_flow, "mass flow", "compressor at its nominal speed" if found.speed_ratio == 1.0 else f"compressor at {found.speed_ratio:g} times its nominal speed"),
        row("isentropic efficiency", found.isentropic_efficiency, "ratio", "ideal work over electrical work"),
        row("volumetric efficiency", found.volumetric_efficiency, "ratio"),
        row(f"{metering.kind}, open", found.share_open, "ratio", "share of its full opening"),
    ]
    if heating or found.frosting:
        rows.append(row("frost that grows", found.frost_rate, "water flow", f"on the {found.boiling_coil.place}"))
    return Table("What the machine does", ("quantity", "value", "note"), rows, right=(1,))


def _coils_table(found: Operation, system: str) -> Table:
    power, degrees = unit_shown("power", system).label, unit_shown("temperature", system).label

    def number(value: float, kind: str) -> str:
        return show(value, kind, system).removesuffix(unit_shown(kind, system).label).rstrip()

    rows = []
    for coil in (found.indoor_coil, found.outdoor_coil):
        ends = [number(air, "temperature") for air in (coil.entering.dry_bulb, coil.leaving.dry_bulb)]
        rows.append((coil.place, coil.role, number(1.0, "ratio"), number(coil.heat, "power"), *ends, show(coil.air_flow, "air flow", system)))
        rows += [("", zone.name, number(zone.share, "ratio"), number(-zone.heat, "power"), "", "", _surface(zone)) for zone in coil.zones]
    headings = ("coil", "zone", "share", f"heat to the air, {power}", f"air in, {degrees}", f"air out, {degrees}", "air flow, surface")
    return Table("Both coils, zone by zone; heat is negative where the air gives it", headings, rows, right=(2, 3, 4, 5))
