"""The pressures of all refrigerants of a form side by side, on as few sheets as hold them.

What lives here: `pressure_tables`, whose layout is in templates/pressure_table.html.  What does not: the card of one refrigerant for the wall,
and the rows, which are the same here (cards).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from markupsafe import Markup

from hpteach import units
from hpteach.cards import STEPS, card_rows, gauge_reading
from hpteach.fluids import Listing, refrigerant
from hpteach.papers.class_page import template
from hpteach.readouts import GENERAL_CAUTION

_BOLD = {"SI": 10, "IP": 20}
_PLACES_ON_A_SHEET = 8
"""Pairs of columns, gauge and absolute, beside the temperatures: a blend has two such pairs, for bubble and dew."""

_VACUUM = " inHg vac"
_NO_ROW = "\N{EN DASH}"


class _Side(NamedTuple):
    """A pair of columns: what stands over it ("" for a pure refrigerant), and by temperature what the gauge shows and the absolute pressure."""

    heading: str
    cells: Mapping[int, tuple[str, str]]


def pressure_tables(names: Iterable[str], system: str = "SI") -> tuple[Markup, ...]:
    """A sheet, or more, with the saturation pressures of some refrigerants in "SI" or "IP"; each is an element for a page of its own.

    Raises `UnknownNameError` for a refrigerant or a system that is not known.

    >>> [sheet.count("<table") for sheet in pressure_tables(["R-32", "R-410A", "R-290"])]
    [1]
    >>> pressure_tables([])
    ()
    """
    sheets: list[list[str]] = []
    room = 0
    for name in sorted(set(names)):
        wide = len(_sides(name, system))
        if wide > room:
            sheets.append([])
            room = _PLACES_ON_A_SHEET
        sheets[-1].append(name)
        room -= wide
    return tuple(_sheet(tuple(sheet), system) for sheet in sheets)


@cache
def _sheet(names: tuple[str, ...], system: str) -> Markup:
    fluids = [(refrigerant(name).listing, _sides(name, system)) for name in names]
    sides = [side for _, several in fluids for side in several]
    rows = [(_minus(str(at)), at % _BOLD[system] == 0, [cell for side in sides for cell in side.cells.get(at, (_NO_ROW, _NO_ROW))]) for at in STEPS[system]]
    atmosphere = units.show(units.STANDARD_ATMOSPHERE, "pressure", system, decimals={"SI": 3, "IP": 2}[system])
    page = template("pressure_table.html").render(
        system=system,
        fluids=[(listing, 2 * len(several), len(several) > 1) for listing, several in fluids],
        sides=sides,
        blends=len(sides) > len(fluids),
        rows=[row for row in rows if set(row[2]) != {_NO_ROW}],
        temperature=units.unit_shown("temperature", system).label,
        pressures=("bar g", "bar abs") if system == "SI" else ("psig", "psia"),
        atmosphere=atmosphere,
        vacuum=any(cell.startswith("(") for _, _, cells in rows for cell in cells),
        cautions=_cautions([listing for listing, _ in fluids]),
        caution=GENERAL_CAUTION,
    )
    return Markup(page)


@cache
def _sides(name: str, system: str) -> tuple[_Side, ...]:
    fluid = refrigerant(name)
    rows = card_rows(fluid, system)
    dew = {row.printed: _cells(row.dew, system) for row in rows}
    if len(fluid.listing.composition) == 1:
        return (_Side("", dew),)
    return (_Side("bubble", {row.printed: _cells(row.bubble, system) for row in rows}), _Side("dew", dew))


def _cells(pressure: float, system: str) -> tuple[str, str]:
    """What the gauge shows, a vacuum in brackets, and the absolute pressure."""
    gauge = gauge_reading(pressure, system)
    absolute = units.show(pressure, "pressure", system).removesuffix(units.unit_shown("pressure", system).label).rstrip()
    return (f"({gauge.removesuffix(_VACUUM)})" if gauge.endswith(_VACUUM) else _minus(gauge)), absolute


def _cautions(listings: Sequence[Listing]) -> list[tuple[str, str]]:
    """Each caution once, with the refrigerants that it is for."""
    found: dict[str, list[str]] = {}
    for listing in listings:
        for caution in (listing.caution, listing.pressure_caution):
            if caution:
                found.setdefault(caution, []).append(listing.name)
    return [(", ".join(names), caution) for caution, names in found.items()]


def _minus(number: str) -> str:
    return number.replace("-", "\N{MINUS SIGN}")
