"""A stated situation solved: as a book solves it, as gauges show it, and as printed.

Published examples come from tests/reference/03_cycle_examples.csv and name their source there.
"""

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from hpteach import units
from hpteach.circuit import MeteringLayout, ValvePosition
from hpteach.errors import LimitError
from hpteach.questions.expressions import expression
from hpteach.questions.cycle_quantities import DERIVED, QUANTITIES, TEXTS
from hpteach.questions.scenarios import Given, Printed, Setting, Situation, absolute, solve

REFERENCE = Path(__file__).parent / "reference" / "03_cycle_examples.csv"
PSI = 6894.757293168  # Pa, exact
COOLING = Setting("R-32", ValvePosition.COOLING, saturated_suction_temperature=273.15, saturated_condensing_temperature=313.15)


def book(example):
    with REFERENCE.open(newline="", encoding="utf-8") as lines:
        return {row["quantity"]: row["book"] for row in csv.DictReader(lines) if row["example"] == example}


BOOKS = [
    # example, conditions, {quantity of the book: (expression, SI per printed unit)}
    (
        "Cengel & Boles Ex. 11-1",
        Setting("R-134a", ValvePosition.COOLING, suction_pressure=Given("pressure", 140e3), discharge_pressure=Given("pressure", 800e3)),
        {"Q_L": ("0.05 * q_e", 1e3), "W_in": ("0.05 * w", 1e3), "Q_H": ("0.05 * q_c", 1e3), "COP_R": ("cop_cooling", 1.0)},
    ),
    (
        "ASHRAE Fundamentals ch. 2 Example 3",
        Setting("R-134a", ValvePosition.COOLING, saturated_suction_temperature=253.15, saturated_condensing_temperature=303.15),
        {"p1": ("p1", 1e3), "p2": ("p2", 1e3), "h1": ("h1", 1e3), "h3": ("h3", 1e3), "COP": ("cop_cooling", 1.0)},
    ),
]


@pytest.mark.parametrize(("example", "setting", "asked"), BOOKS, ids=[row[0] for row in BOOKS])
def test_situation_is_solved_as_the_book_solves_it(example, setting, asked):
    """A situation with a textbook's conditions has the textbook's answers, to half of the printed last digit."""
    found, printed = solve(Situation(setting=setting)).quantities, book(example)
    for name, (text, unit) in asked.items():
        half = 0.5 * 10.0 ** -len(printed[name].partition(".")[2])
        assert float(printed[name]) == pytest.approx(expression(text).number(found) / unit, abs=half), name


def test_superheat_follows_from_gauge_and_line_temperature():
    """118 psig on R-410A is 40 F and 365 psig is 110 F (common practice, no source): lines at 52 F and 100 F
    then show 12 F of superheat and 10 F of subcooling."""
    readings = Setting(
        "R-410A", ValvePosition.COOLING,
        suction_pressure=Given("gauge pressure", 118 * PSI), discharge_pressure=Given("gauge pressure", 365 * PSI),
        suction_line_temperature=units.read("52 F", "temperature"), liquid_line_temperature=units.read("100 F", "temperature"),
    )  # fmt: skip
    solved = solve(Situation(setting=readings))
    assert pytest.approx((12 / 1.8, 10 / 1.8), abs=0.2) == (solved.quantities["superheat"], solved.quantities["subcooling"])
    assert pytest.approx(solved.quantities["superheat"]) == solved.cycle.conditions.superheat


def test_gauge_counts_from_the_air_of_the_situation():
    """The same gauge reading is a lower pressure where the air is thinner; an absolute pressure stays."""
    assert (883.5e3, 800e3) == (absolute(Given("gauge pressure", 800e3), 83.5e3), absolute(Given("pressure", 800e3), 83.5e3))
    mountain = Situation(setting=replace(COOLING, saturated_suction_temperature=None, suction_pressure=Given("gauge pressure", 800e3)), atmosphere=83.5e3)
    assert pytest.approx(883.5e3, rel=1e-9) == solve(mountain).quantities["p1"]


def test_suction_at_a_perfect_vacuum_is_refused():
    """A stated pressure of nothing or less is refused by its name before a cycle is sought."""
    nothing = replace(COOLING, saturated_suction_temperature=None, suction_pressure=Given("gauge pressure", -101325.0))
    with pytest.raises(LimitError, match="suction pressure of .* is a perfect vacuum or below: use a higher one"):
        solve(Situation(setting=nothing))


def test_coils_are_named_by_place():
    """Heat indoors is the condenser's in heating and the evaporator's in cooling; the rest of the cycle is equal."""
    cooling = solve(Situation(setting=COOLING))
    heating = solve(Situation(setting=replace(COOLING, valve_position=ValvePosition.HEATING)))
    for one, other in ((cooling, heating), (heating, cooling)):
        assert (one.quantities["q_indoor"], one.quantities["w"]) == (other.quantities["q_outdoor"], other.quantities["w"])
    assert ("outdoor coil", "indoor coil") == (cooling.words["condenser"], heating.words["condenser"])
    assert (1.0, 0.0) == (cooling.quantities["condenser_outdoors"], heating.quantities["condenser_outdoors"])
    assert ("outdoor coil, liquid side", "indoor coil, liquid side") == (cooling.words["place_3"], heating.words["place_3"])


def test_layout_says_which_device_works():
    """With one metering device indoors, that one works in both modes."""
    for position in (ValvePosition.COOLING, ValvePosition.HEATING):
        setting = replace(COOLING, valve_position=position, metering_layout=MeteringLayout.INDOOR)
        assert "indoor metering device" == solve(Situation(setting=setting)).words["working_device"]


def test_every_name_that_an_expression_may_use_has_a_value():
    """Each listed quantity and word exists in a solved situation, and a second time behind other_."""
    solved = solve(Situation(setting=COOLING, other=replace(COOLING, superheat=5.0)))
    for prefix in ("", "other_"):
        assert {prefix + name for name in QUANTITIES} <= set(solved.quantities)
        assert {prefix + name for name in TEXTS} <= set(solved.words)
    assert set(DERIVED) <= set(QUANTITIES) and set(QUANTITIES.values()) <= set(units.KINDS)


def test_second_cycle_has_its_own_quantities():
    """The cycle to compare with is solved for itself: here with more superheat, so that point 1 lies further right."""
    solved = solve(Situation(setting=COOLING, other=replace(COOLING, superheat=5.0)))
    assert solved.quantities["other_h1"] > solved.quantities["h1"] and solved.quantities["other_h3"] == solved.quantities["h3"]
    assert solved.other.conditions.superheat == 5.0 and solve(Situation(setting=COOLING)).other is None


def test_situation_without_a_cycle_knows_what_was_drawn():
    """Drawn quantities and the air's pressure are all that a bare reading has."""
    solved = solve(Situation(drawn={"reading": Given("gauge pressure", 8e5)}, atmosphere=95e3))
    assert {"reading": 8e5, "atmosphere": 95e3} == solved.quantities
    assert (None, None, {}) == (solved.cycle, solved.other, solved.words)


def test_printed_state_point_carries_what_rests_on_it():
    """A printed h1 counts as printed, and so do work, heat and COP worked out from it."""
    exact = solve(Situation(setting=COOLING)).quantities
    shown = solve(Situation(setting=COOLING), {"h1": Printed(exact["h1"], exact["h1"] + 40.0)}).quantities
    for name, change in (("h1", 40.0), ("q_e", 40.0), ("w", -40.0), ("q_c", 0.0), ("h2", 0.0)):
        assert pytest.approx(exact[name] + change, abs=1e-6) == shown[name], name
    assert pytest.approx((exact["q_e"] + 40.0) / (exact["w"] - 40.0)) == shown["cop_cooling"]


def test_efficiency_divides_the_ideal_work():
    """With an efficiency of 0.7 the work is the ideal one divided by 0.7, whatever compressor moves the refrigerant."""
    ideal, real = (solve(Situation(setting=replace(COOLING, isentropic_efficiency=share))).quantities["w"] for share in (1.0, 0.7))
    assert pytest.approx(ideal / 0.7) == real
