"""A PostgreSQL server of one's own, on a socket in a folder of its own, gone when it is no longer needed."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path


@dataclass(frozen=True)
class Server:
    """A private PostgreSQL server, or why there is none."""

    url: str = ""
    data: Path = Path()
    absent: str = ""
    control: tuple[str, ...] = ()

    def run(self, *arguments: str) -> None:
        """Start or stop it, as pg_ctl does."""
        subprocess.run([*self.control, *arguments], check=True, capture_output=True, cwd="/", timeout=120)


@contextmanager
def private_server() -> Iterator[Server]:
    """Run a private PostgreSQL server while the block runs."""
    binaries = _postgres_binaries()
    if binaries is None or find_spec("psycopg") is None:
        yield Server(absent="no PostgreSQL server, or no psycopg, is installed")
        return
    home = Path(tempfile.mkdtemp(prefix="pg"))
    as_user: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(home, "nobody")
        as_user = ["setpriv", "--reuid=nobody", "--clear-groups", "--"]
    data = home / "data"
    options = f"-k {home} -c listen_addresses="
    control = (
        *as_user,
        str(binaries / "pg_ctl"),
        "-D",
        str(data),
        "-w",
        "-l",
        str(home / "log"),
        "-o",
        options,
    )
    found = Server(f"postgresql://bench@/postgres?host={home}", data, control=control)
    try:
        initdb = [*as_user, str(binaries / "initdb"), "-D", str(data), "-U", "bench", "-A", "trust", "-N"]
        subprocess.run(initdb, check=True, capture_output=True, cwd="/", timeout=120)
        found.run("start")
    except (OSError, subprocess.SubprocessError) as error:
        shutil.rmtree(home, ignore_errors=True)
        yield Server(absent=f"PostgreSQL does not start here: {error}")
        return
    try:
        yield found
    finally:
        found.run("stop", "-m", "immediate")
        shutil.rmtree(home, ignore_errors=True)


def _postgres_binaries() -> Path | None:
    """Return the folder of initdb: on the path, or where Debian keeps it."""
    found = shutil.which("initdb")
    places = [Path(found).resolve().parent] if found else []
    places += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((place for place in places if (place / "initdb").exists()), None)
