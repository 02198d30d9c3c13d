"""The option --fault of the command `operate` (hpteach/cli.py, hpteach/machine_options.py, hpteach/fault_readouts.py)."""

from __future__ import annotations

import shlex

import pytest

from hpteach.circuit import ValvePosition
from hpteach.fault_readouts import OPENING, faults_dictionary, faults_list, size_shown, trouble_cautions, trouble_in_words, trouble_tables
from hpteach.fluids import moist_air
from hpteach.machine import demo_machine
from hpteach.machine.faults import KINDS, fault, operate_with
from hpteach.machine.readings import LIVE, READINGS
from hpteach.machine.signs import COMPARED
from hpteach.machine.trouble import trouble
from tests.command_line import ran, shown

COOLING = "operate --refrigerant R-410A --valve cooling --outdoor 95F/75F --indoor 80F/67F"
HEATING = "operate --refrigerant R-32 --valve heating --outdoor 7C/87% --indoor 20C/50%"
HOT, ROOM = moist_air(308.15, relative_humidity=0.4), moist_air(299.85, relative_humidity=0.51)


def test_json_holds_faults_signs_readings_and_the_switch(capsys) -> None:
    """Every sign and reading stands with healthy and faulty value, its SI unit and its way; all that a healthy machine tells is there too."""
    healthy, found = shown(COOLING, capsys), shown(f"{COOLING} --fault undercharge=25%", capsys)
    assert set(healthy) == set(found)
    assert [{"id": "undercharge", "size": 0.25, "size_unit": "", "words": "refrigerant missing", "shows": True}] == found["faults"]
    assert (list(COMPARED), list(READINGS)) == ([one["id"] for one in found["signs"]], [one["id"] for one in found["readings"]])
    assert {"id", "words", "unit", "healthy", "faulty", "way"} == set(found["signs"][0])
    assert (None, [], []) == (healthy["stopped_by"], healthy["faults"], healthy["signs"])
    ways = {one["id"]: one["way"] for one in found["signs"]}
    assert ("down", "down", "same") == (ways["subcooling"], ways["discharge_pressure"], ways["suction_pressure"])
    (pressure,) = [one for one in found["signs"] if one["id"] == "discharge_pressure"]
    assert (healthy["points"][1]["label"], "Pa") == ("2", pressure["unit"])
    assert (healthy["points"][1]["pressure_Pa"], found["points"][1]["pressure_Pa"]) == (pytest.approx(pressure["healthy"], rel=1e-6), pressure["faulty"])


def test_the_machine_is_the_one_with_the_fault_in_it(capsys) -> None:
    """Capacity and subcooling are those of `operate_with`, and a healthy machine is as before."""
    line = "operate --machine R-32 --valve cooling --outdoor 35C/40% --indoor 26.7C/51%"
    expected = operate_with(demo_machine("R-32"), ValvePosition.COOLING, HOT, ROOM, [fault("overcharge", 0.4)])
    found = shown(f"{line} --fault overcharge=0.4", capsys)
    assert (expected.capacity, expected.subcooling) == pytest.approx((found["capacity_W"], found["subcooling_K"]), rel=1e-6)
    assert operate_with(demo_machine("R-32"), ValvePosition.COOLING, HOT, ROOM).capacity == pytest.approx(shown(line, capsys)["capacity_W"], rel=1e-6)


def test_a_look_is_true_or_false(capsys) -> None:
    """A failed fan is seen standing; the switch that stops the machine is named with how far the fault had grown."""
    found = shown(f"{COOLING} --fault outdoor_fan_failed", capsys)
    looks = {one["id"]: (one["value"], one["healthy"]) for one in found["readings"] if one["unit"] is None}
    assert {"outdoor_fan": (True, False), "indoor_fan": (False, False), "outdoor_frost": (False, False), "valve_wiring": (False, False)} == looks
    assert "high-pressure switch" == found["stopped_by"] and 0.0 < found["grown_share"] < 1.0


@pytest.mark.parametrize(("text", "size"), [("spool_leak=0.5mm2", 0.5), ("foreign_gas=2bar", 2e5), ("foreign_gas=29psi", 199947.9), ("undercharge=0.3", 0.3), ("undercharge = 30 %", 0.3), ("Foreign-Gas", 2e5)])
def test_sizes_are_read_in_the_units_of_their_kind(text: str, size: float, capsys) -> None:
    """A share, a gap or a pressure; blanks, hyphens and capitals of an id do not matter."""
    (told,) = shown(f"{COOLING} --fault '{text}'", capsys)["faults"]
    assert size == pytest.approx(told["size"], rel=1e-6)


def test_tables_and_words_come_first(capsys) -> None:
    """What is wrong, signs with arrow and word, and readings in gauge pressure stand before the machine; who may open the circuit stands beside."""
    code, out, err = ran(f"{COOLING} --units IP --fault undercharge --fault indoor_coil_dirty=40%", capsys)
    told = ("Refrigerant missing; share of the charge that is missing: 25 %", "Signs against the healthy machine", "▼ lower", "What a technician reads", "psig", "What the machine does")
    assert (0, []) == (code, [words for words in told if words not in out])
    assert out.index("Refrigerant missing") < out.index("▼ lower") < out.index("What the machine does")
    assert "°C" not in out and OPENING in err


def test_two_faults_together_are_one_machine(capsys) -> None:
    """Both faults are in the machine at once."""
    one, both = (shown(f"{COOLING} {faults}", capsys) for faults in ("--fault undercharge", "--fault undercharge --fault indoor_coil_dirty"))
    assert 2 == len(both["faults"]) and both["capacity_W"] < one["capacity_W"]


def test_a_fault_that_hides_says_where_it_shows(capsys) -> None:
    """A leaking outdoor check valve does nothing in cooling, and says so; all signs are the same."""
    found = shown(f"{COOLING} --fault outdoor_check_valve_leaking", capsys)
    assert ([False], {"same"}) == ([one["shows"] for one in found["faults"]], {one["way"] for one in found["signs"]})
    assert "It hides: with the valve in cooling" in ran(f"{COOLING} --fault outdoor_check_valve_leaking", capsys)[1]
    assert "It shows with the valve in heating only" in ran(f"{HEATING} --fault outdoor_check_valve_leaking", capsys)[1]


def test_a_valve_in_the_other_position_is_told(capsys) -> None:
    """A valve that is wired the other way heats where it should cool; measuring it is for licensed people."""
    found = shown(f"{COOLING} --fault wrong_wiring", capsys)
    assert ("cooling", "heating") == (found["called_for"], found["valve_position"]) and LIVE in found["cautions"]
    assert "Cooling is called for, but the valve stands in heating" in ran(f"{COOLING} --fault wrong_wiring", capsys)[1]


def test_a_speed_goes_with_a_fault(capsys) -> None:
    """Healthy and faulty machine turn at the same speed."""
    line = "operate --machine R-32-variable-speed --valve cooling --outdoor 35C/40% --indoor 27C/47%"
    slow, full = (shown(f"{line} --fault compressor_worn --speed {speed}", capsys) for speed in ("0.5", "1"))
    assert (0.5, 1.0) == (slow["speed_ratio"], full["speed_ratio"])
    capacities = [next(one["healthy"] for one in found["signs"] if one["id"] == "capacity") for found in (slow, full)]
    assert capacities[0] < 0.8 * capacities[1]


@pytest.mark.parametrize("line", ["operate --fault help", f"{COOLING} --fault help", "operate --fault HELP"])
def test_help_lists_the_faults(line: str, capsys) -> None:
    """The list needs no weather; it has every id, its size and where it shows, and an example that works as pasted."""
    code, out, err = ran(line, capsys)
    assert (0, "", []) == (code, err, [id for id in KINDS if id not in out])
    example = out.splitlines()[-1].strip().removeprefix("python -m hpteach ")
    assert 0 == ran(example, capsys)[0]
    assert faults_dictionary() == shown(line, capsys)


def test_the_option_is_in_the_help(capsys) -> None:
    """`operate --help` names the option, its form, and how the faults are listed."""
    out = " ".join(ran("operate --help", capsys)[1].split())
    assert "--fault ID=SIZE" in out and "--fault help lists them" in out and "undercharge=25%" in out


@pytest.mark.parametrize(
    ("faults", "begins"),
    [
        ("--fault undercharg", "--fault: fault 'undercharg' is not known; did you mean undercharge or overcharge? Known are"),
        ("--fault {x}", "--fault: fault '{x}' is not known; known are"),
        ("--fault undercharge=25", "--fault undercharge=25: size of the fault undercharge, the share of the charge that is missing, cannot be 25.000: use 0.080 to 0.700"),
        ("--fault undercharge=-5%", "--fault undercharge=-5%: size of the fault undercharge"),
        ("--fault undercharge=", "--fault undercharge= has no size after its equals sign: write the share of the charge that is missing such as 25% or 0.25"),
        ("--fault undercharge={x}", "--fault undercharge={x}: '{x}' is not a number with a unit: write the ratio as 0.7 or 70%"),
        ("--fault undercharge=5bar", "--fault undercharge=5bar:"),
        ("--fault spool_leak=0.5", "--fault spool_leak=0.5: '0.5' is no size of spool_leak: write the gap at the spool in mm² such as 0.5mm2"),
        ("--fault spool_leak=9mm2", "--fault spool_leak=9mm2: size of the fault spool_leak, the gap at the spool in mm², cannot be 9.000: use 0.200 to 1.400"),
        ("--fault foreign_gas=2psig", "--fault foreign_gas=2psig: '2psig' is no size of foreign_gas"),
        ("--fault foreign_gas=20bar", "--fault foreign_gas=20bar: size of the fault foreign_gas, the partial pressure of the gas in the condenser, cannot be 20.00 bar: use 0.80 bar to 8.00 bar"),
        ("--fault wrong_wiring=3", "--fault wrong_wiring=3: fault wrong_wiring has no size: leave 3 out"),
        ("--fault wrong_wiring=", "--fault wrong_wiring= has no size after its equals sign: wrong_wiring has none, so write wrong_wiring alone"),
        ("--fault overcharge --fault undercharge", "--fault: faults overcharge and undercharge exclude each other, as both say what the charge is: choose one"),
        ("--fault overcharge --fault overcharge=30%", "--fault: fault overcharge is named twice: name it once"),
        ("--fault", "--fault has no value: write one after it, such as --fault ID=SIZE"),
        ("--fault undercharge --fault help --fault", "--fault has no value"),
    ],
)
def test_refusals_name_the_option_the_value_and_what_is_allowed(faults: str, begins: str, capsys) -> None:
    """Bad input ends with 2 and one sentence on standard error."""
    code, out, err = ran(f"{COOLING} {faults}", capsys)
    assert (2, "", True, 1) == (code, out, err.startswith(begins), len(err.splitlines())), err


def test_a_limit_is_told_in_the_readers_units(capsys) -> None:
    """A partial pressure out of range is refused in psi to whom reads psi."""
    assert "psi" in ran(f"{COOLING} --fault foreign_gas=20bar --units IP", capsys)[2]


def test_a_fault_without_meaning_in_the_machine_is_refused(tmp_path, capsys) -> None:
    """A fixed orifice has nothing that could stick open; weather in which nothing runs is blamed on the weather."""
    from dataclasses import replace

    from hpteach.machine import machine_text
    from hpteach.machine.metering import Metering

    machine = demo_machine("R-32")
    orifice = Metering(kind="fixed orifice", opening=0.6 * machine.indoor_metering.opening)
    file = tmp_path / "orifice.toml"
    file.write_text(machine_text(replace(machine, indoor_metering=orifice)), encoding="utf-8")
    line = f"operate --machine {shlex.quote(str(file))} --valve cooling --outdoor 35C/40% --indoor 27C/47% --fault indoor_metering_stuck_open"
    code, _, err = ran(line, capsys)
    assert (2, True) == (code, err.startswith("--fault indoor_metering_stuck_open: fault indoor_metering_stuck_open has no meaning in")) and "use indoor_metering_restricted" in err
    code, _, err = ran(f"{HEATING.replace('7C/87%', '-50C/80%')} --fault undercharge", capsys)
    assert (2, True) == (code, err.startswith("--outdoor -50C/80% --indoor 20C/50%: "))


def test_without_a_fault_nothing_is_said_of_faults(capsys) -> None:
    """A healthy machine prints what it printed before."""
    assert "Signs" not in ran(COOLING, capsys)[1]


@pytest.mark.parametrize("id", KINDS)
def test_every_fault_has_words_tables_and_cautions(id: str) -> None:
    """In either position: mechanism, where it shows, signs and readings as tables, and a caution that defers to licensed people or to isolating."""
    for called in (ValvePosition.COOLING, ValvePosition.HEATING):
        air = (HOT, ROOM) if called is ValvePosition.COOLING else (moist_air(280.15, relative_humidity=0.87), moist_air(293.15, relative_humidity=0.5))
        found = trouble(demo_machine("R-410A"), called, *air, [fault(id)])
        said = trouble_in_words(found, "IP")
        assert KINDS[id].mechanism in said[0] and ("It shows" in said[1] or "It hides" in said[1])
        signs, readings = trouble_tables(found)
        assert (len(COMPARED), len(READINGS)) == (len(signs.rows), len(readings.rows))
        assert [] == [row for row in signs.rows if row[3].split()[0] not in "▲=▼"]
        assert any("icensed" in one for one in trouble_cautions(found)) or id.endswith("dirty") and "Isolate" in trouble_cautions(found)[0]


def test_sizes_are_shown_in_the_readers_units() -> None:
    """Shares in per cent, gaps in mm², pressures in bar or psi, and nothing for a fault without a size."""
    found = [size_shown(KINDS[id], KINDS[id].size, system) for id in ("undercharge", "spool_leak", "foreign_gas", "wrong_wiring") for system in ("SI", "IP")]
    assert ["25 %", "25 %", "0.5 mm²", "0.5 mm²", "2.00 bar", "29.0 psi", "-", "-"] == found
    assert [len(KINDS)] * 2 == [len(faults_list(system)[0].rows) for system in ("SI", "IP")]
