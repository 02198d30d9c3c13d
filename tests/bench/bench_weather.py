"""Kernel-side moves of the weather panel, in one run.

Run by hand: python -m tests.bench.bench_weather
Prints median and 95th percentile in ms; nothing here gates anything.

outdoors    move the outdoor slider of `Weather`: balance, both pictures, table, reading
T over s    the same on the temperature-entropy chart
load        move the design load: the same, and the balance point searched with the machine
choice      move the indoor temperature: the same, and the whole curve balanced anew
start       open the panel, once
balance     what `operate` alone costs at the same outdoor temperatures
"""

from __future__ import annotations

import statistics
import time

from hpteach.circuit import ValvePosition
from hpteach.fluids import moist_air
from hpteach.machine import DEMO_MACHINES, demo_machine, operate
from hpteach.panels import Weather
from tests.bench.moves import timed



def outdoors(move: int) -> float:
    """Outdoor temperatures in C, up and down."""
    return -15.0 + 0.5 * (move % 40) + (0.5 if move % 2 else 0.0)


def rows(name: str, position: str) -> dict[str, list[float]]:
    """Times of each kind of move."""
    base = 0.0 if position == "heating" else 35.0
    begin = time.perf_counter()
    view = Weather(machine=name, valve_position=position)
    found = {"start": [1e3 * (time.perf_counter() - begin)]}

    def move_to(control: str, value: float) -> None:
        view.controls[control].value = value

    found["outdoors"] = timed(lambda move: move_to("outdoor_temperature", base + outdoors(move)))
    view.controls["chart"].value = "temperature-entropy"
    found["T over s"] = timed(lambda move: move_to("outdoor_temperature", base + outdoors(move)))
    view.controls["chart"].value = "pressure-enthalpy"
    found["load"] = timed(lambda move: move_to("design_load", 5.0 + 0.5 * (move % 12)))
    found["choice"] = timed(lambda move: move_to("indoor_temperature", 18.0 + 0.25 * move), 24)
    assert view.refusal is None
    machine, indoor = demo_machine(name), moist_air(293.15 if position == "heating" else 300.15, relative_humidity=0.5)

    def alone(move: int) -> None:
        operate(machine, ValvePosition(position), moist_air(273.15 + base + outdoors(move), relative_humidity=0.6), indoor)

    found["balance"] = timed(alone)
    return found


def main() -> None:
    """Print one row for each machine, position and kind of move."""
    print(f"{'machine':20} {'position':9} {'move':9} {'median ms':>10} {'p95 ms':>8}")
    for name in DEMO_MACHINES:
        for position in ("heating", "cooling"):
            for move, times in rows(name, position).items():
                print(f"{name:20} {position:9} {move:9} {statistics.median(times):10.1f} {sorted(times)[int(0.95 * len(times))]:8.1f}")


if __name__ == "__main__":
    main()
