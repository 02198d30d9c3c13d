"""What is joined to what: the circuit of an air-source heat pump in each metering layout.

What lives here: `Circuit` and `reversible_circuit`.  What does not: which way the flow goes (walk).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from hpteach.circuit.parts import (
    COMPRESSOR,
    INDOOR_COIL,
    LIQUID_LINE,
    OUTDOOR_COIL,
    REVERSING_VALVE,
    VAPOUR_LINE,
    CheckValve,
    Fitting,
    MeteringDevice,
    MeteringLayout,
    Passage,
    Port,
    ReversingValve,
    ValvePosition,
    towards,
)
from hpteach.errors import CircuitError, UnknownNameError

_SUCTION = ("inlet", "outlet")
_ACCUMULATOR = Fitting("suction accumulator", (Passage(*_SUCTION),))
_VAPOUR_VALVE = Fitting("vapour service valve", towards("either"), ("shut",))
_LIQUID_VALVE = Fitting("liquid service valve", towards("either"), ("shut",))
_DRIER = Fitting("bi-flow filter-drier", towards("either"))
_DRIERS = tuple(Fitting(f"filter-drier towards the {coil}", towards(coil)) for coil in (INDOOR_COIL, OUTDOOR_COIL))

FITTINGS: Mapping[str, tuple[Fitting, ...]] = MappingProxyType({
    "suction accumulator": (_ACCUMULATOR,),
    "service valves": (_VAPOUR_VALVE, _LIQUID_VALVE),
    "bi-flow filter-drier": (_DRIER,),
    "one-way filter-driers": _DRIERS,
})
"""What can be fitted, and the parts that it brings."""


@dataclass(frozen=True)
class Circuit:
    """One reversible circuit: its reversing valve, metering devices, check valves and fittings.

    Joints say which ports meet; the walk through them is `flow`.
    """

    metering_layout: MeteringLayout
    reversing_valve: ReversingValve
    metering_devices: tuple[MeteringDevice, ...]
    check_valves: tuple[CheckValve, ...]
    joints: tuple[frozenset[Port], ...]
    fittings: tuple[Fitting, ...] = ()

    def stickable(self) -> dict[str, tuple[str, ...]]:
        """The parts that can be stuck, or leak, each with the states it can be stuck in."""
        return {
            REVERSING_VALVE: (*(position.value for position in ValvePosition), "leaking"),
            **{valve.name: valve.STATES for valve in self.check_valves},
            **{device.name: device.states() for device in self.metering_devices},
            **{fitting.name: fitting.states for fitting in self.fittings if fitting.states},
        }


def reversible_circuit(
    metering: MeteringLayout = MeteringLayout.EACH_COIL,
    *,
    reversing_valve: ReversingValve = ReversingValve(energised_in=ValvePosition.COOLING),
    kind: str | None = None,
    fittings: Iterable[str] = (),
) -> Circuit:
    """The circuit of an air-source heat pump with the given metering layout.

    With a device at each coil, each check valve opens away from its coil: liquid leaving
    a condensing coil goes round that coil's device and meets the other one.  Fixed
    orifices at each coil need no check valves: each lifts off its seat the other way.
    `kind` is the kind of the devices: a thermostatic valve at each coil, or one electronic
    valve that meters either way, unless another is named.  `fittings` are names of
    `FITTINGS`; service valves and filter-driers sit outdoors.

    Raises `UnknownNameError` for a word that is not known, and `CircuitError` for two
    kinds of filter-drier.

    >>> [device.name for device in reversible_circuit(MeteringLayout.OUTDOOR).metering_devices]
    ['outdoor metering device']
    """
    metering = MeteringLayout.named(metering)
    fittings = {fittings} if isinstance(fittings, str) else set(fittings)
    for name in sorted(fittings, key=str):
        if name not in FITTINGS:
            raise UnknownNameError.among("fitting", str(name), FITTINGS)
    if fittings >= {"bi-flow filter-drier", "one-way filter-driers"}:
        raise CircuitError("bi-flow filter-drier and one-way filter-driers do the same work: fit one or the other")
    kind = kind or ("thermostatic valve" if metering is MeteringLayout.EACH_COIL else "electronic valve")
    return _assembled(metering, reversing_valve, kind, tuple(name for name in FITTINGS if name in fittings))


@cache
def _assembled(metering: MeteringLayout, reversing_valve: ReversingValve, kind: str, fitted: tuple[str, ...]) -> Circuit:
    each = metering is MeteringLayout.EACH_COIL
    lifts = each and kind == "fixed orifice"
    coils = {
        MeteringLayout.EACH_COIL: ("outdoor", "indoor"),
        MeteringLayout.OUTDOOR: ("outdoor",),
        MeteringLayout.INDOOR: ("indoor",),
    }[metering]
    devices = tuple(
        MeteringDevice(f"{where} metering device", kind, f"{where} coil" if each else "either", free_the_other_way=lifts)
        for where in coils
    )
    away = {"outdoor": INDOOR_COIL, "indoor": OUTDOOR_COIL}
    checks = tuple(CheckValve(f"{where} check valve", opens_towards=away[where]) for where in coils if each and not lifts)
    fittings = tuple(fitting for name in fitted for fitting in FITTINGS[name])

    def at(where: str) -> list[str]:
        return [part.name for part in (*devices, *checks) if part.name.startswith(where)]

    def present(*wanted: Fitting) -> list[str]:
        return [fitting.name for fitting in wanted if fitting in fittings]

    line_set = (OUTDOOR_COIL, INDOOR_COIL)
    liquid_side = [at("outdoor"), present(_DRIER, *_DRIERS), present(_LIQUID_VALVE), [LIQUID_LINE], at("indoor")]
    joints = [
        *_in_a_row(Port(COMPRESSOR, "discharge"), [], Port(REVERSING_VALVE, "discharge")),
        *_in_a_row(Port(REVERSING_VALVE, "suction"), [present(_ACCUMULATOR)], Port(COMPRESSOR, "suction"), sides=_SUCTION),
        *_in_a_row(Port(REVERSING_VALVE, OUTDOOR_COIL), [], Port(OUTDOOR_COIL, "vapour side")),
        *_in_a_row(Port(REVERSING_VALVE, INDOOR_COIL), [present(_VAPOUR_VALVE), [VAPOUR_LINE]], Port(INDOOR_COIL, "vapour side"), sides=line_set),
        *_in_a_row(Port(OUTDOOR_COIL, "liquid side"), liquid_side, Port(INDOOR_COIL, "liquid side"), sides=line_set),
    ]
    return Circuit(metering, reversing_valve, devices, checks, tuple(joints), fittings)


def _in_a_row(first: Port, groups: Sequence[Sequence[str]], last: Port, sides: tuple[str, str] = ("", "")) -> list[frozenset[Port]]:
    """The joints from one port to another through groups of parts, those of a group side by side."""
    joints, near = [], {first}
    for group in filter(None, groups):
        joints.append(frozenset({*near, *(Port(name, sides[0]) for name in group)}))
        near = {Port(name, sides[1]) for name in group}
    return [*joints, frozenset({*near, last})]
