"""A machine with faults as tables in the reader's units, as a dictionary for JSON, and in sentences with their cautions.

What lives here: the list of faults, the signs, what a technician reads, where a fault hides, what to mind before anybody opens a circuit.
What does not: the faults and their signs (machine), why a sign goes the way it goes (panels.what_is_wrong_words).
"""

from __future__ import annotations

from typing import Any

from hpteach.machine.faults import KINDS, Fault, Kind
from hpteach.machine.readings import FANS, LIVE, READINGS, YES_OR_NO
from hpteach.machine.signs import DOWN, SAME, UP
from hpteach.machine.switches import HOT
from hpteach.machine.trouble import Trouble
from hpteach.tables import Table
from hpteach.units import STANDARD_ATMOSPHERE, show

WAYS = {UP: "▲ higher", SAME: "= same", DOWN: "▼ lower"}
"""Arrows in sign and word, never by colour."""
DIFFERENT = "! different"
"""What stands beside a look whose answer is another one."""

OPENING = (
    "To put this right the refrigerant is recovered and the circuit opened, or refrigerant is weighed in: that is work for licensed people by the local codes, "
    "with goggles and gloves, in moving air, and never by venting."
)
WAITING = "Before any cover comes off the unit is isolated, locked out and proved dead by licensed people; capacitors keep their charge."
LEAK = "Refrigerant does not wear out: what is missing has leaked out. Find the leak and mend it first; topping up only hides it."
FOREIGN = (
    "Stop the machine and do not run it again: air with oil, or with a flammable refrigerant, can burn inside when it is compressed. The mixture is recovered into a "
    "cylinder of its own, marked as such and watched for its pressure, with equipment made for flammable refrigerants where there is one (common practice, no source)."
)
PROVE = (
    "Before a reversing valve is condemned: is there voltage at its coil when there should be, and enough difference of pressure to push the spool? Change over a few times. "
    "Never let current flow through a coil that is off its stem (common practice, no source)."
)
CLEANING = "Isolate the unit before hands or tools come near a coil or a fan: fins cut, and fans start by themselves."

_BASE = {"gauge pressure": "Pa", "temperature": "K", "temperature difference": "K", "power": "W", YES_OR_NO: None}
_SIZED = {"share": "", "gap": "mm2", "pressure": "Pa", "": None}
_FROM_OUTSIDE = ("coil_dirty", "fan_failed", "defrost_never_starts")


def size_shown(kind: Kind, size: float | None, system: str = "SI") -> str:
    """A size in the reader's units: a share in per cent, a gap in mm², a pressure.

    >>> size_shown(KINDS["undercharge"], 0.25), size_shown(KINDS["spool_leak"], 0.5), size_shown(KINDS["foreign_gas"], 2e5, "IP")
    ('25 %', '0.5 mm²', '29.0 psi')
    """
    if size is None:
        return "-"
    if kind.sized_by == "pressure":
        return show(size, "pressure", system).removesuffix("a")
    return f"{size:.3g} mm²" if kind.sized_by == "gap" else f"{100.0 * size:.3g} %"


def faults_list(system: str = "SI") -> tuple[Table, str]:
    """Every fault with its size and the position in which it shows, and how one is put into a machine.

    >>> faults_list()[0].rows[0]
    ('valve_stuck_heating', 'reversing valve stuck in heating', 'cooling', '-', '-')
    """
    rows = [
        (kind.id, kind.words, " and ".join(one.value for one in kind.shows_in), _usual(kind, system), "-" if kind.size is None else _range(kind, system))
        for kind in KINDS.values()
    ]
    table = Table("Faults for --fault ID or --fault ID=SIZE", ("id", "what is wrong", "shows in", "usual size", "size may be"), rows)
    return table, (
        "A size is a share (25% or 0.25), a gap (0.5mm2) or a pressure (2bar), as the list has it; without one it is the usual size.\n"
        "Two faults that say what one part is exclude each other. Example:\n"
        "  python -m hpteach operate --refrigerant R-410A --valve cooling --outdoor 95F/75F --indoor 80F/67F --fault undercharge=25% --fault indoor_coil_dirty"
    )


def faults_dictionary() -> dict[str, Any]:
    """The list of faults for JSON; `size_unit` is "" for a share.

    >>> faults_dictionary()["faults"][3]["size_unit"]
    'mm2'
    """
    return {
        "faults": [
            {
                "id": kind.id, "words": kind.words, "part": kind.part, "mechanism": kind.mechanism, "shows_in": [one.value for one in kind.shows_in],
                "size_is": kind.quantity or None, "size_unit": _SIZED[kind.sized_by], "usual": kind.size, "least": kind.least, "most": kind.most,
            }
            for kind in KINDS.values()
        ]
    }  # fmt: skip


def trouble_dictionary(found: Trouble) -> dict[str, Any]:
    """What is wrong, its signs and readings for JSON: values in the `unit` beside them, pressures absolute; a look is true or false.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> from hpteach.machine.trouble import trouble
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> told = trouble_dictionary(trouble(demo_machine("R-32"), ValvePosition.COOLING, *air, [fault("undercharge")]))
    >>> told["faults"][0]["size"], told["stopped_by"], [one["way"] for one in told["signs"] if one["id"] == "subcooling"]
    (0.25, None, ['down'])
    """
    healthy = found.healthy_readings
    return {
        "called_for": found.called.value,
        "faults": [
            {"id": one.kind.id, "size": one.size, "size_unit": _SIZED[one.kind.sized_by], "words": one.kind.words, "shows": found.shows(one)} for one in found.faults
        ],
        "stopped_by": found.run.stopped_by,
        "grown_share": found.run.share,
        "signs": [
            {"id": id, "words": sign.compared.words, "unit": _BASE[sign.compared.kind], "healthy": sign.healthy, "faulty": sign.faulty, "way": sign.way}
            for id, sign in (found.signs.items() if found.faults else ())
        ],
        "readings": [
            {
                "id": id, "words": READINGS[id].words, "unit": _BASE[READINGS[id].kind], "minutes": READINGS[id].minutes,
                "value": _plain(id, value), "healthy": _plain(id, healthy[id]), "way": found.way(id),
            }
            for id, value in found.readings.items()
        ],
    }  # fmt: skip


def trouble_tables(found: Trouble, system: str = "SI", *, atmosphere: float = STANDARD_ATMOSPHERE) -> tuple[Table, Table]:
    """The signs, and the readings of a technician, each healthy and faulty, with the way they went in sign and word.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> from hpteach.machine.trouble import trouble
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> trouble_tables(trouble(demo_machine("R-32"), ValvePosition.COOLING, *air, [fault("overcharge")]))[0].rows[1][3]
    '▲ higher'
    """
    signs = [
        (sign.compared.words, *(_shown(id == "power", one, sign.compared.kind, system, atmosphere) for one in (sign.healthy, sign.faulty)), WAYS[sign.way])
        for id, sign in found.signs.items()
    ]
    healthy, now = found.healthy_readings, found.readings
    read = [
        (reading.words, *(_reading_shown(id, one[id], system, atmosphere) for one in (healthy, now)), WAYS[found.way(id)] if reading.kind != YES_OR_NO else _look_way(found.way(id)))
        for id, reading in READINGS.items()
    ]
    heads = ("healthy", "now", "sign")
    return Table("Signs against the healthy machine", ("quantity", *heads), signs, right=(1, 2)), Table("What a technician reads", ("reading", *heads), read, right=(1, 2))


def trouble_in_words(found: Trouble, system: str = "SI") -> tuple[str, ...]:
    """What is wrong and by which mechanism, where it hides, and which switch stops the machine.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.faults import fault
    >>> from hpteach.machine.trouble import trouble
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> trouble_in_words(trouble(demo_machine("R-32"), ValvePosition.COOLING, *air, [fault("outdoor_check_valve_leaking")]))[1]
    'It hides: with the valve in cooling it does nothing. It shows in heating.'
    """
    said = []
    for one in found.faults:
        said += [fault_in_words(one, system), hiding(found, one)]
    if found.turned:
        said.append(
            f"{found.called.value.capitalize()} is called for, but the valve stands in {found.found.valve_position.value}: "
            "capacity is heat on the wrong side, and the coil splits are those of the other coils."
        )
    return (*said, *stopped(found, system))


def fault_in_words(one: Fault, system: str = "SI") -> str:
    """A fault with its size, and its mechanism.

    >>> from hpteach.machine.faults import fault
    >>> fault_in_words(fault("undercharge"))[:72]
    'Refrigerant missing; share of the charge that is missing: 25 %. Less liq'
    """
    size = f"; {one.kind.quantity.removesuffix(' in mm²')}: {size_shown(one.kind, one.size, system)}" if one.size is not None else ""
    return f"{one.kind.words[0].upper()}{one.kind.words[1:]}{size}. {one.kind.mechanism}"


def hiding(found: Trouble, one: Fault) -> str:
    """Where a fault shows and where it hides, with the valve as it stands."""
    places = " and in ".join(place.value for place in one.kind.shows_in)
    if len(one.kind.shows_in) == 2:
        return "It shows in cooling and in heating."
    if found.shows(one):
        other = "heating" if places == "cooling" else "cooling"
        return f"It shows with the valve in {places} only: with the valve in {other}, nothing is to be seen of it."
    if one.kind.id.startswith("valve_stuck"):
        return f"It hides: the valve stands where {found.called.value} wants it. It shows when {places} is called for."
    return f"It hides: with the valve in {found.found.valve_position.value} it does nothing. It shows in {places}."


def stopped(found: Trouble, system: str = "SI") -> tuple[str, ...]:
    """Which switch stops the machine and when; nothing where it runs."""
    switch, share = found.run.stopped_by, found.run.share
    if switch is None:
        return ()
    limits = found.found.machine.limits
    if switch == HOT:
        return (
            f"Stopped by the {switch}: suction and discharge draw towards each other, little refrigerant cools the motor, and no pressure switch opens. "
            "Figures and pictures are those of the last moment before the balance is lost.",
        )
    at = limits.saturated_condensing_temperature if switch.startswith("high") else limits.least_saturated_suction_temperature
    what = "condensing" if switch.startswith("high") else "suction"
    said = f"Stopped by the {switch}: its limit is a saturated {what} temperature of {show(at, 'temperature', system)}"
    if share == 0.0 and any(one.size is None for one in found.faults):
        return (f"{said}, which the machine reaches as soon as the fault is there.", *_hot(found, system))
    if share == 0.0:
        return (f"{said}, which the machine reaches in this weather without any fault too.", *_hot(found, system))
    if share == 1.0:
        return (f"{said}; figures and pictures are those at which it would settle, and the switch opens earlier.", *_hot(found, system))
    return (f"{said}. The fault had grown {100.0 * share:.0f} % of the way to this size; figures and pictures are those of the moment when the switch opens.", *_hot(found, system))


def _hot(found: Trouble, system: str) -> tuple[str, ...]:
    """That the compressor's own protector may be quicker than a switch."""
    discharge, limit = found.found.discharge_temperature, found.found.machine.limits.discharge_temperature
    if discharge <= limit:
        return ()
    told = f"The discharge is at {show(discharge, 'temperature', system)} by then, above its limit of {show(limit, 'temperature', system)}"
    return (f"{told}: the compressor's own protector may open first.",)


def trouble_cautions(found: Trouble) -> list[str]:
    """What to mind before anybody acts on the diagnosis: opening the circuit, live parts, fans.

    >>> from hpteach.circuit import ValvePosition
    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> from hpteach.machine.trouble import trouble
    >>> air = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> trouble_cautions(trouble(demo_machine("R-32"), ValvePosition.COOLING, *air))
    []
    """
    said: list[str] = []
    for one in found.faults:
        if one.kind.id == "wrong_wiring":
            said += [LIVE, WAITING]
        elif one.kind.id.endswith(_FROM_OUTSIDE):
            said += [CLEANING, *([LIVE, WAITING] if not one.kind.id.endswith("dirty") else [FANS])]
        else:
            said += [*first_of(one), WAITING, OPENING]
    return list(dict.fromkeys(said))


def first_of(one: Fault) -> list[str]:
    """What comes before any repair of a fault inside the circuit; nothing for most.

    >>> from hpteach.machine.faults import fault
    >>> first_of(fault("undercharge"))[0][:32], first_of(fault("compressor_worn"))
    ('Refrigerant does not wear out: w', [])
    """
    if one.kind.id == "undercharge":
        return [LEAK]
    if one.kind.id == "foreign_gas":
        return [FOREIGN]
    return [PROVE] if one.kind.id.startswith("valve_") else []


# Inside -------------------------------------------------------------------------------


def _usual(kind: Kind, system: str) -> str:
    return size_shown(kind, kind.size, system)


def _range(kind: Kind, system: str) -> str:
    return f"{size_shown(kind, kind.least, system)} to {size_shown(kind, kind.most, system)}: {kind.quantity.removesuffix(' in mm²')}"


def _plain(id: str, value: float) -> float | bool:
    return bool(value) if READINGS[id].kind == YES_OR_NO else value


def _shown(electric: bool, value: float, kind: str, system: str, atmosphere: float) -> str:
    """A quantity; electricity in kilowatts in both systems, as on a meter."""
    return show(value, kind, "SI" if electric else system, atmosphere=atmosphere)


def _reading_shown(id: str, value: float, system: str, atmosphere: float) -> str:
    kind = READINGS[id].kind
    return ("yes" if value else "no") if kind == YES_OR_NO else _shown(id == "compressor_power", value, kind, system, atmosphere)


def _look_way(way: str) -> str:
    return WAYS[SAME] if way == SAME else DIFFERENT
