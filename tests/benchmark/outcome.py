"""Results of a benchmark as a file: what was measured, when, of which commit, by which command."""

from __future__ import annotations

import json
import os
import platform
import subprocess
import sys
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

RESULTS = Path(__file__).parent / "results"


def commit() -> str:
    """Return the commit that is measured."""
    command = ["git", "rev-parse", "--short", "HEAD"]
    done = subprocess.run(command, cwd=RESULTS.parent, capture_output=True, text=True, check=False)
    return done.stdout.strip()


def resident_mb() -> float:
    """Return the memory this process holds, in MB; 0 where the system does not tell."""
    status = Path("/proc/self/status")
    if not status.is_file():
        return 0.0
    line = next(line for line in status.read_text("ascii").splitlines() if line.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def kept(name: str, folder: Path = RESULTS) -> dict[str, Any] | None:
    """Return the result that is kept under a name, None where there is none."""
    path = folder / f"{name}.json"
    return dict(json.loads(path.read_text("utf-8"))) if path.is_file() else None


def put_between(page: str, begin: str, end: str, text: str) -> str | None:
    """Return a page with a text between its two marks, None where it lacks them."""
    before, mark, rest = page.partition(begin)
    _, closing, after = rest.partition(end)
    return f"{before}{begin}\n{text}\n{end}{after}" if mark and closing else None


def write(
    name: str, arguments: list[str], seed: int | None, n: int, figures: Mapping[str, object], of: str = ""
) -> Path:
    """Write `results/NAME.json` and print it; `n` is how often it was tried.

    `of` is the benchmark, where it keeps several results.
    """
    tree = {
        "date": datetime.now(UTC).isoformat(timespec="seconds"),
        "commit": commit(),
        "command": " ".join(["python -m tests.benchmark", of or name, *arguments]),
        "seed": seed,
        "n": n,
        "machine": {
            "system": platform.platform(),
            "python": platform.python_version(),
            "cores": os.cpu_count(),
        },
        "figures": dict(figures),
    }
    RESULTS.mkdir(exist_ok=True)
    path = RESULTS / f"{name}.json"
    path.write_text(json.dumps(tree, indent=2) + "\n", "utf-8")
    json.dump(tree, sys.stdout, indent=2)
    print()
    return path
