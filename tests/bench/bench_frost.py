"""Kernel-side moves of the frost panel beside working all of it out anew, in one run.

Run by hand: python -m tests.bench.bench_frost
Prints median and 95th percentile in ms; nothing here gates anything.

moment     move along run and defrost: the marker, the gap, tables and reading, two pictures
interval   move the interval of the clock: a new cycle from the growth that is kept, and all that is drawn
weather    move the outdoor temperature: frost grows anew (up to seven balances of the machine), then all of it
anew       what it costs to work out growth and defrost and to draw both pictures on new figures, as PNGs
"""

from __future__ import annotations

import io
import statistics
from collections.abc import Callable

from hpteach.diagrams import SCREEN
from hpteach.fluids import moist_air
from hpteach.machine import DEMO_MACHINES, demo_machine
from hpteach.machine.defrost import TimeTemperature
from hpteach.machine.frost import Growth
from hpteach.panels import Frost
from hpteach.panels.frost_moment import moment_at
from hpteach.panels.frost_pictures import FrostChart, GapDrawing
from tests.bench.moves import timed



def ours(machine: str) -> dict[str, list[float]]:
    """Milliseconds of each kind of move of the panel."""
    view = Frost(machine=machine)

    def slide(name: str, first: float, step: float, many: int) -> Callable[[int], None]:
        def move(number: int) -> None:
            view.controls[name].value = first + step * (number % many)

        return move

    moves = {"moment": slide("moment", 10.0, 1.0, 90), "interval": slide("interval", 20.0, 5.0, 21), "weather": slide("outdoor_temperature", -12.0, 0.5, 30)}
    times = {name: timed(move) for name, move in moves.items()}
    assert view.refusal is None
    return times


def anew(machine: str) -> list[float]:
    """Milliseconds of each move with nothing kept."""
    indoor = moist_air(293.15, relative_humidity=0.5)

    def redraw(move: int) -> None:
        growth = Growth(demo_machine(machine), moist_air(261.15 + 0.5 * (move % 30), relative_humidity=0.85), indoor)
        cycle, chart, gap = growth.cycle(TimeTemperature()), FrostChart(), GapDrawing()
        moment = moment_at(growth, cycle, 60.0)
        chart.show(growth, cycle, moment, 60.0, 5e3, "SI", SCREEN)
        gap.show(moment, growth.machine.frost.gap, "SI", SCREEN)
        for picture in (chart.picture, gap.picture):
            picture.figure.savefig(io.BytesIO(), format="png")

    return timed(redraw, 20)


def main() -> None:
    """Print one row for each machine and kind of move."""
    print(f"{'machine':20} {'move':9} {'median ms':>10} {'p95 ms':>8} {'anew / median':>14}")
    for machine in DEMO_MACHINES:
        usual = anew(machine)
        plain = statistics.median(usual)
        for name, times in {**ours(machine), "anew": usual}.items():
            median = statistics.median(times)
            print(f"{machine:20} {name:9} {median:10.1f} {sorted(times)[int(0.95 * len(times))]:8.1f} {plain / median:14.1f}")


if __name__ == "__main__":
    main()
