"""Kernel-side moves of the changeover beside an ordinary redraw, in one run.

Run by hand: python -m tests.bench.bench_changeover
Prints median and 95th percentile in ms; nothing here gates anything.

slider     move the saturated condensing slider of `Changeover`: solve, drawing, both charts, table, reading, three PNGs
flip       turn the valve's position to the other mode and back
step       one step of the slow motion
drawing    the circuit drawing alone, turned to the other mode with its readings, written as one PNG
peer       what a plain redraw costs: the same drawing and charts, by the same code, on a new figure of the same size
           for the same cycles, written as one PNG
"""

from __future__ import annotations

import io
import statistics

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hpteach.circuit import ValvePosition, flow, reversible_circuit
from hpteach.cycle import Conditions, solve
from hpteach.diagrams import CHARTS, CircuitDrawing
from hpteach.fluids import refrigerant
from hpteach.live import LiveFigure
from hpteach.panels import Changeover
from tests.bench.moves import timed

NAME = "R-410A"
MODES = ("cooling", "heating")


def ours() -> dict[str, list[float]]:
    """Milliseconds of each kind of move of the panel."""
    view = Changeover(refrigerant=NAME, predict=False)
    condensing = view.controls["saturated_condensing_temperature"]

    def slide(move: int) -> None:
        condensing.value = 40.0 + 0.5 * (move % 20)

    def flip(move: int) -> None:
        view.controls["valve_position"].value = MODES[move % 2]

    times = {"slider": timed(slide), "flip": timed(flip), "step": timed(lambda _: view.step())}
    assert view.refusal is None
    return times


def cycles() -> dict[str, object]:
    """A cycle for each mode."""
    situations = {"cooling": ("indoor coil", 280.15, 318.15), "heating": ("outdoor coil", 268.15, 315.15)}
    return {mode: solve(refrigerant(NAME), Conditions(ValvePosition(mode), *chosen, 5.0, 5.0, 0.7)) for mode, chosen in situations.items()}


def drawing_alone() -> list[float]:
    """Milliseconds of turning the live drawing to the other mode."""
    picture, circuit, solved = LiveFigure(720, 518, scale=1.1), reversible_circuit(), cycles()
    drawing = CircuitDrawing(picture.figure.add_axes((0.0, 0.0, 1.0, 1.0)), circuit, animated=True)
    picture.keep()

    def turn(move: int) -> None:
        mode = MODES[move % 2]
        drawing.show(flow(circuit, ValvePosition(mode)), solved[mode])
        picture.draw(drawing.artists)

    return timed(turn)


def peer() -> list[float]:
    """Milliseconds of each move with a new figure."""
    circuit, solved, fluid = reversible_circuit(), cycles(), refrigerant(NAME)

    def redraw(move: int) -> None:
        mode = MODES[move % 2]
        figure = Figure(figsize=(10.8, 9.88), dpi=110)
        FigureCanvasAgg(figure)
        CircuitDrawing(figure.add_axes((0.0, 0.48, 0.67, 0.52)), circuit).show(flow(circuit, ValvePosition(mode)), solved[mode])
        for k, kind in enumerate(CHARTS):
            CHARTS[kind](figure.add_axes((0.07 + 0.5 * k, 0.09, 0.41, 0.34)), fluid).add_cycle(solved[mode])
        figure.savefig(io.BytesIO(), format="png")

    return timed(redraw, 20)


def main() -> None:
    """Print one row for each kind of move, and the redraw beside it."""
    rows, usual = {**ours(), "drawing": drawing_alone()}, peer()
    plain = statistics.median(usual)
    print(f"{'move':8} {'median ms':>10} {'p95 ms':>8} {'peer / median':>14}")
    for name, times in {**rows, "peer": usual}.items():
        median = statistics.median(times)
        print(f"{name:8} {median:10.1f} {sorted(times)[int(0.95 * len(times))]:8.1f} {plain / median:14.1f}")


if __name__ == "__main__":
    main()
