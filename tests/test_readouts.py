"""Results as tables and as dictionaries (hpteach/readouts.py)."""

import csv
import json
from pathlib import Path

import pytest

from hpteach import readouts
from hpteach.circuit import MeteringLayout, ValvePosition, flow, reversible_circuit
from hpteach.cycle import conditions_for, solve
from hpteach.errors import LimitError
from hpteach.fluids import REFERENCES, catalogue, listing, refrigerant
from hpteach.units import STANDARD_ATMOSPHERE, atmosphere_at, shown_number

REFERENCE = Path(__file__).parent / "reference"
POSITIONS = (ValvePosition.COOLING, ValvePosition.HEATING)


def printed_rows():
    """Rows of the printed R-134a table on the IIR reference state, saturated by temperature
    (tests/reference/02_saturation_points.csv names the source)."""
    with (REFERENCE / "02_saturation_points.csv").open(newline="", encoding="utf-8") as lines:
        return [
            row for row in csv.DictReader(lines)
            if (row["fluid"], row["entry"], row["ref_state"]) == ("R-134a", "T", "iir") and "scisuit" in row["source"]
        ]  # fmt: skip


def cycle(name="R-410A", position=ValvePosition.COOLING, reference="iir", metering=MeteringLayout.EACH_COIL, **chosen):
    fluid = refrigerant(name, reference)
    circuit = reversible_circuit(metering)
    chosen = {
        "saturated_suction_temperature": 280.15, "saturated_condensing_temperature": 318.15,
        "superheat": 5.0, "subcooling": 5.0, "isentropic_efficiency": 0.7, **chosen,
    }  # fmt: skip
    return fluid, solve(fluid, conditions_for(flow(circuit, position), **chosen), circuit)


def half_digit(printed):
    return 0.5 * 10.0 ** -len(printed.partition(".")[2])


def column(table, heading):
    return [row[list(table.headings).index(heading)] for row in table.rows]


@pytest.mark.parametrize("printed", printed_rows(), ids=lambda row: f"{row['T_C']} C")
def test_saturation_row_agrees_with_a_printed_table(printed):
    """Each property stands under the key that names it: pressure, h and s of liquid and vapour are the printed ones."""
    row = readouts.saturation_at_temperature(refrigerant("R-134a"), float(printed["T_C"]) + 273.15)
    keys = {"p_kPa": "dew_Pa", "hf": "hf_J_per_kg", "hg": "hg_J_per_kg", "sf": "sf_J_per_kgK", "sg": "sg_J_per_kgK"}
    for heading, key in keys.items():
        assert float(printed[heading]) == pytest.approx(row[key] / 1e3, abs=half_digit(printed[heading])), heading


@pytest.mark.parametrize("name", catalogue())
def test_saturation_by_temperature_and_by_pressure_agree(name):
    """The dew point found at a temperature has that temperature again at its pressure; the bubble point too."""
    fluid = refrigerant(name)
    row = readouts.saturation_at_temperature(fluid, 280.0)
    at_dew, at_bubble = (readouts.saturation_at_pressure(fluid, row[key]) for key in ("dew_Pa", "bubble_Pa"))
    assert 280.0 == pytest.approx(at_dew["dew_K"], abs=1e-6)
    assert 280.0 == pytest.approx(at_bubble["bubble_K"], abs=1e-6)
    assert row["hg_J_per_kg"] == pytest.approx(at_dew["hg_J_per_kg"], abs=0.01)
    assert row["sf_J_per_kgK"] == pytest.approx(at_bubble["sf_J_per_kgK"], abs=1e-4)


@pytest.mark.parametrize("name", catalogue())
def test_saturation_ends_where_the_refrigerant_says(name):
    """A temperature is taken up to the highest at which the refrigerant is saturated, with both pressures, and refused above;
    the dew pressure is taken back everywhere, the bubble pressure up to the highest pressure."""
    fluid = refrigerant(name)
    highest = fluid.highest_saturation_temperature
    row = readouts.saturation_at_temperature(fluid, highest - 0.02)
    assert row["dew_Pa"] == readouts.saturation_at_pressure(fluid, row["dew_Pa"])["pressure_Pa"]
    if listing(name).model != "blend":
        assert row["bubble_Pa"] == readouts.saturation_at_pressure(fluid, row["bubble_Pa"])["pressure_Pa"]
    with pytest.raises(LimitError, match="cannot be saturated at .*: its critical temperature is"):
        readouts.saturation_at_temperature(fluid, highest + 0.02)


@pytest.mark.parametrize("reference", REFERENCES)
def test_saturation_stands_on_the_chosen_reference(reference):
    """h and s of saturated liquid are those by which the reference state is defined."""
    fluid = refrigerant("R-32", reference)
    row = {
        "iir": lambda: readouts.saturation_at_temperature(fluid, 273.15),
        "ashrae": lambda: readouts.saturation_at_temperature(fluid, 233.15),
        "nbp": lambda: readouts.saturation_at_pressure(fluid, STANDARD_ATMOSPHERE),
    }[reference]()
    expected = (200e3, 1000.0) if reference == "iir" else (0.0, 0.0)
    assert expected == (pytest.approx(row["hf_J_per_kg"], abs=1e-3), pytest.approx(row["sf_J_per_kgK"], abs=1e-6))


def test_saturation_tables_part_temperatures_from_pressures():
    """Rows by temperature and rows by pressure stand in tables of their own, in the order in which they were asked."""
    fluid = refrigerant("R-410A")
    rows = [readouts.saturation_at_pressure(fluid, 1e6), *(readouts.saturation_at_temperature(fluid, t) for t in (280.15, 270.15))]
    tables = readouts.saturation_tables(fluid, rows)
    assert [2, 2, 1, 1] == [len(table.rows) for table in tables]
    assert ["7.0", "-3.0"] == column(tables[0], "at, °C")
    assert ["10.00"] == column(tables[2], "at, bar")


def test_saturation_tables_of_no_rows_are_none():
    """Without rows there is no table."""
    assert () == readouts.saturation_tables(refrigerant("R-32"), [])


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_gauge_column_counts_from_the_air(system):
    """The gauge column stands below the absolute one by the pressure of the air at the place."""
    fluid, air = refrigerant("R-134a"), atmosphere_at(1600.0)
    table = readouts.saturation_tables(fluid, [readouts.saturation_at_temperature(fluid, 280.0)], system, atmosphere=air)[0]
    absolute, gauge = (float(row) for heading in table.headings if heading.startswith("dew") for row in column(table, heading))
    decimals = 1 if system == "IP" else 2
    assert shown_number(air, "pressure", system) == pytest.approx(absolute - gauge, abs=1.01 * 10.0**-decimals)


@pytest.mark.parametrize("name", catalogue())
def test_refrigerant_is_ready_for_json(name):
    """What is known of a refrigerant goes through JSON unchanged; it boils or it sublimes, and only the caution may be missing too."""
    found = readouts.refrigerant_dictionary(refrigerant(name))
    assert found == json.loads(json.dumps(found))
    sublimes = name == "R-744"
    assert ([] if sublimes else ["sublimation_K"]) == [k for k, value in found.items() if value in (None, {}, "") and k != "caution"]
    assert [sublimes] * 2 == [value is None for value in found["normal_boiling"].values()]
    assert (listing(name).safety_class == "A1" and not listing(name).high_pressure) == (found["caution"] is None)


def test_refrigerant_tables_leave_open_what_no_report_gives():
    """Where a report has no GWP of a refrigerant, a dash stands."""
    listed, points, sources = readouts.refrigerant_tables([refrigerant("R-290"), refrigerant("R-410A")], "IP")
    assert ["-", "2087.5"] == column(listed, "GWP AR4")
    assert ["pure", "50 % R-32, 50 % R-125"] == column(listed, "composition")
    assert ["206.1", "160.4"] == column(points, "critical, °F")
    assert {"composition", "safety class", "gwp", "lowest temperature"} == set(column(sources, "fact"))


@pytest.mark.parametrize(("system", "heading", "says"), [("SI", "°C", "-78.5 °C"), ("IP", "°F", "-109.2 °F")])
def test_table_says_what_sublimes(system, heading, says):
    """R-744 has no boiling point at 1 atm: dashes stand there, and the caption says at what temperature it sublimes
    (CRC handbook value, from memory, not seen here; Yaws 2014 gives -78.48 °C, seen in public data)."""
    points = readouts.refrigerant_tables([refrigerant("R-744"), refrigerant("R-32")], system)[1]
    assert points.caption.endswith(f"R-744 does not boil there, it sublimes at {says}")
    assert "-" == column(points, f"bubble, {heading}")[0] == column(points, f"dew, {heading}")[0]
    assert "-" != column(points, f"bubble, {heading}")[1]
    assert "sublimes" not in readouts.refrigerant_tables([refrigerant("R-32")], system)[1].caption


def test_sources_name_every_refrigerant():
    """For each fact every refrigerant that has it stands beside one source; the critical point is listed for blends, sublimation for R-744."""
    sources = readouts.refrigerant_tables([refrigerant(name) for name in catalogue()])[2]
    of_some = {"critical": [name for name in catalogue() if listing(name).model == "blend"], "sublimation": ["R-744"]}
    facts = {row[0] for row in sources.rows}
    assert set(of_some) < facts
    for fact in facts:
        names = of_some.get(fact, list(catalogue()))
        assert sorted(names) == sorted(name for row in sources.rows if row[0] == fact for name in row[1].split(", "))


def test_cautions_end_with_the_general_one():
    """Everybody is told what the figures are not for; who burns is told that first."""
    assert [readouts.GENERAL_CAUTION] == readouts.cautions(listing("R-134a"))
    assert [listing("R-290").caution, readouts.GENERAL_CAUTION] == readouts.cautions(listing("R-290"))


@pytest.mark.parametrize("metering", MeteringLayout)
@pytest.mark.parametrize("position", ValvePosition)
def test_flow_is_ready_for_json(position, metering):
    """A flow goes through JSON unchanged, with null where a thing has no meaning."""
    found = readouts.flow_dictionary(flow(reversible_circuit(metering), position))
    assert found == json.loads(json.dumps(found))
    assert (position is ValvePosition.BETWEEN) == (found["condenser"] is None)
    assert (metering is not MeteringLayout.EACH_COIL) == (found["check_valves"]["indoor"] is None)


def test_flow_table_has_one_line_for_each_component():
    """Components stand in the order in which they are met, with what they do."""
    table = readouts.flow_table(flow(reversible_circuit(), ValvePosition.COOLING))
    assert [str(n) for n in range(1, 10)] == column(table, "")
    does = dict(zip(column(table, "component"), column(table, "does")))
    assert {"outdoor coil": "condenses", "outdoor check valve": "open", "indoor metering device": "meters", "indoor coil": "evaporates"} == {
        component: role for component, role in does.items() if role
    }


def test_flow_table_gives_no_role_where_there_is_none():
    """With the spool between its seats nothing condenses and nothing evaporates."""
    assert ["", ""] == column(readouts.flow_table(flow(reversible_circuit(), ValvePosition.BETWEEN)), "does")


@pytest.mark.parametrize("position", POSITIONS)
def test_cycle_is_ready_for_json(position):
    """A cycle goes through JSON unchanged; the crossings have no number and single phases no quality."""
    found = readouts.cycle_dictionary(*cycle(position=position))
    assert found == json.loads(json.dumps(found))
    points = {point["label"]: point for point in found["points"]}
    assert {"1": 1, "2": 2, "2a": None, "2b": None, "3": 3, "4": 4, "4a": None} == {label: point["number"] for label, point in points.items()}
    assert [None, None, 1.0, 0.0, None] == [points[label]["quality"] for label in ("1", "2", "2a", "2b", "3")]
    assert 0.0 < points["4"]["quality"] < 1.0


def test_cycle_of_the_handbook():
    """R-134a at -20 and 30 °C has a cooling COP of 3.97 (ASHRAE Handbook - Fundamentals, chapter 2, example 3;
    from memory, not seen here)."""
    chosen = dict(saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15)
    ideal = dict(superheat=0.0, subcooling=0.0, isentropic_efficiency=1.0)
    fluid, solved = cycle("R-134a", **chosen, **ideal)
    assert 3.97 == pytest.approx(readouts.cycle_dictionary(fluid, solved)["cop_cooling"], abs=0.005)
    assert "3.97" == dict(zip(*(column(readouts.cycle_tables(fluid, solved)[2], h) for h in ("quantity", "value"))))["COP in cooling"]


def test_energies_follow_from_the_points():
    """Work and heat are the differences of the enthalpies that stand in the same dictionary."""
    found = readouts.cycle_dictionary(*cycle())
    h = {point["label"]: point["enthalpy_J_per_kg"] for point in found["points"]}
    assert h["2"] - h["1"] == pytest.approx(found["specific_work_J_per_kg"])
    assert h["1"] - h["4"] == pytest.approx(found["refrigerating_effect_J_per_kg"])
    assert h["2"] - h["3"] == pytest.approx(found["heat_rejected_J_per_kg"])
    assert found["heat_rejected_J_per_kg"] / found["specific_work_J_per_kg"] == pytest.approx(found["cop_heating"])


def test_both_modes_differ_in_places_only():
    """Equal conditions give equal figures whichever way the valve stands; places and roles change."""
    cooling, heating = (readouts.cycle_dictionary(*cycle(position=position)) for position in POSITIONS)
    of_the_place = {"valve_position", "metering", "condenser", "evaporator", "points"}
    assert {key: value for key, value in cooling.items() if key not in of_the_place} == {
        key: value for key, value in heating.items() if key not in of_the_place
    }
    without_place = [[{key: value for key, value in p.items() if key != "place"} for p in found["points"]] for found in (cooling, heating)]
    assert without_place[0] == without_place[1]
    assert (cooling["condenser"], cooling["evaporator"]) == (heating["evaporator"], heating["condenser"])


@pytest.mark.parametrize("system", ["SI", "IP"])
def test_cycle_tables_show_every_point_in_the_readers_units(system):
    """Each point has a line by place and a line of figures, in units of one system."""
    fluid, solved = cycle()
    where, figures, performance = readouts.cycle_tables(fluid, solved, system)
    labels = [point.label for point in solved.points]
    assert (labels, labels) == (column(where, "point"), column(figures, "point"))
    assert [(point.phase, point.place) for point in solved.points] == list(zip(column(where, "phase"), column(where, "place")))
    shown = "".join([*figures.headings, *column(performance, "value")])
    assert (system == "IP", system == "SI") == ("Btu" in shown, "kJ" in shown)
    dew = {"SI": ("T, °C", "7.0"), "IP": ("T, °F", "44.6")}[system]
    assert dew[1] == column(figures, dew[0])[labels.index("4a")]


def test_points_off_the_dome_have_no_quality_in_the_table():
    """A dash stands where a quantity has no meaning."""
    fluid, solved = cycle()
    assert ["-", "-", "1.000", "0.000", "-"] == column(readouts.cycle_tables(fluid, solved)[1], "x")[:5]
