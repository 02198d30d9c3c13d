"""What is joined to what: the circuit of an air-source heat pump in each metering layout.

What lives here: `Circuit` and `reversible_circuit`.  What does not: which way the flow goes (walk).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from hpteach.circuit.parts import (
    COMPRESSOR,
    INDOOR_COIL,
    LIQUID_LINE,
    OUTDOOR_COIL,
    REVERSING_VALVE,
    VAPOUR_LINE,
    CheckValve,
    MeteringDevice,
    MeteringLayout,
    Port,
    ReversingValve,
    ValvePosition,
)


@dataclass(frozen=True)
class Circuit:
    """One reversible circuit: its reversing valve, metering devices and check valves.

    Joints say which ports meet; the walk through them is `flow`.
    """

    metering_layout: MeteringLayout
    reversing_valve: ReversingValve
    metering_devices: tuple[MeteringDevice, ...]
    check_valves: tuple[CheckValve, ...]
    joints: tuple[frozenset[Port], ...]

    def stickable(self) -> dict[str, tuple[str, ...]]:
        """The parts that can be stuck, each with the states it can be stuck in."""
        return {
            REVERSING_VALVE: tuple(position.value for position in ValvePosition),
            **{valve.name: ("open", "shut") for valve in self.check_valves},
            **{device.name: ("shut",) for device in self.metering_devices},
        }


@cache
def reversible_circuit(
    metering: MeteringLayout = MeteringLayout.EACH_COIL,
    *,
    reversing_valve: ReversingValve = ReversingValve(energised_in=ValvePosition.COOLING),
    kind: str | None = None,
) -> Circuit:
    """The circuit of an air-source heat pump with the given metering layout.

    With a device at each coil, each check valve opens away from its coil: liquid leaving
    a condensing coil goes round that coil's device and meets the other one.  `kind` is the
    kind of the devices: a thermostatic valve at each coil, or one electronic valve that
    meters either way, unless another is named.

    >>> [device.name for device in reversible_circuit(MeteringLayout.OUTDOOR).metering_devices]
    ['outdoor metering device']
    """
    metering = MeteringLayout.named(metering)
    each = metering is MeteringLayout.EACH_COIL
    kind = kind or ("thermostatic valve" if each else "electronic valve")
    coils = {
        MeteringLayout.EACH_COIL: ("outdoor", "indoor"),
        MeteringLayout.OUTDOOR: ("outdoor",),
        MeteringLayout.INDOOR: ("indoor",),
    }[metering]
    devices = tuple(
        MeteringDevice(f"{where} metering device", kind, f"{where} coil" if each else "either")
        for where in coils
    )
    away = {"outdoor": INDOOR_COIL, "indoor": OUTDOOR_COIL}
    checks = tuple(CheckValve(f"{where} check valve", opens_towards=away[where]) for where in coils) if each else ()
    vapour_side = [
        {Port(COMPRESSOR, "discharge"), Port(REVERSING_VALVE, "discharge")},
        {Port(REVERSING_VALVE, "suction"), Port(COMPRESSOR, "suction")},
        {Port(REVERSING_VALVE, OUTDOOR_COIL), Port(OUTDOOR_COIL, "vapour side")},
        {Port(REVERSING_VALVE, INDOOR_COIL), Port(VAPOUR_LINE, OUTDOOR_COIL)},
        {Port(VAPOUR_LINE, INDOOR_COIL), Port(INDOOR_COIL, "vapour side")},
    ]
    joints = [*vapour_side, *_liquid_side({*(d.name for d in devices), *(c.name for c in checks)})]
    return Circuit(metering, reversing_valve, devices, checks, tuple(frozenset(joint) for joint in joints))


def _liquid_side(between: set[str]) -> list[set[Port]]:
    """The joints from one coil's liquid side to the other's, through whatever sits there."""
    outdoor = {name for name in between if name.startswith("outdoor")}
    indoor = between - outdoor
    near_outdoor = {Port(OUTDOOR_COIL, "liquid side"), *(Port(n, OUTDOOR_COIL) for n in outdoor or {LIQUID_LINE})}
    near_indoor = {Port(INDOOR_COIL, "liquid side"), *(Port(n, INDOOR_COIL) for n in indoor or {LIQUID_LINE})}
    joints = [near_outdoor, near_indoor]
    if outdoor:
        joints.append({Port(LIQUID_LINE, OUTDOOR_COIL), *(Port(n, INDOOR_COIL) for n in outdoor)})
    if indoor:
        joints.append({Port(LIQUID_LINE, INDOOR_COIL), *(Port(n, OUTDOOR_COIL) for n in indoor)})
    return joints
