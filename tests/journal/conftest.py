"""Events, and one of each store, for the tests of the journal."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import pytest

from assistant.journal import Journal, MemoryJournal, open_journal
from tests.journal.facts import AT

Opener = Callable[[], Journal]


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


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """Run a private PostgreSQL server on a socket in a folder of its own."""
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
    yield found
    found.run("stop", "-m", "immediate")
    shutil.rmtree(home, ignore_errors=True)


@pytest.fixture
def postgres(server: Server, lacking: Callable[[str], None]) -> Server:
    """Give the server, or leave the test out with the reason."""
    if server.absent:
        lacking(server.absent)
    return server


def _postgres_binaries() -> Path | None:
    """Return the folder of initdb: on the path, or where Debian keeps it."""
    found = shutil.which("initdb")
    places = [Path(found).resolve().parent] if found else []
    places += sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    return next((place for place in places if (place / "initdb").exists()), None)


SERVER = pytest.param("postgres", marks=pytest.mark.full)


@pytest.fixture
def opening(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[str], Journal]]:
    """Give a function that opens the store of a kind, again and again; all are closed afterwards."""
    opened: list[Journal] = []

    def open_it(kind: str) -> Journal:
        if kind == "memory":
            journal: Journal = MemoryJournal()
        elif kind == "sqlite":
            journal = open_journal(tmp_path / "journal.sqlite", AT)
        else:
            journal = open_journal(request.getfixturevalue("postgres").url, AT)
        opened.append(journal)
        return journal

    yield open_it
    for journal in opened:
        journal.close()


@pytest.fixture(params=["sqlite", SERVER])
def opener(request: pytest.FixtureRequest, opening: Callable[[str], Journal]) -> Opener:
    """Give a function that opens a durable journal of each kind in turn."""
    return lambda: opening(request.param)


@pytest.fixture(params=["memory", "sqlite", SERVER])
def journal(request: pytest.FixtureRequest, opening: Callable[[str], Journal]) -> Journal:
    """Give an open journal of each kind in turn."""
    return opening(request.param)
