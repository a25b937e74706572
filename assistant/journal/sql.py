"""The durable journal: one table of events, by SQLAlchemy Core, on SQLite and on PostgreSQL.

What the two need apart from that (locks, checks on opening, connection settings) is in `sqlite` and
`postgres`; each gives a `Ground`. A journal is used by one thread at a time.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Protocol

from sqlalchemy import (
    Column,
    Connection,
    Engine,
    Insert,
    Integer,
    MetaData,
    PoolProxiedConnection,
    Select,
    String,
    Table,
    Text,
    and_,
    bindparam,
    func,
    insert,
    inspect,
    select,
)
from sqlalchemy.engine.interfaces import DBAPICursor
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from assistant.errors import BadFile, NotSaved
from assistant.job.events import Event
from assistant.journal.codec import instant_of
from assistant.journal.migrations import migrate
from assistant.journal.store import JobRow, Journal, Kept, Notice, numbered

STORE_SCHEMA, SERVER_SCHEMA = 1, 2
"""Version of the tables of a file and of a server; one with a higher version belongs to a newer program."""

_META = MetaData()
ABOUT = Table("journal_about", _META, Column("key", String(64), primary_key=True), Column("value", Text))
EVENTS = Table(
    "journal_events",
    _META,
    Column("job", String(64), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("type", String(64), nullable=False),
    Column("version", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("digest", String(32), nullable=False),
)

_INSERT = insert(EVENTS)
_LAST = select(func.max(EVENTS.c.seq)).where(EVENTS.c.job == bindparam("job"))


class Ground(Protocol):
    """What is particular to one kind of database."""

    def begin(self, line: PoolProxiedConnection, job: str) -> DBAPICursor:
        """Begin to write to `job`, and return what to do it with; raises `OSError` where that may not be."""

    def commit(self, line: PoolProxiedConnection, cursor: DBAPICursor) -> None:
        """Make durable what was written through the cursor of `begin`."""

    def reconnects(self, error: Exception) -> bool:
        """Return whether a new connection is called for after `error`, one of the driver."""

    def close(self) -> None:
        """Let go of what is held outside the connection."""


class SqlJournal(Journal):
    """Events in a table, numbered per job; made by `open_journal`."""

    def __init__(self, engine: Engine, ground: Ground, name: str, notices: tuple[Notice, ...] = ()) -> None:
        self.name, self.notices = name, notices
        self._engine, self._ground = engine, ground
        self._insert_row = Prepared(_INSERT, engine)
        self._ask_last = Prepared(_LAST, engine)
        self._driver = engine.dialect.loaded_dbapi
        self._line: PoolProxiedConnection | None = None
        """The one connection, kept at hand between appends."""
        self._last: dict[str, int] = {}
        self._closed = False

    def append(self, job: str, events: Sequence[Event]) -> None:
        """Write `events` at the end of `job` in one transaction; durable when it returns."""
        rows = numbered(job, events, 0)
        if not rows:
            return
        if self._closed:
            raise NotSaved(f"{self.name}: the journal is closed")
        try:
            self._insert(job, rows)
        except NotSaved:
            raise
        except BadFile as error:
            raise NotSaved(str(error)) from error
        except (SQLAlchemyError, self._driver.Error, OSError) as error:
            cause = error.orig if isinstance(error, DBAPIError) else error
            if isinstance(cause, self._driver.Error) and self._ground.reconnects(cause):
                self._engine.dispose()
            raise NotSaved(f"{self.name}: {reason(error)}") from error

    def _insert(self, job: str, rows: list[Kept]) -> None:
        """Insert rows (numbered from 1) behind those of the job, in one transaction.

        The statements are SQLAlchemy's, compiled once; its own way of running them would cost more than
        the disk does.
        """
        line = self._line = self._line or self._engine.raw_connection()
        try:
            cursor = self._ground.begin(line, job)
            if job not in self._last:
                cursor.execute(self._ask_last.text, self._ask_last.values({"job": job}))
                ((last,),) = cursor.fetchall()
                self._last[job] = last or 0
            after = self._last[job]
            placed: list[Any] = [self._insert_row.values(columns(row, after)) for row in rows]
            cursor.executemany(self._insert_row.text, placed)
            self._ground.commit(line, cursor)
        except self._driver.IntegrityError:
            self._let_go()
            self._catch_up(job, rows)
        except BaseException:
            self._let_go()
            raise
        else:
            self._last[job] += len(rows)

    def _let_go(self) -> None:
        """Give the connection back to the pool, which ends a transaction that was left open."""
        line, self._line = self._line, None
        if line is not None:
            line.close()

    def _catch_up(self, job: str, rows: list[Kept]) -> None:
        """Numbers are taken: by these very rows, when an answer was lost on the way, or by a stranger."""
        last = self._last[job]
        theirs = [columns(row, 0) for row in self.kept(job) if row.seq > last]
        ours = [columns(row, last) for row in rows]
        if not theirs or theirs != ours[: len(theirs)]:
            raise NotSaved(f"{self.name}: another program wrote to job {job}; resume it to go on")
        self._last[job] = last + len(theirs)
        if len(theirs) < len(rows):
            rest = [
                Kept(job, place, r.type, r.version, r.body) for place, r in enumerate(rows[len(theirs) :], 1)
            ]
            self._insert(job, rest)

    def kept(self, job: str) -> list[Kept]:
        """Return the events of `job` as they are kept, each checked against its digest."""
        query = select(EVENTS).where(EVENTS.c.job == job).order_by(EVENTS.c.seq)
        with self._reading() as connection:
            found = connection.execute(query).all()
        rows = []
        for *written, proof in found:
            row = Kept(*written)
            if digest(row) != proof:
                raise BadFile(self.name, f"event {row.seq} of job {job} is damaged", cure="restore a backup")
            rows.append(row)
        return rows

    def jobs(self) -> list[JobRow]:
        """Return one row per job, the one that began first in front."""
        ends = (
            select(
                EVENTS.c.job,
                func.count().label("events"),
                func.min(EVENTS.c.seq).label("first"),
                func.max(EVENTS.c.seq).label("last"),
            )
            .group_by(EVENTS.c.job)
            .subquery()
        )
        first, last = EVENTS.alias(), EVENTS.alias()
        query = (
            select(ends.c.job, first.c.body, last.c.body, ends.c.events)
            .join(first, and_(first.c.job == ends.c.job, first.c.seq == ends.c.first))
            .join(last, and_(last.c.job == ends.c.job, last.c.seq == ends.c.last))
        )
        with self._reading() as connection:
            found = connection.execute(query).all()
        rows = [
            JobRow(job, instant_of(begun), instant_of(latest), count) for job, begun, latest, count in found
        ]
        return sorted(rows, key=lambda row: (row.first.utc_ms, row.id))

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        """Give a connection to read from; failures become `BadFile`."""
        if self._closed:
            raise BadFile(self.name, "the journal is closed")
        try:
            self._let_go()
            with self._engine.connect() as connection:
                yield connection
        except (SQLAlchemyError, OSError) as error:
            raise BadFile(self.name, reason(error)) from error

    def close(self) -> None:
        """Close the connection and let go of the lock."""
        if not self._closed:
            self._closed = True
            self._let_go()
            self._engine.dispose()
            self._ground.close()


class Prepared:
    """A statement of SQLAlchemy in the words of one driver."""

    def __init__(self, statement: Insert | Select[tuple[int]], engine: Engine) -> None:
        compiled = statement.compile(dialect=engine.dialect)
        self.text = compiled.string
        self._names = compiled.positiontup

    def values(self, row: dict[str, object]) -> dict[str, object] | tuple[object, ...]:
        """Return the values of a row in the form the driver takes them."""
        return row if self._names is None else tuple([row[name] for name in self._names])


def prepare(connection: Connection, name: str) -> None:
    """Make the tables of a file where they are missing; raises `BadFile` when a newer program made them."""
    _META.create_all(connection)
    schema = connection.scalar(select(ABOUT.c.value).where(ABOUT.c.key == "schema"))
    if schema is None:
        connection.execute(insert(ABOUT), [{"key": "schema", "value": str(STORE_SCHEMA)}])
    elif check_schema(schema, name) < STORE_SCHEMA:
        migrate(connection, int(schema), STORE_SCHEMA)


def server_version(connection: Connection, name: str) -> int:
    """Return the version of a server's tables, 0 where there are none; raises `BadFile` for newer ones."""
    if not inspect(connection).has_table(ABOUT.name):
        return 0
    schema = connection.scalar(select(ABOUT.c.value).where(ABOUT.c.key == "schema"))
    return check_schema(schema, name, SERVER_SCHEMA)


def check_schema(schema: str | None, name: str, known: int = STORE_SCHEMA) -> int:
    """Return the version `schema` as a number; raise `BadFile` unless this program knows such tables."""
    if schema is None or not schema.isdecimal() or not 0 < int(schema) <= known:
        why = f"it was made by a newer program (its tables have version {schema})"
        raise BadFile(name, why, cure="install that version or a later one; nothing was changed")
    return int(schema)


def reason(error: Exception) -> str:
    """Return the cause of a failure as the database or the system gives it, on one line."""
    cause = error.orig if isinstance(error, DBAPIError) and error.orig is not None else error
    if isinstance(cause, OSError) and cause.strerror:
        return cause.strerror
    return " ".join(str(cause).split())


def columns(row: Kept, after: int = 0) -> dict[str, object]:
    """Return the columns of a row whose number is counted on from `after`."""
    placed = row._replace(seq=row.seq + after) if after else row
    return {**placed._asdict(), "digest": digest(placed)}


def digest(row: Kept) -> str:
    """Return a digest over all of a row: SQLite itself does not notice a changed letter."""
    whole = f"{row.job}\n{row.seq}\n{row.type}\n{row.version}\n{row.body}"
    return hashlib.sha256(whole.encode()).hexdigest()[:32]
