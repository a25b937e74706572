"""A consistent copy of a journal in SQLite, also while a job writes to it, and its way back."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from assistant.errors import BadFile, NotSaved
from assistant.job.instant import Instant
from assistant.journal.disk import SIDE_FILES, make_folder, set_aside, sync_folder
from assistant.journal.lock import WriterLock
from assistant.journal.salvage import UNREADABLE
from assistant.journal.sql import reason
from assistant.journal.sqlite import APPLICATION_ID, read_sqlite


def copy_journal(journal: Path, to: Path) -> int:
    """Copy the journal as it is at this moment into the new file `to`; return how many events it holds.

    The writer is not held up. Raises `BadFile` when the journal is damaged, `NotSaved` for a full disk.
    """
    read_sqlite(journal).close()
    try:
        with (
            closing(sqlite3.connect(f"{journal.resolve().as_uri()}?mode=ro", uri=True)) as source,
            closing(sqlite3.connect(to)) as copy,
        ):
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
    except UNREADABLE as error:
        raise NotSaved(f"{to}: {reason(error)}") from error
    return check_journal(to)


def check_journal(path: Path) -> int:
    """Return how many events a journal holds, all of them read and each proved by its digest.

    Raises `BadFile` when a page, a row or a number is not as it must be.
    """
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as raw:
            (answer,) = raw.execute("PRAGMA integrity_check(1)").fetchone()
            (mark,) = raw.execute("PRAGMA application_id").fetchone()
    except UNREADABLE as error:
        raise BadFile(str(path), f"it is no sound journal: {error}") from error
    if answer != "ok" or mark != APPLICATION_ID:
        raise BadFile(str(path), "it is no sound journal" + (f": {answer}" if answer != "ok" else ""))
    count = 0
    with read_sqlite(path) as copy:
        for job in copy.jobs():
            rows = copy.kept(job.id)
            if [row.seq for row in rows] != list(range(1, len(rows) + 1)):
                raise BadFile(str(path), f"events of job {job.id} are missing")
            count += len(rows)
    return count


def put_back(copy: Path, journal: Path, at: Instant, aside: bool) -> Path | None:
    """Give the checked journal `copy` (in the same folder) the name `journal`.

    A journal that is there is set aside, or, unless `aside` is set, left alone with `BadFile`; return
    its new name. Raises `InUse` while a program writes to it.
    """
    make_folder(journal.parent)
    lock = WriterLock(journal)
    try:
        there = [side for side in ("", *SIDE_FILES) if os.path.lexists(f"{journal}{side}")]
        if there and not aside:
            raise BadFile(str(journal), "there is a journal, and it is not overwritten", cure="--set-aside")
        former = set_aside(journal, at) if there else None
        os.rename(copy, journal)
        sync_folder(journal.parent)
        return former
    finally:
        lock.release()
        with suppress(OSError):
            copy.unlink(missing_ok=True)
