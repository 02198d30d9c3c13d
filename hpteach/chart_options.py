"""A chart from the options of the command line.

What lives here: what the options of a chart mean together, and refusals of what does not go together.
What does not: drawing (diagrams), cycles (cycle_options), how it is told (cli).
"""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from hpteach.cycle_options import CONDITIONS, cycles_of, fluid_of
from hpteach.errors import InputError, UnknownNameError
from hpteach.options import Reader, given, plain, read

if TYPE_CHECKING:
    from hpteach.cycle import Cycle
    from hpteach.fluids import Refrigerant

DRAWN = ("--paper", "--blank", "--energies", "--pressure-unit", "--beside")
"""Options that say how a chart is drawn."""

CYCLE_ONLY = ("--valve", *CONDITIONS, "--metering", "--meters-towards")
"""Options that say of which cycle."""

WITHOUT = {"--blank": (*CYCLE_ONLY, "--energies")}
"""A blank chart has no cycle, so that these are neither needed nor taken."""


def chart_of(args: Namespace, reader: Reader) -> Path:
    """Draw the chart of the options, in the reader's units, and return the file that was written.

    Raises what `fluid_of`, `cycles_of` and `diagrams.save_chart` raise, beginning with the option, and
    `InputError` for options that do not go together.
    """
    from hpteach.diagrams import CHART_KINDS, PRESSURE_UNITS, save_chart

    kind = plain(args.kind)
    if kind not in CHART_KINDS:
        raise UnknownNameError.among("--kind: kind of chart", args.kind, CHART_KINDS)
    apart = [option for option in DRAWN[1:] if given(args, option) not in (None, False)]
    if kind == "circuit" and apart:
        raise InputError(f"--kind circuit goes without {' and '.join(apart)}: a drawing of the circuit takes --paper only; leave the rest out")
    unit = None if args.pressure_unit is None else _named("--pressure-unit: pressure unit", args.pressure_unit, PRESSURE_UNITS)
    fluid = fluid_of(args)
    beside = _beside(args, fluid)
    cycles = [] if args.blank else _cycles(args, fluid, beside)
    how = {"paper": args.paper, "blank": args.blank, "energies": args.energies, "pressure_unit": unit, "beside": beside}
    return read("--out", args.out, lambda: save_chart(kind, fluid, cycles, Path(args.out), reader.system, **how))


def _named(what: str, text: str, known: tuple[str, ...]) -> str:
    for name in known:
        if plain(name) == plain(text):
            return name
    raise UnknownNameError.among(what, text, known)


def _beside(args: Namespace, fluid: Refrigerant) -> Refrigerant | None:
    if args.beside is None:
        return None
    beside = fluid_of(args, "--beside")
    if beside.name == fluid.name:
        raise InputError(f"--beside {args.beside[:60]} is the chart's own refrigerant: name another one, or leave --beside out")
    return beside


def _cycles(args: Namespace, fluid: Refrigerant, beside: Refrigerant | None) -> list[Cycle]:
    """The cycle for each position of the valve, or for each refrigerant at the same dew temperatures."""
    several = [option for option, asked in (("--valve both", plain(args.valve) == "both"), ("--beside", beside is not None)) if asked]
    crowded = [*several, *(["--energies"] if args.energies else [])]
    if len(crowded) > 1:
        why = "energies are drawn for one cycle" if args.energies else "four cycles would cover each other"
        raise InputError(f"{' and '.join(crowded)} do not go together, as {why}: keep one of them")
    cycles = cycles_of(args, fluid)
    return cycles if beside is None else cycles + read("--beside", args.beside, lambda: cycles_of(args, beside))
