"""The command line: commands, JSON, exit codes, refusals (hpteach/cli.py)."""

import contextlib
import io
import os
import shlex
import signal
import subprocess
import sys
from pathlib import Path
from unittest.mock import Mock

import pytest

import hpteach
from hpteach.cli import COMMANDS, main
from hpteach.fluids import catalogue, refrigerant
from hpteach.options import PROGRAM
from hpteach.serving import FIRST_LESSON
from tests.command_line import ran, shown

ROOT = Path(hpteach.__file__).resolve().parents[1]
ELSEWHERE = {"PYTHONPATH": str(ROOT), **os.environ}

CYCLE = "--refrigerant R-410A --evaporating 7C --condensing 45C --superheat 5K --subcooling 5K --isentropic-efficiency 0.7"
POINT_KEYS = {
    "number", "label", "name", "place", "pressure_Pa", "temperature_K", "enthalpy_J_per_kg", "entropy_J_per_kgK",
    "density_kg_per_m3", "quality", "phase",
}  # fmt: skip
CYCLE_KEYS = {
    "refrigerant", "reference", "valve_position", "metering", "condenser", "evaporator", "points", "specific_work_J_per_kg",
    "refrigerating_effect_J_per_kg", "heat_rejected_J_per_kg", "cop_heating", "cop_cooling", "pressure_ratio", "cautions",
}  # fmt: skip
SATURATED_KEYS = {"hf_J_per_kg", "hg_J_per_kg", "sf_J_per_kgK", "sg_J_per_kgK"}


def outside(*argv, **how):
    """A command in a process of its own."""
    return subprocess.run([sys.executable, "-m", "hpteach", *argv], capture_output=True, text=True, encoding="utf-8", env=ELSEWHERE, **how)


def test_refrigerants_have_the_promised_keys(capsys):
    """Every refrigerant of the catalogue is listed with composition, class, GWP, boiling and critical point."""
    found = shown("refrigerants", capsys)["refrigerants"]
    assert list(catalogue()) == [one["name"] for one in found]
    keys = {"name", "composition", "safety_class", "gwp", "normal_boiling", "critical_K", "critical_Pa", "caution", "sources", "sublimation_K"}
    assert [(keys, {"bubble_K", "dew_K"})] * len(found) == [(set(one), set(one["normal_boiling"])) for one in found]


def test_saturation_takes_temperatures_and_pressures_together(capsys):
    """Each value of --at becomes a row, by temperature or by pressure, in the order given."""
    found = shown("saturation --refrigerant r410a --at 5C -40F 118psig 800kPa --reference ashrae", capsys)
    assert ("R-410A", "ashrae") == (found["refrigerant"], found["reference"])
    by_temperature = {"temperature_K", "bubble_Pa", "dew_Pa"} | SATURATED_KEYS
    by_pressure = {"pressure_Pa", "bubble_K", "dew_K"} | SATURATED_KEYS
    assert [by_temperature, by_temperature, by_pressure, by_pressure] == [set(row) for row in found["rows"]]
    assert 0.0 == pytest.approx(found["rows"][1]["hf_J_per_kg"], abs=1e-3)  # -40 F is -40 C, where ashrae counts from


@pytest.mark.parametrize("air", ["--altitude 1600m", "--atmosphere 83523Pa"])
def test_air_shifts_a_gauge_reading(air, capsys):
    """35 psig is a lower absolute pressure where the air weighs less, and a psia is the same everywhere."""
    at_sea, on_high = (shown(f"saturation --refrigerant R-134a --at 35psig 50psia {extra}", capsys)["rows"] for extra in ("", air))
    assert 101325.0 - 83523.0 == pytest.approx(at_sea[0]["pressure_Pa"] - on_high[0]["pressure_Pa"], abs=1.0)
    assert at_sea[1] == on_high[1]


def test_flow_has_the_promised_keys(capsys):
    """A flow tells roles, metering, check valves, path and remarks."""
    found = shown("flow --valve heating", capsys)
    assert {"valve_position", "condenser", "evaporator", "metering", "check_valves", "path", "remarks"} == set(found)
    assert {"layout", "working", "bypassed", "flow"} == set(found["metering"])
    assert {"indoor": "open", "outdoor": "closed"} == found["check_valves"]
    assert [{"component", "enters", "leaves"}] * len(found["path"]) == [set(step) for step in found["path"]]


@pytest.mark.parametrize("parts", ["'indoor check valve=open'", "'Indoor-Check-Valve = OPEN'", "reversing-valve=cooling --stuck indoor-check-valve=open"])
def test_flow_reads_stuck_parts(parts, capsys):
    """A stuck part may be written with blanks or hyphens, and --stuck may be repeated."""
    found = shown(f"flow --valve heating --stuck {parts}", capsys)
    assert ("reversing-valve" in parts) == ("cooling" == found["valve_position"])
    assert "The indoor check valve is stuck: open." in found["remarks"]


def test_flow_reads_in_words(capsys):
    """For people the path stands line by line, and then in sentences."""
    code, out, err = ran("flow --valve cooling", capsys)
    assert (0, "") == (code, err)
    assert [f"{n}" for n in range(1, 10)] == [line.split()[0] for line in out.splitlines()[3:12]]
    assert "the outdoor coil condenses and the indoor coil evaporates" in out


@pytest.mark.parametrize("valve", ["cooling", "heating", "Heating"])
def test_points_have_the_promised_keys(valve, capsys):
    """One valve position gives the flat object of one cycle."""
    found = shown(f"points --valve {valve} {CYCLE}", capsys)
    assert (CYCLE_KEYS, valve.lower()) == (set(found), found["valve_position"])
    assert [POINT_KEYS] * 7 == [set(point) for point in found["points"]]
    assert ["1", "2", "2a", "2b", "3", "4", "4a"] == [point["label"] for point in found["points"]]


def test_points_of_both_modes(capsys):
    """With --valve both two cycles follow each other, with equal COP and exchanged roles."""
    cooling, heating = shown(f"points --valve both {CYCLE}", capsys)["cycles"]
    assert ("cooling", "heating") == (cooling["valve_position"], heating["valve_position"])
    assert (cooling["condenser"], cooling["cop_heating"]) == (heating["evaporator"], heating["cop_heating"])


def test_points_read_in_words(capsys):
    """For people each point has its phase, and the sentences say what meters, and which way, before the path."""
    out = ran(f"points --valve heating {CYCLE}", capsys)[1]
    assert ["point", "name", "phase", "place"] == out.splitlines()[1].split()
    assert 0 < out.index("The outdoor metering device meters towards the outdoor coil.") < out.index("1: superheated vapour enters")


def test_wet_discharge_is_among_the_cautions(capsys):
    """Where the discharge is wet, JSON says so before the other cautions; where it is dry, it does not."""
    cycle = "points --valve cooling --evaporating 0C --condensing 45C --refrigerant"
    wet, dry = (shown(f"{cycle} {name}", capsys)["cautions"] for name in ("R-1234yf", "R-32"))
    assert (True, 3, 2) == ("discharge is wet" in wet[0], len(wet), len(dry))


def test_points_of_the_handbook(capsys):
    """R-134a between -20 and 30 °C has a cooling COP of 3.97 (ASHRAE Handbook - Fundamentals, chapter 2, example 3; from
    memory, not seen here), written in either system."""
    for evaporating, condensing in (("-20C", "30C"), ("-4F", "86F"), ("253.15K", "303.15K")):
        line = f"points --refrigerant R-134a --valve cooling --evaporating {evaporating} --condensing {condensing}"
        assert 3.97 == pytest.approx(shown(line, capsys)["cop_cooling"], abs=0.005)


def test_difference_is_not_converted_like_a_temperature(capsys):
    """9F, 5K and 5C of superheat are the same, and 70% is 0.7."""
    line = "points --refrigerant R-32 --valve heating --evaporating 0C --condensing 40C --superheat {} --isentropic-efficiency '{}'"
    cops = [shown(line.format(*variant), capsys) for variant in (("5K", "0.7"), ("9F", "70%"), ("5C", "70 %"))]
    assert cops[0] == cops[1] == cops[2]


@pytest.mark.parametrize(("valve", "coil"), [("cooling", "indoor"), ("heating", "outdoor"), ("heating", "'outdoor coil'"), ("heating", "Outdoor-Coil")])
def test_metering_direction_may_be_stated(valve, coil, capsys):
    """Stating the direction that the valve has changes nothing."""
    assert shown(f"points --valve {valve} {CYCLE}", capsys) == shown(f"points --valve {valve} {CYCLE} --meters-towards {coil}", capsys)


def test_cautions_stand_beside_the_figures(capsys):
    """In a table's company the cautions go to standard error, flammability first."""
    code, out, err = ran("saturation --refrigerant R-290 --at 5C", capsys)
    assert refrigerant("R-290").listing.caution == err.splitlines()[0]
    assert "manufacturer's data" in err and "flammable" not in out


@pytest.mark.parametrize("command", ["refrigerants", "saturation --refrigerant R-32 --at 5C 118psig", f"points --valve both {CYCLE}"])
def test_units_choose_what_is_shown(command, capsys):
    """Tables and sentences show one system only."""
    for system, own, other in (("SI", "°C", "°F"), ("IP", "°F", "°C")):
        out = ran(f"{command} --units {system}", capsys)[1]
        assert (True, False) == (own in out, other in out)


@pytest.mark.parametrize("kind", ["pressure-enthalpy", "temperature-entropy"])
@pytest.mark.parametrize(("ending", "begins"), [("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF")])
def test_chart_is_written(kind, ending, begins, tmp_path, capsys):
    """The ending says the format, and JSON says where the file is."""
    file = tmp_path / f"both.{ending}"
    assert {"file": str(file)} == shown(f"chart --valve both --kind {kind} {CYCLE} --out {shlex.quote(str(file))}", capsys)
    assert file.read_bytes().startswith(begins)


def test_lab_opens_the_first_lesson():
    """JupyterLab is started at the first lesson, with the port and without the browser that were asked for."""
    started = []
    assert 7 == main(["lab", "--no-browser", "--port", "8890"], run=lambda command: started.append(list(command)) or 7)
    assert [sys.executable, "-m", "jupyterlab"] == started[0][:3]
    assert {"--no-browser", "--ServerApp.port=8890", f"--LabApp.default_url=/lab/tree/{FIRST_LESSON}"} <= set(started[0])
    assert f"--ServerApp.root_dir={ROOT / 'notebooks'}" in started[0]


@pytest.mark.parametrize("command", ["lab", "pages"])
def test_the_lessons_begin_in_the_units_that_were_asked_for(command, capsys):
    """The server that is started, and so its kernels, are told the units and when that was said; nothing else is, and not after it."""
    told = []
    for units in (["--units", "ip"], ["--units", "SI"], []):
        assert 0 == main([command, "--no-browser", *units], run=lambda _: told.append(os.environ.get("HPTEACH_UNITS", "")) or 0)
    assert [["IP", "since"], ["SI", "since"], []] == [text.split()[:2] for text in told] and "HPTEACH_UNITS" not in os.environ
    assert 2 == main([command, "--units", "CGS"], run=lambda _: pytest.fail("started")) and "CGS" in capsys.readouterr().err


@pytest.mark.parametrize(("argv", "as_if"), [([], ["lab"]), (["--port=8890"], ["lab", "--port=8890"]), (["--no-browser"], ["lab", "--no-browser"])])
def test_without_a_command_the_course_opens(argv, as_if):
    """No command is the same as lab, also with its options."""
    started = []
    for line in (argv, as_if):
        assert 0 == main(line, run=lambda command: started.append(list(command)) or 0)
    assert started[0] == started[1]


@pytest.mark.parametrize("name", COMMANDS)
def test_example_of_the_help_works_as_pasted(name, tmp_path, monkeypatch, capsys):
    """The last line of each help runs, here with a stand-in for the program that it starts."""
    assert 0 == main([name, "--help"])
    line = capsys.readouterr().out.rstrip().splitlines()[-1].strip()
    assert line.startswith(f"{PROGRAM} {name}")
    monkeypatch.chdir(tmp_path)
    assert 0 == main(shlex.split(line.removeprefix(PROGRAM)), run=lambda command: 0)


def test_example_of_the_main_help_works_in_a_shell():
    """The first example that anybody sees runs in a shell where `python` is the course's own."""
    line = outside("--help").stdout.rstrip().splitlines()[-1].strip()
    path = {**ELSEWHERE, "PATH": os.pathsep.join([str(Path(sys.executable).parent), os.environ.get("PATH", "")])}
    told = subprocess.run(line, shell=True, capture_output=True, text=True, encoding="utf-8", env=path)
    assert (0, True) == (told.returncode, "COP in heating" in told.stdout)


@pytest.mark.parametrize("argv", [["--help"], ["-h"]])
def test_main_help_lists_every_command(argv, capsys):
    """The main help names each command with what it does."""
    code, out, _ = ran(argv, capsys)
    assert (0, []) == (code, [name for name, command in COMMANDS.items() if f"{name} " not in out or command.summary not in out])


def test_version_is_told(capsys):
    """--version says the version of the library."""
    assert (0, f"{hpteach.__version__}\n", "") == ran("--version", capsys)


@pytest.mark.parametrize("argv", [["--help"], ["points", "--help"], ["points"], ["flow", "--valve", "cooling", "--json"]])
def test_nothing_heavy_is_loaded_before_it_is_needed(argv):
    """Help, refusals and a flow come without loading properties, units or drawing."""
    heavy = "('CoolProp', 'pint', 'matplotlib', 'numpy', 'ipywidgets')"
    code = f"import sys; from hpteach.cli import main; main({argv!r}); sys.exit(str([m for m in {heavy} if m in sys.modules]))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=ELSEWHERE)
    assert "[]" == told.stderr.splitlines()[-1]


def test_module_passes_its_exit_code_on():
    """python -m hpteach ends with the exit code of its command and says why on standard error only."""
    told = outside("flow", "--valve", "sideways")
    assert (2, "", 1) == (told.returncode, told.stdout, len(told.stderr.splitlines()))


@pytest.mark.skipif(os.name != "posix", reason="a closed pipe shows itself otherwise here")
def test_closed_pipe_is_no_error():
    """When whoever reads has read enough, the command ends quietly."""
    reads, writes = os.pipe()
    os.close(reads)
    told = subprocess.run([sys.executable, "-m", "hpteach", "flow", "--valve", "cooling", "--json"], stdout=writes, stderr=subprocess.PIPE, env=ELSEWHERE)
    os.close(writes)
    assert (0, b"") == (told.returncode, told.stderr)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize(("into", "says"), [(">/dev/full", "cannot be written"), (">&-", "standard output is closed")])
def test_output_that_goes_nowhere_is_said_in_one_sentence(into, says):
    """A full disk and a closed output are refused without a traceback."""
    line = f"{shlex.quote(sys.executable)} -m hpteach flow --valve cooling --json {into}"
    told = subprocess.run(line, shell=True, stderr=subprocess.PIPE, text=True, env=ELSEWHERE)
    assert (2, 1, True) == (told.returncode, len(told.stderr.splitlines()), says in told.stderr)


def test_remarks_never_stand_among_the_figures():
    """With standard error closed the cautions are lost, and what is read from standard output stays whole."""
    with contextlib.redirect_stdout(io.StringIO()) as out, contextlib.redirect_stderr(None):
        assert 0 == main(["saturation", "--refrigerant", "R-32", "--at", "5C"])
    assert "manufacturer's data" not in out.getvalue()


def test_interrupt_is_quiet(capsys):
    """Ctrl-C ends with a word and the exit code that shells use for it."""
    interrupted = Mock(side_effect=KeyboardInterrupt)
    assert (130, ("", "Interrupted.\n")) == (main(["lab"], run=interrupted), tuple(capsys.readouterr()))


@pytest.mark.skipif(os.name != "posix", reason="the console itself tells every program here")
@pytest.mark.parametrize(("heeds", "told", "code"), [("INT", "INT", 7), ("TERM", "TERM", 7), ("INT", "TERM", 128 + 15), ("INT", "USR1", 5)])
def test_program_ends_with_the_command(heeds, told, code):
    """Ctrl-C and SIGTERM reach the program that was started, whose exit code is returned; whatever else ends the command ends it too."""
    # A shell's background job starts with Ctrl-C ignored: the parent sets it back.
    leaves = "import os, signal, sys, time\nsignal.signal(signal.SIG{}, lambda *_: sys.exit({}))\n"
    child = leaves.format(heeds, 7) + "print(os.getpid(), flush=True)\ntime.sleep(60)"
    parent = leaves.format("USR1", 5) + "from hpteach.cli import run_program\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
    command = [sys.executable, "-c", parent + f"sys.exit(run_program([sys.executable, '-c', {child!r}]))"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=ELSEWHERE) as process:
        started = int(process.stdout.readline())
        process.send_signal(getattr(signal, f"SIG{told}"))
        assert (code, b"") == (process.wait(timeout=30), process.stderr.read())
    with pytest.raises(ProcessLookupError):
        os.kill(started, 0)


def test_output_that_knows_no_degree_sign_is_no_error():
    """Where the output cannot show a letter, a question mark stands for it."""
    narrow = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    with contextlib.redirect_stdout(narrow):
        assert 0 == main(["saturation", "--refrigerant", "R-32", "--at", "5C"])
    assert b"at, ?C" in narrow.buffer.getvalue()
