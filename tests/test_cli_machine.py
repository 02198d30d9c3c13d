"""The commands `operate` and `season` (hpteach/cli.py): keys, units, streams, refusals, and that nothing ends in a traceback."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hpteach.cli import COMMANDS, main
from hpteach.fluids import refrigerant
from hpteach.machine.climate import climate
from tests.command_line import ran

HEATING = "operate --refrigerant R-410A --valve heating --outdoor 47F/43F --indoor 70F/60F"
COOLING = "operate --refrigerant R-290 --valve cooling --outdoor 95F/75F --indoor 80F/67F"
POINT_KEYS = {
    "number", "label", "name", "place", "pressure_Pa", "temperature_K", "enthalpy_J_per_kg", "entropy_J_per_kgK",
    "density_kg_per_m3", "quality", "phase",
}  # fmt: skip
OPERATE_KEYS = {
    "refrigerant", "valve_position", "metering", "points", "specific_work_J_per_kg", "refrigerating_effect_J_per_kg", "heat_rejected_J_per_kg",
    "cop_heating", "cop_cooling", "pressure_ratio", "capacity_W", "sensible_W", "latent_W", "compressor_W", "fans_W", "cop", "saturated_suction_K",
    "saturated_condensing_K", "superheat_K", "subcooling_K", "discharge_K", "mass_flow_kg_per_s", "frosting", "limits",
}  # fmt: skip
BIN_KEYS = {"outdoor_K", "hours", "load_W", "capacity_W", "power_W", "auxiliary_W"}


@pytest.fixture
def hours(tmp_path):
    """A reader's own file of two bins (invented), ready for a command line."""
    file = tmp_path / "mine.csv"
    file.write_text("outdoor_C,hours\n-8,50\n9,400\n", encoding="utf-8")
    return shlex.quote(str(file))


def shown(line: str, capsys) -> dict:
    """The JSON object of a command that ends well and says nothing else."""
    code, out, err = ran(f"{line} --json", capsys)
    assert (0, []) == (code, [said for said in err.splitlines() if not said.startswith("Working: ")])
    return json.loads(out)


@pytest.mark.parametrize(("line", "valve", "name"), [(HEATING, "heating", "R-410A"), (COOLING, "cooling", "R-290")])
def test_operate_has_the_promised_keys(line: str, valve: str, name: str, capsys) -> None:
    """JSON holds all of points and what a machine does, in SI."""
    found = shown(line, capsys)
    assert set() == OPERATE_KEYS - set(found)
    assert [POINT_KEYS] * len(found["points"]) == [set(one) for one in found["points"]]
    assert (valve, name, []) == (found["valve_position"], found["refrigerant"], found["remarks"])


def test_demo_machine_lies_among_published_ratings(capsys) -> None:
    """At 47/43 °F and 70/60 °F a unit of about 3 tons heats with a COP between 3 and 4.5 (common practice, no source)."""
    found = shown(HEATING, capsys)
    assert 9e3 < found["capacity_W"] < 12e3 and 3.0 < found["cop"] < 4.5


def test_places_move_with_the_valve(capsys) -> None:
    """Point 3 lies at the coil that condenses: indoors in heating, outdoors in cooling."""
    places = [next(one["place"] for one in shown(line, capsys)["points"] if one["label"] == "3") for line in (HEATING, COOLING)]
    assert ["indoor coil, liquid side", "outdoor coil, liquid side"] == places


@pytest.mark.parametrize("air", ["--altitude 1600m", "--atmosphere 83523Pa"])
def test_air_of_the_place_thins_the_air_and_shifts_the_gauges(air: str, capsys) -> None:
    """At an altitude the machine gives less, and its gauges count from the air there."""
    here, there = shown(HEATING, capsys), shown(f"{HEATING} {air}", capsys)
    assert (101325.0, pytest.approx(83523.0, abs=1.0)) == (here["air_pressure_Pa"], there["air_pressure_Pa"])
    assert there["capacity_W"] < here["capacity_W"]
    suction = next(one["pressure_Pa"] for one in there["points"] if one["label"] == "1")
    assert f"{(suction - 83523.0) / 1e5:.2f}" in ran(f"{HEATING} {air}", capsys)[1]


def test_operate_reads_in_tables_and_words(capsys) -> None:
    """Air, powers, points with places, coils by zones, why, and limits on standard output; cautions on standard error."""
    code, out, err = ran(COOLING, capsys)
    captions = ("in cooling: the air", "What the machine does", "the state points and where they are", "Both coils, zone by zone")
    assert (0, []) == (code, [words for words in (*captions, "compressor, suction", "The indoor coil takes heat", "No limit") if words not in out])
    assert refrigerant("R-290").listing.caution in err and "manufacturer's data" in err


def test_limits_are_told_in_the_readers_units(capsys) -> None:
    """Beyond a limit the machine is computed all the same, and the sentence says what would suffer."""
    line = HEATING.replace("47F/43F", "-13F/80%").replace("R-410A", "R-32")
    assert {"id", "sentence"} == set(shown(line, capsys)["limits"][0])
    out = ran(f"{line} --units IP", capsys)[1]
    (limit,) = [line for line in out.splitlines() if line.startswith("Limit: Discharge temperature")]
    assert "°F" in limit and "°C" not in out


def test_refrigerant_without_a_demo_machine_is_sized_and_remarked(capsys) -> None:
    """The remark goes to standard error, or into JSON, and the machine's name says it."""
    line = HEATING.replace("R-410A", "R-22")
    code, out, err = ran(line, capsys)
    assert (0, True, True) == (code, "sized for R-22" in out, err.startswith("There is no demo machine for R-22"))
    (remark,) = shown(line, capsys)["remarks"]
    assert err.splitlines()[0] == remark


def test_season_has_the_promised_keys(hours, capsys) -> None:
    """JSON holds the bins, the balance point, the seasonal COP, and everything that was chosen or is a default."""
    found = shown(f"season --climate {hours} --refrigerant R-32 --electricity-price '0.30 EUR/kWh'", capsys)
    assert [set()] * 2 == [BIN_KEYS - set(one) for one in found["bins"]]
    assert set() == {"balance_point_K", "seasonal_cop", "machine", "design_load_W", "indoor_K", "frost", "climate_source", "cautions"} - set(found)
    assert (9000.0, 293.15, "R-32", "EUR") == (found["design_load_W"], found["indoor_K"], found["refrigerant"], found["currency"])
    assert ["--climate", "--electricity-price", "--refrigerant"] == found["chosen"]
    assert refrigerant("R-32").listing.caution in found["cautions"]


def test_season_of_a_published_climate(capsys) -> None:
    """The average climate's hours come back (4910, Regulation (EU) 206/2012); frost costs the machine capacity near freezing; the sum is the cost."""
    found = shown("season --electricity-price 0.30/kWh", capsys)
    assert climate("average").hours == sum(one["hours"] for one in found["bins"])
    assert 263.15 < found["balance_point_K"] < 273.15 and 2.3 < found["seasonal_cop"] < 3.6
    assert 0.30 * (found["energy_J"] + found["auxiliary_energy_J"]) / 3.6e6 == pytest.approx(found["cost"])
    heat, used = (sum(3600.0 * one["hours"] * one[key] for one in found["bins"]) for key in ("load_W", "power_W"))
    assert heat / (used + found["auxiliary_energy_J"]) == pytest.approx(found["seasonal_cop"])


@pytest.mark.parametrize(("system", "degrees", "other"), [("SI", "°C", "°F"), ("IP", "°F", "°C")])
def test_season_reads_in_tables_and_words(system: str, degrees: str, other: str, hours, capsys) -> None:
    """What it was reckoned with, the bins, the whole and why stand in the reader's units; headings say how frost is counted."""
    code, out, err = ran(f"season --climate {hours} --design-load 30000Btu/h --units {system}", capsys)
    told = ("Reckoned with", "default; --indoor", "--design-load\n", "with frost and defrost by the clock", "The balance point is", "Hours: the reader's file mine.csv")
    assert (0, []) == (code, [words for words in told if words not in out])
    assert (True, False, True) == (degrees in out, other in out, "manufacturer's data" in err)


@pytest.mark.parametrize(
    ("line", "begins"),
    [
        (HEATING.replace("47F/43F", "43F/47F"), "--outdoor 43F/47F: wet bulb of 8.3 °C is above the dry bulb of 6.1 °C"),
        (HEATING.replace("47F/43F", "47F/110%"), "--outdoor 47F/110%: relative humidity of 110 % cannot be"),
        (HEATING.replace("47F/43F", "-70C/80%"), "--outdoor -70C/80%: dry bulb of -70.0 °C is outside -60.0 °C to 60.0 °C"),
        (f"{HEATING} --atmosphere 0.45bar", "--atmosphere 0.45bar: air pressure of 0.45 bar is not one of a place that is computed here: use 0.50 bar to 1.10 bar"),
        (HEATING.replace("47F/43F", "47F"), "--outdoor '47F' is not air"),
        (HEATING.replace("47F/43F", "-58F/80%"), "--outdoor -58F/80% --indoor 70F/60F: air of -50.0 °C at the outdoor coil that boils"),
        (f"{HEATING} --machine R-32", "--refrigerant R-410A and --machine R-32, which holds R-32, contradict each other"),
        (HEATING.replace("--refrigerant R-410A ", ""), "neither --refrigerant nor --machine says which machine it is"),
        (HEATING.replace("--indoor 70F/60F", ""), "operate needs --indoor"),
        (f"{HEATING} --outdoor 0C/80%", "--outdoor is given twice"),
        (f"{HEATING} --reference nbp", "operate: option '--reference' is not known"),
        (
            "operate --refrigerant R-410A --valve heating --outdoor 7C/6C --indoor 44.8C/20%",
            "--outdoor 7C/6C --indoor 44.8C/20%: air that reaches the room would be at 60.2 °C, above the 60.0 °C up to which moist air is computed: use colder air than 44.8 °C",
        ),
        (
            "operate --refrigerant R-410A --valve cooling --outdoor 55C/24C --indoor 27C/19C",
            "--outdoor 55C/24C --indoor 27C/19C: air that leaves the outdoor coil would be at 63.1 °C, above the 60.0 °C up to which moist air is computed",
        ),
        ("season --climate alpine", "--climate: climate 'alpine' is not known"),
        ("season --design-load 5W", "--design-load 5W is less than any house needs: use 0.10 kW or more"),
        ("season --zero-load -20C", "--zero-load -20C: zero-load temperature of -20.0 °C is not above the design temperature of -10.0 °C"),
        ("season --design-load 9", "--design-load: '9' has no unit of power"),
        ("season --climate nowhere.csv", "--climate: nowhere.csv: cannot be read"),
        ("season --machine nowhere.toml", "--machine: nowhere.toml: cannot be read"),
    ],
)
def test_bad_input_is_refused_in_one_sentence(line: str, begins: str, capsys) -> None:
    """A refusal is one sentence on standard error that begins with the option; nothing is printed, exit 2."""
    code, out, err = ran(line, capsys)
    assert (2, "", 1) == (code, out, len(err.splitlines()))
    assert err.startswith(begins)


def test_refusal_speaks_the_readers_units(capsys) -> None:
    """With --units IP the temperatures of a refusal are in °F."""
    assert "wet bulb of 47.0 °F is above the dry bulb of 43.0 °F" in ran(f"{HEATING.replace('47F/43F', '43F/47F')} --units IP", capsys)[2]


@pytest.mark.parametrize("name", ["operate", "season"])
def test_help_loads_nothing_heavy(name: str) -> None:
    """Help comes without loading properties, units or scipy."""
    code = (
        f"import sys; from hpteach.cli import main; main([{name!r}, '--help']); "
        "sys.exit(str([m for m in ('CoolProp', 'pint', 'numpy', 'scipy') if m in sys.modules]))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert ("[]", True) == (told.stderr.splitlines()[-1], COMMANDS[name].example in told.stdout)


AIR = st.builds("{:.3g}{}/{:.3g}{}".format, st.floats(-70, 70), st.sampled_from(["C", "F"]), st.floats(-70, 110), st.sampled_from(["C", "F", "%"]))


@settings(max_examples=60)
@given(st.sampled_from(["R-32", "R-290", "R-410A"]), st.sampled_from(["heating", "cooling"]), AIR, AIR)
def test_no_weather_ends_in_a_traceback(name: str, valve: str, outdoor: str, indoor: str) -> None:
    """Whatever the weather, the machine is computed or refused."""
    assert main(["operate", "--refrigerant", name, "--valve", valve, f"--outdoor={outdoor}", f"--indoor={indoor}", "--json"]) in (0, 2)
