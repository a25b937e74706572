"""Trying a door many times; a fault is anything raised that is no error of the program, and a second."""

from __future__ import annotations

import gc
import shutil
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from hypothesis import HealthCheck, Phase, Verbosity, given, seed, settings
from hypothesis import strategies as st

from assistant.errors import AssistantError
from tests.doors.pace import at_best_s, slowness

LONGEST_S = 1.0


@dataclass(frozen=True)
class Door:
    """One way in: what is tried, and what an attempt does with it in an empty folder."""

    name: str
    holds: str
    tries: Callable[[], st.SearchStrategy[bytes]]
    attempt: Callable[[bytes, Path], object]


def _attempt(door: Door, content: bytes) -> tuple[bool, float]:
    """Let one thing in; return whether it was taken, and the seconds of computing."""
    folder = Path(tempfile.mkdtemp(prefix="door"))
    gc.freeze()  # what the tries before have left is no work of this one
    begun = time.thread_time()
    try:
        door.attempt(content, folder)
    except AssistantError as refusal:
        if len(str(refusal).splitlines()) != 1:
            raise AssertionError("a refusal is one line") from refusal
        return False, time.thread_time() - begun
    finally:
        gc.unfreeze()
        shutil.rmtree(folder, ignore_errors=True)
    return True, time.thread_time() - begun


def tried(door: Door, content: bytes) -> tuple[bool, float]:
    """Let one thing in; return whether it was taken, and the seconds of computing.

    It is the processor's time, not the clock's: others use the cores, too. They also slow down what runs
    beside them, so that what took too long is tried once more and told by this computer at its best.
    Raises what an attempt raised that is no error of the program, or took too long.
    """
    taken, took = _attempt(door, content)
    if took >= LONGEST_S:
        before = slowness()
        taken, took = _attempt(door, content)
        took /= (before + slowness()) / 2
    assert took < LONGEST_S, f"took {took:.1f} s"
    return taken, took


def drawn(door: Door, many: int, number: int, to: Callable[[bytes], object]) -> None:
    """Give so many things that may be let in at a door, always the same for a number; a fault is shrunk."""

    @seed(number)
    @settings(
        max_examples=many, deadline=None, database=None, verbosity=Verbosity.quiet,
        suppress_health_check=list(HealthCheck), phases=(Phase.generate, Phase.shrink),
    )  # fmt: skip
    @given(content=door.tries())
    def one(content: bytes) -> None:
        to(content)

    one()


def try_door(door: Door, tries: int, number: int) -> dict[str, float]:
    """Try a door so many times; return how many were taken and refused, and the longest time in seconds."""
    at_best_s()
    counts = {"taken": 0.0, "refused": 0.0, "longest, s": 0.0}

    def one(content: bytes) -> None:
        taken, took = tried(door, content)
        counts["taken" if taken else "refused"] += 1
        counts["longest, s"] = max(counts["longest, s"], round(took, 3))

    drawn(door, tries, number, one)
    return counts
