"""Kernel-side step of the cycle explorer beside the ordinary way, in one run.

Run by hand: python -m tests.bench.bench_cycle_explorer
Prints medians over moves of one slider; nothing here gates anything.

ours       move a slider of `CycleExplorer`: solve, both charts, table, reading, two PNGs
peer       the same two charts drawn by the same code on a new pyplot figure at each move,
           written as one PNG (what `interact` with a new figure costs in the kernel)
"""

from __future__ import annotations

import io
import statistics
import time

import matplotlib

matplotlib.use("agg")
import matplotlib.pyplot as plt  # noqa: E402  - the peer is the ordinary way, which is pyplot

from hpteach.circuit import ValvePosition  # noqa: E402
from hpteach.cycle import Conditions, solve  # noqa: E402
from hpteach.diagrams import CHARTS  # noqa: E402
from hpteach.fluids import catalogue, refrigerant  # noqa: E402
from hpteach.panels import CycleExplorer  # noqa: E402

MOVES = 60


def ours(name: str) -> list[float]:
    """Seconds of each move of the saturated condensing slider."""
    base = 18.0 if name == "R-744" else 40.0  # below its critical point
    view = CycleExplorer(refrigerant=name, condensing=f"{base}C")
    slider = view.controls["saturated_condensing_temperature"]
    times = []
    for move in range(MOVES):
        begin = time.perf_counter()
        slider.value = base + 0.5 * (move % 20) + (0.5 if move % 2 else 0.0)
        times.append(time.perf_counter() - begin)
    assert view.refusal is None
    return times


def peer(name: str) -> list[float]:
    """Seconds of each move with a new pyplot figure."""
    fluid = refrigerant(name)
    times = []
    for move in range(MOVES // 6):
        begin = time.perf_counter()
        base = 291.15 if name == "R-744" else 313.15
        conditions = Conditions(ValvePosition.COOLING, "indoor coil", 280.15, base + move, 5.0, 5.0, 0.7)
        cycle = solve(fluid, conditions)
        figure, both = plt.subplots(1, 2, figsize=(11.92, 5.0), dpi=100)
        for axes, kind in zip(both, CHARTS):
            CHARTS[kind](axes, fluid).add_cycle(cycle)
        figure.savefig(io.BytesIO(), format="png")
        plt.close(figure)
        times.append(time.perf_counter() - begin)
    return times


def main() -> None:
    """Print one row for each refrigerant."""
    print(f"{'refrigerant':12} {'ours ms':>8} {'p95 ms':>8} {'new figure ms':>14} {'ratio':>7}")
    for name in catalogue():
        mine, other = ours(name)[5:], peer(name)[1:]
        median, usual = 1e3 * statistics.median(mine), 1e3 * statistics.median(other)
        late = 1e3 * sorted(mine)[int(0.95 * len(mine))]
        print(f"{name:12} {median:8.1f} {late:8.1f} {usual:14.1f} {usual / median:7.1f}")


if __name__ == "__main__":
    main()
