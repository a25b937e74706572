"""SQLite below a journal: opened with care, synced in full, one writer, never overwritten when bad."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, Engine, PoolProxiedConnection, create_engine, event, insert, select
from sqlalchemy.engine.interfaces import DBAPICursor
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.pool import QueuePool

from assistant.errors import BadFile, NotSaved
from assistant.job.instant import Instant
from assistant.journal.disk import SIDE_FILES, is_networked, make_folder, set_aside, sync_folder
from assistant.journal.lock import WriterLock, lock_file
from assistant.journal.salvage import UNREADABLE, salvage
from assistant.journal.sql import ABOUT, EVENTS, SqlJournal, check_schema, columns, prepare, reason
from assistant.journal.store import Notice

APPLICATION_ID = 0x574A524E
"""Marks the file as a journal of this program, at offset 68 of the SQLite header."""
MAGIC = b"SQLite format 3\0"
HEADER_BYTES = 100
BEGIN, COMMIT = "BEGIN IMMEDIATE", "COMMIT"
BUSY_MS = 400
"""How long a write waits for a stranger's lock; the talk must not stand still for half a second."""
FAILS = (SQLAlchemyError, OSError, *UNREADABLE)
"""What opening a file raises that is no file of ours, or a damaged one."""
DAMAGE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def open_sqlite(path: Path, at: Instant) -> SqlJournal:
    """Open the journal `path` for writing, or make it; `at` names a bad file that is set aside.

    Raises `InUse` when another program writes to it, `BadFile` when it is no journal of this program
    or of a newer one, `NotSaved` when the place cannot be written.
    """
    path = Path(os.path.abspath(path))
    try:
        refuse_foreign(path)
        make_folder(path.parent)
        lock = WriterLock(path)
    except OSError as error:
        raise NotSaved(f"{path}: {reason(error)}") from error
    ground = SqliteFile(path, lock)
    engine = ground.engine()
    try:
        aside, fault = _set_aside_if_bad(path, at)
        saved = salvage(aside) if aside and fault else []
        with engine.execution_options(writes=True).begin() as connection:
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            prepare(connection, str(path))
            if saved:
                connection.execute(insert(EVENTS), [columns(row) for row in saved])
        sync_folder(path.parent)
    except BaseException as error:
        engine.dispose()
        lock.release()
        if isinstance(error, FAILS):
            raise NotSaved(f"{path}: {reason(error)}") from error
        raise
    notices: tuple[Notice, ...] = ()
    if aside:
        what = f"is damaged ({fault})" if fault else "lost its main file"
        text = f"the journal {path} {what}; it was set aside as {aside.name} and a new one was begun"
        text += f", into which {len(saved)} events could be taken over" if saved else ""
        notices += (Notice("set-aside", text, str(aside)),)
    if ground.mode != "wal":
        text = f"{path} lies on a network folder or the like; it is written more slowly there, and as safely"
        notices += (Notice("without-wal", text, str(path)),)
    return SqlJournal(engine, ground, str(path), notices)


def read_sqlite(path: Path) -> SqlJournal:
    """Open the journal `path` for reading, also while another program writes to it; nothing is changed.

    Raises `BadFile` when there is none, when it is foreign, damaged or of a newer program.
    """
    path = Path(os.path.abspath(path))
    if not path.is_file():
        raise BadFile(str(path), "there is no such journal")
    ground = SqliteFile(path, None)
    engine = ground.engine()
    try:
        refuse_foreign(path)
        with engine.connect() as connection:
            check_schema(connection.scalar(select(ABOUT.c.value).where(ABOUT.c.key == "schema")), str(path))
    except BaseException as error:
        engine.dispose()
        if isinstance(error, FAILS):
            raise BadFile(str(path), reason(error)) from error
        raise
    return SqlJournal(engine, ground, str(path))


class SqliteFile:
    """One file: how it is connected to, and whether it is still the same one."""

    def __init__(self, path: Path, lock: WriterLock | None) -> None:
        self.path, self.lock = path, lock
        self._place = str(path)
        self.mode = ""
        self._wanted = "DELETE" if is_networked(path) else "WAL"
        self._identity: tuple[int, int] | None = None

    def engine(self) -> Engine:
        """Return an engine with a single connection, writing in transactions that begin at once."""
        pool = {"poolclass": QueuePool, "pool_size": 1, "max_overflow": 0, "pool_timeout": 1}
        engine = create_engine("sqlite://", creator=self.connect, **pool)
        event.listen(engine, "begin", _begin)
        return engine

    def connect(self) -> sqlite3.Connection:
        """Return a connection; durable is a commit only with full sync, so that is set and read back."""
        if self.lock is None:
            return self._connect_to_read()
        mode = "rwc" if self._identity is None else "rw"
        raw = self._raw(f"mode={mode}")
        try:
            (self.mode,) = raw.execute(f"PRAGMA journal_mode = {self._wanted}").fetchone()
            # without a write-ahead log a transaction ends by removing a file: EXTRA syncs that, too
            raw.execute(f"PRAGMA synchronous = {'FULL' if self.mode == 'wal' else 'EXTRA'}")
            raw.execute("PRAGMA fullfsync = ON")
            raw.execute("PRAGMA checkpoint_fullfsync = ON")
            (level,) = raw.execute("PRAGMA synchronous").fetchone()
            if (self.mode, level) not in (("wal", 2), ("delete", 3)):
                raise OSError(f"it cannot be written durably (journal mode {self.mode}, synchronous {level})")
        except BaseException:
            raw.close()
            raise
        self._identity = self._identity or _identity(self._place)
        return raw

    def _connect_to_read(self) -> sqlite3.Connection:
        """Return a connection that cannot write; on a read-only medium one that takes the file as it lies."""
        raw = self._raw("mode=ro")
        try:
            raw.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError as error:
            raw.close()
            if _cut_off(error):
                raw = self._raw("mode=rw")
                raw.execute("PRAGMA query_only = ON")
                return raw
            wal = Path(f"{self.path}-wal")
            if os.access(self.path.parent, os.W_OK) or (wal.exists() and wal.stat().st_size):
                raise
            return self._raw("mode=ro&immutable=1")
        return raw

    def _raw(self, how: str) -> sqlite3.Connection:
        """Connect by URI, so that no letter of the path has a meaning."""
        return sqlite3.connect(
            f"{self.path.as_uri()}?{how}",
            uri=True,
            timeout=BUSY_MS / 1000,
            isolation_level=None,
            check_same_thread=False,
        )

    def begin(self, line: PoolProxiedConnection, job: str) -> DBAPICursor:
        """Begin with the lock in hand. The file must still carry the name: a removed one takes writes."""
        if self.lock is None:
            raise OSError("it was opened for reading only")
        cursor = line.cursor()
        cursor.execute(BEGIN)
        if _identity(self._place) != self._identity:
            raise OSError("the file was moved away or replaced while it was in use; put it back")
        return cursor

    def commit(self, line: PoolProxiedConnection, cursor: DBAPICursor) -> None:
        """Commit by a statement that the driver keeps prepared; its own `commit` prepares one each time."""
        cursor.execute(COMMIT)

    def reconnects(self, error: Exception) -> bool:
        """Return true but for a full disk and a lock, where the connection is sound and reading goes on."""
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        return code not in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)

    def close(self) -> None:
        """Let the next writer in."""
        if self.lock is not None:
            self.lock.release()


def refuse_foreign(path: Path) -> None:
    """Raise `BadFile` unless `path` is absent, empty, a journal, or the ruin of one.

    A ruin is told by the mark in its header, by zeros where the header was, or by its lock file.
    """
    try:
        with path.open("rb") as file:
            header = file.read(HEADER_BYTES)
    except FileNotFoundError:
        return
    except IsADirectoryError as error:
        raise BadFile(str(path), "it is a folder", cure="name a file") from error
    ours = int.from_bytes(header[68:72], "big") == APPLICATION_ID
    ruin = not any(header) or lock_file(path).exists()
    if ours or ruin or (header.startswith(MAGIC) and _has_no_tables(path)):
        return
    raise BadFile(str(path), "it is no journal of this program; it was left alone", cure="name another file")


def _has_no_tables(path: Path) -> bool:
    """Return whether an SQLite file is empty, as it is when power went in the middle of making it."""
    try:
        raw = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, isolation_level=None)
        try:
            return bool(raw.execute("SELECT count(*) FROM sqlite_master").fetchone() == (0,))
        finally:
            raw.close()
    except UNREADABLE:
        return False


def _set_aside_if_bad(path: Path, at: Instant) -> tuple[Path | None, str]:
    """Check the file without changing it; return its new name, when it is bad, and what was wrong with it."""
    present = path.exists()
    fault = _fault(path) if present else ""
    orphan = not present and any(os.path.lexists(f"{path}{side}") for side in SIDE_FILES)
    return (set_aside(path, at) if fault or orphan else None), fault


def _cut_off(error: sqlite3.Error) -> bool:
    """Return whether power went in mid-transaction: the file's own journal has to be played back first."""
    return getattr(error, "sqlite_errorcode", 0) == sqlite3.SQLITE_READONLY_ROLLBACK


def _quick_check(path: Path, mode: str) -> str:
    """Return what SQLite says of a file that is opened in a mode."""
    uri = f"{path.as_uri()}?mode={mode}"
    with closing(sqlite3.connect(uri, uri=True, timeout=BUSY_MS / 1000, isolation_level=None)) as raw:
        (answer,) = raw.execute("PRAGMA quick_check(1)").fetchone()
    return str(answer)


def _fault(path: Path) -> str:
    """Return what a quick check finds wrong, or nothing; a bad file stays as it is.

    It is only read, but for the playing back of a transaction that power cut off.
    """
    if path.stat().st_size == 0:
        return ""
    try:
        answer = _quick_check(path, "ro")
    except UnicodeError:
        return "its schema is garbled"
    except sqlite3.DatabaseError as error:
        code = getattr(error, "sqlite_errorcode", 0)
        if code & 0xFF in DAMAGE or code == sqlite3.SQLITE_IOERR_SHORT_READ:
            return str(error)
        if not _cut_off(error):
            raise
        answer = _quick_check(path, "rw")
    return "" if answer == "ok" else " ".join(str(answer).split())


def _begin(connection: Connection) -> None:
    """Begin a writing transaction with the lock in hand, so that it cannot fail for that later."""
    writes = connection.get_execution_options().get("writes")
    connection.exec_driver_sql(BEGIN if writes else "BEGIN")


def _identity(path: str) -> tuple[int, int] | None:
    """Return what tells a file from another that came to carry its name, None when there is none."""
    try:
        found = os.stat(path)  # as text: on a path object it takes twice as long
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino
