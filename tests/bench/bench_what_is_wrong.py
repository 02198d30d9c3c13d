"""Kernel-side moves of the panel what is wrong, in one run.

Run by hand: python -m tests.bench.bench_what_is_wrong
Prints median and 95th percentile in ms; nothing here gates anything.

size        move the size of a fault: machine with the fault, both charts, circuit, tables, reading
weather     move the outdoor temperature: the same, and the healthy machine
alike       move the size with the look-alikes shown
start       open the panel, once; `first alike` works out every fault's readings, once in a weather
"""

from __future__ import annotations

import statistics
import time

from hpteach.panels import WhatIsWrong
from hpteach.panels.what_is_wrong_words import ORIFICE, VALVE
from tests.bench.moves import timed

MOVES, WARM = 30, 4
FAULTS = ("undercharge", "outdoor_coil_dirty", "indoor_metering_restricted", "foreign_gas", "compressor_worn", "spool_leak", "outdoor_fan_failed")


def row(name: str, times: list[float]) -> None:
    """Print one kind of move."""
    print(f"{name:60} {statistics.median(times):10.1f} {sorted(times)[int(0.95 * len(times))]:8.1f}", flush=True)


def main() -> None:
    """Print one row for each kind of move."""
    print(f"{'move':60} {'median ms':>10} {'p95 ms':>8}")
    begin = time.perf_counter()
    view = WhatIsWrong()
    row("start", [1e3 * (time.perf_counter() - begin)])
    for metering in (VALVE, ORIFICE):
        for id in FAULTS:
            view.set({"metering": metering, "fault": id})
            size = view.controls["size"]
            least, most, step = view.span("size")
            # A new value at each move, as a run is remembered.
            row(f"size, {metering}, {id}", timed(lambda move, size=size, least=least, most=most: setattr(size, "value", least + (most - least) * ((0.381966 * move) % 1.0)), MOVES, WARM))
    view.set({"metering": VALVE, "fault": "undercharge"})
    row("weather", timed(lambda move: setattr(view.controls["outdoor_temperature"], "value", 25.0 + 0.5 * move), MOVES, WARM))
    begin = time.perf_counter()
    view.controls["alike"].value = "shown"
    row("first alike", [1e3 * (time.perf_counter() - begin)])
    row("alike", timed(lambda move: setattr(view.controls["size"], "value", 10.0 + 1.5 * move), MOVES, WARM))


if __name__ == "__main__":
    main()
