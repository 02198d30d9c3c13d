"""The cycle, the chart's background and the start of the library beside the ordinary way, in one run.

Run by hand from the top of the project: python -m tests.bench.bench_cycle
Prints medians; nothing here gates anything.

cycle      ours: `solve` with all state points at conditions never asked before.  Peer: the same
           points by plain calls of the property library that name the fluid; for a blend also by one
           state that is kept, without an imposed phase or a first guess.
chart      ours: the pressure-enthalpy chart, cold (new refrigerant, new chart), on new axes with the
           lines remembered, and laid again in a panel that has shown it before.  Peer: the property library's own plotting module with the same families of isolines.
blends     the worst deviation of a state point from the plain mixture flash
start      importing each room, beyond importing the property library
"""

from __future__ import annotations

import itertools
import statistics
import subprocess
import sys
import time
import warnings

import matplotlib

matplotlib.use("agg")
import CoolProp  # noqa: E402
import matplotlib.pyplot as plt  # noqa: E402  - the peer draws with pyplot
from CoolProp.CoolProp import AbstractState, PropsSI  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402

from hpteach.circuit import ValvePosition  # noqa: E402
from hpteach.cycle import Conditions, solve  # noqa: E402
from hpteach.diagrams import CHARTS  # noqa: E402
from hpteach.errors import HpteachError  # noqa: E402
from hpteach.fluids import Refrigerant, catalogue, listing, refrigerant  # noqa: E402
from hpteach.live import LiveFigure  # noqa: E402
from tests.test_blend import deviations  # noqa: E402

OURS, PLAIN, PLAIN_BLEND = 200, 40, 5
ROOMS = ("hpteach", "hpteach.units", "hpteach.circuit", "hpteach.fluids", "hpteach.cycle", "hpteach.diagrams", "hpteach.questions", "hpteach.panels")
SUPERHEAT, SUBCOOLING, EFFICIENCY = 5.0, 4.0, 0.7


def conditions(move: int) -> tuple[float, float]:
    """Evaporating and condensing temperature (K), different at each move; below the critical point of R-744."""
    return 263.15 + 0.05 * move, 296.15 + 0.011 * move


def timed(call, moves: int) -> list[float]:
    """Milliseconds of each move, without the first two, which also load what is needed."""
    times = []
    for move in range(moves + 2):
        begin = time.perf_counter()
        call(move)
        times.append(1e3 * (time.perf_counter() - begin))
    return times[2:]


def ours(name: str) -> list[float]:
    face = refrigerant(name)

    def cycle(move: int) -> None:
        evaporating, condensing = conditions(move)
        solve(face, Conditions(ValvePosition.COOLING, "indoor coil", evaporating, condensing, SUPERHEAT, SUBCOOLING, EFFICIENCY))

    return timed(cycle, OURS)


def by_name(name: str) -> list[float]:
    """The points by calls that name the fluid: each gives one property and looks the fluid up again."""
    fluid = listing(name).library_name

    def get(of: str, *pair):
        return PropsSI(of, *pair, fluid)

    def cycle(move: int) -> None:
        evaporating, condensing = conditions(move)
        low, high = get("P", "T", evaporating, "Q", 1), get("P", "T", condensing, "Q", 1)
        one = [get(of, "T", evaporating + SUPERHEAT, "P", low) for of in "HSD"]
        ideal = get("H", "P", high, "S", one[1])
        two = one[0] + (ideal - one[0]) / EFFICIENCY
        [get(of, "P", high, "H", two) for of in "TSD"]
        [get(of, "P", high, "Q", quality) for quality in (1, 0) for of in "THSD"]
        three = [get(of, "T", get("T", "P", high, "Q", 0) - SUBCOOLING, "P", high) for of in "HSD"]
        [get(of, "P", low, "H", three[0]) for of in "TSDQ"]
        [get(of, "P", low, "Q", 1) for of in "THSD"]

    return timed(cycle, PLAIN if listing(name).model != "blend" else 1)


def by_state(name: str) -> list[float]:
    """The points of a blend by one state of the library, no phase imposed and no first guess."""
    state = AbstractState("HEOS", listing(name).library_name)

    def cycle(move: int) -> None:
        evaporating, condensing = conditions(move)
        state.update(CoolProp.QT_INPUTS, 1.0, evaporating)
        low = state.p()
        state.update(CoolProp.QT_INPUTS, 1.0, condensing)
        high = state.p()
        state.update(CoolProp.PT_INPUTS, low, evaporating + SUPERHEAT)
        h1, s1 = state.hmass(), state.smass()
        state.update(CoolProp.PSmass_INPUTS, high, s1)
        state.update(CoolProp.HmassP_INPUTS, h1 + (state.hmass() - h1) / EFFICIENCY, high)
        state.update(CoolProp.PQ_INPUTS, high, 0.0)
        state.update(CoolProp.PT_INPUTS, high, state.T() - SUBCOOLING)
        state.update(CoolProp.HmassP_INPUTS, state.hmass(), low)

    return timed(cycle, PLAIN_BLEND)


def chart(name: str) -> tuple[float, float, float]:
    """Milliseconds of a chart's background: cold, on new axes, and laid again."""
    kind = next(iter(CHARTS))
    begin = time.perf_counter()
    face = Refrigerant(listing(name), "iir")
    CHARTS[kind](Figure().add_subplot(), face)
    cold = 1e3 * (time.perf_counter() - begin)
    warm = timed(lambda _: CHARTS[kind](Figure().add_subplot(), face), 5)
    live = LiveFigure(540, 470, scale=1.1)
    CHARTS[kind](live.figure.add_subplot(), face)
    still = live.keep()

    def lay(_: int) -> None:
        live.lay(still)
        live.draw([])

    return cold, statistics.median(warm), statistics.median(timed(lay, 20))


def plotted(name: str) -> float | None:
    """Milliseconds of the property library's own plot with its isolines; None for a blend, with which it is busy for minutes."""
    from CoolProp.Plots import PropertyPlot

    if listing(name).model == "blend":
        return None

    def draw() -> None:
        plot = PropertyPlot(listing(name).library_name, "PH", unit_system="EUR")
        for kind in (CoolProp.iT, CoolProp.iQ, CoolProp.iSmass):
            plot.calc_isolines(kind, num=8)
        plot.draw()
        plt.close("all")

    begin = time.perf_counter()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # points of its lines that its flash does not find
            draw()
    except Exception as error:  # noqa: BLE001  - whatever it is, there is no plot to compare with
        print(f"  {name}: the library's own plot gave {type(error).__name__}: {str(error)[:70]}")
        return None
    return 1e3 * (time.perf_counter() - begin)


def start(room: str, times: int = 5) -> float:
    """Milliseconds of importing a room beyond the property library, in a new interpreter."""
    code = f"import CoolProp.CoolProp, time; b = time.perf_counter(); import {room}; print(time.perf_counter() - b)"
    runs = [float(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout) for _ in range(times)]
    return 1e3 * statistics.median(runs)


def shown(value: float | None, width: int) -> str:
    return f"{'-':>{width}}" if value is None else f"{value:{width}.2f}"


def main() -> None:
    """Print a table for each of the four."""
    print(f"{'cycle':8} {'ours ms':>9} {'p95 ms':>9} {'plain ms':>9} {'ratio':>7} {'one state':>9}")
    for name in catalogue():
        mine = ours(name)
        median, late = statistics.median(mine), sorted(mine)[int(0.95 * len(mine))]
        try:
            usual = statistics.median(by_name(name))
            held = statistics.median(by_state(name)) if listing(name).model == "blend" else None
        except ValueError as error:
            print(f"  {name}: the plain calls gave no answer ({str(error)[:70]})")
            usual = held = None
        print(f"{name:8} {median:9.2f} {late:9.2f} {shown(usual, 9)} {shown(usual and usual / median, 7)} {shown(held, 9)}", flush=True)

    print(f"\n{'chart':8} {'cold ms':>9} {'axes ms':>9} {'again ms':>9} {'plot ms':>9} {'cold/':>7}")
    for name in catalogue():
        try:
            cold, warm, again = chart(name)
        except HpteachError as refusal:
            print(f"{name:8} refused: {refusal}")
            continue
        usual = plotted(name)
        print(f"{name:8} {cold:9.1f} {warm:9.1f} {again:9.1f} {shown(usual, 9)} {shown(usual and usual / cold, 7)}", flush=True)

    print("\nblends beside the plain flash: worst relative deviation")
    for name in itertools.filterfalse(lambda one: listing(one).model != "blend", catalogue()):
        worst, compared, refused = deviations(name)
        print(f"{name:8}", *(f"{letter} {value:.1e}" for letter, value in worst.items()), f"{compared} points, refused there {len(refused)}", flush=True)

    print("\nimport beyond the property library, ms")
    for room in ROOMS:
        print(f"{room:20} {start(room):8.1f}", flush=True)


if __name__ == "__main__":
    main()
