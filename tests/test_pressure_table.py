"""The pressures of several refrigerants on one sheet (hpteach/papers/pressure_table.py)."""

from __future__ import annotations

import re

import pytest

from hpteach import units
from hpteach.cards import card_rows, gauge_reading
from hpteach.errors import UnknownNameError
from hpteach.fluids import catalogue, refrigerant
from hpteach.papers.pressure_table import pressure_tables
from hpteach.readouts import GENERAL_CAUTION

PURE = [name for name, one in catalogue().items() if len(one.composition) == 1]
BLENDS = [name for name, one in catalogue().items() if len(one.composition) > 1]


def rows_of(sheet: str) -> dict[int, list[str]]:
    """The cells of a sheet by temperature."""
    found = {}
    for row in re.findall(r"<tr[^>]*>(.*?)</tr>", sheet, re.DOTALL):
        if match := re.match(r'<th scope="row">(.*?)</th>', row):
            found[int(match[1].replace("−", "-"))] = re.findall(r"<td[^>]*>(.*?)</td>", row)
    return found


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("name", catalogue())
def test_figures_are_those_of_the_card(name: str, system: str) -> None:
    """Each temperature has the gauge's reading and the absolute pressure of the card; a blend has them for bubble and dew."""
    fluid = refrigerant(name)
    (sheet,) = pressure_tables([name], system)
    expected = {}
    for row in card_rows(fluid, system):
        cells = []
        for pressure in (row.bubble, row.dew)[0 if name in BLENDS else 1 :]:
            gauge = re.sub(r"(.*) inHg vac", r"(\1)", gauge_reading(pressure, system)).replace("-", "−")
            cells += [gauge, units.show(pressure, "pressure", system).split()[0]]
        expected[row.printed] = cells
    assert expected == rows_of(sheet)


@pytest.mark.parametrize(
    ("names", "sheets"),
    [(PURE[:4], 1), (BLENDS[:4], 1), ([*PURE[:4], *BLENDS[:2]], 1), (BLENDS[:5], 2), (list(catalogue()), 3), ([], 0)],
    ids=["pure", "four blends", "six", "five blends", "all", "none"],
)
def test_as_few_sheets_as_hold_them(names: list[str], sheets: int) -> None:
    """Up to eight pairs of columns stand on a sheet, and every refrigerant is on one of them, once."""
    found = pressure_tables(names)
    assert sheets == len(found)
    headed = [name for sheet in found for name in re.findall(r'colspan="\d" class="gauge">(R-\w+)', sheet)]
    assert sorted(names) == headed


def test_order_and_repetition_do_not_matter() -> None:
    """The same refrigerants make the same sheets."""
    assert pressure_tables(["R-32", "R-290"]) == pressure_tables(["R-290", "R-32", "R-290"])


def test_temperature_beyond_a_critical_point_is_left_empty() -> None:
    """Where one refrigerant has no row and another has, a dash stands."""
    (sheet,) = pressure_tables(["R-744", "R-32"])
    rows = rows_of(sheet)
    assert (["–", "–"], 64) == (rows[64][2:], max(rows))
    assert "–" not in rows[0]


def test_each_caution_stands_once() -> None:
    """Every caution of a refrigerant on the sheet is there once, with all whom it concerns, and so is the general one."""
    (sheet,) = pressure_tables(["R-32", "R-290", "R-1234yf", "R-744"])
    cautions = {catalogue()[name].caution or catalogue()[name].pressure_caution for name in ("R-32", "R-290", "R-744")}
    assert [1] * 4 == [sheet.count(text.replace("'", "&#39;")) for text in (*cautions, GENERAL_CAUTION)]
    assert "<b>R-1234yf, R-32:</b>" in sheet


def test_vacuum_is_explained_where_there_is_one() -> None:
    """Inches of mercury stand in brackets, and the sheet says so, but only where they occur."""
    said = "inches of mercury"
    assert [True, False, False] == [said in pressure_tables([name], system)[0] for name, system in (("R-134a", "IP"), ("R-410A", "IP"), ("R-134a", "SI"))]


@pytest.mark.parametrize(("name", "system"), [("R-1", "SI"), ("R-32", "si")])
def test_unknown_name_is_refused(name: str, system: str) -> None:
    """A refrigerant or a system that is not known is refused."""
    with pytest.raises(UnknownNameError, match="is not known"):
        pressure_tables([name], system)
