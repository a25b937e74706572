"""Tries one door with input that is bent towards lines of the program it has not reached yet.

`python -m tests.doors.guided NAME RUNS SEED` wants atheris (the extra `guided`), which rewrites the
program as it is imported and ends the process it runs in: with 0, or with another code and the fault.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

FIRST = 300
"""Things the other benchmark would try, to begin with."""
LONGEST = 20_000
"""Bytes."""


def main(argv: list[str]) -> None:
    """Try the door; does not return."""
    import atheris

    name, runs, seed = argv[0], int(argv[1]), int(argv[2])
    with atheris.instrument_imports(include=["assistant"]):
        from tests.doors.doors import DOORS
    from tests.doors.pace import at_best_s
    from tests.doors.trying import drawn, tried

    door = next(door for door in DOORS if door.name == name)
    first = Path(tempfile.mkdtemp(prefix="first"))
    drawn(door, FIRST, seed, lambda content: (first / str(hash(content))).write_bytes(content[:LONGEST]))
    at_best_s()
    options = [f"-runs={runs}", f"-seed={seed}", f"-max_len={LONGEST}", f"-artifact_prefix={first}/"]
    atheris.Setup(["guided", *options, str(first)], lambda content: tried(door, content))
    atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
