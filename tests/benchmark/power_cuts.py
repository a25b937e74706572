"""Power cuts at seeded places of a job, on a disk that tears: `python -m tests.benchmark power-cuts`.

Each cut is made from what the real journal did to its files, opened again and checked as in the tests.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from tests.benchmark.outcome import write
from tests.journal.test_power import cuts

SEED = 2025


def main(argv: list[str]) -> int:
    """Cut, check each (a loss ends it with its trace), and write how often in what."""
    parser = argparse.ArgumentParser(prog="power-cuts")
    parser.add_argument("--count", type=int, default=4000)
    parser.add_argument("--seed", type=int, default=SEED)
    arguments = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        phases = cuts(Path(folder), arguments.count, arguments.seed)
    write(
        "power-cuts",
        argv,
        arguments.seed,
        sum(phases.values()),
        {"lost": 0, "power failed before": dict(sorted(phases.items()))},
    )
    return 0
