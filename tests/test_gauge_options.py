"""The command `gauges` and the readings in its options (hpteach/gauge_options.py)."""

from __future__ import annotations

import pytest

from hpteach.cycle import NAMES
from hpteach.fluids import refrigerant
from hpteach.gauge_options import READINGS
from hpteach.gauges import FieldReadings
from tests.command_line import ran, shown

LINE = "gauges --refrigerant R-410A --valve cooling --suction 118psig --discharge 365psig --suction-line 52F --liquid-line 100F"


def test_each_option_is_a_reading() -> None:
    """Every reading has its option, and the kind that its name says."""
    quantities = {quantity for quantity, _ in READINGS.values()}
    assert set(FieldReadings.__dataclass_fields__) - {"valve_position", "metering_layout"} == quantities
    assert [] == [quantity for quantity, kind in READINGS.values() if not quantity.endswith(kind)]


def test_gauges_have_the_promised_keys(capsys) -> None:
    """JSON holds the points and what readings add, in SI; None for what the readings leave open."""
    found = shown(LINE, capsys)
    promised = {"points", "superheat_K", "subcooling_K", "saturated_suction_K", "saturated_condensing_K", "liquid_bubble_K", "doubts", "cautions"}
    assert set() == promised - set(found)
    assert ([], None) == (found["doubts"], found["cop_cooling"])
    assert {point["label"] for point in found["points"]} == set(NAMES) - {"2"}
    # R-410A at 118 psig: 40 F (07_trade_figures.csv, common practice, no source; the chart is good to one psi, 0.4 F)
    assert 52.0 - 40.0 == pytest.approx(1.8 * found["superheat_K"], abs=0.4)


def test_a_discharge_line_adds_point_2(capsys) -> None:
    """With the discharge line measured, work, heat and COP are known."""
    found = shown(f"{LINE} --discharge-line 170F", capsys)
    assert {point["label"] for point in found["points"]} == set(NAMES)
    assert 1.0 == pytest.approx(found["cop_heating"] - found["cop_cooling"], abs=1e-9)


@pytest.mark.parametrize("air", ["--altitude 1600m", "--atmosphere 83523Pa"])
def test_air_shifts_both_gauges(air: str, capsys) -> None:
    """At an altitude the same readings are lower pressures: more superheat and less subcooling (R-410A: 38.7 F, docs/conventions.md)."""
    here, there = shown(LINE, capsys), shown(f"{LINE} {air}", capsys)
    assert 38.7 == pytest.approx(1.8 * there["saturated_suction_K"] - 459.67, abs=0.05)
    assert there["superheat_K"] > here["superheat_K"] and there["subcooling_K"] < here["subcooling_K"]


def test_absolute_pressures_do_not_feel_the_air(capsys) -> None:
    """psia and bar are absolute, whatever the altitude."""
    line = LINE.replace("118psig", "132.7psia").replace("365psig", "26.2bar")
    here, there = (shown(f"{line} {air}", capsys)["superheat_K"] for air in ("", "--altitude 3000m"))
    assert here == there


@pytest.mark.parametrize("metering", ["each-coil", "outdoor", "indoor"])
def test_metering_says_where_the_liquid_probe_goes(metering: str, capsys) -> None:
    """A single device at the condensing coil puts a mixture into the liquid line, and the words warn of it."""
    code, out, _ = ran(f"{LINE} --metering {metering}", capsys)
    assert 0 == code and (metering == "outdoor") == ("there is already a mixture" in out)


def test_the_table_and_the_words_are_printed_and_cautions_go_to_the_other_stream(capsys) -> None:
    """Readings, points, figures and words on standard output; cautions on standard error."""
    code, out, err = ran(f"{LINE} --units IP --suction-line 35F".replace("--suction-line 52F ", ""), capsys)
    assert 0 == code
    assert [] == [said for said in ("118.0 psig", "what was read", "Doubt: The suction line at 35.0 °F", "Liquid line: on the pipe") if said not in out]
    assert "goggles" in err and "goggles" not in out


@pytest.mark.parametrize(
    ("old", "new", "begins"),
    [
        ("--suction 118psig", "--suction 118psi", "--suction: '118psi' does not say gauge or absolute"),
        ("--suction 118psig", "--suction 40F", "--suction: '40F' is a temperature"),
        ("--discharge 365psig", "--discharge 800psig", "--discharge 800psig: discharge pressure: R-410A cannot be saturated at 56.17 bar"),
        ("--suction-line 52F", "--suction-line 52", "--suction-line: '52' has no unit"),
        ("--liquid-line 100F", "--liquid-line 900F", "--liquid-line 900F: liquid line temperature of 482.2 °C is outside"),
        ("--valve cooling", "--valve between", "--valve between: with the valve between"),
        ("--valve cooling", "--valve both", "--valve: valve position 'both' is not known; known are heating, cooling\n"),
        ("--suction 118psig", "--suction 10inHg", "--suction: '10inHg' does not say where it counts from, the air downwards or a perfect vacuum upwards: "
         "write '10inHg vac' for a vacuum on a gauge (9.8 psia here) or psia for an absolute pressure (10 inHg are 4.9 psia)\n"),
        ("--suction 118psig", "--suction '10 in. Hg'", "--suction: '10 in. Hg' does not say where it counts from"),
        ("--suction 118psig", "--suction=-10inHg", "--suction: '-10inHg' does not say where it counts from, the air downwards or a perfect vacuum upwards: "
         "write '10inHg vac' for a vacuum on a gauge (9.8 psia here)\n"),
        ("--suction 118psig", "--suction 40inHg", "--suction: '40inHg' does not say where it counts from, the air downwards or a perfect vacuum upwards: write psia for an"),
        ("--suction 118psig", "--suction=-40inHg", "--suction: '-40inHg' does not say where it counts from, the air downwards or a perfect vacuum upwards: write the vacuum"),
        ("--suction 118psig", "--suction '40inHg vac'", "--suction: pressure of 40inHg vac is a perfect vacuum or below"),
        ("--suction-line 52F", "--suction-line 7K", "--suction-line 7K: suction line temperature of -266.1 °C is outside the equation of state of R-410A, which holds from "
         "-73.1 °C to 226.8 °C: check the probe, the unit and the refrigerant\n"),
        ("--valve cooling", "--valve cooling --metering two", "--metering: metering layout 'two' is not known"),
        ("--liquid-line 100F", "", "gauges needs --liquid-line"),
        ("--suction 118psig", "--suction 118psig --suction 120psig", "--suction is given twice"),
    ],
)
def test_bad_readings_are_refused_by_their_option(old: str, new: str, begins: str, capsys) -> None:
    """A refusal is one sentence on standard error that begins with the option; nothing is printed, exit 2."""
    assert old in LINE
    code, out, err = ran(LINE.replace(old, new), capsys)
    assert (2, "") == (code, out)
    assert err.startswith(begins) and 1 == len(err.splitlines())


def test_an_inch_of_vacuum_counts_from_the_air_down_and_is_doubted(capsys) -> None:
    """10 inHg vac at sea level are 19.92 inHg absolute (29.92 - 10, the inch of docs/sources.md), below the air."""
    found = shown(LINE.replace("118psig", "'10inHg vac'"), capsys)
    (point,) = [point for point in found["points"] if point["label"] == "1"]
    assert 19.92 * 3386.39 == pytest.approx(point["pressure_Pa"], abs=0.005 * 3386.39)
    assert "suction_below_air" in [doubt["id"] for doubt in found["doubts"]]


@pytest.mark.parametrize(("air", "doubted"), [("", True), ("--altitude 3000m", False)])
def test_a_vacuum_is_one_of_the_readers_air(air: str, doubted: bool, capsys) -> None:
    """0.8 bar absolute is below the air at sea level, and above it at 3000 m."""
    found = shown(f"{LINE.replace('118psig', '0.8bar')} {air}", capsys)
    assert doubted == ("suction_below_air" in [doubt["id"] for doubt in found["doubts"]])


def test_without_a_doubt_the_words_send_to_the_nameplate(capsys) -> None:
    """No doubt is no proof, and the command says so; with a doubt it does not."""
    printed = [ran(line, capsys)[1] for line in (LINE, LINE.replace("52F", "35F"))]
    assert [True, False] == ["No doubt is no proof" in out for out in printed]


def test_a_refusal_speaks_the_readers_units(capsys) -> None:
    """With --units IP the limits are in psia."""
    code, _, err = ran(f"{LINE} --units IP".replace("365psig", "800psig"), capsys)
    assert 2 == code
    critical = refrigerant("R-410A").critical_pressure / 6894.757293168
    assert f"its critical pressure is {critical:.1f} psia" in err
