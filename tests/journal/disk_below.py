"""A disk below SQLite that notes every write and sync, can fail, and can be cut off from power.

A virtual file system (by apsw, with SQLite's own code on top) notes what the real journal code does to
its files. `after_power_cut` then makes the files a power cut may leave: what was synced is there; of what
was not, each write is there, lost, or torn at the boundaries of 512-byte sectors, in any order.
"""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import apsw
import pytest

from assistant.journal import sqlite as ground
from assistant.journal.disk import sync_folder

SECTOR = 512
VFS = "noting"


@dataclass(frozen=True)
class Op:
    """One thing done to a file, or a mark of the test between two of them."""

    kind: str
    file: str = ""
    at: int = 0
    data: bytes = b""


class Disk(apsw.VFS):
    """Passes everything to the system's disk and notes it."""

    def __init__(self) -> None:
        self.log: list[Op] = []
        self.fails_at = -1
        """The number of the operation that fails, counted as they are noted."""
        self.how = apsw.IOError
        super().__init__(VFS, "")

    def note(self, op: Op) -> None:
        """Keep an operation, or fail instead of doing it."""
        number = len(self.log)
        self.log.append(op)
        if number == self.fails_at and op.kind in ("write", "sync", "truncate"):
            raise self.how("a fault of the disk, made for this test")

    def xOpen(self, name: Any, flags: list[int]) -> apsw.VFSFile:  # noqa: N802 - SQLite's name
        """Open a file that notes."""
        return _File(self, name, flags)

    def xDelete(self, filename: str, syncdir: bool) -> None:  # noqa: N802 - SQLite's name
        """Remove a file; whether that is durable is up to `syncdir`."""
        super().xDelete(filename, syncdir)
        self.log.append(Op("delete", Path(filename).name, int(syncdir)))


class _File(apsw.VFSFile):
    def __init__(self, disk: Disk, name: Any, flags: list[int]) -> None:
        self._disk = disk
        path = name.filename() if isinstance(name, apsw.URIFilename) else name
        self._name = Path(path).name if path else ""
        super().__init__("", name, flags)

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802 - SQLite's name
        self._disk.note(Op("write", self._name, offset, bytes(data)))
        super().xWrite(data, offset)

    def xTruncate(self, newsize: int) -> None:  # noqa: N802 - SQLite's name
        self._disk.note(Op("truncate", self._name, newsize))
        super().xTruncate(newsize)

    def xSync(self, flags: int) -> None:  # noqa: N802 - SQLite's name
        self._disk.note(Op("sync", self._name))
        super().xSync(flags)


class _Cursor:
    """The few things of a cursor that SQLAlchemy needs, on one of apsw's."""

    arraysize = 1
    lastrowid = None

    def __init__(self, raw: apsw.Cursor) -> None:
        self._raw, self.description, self.rowcount = raw, None, -1
        self._rows: Iterator[Any] = iter(())

    def _described(self, cursor: apsw.Cursor, sql: str, values: object) -> bool:
        columns = cursor.get_description()
        self.description = tuple((*one[:1], *[None] * 6) for one in columns) or None  # type: ignore[assignment]
        return True

    def execute(self, sql: str, values: Any = ()) -> _Cursor:
        return self.executemany(sql, [values])

    def executemany(self, sql: str, values: Iterable[Any]) -> _Cursor:
        """Run a statement to its end, so that none stays open."""
        self._raw.exec_trace = self._described
        with _as_sqlite3():
            self._rows = iter([row for one in values for row in self._raw.execute(sql, one or None)])
        self._raw.exec_trace = None
        return self

    def fetchone(self) -> Any:
        return next(self._rows, None)

    def fetchall(self) -> list[Any]:
        return list(self._rows)

    def fetchmany(self, size: int = 1) -> list[Any]:
        return self.fetchall()

    def close(self) -> None:
        self._raw.close(True)


class _Connection:
    """The few things of a connection that SQLAlchemy and the journal need, on one of apsw's."""

    isolation_level = None

    def __init__(self, uri: str, busy_s: float) -> None:
        flags = apsw.SQLITE_OPEN_READWRITE | apsw.SQLITE_OPEN_CREATE | apsw.SQLITE_OPEN_URI
        with _as_sqlite3():
            self._raw = apsw.Connection(uri, flags=flags, vfs=VFS)
        self._raw.set_busy_timeout(round(1000 * busy_s))

    def cursor(self) -> _Cursor:
        return _Cursor(self._raw.cursor())

    def execute(self, sql: str, values: Any = ()) -> _Cursor:
        return self.cursor().execute(sql, values)

    def create_function(self, name: str, arguments: int, function: Any, **_: object) -> None:
        self._raw.create_scalar_function(name, function, arguments)

    def commit(self) -> None:
        if not self._raw.get_autocommit():
            self.execute("COMMIT")

    def rollback(self) -> None:
        if not self._raw.get_autocommit():
            self.execute("ROLLBACK")

    def close(self) -> None:
        with _as_sqlite3():
            self._raw.close(True)


@contextmanager
def _as_sqlite3() -> Iterator[None]:
    """Raise apsw's errors as those of the standard library, with their code."""
    try:
        yield
    except apsw.Error as error:
        code = getattr(error, "extendedresult", 0)
        sort = sqlite3.IntegrityError if code & 0xFF == apsw.SQLITE_CONSTRAINT else sqlite3.OperationalError
        mapped = sort(str(error))
        mapped.sqlite_errorcode = code
        raise mapped from error


@contextmanager
def noted(patch: pytest.MonkeyPatch, networked: bool = False) -> Iterator[Disk]:
    """Put the noting disk below every journal that is opened for writing while the block runs."""
    disk = Disk()

    def raw(file: ground.SqliteFile, how: str) -> Any:
        return _Connection(f"{file.path.as_uri()}?{how}", ground.BUSY_MS / 1000)

    def synced(folder: Path) -> None:
        sync_folder(folder)
        disk.log.append(Op("folder"))

    with patch.context() as inner:
        inner.setattr(ground.SqliteFile, "_raw", raw)
        inner.setattr(ground, "is_networked", lambda _: networked)
        inner.setattr(ground, "sync_folder", synced)
        try:
            yield disk
        finally:
            disk.unregister()


def after_power_cut(log: list[Op], chance: random.Random, folder: Path) -> None:
    """Make the files as they may be when power failed behind the last operation of `log`."""
    durable, pending = _standing(log)
    lucky = chance.random()
    for ops in pending.values():
        for op in ops:
            if chance.random() < lucky:
                _apply(durable, op)
            elif op.kind == "write" and chance.random() < 0.5:
                for start in range(0, len(op.data), SECTOR):
                    if chance.random() < 0.5:
                        _apply(durable, Op("write", op.file, op.at + start, op.data[start : start + SECTOR]))
    for name, content in durable.items():
        (folder / name).write_bytes(content)


def _standing(log: list[Op]) -> tuple[dict[str, bytearray], dict[str, list[Op]]]:
    """Return what is durable of each file, and what was done to it since."""
    durable: dict[str, bytearray] = {}
    pending: dict[str, list[Op]] = {}
    named: set[str] = set()
    for op in log:
        if op.kind == "sync":
            for earlier in pending.pop(op.file, []):
                _apply(durable, earlier)
            durable.setdefault(op.file, bytearray())
        elif op.kind in ("write", "truncate", "delete"):
            pending.setdefault(op.file, []).append(op)
        # with the first sync of a new file SQLite syncs the folder, too: names that went are gone for good
        if (
            op.kind == "folder"
            or (op.kind == "delete" and op.at)
            or (op.kind == "sync" and op.file not in named)
        ):
            _settle_names(durable, pending)
        if op.kind == "sync":
            named.add(op.file)
        elif op.kind == "delete":
            named.discard(op.file)
    return durable, pending


def _settle_names(durable: dict[str, bytearray], pending: dict[str, list[Op]]) -> None:
    """Make removals durable; what was done to a file before it was removed is of no account."""
    for name, ops in pending.items():
        last = max((place for place, op in enumerate(ops) if op.kind == "delete"), default=-1)
        if last >= 0:
            durable.pop(name, None)
            del ops[: last + 1]


def _apply(files: dict[str, bytearray], op: Op) -> None:
    if op.kind == "delete":
        files.pop(op.file, None)
        return
    content = files.setdefault(op.file, bytearray())
    end = op.at + len(op.data)
    if len(content) < end:
        content.extend(bytes(end - len(content)))
    if op.kind == "truncate":
        del content[op.at :]
    else:
        content[op.at : end] = op.data
