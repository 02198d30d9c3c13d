"""A refrigerant, a circuit and cycles from the options of the command line.

What lives here: which option gives which condition of a cycle, and refusals that begin with the options to blame.
What does not: solving (cycle), what is done with a cycle (cli, chart_options).
"""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING

from hpteach import units
from hpteach.circuit import Circuit, MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.errors import HpteachError, InputError, UnknownNameError
from hpteach.options import DEVICES, FITTED, about, given, meant, plain, read

if TYPE_CHECKING:
    from hpteach.cycle import Cycle
    from hpteach.fluids import Refrigerant

CONDITIONS = {
    "--evaporating": ("saturated_suction_temperature", "temperature"),
    "--condensing": ("saturated_condensing_temperature", "temperature"),
    "--superheat": ("superheat", "temperature difference"),
    "--subcooling": ("subcooling", "temperature difference"),
    "--isentropic-efficiency": ("isentropic_efficiency", "ratio"),
}
"""Which option gives which of a cycle's conditions, and its kind of quantity."""


def fluid_of(args: Namespace, option: str = "--refrigerant") -> Refrigerant:
    """The refrigerant that stands after an option, counting from the reference state of the options.  Raises `UnknownNameError` for either.

    >>> fluid_of(Namespace(refrigerant="r410a", reference="ashrae")).name
    'R-410A'
    """
    from hpteach.fluids import REFERENCES, refrigerant

    name, reference = given(args, option), getattr(args, "reference", "iir")  # a card has no enthalpies, so its command has no such option
    if plain(reference) not in REFERENCES:
        raise UnknownNameError.among("--reference: reference state", reference, REFERENCES)
    return read(option, name, lambda: refrigerant(name, plain(reference)))


def circuit_of(args: Namespace) -> Circuit:
    """The circuit of the options, as far as the command has them.

    >>> circuit_of(Namespace(metering="outdoor")).metering_layout.value
    'outdoor'
    """
    layout = read("--metering", args.metering, lambda: MeteringLayout.named(plain(args.metering)))
    device, fitted = given(args, "--device"), given(args, "--fitted")
    kind = None if device is None else meant("--device", "kind of metering device", device, DEVICES)
    fittings = [meant("--fitted", "fitting", word, FITTED) for word in fitted.split(",")] if fitted is not None else []
    return read("--fitted", fitted or "", lambda: reversible_circuit(layout, kind=kind, fittings=fittings))


def cycles_of(args: Namespace, fluid: Refrigerant) -> list[Cycle]:
    """The cycle of a refrigerant for each position of the valve that is asked for; conditions are read as `CONDITIONS` says.

    Raises what `units.read` and `cycle.solve` raise, beginning with the option.
    """
    from hpteach.cycle import Conditions, conditions_for, solve

    circuit, valve = circuit_of(args), plain(args.valve)
    if valve not in (*ValvePosition, "both"):
        raise UnknownNameError.among("--valve: valve position", args.valve, ("heating", "cooling", "both"))
    positions = (ValvePosition.COOLING, ValvePosition.HEATING) if valve == "both" else (ValvePosition(valve),)
    towards = None if args.meters_towards is None else _coil("--meters-towards", args.meters_towards)
    chosen = {}
    for option, (quantity, kind) in CONDITIONS.items():
        text = given(args, option)
        chosen[quantity] = read(option, text, lambda: units.read(text, kind))
    try:
        return [
            solve(fluid, Conditions(position, towards, **chosen) if towards else conditions_for(flow(circuit, position), **chosen), circuit)
            for position in positions
        ]
    except HpteachError as error:
        raise about_conditions(error, args) from None


def about_conditions(error: HpteachError, args: Namespace) -> HpteachError:
    """A refusal of a cycle's conditions, beginning with the options that gave what it blames.

    >>> about_conditions(InputError("superheat is negative"), Namespace(superheat="-1K")).template
    '--superheat -1K: superheat is negative'
    """
    begins = {quantity.replace("_", " "): option for option, (quantity, _) in CONDITIONS.items()}
    begins |= {"metering ": "--meters-towards", "with the valve ": "--valve"}
    blamed = [option for words, option in begins.items() if error.template.startswith(words)] or list(CONDITIONS)
    return about(error, " ".join(f"{option} {given(args, option)}" for option in blamed))


def _coil(option: str, text: str) -> str:
    if not text.strip():
        raise InputError(f"{option} {text[:60]!r} names no coil: write indoor or outdoor, or leave the option out")
    return plain(text).removesuffix("coil").rstrip(" -") + " coil"
