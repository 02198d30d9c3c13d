"""A machine and its weather from the options of the command line.

What lives here: which machine is meant, how weather and faults are written, and refusals that begin with the option to blame.
What does not: the balance (machine), how it is printed (machine_readouts, cli).

    --outdoor 47F/43F      dry bulb / wet bulb
    --outdoor -5C/80%      dry bulb / relative humidity
    --fault undercharge=25%
"""

from __future__ import annotations

import re
from argparse import Namespace
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from hpteach import units
from hpteach.circuit import ValvePosition
from hpteach.errors import HpteachError, InputError, UnitError, UnknownNameError
from hpteach.options import Reader, about, given, plain, read

if TYPE_CHECKING:
    from hpteach.fluids import MoistAir
    from hpteach.machine import Machine, Operation
    from hpteach.machine.faults import Fault, Kind
    from hpteach.machine.trouble import Trouble

SIZED_FROM = "R-32"
"""The demo machine that is sized for a refrigerant without one of its own."""

_WEATHER = ("--outdoor", "--indoor")


def operation_of(args: Namespace, reader: Reader) -> tuple[Operation, tuple[str, ...]]:
    """The machine of the options in their weather, and what is to be remarked.

    Raises what `machine_of`, `air_of` and `machine.operate` raise, beginning with the option.

    >>> options = Namespace(refrigerant="R-32", machine=None, valve="heating", outdoor="47F/43F", indoor="70F/60F", speed="1")
    >>> found, remarks = operation_of(options, Reader(print))
    >>> 3.0 < found.cop < 5.0, remarks
    (True, ())
    """
    found, remarks = trouble_of(args, reader)
    return found.found, remarks


def trouble_of(args: Namespace, reader: Reader) -> tuple[Trouble, tuple[str, ...]]:
    """The machine of the options with the faults of --fault beside itself when healthy, and what is to be remarked.

    Raises what `operation_of` and `faults_of` raise, and what a fault without meaning in the machine does, beginning with the option.

    >>> options = Namespace(refrigerant="R-32", machine=None, valve="cooling", outdoor="95F/75F", indoor="80F/67F", speed="1", fault=["undercharge=30%"])
    >>> found, remarks = trouble_of(options, Reader(print))
    >>> found.signs["subcooling"].way
    'down'
    """
    from hpteach.machine.balance import NOT_EVEN_ORDINARY
    from hpteach.machine.trouble import trouble

    position = _position(args.valve)
    faults = faults_of(given(args, "--fault") or ())
    outdoor, indoor = (air_of(args, reader, option) for option in _WEATHER)
    machine, remarks = machine_of(args)
    speed_ratio = _speed(args, machine)
    try:
        found = trouble(machine, position, outdoor, indoor, speed_ratio=speed_ratio)
        found.found.supply_air  # noqa: B018 - it is shown, and may be hotter than moist air is computed
    except HpteachError as error:
        weather = " ".join(f"{option} {given(args, option)[:60]}" for option in _WEATHER)
        raise about(error, machine_named(args) if NOT_EVEN_ORDINARY in error.template else weather) from None
    if faults:
        try:
            found = trouble(machine, position, outdoor, indoor, faults, speed_ratio=speed_ratio)
        except HpteachError as error:
            raise about(error, f"--fault {' --fault '.join(text[:60] for text in args.fault)}".replace("{", "(").replace("}", ")")) from None
    return found, remarks


def faults_of(texts: Iterable[str]) -> tuple[Fault, ...]:
    """The faults of the texts ID or ID=SIZE; blanks and hyphens in an id count as underscores.

    Raises `UnknownNameError` for an unknown id, `UnitError` and `LimitError` for a size, `InputError` for faults that exclude each other.

    >>> [(one.kind.id, one.size) for one in faults_of(["undercharge=30%", "spool-leak=0.5mm2", "indoor check valve shut"])]
    [('undercharge', 0.3), ('spool_leak', 0.5), ('indoor_check_valve_shut', None)]
    """
    from hpteach.machine.faults import KINDS, check_together, fault

    found = []
    for text in texts:
        called, equals, size = (part.strip() for part in text.partition("="))
        id = "_".join(plain(called).replace("-", " ").replace("_", " ").split())
        if id not in KINDS:
            raise UnknownNameError(f"{UnknownNameError.among('--fault: fault', called, KINDS).template}; --fault help tells what each of them is")
        kind = KINDS[id]
        if equals and not size:
            raise InputError(f"--fault {text[:60]} has no size after its equals sign: {_sizes_allowed(kind)}")
        found.append(read("--fault", text, lambda kind=kind, size=size: fault(kind.id, _size(kind, size) if size else None)))
    try:
        return check_together(found)
    except HpteachError as error:
        raise about(error, "--fault") from None


def machine_of(args: Namespace) -> tuple[Machine, tuple[str, ...]]:
    """The machine of --machine, a file or the name of a demo machine, or that of --refrigerant, and what is to be remarked.

    A refrigerant without a demo machine of its own gets the R-32 one sized for it.  Raises `InputError` for neither and where the
    two contradict each other, and what reading and sizing raise, beginning with the option.

    >>> machine_of(Namespace(machine="r32 variable speed", refrigerant=None))[0].name
    'Fernhill bench unit, R-32, variable speed (invented)'
    """
    from hpteach.fluids import listing
    from hpteach.machine import DEMO_MACHINES, demo_machine
    from hpteach.machine.sizing import sized

    called, file = args.refrigerant, args.machine
    if called is None and file is None:
        raise InputError("neither --refrigerant nor --machine says which machine it is: add for example --refrigerant R-410A, or --machine FILE.toml")
    name = None if called is None else read("--refrigerant", called, lambda: listing(called)).name
    if file is not None:
        machine = read("--machine", file, lambda: _machine_called(file))
        if name is not None and name != machine.refrigerant:
            raise InputError(f"--refrigerant {called[:60]} and --machine {file[:60]}, which holds {machine.refrigerant}, contradict each other: leave one of them out")
        return machine, ()
    if name in DEMO_MACHINES:
        return demo_machine(name), ()
    machine = read("--refrigerant", called, lambda: sized(demo_machine(SIZED_FROM), name))
    return machine, (f"There is no demo machine for {name}: the {SIZED_FROM} bench unit (invented) was sized for it, to the same cooling capacity in the same coils.",)


def machine_named(args: Namespace) -> str:
    """The option that says which machine it is, with its value.

    >>> machine_named(Namespace(machine=None, refrigerant="R-32"))
    '--refrigerant R-32'
    """
    option = "--refrigerant" if given(args, "--machine") is None else "--machine"
    return f"{option} {given(args, option)[:60]}".replace("{", "(").replace("}", ")")


def air_of(args: Namespace, reader: Reader, option: str) -> MoistAir:
    """The air that an option tells, at the reader's air pressure; raises `InputError` where it does not say how moist it is.

    >>> round(air_of(Namespace(indoor="20C/50%"), Reader(print), "--indoor").relative_humidity, 2)
    0.5
    """
    from hpteach.fluids import moist_air

    text = given(args, option)
    dry, *moist = text.split("/")
    if len(moist) != 1 or not moist[0].strip():
        raise InputError(f"{option} {text[:60]!r} is not air: write dry bulb/wet bulb, such as 47F/43F, or dry bulb/relative humidity, such as 8C/70%")
    dry_bulb = read(option, text, lambda: units.read(dry, "temperature"))
    moisture = read(option, text, lambda: _moisture(moist[0]))
    try:
        return moist_air(dry_bulb, **moisture, pressure=reader.atmosphere)
    except HpteachError as error:
        if error.template.startswith("air pressure"):
            raise about(error, "--altitude or --atmosphere") from None
        raise about(error, f"{option} {text[:60]}") from None


# Inside -------------------------------------------------------------------------------


_SIZES = {"gap": ("area", 1e6, "0.5mm2"), "pressure": ("pressure difference", 1.0, "2bar, 200kPa or 29psi")}


def _size(kind: Kind, text: str) -> float:
    """The size of a fault: a share, mm² or Pa, as its kind has it."""
    from hpteach.machine.part_sizes import read_size

    if kind.sized_by not in _SIZES:
        return units.read(text, "ratio")
    what, factor, _ = _SIZES[kind.sized_by]
    try:
        return round(factor * read_size(text, what), 9)
    except UnitError:
        raise UnitError(f"{text[:40]!r} is no size of {kind.id}: {_sizes_allowed(kind)}") from None


def _sizes_allowed(kind: Kind) -> str:
    if not kind.sized_by:
        return f"{kind.id} has none, so write {kind.id} alone"
    example = _SIZES[kind.sized_by][2] if kind.sized_by in _SIZES else "25% or 0.25"
    return f"write the {kind.quantity} such as {example}, or {kind.id} alone for its usual size"

def _moisture(text: str) -> dict[str, float]:
    humidity = re.sub(r"\s*(?:rh|r\.h\.)\s*$", "", text, flags=re.IGNORECASE)
    if "%" in humidity:
        return {"relative_humidity": units.read(humidity, "ratio")}
    try:
        return {"wet_bulb": units.read(text, "temperature")}
    except UnitError:
        raise UnitError(f"{text.strip()[:60]!r} is neither a wet bulb nor a relative humidity: write it as 43F, 6C or 70%") from None


def _position(text: str) -> ValvePosition:
    positions = {one.value: one for one in (ValvePosition.HEATING, ValvePosition.COOLING)}
    if plain(text) not in positions:
        raise UnknownNameError.among("--valve: valve position", text, positions)
    return positions[plain(text)]


def _machine_called(text: str) -> Machine:
    from hpteach.machine import demo_machine, read_machine

    if plain(text).endswith(".toml") or Path(text).is_file():
        return read_machine(text)
    try:
        return demo_machine(text)
    except UnknownNameError as error:
        raise UnknownNameError(f"{error.template}; a machine of your own is a file that ends in .toml") from None


def _speed(args: Namespace, machine: Machine) -> float:
    speed_ratio = read("--speed", args.speed, lambda: units.read(args.speed, "ratio"))
    least, most = machine.compressor.least_speed_ratio, machine.compressor.most_speed_ratio
    if not least <= speed_ratio <= most:
        allowed = f"varies its speed from {least:g} to {most:g}: use a ratio between them" if least < most else "has one speed: leave --speed out, or name another machine"
        raise InputError(f"--speed {args.speed[:60]} cannot be, as the compressor of {machine.name} {allowed}".replace("{", "(").replace("}", ")"))
    return speed_ratio
