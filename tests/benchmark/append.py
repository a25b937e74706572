"""What an append costs beside the bare commit of the same row: `python -m tests.benchmark append`.

Both in one run, turn by turn, on the same disk, with the same settings of the same library.
"""

from __future__ import annotations

import argparse
import sqlite3
import statistics
import tempfile
import time
from contextlib import closing
from pathlib import Path

from assistant.journal import DurableFirst, open_journal
from assistant.journal.sql import columns
from assistant.journal.store import numbered
from tests.benchmark.outcome import write
from tests.journal.facts import AT, reading

MOST = 1.3
INSERT = "INSERT INTO journal_events VALUES (:job, :seq, :type, :version, :body, :digest)"


def bare(path: Path) -> sqlite3.Connection:
    """Return a connection to a copy of the tables, durable in the same way."""
    raw = sqlite3.connect(path, isolation_level=None)
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "fullfsync = ON", "checkpoint_fullfsync = ON"):
        raw.execute(f"PRAGMA {pragma}")
    return raw


def measure(folder: Path, count: int) -> tuple[list[float], list[float]]:
    """Return the seconds of `count` appends and of as many bare commits."""
    open_journal(folder / "bare.sqlite", AT).close()
    appends, commits = [], []
    with open_journal(folder / "journal.sqlite", AT) as journal, closing(bare(folder / "bare.sqlite")) as raw:
        outbox = DurableFirst(journal)
        for number in range(1, count + 1):
            event = reading(number)
            row = columns(numbered("J", [event], number - 1)[0])
            begun = time.perf_counter()
            outbox.append("J", [event])
            middle = time.perf_counter()
            raw.execute("BEGIN IMMEDIATE")
            raw.execute(INSERT, row)
            raw.execute("COMMIT")
            over = time.perf_counter()
            if number > 20:  # the first ones fill caches
                appends.append(middle - begun)
                commits.append(over - middle)
    return appends, commits


def main(argv: list[str]) -> int:
    """Measure and write the result; 1 when the ratio is above what is promised."""
    parser = argparse.ArgumentParser(prog="append")
    parser.add_argument("--count", type=int, default=3000)
    parser.add_argument("--folder", type=Path, help="on the disk to be measured")
    arguments = parser.parse_args(argv)
    with tempfile.TemporaryDirectory(dir=arguments.folder) as folder:
        appends, commits = measure(Path(folder), arguments.count)
    figures: dict[str, object] = {}
    for name, times in (("append", appends), ("bare commit", commits)):
        parts = statistics.quantiles(times, n=100)
        figures[f"{name}, ms"] = {
            "median": round(parts[49] * 1000, 3),
            "mean": round(statistics.fmean(times) * 1000, 3),
            "p99": round(parts[98] * 1000, 3),
        }
    ratio = statistics.median(appends) / statistics.median(commits)
    means = statistics.fmean(appends) / statistics.fmean(commits)
    own = statistics.median(appends) - statistics.median(commits)
    figures |= {
        "difference of medians, ms": round(own * 1000, 3),
        "ratio of medians": round(ratio, 3), "ratio of means": round(means, 3), "at most": MOST,
    }  # fmt: skip
    write("append", argv, None, len(appends), figures)
    return int(ratio > MOST)
