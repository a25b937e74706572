"""Bad input that is led by what it reaches: `python -m tests.benchmark doors-guided`.

It wants `pip install '.[guided]'`, and tries the doors that read bytes quickly, each in a process of its own;
`doors` beside it knows how good input looks.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from importlib.util import find_spec

from tests.benchmark.outcome import commit, write
from tests.doors.doors import DOORS

SEED = 8
QUICK = ("settings", "profile", "vehicle", "export", "event", "keyboard", "voice-frames", "ear-blocks")
_DONE = re.compile(r"DONE\s+cov: (\d+) .*?corp: (\d+)/")
_FAULT = re.compile(r"=== Uncaught Python exception: ===\n(.*)")


def guided(name: str, runs: int, seed: int) -> dict[str, object]:
    """Try one door; return how many places it reached and what it kept, or the fault."""
    command = [sys.executable, "-m", "tests.doors.guided", name, str(runs), str(seed)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    told = _DONE.search(done.stderr)
    if done.returncode or told is None:
        fault = _FAULT.search(done.stderr)
        return {"fault": fault[1][:500] if fault else f"exit code {done.returncode}: {done.stderr[-300:]}"}
    return {"places reached": int(told[1]), "kept for a new one": int(told[2])}


def main(argv: list[str]) -> int:
    """Try each door and write what it reached; 1 on a fault, 2 without what leads it."""
    parser = argparse.ArgumentParser(prog="doors-guided")
    parser.add_argument("--runs", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only", nargs="*", choices=[door.name for door in DOORS], default=QUICK)
    arguments = parser.parse_args(argv)
    if find_spec("atheris") is None:
        print("atheris is not installed: pip install '.[guided]'", file=sys.stderr)
        return 2
    figures: dict[str, object] = {}
    for door in DOORS:
        if door.name in arguments.only:
            found = guided(door.name, arguments.runs, arguments.seed)
            figures[door.name] = {"holds": door.holds, "tries": arguments.runs, "commit": commit(), **found}
            print(door.name, figures[door.name], flush=True)
    write("doors-guided", argv, arguments.seed, arguments.runs, figures)
    return int(any("fault" in str(one) for one in figures.values()))
