"""Dealing a question and judging an answer, by what is behind the question; and the proof of the whole bank.

Run by hand: python -m tests.bench.bench_questions
Prints median and 95th percentile in ms, the slowest question of each row, and the seconds of the proof; nothing here gates anything.

numbers     printed quantities and circuits alone: nothing to solve with the property library
pure        cycles of a pure refrigerant, or of one with a single equation (aim: 20 ms in the median)
blend       cycles of a blend with glide (aim: 40 ms in the median)
air         air that passes a cold coil
weather     a machine whose pressures settle by themselves
trouble     the same with a fault, or with frost and defrost
"""

from __future__ import annotations

import os
import statistics
import time
from collections import defaultdict

from hpteach.fluids import listing
from hpteach.questions import Variant, check, deal, prove, read_bank

SEEDS = range(1000, 1012)
KINDS = ("numbers", "pure", "blend", "air", "weather", "trouble")
AIMS = {"pure": 20.0, "blend": 40.0}


def kind_of(variant: Variant) -> str:
    """The row in which a dealt question counts."""
    question = variant.question
    if question.weather:
        return "trouble" if {"fault", "defrost"} & set(question.weather) else "weather"
    if question.air:
        return "air"
    cycles = [cycle for cycle in (variant.cycle, variant.other) if cycle]
    if not cycles:
        return "numbers"
    return "blend" if any(listing(cycle.refrigerant).model == "blend" for cycle in cycles) else "pure"


def timed() -> dict[str, dict[str, list[float]]]:
    """Milliseconds of dealing a fresh seed and judging one answer to each of its parts, by kind and question."""
    times: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for question in read_bank().questions.values():
        deal(question, 999)  # tables of a refrigerant are made once
        for seed in SEEDS:
            begin = time.perf_counter()
            variant = deal(question, seed, "IP" if seed % 2 else "SI")
            for part in variant.parts:
                check(variant, "36.5 kJ/kg", part.id)
            times[kind_of(variant)][question.id].append(1e3 * (time.perf_counter() - begin))
    return times


def main() -> None:
    """Print one row for each kind, and the proof."""
    times = timed()
    print(f"{'behind it':10} {'variants':>8} {'median ms':>10} {'p95 ms':>8} {'aim':>6}  slowest")
    for kind in KINDS:
        every = sorted(value for of_question in times[kind].values() for value in of_question)
        slowest = max(times[kind], key=lambda id: statistics.median(times[kind][id]))
        aim = f"{AIMS[kind]:.0f}" if kind in AIMS else "-"
        median, high = statistics.median(every), every[int(0.95 * len(every))]
        print(f"{kind:10} {len(every):8} {median:10.1f} {high:8.1f} {aim:>6}  {slowest}: {statistics.median(times[kind][slowest]):.1f} ms")
    begin = time.perf_counter()
    proof = prove(read_bank())
    took = time.perf_counter() - begin
    print(f"proof: {took:.1f} s with {os.cpu_count()} processes; {proof.questions} questions, {proof.variants} variants, {proof.mistakes} mistakes, {len(proof.failures)} failures (aim: 180 s on two cores)")


if __name__ == "__main__":
    main()
