"""The signs of the faults, beside the service trade's table of signs (hpteach/machine/signs.py, tests/reference/11_fault_signs.csv).

Every arrow of the table is common practice, no source.  Where the machine says otherwise, a row of 11_fault_sign_disagreements.csv
says so with its reason, and exactly these disagree.
"""

from __future__ import annotations

import re

import pytest

from hpteach.machine.faults import BOTH, KINDS, Fault, shows
from hpteach.machine.metering import ORIFICE
from hpteach.machine.signs import COMPARED, DOWN, SAME, UP, Sign, signs_of
from tests.reference import FOLDER, rows
from tests.sign_table import METERING, QUANTITIES, REFRIGERANTS, run_of, said, signs, table

WAYS = {UP, SAME, DOWN}
POSITION = {"valve_stuck_heating", "valve_stuck_cooling", "wrong_wiring"}
"""Faults that the trade knows by which line is hot, and not by arrows of pressure."""


def written() -> dict[tuple[str, str, str, str, str], str]:
    """What the machine says for each refrigerant where it disagrees with practice."""
    return {
        (row["fault"], row["mode"], row["metering"], row["quantity"], name): row["model"]
        for row in rows("11_fault_sign_disagreements.csv")
        for name in row["refrigerants"].split()
    }


@pytest.mark.parametrize("name", REFRIGERANTS)
@pytest.mark.parametrize("metering", METERING)
@pytest.mark.parametrize("mode", ["cooling", "heating"])
def test_exactly_the_written_arrows_disagree(name: str, metering: str, mode: str) -> None:
    """Each arrow that practice states holds at the usual size of the fault, but for those whose disagreement is written down, and these disagree as written."""
    computed = {
        (id, in_mode, kind, quantity, name): signs(name, kind, in_mode, id)[quantity].way
        for id, in_mode, kind, quantity in said()
        if (in_mode, kind) == (mode, metering)
    }
    off = {key: way for key, way in computed.items() if way != said()[key[:4]]}
    assert {key: way for key, way in written().items() if key[1:3] == (mode, metering) and key[4] == name} == off


def test_table_has_every_fault_where_it_shows() -> None:
    """A row for each fault in each mode in which it shows and each kind of metering in which it has a meaning, but for the valve's position."""
    expected = {
        (kind.id, mode.value, metering)
        for kind in KINDS.values()
        for mode in BOTH
        for metering in METERING
        if kind.id not in POSITION and shows(Fault(kind, kind.size), mode, mode) and not (metering == ORIFICE and "metering_stuck" in kind.id)
    }
    found = [(row["fault"], row["mode"], row["metering"]) for row in table()]
    assert (sorted(expected), len(set(found))) == (sorted(found), len(found))


def test_table_is_marked_as_practice() -> None:
    """Every row says that it has no source, and every arrow is up, down, same or not stated; each row states at least two."""
    assert {"common practice, no source"} == {row["how"] for row in table()}
    assert set(said().values()) == WAYS
    assert all(sum(bool(row[quantity]) for quantity in QUANTITIES) >= 2 for row in table())


@pytest.mark.parametrize("row", rows("11_fault_sign_disagreements.csv"), ids=lambda row: "-".join((row["fault"], row["mode"], row["metering"], row["quantity"], row["model"])))
def test_disagreement_is_of_the_table_and_has_a_reason(row: dict[str, str]) -> None:
    """It quotes practice as the table has it, says another way, names refrigerants of the list, and gives a reason in words."""
    assert row["practice"] == said()[row["fault"], row["mode"], row["metering"], row["quantity"]]
    assert row["model"] in WAYS - {row["practice"]}
    assert set(row["refrigerants"].split()) <= set(REFRIGERANTS) and row["refrigerants"]
    assert len(row["reason"].split()) >= 12 and row["reason"].endswith(".")


def test_readme_counts_the_arrows() -> None:
    """The page of the reference values says how many arrows hold, in how many rows the others stand."""
    page = (FOLDER / "README.md").read_text(encoding="utf-8")
    arrows, off = len(said()) * len(REFRIGERANTS), len(written())
    rows_off = len(rows("11_fault_sign_disagreements.csv"))
    counts = re.search(r"(\d+) of (\d+) arrows of file 11 hold.*?The other (\d+) stand in (\d+) rows", page, re.S)
    assert (arrows - off, arrows, off, rows_off) == tuple(map(int, counts.groups()))


# What a technician tells faults apart by: two faults, mode, the quantities in which their arrows differ (common practice, no source).
APART = [
    ("undercharge", "liquid_line_restricted", "subcooling"), ("undercharge", "{boils}_metering_restricted", "subcooling"),
    ("overcharge", "{condenses}_coil_dirty", "subcooling"), ("{boils}_metering_stuck_open", "compressor_worn", "superheat"),
    ("undercharge", "{boils}_coil_dirty", "superheat"), ("spool_leak", "compressor_worn", "superheat"),
]  # fmt: skip


@pytest.mark.parametrize("name", REFRIGERANTS)
@pytest.mark.parametrize(("boils", "condenses", "mode"), [("indoor", "outdoor", "cooling"), ("outdoor", "indoor", "heating")])
@pytest.mark.parametrize(("first", "second", "quantity"), APART, ids=[f"{row[0]}-{row[1]}" for row in APART])
def test_look_alikes_differ_in_one_sign(first: str, second: str, quantity: str, boils: str, condenses: str, mode: str, name: str) -> None:
    """With a thermostatic valve the trade's own way of telling two faults apart works on the machine."""
    ways = [signs(name, "thermostatic valve", mode, id.format(boils=boils, condenses=condenses))[quantity].way for id in (first, second)]
    if (first, quantity) == ("overcharge", "subcooling"):
        sizes = [signs(name, "thermostatic valve", mode, id.format(boils=boils, condenses=condenses))[quantity] for id in (first, second)]
        assert sizes[0].faulty - sizes[0].healthy > 4.0 * (sizes[1].faulty - sizes[1].healthy)
    else:
        assert ways[0] != ways[1]


@pytest.mark.parametrize("id", COMPARED)
def test_small_difference_does_not_count(id: str) -> None:
    """Just below what counts nothing has changed, just above it something has, both ways."""
    compared = COMPARED[id]
    counts = max(compared.least, 300.0 * compared.share)
    for off, way in ((0.99, SAME), (1.01, UP), (-0.99, SAME), (-1.01, DOWN)):
        assert way == Sign(compared, 300.0, 300.0 + off * counts).way


def test_machine_beside_itself_has_no_signs() -> None:
    """Nothing has changed; both figures stand there."""
    found = run_of("R-32", METERING[0], "cooling", "spool_leak").operation
    assert {SAME} == {sign.way for sign in signs_of(found, found).values()}
    assert found.superheat == signs_of(found, found)["superheat"].healthy


def test_coil_splits_are_air_against_saturation() -> None:
    """The evaporating split is air less saturated suction, the condensing one saturated condensing less air, each at the coil that does it."""
    for mode, cold, warm in (("cooling", "indoor", "outdoor"), ("heating", "outdoor", "indoor")):
        found = run_of("R-32", METERING[0], mode, "foreign_gas").operation
        met = signs_of(found, found)
        assert getattr(found, cold).dry_bulb - found.saturated_suction_temperature == pytest.approx(met["evaporating_split"].healthy)
        assert found.saturated_condensing_temperature - getattr(found, warm).dry_bulb == pytest.approx(met["condensing_split"].healthy)
