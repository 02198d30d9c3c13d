"""A pressure-temperature card: one printed page for the wall of a workshop.

What lives here: which rows stand on a card, how a gauge says them, and the page, whose layout
is in card.html.  What does not: computing (fluids), the words of the cautions (readouts).

A card is one HTML file that fetches nothing and runs nothing, so it opens and prints anywhere.
It bears no date: the same refrigerant, units and air always give the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, partial
from importlib import resources
from pathlib import Path
from typing import Any, NamedTuple

from jinja2 import Environment, StrictUndefined, Template

from hpteach import units
from hpteach.errors import InputError
from hpteach.fluids import Refrigerant
from hpteach.readouts import GENERAL_CAUTION

STEPS = {"SI": range(-40, 65, 2), "IP": range(-40, 151, 5)}
"""The temperatures of the rows in each system, in °C and °F."""

_BOLD = {"SI": 10, "IP": 20}
_FINE = {"SI": 3, "IP": 2}  # decimals that tell one air pressure from another
_PANELS = {"SI": 2, "IP": 1}  # where both systems stand on the page; a system alone has two

ENDING = ".html"


class Row(NamedTuple):
    """A row of a card: the temperature as it is printed, and bubble and dew pressure (Pa absolute)."""

    printed: int
    bubble: float
    dew: float


def card_rows(refrigerant: Refrigerant, system: str = "SI") -> tuple[Row, ...]:
    """The rows from -40 to 64 °C, or from -40 to 150 °F, that lie between the fluid's first temperature and its critical point.

    >>> from hpteach.fluids import refrigerant
    >>> first, *_, last = card_rows(refrigerant("R-134a"))
    >>> first.printed, round(first.dew), last.printed
    (-40, 51209, 64)
    """
    units.unit_shown("temperature", system)  # refuses a system that is not known
    printed = {at: units.base_number(at, "temperature", system) for at in STEPS[system]}
    lowest, highest = refrigerant.lowest_temperature, refrigerant.highest_saturation_temperature
    return tuple(
        Row(at, refrigerant.bubble_pressure(temperature), refrigerant.dew_pressure(temperature))
        for at, temperature in printed.items()
        if lowest <= temperature <= highest
    )


def gauge_reading(pressure: float, system: str = "SI", *, atmosphere: float = units.STANDARD_ATMOSPHERE) -> str:
    """What a gauge shows at p (Pa absolute): bar, or psi and below the air pressure inches of mercury of vacuum.

    `atmosphere` is the air pressure (Pa).  Vacuum is counted down from it, as service gauges do
    (common practice, no source).

    >>> gauge_reading(914906.4, "IP"), gauge_reading(83700.0, "IP"), gauge_reading(51209.0)
    ('118.0', '5.2 inHg vac', '-0.50')
    """
    vacuum = f"{(atmosphere - pressure) / units.read('1inHg', 'pressure'):.1f}"
    if system == "IP" and float(vacuum) > 0.0:
        return f"{vacuum} inHg vac"
    return _bare(pressure, "gauge pressure", system, atmosphere)


def card(refrigerant: Refrigerant, systems: Sequence[str] = units.SYSTEMS, *, atmosphere: float = units.STANDARD_ATMOSPHERE) -> str:
    """The page as HTML, with a table in each of the `systems` ("SI", "IP"); gauges count from `atmosphere` (Pa).

    It prints on one page of A4 or Letter, upright.  Raises `UnknownNameError` for another system.

    >>> from hpteach.fluids import refrigerant
    >>> "bubble: for subcooling" in card(refrigerant("R-410A")), "bubble" in card(refrigerant("R-32"))
    (True, False)
    """
    tables = [_table(refrigerant, system, atmosphere, 2 if len(systems) == 1 else _PANELS[system]) for system in systems]
    return _page().render(
        listing=refrigerant.listing,
        sides=("bubble: for subcooling", "dew: for superheat") if _is_blend(refrigerant) else ("",),
        tables=tables,
        facts=_facts(refrigerant, systems, atmosphere),
        remarks=_remarks(refrigerant, systems, atmosphere),
        caution=GENERAL_CAUTION,
    )


def save_card(
    refrigerant: Refrigerant, path: Path, systems: Sequence[str] = units.SYSTEMS, *, atmosphere: float = units.STANDARD_ATMOSPHERE
) -> Path:
    """Write a card to a file whose name ends in .html, and return the path.

    As `card`.  Raises `InputError` for another ending or a place that cannot be written, and what `card` raises.

    >>> import tempfile
    >>> from hpteach.fluids import refrigerant
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_card(refrigerant("R-32"), Path(folder) / "r-32.html").name
    'r-32.html'
    """
    path = Path(path)
    if path.suffix.lower() != ENDING:
        raise InputError(f"file {path.name!r} does not end in {ENDING}: name it so, and print it from a browser")
    page = card(refrigerant, systems, atmosphere=atmosphere)
    try:
        path.write_text(page, encoding="utf-8", newline="\n")
    except OSError as error:
        raise InputError.unwritable(path, error) from None
    return path


# Inside -------------------------------------------------------------------------------


@cache
def _page() -> Template:
    text = resources.files(__package__).joinpath("card.html").read_text(encoding="utf-8")
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True)
    return environment.from_string(text)


def _table(refrigerant: Refrigerant, system: str, atmosphere: float, panels: int) -> dict[str, Any]:
    """A table as the page lays it out: its headings, and its rows parted into panels that stand side by side."""

    def cells(pressure: float) -> list[str]:
        reading = gauge_reading(pressure, system, atmosphere=atmosphere)
        return [_minus(reading), _bare(pressure, "pressure", system)] if system == "SI" else [reading]

    rows = [
        {
            "at": _minus(str(row.printed)),
            "bold": row.printed % _BOLD[system] == 0,
            "sides": [cells(pressure) for pressure in ((row.bubble, row.dew) if _is_blend(refrigerant) else (row.dew,))],
        }
        for row in card_rows(refrigerant, system)
    ]
    each = -(-len(rows) // panels) or 1
    return {
        "system": system,
        "temperature": units.unit_shown("temperature", system).label,
        "pressures": ["bar g", "bar abs"] if system == "SI" else ["psig"],
        "panels": [rows[start : start + each] for start in range(0, len(rows), each)],
    }


def _facts(refrigerant: Refrigerant, systems: Sequence[str], atmosphere: float) -> list[tuple[str, list[str]]]:
    """What stands in a line under the title: a heading, and below it one entry or more."""
    listing, shown = refrigerant.listing, partial(_shown, systems)
    facts = [
        ("Blend, by mass", [f"{100 * share:g} % {part}" for part, share in listing.composition.items()] if _is_blend(refrigerant) else []),
        ("Boils at 1 atm (101.325 kPa)", _boiling(refrigerant, systems)),
        ("Critical point", [shown(refrigerant.critical_temperature, "temperature"), shown(refrigerant.critical_pressure, "pressure")]),
        ("GWP, 100 years", [f"{value:g} ({report})" for report, value in listing.gwp.items()]),
        ("Air pressure for gauges", [units.show(atmosphere, "pressure", system, decimals=_FINE[system]) for system in systems]),
    ]
    return [fact for fact in facts if fact[1]]


def _boiling(refrigerant: Refrigerant, systems: Sequence[str]) -> list[str]:
    """Where liquid boils in the open; nothing for a refrigerant that is solid or gas there, as carbon dioxide is."""
    if refrigerant.lowest_saturation_pressure > units.STANDARD_ATMOSPHERE:
        return []
    bubble, dew = (
        _shown(systems, temperature(units.STANDARD_ATMOSPHERE), "temperature")
        for temperature in (refrigerant.bubble_temperature, refrigerant.dew_temperature)
    )
    return [f"bubble {bubble}", f"dew {dew}"] if _is_blend(refrigerant) else [dew]


def _remarks(refrigerant: Refrigerant, systems: Sequence[str], atmosphere: float) -> list[str]:
    remarks = ["Gauge figures hold at the air pressure stated above. Where the air is thinner, a gauge reads higher at the same temperature."]
    if any(gauge_reading(row.dew, system, atmosphere=atmosphere).endswith("vac") for system in systems for row in card_rows(refrigerant, system)):
        remarks.append("Inches of mercury (inHg vac) count down from the air pressure.")
    steps = [units.base_number(STEPS[system][end], "temperature", system) for system in systems for end in (0, -1)]
    coldest, warmest = refrigerant.lowest_temperature, refrigerant.highest_saturation_temperature
    if min(steps) < coldest:
        remarks.append(f"Rows colder than {_shown(systems, coldest, 'temperature', 2)} are left out: the properties begin there.")
    if max(steps) > warmest:
        remarks.append(f"Rows warmer than {_shown(systems, warmest, 'temperature', 2)} are left out: too near the critical point, or beyond it.")
    return remarks


def _is_blend(refrigerant: Refrigerant) -> bool:
    return len(refrigerant.listing.composition) > 1


def _shown(systems: Sequence[str], value: float, kind: str, decimals: int | None = None) -> str:
    return " / ".join(_minus(units.show(value, kind, system, decimals=decimals)) for system in systems)


def _minus(number: str) -> str:
    """With a minus sign that can be seen from afar, in a hyphen's place."""
    return number.replace("-", "\N{MINUS SIGN}")


def _bare(value: float, kind: str, system: str, atmosphere: float = units.STANDARD_ATMOSPHERE) -> str:
    return units.show(value, kind, system, atmosphere=atmosphere).removesuffix(units.unit_shown(kind, system).label).rstrip()
