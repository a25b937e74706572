"""PostgreSQL below a journal: given by URL; many programs may write to it, one at a time to a job."""

from __future__ import annotations

from sqlalchemy import URL, Connection, Engine, PoolProxiedConnection, create_engine, text
from sqlalchemy.engine.interfaces import DBAPICursor
from sqlalchemy.exc import SQLAlchemyError

from assistant.errors import MissingPart, NotSaved, WrongInput
from assistant.journal.migrations import migrate
from assistant.journal.sql import SERVER_SCHEMA, SqlJournal, reason, server_version

CONNECT_S = 2
WAIT_MS = 2000
"""How long a statement, or a silent line, may hold up a job before it counts as failed."""
LOCK_MS = 400
SETUP_LOCK = 0x574A524E


KEEPALIVE = {"keepalives_idle": 10, "keepalives_interval": 2, "keepalives_count": 3}
"""A line that was cut while nothing is under way is noticed after 16 s."""


def engine_of(url: URL) -> Engine:
    """Return an engine of one connection, durable and with bounded waits; nothing is connected yet.

    Raises `MissingPart` without the driver, `WrongInput` for a URL of another database.
    """
    if url.get_backend_name() != "postgresql":
        raise WrongInput(f"{url.drivername} is no kind of journal; give a file or postgresql://...")
    settings = f"-c synchronous_commit=on -c statement_timeout={WAIT_MS} -c lock_timeout={LOCK_MS}"
    try:
        return create_engine(
            url.set(drivername="postgresql+psycopg"),
            pool_size=1,
            max_overflow=0,
            pool_timeout=1,
            connect_args={
                "connect_timeout": CONNECT_S, "tcp_user_timeout": WAIT_MS, "options": settings, **KEEPALIVE
            },
        )  # fmt: skip
    except ImportError as error:
        raise MissingPart("a PostgreSQL journal needs its driver: pip install 'psycopg[binary]'") from error


def open_postgres(url: URL) -> SqlJournal:
    """Open the journal in the database `url`, making its tables where they are missing.

    Raises as `engine_of` does, `NotSaved` when the server cannot be reached, `BadFile` when a newer
    program made the tables.
    """
    engine = engine_of(url)
    name = url.render_as_string(hide_password=True)
    try:
        with engine.begin() as connection:
            set_up(connection, name)
    except BaseException as error:
        engine.dispose()
        if isinstance(error, SQLAlchemyError | OSError):
            raise NotSaved(f"{name}: {reason(error)}") from error
        raise
    return SqlJournal(engine, PostgresServer(), name)


def set_up(connection: Connection, name: str) -> None:
    """Make or renew the tables of a server, one program at a time; raises `BadFile` for newer ones.

    Where nothing is to be done nothing is locked, so that many may come at once.
    """
    if server_version(connection, name) < SERVER_SCHEMA:
        connection.execute(text(f"SET LOCAL lock_timeout = {WAIT_MS}"))
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": SETUP_LOCK})
        migrate(connection, server_version(connection, name), SERVER_SCHEMA)


class PostgresServer:
    """The server's locks: one session at a time writes to a job; they end with the session."""

    def begin(self, line: PoolProxiedConnection, job: str) -> DBAPICursor:
        """Take the lock of `job` once per session; a session that ended took its locks with it."""
        held: set[str] = line.info.setdefault("jobs", set())
        cursor = line.cursor()
        if job not in held:
            cursor.execute("SELECT pg_try_advisory_lock(hashtextextended(%s, 0))", (job,))
            if not all(cursor.fetchall()[0]):
                raise OSError(f"another program is writing to job {job}; end that one first")
            held.add(job)
        return cursor

    def commit(self, line: PoolProxiedConnection, cursor: DBAPICursor) -> None:
        """Commit as the driver does it: it keeps account of the transaction."""
        line.commit()

    def reconnects(self, error: Exception) -> bool:
        """Return true: whatever went wrong, a new session is cheap."""
        return True

    def close(self) -> None:
        """Nothing is held outside the session."""
