"""Events, and one of each store, for the tests of the journal."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assistant.journal import Journal, MemoryJournal, open_journal
from tests.journal.facts import AT
from tests.journal.private_server import Server, private_server

Opener = Callable[[], Journal]


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """Run a private PostgreSQL server while the tests run."""
    with private_server() as found:
        yield found


@pytest.fixture
def postgres(server: Server, lacking: Callable[[str], None]) -> Server:
    """Give the server, or leave the test out with the reason."""
    if server.absent:
        lacking(server.absent)
    return server


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
