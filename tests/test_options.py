"""Options of the command line: read, refused, helped (hpteach/options.py)."""

import argparse
import shlex

import pytest
from hypothesis import given as tried_with
from hypothesis import settings
from hypothesis import strategies as st

from hpteach import units
from hpteach.cli import COMMANDS, main
from hpteach.cycle_options import CONDITIONS
from hpteach.errors import HpteachError, InputError, LimitError, Measure, UnitError, UnknownNameError
from hpteach.options import (
    LAND_AIR, OPTIONS, PROGRAM, Command, Reader, about, air_pressure, arguments, given, main_help, parser_of, plain, read, temperature_or_pressure, whole,
)  # fmt: skip

SATURATION = COMMANDS["saturation"]
NEEDED = ["--refrigerant", "R-32", "--at", "5C"]


def reader():
    return Reader(run=lambda command: 0)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_ends_with_the_example(name):
    """The help of every command ends with its example, on one line that can be pasted."""
    shown = parser_of(name, COMMANDS[name]).format_help().rstrip().splitlines()
    assert ["example:", f"  {PROGRAM} {COMMANDS[name].example}"] == shown[-2:]


@pytest.mark.parametrize("name", COMMANDS)
def test_help_shows_every_option(name):
    """Each option of a command stands in its help with what it does."""
    shown = " ".join(parser_of(name, COMMANDS[name]).format_help().split())
    for option in (*COMMANDS[name].needs, *COMMANDS[name].may):
        assert COMMANDS[name].option(option).help in shown


def test_every_option_belongs_to_a_command():
    """The list of options holds no option that no command takes."""
    used = {option for command in COMMANDS.values() for option in (*command.needs, *command.may)}
    assert set(OPTIONS) == used | {"--help"}


@pytest.mark.parametrize("value", ["-5C", "-40F", "-.5C", "-5,0C", "\N{MINUS SIGN}5C", "-2e1C"])
def test_negative_value_is_a_value(value):
    """A value that begins with a minus is not taken for an option, alone or among others."""
    args = arguments("saturation", SATURATION, ["--refrigerant", "R-32", "--at", "5C", value, "7C"])
    assert ["5C", value, "7C"] == args.at


def test_negative_value_may_stand_behind_an_equals_sign():
    """--at=-5C means the same as --at -5C."""
    assert ["-5C"] == arguments("saturation", SATURATION, ["--refrigerant", "R-32", "--at=-5C"]).at


def test_repeated_option_collects_its_values():
    """Values of --at given in several places come together."""
    assert ["5C", "7C"] == arguments("saturation", SATURATION, [*NEEDED, "--at", "7C"]).at


@pytest.mark.parametrize(
    ("twice", "sentence"),
    [
        (["--units", "SI", "--units", "IP"], "--units is given twice (SI and IP): give it once"),
        (["--units", "SI", "--units=SI"], "--units is given twice (SI and SI): give it once"),
        (["--refrigerant", "R-290"], "--refrigerant is given twice (R-32 and R-290): give it once"),
        (["--json", "--json"], "--json is given twice: give it once"),
    ],
)
def test_option_given_twice_is_refused(twice, sentence):
    """An option that takes one value is never given a second one, not even the same; the refusal shows both."""
    with pytest.raises(InputError) as refused:
        arguments("saturation", SATURATION, [*NEEDED, *twice])
    assert sentence == str(refused.value)


@pytest.mark.parametrize("answer", ["-x", "-5", "-", "-h1 + h2", "-h"])
def test_value_may_begin_with_a_hyphen(answer):
    """Whatever follows --answer with one hyphen is the answer, and is judged as it stands."""
    assert answer == arguments("check", COMMANDS["check"], ["--question", "q", "--answer", answer, "--part", "p"]).answer


def test_main_help_shows_what_it_is_given():
    """The help without a command has a line for each command and an example."""
    shown = main_help({name: COMMANDS[name] for name in ("points", "flow")}).splitlines()
    assert ["points", "flow"] == [line.split()[0] for line in shown if line.endswith((COMMANDS["points"].summary, COMMANDS["flow"].summary))]
    assert f"  {PROGRAM} {COMMANDS['points'].example}" == shown[-1]


def test_help_asks_for_nothing_else():
    """With --help nothing is missing and nothing is too much."""
    assert arguments("saturation", SATURATION, ["-h", "--nonsense", "5"]).help


def test_given_is_none_where_a_command_has_no_such_option():
    """What a command does not take has no value."""
    assert given(argparse.Namespace(at=["5C"]), "--units") is None


@pytest.mark.parametrize(
    ("argv", "sentence"),
    [
        (["--refrigerant", "R-32"], "saturation needs --at: add for example --at 5C"),
        ([], "saturation needs --refrigerant and --at: add for example --refrigerant R-410A --at 5C"),
        ([*NEEDED, "--units", "SI", "C"], "saturation: 'C' belongs to no option: write a value right after its option, without blanks (45C) or in quotes"),
        (["--at"], "--at has no value: write one after it, such as --at 5C"),
        (["--refrigerant", "--at", "5C"], "--refrigerant has no value: write one after it, such as --refrigerant R-410A"),
        (["--json=yes"], "--json takes no value (ignored explicit argument 'yes'): write --json alone"),
    ],
)
def test_refusal_of_options(argv, sentence):
    """What cannot be understood is refused with the option and what to write."""
    with pytest.raises(InputError) as refused:
        arguments("saturation", SATURATION, argv)
    assert sentence == str(refused.value)


@pytest.mark.parametrize(("typed", "meant"), [("--refrigerent", "--refrigerant"), ("--att", "--at"), ("--unit", "--units"), ("--jason", "--json")])
def test_mistyped_option_is_answered_with_the_nearest(typed, meant):
    """A mistyped option is never guessed, and the refusal names the one that was meant."""
    with pytest.raises(UnknownNameError, match=f"option '{typed}' is not known; did you mean {meant}"):
        arguments("saturation", SATURATION, [*NEEDED, typed])


def test_refusal_names_the_option_once():
    """A refusal begins with the option, and with the text where the sentence does not say it."""
    with pytest.raises(UnitError, match="^--superheat: '5' has no unit"):
        read("--superheat", "5", lambda: units.read("5", "temperature difference"))
    with pytest.raises(InputError, match="^--seed 5: no good$"):
        read("--seed", "5", lambda: (_ for _ in ()).throw(InputError("no good")))


def test_refusal_keeps_its_kind_and_its_quantities():
    """A refusal that is told what it is about can still be shown in other units."""
    error = about(LimitError("too cold at {given}", given=Measure(273.15, "temperature")), "--at")
    assert (LimitError, "--at: too cold at 32.0 °F") == (type(error), units.sentence(error, "IP"))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5C", ("temperature", 278.15)),
        ("-40F", ("temperature", 233.15)),
        ("300K", ("temperature", 300.0)),
        ("8.5bar", ("pressure", 850e3)),
        ("800 kPa", ("pressure", 800e3)),
        ("7.5barg", ("pressure", 750e3 + 101325.0)),
    ],
)
def test_unit_says_whether_temperature_or_pressure(text, expected):
    """The unit decides between a temperature and a pressure."""
    assert expected == temperature_or_pressure(text)


def test_gauge_pressure_counts_from_the_air():
    """A gauge reading is counted from the given pressure of the air."""
    assert ("pressure", 834e3) == temperature_or_pressure("7.5barg", 84e3)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("45", "neither a temperature nor a pressure"),
        ("5kJ/kg", "neither a temperature nor a pressure"),
        ("118psi", "does not say gauge or absolute"),
        ("-300C", "below absolute zero"),
        ("0bar", "perfect vacuum"),
    ],
)
def test_refusal_of_what_is_neither(text, words):
    """What is neither, or cannot be, is refused with what is wrong."""
    with pytest.raises(InputError, match=words):
        temperature_or_pressure(text)


@pytest.mark.parametrize(("text", "pascals"), [("0.84bar", 84000.0), ("840hPa", 84000.0), ("101.325 kPa", 101325.0)])
def test_air_pressure_is_read(text, pascals):
    """The pressure of the air is read in any unit of pressure."""
    assert pascals == air_pressure(text)


@pytest.mark.parametrize("pascals", LAND_AIR)
def test_air_pressure_limits_belong_to_the_range(pascals):
    """The limits themselves are taken, a hair beyond them is not."""
    assert pascals == air_pressure(f"{pascals}Pa")
    beyond = pascals * (0.999 if pascals == LAND_AIR[0] else 1.001)
    with pytest.raises(LimitError, match="not one of a place that is computed here: use 0.5 bar to 1.1 bar"):
        air_pressure(f"{beyond}Pa")


@pytest.mark.parametrize("text", ["", "-1", "1.5", "7 ", "seven", "1e3", "٣", "9999999999", "101"])
def test_refusal_of_what_is_no_whole_number(text):
    """Only plain figures within the limits are a whole number."""
    with pytest.raises(InputError, match="not a whole number from 0 to 100: write one, such as 7"):
        whole("--seed", text, 0, 100)


@pytest.mark.parametrize(
    ("options", "system", "atmosphere"),
    [
        ({}, "SI", 101325.0),
        ({"units": "IP"}, "IP", 101325.0),
        ({"units": "ip", "altitude": None, "atmosphere": None}, "IP", 101325.0),
        ({"units": "SI", "atmosphere": "0.84bar"}, "SI", 84000.0),
    ],
)
def test_reader_learns_units_and_air(options, system, atmosphere):
    """Units and air come from the options; what is not said stays SI and the standard atmosphere."""
    learned = reader()
    learned.learn(argparse.Namespace(**options))
    assert (system, atmosphere) == (learned.system, learned.atmosphere)


def test_reader_learns_air_from_the_altitude():
    """At 1500 m the standard atmosphere has 84.56 kPa (ISO 2533, table of the standard atmosphere; from memory, not seen here)."""
    learned = reader()
    learned.learn(argparse.Namespace(altitude="1500m", atmosphere=None))
    assert 84.56 == pytest.approx(learned.atmosphere / 1e3, abs=0.005)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"units": "metric"}, "--units: unit system 'metric'"),
        ({"altitude": "1600"}, "--altitude: '1600' has no unit of length"),
        ({"altitude": "9km"}, "--altitude: unit 'km'"),
        ({"altitude": "6000m"}, "--altitude 6000m: altitude of 6000"),
        ({"atmosphere": "1"}, "--atmosphere: '1' has no unit of pressure"),
        ({"altitude": "100m", "atmosphere": "1bar"}, "--altitude 100m and --atmosphere 1bar both say"),
    ],
)
def test_refusal_of_units_and_air(options, words):
    """Units and air that cannot be are refused by the option's name."""
    with pytest.raises(HpteachError) as refused:
        reader().learn(argparse.Namespace(**options))
    assert str(refused.value).startswith(words)


def test_conditions_have_options_of_their_own():
    """Every condition of a cycle that the command line offers is an option with an example that reads as its kind."""
    for option, (_, kind) in CONDITIONS.items():
        assert isinstance(units.read(OPTIONS[option].example, kind), float)


def test_plain_word_has_no_blanks_around_it():
    """Capitals and blanks around a word do not matter."""
    assert "each-coil" == plain(" Each-Coil ")


def test_parser_refuses_instead_of_leaving():
    """What argparse itself would answer with a usage and an exit is raised as a refusal."""
    with pytest.raises(InputError, match="something: see python -m hpteach try --help"):
        parser_of("try", Command("", (), (), "", run=print)).error("something")


R32 = "saturation --refrigerant R-32"
POINTS = "points --refrigerant R-410A --valve cooling --evaporating 7C --condensing 45C"
CHART = "chart --refrigerant R-32 --valve heating --evaporating 0C --condensing 40C"
CHECK = "check --question cooling-cop --part cop --answer 4"

# (command line, what the sentence has to name: the option or command, and the value)
BAD_INPUTS = [
    ("pionts", "command 'pionts' is not known; did you mean points"),
    ("gauge --suction 118psig", "command 'gauge'"),
    ("''", "command ''"),
    ("--untis IP points", "option before any command '--untis'"),
    ("--refrigerant R-32 saturation", "option before any command '--refrigerant'"),
    ("lab --port 0", "--port '0'"),
    ("lab --port 65536", "--port '65536'"),
    ("lab --port eighty", "--port 'eighty'"),
    ("lab --browser", "option '--browser' is not known; did you mean --no-browser"),
    ("refrigerants --units metric", "--units: unit system 'metric'"),
    ("refrigerants R-32", "refrigerants: 'R-32' belongs to no option"),
    ("saturation --at 5C", "saturation needs --refrigerant"),
    (R32, "saturation needs --at"),
    (f"{R32} --at", "--at has no value"),
    (f"{R32} --at 45", "--at: '45'"),
    (f"{R32} --at 118psi", "--at: '118psi' does not say gauge or absolute"),
    (f"{R32} --at -300C", "-300C"),
    (f"{R32} --at 5C -14.8psig", "-14.8psig"),
    (f"{R32} --at 99C", "--at 99C"),
    (f"{R32} --at 500bar", "--at 500bar"),
    (f"{R32} --at 77.8C", "--at 77.8C: R-32 cannot be saturated at 77.8 °C: its critical temperature is 78.1 °C; use 77.6 °C or less"),
    ("saturation --refrigerant R-290 --at 1e-15bar", "R-290 cannot be saturated at 1e-15 bar: its properties begin at 1.719e-09 bar"),
    (f"{R32} --at 5 C", "--at: '5'"),
    (f"{R32} --at 5furlong", "'5furlong'"),
    (f"{R32} --at 1e999C", "1e999C"),
    (f"{R32} --at nanC", "'nanC'"),
    (f"{R32} --at '5\n\nC\x07 {'x' * 300}'", "--at"),
    (f"{R32} --at 5C --reference IRR", "--reference: reference state 'IRR' is not known; did you mean iir"),
    (f"{R32} --at 5C --altitude 9000m", "--altitude 9000m"),
    (f"{R32} --at 5C --altitude 1600", "--altitude: '1600'"),
    (f"{R32} --at 5C --atmosphere 84bar", "--atmosphere 84bar"),
    (f"{R32} --at 5C --atmosphere 1bar --altitude 100m", "--altitude 100m and --atmosphere 1bar"),
    (f"{R32} --at 5C --json=yes", "--json takes no value (ignored explicit argument 'yes')"),
    (f"{R32} --at 5C --vale cooling", "option '--vale'"),
    ("saturation --refrigerant R-411 --at 5C", "--refrigerant: refrigerant 'R-411' is not known; did you mean R-410A"),
    ("saturation --refrigerant '' --at 5C", "--refrigerant: refrigerant ''"),
    ("flow", "flow needs --valve"),
    ("flow --valve warming", "--valve: valve position 'warming'"),
    ("flow --valve cooling --metering both", "--metering: metering layout 'both'"),
    ("flow --valve cooling --stuck compressor", "--stuck 'compressor'"),
    ("flow --valve cooling --stuck 'indoor check valve=open' --stuck Indoor-Check-Valve=shut", "--stuck names the indoor check valve twice (open and shut)"),
    ("flow --valve cooling --stuck indoor-check-valve=half", "--stuck indoor-check-valve=half"),
    ("flow --valve cooling --stuck liquid-line=shut", "part 'liquid line'"),
    ("flow --valve cooling --metering indoor --stuck indoor-check-valve=open", "part 'indoor check valve'"),
    ("points --refrigerant R-32 --valve cooling --evaporating 7C", "points needs --condensing"),
    (POINTS.replace("7C", "7"), "--evaporating: '7' has no unit"),
    (POINTS.replace("7C", "118psig"), "--evaporating: '118psig' is a gauge pressure"),
    (POINTS.replace("7C", "-90C"), "--evaporating -90C"),
    (POINTS.replace("45C", "80C"), "--condensing 80C"),
    (POINTS.replace("45C", "5C"), "--condensing 5C"),
    (POINTS.replace("45C", "7.0005C"), "of 7.001 °C is not above the saturated suction temperature of 7.000 °C"),
    (POINTS.replace("45C", "1e308K"), "R-410A cannot be saturated at 1e+308 °C"),
    (POINTS.replace("cooling", "between"), "--valve between"),
    (POINTS.replace("cooling", "boht"), "--valve: valve position 'boht' is not known; did you mean both? Known are heating, cooling, both\n"),
    (f"{CHART.replace('heating', 'sideways')} --out chart.svg", "--valve: valve position 'sideways' is not known; known are heating, cooling, both\n"),
    (f"{CHART.replace('heating', 'between')} --out chart.svg", "--valve between: with the valve between there is no cycle"),
    (f"{POINTS} --superheat 5", "--superheat: '5' has no unit"),
    (f"{POINTS} --superheat -1K", "--superheat -1K"),
    (f"{POINTS} --superheat 400K", "--superheat 400K"),
    (f"{POINTS} --subcooling -1K", "--subcooling -1K"),
    (f"{POINTS} --subcooling 38K", "--subcooling 38K"),
    (f"{POINTS} --subcooling 37.99K", "subcooling of 37.990 K puts the liquid line at 6.892 °C, not above the evaporating temperature of 6.893 °C"),
    (f"{POINTS} --subcooling 5K --subcooling 8K", "--subcooling is given twice (5K and 8K)"),
    (f"{POINTS} --superheat -x", "--superheat: '-x'"),
    (f"{POINTS} --isentropic-efficiency 0", "--isentropic-efficiency 0"),
    (f"{POINTS} --isentropic-efficiency 7", "--isentropic-efficiency 7"),
    (f"{POINTS} --isentropic-efficiency 5K", "--isentropic-efficiency: '5K'"),
    (f"{POINTS} --isentropic-efficiency 1%", "--isentropic-efficiency 1%"),
    (f"{POINTS} --meters-towards outdoor", "--meters-towards outdoor: metering towards the outdoor coil contradicts the valve in cooling"),
    (f"{POINTS} --meters-towards ''", "--meters-towards '' names no coil: write indoor or outdoor"),
    (f"{POINTS} --meters-towards 'roof coil'", "--meters-towards"),
    (CHART, "chart needs --out"),
    (f"{CHART} --out chart.gif", "--out: file 'chart.gif'"),
    (f"{CHART} --out chart", "--out: file 'chart'"),
    (f"{CHART} --out nowhere/chart.svg", "--out: file 'nowhere/chart.svg' cannot be written"),
    (f"{CHART} --out chart.svg --kind circle", "--kind: kind of chart 'circle'"),
    ("ask --question cooling-kop", "--question: question 'cooling-kop' is not known; did you mean cooling-cop"),
    ("ask --question cooling-cop --seed -1", "--seed '-1'"),
    ("ask --question cooling-cop --seed 1.5", "--seed '1.5'"),
    ("ask --folder nowhere", "--folder 'nowhere'"),
    ("check --question cooling-cop --answer 4", "--part: cooling-cop asks 2 things"),
    ("check --question cooling-cop", "check needs --answer"),
    (CHECK.replace("cop --answer", "COP? --answer"), "--part: part 'COP?'"),
    ("bank --folder nowhere", "--folder 'nowhere'"),
]


@pytest.mark.parametrize(("line", "named"), BAD_INPUTS, ids=[line for line, _ in BAD_INPUTS])
def test_bad_input_is_refused_in_one_line(line, named, tmp_path, monkeypatch, capsys):
    """Bad input ends with exit code 2, nothing on standard output, and one line that names the option and the value."""
    monkeypatch.chdir(tmp_path)
    code = main(shlex.split(line), run=lambda command: 0)
    out, err = capsys.readouterr()
    assert (2, "", 1) == (code, out, len(err.splitlines()))
    assert named in err and "Traceback" not in err
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize(("system", "value"), [("SI", "-5.0 K"), ("IP", "-9.0 °F")])
def test_refusal_is_shown_in_the_chosen_units(system, value, capsys):
    """The quantities of a refusal stand in the reader's units."""
    assert 2 == main(shlex.split(f"{POINTS} --superheat -5K --units {system}"))
    assert f"superheat of {value} is negative" in capsys.readouterr().err


WORDS = st.one_of(
    st.sampled_from([*COMMANDS, *OPTIONS, *(option.example for option in OPTIONS.values()), "-5C", "-", "--", "between", "IP"]),
    st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=10),
)


@settings(max_examples=300)
@tried_with(st.sampled_from([name for name in COMMANDS if name not in ("bank", "chart", "card", "season")]), st.lists(WORDS, max_size=9))
def test_no_command_line_ends_in_a_traceback(command, words):
    """Whatever is typed after a command, it is done or refused."""
    assert main([command, *words], run=lambda command: 0) in (0, 2)


QUANTITIES = st.builds(
    "{:.4g}{}".format, st.floats(-500, 1e4), st.sampled_from(["C", "F", "K", "psig", "psia", "bar", "kPa", "%", "", "{C}", " [K]"])
)


@settings(max_examples=200)
@tried_with(
    st.sampled_from(["R-32", "R-410A", "R-134a"]), QUANTITIES, QUANTITIES, st.sampled_from(["0K", "5K", "300K", "-3F"]),
    st.sampled_from(["0K", "8K", "90F"]), st.sampled_from(["0.02", "0.7", "100%", "1e-9"]), st.sampled_from(["both", "heating"]),
)  # fmt: skip
def test_no_conditions_end_in_a_traceback(name, evaporating, condensing, superheat, subcooling, efficiency, valve):
    """Whatever conditions are asked for, the cycle is solved or refused."""
    line = ["points", "--refrigerant", name, "--valve", valve, "--evaporating", evaporating, "--condensing", condensing]
    more = ["--superheat", superheat, "--subcooling", subcooling, "--isentropic-efficiency", efficiency]
    assert main([*line, *more]) in (0, 2)
