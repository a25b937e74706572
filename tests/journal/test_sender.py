"""The copy on a server: in order, once, through every kind of outage, and the job never waits for it."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, NullPool, create_engine, inspect, text

from assistant.errors import WrongInput
from assistant.job.events import Event
from assistant.journal import DurableFirst, Journal, Notice, Saved, new_job_id, open_journal
from assistant.journal.migrations import migrate
from assistant.journal.sender import Sender
from assistant.journal.sql import columns
from assistant.journal.store import numbered
from tests.journal.conftest import Server
from tests.journal.facts import AT, reading, started
from tests.journal.line import Line

pytestmark = pytest.mark.full
WITHIN_S = 20.0
LONGEST_APPEND_S, SLOW_ONES = 0.5, 3
"""Disk included. A machine that does other things, too, may hold up a few; a job that waits for the server
would wait each time, and for two seconds at least."""


class Bay:
    """One computer: a local journal, the sender beside it, and what its mechanic was told."""

    def __init__(self, folder: Path, url: str) -> None:
        self.path, self.url = folder / "journal.sqlite", url
        self.told: list[Notice] = []
        self.said: dict[str, list[Event]] = {}
        self.slow = 0
        self.journal: Journal = open_journal(self.path, AT)
        self.start()

    def start(self) -> None:
        """Run a sender."""
        self.sender = Sender(self.path, self.url, self.told.append, pauses_s=(0.05, 0.1, 0.2), longest_s=1.5)
        self.outbox = DurableFirst(self.journal, self.sender.poke)

    def say(self, job: str, *events: Event) -> None:
        """Write events; the slowest time is kept."""
        self.said.setdefault(job, []).extend(events)
        begun = time.perf_counter()
        assert self.outbox.append(job, events) == Saved()
        self.slow += time.perf_counter() - begun > LONGEST_APPEND_S

    def wait(self, until: Callable[[], bool]) -> None:
        """Wait for something that happens in the sender's thread or on the server."""
        last = time.monotonic() + WITHIN_S
        while not until():
            assert time.monotonic() < last, f"not within {WITHIN_S} s; told: {self.told}"
            time.sleep(0.01)

    def told_of(self) -> list[str]:
        """The kinds of what was told."""
        return [notice.what for notice in self.told]


class Shop:
    """A database of its own on the private server."""

    def __init__(self, server: Server, name: str) -> None:
        self.url = server.url.replace("/postgres?", f"/{name}?")
        self.engine: Engine = create_engine(
            self.url.replace("postgresql:", "postgresql+psycopg:"), poolclass=NullPool
        )

    def run(self, statement: str) -> None:
        """Change something by hand."""
        with self.engine.begin() as connection:
            connection.execute(text(statement))

    def has(self, said: dict[str, list[Event]]) -> bool:
        """Whether each job stands there, in order, once, and nothing else."""
        with self.engine.connect() as connection:
            if not inspect(connection).has_table("journal_events"):
                return False
            found = connection.execute(
                text("SELECT job, seq, body FROM journal_events ORDER BY job, seq")
            ).all()
        wanted = [(row.job, row.seq, row.body) for job in sorted(said) for row in numbered(job, said[job], 0)]
        return [tuple(row) for row in found] == wanted


@pytest.fixture
def shop(postgres: Server) -> Iterator[Shop]:
    """A new database."""
    name = f"shop{time.monotonic_ns()}"
    admin = create_engine(
        postgres.url.replace("postgresql:", "postgresql+psycopg:"), isolation_level="AUTOCOMMIT"
    )
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    found = Shop(postgres, name)
    yield found
    found.engine.dispose()
    admin.dispose()


@pytest.fixture
def bay_at(tmp_path: Path) -> Iterator[Callable[[str], Bay]]:
    """A function that opens a bay at a server."""
    bays: list[Bay] = []

    def open_it(url: str) -> Bay:
        bays.append(Bay(tmp_path, url))
        return bays[-1]

    yield open_it
    for bay in bays:
        bay.sender.close(5)
        bay.journal.close()


def test_everything_is_copied_in_order_and_once(shop: Shop, bay_at: Callable[[str], Bay]) -> None:
    """What was there before the server was known, and what is said meanwhile; also after a restart."""
    bay = bay_at(shop.url)
    jobs = [new_job_id(AT) for _ in range(3)]
    for number in range(60):
        job = jobs[number % 3]
        bay.say(job, *([] if job in bay.said else [started(job)]), reading(number))
    assert bay.sender.close(WITHIN_S)
    assert shop.has(bay.said)
    bay.say(jobs[0], reading(99))
    assert not shop.has(bay.said)
    bay.start()
    bay.wait(lambda: shop.has(bay.said))
    bay.wait(lambda: not bay.sender.waiting)
    assert (bay.told, bay.sender.sent) == ([], 1)


def through_an_outage(bay: Bay, shop: Shop, begin: Callable[[], None], end: Callable[[], None]) -> None:
    """Talk before, during and after: one notice, no append held up, everything there afterwards."""
    job = new_job_id(AT)
    bay.say(job, started(job), reading(1))
    bay.wait(lambda: shop.has(bay.said))
    begin()
    for number in range(2, 12):
        bay.say(job, reading(number))
    bay.wait(lambda: bay.told_of() == ["server-away"])
    for number in range(12, 40):
        bay.say(job, reading(number))
    assert bay.slow <= SLOW_ONES
    end()
    bay.wait(lambda: shop.has(bay.said))
    bay.say(job, reading(40))
    bay.wait(lambda: shop.has(bay.said))
    assert bay.told_of() == ["server-away"]


def test_a_server_that_is_killed_in_mid_job(
    shop: Shop, postgres: Server, bay_at: Callable[[str], Bay]
) -> None:
    """Without a shutdown, and started again."""
    through_an_outage(
        bay_at(shop.url),
        shop,
        lambda: postgres.run("stop", "-m", "immediate"),
        lambda: postgres.run("start"),
    )


@pytest.mark.parametrize("fault", ["cut", "fall_silent", "silence"])
def test_a_line_that_fails(fault: str, shop: Shop, postgres: Server, bay_at: Callable[[str], Bay]) -> None:
    """Connections end; or nobody answers a new one; or the one there is stays and carries nothing."""
    line = Line(f"{postgres.data.parent}/.s.PGSQL.5432")
    bay = bay_at(shop.url.split("?")[0].replace("@/", f"@127.0.0.1:{line.port}/"))

    try:
        through_an_outage(bay, shop, getattr(line, fault), line.mend)
    finally:
        bay.sender.close(5)
        line.close()


def test_a_server_that_hangs_holds_up_nothing(
    shop: Shop, postgres: Server, bay_at: Callable[[str], Bay]
) -> None:
    """The answer to a copy does not come while the line is silent: no append waits, the end does not."""
    line = Line(f"{postgres.data.parent}/.s.PGSQL.5432")
    bay = bay_at(shop.url.split("?")[0].replace("@/", f"@127.0.0.1:{line.port}/"))
    job = new_job_id(AT)
    bay.say(job, started(job))
    bay.wait(lambda: shop.has(bay.said))
    line.silence()
    for number in range(1, 30):
        bay.say(job, reading(number))
    begun = time.monotonic()
    assert not bay.sender.close(0.3)
    assert time.monotonic() - begun < 1
    assert bay.slow <= SLOW_ONES
    line.close()


def test_a_wrong_password_is_told_once_and_not_spelt(
    shop: Shop, postgres: Server, bay_at: Callable[[str], Bay]
) -> None:
    """The records stay; when the password is set right on the server, they follow."""
    hba = postgres.data / "pg_hba.conf"
    before = hba.read_text()
    hba.write_text("local all clerk scram-sha-256\n" + before)
    shop.run("CREATE ROLE clerk LOGIN SUPERUSER PASSWORD 'other'")
    shop.run("SELECT pg_reload_conf()")
    try:
        bay = bay_at(shop.url.replace("bench@", "clerk:grease@"))
        job = new_job_id(AT)
        bay.say(job, started(job))
        bay.wait(lambda: bay.told_of() == ["server-away"])
        assert "password authentication failed" in bay.told[0].text
        assert "grease" not in bay.told[0].text
        bay.say(job, reading(1))
        shop.run("ALTER ROLE clerk PASSWORD 'grease'")
        bay.wait(lambda: bay.sender.sent == 2)
        assert shop.has(bay.said)
        assert bay.told_of() == ["server-away"]
    finally:
        bay.sender.close(5)
        hba.write_text(before)
        shop.run("REASSIGN OWNED BY clerk TO bench")
        shop.run("DROP ROLE clerk")
        shop.run("SELECT pg_reload_conf()")


def test_tables_of_a_newer_program_are_left_alone(shop: Shop, bay_at: Callable[[str], Bay]) -> None:
    """Told once; nothing is written there until this program knows them."""
    with shop.engine.begin() as connection:
        migrate(connection, 0, 2)
    shop.run("UPDATE journal_about SET value = '3'")
    bay = bay_at(shop.url)
    job = new_job_id(AT)
    bay.say(job, started(job))
    bay.wait(lambda: bay.told_of() == ["server-away"])
    assert "newer program" in bay.told[0].text
    assert shop.has({})
    shop.run("UPDATE journal_about SET value = '2'")
    bay.wait(lambda: shop.has(bay.said))


def test_older_tables_are_made_new_and_keep_what_they_hold(shop: Shop, bay_at: Callable[[str], Bay]) -> None:
    """Version 1 with a job in it: the job stays as it is, the new events have their time of arrival."""
    old, job = new_job_id(AT), new_job_id(AT)
    with shop.engine.begin() as connection:
        migrate(connection, 0, 1)
        for row in numbered(old, [started(old), reading(1)], 0):
            connection.execute(
                text("INSERT INTO journal_events VALUES (:job, :seq, :type, :version, :body, :digest)"),
                columns(row),
            )
    bay = bay_at(shop.url)
    bay.say(job, started(job))
    bay.wait(lambda: shop.has({old: [started(old), reading(1)], **bay.said}))
    with shop.engine.connect() as connection:
        found = connection.execute(text("SELECT job, received IS NULL FROM journal_events"))
        assert {tuple(row) for row in found} == {(old, True), (job, False)}
        assert connection.scalar(text("SELECT value FROM journal_about WHERE key = 'schema'")) == "2"
        assert connection.scalar(text("SELECT version_num FROM journal_alembic")) == "2"


def test_a_conflict_is_set_aside_and_told_once(shop: Shop, bay_at: Callable[[str], Bay]) -> None:
    """Up to the difference it is copied, the other jobs are, too; no later start tells it again."""
    job, other = new_job_id(AT), new_job_id(AT)
    theirs = [started(job), reading(1), reading(77)]
    with shop.engine.begin() as connection:
        migrate(connection, 0, 2)
        for row in numbered(job, theirs, 0)[2:]:
            connection.execute(
                text(
                    "INSERT INTO journal_events (job, seq, type, version, body, digest) "
                    "VALUES (:job, :seq, :type, :version, :body, :digest)"
                ),
                columns(row),
            )
    bay = bay_at(shop.url)
    bay.say(job, started(job), reading(1), reading(2), reading(3))
    bay.say(other, started(other))
    bay.wait(lambda: shop.has({job: theirs, other: [started(other)]}))
    bay.wait(lambda: bay.told_of() == ["server-differs"])
    bay.say(job, reading(4))
    bay.say(other, reading(1))
    bay.wait(lambda: shop.has({job: theirs, other: [started(other), reading(1)]}))
    bay.sender.close(5)
    bay.start()
    bay.say(other, reading(2))
    bay.wait(lambda: shop.has({job: theirs, other: [started(other), reading(1), reading(2)]}))

    assert bay.told_of() == ["server-differs"]
    (line,) = (bay.path.parent / "journal.sqlite.conflicts.jsonl").read_text().splitlines()
    kept = json.loads(line)
    assert (kept["ours"]["seq"], kept["theirs"]["seq"]) == (3, 3)
    assert kept["ours"]["body"] != kept["theirs"]["body"]
    assert bay.journal.read(job) == [started(job), *map(reading, (1, 2, 3, 4))]


@pytest.mark.parametrize("gone", ["seq > 4", "seq BETWEEN 2 AND 3", "seq = 1", "true"])
def test_a_server_that_was_put_back_is_filled_up(gone: str, shop: Shop, bay_at: Callable[[str], Bay]) -> None:
    """Its end, its middle or its beginning is missing: the next session finds that out."""
    bay = bay_at(shop.url)
    job = new_job_id(AT)
    bay.say(job, started(job), *map(reading, range(1, 9)))
    bay.wait(lambda: shop.has(bay.said))
    bay.sender.close(5)
    shop.run(f"DELETE FROM journal_events WHERE {gone}")
    bay.start()
    bay.wait(lambda: shop.has(bay.said))
    assert bay.told == []


@pytest.mark.parametrize("url", ["no url", "mysql://shop/all", "sqlite:///x", ""])
def test_what_is_no_server_is_refused(url: str, tmp_path: Path) -> None:
    """In one sentence, when the program starts."""
    with pytest.raises(WrongInput, match="server"):
        Sender(tmp_path / "journal.sqlite", url, lambda _: None)
