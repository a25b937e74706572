"""How fast this computer is now against its best: its cores are shared."""

from __future__ import annotations

import time
from functools import cache


def _reference_s() -> float:
    begun, table = time.thread_time(), {}
    for number in range(20_000):
        table[number % 97, str(number % 89)] = number
    return time.thread_time() - begun


@cache
def at_best_s() -> float:
    """Return the processor time of a fixed piece of computing when nobody else uses the cores, in seconds."""
    return min(_reference_s() for _ in range(20))


def slowness() -> float:
    """Return how many times slower this computer is now than at its best: its cores are shared."""
    return max(1.0, _reference_s() / at_best_s())
