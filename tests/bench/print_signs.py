"""The trade's table of signs with the figures of the model beside each arrow, for both modes and both kinds of metering.

Run by hand: python -m tests.bench.print_signs [REFRIGERANT ...]
Prints the arrow of practice, the arrow of the model and the model's change; ! marks where the two differ.  Nothing here gates anything.
Practice is that of tests/reference/11_fault_signs.csv: common practice, no source.
"""

from __future__ import annotations

import sys

from hpteach.machine.signs import DOWN, SAME, UP
from hpteach.tables import Table
from tests.sign_table import METERING, QUANTITIES, REFRIGERANTS, run_of, signs, table

ARROWS = {UP: "+", DOWN: "-", SAME: "=", "": " "}


def cell(practice: str, sign) -> str:  # noqa: ANN001
    """Practice, model, change; pressures in bar."""
    scale = 1e5 if "pressure" in sign.compared.kind else 1.0
    differs = "!" if practice and practice != sign.way else " "
    return f"{ARROWS[practice]} {ARROWS[sign.way]}{differs}{(sign.faulty - sign.healthy) / scale:+6.1f}"


def main(refrigerants: list[str]) -> None:
    """Print a table for each refrigerant, metering and mode."""
    for refrigerant in refrigerants:
        for metering in METERING:
            for mode in ("cooling", "heating"):
                chosen = [row for row in table() if (row["metering"], row["mode"]) == (metering, mode)]
                lines = []
                for row in chosen:
                    met = signs(refrigerant, metering, mode, row["fault"])
                    stopped = run_of(refrigerant, metering, mode, row["fault"]).stopped_by or ""
                    lines.append((row["fault"], *(cell(row[quantity], met[quantity]) for quantity in QUANTITIES), stopped))
                header = ("fault", "suction, bar", "discharge, bar", "superheat, K", "subcooling, K", "discharge, K", "stopped by")
                print(Table(f"\n{refrigerant}, {metering}, {mode}: practice, model, change", header, lines))


if __name__ == "__main__":
    main(sys.argv[1:] or list(REFRIGERANTS))
