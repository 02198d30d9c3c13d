"""A machine in weather: the table, and the sentences that say why its figures are what they are.

What lives here: the table and the sentences of an operation.  What does not: computing it (machine), controls and
pictures (panels.weather).
"""

from __future__ import annotations

from hpteach.circuit import ValvePosition
from hpteach.machine import Operation
from hpteach.machine.sweep import BalancePoint, LoadLine, Sweep
from hpteach.tables import Table
from hpteach.units import sentence, show

_SAME = 0.05
"""K between two outdoor temperatures that are told as one."""

_EVEN = 0.005
"""Share by which the machine may miss the load and still be said to meet it."""


def weather_table(found: Operation, usual: Operation | None, load: LoadLine, system: str = "SI") -> Table:
    """The figures of an operation, beside those at the usual outdoor temperature where there are any.

    Pressures are what gauges read in the air of the weather.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> outdoor, indoor = moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5)
    >>> found = operate(demo_machine("R-290"), ValvePosition.HEATING, outdoor, indoor)
    >>> weather_table(found, None, LoadLine(8000.0, 263.15)).rows[-1]
    ('the house needs', '2.77 kW')
    """
    cooling = found.valve_position is ValvePosition.COOLING

    def at(which: Operation) -> list[tuple[str, str]]:
        air = which.outdoor.pressure
        suction, discharge = which.cycle.point("1"), which.cycle.point("2")
        rows = [
            ("saturated suction", show(which.saturated_suction_temperature, "temperature", system)),
            ("suction pressure", show(suction.pressure, "gauge pressure", system, atmosphere=air)),
            ("suction vapour", show(suction.density, "density", system)),
            ("superheat", show(which.superheat, "temperature difference", system)),
            ("saturated condensing", show(which.saturated_condensing_temperature, "temperature", system)),
            ("discharge pressure", show(discharge.pressure, "gauge pressure", system, atmosphere=air)),
            ("pressure ratio", show(which.pressure_ratio, "ratio", system, decimals=2)),
            ("discharge temperature", show(which.discharge_temperature, "temperature", system)),
            ("subcooling", show(which.subcooling, "temperature difference", system)),
            ("mass flow", show(which.mass_flow, "mass flow", system)),
            (f"{which.valve_position.value} capacity", show(which.capacity, "power", system)),
        ]
        if cooling:
            rows.append(("of that, moisture", show(which.latent, "power", system)))
        return [
            *rows,
            ("power, with both fans", show(which.power, "electric power", system)),
            ("COP", show(which.cop, "ratio", system, decimals=2)),
            ("supply air", show(which.supply_air.dry_bulb, "temperature", system)),
            (f"ice on the {which.boiling_coil.place}", show(which.frost_rate, "water flow", system) if which.frosting else "none grows"),
            ("the house needs", show(load.at(which.outdoor.dry_bulb), "power", system)),
        ]

    columns = [at(one) for one in (found, usual) if one is not None]
    rows = [(name, *(column[index][1] for column in columns)) for index, (name, _) in enumerate(columns[0])]
    heads = ["now", *([f"at {show(usual.outdoor.dry_bulb, 'temperature', system)}"] if usual is not None else [])]
    return Table("", ("", *heads), rows, right=tuple(range(1, 1 + len(columns))))


def weather_in_words(found: Operation, usual: Operation | None, sweep: Sweep, load: LoadLine, balance: BalancePoint, system: str = "SI") -> tuple[str, ...]:
    """What the machine gives, why (coils, vapour, lift), what reaches the room and the house, ice, and the limits reached.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.sweep import sweep
    >>> found = sweep(demo_machine("R-32"), ValvePosition.HEATING, (258.15, 280.15), relative_humidity=0.87, indoor=moist_air(293.15, relative_humidity=0.5))
    >>> load = LoadLine(8000.0, 263.15)
    >>> print(weather_in_words(found.operations[0], found.operations[1], found, load, found.balance_point(load))[1][:64])
    The outdoor coil has to be colder than the air of -15.0 °C: at t
    """
    compared = usual if usual is not None and abs(usual.outdoor.dry_bulb - found.outdoor.dry_bulb) > _SAME else None
    return (
        _given(found, system),
        _vapour(found, compared, system),
        _lift(found, compared, system),
        _room(found, system),
        _house(found, load, system),
        _balance(found, sweep, balance, system),
        *_ends(sweep, system),
        *_ice(found, system),
        *limits_in_words(found, system),
    )


def limits_in_words(found: Operation, system: str = "SI") -> tuple[str, ...]:
    """A sentence for each limit that is reached.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine, operate
    >>> mild = operate(demo_machine("R-290"), ValvePosition.HEATING, moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5))
    >>> limits_in_words(mild)
    ()
    """
    return tuple(f"Limit reached: {sentence(limit, system)}" for limit in found.limits)


def _given(found: Operation, system: str) -> str:
    verb = "heats" if found.valve_position is ValvePosition.HEATING else "cools"
    at, capacity, power = (show(*one, system) for one in ((found.outdoor.dry_bulb, "temperature"), (found.capacity, "power"), (found.power, "electric power")))
    return f"At {at} outdoors the machine {verb} with {capacity} for {power} of compressor and fans: a COP of {found.cop:.2f}."


def _vapour(found: Operation, usual: Operation | None, system: str) -> str:
    heating = found.valve_position is ValvePosition.HEATING
    boils, condenses = (show(one, "temperature", system) for one in (found.saturated_suction_temperature, found.saturated_condensing_temperature))
    air, density = show(found.outdoor.dry_bulb, "temperature", system), show(found.cycle.point("1").density, "density", system)
    coil = (
        f"The outdoor coil has to be colder than the air of {air}: at the compressor's suction the dew point is {boils}, and the vapour there has a density of {density}."
        if heating
        else f"The outdoor coil has to be warmer than the air of {air}: at the compressor's discharge the dew point is {condenses}. At its suction the dew point is "
        f"{boils}, and the vapour there has a density of {density}."
    )
    if usual is None:
        return f"{coil} Each turn of the compressor takes in the same volume of it, so its density decides how much refrigerant flows."
    share, flow = (found.cycle.point("1").density / usual.cycle.point("1").density, found.mass_flow / usual.mass_flow)
    than = f"at {show(usual.outdoor.dry_bulb, 'temperature', system)}"
    return (
        f"{coil} That is {_than(share, 'denser', 'thinner', than)}. Each turn of the compressor takes in the same volume, and so "
        f"{_than(flow, 'more', 'less', than, 'as much', 'refrigerant flows')}."
    )


def _lift(found: Operation, usual: Operation | None, system: str) -> str:
    mass = "pound" if system == "IP" else "kilogram"

    def lift(one: Operation) -> str:
        return show(one.saturated_condensing_temperature - one.saturated_suction_temperature, "temperature difference", system)

    def work(one: Operation) -> str:
        return show(one.cycle.specific_work, "specific energy", system).replace("/kg", "").replace("/lb", "")

    said = f"From boiling to condensing is a lift of {lift(found)}, a pressure ratio of {found.pressure_ratio:.2f}. Each {mass} takes {work(found)} of work"
    if usual is None:
        return f"{said}, and leaves the compressor at {show(found.discharge_temperature, 'temperature', system)}."
    at = show(usual.outdoor.dry_bulb, "temperature", system)
    hotter = show(found.discharge_temperature, "temperature", system)
    fills = _fills(found, usual)
    return (
        f"{said}; at {at} the lift is {lift(usual)}, the pressure ratio {usual.pressure_ratio:.2f} and the work {work(usual)}. "
        f"The vapour leaves the compressor at {hotter}, there at {show(usual.discharge_temperature, 'temperature', system)}.{fills}"
    )


def _fills(found: Operation, usual: Operation) -> str:
    """How well the cylinder fills, where the compressor is known by a swept volume."""
    now, then = found.volumetric_efficiency, usual.volumetric_efficiency
    if now is None or then is None or f"{now:.2f}" == f"{then:.2f}":
        return ""
    why = "as the vapour left in the clearance expands more" if now < then else "as the vapour left in the clearance expands less"
    return f" The compressor fills to {100 * now:.0f} % of its swept volume in place of {100 * then:.0f} %, {why}."


def _room(found: Operation, system: str) -> str:
    supply, indoor = (show(air.dry_bulb, "temperature", system) for air in (found.supply_air, found.indoor))
    if found.valve_position is ValvePosition.HEATING:
        return f"Air of {indoor} goes into the indoor coil, and air of {supply} comes back to the room."
    latent = show(found.latent, "power", system)
    share = f"{100 * found.latent / found.capacity:.0f} %"
    moisture = f"{latent} of the capacity ({share}) takes moisture from it" if found.latent > 0.01 * found.capacity else "the coil stays dry, so all of it goes into cooler air"
    return f"Air of {indoor} goes into the indoor coil, and air of {supply} comes back to the room; {moisture}."


def _house(found: Operation, load: LoadLine, system: str) -> str:
    needed = load.at(found.outdoor.dry_bulb)
    heating = found.valve_position is ValvePosition.HEATING
    if needed == 0.0:
        return f"The house needs no {found.valve_position.value} in this weather."
    more = found.capacity - needed
    said = f"The house needs {show(needed, 'power', system)} in this weather:"
    if abs(more) <= _EVEN * needed:
        return f"{said} the machine meets it, and runs without a stop."
    if more > 0.0:
        slower = "it can turn slower" if _follows(found) else "it stops now and then"
        return f"{said} the machine gives {show(more, 'power', system)} too much, so {slower}."
    rest = "auxiliary heat has to give the rest, or the house cools down" if heating else "the house warms up until it needs less"
    return f"{said} the machine lacks {show(-more, 'power', system)}, and {rest}."


def _follows(found: Operation) -> bool:
    """Whether the compressor could turn slower."""
    return found.speed_ratio > getattr(found.machine.compressor, "least_speed_ratio", found.speed_ratio)


def _balance(found: Operation, sweep: Sweep, balance: BalancePoint, system: str) -> str:
    heating = found.valve_position is ValvePosition.HEATING
    colder = "colder" if heating else "warmer"
    if balance.found == "met":
        return f"The balance point is {show(balance.temperature, 'temperature', system)}: in {colder} weather the house needs more than the machine gives."
    if balance.found == "covers none":
        return "There is no balance point: in no weather that is shown does the machine give what the house needs."
    end = show((sweep.temperatures[0] if heating else sweep.temperatures[-1]), "temperature", system)
    way = "down to" if heating else "up to"
    if balance.found == "stops":
        return f"There is no balance point: {way} {end}, where it stops, the machine gives enough."
    return f"There is no balance point: {way} {end} the machine gives enough."


def _ends(sweep: Sweep, system: str) -> tuple[str, ...]:
    """Where the curve ends on a side on which it was asked to go on."""
    sides = ((sweep.cold_end, sweep.temperatures[0], "colder"), (sweep.warm_end, sweep.temperatures[-1], "warmer"))
    return tuple(
        f"The cross on the curve at {show(at, 'temperature', system)} is its end: in {more} weather this machine does not run."
        for refusal, at, more in sides
        if refusal is not None
    )


def _ice(found: Operation, system: str) -> tuple[str, ...]:
    if not found.frosting:
        return ()
    rate = show(found.frost_rate, "water flow", system)
    if found.boiling_coil.place == "indoor coil":
        return (f"Ice grows on the indoor coil, {rate}: on a real machine it blocks the air until liquid reaches the compressor.",)
    return (f"Ice grows on the outdoor coil, {rate}. These are the figures of a clean coil: as ice grows they fall, until a defrost melts it.",)


def _than(share: float, up: str, down: str, than: str, even: str = "as dense", what: str = "") -> str:
    """Such as "12 % thinner than at 7 °C"; with `what` it stands behind the word."""
    percent = f"{abs(100.0 * (share - 1.0)):.0f}"
    what = f" {what}" if what else ""
    return f"{even}{what} as {than}" if percent == "0" else f"{percent} % {up if share > 1.0 else down}{what} than {than}"
