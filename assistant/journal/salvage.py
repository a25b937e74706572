"""Reads what can still be read of a damaged SQLite journal, row by row, each proved by its digest."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path

from assistant.journal.sql import digest
from assistant.journal.store import Kept

LARGEST_GAP = 5000
"""Row numbers tried in vain before the rest is given up: far more rows than one page holds."""
ROW = (
    "SELECT rowid, job, seq, type, version, body, digest FROM journal_events NOT INDEXED "
    "WHERE rowid >= ? ORDER BY rowid LIMIT 1"
)


def salvage(path: Path) -> list[Kept]:
    """Return of each job of a bad file the events from its first to the last before a gap.

    The file is only read. An event behind a gap stays in it: a job cannot be told with a hole in it.
    """
    raw = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, isolation_level=None)
    raw.text_factory = lambda text: text.decode("utf-8", "replace")
    try:
        return unbroken(_readable(raw))
    except sqlite3.Error:
        return []
    finally:
        raw.close()


def unbroken(rows: Iterable[Kept]) -> list[Kept]:
    """Return the rows of each job that are numbered from 1 without a gap, in order."""
    jobs: dict[str, dict[int, Kept]] = {}
    for row in rows:
        jobs.setdefault(row.job, {})[row.seq] = row
    kept = []
    for numbered in jobs.values():
        place = 1
        while place in numbered:
            kept.append(numbered[place])
            place += 1
    return kept


def _readable(raw: sqlite3.Connection) -> Iterator[Kept]:
    """Yield every row that can be read and agrees with its digest, stepping over pages that cannot."""
    place, failures = 1, 0
    while failures < LARGEST_GAP:
        try:
            found = raw.execute(ROW, (place,)).fetchone()
        except sqlite3.DatabaseError:
            place, failures = place + 1, failures + 1
            continue
        if found is None:
            return
        place, failures = found[0] + 1, 0
        row = Kept(*found[1:6])
        if digest(row) == found[6]:
            yield row
