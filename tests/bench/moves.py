"""How long moves of a control take: timed one by one, the first few left out."""

from __future__ import annotations

import time
from collections.abc import Callable


def timed(act: Callable[[int], object], moves: int = 60, warm: int = 6) -> list[float]:
    """Milliseconds of each call of `act` with the number of its move, without the first few, which also load what is needed."""
    times = []
    for move in range(moves + warm):
        begin = time.perf_counter()
        act(move)
        times.append(1e3 * (time.perf_counter() - begin))
    return times[warm:]
