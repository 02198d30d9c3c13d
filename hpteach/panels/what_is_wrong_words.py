"""What is wrong with a machine: the choices, how a size is slid, why each sign goes its way, what looks alike, what is predicted.

What lives here: the sentences of the panel, and its scales.  What does not: the faults and their signs (machine), what the command line
says too (fault_readouts), controls and pictures (what_is_wrong, what_is_wrong_pictures).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from hpteach.circuit import ValvePosition
from hpteach.fault_readouts import WAYS
from hpteach.machine.diagnosis import SOUND, Case, Suspect, suspects, telling_apart
from hpteach.machine.faults import KINDS, Fault, Kind
from hpteach.machine.readings import READINGS
from hpteach.machine.signs import COMPARED, DOWN, SAME, UP
from hpteach.machine.trouble import Trouble
from hpteach.panels.foresight import MOVES, Told
from hpteach.panels.scales import Scale
from hpteach.units import show

HEALTHY = "none"
FAULTS = {HEALTHY: "nothing (healthy)", **{id: kind.words for id, kind in KINDS.items()}}
"""What can be chosen, by id."""

VALVE, ORIFICE = "thermostatic valve", "fixed orifice"
SHOWN, LEFT_OUT = "shown", "left out"
WORKING = "Working out what every fault would read in this weather: that takes some seconds, once for a machine and its weather …"

_LABELS = {
    "valve_between": "gap at the spool, mm²", "spool_leak": "gap at the spool, mm²", "check_valve_leaking": "gap of the leak, mm²",
    "metering_stuck_open": "stuck open by", "metering_restricted": "opening left", "metering_stuck_shut": "opening that leaks",
    "coil_dirty": "air that is left", "fan_failed": "air that is left", "undercharge": "charge missing", "overcharge": "charge too much",
    "liquid_line_restricted": "opening left in the line", "foreign_gas": "pressure of the gas", "compressor_worn": "flow that leaks back",
    "defrost_never_starts": "frost, of the most",
}  # fmt: skip
_NONE = Scale("no size to choose", "ratio", {"SI": (0.0, 1.0, 1.0), "IP": (0.0, 1.0, 1.0)})
_FINE_GAP = 2.0  # mm², above which half a square millimetre is fine enough

GAUGES_AND_LINES = ("suction_gauge", "discharge_gauge", "suction_line", "liquid_line")
"""What is read first on a machine, and by which faults look alike here."""


def family(id: str) -> str:
    """A fault without its place.

    >>> family("indoor_coil_dirty"), family("undercharge")
    ('coil_dirty', 'undercharge')
    """
    return id.removeprefix("indoor_").removeprefix("outdoor_")


def scale_of(kind: Kind | None) -> Scale:
    """How the size of a fault is slid: a share in per cent, a gap in mm², a pressure.

    >>> scale_of(KINDS["undercharge"]).described("SI"), scale_of(KINDS["foreign_gas"]).ranges["SI"]
    ('charge missing, %', (0.8, 8.0, 0.2))
    """
    if kind is None or kind.size is None:
        return _NONE
    label = _LABELS[family(kind.id)]
    if kind.sized_by == "share":
        span = (round(100.0 * kind.least, 6), round(100.0 * kind.most, 6), 1.0)
        return Scale(label, "relative humidity", {"SI": span, "IP": span})  # a kind that is shown in per cent
    if kind.sized_by == "pressure":
        return Scale(label, "pressure", {"SI": (kind.least / 1e5, kind.most / 1e5, 0.2), "IP": (12.0, 116.0, 2.0)})
    span = (kind.least, kind.most, 0.1 if kind.most > _FINE_GAP else 0.05)
    return Scale(label, "ratio", {"SI": span, "IP": span})


# What is predicted --------------------------------------------------------------------------


@dataclass(frozen=True)
class Sensed(Told):
    """A quantity that counts as moved only by what a technician would take for a sign (`least`, in SI)."""

    least: float = 0.0

    def becomes(self, after: Told) -> str:
        """Rises, stays or falls."""
        off = float(after.value) - float(self.value)
        return MOVES[1] if abs(off) < self.least else MOVES[0] if off > 0.0 else MOVES[2]


def signs_told(found: Trouble, system: str) -> dict[str, Told]:
    """The quantities of the signs, for a prediction."""
    air = found.healthy.outdoor.pressure
    told = {}
    for compared in COMPARED.values():
        value = compared.value(found.found)
        told[f"the {compared.words}"] = Sensed(value, show(value, compared.kind, system, atmosphere=air), least=max(compared.least, compared.share * abs(value)))
    return told


# Why ----------------------------------------------------------------------------------------

_FLOODS = "with less drawn from it and as much let in through a fixed orifice, the coil that boils is flooded"
_STARVED = {
    ("suction_pressure", DOWN): "less liquid comes to the coil that boils than the compressor could take, so it pumps the coil down",
    ("discharge_pressure", DOWN): "less refrigerant brings less heat to the condenser, so it settles closer to its air",
    ("superheat", UP): "the little liquid has boiled away early in the coil, and the rest of the coil heats vapour",
    ("subcooling", UP): "what is not let through stands in the condenser as liquid and cools longer",
    ("subcooling", DOWN): "so little heat comes to the condenser that its liquid finds little to cool down to",
}
_FLOODED = {
    ("suction_pressure", UP): "more liquid comes than a sound device would let in, so the coil boils along its whole length and fills the suction",
    ("discharge_pressure", DOWN): "liquid has moved out of the condenser, so more of its surface is free to condense",
    ("superheat", DOWN): "liquid reaches the end of the coil, and none or little of the coil is left to heat vapour",
    ("subcooling", DOWN): "the liquid that should stand in the condenser lies in the coil that boils",
}
_LEAKS = {
    ("suction_pressure", UP): "gas of the discharge comes into the suction and fills it",
    ("discharge_pressure", DOWN): "part of the gas never reaches the condenser",
    ("superheat", UP): "hot discharge gas is mixed into the suction vapour on its way to the compressor",
    ("superheat", DOWN): f"{_FLOODS}; the hot gas does not make up for that",
    ("subcooling", DOWN): "the flow through the condenser is small, and its liquid has gone to the coil that boils",
}
_FROM_THE_CONDENSER = {
    ("suction_pressure", UP): "the higher pressure behind the metering device pushes more through it, and the compressor takes less against it",
    ("superheat", DOWN): "the higher pressure pushes more liquid through a fixed orifice, which knows no superheat",
}
_REASONS: Mapping[str, Mapping[tuple[str, str], str]] = {
    "starved": _STARVED,
    "flooded": _FLOODED,
    "leaks": _LEAKS,
    "worn": {
        ("suction_pressure", UP): "the compressor takes away less than the coil could boil",
        ("discharge_pressure", DOWN): "less gas reaches the condenser",
        ("superheat", DOWN): _FLOODS,
        ("subcooling", DOWN): "less flows, and more of the charge lies in the coil that boils",
    },
    "undercharge": {
        ("suction_pressure", DOWN): "vapour in the liquid takes up the opening of the metering device, so the coil that boils starves",
        ("discharge_pressure", DOWN): "with little liquid standing in it, nearly all of the condenser condenses, and it needs less difference for that",
        ("superheat", UP): "the coil that boils starves, and most of it heats vapour",
        ("subcooling", DOWN): "there is no liquid to stand in the condenser and cool",
    },
    "overcharge": {
        ("suction_pressure", UP): _FROM_THE_CONDENSER["suction_pressure", UP],
        ("discharge_pressure", UP): "liquid fills part of the condenser, and what is left of it has to lie further above the air",
        ("superheat", DOWN): _FROM_THE_CONDENSER["superheat", DOWN],
        ("subcooling", UP): "more liquid stands in the condenser, and cools longer",
        ("condensing_split", UP): "part of the condenser stands under liquid, so the rest of it has to lie further above the air",
    },
    "foreign_gas": {
        **_FROM_THE_CONDENSER,
        ("discharge_pressure", UP): "the gas adds its own pressure to the refrigerant's",
        ("condensing_split", UP): "saturated condensing is read from the gauge, whose pressure is partly that of the gas",
        ("subcooling", UP): "it is read against the gauge, whose pressure is partly that of the gas: the liquid itself is hardly colder",
    },
    "condenser's air": {
        **_FROM_THE_CONDENSER,
        ("discharge_pressure", UP): "less air carries the heat away, so the coil has to lie further above it",
        ("subcooling", UP): "the coil lies further above the air, so its liquid has further to cool down",
        ("subcooling", DOWN): "the little air is warmed through before it has cooled the liquid",
    },
    "evaporator's air": {
        ("suction_pressure", DOWN): "less heat comes from the air, so the coil has to lie further below it",
        ("discharge_pressure", DOWN): "less heat is taken in, so less has to be given off",
        ("superheat", DOWN): "less heat comes than the liquid that is let in would need to boil",
        ("subcooling", DOWN): "liquid that has not boiled lies in the coil, and is missing in the condenser",
    },
}  # fmt: skip
_OF_FAMILY = {
    "metering_restricted": "starved", "metering_stuck_shut": "starved", "liquid_line_restricted": "starved", "check_valve_shut": "starved",
    "metering_stuck_open": "flooded", "check_valve_leaking": "flooded", "spool_leak": "leaks", "valve_between": "leaks", "compressor_worn": "worn",
    "undercharge": "undercharge", "overcharge": "overcharge", "foreign_gas": "foreign_gas",
}  # fmt: skip

_TURNED = "The coils have changed roles: each sign compares a coil outdoors with one indoors, and says only that the machine runs the other way round."
_HELD = "Superheat stays: the valve has opened or closed until it was right again. That is why superheat alone finds few faults on such a machine."
_HIDES = "In no quantity does the machine differ from a healthy one."
_MADE_UP_FOR = "No quantity moves by what counts as a sign: the fault is small for this machine, or its metering valve makes up for it by opening or closing."


def why(found: Trouble, one: Fault, system: str = "SI") -> tuple[str, ...]:
    """Why each sign goes the way it goes, the signs that moved first; what stays, last.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> from hpteach.machine.trouble import trouble
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> short = fault("undercharge")
    >>> found = trouble(demo_machine("R-410A"), ValvePosition.COOLING, *air, [short])
    >>> print(why(found, short)[0])
    Discharge pressure ▼ lower: with little liquid standing in it, nearly all of the condenser condenses, and it needs less difference for that.
    """
    signs = found.signs
    moved = {id: sign for id, sign in signs.items() if sign.way != SAME}
    if not moved:
        return (_MADE_UP_FOR if found.shows(one) else _HIDES,)
    if found.turned:
        return (_TURNED,)
    said = []
    for id, sign in moved.items():
        reason = _reasons(one, found).get((id, sign.way)) or _computed(found, id, sign.way, system)
        said.append(f"{_begun(sign.compared.words)} {WAYS[sign.way]}{f': {reason}' if reason else ''}.")
    same = [sign.compared.words for id, sign in signs.items() if id not in moved]
    if same:
        said.append(f"The same, or moved too little to be a sign: {', '.join(same)}.")
    pressed = {"suction_pressure", "discharge_pressure"} & set(moved)
    if pressed and "superheat" not in moved and found.found.machine.metering(found.found.valve_position).holds_superheat:
        said.append(_HELD)
    return tuple(said)


def _reasons(one: Fault, found: Trouble) -> Mapping[tuple[str, str], str]:
    id = one.kind.id
    if family(id) in ("coil_dirty", "fan_failed") or id == "defrost_never_starts":
        coil = found.found.indoor_coil if id.startswith("indoor") else found.found.outdoor_coil
        return _REASONS[f"{coil.role}'s air"]
    return _REASONS.get(_OF_FAMILY.get(family(id), ""), {})


def _computed(found: Trouble, id: str, way: str, system: str) -> str:
    """What the figures of both machines say of the other signs."""
    before, now = found.healthy, found.found
    if id == "capacity":
        flow = _by(now.mass_flow, before.mass_flow)
        each = _by(abs(now.indoor_coil.heat) / now.mass_flow, abs(before.indoor_coil.heat) / before.mass_flow)
        verb = "takes in" if found.called is ValvePosition.COOLING else "gives off"
        return f"{_amount(flow)} flows through the coils, and each {_mass(system)} {verb} {_amount(each)} in the indoor coil"
    if id == "power":
        flow = _by(now.mass_flow + now.leaked_flow, before.mass_flow + before.leaked_flow)
        work = _by(*(one.compressor_power / (one.mass_flow + one.leaked_flow) for one in (now, before)))
        return f"the compressor moves {_amount(flow)}, and the electricity for each {_mass(system)} is {work}"
    if id == "discharge_temperature":
        return _discharge(found, way, system)
    boils = id in ("evaporating_split", "suction_pressure")
    if boils or id in ("condensing_split", "discharge_pressure"):
        return _split(found, "evaporator" if boils else "condenser", further=(id != "suction_pressure") == (way == UP))
    if id == "superheat":
        opens = "to stand further open, and it opens only as superheat rises" if way == UP else "to close somewhat, and it closes only as superheat falls"
        return f"the {VALVE} has {opens}" if now.machine.metering(now.valve_position).holds_superheat else ""
    return f"{'more' if way == UP else 'less'} of the charge stands in the condenser as liquid"


def _discharge(found: Trouble, way: str, system: str) -> str:
    """The two causes of a discharge temperature, the one that goes the same way first."""
    before, now = found.healthy, found.found
    off = now.cycle.point("1").temperature - before.cycle.point("1").temperature
    ratio = f"the pressure ratio is {now.pressure_ratio:.2f} in place of {before.pressure_ratio:.2f}"
    enters = f"the vapour enters the compressor {show(abs(off), 'temperature difference', system)} {'hotter' if off > 0.0 else 'colder'}"
    causes = [(enters, (off > 0.0) == (way == UP)), (ratio, (now.pressure_ratio > before.pressure_ratio) == (way == UP))]
    first, second = sorted(causes, key=lambda cause: not cause[1])
    return f"{first[0]}, {'and' if first[1] == second[1] else 'though'} {second[0]}"


def _split(found: Trouble, role: str, *, further: bool) -> str:
    """Why a coil lies closer to its air, or further from it."""
    before, now = (next(abs(coil.heat) for coil in (one.indoor_coil, one.outdoor_coil) if coil.role == role) for one in (found.healthy, found.found))
    heat = f"the heat that the coil {'takes in' if role == 'evaporator' else 'gives off'} is {_by(now, before)}"
    if further:
        return f"{heat}, and {'yet ' if now < before else ''}needs a larger difference from the air" + (", as less air passes or less of the surface does this work" if now < before else "")
    return f"{heat}, so a smaller difference from the air is enough" if now < before else f"{heat}, but more of the surface does this work, so a smaller difference from the air is enough"


def _mass(system: str) -> str:
    return "pound" if system == "IP" else "kilogram"


def _by(now: float, before: float) -> str:
    percent = f"{abs(100.0 * (now / before - 1.0)):.0f} %"
    return "the same" if percent == "0 %" else f"{percent} {'more' if now > before else 'less'}"


def _amount(by: str) -> str:
    return "as much" if by == "the same" else by


def _begun(text: str) -> str:
    return text[0].upper() + text[1:]


# What looks alike ---------------------------------------------------------------------------


def alike(found: Trouble, hidden: Fault | None) -> tuple[str, ...]:
    """Which other faults would show the same on both gauges and two line probes, and which reading tells each apart.

    Needs the readings of every fault in this weather, which take some seconds the first time.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> from hpteach.machine.trouble import trouble
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> narrow = fault("liquid_line_restricted")
    >>> print(alike(trouble(demo_machine("R-32"), ValvePosition.COOLING, *air, [narrow]), narrow)[0][:60])
    On both gauges, the suction line and the liquid line this co
    """
    healthy = found.healthy
    if hidden is not None and not found.shows(hidden):
        return (f"As it hides in {found.found.valve_position.value}, it looks like a healthy machine, and like every other fault that hides: no reading tells them apart here.",)
    case = Case(healthy.machine, found.called, healthy.outdoor, healthy.indoor, 0, hidden, found.found, found.readings)
    own = SOUND if hidden is None else hidden.kind.id
    by_gauges = [one for one in suspects(case, GAUGES_AND_LINES[:2]) if one.id != own]
    left = [one for one in suspects(case, GAUGES_AND_LINES) if one.id != own]
    said = []
    if left:
        said.append(f"On both gauges, the suction line and the liquid line this could as well be: {'; '.join(_told_apart(case, one) for one in left)}.")
    else:
        said.append("Both gauges with the suction line and the liquid line leave nothing else that it could be, as far as one fault alone is looked for.")
    gone = [one.words for one in by_gauges if one.id not in {two.id for two in left}]
    if gone:
        said.append(f"The two gauges alone would leave as well: {', '.join(gone)}. The line probes strike that out.")
    return tuple(said)


def _told_apart(case: Case, one: Suspect) -> str:
    ways = telling_apart(case, [one], GAUGES_AND_LINES)
    if not ways:
        return f"{one.words} (of some size; no reading of the list tells them apart in this position)"
    return f"{one.words} (told apart by: {' or '.join(READINGS[id].words for id in ways[:2])})"


def reading_cautions() -> tuple[str, ...]:
    """What to mind when reading a machine, each once.

    >>> len(reading_cautions())
    4
    """
    return tuple(dict.fromkeys(reading.caution for reading in READINGS.values()))


def given(found: Trouble, system: str = "SI") -> str:
    """What is called for, in which air.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.trouble import trouble
    >>> given(trouble(demo_machine("R-32"), ValvePosition.COOLING, moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)))
    'Cooling is called for: air of 35.0 °C and 40 % outdoors, of 27.0 °C and 47 % in the room.'
    """
    outdoor, indoor = (
        f"{show(air.dry_bulb, 'temperature', system)} and {show(air.relative_humidity, 'relative humidity', system)}" for air in (found.healthy.outdoor, found.healthy.indoor)
    )
    return f"{found.called.value.capitalize()} is called for: air of {outdoor} outdoors, of {indoor} in the room."
