"""Kills children that keep answers, and reports which acknowledged answer was lost: a program of its own, so that it may fork.

    python record_kills.py FILE KILLS SEED

A child keeps one answer after the other and says so over a pipe; its parent kills it at a moment drawn by lot, looks whether
the file is sound, and whether everything that was said to be kept is there.
"""

import json
import os
import random
import signal
import sqlite3
import sys
import time
from pathlib import Path

from hpteach.assessment import Attempt, Progress

LEAST, MOST = 0.002, 0.2  # s that a child lives, whatever the disk
RECORDS = 6.0  # that a child could keep at most, undisturbed


def keep_on(path: Path, child: int, said: int) -> None:
    """Keep answers until the end, and say after each that it is kept."""
    progress = Progress.open(path)
    number = 0
    while True:
        number += 1
        progress.record(Attempt("kill", 1, "start", "00", child, "SI", "part", f"{number}", number % 2 == 0))
        os.write(said, b"%d\n" % number)


def usual_time(path: Path) -> float:
    """How long (s) keeping one answer takes here."""
    progress, began = Progress.open(path), time.perf_counter()
    for number in range(10):
        progress.record(Attempt("time", 1, "start", "00", number, "SI", "part", "x", True))
    return (time.perf_counter() - began) / 10


def killed(path: Path, child: int, after: float) -> int:
    """How many answers a child that was killed after so many seconds had said to be kept."""
    hears, says = os.pipe()
    process = os.fork()
    if process == 0:
        try:
            os.close(hears)
            keep_on(path, child, says)
        finally:
            os._exit(1)
    os.close(says)
    time.sleep(after)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    with os.fdopen(hears, "rb") as pipe:
        lines = pipe.read().split()
    return int(lines[-1]) if lines else 0


def main(path: Path, kills: int, seed: int) -> dict:
    """Counts over all kills."""
    lot = random.Random(seed)
    longest = min(RECORDS * usual_time(path.with_name("timing.sqlite3")), MOST)
    said: dict[int, int] = {}
    hot = unsound = lost = beyond = 0
    for child in range(kills):
        said[child] = killed(path, child, lot.uniform(LEAST, longest))
        hot += path.with_name(path.name + "-journal").exists()
        kept = [attempt for attempt in Progress.open(path).attempts() if attempt.seed == child]
        there = [int(attempt.text) for attempt in kept]
        lost += len(set(range(1, said[child] + 1)) - set(there))
        beyond += len(there) > said[child] + 1 or there != list(range(1, len(there) + 1))
        if path.exists():
            with sqlite3.connect(path) as db:
                unsound += db.execute("pragma integrity_check").fetchone() != ("ok",)
            db.close()
    kept = Progress.open(path).attempts()
    at_the_end = {child: sum(attempt.seed == child for attempt in kept) for child in said}
    lost += sum(max(0, said[child] - at_the_end[child]) for child in said)
    aside = len(list(path.parent.glob("*.damaged-*")))
    return {"kills": kills, "said": sum(said.values()), "kept": len(kept), "lost": lost, "beyond": beyond, "unsound": unsound, "aside": aside, "hot": hot}


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))))
