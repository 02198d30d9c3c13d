"""Machines as TOML files (hpteach/machine/machine_files.py, demo/*.toml): round trip, refusals, demo machines (invented)."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.circuit import ValvePosition
from hpteach.errors import DataError, UnknownNameError
from hpteach.fluids import listing, moist_air, refrigerant
from hpteach.machine import DEMO_MACHINES, CompressorMap, Machine, demo_machine, machine_text, map_of, operate, read_machine
from hpteach.machine.compressor_map import polynomial_terms
from hpteach.machine.machine_files import machine_from_text
from hpteach.machine.metering import ORIFICE, Metering

ROOT = Path(__file__).parent.parent
BENCH = machine_text(demo_machine("R-32"))
SUCTIONS, DISCHARGES = (253.15, 263.15, 273.15, 283.15), (298.15, 308.15, 318.15, 333.15)


def changed(old: str, new: str, text: str = BENCH) -> str:
    """A machine file with one thing changed, the first time that it stands there."""
    assert re.search(old, text, flags=re.MULTILINE)
    return re.sub(old, lambda _: new, text, count=1, flags=re.MULTILINE)


def without(key: str) -> str:
    """A machine file that lacks one line."""
    return changed(rf"^{key} = .*\n", "")


def refusal(text: str) -> str:
    """What is said of a machine file that is not as it should be."""
    with pytest.raises(DataError) as refused:
        machine_from_text(text, "mine.toml")
    return str(refused.value)


def mapped() -> Machine:
    """The bench unit with its compressor as a map."""
    bench = demo_machine("R-32")
    return replace(bench, compressor=map_of(bench.compressor, refrigerant("R-32"), SUCTIONS, DISCHARGES, 11.0))


MAPPED = machine_text(mapped())


# Round trip ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_written_machine_reads_back_equal(name: str) -> None:
    """Each demo machine is the same machine, to the last bit, once written and read."""
    assert demo_machine(name) == machine_from_text(machine_text(demo_machine(name)), "mine.toml")


@given(share=st.floats(min_value=0.3, max_value=3.0), kelvin=st.floats(min_value=-30.0, max_value=30.0))
def test_crooked_sizes_read_back_equal(share: float, kelvin: float) -> None:
    """Figures with all their digits survive too, as those of a machine that was sized."""
    bench = demo_machine("R-32")
    crooked = replace(
        bench,
        charge=bench.charge * share,
        held_aside=bench.held_aside * share / 7.0,
        liquid_line_volume=bench.liquid_line_volume * share,
        compressor=replace(bench.compressor, swept_volume=33e-6 * share, speed=48.0 * share, heat_loss=0.1 * share),
        indoor_coil=replace(bench.indoor_coil, air_flow=0.56 * share, air_conductance=1e3 * share, volume=2e-3 * share),
        outdoor_metering=replace(bench.outdoor_metering, opening=1.5e-6 * share, fully_open_at=8.0 * share),
        suction_loss=replace(bench.suction_loss, drop=15e3 * share, density=28.0 * share),
        limits=replace(bench.limits, discharge_temperature=388.15 + kelvin),
        frost=replace(bench.frost, gap=1.6e-3 * share, metal_heat=9e3 * share, conductivity=0.2 * share),
    )
    assert crooked == machine_from_text(machine_text(crooked), "mine.toml")


def test_machine_with_a_map_reads_back_equal() -> None:
    """Ten coefficients each and their ranges survive to the last bit."""
    assert mapped() == machine_from_text(MAPPED, "mine.toml")


def test_machine_with_an_orifice_reads_back_equal() -> None:
    """A fixed orifice has no band of superheat, and none is written."""
    bench = replace(demo_machine("R-32"), indoor_metering=Metering(kind=ORIFICE, opening=1.2e-6))
    assert bench == machine_from_text(machine_text(bench), "mine.toml")


@pytest.mark.parametrize("text", ['a "quoted" one', "back\\slash", "°C ³ —", "# no comment", "'''"])
def test_any_text_reads_back_equal(text: str) -> None:
    """Name and note may hold any character that can be printed, and the comment on top stays a comment."""
    bench = replace(demo_machine("R-32"), name=text, note=text)
    assert bench == machine_from_text(machine_text(bench), "mine.toml")


def test_note_may_be_left_out() -> None:
    """A machine without a note has neither comment nor key, and reads back."""
    bench = replace(demo_machine("R-32"), note="")
    assert machine_text(bench).startswith("name = ")
    assert bench == machine_from_text(machine_text(bench), "mine.toml")


def test_file_on_the_disc_is_read(tmp_path: Path) -> None:
    """A file is read with or without the mark that some editors set at its beginning, and with Windows line ends."""
    file = tmp_path / "mine.toml"
    file.write_bytes(b"\xef\xbb\xbf" + BENCH.replace("\n", "\r\n").encode())
    assert demo_machine("R-32") == read_machine(file) == read_machine(str(file))


def test_usual_values_may_be_left_out() -> None:
    """A fixed speed, the exponent of the air side and the frost's own figures need not be written."""
    short = re.sub(r"^(least_speed_ratio|most_speed_ratio|speed_fall|air_exponent|conductivity|coil_share) = .*\n", "", BENCH, flags=re.MULTILINE)
    short = changed(r'^density = "250 kg/m3"\n', "", short)
    assert demo_machine("R-32") == machine_from_text(short, "mine.toml")


def test_trade_units_are_read() -> None:
    """The bench unit may state its sizes in IP units."""
    text = changed(r"^charge = .*", 'charge = "4.5 lb"')
    text = changed(r"^air_conductance = .*", 'air_conductance = "2000 Btu/h/F"', text)
    text = changed(r"^discharge_temperature = .*", 'discharge_temperature = "239 F"', text)
    machine = machine_from_text(text, "mine.toml")
    assert (2.041165665, 388.15) == (machine.charge, machine.limits.discharge_temperature)
    assert 2000.0 * 0.527528 == pytest.approx(machine.indoor_coil.air_conductance, rel=1e-14)


def test_refrigerant_gets_its_designation() -> None:
    """R32, written as a technician would, is R-32."""
    assert "R-32" == machine_from_text(changed(r'^refrigerant = "R-32"', 'refrigerant = "r32"'), "mine.toml").refrigerant


# Maps ---------------------------------------------------------------------------------


def in_fahrenheit(text: str) -> str:
    """The map's file with 'F' where it says 'C', and coefficients of a cubic in Fahrenheit, in lb/h and kW."""
    text = changed(r'^temperature_unit = "C"', 'temperature_unit = "F"', text)
    text = changed(r'^mass_flow_unit = "kg/s"', 'mass_flow_unit = "lb/h"', text)
    text = changed(r'^power_unit = "W"', 'power_unit = "kW"', text)
    text = changed(r"^mass_flow_coefficients = .*", f"mass_flow_coefficients = {list(FLOW_F)}", text)
    return changed(r"^power_coefficients = .*", f"power_coefficients = {list(POWER_F)}", text)


FLOW_F = (300.0, 5.0, -0.5, 0.03, 0.01, -0.002, 1e-4, 2e-5, -3e-5, 4e-6)
POWER_F = (1.5, 0.01, 0.02, -1e-4, 2e-4, 1e-4, 1e-6, -2e-6, 3e-6, -4e-7)


@pytest.mark.parametrize(("suction", "discharge"), [(-4.0, 68.0), (14.0, 86.0), (41.0, 113.0), (50.0, 140.0)])
def test_map_in_fahrenheit_gives_the_same_flow_and_power(suction: float, discharge: float) -> None:
    """Coefficients for Fahrenheit, lb/h and kW are turned into those for Celsius, kg/s and W: both polynomials agree."""
    compressor = machine_from_text(in_fahrenheit(MAPPED), "mine.toml").compressor
    assert isinstance(compressor, CompressorMap)
    there = polynomial_terms(suction, discharge)
    here = polynomial_terms((suction - 32.0) / 1.8, (discharge - 32.0) / 1.8)
    for theirs, ours, factor in ((FLOW_F, compressor.mass_flow_coefficients, 0.45359237 / 3600.0), (POWER_F, compressor.power_coefficients, 1000.0)):
        expected = factor * sum(c * term for c, term in zip(theirs, there, strict=True))
        assert expected == pytest.approx(sum(c * term for c, term in zip(ours, here, strict=True)), rel=1e-11)


# Demo machines ------------------------------------------------------------------------


def test_demo_files_are_those_of_the_list() -> None:
    """Each file in the folder has its name in the list, and each name its file."""
    files = {file.name for file in resources.files("hpteach.machine").joinpath("demo").iterdir() if file.name.endswith(".toml")}
    assert {f"bench-unit-{name}.toml" for name in DEMO_MACHINES} == files


@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_demo_machine_says_that_it_is_invented(name: str) -> None:
    """Name, note and the first line of the file say so."""
    machine = demo_machine(name)
    first = resources.files("hpteach.machine").joinpath("demo", f"bench-unit-{name}.toml").read_text(encoding="utf-8").splitlines()[0]
    assert ("(invented)", "Invented: ", "# Invented: ") == (machine.name[-10:], machine.note[:10], first[:12])


@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_demo_machine_is_of_its_name(name: str) -> None:
    """The refrigerant is that of the name, and only the one of variable speed has a range of speed."""
    machine = demo_machine(name)
    assert (name.removesuffix("-variable-speed"), name.endswith("variable-speed")) == (
        machine.refrigerant, machine.compressor.least_speed_ratio < machine.compressor.most_speed_ratio)  # fmt: skip


@pytest.mark.parametrize("name", DEMO_MACHINES)
def test_demo_machine_warns_of_what_burns(name: str) -> None:
    """The note of a flammable filling defers to charge limits, local codes and licensed work."""
    machine = demo_machine(name)
    burns = listing(machine.refrigerant).caution is not None
    assert (burns, burns, burns) == tuple(word in machine.note for word in ("lammable (A", "local codes", "licensed work"))


@pytest.mark.parametrize("name", DEMO_MACHINES)
@pytest.mark.parametrize("valve_position", [ValvePosition.COOLING, ValvePosition.HEATING])
def test_demo_machine_runs(name: str, valve_position: ValvePosition) -> None:
    """Each demo machine finds its balance in the weather at which machines are rated (35 °C and 7 °C of EN 14511, from memory)."""
    heating = valve_position is ValvePosition.HEATING
    outdoor = moist_air(280.15, wet_bulb=279.15) if heating else moist_air(308.15, wet_bulb=297.15)
    indoor = moist_air(293.15, wet_bulb=288.15) if heating else moist_air(300.15, wet_bulb=292.15)
    assert operate(demo_machine(name), valve_position, outdoor, indoor).cop > 1.0


def test_demo_machine_is_kept() -> None:
    """However it is called, one machine is read once."""
    assert all(demo_machine("R-32") is demo_machine(name) for name in ("r32", "R 32", "bench-unit-R-32", "Bench unit R-32"))


def test_unknown_demo_machine_is_refused() -> None:
    """The refusal names what there is."""
    with pytest.raises(UnknownNameError) as refused:
        demo_machine("R-12")
    assert "demo machine 'R-12' is not known" in str(refused.value) and str(refused.value).endswith(", ".join(DEMO_MACHINES))


# Refusals -----------------------------------------------------------------------------

REQUIRED = (
    "name", "refrigerant", "charge", "held_aside_in_heating", "kind", "swept_volume", "speed", "volumetric_best", "volumetric_fall",
    "isentropic_best", "isentropic_fall", "best_pressure_ratio", "heat_loss", "air_flow", "fan_power", "air_conductance",
    "boiling_conductance", "condensing_conductance", "liquid_conductance", "vapour_conductance", "volume", "drop", "mass_flow", "density",
    "opening", "opens_at", "fully_open_at", "discharge_temperature", "pressure_ratio", "least_saturated_suction_temperature",
    "saturated_condensing_temperature", "area", "gap", "metal_heat",
)  # fmt: skip
TABLES = ("compressor", "indoor_coil", "outdoor_coil", "indoor_metering", "outdoor_metering", "limits", "frost", "lines")
BELOW = ("indoor_coil.boiling_loss", "outdoor_coil.condensing_loss", "lines.suction_loss", "lines.discharge_loss", "lines.liquid_loss")


@pytest.mark.parametrize("key", REQUIRED)
def test_missing_key_is_named(key: str) -> None:
    """The refusal names file and key, and says what to write."""
    assert re.fullmatch(rf"mine\.toml: ([a-z_]+\.)*{key} is missing: write .+", refusal(without(key)))


@pytest.mark.parametrize("place", TABLES)
def test_missing_table_is_named(place: str) -> None:
    """A table that is not there is asked for by its name."""
    kept = re.sub(rf"^\[{place}(?:\..*)?\]\n(?:[^\[\n].*\n)*", "", BENCH, flags=re.MULTILINE)
    assert f"mine.toml: {place} is missing: write a table [{place}]" == refusal(kept)


@pytest.mark.parametrize("place", BELOW)
def test_missing_loss_is_named(place: str) -> None:
    """So is a table below another one."""
    kept = re.sub(rf"^\[{re.escape(place)}\]\n(?:[^\[\n].*\n)*", "", BENCH, flags=re.MULTILINE)
    assert f"mine.toml: {place} is missing: write a table [{place}]" == refusal(kept)


@pytest.mark.parametrize("place", ("", *TABLES, *BELOW))
def test_unknown_key_is_named(place: str) -> None:
    """A key that no table knows is refused where it stands, with those that may stand there."""
    text = changed(rf"^\[{re.escape(place)}\]\n", f"[{place}]\nwings = 2\n") if place else "wings = 2\n" + BENCH
    assert refusal(text).startswith(f"mine.toml: {place}{'.' if place else ''}wings = 2: allowed is only the keys ")


@pytest.mark.parametrize("place", ["indoor_coil", "limits", "frost", "lines.suction_loss"])
@pytest.mark.parametrize("key", ["kind", "place", "refrigerant"])
def test_key_of_another_table_is_refused(place: str, key: str) -> None:
    """A key that means something elsewhere is not passed over in silence."""
    assert f"mine.toml: {place}.{key} = 'x': allowed is only" in refusal(changed(rf"^\[{re.escape(place)}\]\n", f"[{place}]\n{key} = 'x'\n"))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (r"^charge = .*", "charge = 2.0", "mine.toml: charge = 2.0: allowed is a text such as '2.0 kg', in kg, g, lb, oz"),
        (r"^charge = .*", 'charge = "2.0"', "mine.toml: charge = '2.0': allowed is a text such as '2.0 kg', in kg, g, lb, oz ('2.0' is not a number with a unit)"),
        (r"^charge = .*", 'charge = "2.0 W/K"', "mine.toml: charge = '2.0 W/K': allowed is a text such as '2.0 kg', in kg, g, lb, oz ('W/K' is no unit of mass here)"),
        (r"^charge = .*", "charge = true", "mine.toml: charge = True: allowed is a text"),
        (r"^charge = .*", "charge = {}", "mine.toml: charge = {}: allowed is a text"),
        (r"^fan_power = .*", 'fan_power = "160"', "mine.toml: indoor_coil.fan_power = '160': allowed is a text such as '160 W' ('160' has no unit of power"),
        (r"^air_flow = .*", 'air_flow = "0.56 kg/s"', "is a mass flow, not a volume flow"),
        (r"^drop = .*", 'drop = "15 psig"', "mine.toml: indoor_coil.boiling_loss.drop = '15 psig': allowed is a text such as '15 kPa', in Pa, kPa, mbar, bar, MPa, psi"),
        (r"^heat_loss = .*", "heat_loss = true", "mine.toml: compressor.heat_loss = True: allowed is a number, or a text such as '70 %'"),
        (r"^heat_loss = .*", 'heat_loss = "5 K"', "mine.toml: compressor.heat_loss = '5 K': allowed is a number, or a text such as '70 %'"),
        (r"^heat_loss = .*", f"heat_loss = 1{'0' * 400}", "mine.toml: compressor.heat_loss = 1000"),
        (r"^name = .*", 'name = " "', "mine.toml: name = ' ': allowed is a text"),
        (r"^note = .*", "note = 3", "mine.toml: note = 3: allowed is a text"),
        (r"^note = .*", 'note = "two\\nlines"', "mine.toml: note = 'two\\nlines': allowed is a text in one line, without tabs and control characters"),
        (r"^name = .*", 'name = "a\\u001b[31m"', "mine.toml: name = 'a\\x1b[31m': allowed is a text in one line"),
        (r"^charge = .*", 'charge = "1911 kg"', "mine.toml: charge = '1911 kg': allowed is up to 200 kg: see whether figure and unit are right"),
        (r"^opening = .*", 'opening = "5 m2"', "mine.toml: indoor_metering.opening = '5 m2': allowed is up to 1 cm2"),
        (r"^gap = .*", 'gap = "1.6 m"', "mine.toml: frost.gap = '1.6 m': allowed is up to 10 mm"),
        (r"^fan_power = .*", 'fan_power = "160 kW"', "mine.toml: indoor_coil.fan_power = '160 kW': allowed is up to 20 kW"),
        (r"^refrigerant = .*", 'refrigerant = "R-12"', "mine.toml: refrigerant = 'R-12': allowed is one of the collection (refrigerant 'R-12' is not known"),
        (r"^refrigerant = .*", "refrigerant = 32", "mine.toml: refrigerant = 32: allowed is a refrigerant such as 'R-32'"),
        (r'^kind = "displacement"', 'kind = "magic"', "mine.toml: compressor.kind = 'magic': allowed is one of displacement, map"),
        (r'^kind = "thermostatic valve"', 'kind = "tap"', "mine.toml: indoor_metering.kind = 'tap': allowed is one of thermostatic valve, electronic valve, fixed orifice"),
    ],
)  # fmt: skip
def test_wrong_value_is_named(old: str, new: str, words: str) -> None:
    """The refusal names file, key, value and what is allowed."""
    assert words in refusal(changed(old, new))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (r"^charge = .*", 'charge = "0 kg"', "mine.toml: charge in kg of 0 cannot be"),
        (r"^held_aside_in_heating = .*", 'held_aside_in_heating = "9 kg"', "mine.toml: charge held aside in heating of 9 kg leaves nothing"),
        (r"^swept_volume = .*", 'swept_volume = "-1 cm3"', "mine.toml: [compressor]: swept volume in m³ for each revolution of -1e-06 cannot be"),
        (r"^volumetric_best = .*", "volumetric_best = nan", "mine.toml: [compressor]: best volumetric efficiency of nan cannot be"),
        (r"^volumetric_best = .*", 'volumetric_best = "170 %"', "mine.toml: [compressor]: best volumetric efficiency of 1.7 cannot be"),
        (r"^air_flow = .*", 'air_flow = "0 m3/s"', "mine.toml: [indoor_coil]: indoor coil: air flow in m³/s of 0 cannot be"),
        (r"^drop = .*", 'drop = "-1 Pa"', "mine.toml: [indoor_coil.boiling_loss]: pressure loss in Pa of -1 cannot be"),
        (r"^opens_at = .*", 'opens_at = "50 K"', "mine.toml: [indoor_metering]: superheat at which the thermostatic valve opens, in K of 50 cannot be"),
        (r'^kind = "thermostatic valve"', 'kind = "fixed orifice"', "mine.toml: [indoor_metering]: a fixed orifice holds no superheat"),
        (r"^pressure_ratio = .*", "pressure_ratio = 1", "mine.toml: [limits]: highest pressure ratio of 1 cannot be"),
        (r"^gap = .*", 'gap = "0 mm"', "mine.toml: [frost]: gap between fins in m of 0 cannot be"),
        (r"^\[lines\]\nvolume = .*", '[lines]\nvolume = "-1 l"', "mine.toml: volume of the liquid line in m³ of -0.001 cannot be"),
    ],
)
def test_size_that_cannot_be_is_refused_with_its_table(old: str, new: str, words: str) -> None:
    """What a part itself refuses comes with the file and the table."""
    assert refusal(changed(old, new)).startswith(words)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (r'^(\[compressor\]\nkind = "map"\n)refrigerant = .*', '[compressor]\nkind = "map"\nrefrigerant = "R-290"', "mine.toml: compressor.refrigerant = 'R-290': allowed is the machine's own, R-32"),
        (r"^temperature_unit = .*", 'temperature_unit = "K"', "mine.toml: compressor.temperature_unit = 'K': allowed is one of C, F"),
        (r"^mass_flow_unit = .*", 'mass_flow_unit = "W"', "mine.toml: compressor.mass_flow_unit = 'W': allowed is a unit of mass flow ('1 W' is a power, not a mass flow"),
        (r"^power_unit = .*\n", "", "mine.toml: compressor.power_unit is missing: write a unit of power, such as W"),
        (r"^mass_flow_coefficients = .*", "mass_flow_coefficients = [1, 2]", "mine.toml: compressor.mass_flow_coefficients = [1, 2]: allowed is a list of 10 numbers"),
        (r"^power_coefficients = .*", "power_coefficients = [1, 2, 3, 4, 5, 6, 7, 8, 9, 'x']", "allowed is a list of 10 numbers"),
        (r"^power_coefficients = .*", "power_coefficients = [nan, 2, 3, 4, 5, 6, 7, 8, 9, 0]", "mine.toml: [compressor]: "),
        (r"^suction_range = .*", 'suction_range = ["0 C"]', "mine.toml: compressor.suction_range = ['0 C']: allowed is a list of the lowest and the highest temperature"),
        (r"^suction_range = .*", 'suction_range = ["0 C", 10]', "mine.toml: compressor.suction_range = 10: allowed is a text such as '115 C'"),
        (r"^suction_range = .*", 'suction_range = ["10 C", "0 C"]', "mine.toml: [compressor]: suction range of the compressor map from 10 °C to 0 °C cannot be"),
        (r"^map_superheat = .*\n", "", "mine.toml: compressor.map_superheat is missing: write a text such as '6 K'"),
        (r"^map_superheat = .*", "swept_volume = '33 cm3'", "mine.toml: compressor.swept_volume = '33 cm3': allowed is only the keys"),
    ],
)  # fmt: skip
def test_wrong_map_is_refused(old: str, new: str, words: str) -> None:
    """A map says for which refrigerant and in which units it holds, and is refused where it does not."""
    assert words in refusal(changed(old, new, MAPPED))


@pytest.mark.parametrize("text", ["charge = ", "a = 1\na = 2", "x = " + "[" * 3000, f"n = {'1' * 5000}", "no TOML at all", "d = 2024-99-99"])
def test_text_that_is_no_toml_is_refused(text: str) -> None:
    """The refusal names the file."""
    assert refusal(text).startswith("mine.toml: not readable as TOML: ")


def test_empty_file_is_refused() -> None:
    """An empty file lacks its name first."""
    assert "mine.toml: name is missing: write a text" == refusal("")


def test_braces_in_a_file_name_are_left_alone() -> None:
    """A refusal that carries quantities is not confused by the name of the file."""
    with pytest.raises(DataError) as refused:
        machine_from_text(changed(r"^suction_range = .*", 'suction_range = ["10 C", "0 C"]', MAPPED), "{low}.toml")
    assert str(refused.value).startswith("{low}.toml: [compressor]: suction range of the compressor map from 10 °C")


@pytest.mark.parametrize(
    ("content", "words"),
    [(None, "cannot be read (No such file or directory)"), ("folder", "cannot be read (Is a directory)"), (b"\xff\xfe\x00", "is not text in UTF-8")],
)
def test_file_that_cannot_be_read_is_refused(tmp_path: Path, content: str | bytes | None, words: str) -> None:
    """A missing file, a folder and what is no text are each named."""
    file = tmp_path / "mine.toml"
    if content == "folder":
        file.mkdir()
    elif content is not None:
        file.write_bytes(content)
    with pytest.raises(DataError) as refused:
        read_machine(file)
    assert str(refused.value).startswith(f"mine.toml: {words}")


def test_path_that_no_file_can_have_is_refused() -> None:
    """A name with a null in it is refused like a missing file."""
    with pytest.raises(DataError, match="cannot be read"):
        read_machine("mine\0.toml")


# The page -----------------------------------------------------------------------------


def keys_of(data: dict) -> set[str]:
    """Every key of a table and of those below it."""
    return set(data) | {key for value in data.values() if isinstance(value, dict) for key in keys_of(value)}


@pytest.mark.parametrize("text", [BENCH, MAPPED], ids=["displacement", "map"])
def test_every_key_stands_on_the_page(text: str) -> None:
    """DEVELOPERS.md explains every key that a machine file can have."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Add a machine", 1)[1].split("\n## ", 1)[0]
    explained = set(re.findall(r"[a-z_]+", " ".join(re.findall(r"`([^`]*)`", page))))
    assert set() == keys_of(tomllib.loads(text)) - explained
