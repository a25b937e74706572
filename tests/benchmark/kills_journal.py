"""A running job, killed at seeded microseconds: `python -m tests.benchmark kills-journal`."""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from tests.benchmark.outcome import write
from tests.journal.kills import kills

SEED = 1000


def main(argv: list[str]) -> int:
    """Kill, check each life (a loss ends it with its trace), and write what the kills fell into."""
    parser = argparse.ArgumentParser(prog="kills-journal")
    parser.add_argument("--count", type=int, default=1200)
    parser.add_argument("--seed", type=int, default=SEED)
    arguments = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        phases, readings = kills(Path(folder), arguments.count, arguments.seed)
    figures = {"lost": 0, "readings read back": readings, "killed while": dict(phases.most_common())}
    write("kills-journal", argv, arguments.seed, sum(phases.values()), figures)
    return 0
