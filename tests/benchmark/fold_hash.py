"""The same journals, the same states, on every Python found here: `python -m tests.benchmark fold-hash`."""

from __future__ import annotations

import argparse
import gzip
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from tests.benchmark.kill import ROOT
from tests.benchmark.outcome import write
from tests.benchmark.upgrade import COMMITS, golden

OLDEST, NEWEST = 11, 15
"""The minor versions looked for; the program needs the first."""


def interpreters() -> dict[str, str]:
    """Return the program of each other Python 3 found here, by its version: on the path, or kept by pyenv."""
    named = [shutil.which(f"python3.{minor}") or "" for minor in range(OLDEST, NEWEST + 1)]
    kept = Path(os.environ.get("PYENV_ROOT", "") or Path.home() / ".pyenv") / "versions"
    found: dict[str, str] = {}
    for program in (*named, *map(str, sorted(kept.glob("3.*/bin/python")))):
        version = _version(program) if program else None
        if version and OLDEST <= version[1] <= NEWEST and version != sys.version_info[:2]:
            found.setdefault(f"{version[0]}.{version[1]}", program)
    return found


def _version(program: str) -> tuple[int, int] | None:
    done = subprocess.run([program, "--version"], capture_output=True, text=True, check=False)
    told = re.match(r"Python (\d+)\.(\d+)", done.stdout)
    return (int(told[1]), int(told[2])) if told and not done.returncode else None


def hashes_by(program: str, journals: list[Path], seed: int = 0) -> Mapping[str, str]:
    """Return the digests by another Python, or by this one with another seed of its hashes."""
    libraries = [one for one in sys.path if one.endswith("site-packages")]
    places = {"PYTHONPATH": os.pathsep.join([str(ROOT), *libraries]), "PYTHONHASHSEED": str(seed)}
    command = [program, "-m", "tests.journal.fold_hash", *map(str, journals)]
    done = subprocess.run(
        command, env={**os.environ, **places}, cwd=ROOT, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise RuntimeError(f"{program}: {done.stderr[-1500:]}")
    found: dict[str, str] = json.loads(done.stdout)
    return found


def compared(
    folder: Path, versions: Iterable[str], others: Mapping[str, str], seeds: Iterable[int]
) -> dict[str, Mapping[str, str]]:
    """Return the digests of golden journals by this Python with each seed, and by each other one."""
    journals = []
    for version in versions:
        journals.append(folder / f"{version}.sqlite")
        journals[-1].write_bytes(gzip.decompress(golden(version).read_bytes()))
    own = f"{sys.version_info[0]}.{sys.version_info[1]}"
    found = {f"{own}, seed {seed}": hashes_by(sys.executable, journals, seed) for seed in seeds}
    return found | {version: hashes_by(program, journals) for version, program in others.items()}


def main(argv: list[str]) -> int:
    """Compare and write the result; 1 where two differ, or there was only one Python."""
    argparse.ArgumentParser(prog="fold-hash", description=__doc__).parse_args(argv)
    with tempfile.TemporaryDirectory(prefix="hash") as folder:
        found = compared(Path(folder), COMMITS, interpreters(), (1, 2))
    equal = len({json.dumps(one, sort_keys=True) for one in found.values()}) == 1
    jobs = next(iter(found.values()))
    figures = {"pythons": list(found), "jobs": len(jobs), "equal": equal, "hashes": dict(jobs)}
    write("fold-hash", argv, None, len(found), figures)
    return int(not equal or len(found) < 3)
