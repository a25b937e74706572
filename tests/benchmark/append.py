"""What an append costs beside the bare commit of the same row: `python -m tests.benchmark append`.

An append is what a job does: an event is given to the outbox, and it is durable when that returns. The
bare commit is the row of that event, made before: BEGIN IMMEDIATE, INSERT, COMMIT by Python's `sqlite3`,
the layer below the journal, in a file with the same tables and settings on the same disk. The two take
turns, each being first as often as the other, and the ratio is that of their medians in this one run.
"""

from __future__ import annotations

import argparse
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack, closing
from pathlib import Path

from assistant.job.events import Event
from assistant.journal import DurableFirst, open_journal
from assistant.journal.sql import columns
from assistant.journal.store import numbered
from tests.benchmark.outcome import write
from tests.journal.facts import AT, reading

MOST = 1.3
WARM_UP = 30
"""So many of each are not counted: they fill caches."""
INSERT = "INSERT INTO journal_events VALUES (:job, :seq, :type, :version, :body, :digest)"
Way = Callable[[Event, dict[str, object]], None]


def bare(path: Path) -> sqlite3.Connection:
    """Return a connection to a copy of the tables, durable in the same way."""
    open_journal(path, AT).close()
    raw = sqlite3.connect(path, isolation_level=None)
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "fullfsync = ON", "checkpoint_fullfsync = ON"):
        raw.execute(f"PRAGMA {pragma}")
    return raw


def ways(folder: Path, stack: ExitStack) -> dict[str, Way]:
    """Return the ways to make a row durable, each in a file of its own; `stack` closes them."""
    outbox = DurableFirst(stack.enter_context(open_journal(folder / "journal.sqlite", AT)))
    raw = stack.enter_context(closing(bare(folder / "bare.sqlite")))

    def append(event: Event, row: dict[str, object]) -> None:
        outbox.append("J", [event])

    def commit(event: Event, row: dict[str, object]) -> None:
        raw.execute("BEGIN IMMEDIATE")
        raw.execute(INSERT, row)
        raw.execute("COMMIT")

    return {"append": append, "bare commit": commit}


def measure(folder: Path, count: int) -> dict[str, list[float]]:
    """Return the seconds of `count` rows in each way."""
    times: dict[str, list[float]] = {}
    with ExitStack() as stack:
        all_ways = list(ways(folder, stack).items())
        for number in range(1, count + WARM_UP + 1):
            event = reading(number)
            row = columns(numbered("J", [event], number - 1)[0])
            turn = number % len(all_ways)
            for name, way in all_ways[turn:] + all_ways[:turn]:
                begun = time.perf_counter()
                way(event, row)
                took = time.perf_counter() - begun
                if number > WARM_UP:
                    times.setdefault(name, []).append(took)
    return times


def ratio(times: dict[str, list[float]]) -> float:
    """Return the ratio of the medians of the append and of the bare commit."""
    return statistics.median(times["append"]) / statistics.median(times["bare commit"])


def main(argv: list[str]) -> int:
    """Measure and write the result; 1 when the ratio is above what is promised."""
    parser = argparse.ArgumentParser(prog="append")
    parser.add_argument("--count", type=int, default=3000)
    parser.add_argument("--folder", type=Path, help="on the disk to be measured")
    arguments = parser.parse_args(argv)
    with tempfile.TemporaryDirectory(dir=arguments.folder) as folder:
        times = measure(Path(folder), arguments.count)
    figures: dict[str, object] = {}
    for name, taken in times.items():
        parts = statistics.quantiles(taken, n=100)
        figures[f"{name}, ms"] = {
            "median": round(parts[49] * 1000, 3),
            "mean": round(statistics.fmean(taken) * 1000, 3),
            "p99": round(parts[98] * 1000, 3),
        }
    own = statistics.median(times["append"]) - statistics.median(times["bare commit"])
    found = ratio(times)
    figures |= {
        "difference of medians, ms": round(own * 1000, 3),
        "ratio of medians": round(found, 3),
        "at most": MOST,
    }
    write("append", argv, None, arguments.count, figures)
    return int(found > MOST)
