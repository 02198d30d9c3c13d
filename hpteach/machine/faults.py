"""Faults of the reversible circuit: each a mechanism put into the machine, so that its signs are computed and not painted on.

What lives here: the list of faults, and `operate_with`, the machine with faults in it.  What does not: what a technician reads
(readings), which fault fits some readings (diagnosis).

A fault of a part that does nothing in the present position of the valve hides: a check valve that leaks shows only where it
should be shut, a metering device only where it works.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from hpteach.circuit import ValvePosition
from hpteach.errors import CircuitError, InputError, LimitError, Measure, UnknownNameError
from hpteach.fluids import MoistAir
from hpteach.machine.balance import operate
from hpteach.machine.coils import Coil
from hpteach.machine.compressor import DisplacementCompressor
from hpteach.machine.compressor_map import CompressorMap
from hpteach.machine.defects import Defects
from hpteach.machine.frost import frosted, most_frost
from hpteach.machine.machine import Machine
from hpteach.machine.operation import Operation

HEATING, COOLING = ValvePosition.HEATING, ValvePosition.COOLING
BOTH = (COOLING, HEATING)
_FREEZING = 273.15


@dataclass(frozen=True)
class Kind:
    """A kind of fault: its words, the part, what its size means and may be, where it shows, and how it acts.

    `size` is the usual size, None for a fault without one; `quantity` names it, `measure` is the kind for units, and `harmless` the size
    at which it does nothing.
    Faults of one `group` exclude each other.
    """

    id: str
    words: str
    part: str
    group: str
    shows_in: tuple[ValvePosition, ...]
    mechanism: str
    size: float | None = None
    least: float | None = None
    most: float | None = None
    quantity: str = ""
    measure: str = "ratio"
    harmless: float = 0.0

    @property
    def sized_by(self) -> str:
        """What the size is: "share", "gap" (mm²) or "pressure" (Pa), "" for a fault without one.

        >>> KINDS["spool_leak"].sized_by, KINDS["undercharge"].sized_by, KINDS["wrong_wiring"].sized_by
        ('gap', 'share', '')
        """
        if self.size is None:
            return ""
        return "pressure" if self.measure == "pressure" else "gap" if self.quantity.endswith("in mm²") else "share"


@dataclass(frozen=True)
class Fault:
    """A kind of fault with its size."""

    kind: Kind
    size: float | None


def _kinds() -> Iterable[Kind]:
    turned = "The machine heats where it should cool, or cools where it should heat."
    valve = ("reversing valve", "position of the reversing valve")
    yield Kind("valve_stuck_heating", "reversing valve stuck in heating", *valve, (COOLING,), turned)
    yield Kind("valve_stuck_cooling", "reversing valve stuck in cooling", *valve, (HEATING,), turned)
    yield Kind("wrong_wiring", "reversing valve's coil wired by the other convention", *valve, BOTH, "The valve stands in the other position than the one called for.")
    yield Kind(
        "valve_between", "reversing valve stuck between its seats", *valve, BOTH,
        "Discharge gas passes the spool into the suction through a wide gap: the pressures draw towards each other.",
        2.5, 1.5, 12.0, "gap at the spool in mm²",
    )  # fmt: skip
    yield Kind(
        "spool_leak", "reversing valve leaking across its spool", *valve, BOTH,
        "Discharge gas passes the spool into the suction and goes round again without doing anything.",
        0.5, 0.2, 1.4, "gap at the spool in mm²",
    )  # fmt: skip
    for place, leaks_in, shut_in in (("indoor", COOLING, HEATING), ("outdoor", HEATING, COOLING)):
        check, device = f"{place} check valve", f"{place} metering device"
        yield Kind(
            f"{place}_check_valve_shut", f"{check} stuck shut", check, check, (shut_in,),
            f"Liquid that should pass the {check} has to squeeze through the {device} as well: two devices in a row.",
        )  # fmt: skip
        yield Kind(
            f"{place}_check_valve_leaking", f"{check} leaking", check, check, (leaks_in,),
            f"Liquid passes the {check} beside the {device} that should meter it: too much reaches the coil.",
            1.0, 0.3, 4.0, "gap of the leak in mm²",
        )  # fmt: skip
        yield Kind(
            f"{place}_metering_stuck_open", f"{device} stuck open", device, device, (leaks_in,),
            "The valve no longer follows the superheat and lets through all it can.", 1.0, 0.5, 2.0, "share of its opening at which it has stuck", harmless=0.6,
        )  # fmt: skip
        yield Kind(
            f"{place}_metering_restricted", f"{device} restricted", device, device, (leaks_in,),
            "Dirt, wax or ice narrows the opening: too little reaches the coil.", 0.45, 0.1, 0.8, "share of the opening that is left", harmless=1.0,
        )  # fmt: skip
        yield Kind(
            f"{place}_metering_stuck_shut", f"{device} stuck shut", device, device, (leaks_in,),
            "Next to nothing passes: the compressor pumps the evaporator down.", 0.2, 0.03, 0.3, "share of the opening that still leaks", harmless=0.6,
        )  # fmt: skip
        coil = f"{place} coil"
        yield Kind(
            f"{place}_coil_dirty", f"{coil} dirty or its filter clogged", coil, f"air of the {coil}", BOTH,
            "Less air passes, so the coil has to lie further from the air.", 0.5, 0.15, 0.8, "share of the air that is left", harmless=1.0,
        )  # fmt: skip
        yield Kind(
            f"{place}_fan_failed", f"{place} fan failed", f"{place} fan", f"air of the {coil}", BOTH,
            "Only what rises by itself passes the coil.", 0.08, 0.03, 0.2, "share of the air that is left", harmless=1.0,
        )  # fmt: skip
    yield Kind(
        "undercharge", "refrigerant missing", "charge", "charge", BOTH,
        "Less liquid stands in the condenser: it subcools less, and vapour may reach the metering device.", 0.25, 0.08, 0.7, "share of the charge that is missing",
    )  # fmt: skip
    yield Kind(
        "overcharge", "too much refrigerant", "charge", "charge", BOTH,
        "Liquid backs up in the condenser and takes the room for condensing.", 0.25, 0.08, 0.6, "share of the charge that is too much",
    )  # fmt: skip
    yield Kind(
        "liquid_line_restricted", "liquid line restricted", "liquid line", "liquid line", BOTH,
        "A crushed pipe or a clogged drier drops the pressure before the metering device; liquid flashes there.",
        0.5, 0.15, 0.9, "opening that is left, as a share of the working metering device's", harmless=8.0,
    )  # fmt: skip
    yield Kind(
        "foreign_gas", "air or nitrogen in the circuit", "charge", "foreign gas", BOTH,
        "Gas that does not condense gathers in the condenser: its own pressure comes on top of the refrigerant's.",
        2.0e5, 0.8e5, 8.0e5, "partial pressure of the gas in the condenser", "pressure",
    )  # fmt: skip
    yield Kind(
        "compressor_worn", "compressor with worn valves", "compressor", "compressor", BOTH,
        "Gas that has been compressed leaks back inside: less flow for nearly the same work.", 0.3, 0.1, 0.6, "share of the flow that leaks back",
    )  # fmt: skip
    yield Kind(
        "defrost_never_starts", "defrost never starts", "defrost control", "air of the outdoor coil", (HEATING,),
        "Frost grows until next to no air passes the outdoor coil.", 0.85, 0.5, 1.0, "frost, as a share of the most that the model allows",
    )  # fmt: skip


KINDS: Mapping[str, Kind] = MappingProxyType({kind.id: kind for kind in _kinds()})
"""Every kind of fault by its id."""


def fault(id: str, size: float | None = None) -> Fault:
    """The fault called `id`, with its usual size or another.  Raises `UnknownNameError`, `InputError` for what is no size of it, `LimitError` for one beyond its limits.

    >>> fault("undercharge").size, fault("wrong_wiring").size
    (0.25, None)
    """
    if id not in KINDS:
        raise UnknownNameError.among("fault", id, KINDS)
    kind = KINDS[id]
    if kind.size is None:
        if size is not None:
            raise InputError(f"fault {id} has no size: leave {size:g} out")
        return Fault(kind, None)
    if size is None:
        return Fault(kind, kind.size)
    if isinstance(size, bool) or not isinstance(size, int | float):
        raise InputError(f"size of the fault {id}, the {kind.quantity}, is {size!r}: give a number")
    if not (math.isfinite(size) and kind.least <= size <= kind.most):
        raise LimitError(
            f"size of the fault {id}, the {kind.quantity}, cannot be {{given}}: use {{least}} to {{most}}",
            given=Measure(size, kind.measure), least=Measure(kind.least, kind.measure), most=Measure(kind.most, kind.measure),
        )  # fmt: skip
    return Fault(kind, float(size))


def check_together(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Faults that may be in one machine; raises `InputError` for two that exclude each other, or one that is named twice.

    >>> len(check_together([fault("undercharge"), fault("indoor_coil_dirty")]))
    2
    """
    met: dict[str, Fault] = {}
    for one in faults:
        if one.kind.group in met:
            other = met[one.kind.group]
            if other.kind is one.kind:
                raise InputError(f"fault {one.kind.id} is named twice: name it once")
            raise InputError(f"faults {other.kind.id} and {one.kind.id} exclude each other, as both say what the {one.kind.group} is: choose one")
        met[one.kind.group] = one
    return tuple(met.values())


def position_with(called: ValvePosition, faults: Iterable[Fault]) -> ValvePosition:
    """Where the reversing valve stands when a position is called for.  Raises `CircuitError` for one between the seats.

    >>> position_with(ValvePosition.HEATING, [fault("valve_stuck_cooling")])
    <ValvePosition.COOLING: 'cooling'>
    """
    if called not in BOTH:
        raise CircuitError("a position between the seats cannot be called for: call for heating or cooling, and name the fault valve_between")
    ids = {one.kind.id for one in faults}
    if "wrong_wiring" in ids:
        return COOLING if called is HEATING else HEATING
    return HEATING if "valve_stuck_heating" in ids else COOLING if "valve_stuck_cooling" in ids else called


def shows(one: Fault, position: ValvePosition, called: ValvePosition | None = None) -> bool:
    """Whether a fault shows with the valve in a position: those of the valve's position by what was called for.

    >>> shows(fault("indoor_check_valve_leaking"), ValvePosition.COOLING), shows(fault("indoor_check_valve_leaking"), ValvePosition.HEATING)
    (True, False)
    """
    return (called if one.kind.id.startswith("valve_stuck") and called is not None else position) in one.kind.shows_in


def operate_with(
    machine: Machine, called: ValvePosition, outdoor: MoistAir, indoor: MoistAir, faults: Iterable[Fault] = (), *, speed_ratio: float = 1.0
) -> Operation:
    """The machine with faults, when heating or cooling is called for.

    Raises what `operate` and `check_together` raise, and `InputError` for a fault that has no meaning in this machine.

    >>> from hpteach.fluids import moist_air
    >>> from hpteach.machine import demo_machine
    >>> hot, room = moist_air(308.15, relative_humidity=0.4), moist_air(300.15, relative_humidity=0.47)
    >>> low = operate_with(demo_machine("R-32"), ValvePosition.COOLING, hot, room, [fault("undercharge")])
    >>> low.subcooling < 2.0
    True
    """
    faults = check_together(faults)
    position = position_with(called, faults)
    sizes = {one.kind.id: one.size for one in faults}
    for id in sizes:
        _check_meaning(machine, id)
    altered = _altered(machine, sizes)
    frost = sizes.get("defrost_never_starts")
    coil = None
    if frost is not None and position is HEATING:
        coil = frosted(altered.outdoor_coil, altered.frost, frost * most_frost(altered.frost))
    found = operate(altered, position, outdoor, indoor, speed_ratio=speed_ratio, outdoor_coil=coil, defects=_defects(machine, altered, position, sizes))
    if coil is not None and frost > 0.0 and not found.frosting and all(zone.met.surface_temperature > _FREEZING for zone in found.outdoor_coil.zones):
        raise InputError(
            "fault defrost_never_starts has no meaning in air of {given} outdoors, in which this frost melts: use colder air",
            given=Measure(outdoor.dry_bulb, "temperature"),
        )
    return found


def _check_meaning(machine: Machine, id: str) -> None:
    for place, device in (("indoor", machine.indoor_metering), ("outdoor", machine.outdoor_metering)):
        if id in (f"{place}_metering_stuck_open", f"{place}_metering_stuck_shut") and not device.holds_superheat:
            raise InputError(f"fault {id} has no meaning in {machine.name}, whose {place} metering device is a {device.kind} with nothing in it that moves: use {place}_metering_restricted")


def _altered(machine: Machine, sizes: Mapping[str, float | None]) -> Machine:
    """The machine with those faults that are another size of a part."""
    for place in ("indoor", "outdoor"):
        share = sizes.get(f"{place}_coil_dirty", sizes.get(f"{place}_fan_failed"))
        if share is not None:
            coil: Coil = getattr(machine, f"{place}_coil").with_air(share)
            if f"{place}_fan_failed" in sizes:
                coil = replace(coil, fan_power=0.0)
            machine = replace(machine, **{f"{place}_coil": coil})
        left = sizes.get(f"{place}_metering_restricted")
        if left is not None:
            device = getattr(machine, f"{place}_metering")
            machine = replace(machine, **{f"{place}_metering": replace(device, opening=device.opening * left)})
    share = 1.0 - (sizes.get("undercharge") or 0.0) + (sizes.get("overcharge") or 0.0)
    if share != 1.0:
        machine = replace(machine, charge=machine.charge * share, held_aside=min(machine.held_aside, 0.9 * machine.charge * share))
    worn = sizes.get("compressor_worn")
    return machine if worn is None else replace(machine, compressor=_worn(machine.compressor, 1.0 - worn))


def _worn(compressor: DisplacementCompressor | CompressorMap, share: float) -> DisplacementCompressor | CompressorMap:
    """A compressor that delivers a share of its flow for the same work."""
    if isinstance(compressor, CompressorMap):
        return replace(compressor, mass_flow_coefficients=tuple(share * value for value in compressor.mass_flow_coefficients))
    return replace(
        compressor,
        volumetric_best=share * compressor.volumetric_best,
        volumetric_fall=share * compressor.volumetric_fall,
        isentropic_best=share * compressor.isentropic_best,
    )


def _defects(machine: Machine, altered: Machine, position: ValvePosition, sizes: Mapping[str, float | None]) -> Defects:
    """The faults inside the circuit, as far as they show in a position; `altered` has the faults of its parts."""
    works, rests = ("indoor", "outdoor") if position is COOLING else ("outdoor", "indoor")
    working, resting = getattr(machine, f"{works}_metering"), getattr(altered, f"{rests}_metering")
    narrow = math.inf
    if f"{rests}_check_valve_shut" in sizes:
        narrow = resting.opening * sizes.get(f"{rests}_metering_stuck_open", sizes.get(f"{rests}_metering_stuck_shut", 1.0))
    restricted = sizes.get("liquid_line_restricted")
    if restricted is not None:
        # Two narrow places in a row: their losses add up.
        narrow = (narrow**-2 + (restricted * working.opening) ** -2) ** -0.5 if narrow < math.inf else restricted * working.opening
    gap = sizes.get("spool_leak") or sizes.get("valve_between") or 0.0
    return Defects(
        spool_gap=gap * 1e-6,
        foreign_gas=sizes.get("foreign_gas") or 0.0,
        bypass=(sizes.get(f"{works}_check_valve_leaking") or 0.0) * 1e-6,
        narrow=narrow,
        stuck_at=sizes.get(f"{works}_metering_stuck_open", sizes.get(f"{works}_metering_stuck_shut")),
    )
