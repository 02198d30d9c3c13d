"""The options of the command line: how they are read, how they are refused.

What lives here: the parser of one command, and reading an option's text; whoever reads the output,
and running another program for them.  What does not: the list of options (option_list), what a
command does (cli), units (units).

A refusal is one sentence that names the option, the value, what is allowed and what to change.
"""

from __future__ import annotations

import argparse
import os
import re
import signal
import subprocess
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from hpteach import units
from hpteach.errors import HpteachError, InputError, LimitError, Measure, UnitError, UnknownNameError
from hpteach.option_list import OPTIONS, Option

PROGRAM = "python -m hpteach"

LAND_AIR = (0.5e5, 1.1e5)
"""Pa; the air pressures that `air_pressure` takes, from about 5500 m of altitude to a deep mine: those in which moist air is computed."""

DEVICES = {"thermostatic-valve": "thermostatic valve", "electronic-valve": "electronic valve", "fixed-orifice": "fixed orifice"}
"""How --device calls the kinds of metering device."""

FITTED = {
    "accumulator": "suction accumulator",
    "service-valves": "service valves",
    "drier": "bi-flow filter-drier",
    "drier-pair": "one-way filter-driers",
}
"""How --fitted calls what can be fitted."""

Run = Callable[[Sequence[str]], int]
"""What starts another program and returns its exit code."""


_NEGATIVE = re.compile(r"-[.,]?[0-9]")


class Command(NamedTuple):
    """A command: what it does, the options it needs and may have, an example, and what runs it.

    `says` has options of its own, where they mean a little more in this command.  `lists` says which word after which option
    asks for a list, beside which nothing else is needed.  `both` says that
    it can show SI and IP together.  `without` says which options are neither needed nor taken beside which other.  `files` is what
    its help calls the files that may stand behind it without an option, "" where none may.
    """

    summary: str
    needs: tuple[str, ...]
    may: tuple[str, ...]
    example: str
    run: Callable[..., int]
    says: dict[str, Option] = {}
    both: bool = False
    without: dict[str, tuple[str, ...]] = {}
    lists: dict[str, str] = {}
    files: str = ""

    def listing(self, args: argparse.Namespace) -> bool:
        """Whether the options ask for a list only."""
        return any(word in map(plain, given(args, option) or ()) for option, word in self.lists.items())

    def option(self, name: str) -> Option:
        """An option as this command has it."""
        return self.says.get(name, OPTIONS[name])


class _Once(argparse.Action):
    """An option that may stand once: a second value would win over the first without a word."""

    def __call__(self, parser: Any, namespace: argparse.Namespace, values: Any, option: str | None = None) -> None:
        seen = vars(namespace).setdefault("_seen", {})
        if self.nargs == 0:
            values = True
        if option in seen:
            both = "" if values is True else f" ({seen[option][:60]} and {values[:60]})"
            raise InputError(f"{option} is given twice{both}: give it once")
        seen[option] = values
        setattr(namespace, self.dest, values)


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> None:
        """argparse would print its usage and leave; here every refusal is raised."""
        raise InputError(f"{message}: see {self.prog} --help")


def parser_of(name: str, command: Command) -> argparse.ArgumentParser:
    """The parser of one command, whose help ends with an example that works as pasted."""
    parser = _Parser(
        prog=f"{PROGRAM} {name}",
        usage=" ".join([PROGRAM, name, *(f"{option} {command.option(option).example}" for option in command.needs), *([f"[{command.files} ...]"] if command.files else []), "[options]"]),
        description=command.summary,
        epilog=f"example:\n  {PROGRAM} {command.example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
        add_help=False,
        exit_on_error=False,
    )
    # Without this argparse takes -5C for an option; it lets only plain negative numbers through.
    parser._negative_number_matcher = _NEGATIVE
    for option in (*command.needs, *command.may):
        example, text, default, repeats = command.option(option)
        said = text.replace("%", "%%")  # argparse fills in what stands behind a percent sign
        if not example:
            parser.add_argument(option, action=_Once, nargs=0, default=False, help=said)
        else:
            several = {"nargs": "+"} if repeats == "extend" else {}
            parser.add_argument(option, metavar=example, help=said, default=default, action=repeats or _Once, **several)
    parser.add_argument("-h", "--help", action="store_true", help=OPTIONS["--help"].help)
    if command.files:
        parser.add_argument("files", nargs="*", metavar=command.files, help="files to look at, or ids; none for all")
    return parser


def main_help(commands: Mapping[str, Command]) -> str:
    """The help without a command: every command with what it does, and an example that works as pasted.

    >>> print(main_help({"points": Command("Compute the state points.", (), (), "points --json", run=print)}).splitlines()[-1])
      python -m hpteach points --json
    """
    return "\n\n".join((
        f"usage: {PROGRAM} COMMAND [options]",
        "State points, charts and exercises of the reversible vapour-compression cycle.\nWithout a command the course opens.",
        "\n".join(["commands:", *(f"  {name:<13} {command.summary}" for name, command in commands.items())]),
        f"{PROGRAM} COMMAND --help shows the options of one.",
        f"example:\n  {PROGRAM} {commands['points'].example}",
    ))  # fmt: skip


def arguments(name: str, command: Command, argv: Sequence[str]) -> argparse.Namespace:
    """The options of a command as text; raises `InputError` for what cannot be understood.

    >>> command = Command("", ("--at",), (), "", run=print)
    >>> arguments("saturation", command, ["--at", "-5C", "118psig"]).at
    ['-5C', '118psig']
    >>> arguments("saturation", command, ["--aat", "5C"])
    Traceback (most recent call last):
    hpteach.errors.UnknownNameError: saturation: option '--aat' is not known; did you mean --at? Known are --at, --help
    """
    try:
        args, rest = parser_of(name, command).parse_known_args(_bound(argv))
    except argparse.ArgumentError as error:
        option = (error.argument_name or "").split("/")[-1]
        if example := command.option(option).example:
            raise InputError(f"{option} has no value: write one after it, such as {option} {example}") from None
        raise InputError(f"{option} takes no value ({error.message}): write {option} alone") from None
    if args.help:
        return args
    if command.files:
        args.files += [text for text in rest if not text.startswith("-")]
        rest = [text for text in rest if text.startswith("-")]
    known = (*command.needs, *command.may, "--help")
    for text in sorted(rest, key=lambda text: not text.startswith("--")):
        if text.startswith("-") and not _NEGATIVE.match(text):
            raise UnknownNameError.among(f"{name}: option", text.partition("=")[0], known)
        raise InputError(f"{name}: {text[:60]!r} belongs to no option: write a value right after its option, without blanks (45C) or in quotes")
    spared = _spared(command, args)
    missing = [option for option in command.needs if given(args, option) is None and option not in spared]
    if missing and not command.listing(args):
        add = " ".join(f"{option} {command.option(option).example}" for option in missing)
        raise InputError(f"{name} needs {' and '.join(missing)}: add for example {add}")
    return args


def _spared(command: Command, args: argparse.Namespace) -> set[str]:
    """The options that need not be given, as another stands that goes without them; refused where one is given all the same."""
    spared: set[str] = set()
    for option, others in command.without.items():
        if given(args, option):
            if clash := [other for other in others if other in vars(args)["_seen"] or (command.option(other).repeats and given(args, other))]:
                raise InputError(f"{option} goes without {' and '.join(clash)}: leave {option} out, or the rest")
            spared |= set(others)
    return spared


def _bound(argv: Sequence[str]) -> list[str]:
    """The texts, where a value that begins with one hyphen is bound to its option: argparse would take it for an option.

    >>> _bound(["--answer", "-x", "--json"])
    ['--answer=-x', '--json']
    """
    bound: list[str] = []
    for text in argv:
        option = OPTIONS.get(bound[-1]) if bound else None
        if option and option.example and option.repeats != "extend" and re.match("-[^-]", text):
            bound[-1] += f"={text}"
        else:
            bound.append(text)
    return bound


def run_program(command: Sequence[str]) -> int:
    """Run a program until it ends by itself, also after Ctrl-C or SIGTERM, and return its exit code.

    Both are passed on.  A program that a signal ended has 128 and the signal's number, as in a
    shell.  Whatever else breaks off the waiting ends the program too.

    >>> import sys
    >>> run_program([sys.executable, "-c", "raise SystemExit(3)"])
    3
    """
    hears = threading.current_thread() is threading.main_thread()
    with subprocess.Popen(command) as process:
        before = signal.signal(signal.SIGTERM, lambda *_: process.terminate()) if hears else None
        try:
            while True:
                try:
                    code = process.wait()
                    return code if code >= 0 else 128 - code
                except KeyboardInterrupt:
                    if os.name == "posix":  # elsewhere the console tells every program by itself
                        process.send_signal(signal.SIGINT)
        finally:
            process.terminate()  # does nothing to a program that has ended
            if hears:
                signal.signal(signal.SIGTERM, before or signal.SIG_DFL)


class Reader:
    """Whoever reads the output: unit system (the first of `systems`), and the air (Pa) from which gauges count."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.system = "SI"
        self.systems: tuple[str, ...] = ("SI",)
        self.atmosphere = units.STANDARD_ATMOSPHERE

    def learn(self, args: argparse.Namespace, *, both: bool = False) -> None:
        """Take units and air from the options, as far as the command has them; `both` as in `Command`.  Raises `InputError` and `UnknownNameError`."""
        system, altitude, air = given(args, "--units") or self.system, given(args, "--altitude"), given(args, "--atmosphere")
        known = {name: (name,) for name in units.SYSTEMS} | ({"both": units.SYSTEMS} if both else {})
        shown = {name.lower(): systems for name, systems in known.items()}
        if plain(system) not in shown:
            raise UnknownNameError.among("--units: unit system", system, known)
        self.systems = shown[plain(system)]
        self.system = self.systems[0]
        if altitude is not None and air is not None:
            raise InputError(f"--altitude {altitude[:60]} and --atmosphere {air[:60]} both say what the air pressure is: give only one of them")
        if altitude is not None:
            self.atmosphere = read("--altitude", altitude, lambda: units.atmosphere_at(units.read(altitude, "length")))
        elif air is not None:
            self.atmosphere = read("--atmosphere", air, lambda: air_pressure(air))


def given(args: argparse.Namespace, option: str) -> Any:
    """What stands after an option.

    >>> given(argparse.Namespace(no_browser=True), "--no-browser")
    True
    """
    return getattr(args, option.removeprefix("--").replace("-", "_"), None)


def plain(text: str) -> str:
    """A word as it is looked up: without blanks around it, in lower case."""
    return text.strip().lower()


def meant(option: str, what: str, text: str, known: Mapping[str, str]) -> str:
    """What a word after an option stands for; blanks count as hyphens.  Raises `UnknownNameError` for any other.

    >>> meant("--device", "kind", "Fixed orifice", DEVICES)
    'fixed orifice'
    """
    word = "-".join(plain(text).split())
    if word not in known:
        raise UnknownNameError.among(f"{option}: {what}", text, known)
    return known[word]


def stuck_parts(texts: Iterable[str]) -> dict[str, str]:
    """The parts that are stuck and how, from the texts PART=STATE.  Raises `InputError` for another form, and for a part in two states.

    >>> stuck_parts(["Indoor-check-valve = open"])
    {'indoor check valve': 'open'}
    """
    stuck: dict[str, str] = {}
    for text in texts:
        part, equals, state = text.partition("=")
        if not equals:
            raise InputError(f'--stuck {text[:60]!r} does not say how it is stuck: write PART=STATE, such as "outdoor check valve=open"')
        part, state = " ".join(plain(part).replace("-", " ").split()), plain(state)
        if stuck.setdefault(part, state) != state:
            raise InputError(f"--stuck names the {part[:60]} twice ({stuck[part][:60]} and {state[:60]}): it is stuck in one state, so keep one of the two")
    return stuck


def read(option: str, text: str, reading: Callable[[], Any]) -> Any:
    """What `reading` makes of an option's text; a refusal of it then begins with the option.

    >>> read("--superheat", "5", lambda: units.read("5", "temperature difference"))
    Traceback (most recent call last):
    hpteach.errors.UnitError: --superheat: '5' has no unit of temperature difference: write it as 5K or 9F
    """
    try:
        return reading()
    except HpteachError as error:
        raise about(error, option if text in error.template else f"{option} {text[:60]}") from None


def about(error: HpteachError, what: str) -> HpteachError:
    """The same refusal, beginning with what it is about."""
    return type(error)(f"{what}: {error.template}", **error.measures)


def whole(option: str, text: str, least: int, most: int) -> int:
    """A whole number from `least` to `most`.  Raises `InputError` for any other text.

    >>> whole("--seed", "007", 0, 100)
    7
    """
    if not re.fullmatch("[0-9]{1,9}", text) or not least <= int(text) <= most:
        raise InputError(f"{option} {text[:60]!r} is not a whole number from {least} to {most}: write one, such as {OPTIONS[option].example}")
    return int(text)


def temperature_or_pressure(text: str, atmosphere: float = units.STANDARD_ATMOSPHERE) -> tuple[str, float]:
    """The kind of quantity that a text gives, and its value in SI.  Raises `UnitError` where it is neither.

    >>> temperature_or_pressure("5C"), temperature_or_pressure("118psig")
    (('temperature', 278.15), ('pressure', 914906.4))
    """
    refusals = []
    for kind in ("temperature", "pressure"):
        try:
            return kind, units.read(text, kind, atmosphere=atmosphere)
        except UnitError as error:
            refusals.append(error)
    if str(refusals[0]) == str(refusals[1]):  # wrong for both, as psi that does not say gauge or absolute
        raise refusals[0]
    raise UnitError(f"{text[:60]!r} is neither a temperature nor a pressure: write it as 5C, 41F or 278.15K, or as 8.5bar, 118psig or 133psia")


def air_pressure(text: str) -> float:
    """The pressure of the air (Pa), absolute.  Raises `LimitError` for one of no place on earth that is computed here.

    >>> air_pressure("0.84bar")
    84000.0
    """
    air = units.read(text, "pressure")
    if not LAND_AIR[0] <= air <= LAND_AIR[1]:
        given, least, most = Measure(air, "pressure"), Measure(LAND_AIR[0], "pressure", "least"), Measure(LAND_AIR[1], "pressure", "most")
        raise LimitError("air pressure of {given} is not one of a place that is computed here: use {least} to {most}", given=given, least=least, most=most)
    return air
