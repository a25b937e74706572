"""Reads what can still be read of a damaged SQLite journal, row by row, each proved by its digest."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path

from assistant.journal.sql import digest
from assistant.journal.store import Kept

NEAR = 64
"""Row numbers tried one by one behind one that cannot be read; then ever larger steps are taken."""
FAR = 1 << 40
"""The largest step, far beyond any journal."""
ROW = (
    "SELECT rowid, job, seq, type, version, body, digest FROM journal_events NOT INDEXED "
    "WHERE rowid >= ? ORDER BY rowid LIMIT 1"
)
UNREADABLE = (sqlite3.Error, UnicodeError)
"""What reading a damaged file raises: the driver cannot even tell an error that quotes a garbled name."""


def salvage(path: Path) -> list[Kept]:
    """Return of each job of a bad file the events from its first to the last before a gap.

    The file is only read. An event behind a gap stays in it: a job cannot be told with a hole in it.
    """
    raw = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, isolation_level=None)
    raw.text_factory = lambda text: text.decode("utf-8", "replace")
    try:
        return unbroken(_readable(raw))
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
    place: int | None = 1
    while place is not None:
        try:
            found = raw.execute(ROW, (place,)).fetchone()
        except UNREADABLE:
            place = _behind(raw, place)
            continue
        if found is None:
            return
        place = found[0] + 1
        row = Kept(*found[1:6])
        if digest(row) == found[6]:
            yield row


def _behind(raw: sqlite3.Connection, failed: int) -> int | None:
    """Return the first row number behind a damaged page, None where nothing more can be read.

    A page holds a run of numbers: its end is found by doubling the step, then by halving it.
    """
    for place in range(failed + 1, failed + NEAR):
        if _answers(raw, place):
            return place
    low, step = failed + NEAR - 1, 1
    while not _answers(raw, low + step):
        low, step = low + step, step * 2
        if step > FAR:
            return None
    high = low + step
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _answers(raw, middle) else (middle, high)
    return high


def _answers(raw: sqlite3.Connection, place: int) -> bool:
    """Return whether the first row from a number on can be read, or there is none."""
    try:
        raw.execute(ROW, (place,)).fetchone()
    except UNREADABLE:
        return False
    return True
