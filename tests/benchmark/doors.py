"""Bad input at every door, ten thousand times each: `python -m tests.benchmark doors`."""

from __future__ import annotations

import argparse
import traceback

from tests.benchmark.outcome import commit, kept, write
from tests.doors.doors import DOORS
from tests.doors.trying import try_door

SEED = 10_000


def _before() -> dict[str, object]:
    """Return the figures of an earlier run, of which only some doors are tried again."""
    result = kept("doors")
    return dict(result["figures"]) if result is not None else {}


def main(argv: list[str]) -> int:
    """Try each door, print the smallest input that shows a fault, and write the counts; 1 on a fault."""
    parser = argparse.ArgumentParser(prog="doors")
    parser.add_argument("--tries", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only", nargs="*", help="names of doors")
    arguments = parser.parse_args(argv)
    figures: dict[str, object] = {}
    faults = 0
    for door in DOORS:
        if not arguments.only or door.name in arguments.only:
            try:
                found: dict[str, object] = dict(try_door(door, arguments.tries, arguments.seed))
            except Exception as fault:  # whatever it is: that is what is looked for
                found = {"fault": " ".join(repr(fault).split())[:500]}
                traceback.print_exc()
                faults += 1
            figures[door.name] = {
                "holds": door.holds, "tries": arguments.tries, "seed": arguments.seed,
                "commit": commit(), **found,
            }  # fmt: skip
            print(door.name, figures[door.name], flush=True)
    if arguments.only:
        figures = {**_before(), **figures}
    write("doors", argv, arguments.seed, arguments.tries, figures)
    return int(faults > 0)
