"""The balance over 5,000 random weathers, and the rating points of the demo machines.

Run by hand from the top of the project: nice python -m tests.bench.bench_balance [--points N] [--ratings]
Prints tables; nothing here gates anything.

points    seeded weather, -25 to 50 °C outdoors, 10 to 32 °C indoors, 20 to 95 % relative humidity, both positions of the
          valve, shared out among the refrigerants of the catalogue, each in the bench unit sized for it
settled   energy closes to a millionth of the power; refused: a LimitError, by its reason; failed: anything else, must be 0
times     milliseconds of this process, so that other work on the machine does not count
peer      one `cycle.solve` of the same refrigerant at the saturated temperatures of the same weather, in the same run
"""

from __future__ import annotations

import argparse
import collections
import statistics
import time

from hpteach.circuit import ValvePosition
from hpteach.cycle import Conditions, solve
from hpteach.errors import HpteachError, InputError, LimitError
from hpteach.fluids import catalogue, listing, refrigerant
from hpteach.machine import operate
from tests.settling import COOLING, machine_for, weather
from tests.test_rating_points import MACHINES, at

CLOSED = 1e-6
AIMS = {"pure": 8.0, "pseudo-pure": 8.0, "blend": 25.0}


def reason(refusal: LimitError) -> str:
    """The last part of a refusal, without what names the refrigerant."""
    words = refusal.template.split("beyond about {last_cold} and {last_warm}, ")[-1]
    for known, short in (("equation of state", "discharge beyond the equation of state"), ("cannot be saturated", "condensing near the critical point")):
        if known in words:
            return short
    return words[:70]


def solved(name: str, found) -> float:  # noqa: ANN001
    """Milliseconds of one cycle at the saturated temperatures of an operation."""
    conditions = Conditions(
        found.valve_position, "outdoor coil" if found.valve_position is ValvePosition.HEATING else "indoor coil",
        found.saturated_suction_temperature + 1e-3, found.saturated_condensing_temperature + 1e-3, 5.0, 5.0, 0.7,
    )  # fmt: skip
    begin = time.process_time()
    try:
        solve(refrigerant(name), conditions)
    except HpteachError:
        return float("nan")
    return 1e3 * (time.process_time() - begin)


def run(name: str, points: int) -> tuple[collections.Counter, collections.Counter, float, list[float], list[float]]:
    """What came of each weather, the reasons of refusals, the largest energy residual, milliseconds of the balance and of its peer."""
    machine = machine_for(name)
    came, reasons, worst, times, peers = collections.Counter(), collections.Counter(), 0.0, [], []
    for position, outdoor, indoor in weather(f"bench {name}", points):
        begin = time.process_time()
        try:
            found = operate(machine, position, outdoor, indoor)
        except LimitError as refusal:
            came["refused"] += 1
            reasons[reason(refusal)] += 1
            found = None
        except Exception as error:  # noqa: BLE001  - whatever it is, it is counted and shown
            came["failed"] += 1
            print(f"  {name} {position.value} {outdoor.dry_bulb - 273.15:.2f} {indoor.dry_bulb - 273.15:.2f}: {error!r}")
            found = None
        times.append(1e3 * (time.process_time() - begin))
        if found is not None:
            worst = max(worst, found.energy_residual)
            came["settled" if found.energy_residual < CLOSED else "failed"] += 1
            peers.append(solved(name, found))
    return came, reasons, worst, times, [peer for peer in peers if peer == peer]


def grid(points: int) -> None:
    names = [name for name in catalogue() if name != "R-744"]
    try:
        machine_for("R-744")
    except InputError as refusal:
        print(f"R-744    refused: {refusal}")
    print(f"{'':8} {'settled':>8} {'refused':>8} {'failed':>7} {'residual':>9} {'median ms':>10} {'p95 ms':>8} {'aim':>5} {'peer ms':>8} {'ratio':>6}")
    total, reasons = collections.Counter(), collections.Counter()
    for index, name in enumerate(names):
        count = points // len(names) + (index < points % len(names))
        came, why, worst, times, peers = run(name, count)
        total.update(came)
        reasons.update(why)
        middle, peer = statistics.median(times), statistics.median(peers)
        late = sorted(times)[int(0.95 * len(times))]
        print(f"{name:8} {came['settled']:8} {came['refused']:8} {came['failed']:7} {worst:9.1e} {middle:10.1f} {late:8.1f} "
              f"{AIMS[listing(name).model]:5.0f} {peer:8.2f} {middle / peer:6.1f}", flush=True)  # fmt: skip
    print(f"{'all':8} {total['settled']:8} {total['refused']:8} {total['failed']:7}")
    for words, count in reasons.most_common():
        print(f"  {count:5} {words}")


def ratings() -> None:
    """The demo machines at the rating points."""
    print(f"{'':8} {'test':4} {'capacity':>9} {'COP':>5} {'SHR':>5} {'suction':>8} {'condensing':>11} {'ratio':>6} {'discharge':>10} {'superheat':>10} {'subcooling':>11}")
    for name in MACHINES:
        for code in ("A", "B", "H0", "H1", "H2", "H3", "H4"):
            found = at(name, code)
            share = f"{found.sensible / found.capacity:5.2f}" if found.valve_position is COOLING else f"{'':5}"
            print(
                f"{name:8} {code:4} {found.capacity / 1e3:6.2f} kW {found.cop:5.2f} {share} {found.saturated_suction_temperature - 273.15:6.1f} C "
                f"{found.saturated_condensing_temperature - 273.15:9.1f} C {found.pressure_ratio:6.2f} {found.discharge_temperature - 273.15:8.1f} C "
                f"{found.superheat:8.1f} K {found.subcooling:9.1f} K"
            )
        print(f"{'':8} capacity at 17 °F over that at 47 °F: {at(name, 'H3').capacity / at(name, 'H1').capacity:.2f}")


def main() -> None:
    """Print what was asked for."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--points", type=int, default=5000)
    options.add_argument("--ratings", action="store_true", help="the demo machines at the rating points only")
    asked = options.parse_args()
    ratings() if asked.ratings else grid(asked.points)


if __name__ == "__main__":
    main()
