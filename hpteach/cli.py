"""The command line: calls the library and prints a table, or JSON.

What lives here: the commands and their exit codes.  What does not: reading
options (options), layouts (readouts), sentences (wording), the two streams (printing), and anything that computes.

    0  done          1  a check did not hold          2  bad input, said in one sentence

A command loads the rooms that it needs only when it runs, so that `--help` is there at once.
"""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import hpteach
from hpteach import units
from hpteach.chart_options import DRAWN, WITHOUT, chart_of
from hpteach.circuit import ValvePosition, flow
from hpteach.cycle_options import circuit_of, cycles_of, fluid_of
from hpteach.desk_options import blueprints, hand_in, mark, papers
from hpteach.errors import HpteachError, UnknownNameError
from hpteach.machine_options import trouble_of
from hpteach.options import (
    OPTIONS, Command, Reader, Run, arguments, main_help, parser_of, plain, read, run_program, stuck_parts, temperature_or_pressure, whole,
)  # fmt: skip
from hpteach.printing import remark, show, show_json
from hpteach.progress_options import progress
from hpteach.question_options import ask, bank, check
from hpteach.season_options import MONEY, season_of


def main(argv: Sequence[str] | None = None, *, run: Run | None = None) -> int:
    """Do one command and return its exit code; `run` starts another program (`run_program` by default).

    >>> main(["flow", "--valve", "between", "--json"])  # doctest: +ELLIPSIS
    {
      "valve_position": "between",
    ...
    0
    """
    reader = Reader(run or run_program)
    try:
        return _do(list(sys.argv[1:] if argv is None else argv), reader)
    except HpteachError as error:
        remark(units.sentence(error, reader.system, atmosphere=reader.atmosphere))
        return 2
    except KeyboardInterrupt:
        remark("Interrupted.")
        return 130


# The commands -------------------------------------------------------------------------


def _lab(args: Namespace, reader: Reader) -> int:
    from hpteach.serving import lab_command

    command = lab_command(**_served(args))
    with _begun_in(args.units and reader.system):
        return reader.run(command)


def _pages(args: Namespace, reader: Reader) -> int:
    from hpteach.serving import is_loopback, pages_command

    alone = read("--address", args.address, lambda: is_loopback(args.address))
    command = pages_command(**_served(args), address=args.address)
    if not alone:
        remark(
            f"--address {args.address}: anybody who reaches this machine there can open the pages without a password, and each visitor runs the code of the lessons as your user.",
            "No answer is kept on these pages, as all visitors would share one record.",
        )
    with _begun_in(args.units and reader.system):
        return reader.run(command)


@contextmanager
def _begun_in(units: str | None) -> Iterator[None]:
    """Let the lessons that are started meanwhile begin in these units, until somebody chooses others; None leaves that to them."""
    if units is None:
        yield
        return
    before = os.environ.get(UNITS)
    os.environ[UNITS] = f"{units} since {datetime.now(UTC):%Y-%m-%dT%H:%M:%S}"  # the time makes it newer than a choice that was kept
    try:
        yield
    finally:
        os.environ.pop(UNITS) if before is None else os.environ.update({UNITS: before})


def _served(args: Namespace) -> dict[str, Any]:
    """Which lessons are served, and how: what both servers are told."""
    port = None if args.port is None else whole("--port", args.port, 1, 65535)
    lessons = Path(args.lessons).resolve() if args.lessons else Path(hpteach.__file__).resolve().parents[1] / "notebooks"
    return {"lessons": lessons, "browser": not args.no_browser, "port": port}


def _refrigerants(args: Namespace, reader: Reader) -> int:
    from hpteach import readouts
    from hpteach.fluids import catalogue, refrigerant

    found = [refrigerant(name) for name in catalogue()]
    if args.json:
        return show_json({"refrigerants": [readouts.refrigerant_dictionary(one) for one in found]})
    show(*readouts.refrigerant_tables(found, reader.system))
    return remark(*(f"{one.name}: {one.listing.caution}" for one in found if one.listing.caution), readouts.GENERAL_CAUTION)


def _saturation(args: Namespace, reader: Reader) -> int:
    from hpteach import readouts

    fluid = fluid_of(args)
    row_by = {"temperature": readouts.saturation_at_temperature, "pressure": readouts.saturation_at_pressure}
    rows = []
    for text in args.at:
        kind, value = read("--at", text, lambda: temperature_or_pressure(text, reader.atmosphere))
        rows.append(read("--at", text, lambda: row_by[kind](fluid, value)))
    if args.json:
        return show_json({"refrigerant": fluid.name, "reference": fluid.reference, "rows": rows, "cautions": readouts.cautions(fluid.listing)})
    show(*readouts.saturation_tables(fluid, rows, reader.system, atmosphere=reader.atmosphere))
    return remark(*readouts.cautions(fluid.listing))


def _flow(args: Namespace, reader: Reader) -> int:
    from hpteach import readouts

    position = read("--valve", args.valve, lambda: ValvePosition.named(plain(args.valve)))
    circuit, stuck = circuit_of(args), stuck_parts(args.stuck or ())
    found = read("--stuck", " ".join(args.stuck or ()), lambda: flow(circuit, position, stuck=stuck))
    if args.json:
        return show_json(readouts.flow_dictionary(found))
    from hpteach.wording import flow_in_words

    return show(readouts.flow_table(found), "\n".join(flow_in_words(found)))


def _points(args: Namespace, reader: Reader) -> int:
    from hpteach import readouts
    from hpteach.wording import cycle_in_words, flow_in_words, wet_discharge_caution

    fluid = fluid_of(args)
    cycles = cycles_of(args, fluid)
    if args.json:
        found = [readouts.cycle_dictionary(fluid, cycle) for cycle in cycles]
        for one, cycle in zip(found, cycles):
            one["cautions"] = [*filter(None, [wet_discharge_caution(cycle)]), *one["cautions"]]
        return show_json(found[0] if len(found) == 1 else {"cycles": found})
    blocks: list[Any] = []
    for cycle in cycles:
        blocks += readouts.cycle_tables(fluid, cycle, reader.system, atmosphere=reader.atmosphere)
        blocks += ("\n".join(flow_in_words(cycle.flow)), "\n".join(cycle_in_words(cycle, reader.system)))
    show(*blocks)
    return remark(*readouts.cautions(fluid.listing))


def _gauges(args: Namespace, reader: Reader) -> int:
    from hpteach import gauge_readouts
    from hpteach.gauge_options import findings_of

    fluid = fluid_of(args)
    found, shown = findings_of(args, reader, fluid), {"system": reader.system, "atmosphere": reader.atmosphere}
    if args.json:
        return show_json(gauge_readouts.gauges_dictionary(fluid, found, **shown))
    said = (*gauge_readouts.gauges_in_words(found, **shown), *gauge_readouts.doubts_in_words(found, **shown))
    show(*gauge_readouts.gauge_tables(found, **shown), "\n".join(said), "\n".join(gauge_readouts.probes_in_words(found)))
    return remark(*gauge_readouts.gauge_cautions(fluid.listing))


def _operate(args: Namespace, reader: Reader) -> int:
    from hpteach import fault_readouts as wrong
    from hpteach import machine_readouts as laid
    from hpteach.fluids import refrigerant

    if COMMANDS["operate"].listing(args):
        return show_json(wrong.faults_dictionary()) if args.json else show(*wrong.faults_list(reader.system))
    trouble, remarks = trouble_of(args, reader)
    found = trouble.found
    fluid, shown = refrigerant(found.machine.refrigerant), {"system": reader.system, "atmosphere": reader.atmosphere}
    if args.json:
        told = {**laid.operation_dictionary(fluid, found), **wrong.trouble_dictionary(trouble), "remarks": list(remarks)}
        return show_json({**told, "cautions": [*wrong.trouble_cautions(trouble), *told["cautions"]]})
    limits = laid.limits_in_words(found, **shown) if found.limits or trouble.run.stopped_by is None else ()
    said = (*laid.operation_in_words(found, reader.system), *limits)
    blocks = ("\n".join(wrong.trouble_in_words(trouble, reader.system)), *wrong.trouble_tables(trouble, **shown)) if trouble.faults else ()
    show(*blocks, *laid.operation_tables(found, **shown), "\n".join(said))
    return remark(*remarks, *wrong.trouble_cautions(trouble), *laid.operation_cautions(fluid))


def _season(args: Namespace, reader: Reader) -> int:
    from hpteach import readouts
    from hpteach import season_readouts as laid
    from hpteach.fluids import listing

    found, choices, remarks = season_of(args, reader, remark)
    cautions = readouts.cautions(listing(choices.machine.refrigerant))
    if args.json:
        return show_json({**laid.choices_dictionary(choices), **laid.season_dictionary(found), "cautions": cautions, "remarks": [*remarks, *laid.beyond_limits_in_words(found)]})
    tables = laid.season_tables(found, reader.system, currency=choices.currency, frost=choices.frost)
    hours = (f"Hours: {choices.climate.source}.", f"Moisture: {choices.climate.moisture_source}.")
    show(laid.choices_table(choices, reader.system), *tables, "\n".join((*laid.season_in_words(found, reader.system), *hours)))
    return remark(*remarks, *cautions)


def _chart(args: Namespace, reader: Reader) -> int:
    file = chart_of(args, reader)
    return show_json({"file": str(file)}) if args.json else show(f"Written: {file}")


def _card(args: Namespace, reader: Reader) -> int:
    from hpteach.cards import save_card

    fluid = fluid_of(args)
    file = read("--out", args.out, lambda: save_card(fluid, Path(args.out), reader.systems, atmosphere=reader.atmosphere))
    return show_json({"file": str(file)}) if args.json else show(f"Written: {file}")


UNITS = "HPTEACH_UNITS"
"""The environment variable that says in which units the lessons begin."""

_SHOWN, _GAUGES = ("--units", "--json"), ("--altitude", "--atmosphere")
_CYCLE = ("--superheat", "--subcooling", "--isentropic-efficiency", "--metering", "--meters-towards", "--reference")
_VALVE = {"--valve": OPTIONS["--valve"]._replace(help="where the reversing valve stands: heating, cooling or both, one after the other")}
_STANDS = {"--valve": OPTIONS["--valve"]._replace(help="where the reversing valve stands: heating or cooling")}
_PAGE = {
    "--out": OPTIONS["--out"]._replace(example="card.html", help="file to write; it has to end in .html"),
    "--units": OPTIONS["--units"]._replace(help="units on the card: SI, IP or both (default both)", default="both"),
}
_ROOM = {
    "--indoor": OPTIONS["--indoor"]._replace(example="20C", help="temperature of the room (default 20C)", default="20C"),
    "--refrigerant": OPTIONS["--refrigerant"]._replace(help="refrigerant of the bench unit (invented) that heats (default R-410A)"),
}
_PAPERS = {
    "--paper": OPTIONS["--paper"]._replace(example="Letter", help="size of the paper: A4 (default) or Letter", default="A4"),
    "--out": OPTIONS["--out"]._replace(example="papers", help="folder to write into: empty, or not there yet"),
    "--seed-secret": OPTIONS["--seed-secret"]._replace(help="file with your secret; where there is none it is made, and you are told"),
}
_MARKS = {"--out": OPTIONS["--out"]._replace(example="marks", help="folder to write into: empty, not there yet, or marked into before")}
_HAND_IN = {
    "--answers": OPTIONS["--answers"]._replace(help="your answers as a CSV file with the columns number, part and answer"),
    "--out": OPTIONS["--out"]._replace(example="mine.json", help="file to write; it has to end in .json"),
}
_BEGIN = {"--units": OPTIONS["--units"]._replace(help="units in which the panels begin, until others are chosen in one: SI or IP (default: the last choice)", default=None)}
_EXAMPLE = "--refrigerant R-410A --valve heating --evaporating 0C --condensing 45C --superheat 5K --isentropic-efficiency 0.7"

COMMANDS = {
    "lab": Command("Open the course in JupyterLab at the first lesson.", (), ("--no-browser", "--port", "--lessons", "--units"), "lab --no-browser --port 8890", _lab, _BEGIN),
    "pages": Command(
        "Serve the lessons as pages without code.",
        (), ("--no-browser", "--port", "--lessons", "--address", "--units"), "pages --no-browser --port 8891", _pages, _BEGIN,
    ),
    "refrigerants": Command(
        "List the refrigerants: composition, safety class, GWP, boiling and critical points.",
        (), _SHOWN, "refrigerants --units IP", _refrigerants,
    ),
    "saturation": Command(
        "Show pressure-temperature rows, bubble and dew.",
        ("--refrigerant", "--at"), ("--reference", *_GAUGES, *_SHOWN), "saturation --refrigerant R-410A --at 5C 118psig", _saturation,
    ),
    "flow": Command(
        "Follow the refrigerant through the circuit, component by component.",
        ("--valve",), ("--metering", "--device", "--fitted", "--stuck", *_SHOWN), "flow --valve cooling", _flow,
    ),
    "points": Command(
        "Compute the state points of a cycle, its heat, work and COP.",
        ("--refrigerant", "--valve", "--evaporating", "--condensing"), (*_CYCLE, *_GAUGES, *_SHOWN), f"points {_EXAMPLE}", _points, _VALVE,
    ),
    "gauges": Command(
        "Turn field readings into superheat, subcooling, state points and doubts.",
        ("--refrigerant", "--valve", "--suction", "--discharge", "--suction-line", "--liquid-line"),
        ("--discharge-line", "--metering", "--reference", *_GAUGES, *_SHOWN),
        "gauges --refrigerant R-410A --valve cooling --suction 118psig --discharge 365psig --suction-line 52F --liquid-line 100F", _gauges, _STANDS,
    ),
    "operate": Command(
        "Run a machine in weather, healthy or with faults: pressures, heat, power, COP and limits as they settle.",
        ("--valve", "--outdoor", "--indoor"), ("--refrigerant", "--machine", "--fault", "--speed", *_GAUGES, *_SHOWN),
        "operate --refrigerant R-410A --valve heating --outdoor 47F/43F --indoor 70F/60F", _operate, _STANDS, lists={"--fault": "help"},
    ),
    "season": Command(
        "Heat a house through a season, bin by bin: balance point, auxiliary heat, COP, cost.",
        (), ("--refrigerant", "--machine", "--climate", "--design-load", "--design-temperature", "--zero-load", "--indoor", *MONEY, *_GAUGES, *_SHOWN),
        "season --refrigerant R-410A --climate average --design-load 9kW --electricity-price 0.30/kWh", _season, _ROOM,
    ),
    "chart": Command(
        "Draw a cycle on a pressure-enthalpy or temperature-entropy chart, or in its circuit.",
        ("--refrigerant", "--valve", "--evaporating", "--condensing", "--out"), ("--kind", *DRAWN, *_CYCLE, *_GAUGES, *_SHOWN),
        f"chart {_EXAMPLE} --out heating.svg", _chart, _VALVE, without=WITHOUT,
    ),
    "card": Command(
        "Write a pressure-temperature card, one page to print for the wall.",
        ("--refrigerant", "--out"), (*_GAUGES, *_SHOWN), "card --refrigerant R-410A --out card.html", _card, _PAGE, both=True,
    ),
    "ask": Command(
        "Ask one question with the figures of a seed, or list the questions.",
        (), ("--question", "--seed", "--key", "--chart", "--folder", *_SHOWN), "ask --question cooling-cop --seed 7", ask,
    ),
    "check": Command(
        "Judge an answer to a question dealt with the same --seed and --units.",
        ("--question", "--answer"), ("--part", "--seed", "--folder", *_SHOWN),
        "check --question cooling-cop --seed 7 --part cop --answer 5.0", check,
    ),
    "bank": Command(
        "Prove that every question, or each named one, can be judged whatever is dealt; show what they cover.",
        (), ("--coverage", "--folder", "--json"), "bank cooling-cop --json", bank, files="FILE",
    ),
    "progress": Command(
        "Show where you stand and what to practise next; write your answers to a file, or delete them.",
        (), ("--export", "--delete", "--yes", "--file", "--json"), "progress --json", progress, without={"--delete": ("--export",)},
    ),
    "blueprints": Command("List the blueprints from which papers can be dealt.", (), ("--json",), "blueprints", blueprints),
    "papers": Command(
        "Deal a paper for each learner of a class: forms, key and answer sheet, to print.",
        ("--roster", "--blueprint", "--out", "--seed-secret"), ("--paper", "--no-charts", "--difficulties", "--json"),
        "papers --roster demo --blueprint lesson-03 --out papers --seed-secret secret.txt", papers, _PAPERS,
    ),
    "mark": Command(
        "Mark a class's papers, or what learners practised: scores, mistakes by name, feedback to hand back, what the questions are worth.",
        ("--papers", "--out"), ("--answers", "--hand-in", "--progress", "--seed-secret", "--json"),
        "mark --papers demo --answers demo --out marks", mark, _MARKS, without={"--progress": ("--papers", "--answers", "--hand-in", "--seed-secret")},
    ),
    "hand-in": Command(
        "Write your answers as a signed file that your instructor can mark.",
        ("--form", "--form-key", "--answers", "--out"), ("--json",),
        "hand-in --form 2222-2234 --form-key SGDF-LJE2-XDYT-PHCN-FF3V --answers demo --out mine.json", hand_in, _HAND_IN,
    ),
}  # fmt: skip


# What the commands share --------------------------------------------------------------


def _do(argv: list[str], reader: Reader) -> int:
    if not argv or argv[0].partition("=")[0] in ("--no-browser", "--port"):
        argv = ["lab", *argv]
    name, *rest = argv
    if name in ("-h", "--help"):
        return show(main_help(COMMANDS))
    if name == "--version":
        return show(hpteach.__version__)
    if name.startswith("-"):
        raise UnknownNameError.among("option before any command", name, ("--help", "--version", "--no-browser", "--port"))
    if name not in COMMANDS:
        raise UnknownNameError.among("command", name, COMMANDS)
    command = COMMANDS[name]
    args = arguments(name, command, rest)
    if args.help:
        return show(parser_of(name, command).format_help().rstrip())
    reader.learn(args, both=command.both)
    return command.run(args, reader)
