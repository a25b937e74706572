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

RESULTS = Path(__file__).parent / "results"


def write(name: str, arguments: list[str], seed: int | None, n: int, figures: Mapping[str, object]) -> Path:
    """Write `results/NAME.json` and print it; `n` is how often it was tried."""
    done = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"],
        cwd=RESULTS.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    tree = {
        "date": datetime.now(UTC).isoformat(timespec="seconds"),
        "commit": done.stdout.strip(),
        "command": " ".join(["python -m tests.benchmark", name, *arguments]),
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
