"""`python -m tests.benchmark NAME ...`: runs the benchmark NAME with its own arguments.

A benchmark is a module of this package with a function `main`, or a package with one in its `command`.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from pathlib import Path


def names() -> list[str]:
    """Return what can be run."""
    here = [str(Path(__file__).parent)]
    return sorted(
        module.name.replace("_", "-")
        for module in pkgutil.iter_modules(here)
        if not module.name.startswith(("_", "test_")) and module.name not in ("noises", "outcome", "voices")
    )


def main(argv: list[str]) -> int:
    """Run one benchmark; 2 where there is no such."""
    if not argv or argv[0] not in names():
        print(f"usage: python -m tests.benchmark NAME [...]; NAME is one of {', '.join(names())}")
        return 2
    package = f"tests.benchmark.{argv[0].replace('-', '_')}"
    module = importlib.import_module(package)
    if not hasattr(module, "main"):
        module = importlib.import_module(f"{package}.command")
    return int(module.main(argv[1:]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
