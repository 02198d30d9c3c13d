"""Reads the published values beside it, and says how far one may lie from what is computed.

What lives here: rows of the tables, half a printed digit, and the largest size that each
reason for a disagreement excuses (limits.csv).  What does not: computing anything.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent

KINDS = {
    # kind in limits.csv: the quantities of the tables that it covers
    "enthalpy": ("h", "hf", "hg", "h_fg_kJkg", "h1", "h2", "h2s", "h3"),
    "entropy": ("s", "sf", "sg", "s1", "s2", "s3"),
    "temperature": (
        "T_C", "T_K", "T2", "T2s", "normal boiling point", "normal boiling point (bubble)", "normal boiling point (dew)",
        "sublimation point at 101.325 kPa", "triple point temperature", "critical temperature",
    ),
    "pressure": ("p_kPa", "p_sat_kPa", "p1", "p2", "pressure ratio", "p_cond", "triple point pressure", "critical pressure"),
    "volume": ("v",),
    "energy": ("refrigerating effect", "capacity", "Q_L", "Q_H", "W_in", "W_c", "power", "mass flow", "suction volume flow"),
    "COP": ("COP", "COP_R"),
    "efficiency": ("eta_isentropic",),
    "molar mass": ("molar mass",),
}  # fmt: skip
KIND_OF = {quantity: kind for kind, quantities in KINDS.items() for quantity in quantities}


def rows(file: str) -> list[dict[str, str]]:
    """The rows of a table, by column."""
    with (FOLDER / file).open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def half_digit(printed: str) -> float:
    """Half of the last printed digit, and a hair for floating point.

    >>> round(half_digit("40.25"), 6)
    0.005
    """
    return 0.5 * 10.0 ** -len(printed.partition(".")[2]) * (1.0 + 1e-9)


@cache
def limits() -> dict[tuple[str, str], dict[str, str]]:
    """The rows of limits.csv by reason and kind."""
    return {(row["reason"], row["kind"]): row for row in rows("limits.csv")}


def limit_for(reason: str, quantity: str, computed: float) -> float:
    """The largest size that a reason excuses in a quantity, in the quantity's own unit."""
    limit = limits()[reason, KIND_OF[quantity]]
    return float(limit["largest"]) * (abs(computed) / 100.0 if limit["unit"] == "%" else 1.0)


def beyond_rounding(printed: str, computed: float) -> float:
    """By how much a printed number lies off, after the half digit that its rounding explains.

    >>> round(beyond_rounding("40.2", 40.0), 6)
    0.15
    """
    return abs(float(printed) - computed) - half_digit(printed)


def readme() -> str:
    """The page that explains the tables."""
    return (FOLDER / "README.md").read_text(encoding="utf-8")
