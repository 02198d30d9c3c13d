"""The command line: reads options, calls the library, prints a table or JSON.

What lives here: the commands and their options, exit codes, and the one sentence of a
refusal.  What does not: computing anything, and laying it out (readouts).

    0  done          1  a check did not hold          2  bad input, said in one sentence

A command loads the rooms it needs only when it runs, so that `--help` is at once there.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import hpteach
from hpteach import units
from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.errors import DataError, HpteachError, InputError, LimitError, Measure, UnitError, UnknownNameError

if TYPE_CHECKING:
    from hpteach.cycle import Cycle
    from hpteach.fluids import Refrigerant
    from hpteach.questions import Variant

FIRST_LESSON = "00-start-here.ipynb"
_BOTH = "both"
_AIR = (0.4e5, 1.1e5)
_DIGITS = re.compile(r"[0-9]{1,9}")


def main(argv: Sequence[str] | None = None, *, run: Callable[[Sequence[str]], int] | None = None) -> int:
    """Run one command and return its exit code; `run` starts another program (by default `run_program`).

    >>> main(["saturation", "--refrigerant", "R-134a", "--at", "5"])
    2
    """
    reader = _Reader(run or run_program)
    try:
        return _command(list(sys.argv[1:] if argv is None else argv), reader)
    except HpteachError as error:
        _remark(units.sentence(error, reader.system, atmosphere=reader.atmosphere))
        return 2
    except BrokenPipeError:
        _leave_output()
        return 0
    except OSError as error:
        _leave_output()
        _remark(f"the output cannot be written ({error.strerror or error}): choose another place for it")
        return 2
    except KeyboardInterrupt:
        _remark("interrupted")
        return 130


def run_program(command: Sequence[str]) -> int:
    """Run a program until it ends and return its exit code; Ctrl-C is left for it to act upon.

    >>> run_program([sys.executable, "-c", "raise SystemExit(3)"])
    3
    """
    with subprocess.Popen(command) as process:
        while True:
            try:
                return process.wait()
            except KeyboardInterrupt:
                if os.name == "posix":  # elsewhere the console itself tells every program
                    process.send_signal(signal.SIGINT)


class _Reader:
    """Who reads the output: unit system and the air (Pa) that gauges count from."""

    def __init__(self, run: Callable[[Sequence[str]], int]) -> None:
        self.run = run
        self.system = "SI"
        self.atmosphere = units.STANDARD_ATMOSPHERE

    def learn(self, args: argparse.Namespace) -> None:
        """Take the reader's units and air from the options, as far as the command has them."""
        system = getattr(args, "units", self.system)
        if system.upper() not in units.SYSTEMS:
            raise UnknownNameError.among("--units: unit system", system, units.SYSTEMS)
        self.system = system.upper()
        altitude, air = getattr(args, "altitude", None), getattr(args, "atmosphere", None)
        if altitude and air:
            raise InputError(f"--altitude {altitude} and --atmosphere {air} both say what the air pressure is: give one of the two")
        if altitude:
            with _naming("--altitude", altitude):
                self.atmosphere = units.atmosphere_at(units.read(altitude, "length"))
        if air:
            with _naming("--atmosphere", air):
                self.atmosphere = _air_pressure(air)

    def quantity(self, args: argparse.Namespace, name: str, kind: str) -> float:
        """The quantity that an option gives, in SI."""
        text = getattr(args, name)
        with _naming("--" + name.replace("_", "-"), text):
            return units.read(text, kind, atmosphere=self.atmosphere)


def _air_pressure(text: str) -> float:
    air = units.read(text, "pressure")
    try:
        units.read(text, "gauge pressure")
    except UnitError:
        if _AIR[0] <= air <= _AIR[1]:
            return air
        least, most = (Measure(limit, "pressure") for limit in _AIR)
        given = Measure(air, "pressure")
        raise LimitError("air pressure of {given} is found nowhere on land: use {least} to {most}", given=given, least=least, most=most) from None
    raise UnitError(f"{text!r} is a gauge pressure, and the air's own is absolute: write it as 0.84bar or 12.1psia")


# Commands -----------------------------------------------------------------------------


def _lab(args: argparse.Namespace, reader: _Reader) -> int:
    port = _whole("--port", args.port, least=1, most=65535) if args.port else None
    lessons = Path(hpteach.__file__).resolve().parents[1] / "notebooks"
    if not (lessons / FIRST_LESSON).is_file():
        raise DataError(
            f"the lessons are not at {lessons}: they come with a clone of the project, so install from the clone with `pip install -e .`"
        )
    command = [
        sys.executable, "-m", "jupyterlab",
        f"--ServerApp.root_dir={lessons}",
        f"--LabApp.default_url=/lab/tree/{FIRST_LESSON}",
        # Nothing is sent to or fetched from the network, and one Ctrl-C ends it without a question.
        "--LabApp.news_url=None",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
        "--ServerApp.answer_yes=True",
        *([f"--ServerApp.port={port}"] if port else ()),
        *(["--no-browser"] if args.no_browser else ()),
        *(["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else ()),
    ]  # fmt: skip
    return reader.run(command)


def _refrigerants(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach import readouts
    from hpteach.fluids import catalogue, refrigerant

    found = [refrigerant(name) for name in catalogue()]
    if args.json:
        return _print_json({"refrigerants": [readouts.refrigerant_dictionary(one) for one in found]})
    _print(*readouts.refrigerant_tables(found, reader.system))
    for one in found:
        if one.listing.caution:
            _remark(f"{one.name}: {one.listing.caution}")
    _remark(readouts.GENERAL_CAUTION)
    return 0


def _saturation(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach import readouts

    fluid = _refrigerant(args)
    by = {"temperature": readouts.saturation_at_temperature, "pressure": readouts.saturation_at_pressure}
    rows = []
    for text in args.at:
        with _naming("--at", text):
            kind, value = _temperature_or_pressure(text, reader.atmosphere)
            rows.append(by[kind](fluid, value))
    if args.json:
        return _print_json({"refrigerant": fluid.name, "reference": fluid.reference, "rows": rows})
    _print(*readouts.saturation_tables(fluid, rows, reader.system, atmosphere=reader.atmosphere))
    _remark(*readouts.cautions(fluid.listing))
    return 0


def _flow(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach import readouts
    from hpteach.wording import flow_in_words

    position = _named("--valve", args.valve, ValvePosition)
    circuit = reversible_circuit(_named("--metering", args.metering, MeteringLayout))
    stuck = {}
    for text in args.stuck:
        part, equals, state = text.partition("=")
        if not equals:
            raise InputError(f'--stuck {text!r} does not say in which state: write PART=STATE, as "outdoor check valve=open"')
        stuck[_plain(part)] = _plain(state)
    with _naming("--stuck", ", ".join(args.stuck)):
        found = flow(circuit, position, stuck=stuck)
    if args.json:
        return _print_json(readouts.flow_dictionary(found))
    _print(readouts.flow_table(found), "\n".join(flow_in_words(found)))
    return 0


def _points(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach import readouts
    from hpteach.wording import cycle_in_words

    fluid = _refrigerant(args)
    cycles = _cycles(args, reader, fluid)
    if args.json:
        found = [readouts.cycle_dictionary(fluid, cycle) for cycle in cycles]
        return _print_json({"cycles": found} if _plain(args.valve) == _BOTH else found[0])
    for cycle in cycles:
        tables = readouts.cycle_tables(fluid, cycle, reader.system, atmosphere=reader.atmosphere)
        _print(*tables, "\n".join(cycle_in_words(cycle, reader.system)))
    _remark(*readouts.cautions(fluid.listing))
    return 0


def _chart(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach.diagrams import CHARTS, save_chart

    if args.kind not in CHARTS:
        raise UnknownNameError.among("--kind: kind of chart", args.kind, CHARTS)
    fluid = _refrigerant(args)
    cycles = _cycles(args, reader, fluid)
    with _naming("--out", args.out):
        file = save_chart(args.kind, fluid, cycles, Path(args.out), reader.system)
    return _print_json({"file": str(file)}) if args.json else _print(f"Written: {file}")


def _ask(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach.questions import deal
    from hpteach.tables import Table

    bank = _bank_of(args)
    if not args.question:
        found = list(bank.questions.values())
        if args.json:
            return _print_json({"questions": [{"id": q.id, "topic": q.topic, "level": q.level, "title": q.title} for q in found]})
        rows = [(q.id, q.topic, str(q.level), q.title) for q in found]
        return _print(Table("Questions: ask one with --question ID", ("id", "topic", "level", "title"), rows))
    variant = _dealt(args, reader, bank, deal)
    if args.json:
        return _print_json(_asked(variant, key=args.key))
    _print(variant, *([_key(variant)] if args.key else ()))
    return 0


def _check(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach.questions import check, deal

    variant = _dealt(args, reader, _bank_of(args), deal)
    with _naming("--part", args.part or ""):
        verdict = check(variant, args.answer, args.part)
    if not args.json:
        return _print(verdict)
    notes = [note._asdict() if hasattr(note, "_asdict") else vars(note) for note in verdict.notes]
    return _print_json({"readable": verdict.readable, "correct": verdict.correct, "mistake": verdict.mistake, "notes": notes})


def _bank(args: argparse.Namespace, reader: _Reader) -> int:
    from hpteach.questions import prove

    proof = prove(_bank_of(args))
    if args.json:
        _print_json({**vars(proof), "failures": list(proof.failures)})
    else:
        _print(proof)
    return 1 if proof.failures else 0
