"""Reads a local journal in the order it was written, beside the program that writes it."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.errors import BadFile
from assistant.journal.sql import digest
from assistant.journal.store import Kept


@dataclass(frozen=True, slots=True)
class Numbered:
    """One event and its place among all events of the file."""

    place: int
    row: Kept


class LocalRows:
    """The rows of a journal in SQLite; used by one thread. A file that is not there yet is empty."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._raw: sqlite3.Connection | None = None

    def after(self, place: int, most: int) -> list[Numbered]:
        """Return at most `most` events behind `place`; raises `BadFile` for a row that is damaged."""
        found = self._ask(
            "SELECT rowid, job, seq, type, version, body, digest FROM journal_events "
            "WHERE rowid > ? ORDER BY rowid LIMIT ?",
            (place, most),
        )
        rows = []
        for number, job, seq, kind, version, body, proof in found:
            row = Kept(job, seq, kind, version, body)
            if digest(row) != proof:
                raise BadFile(str(self.path), f"event {row.seq} of job {row.job} is damaged")
            rows.append(Numbered(number, row))
        return rows

    def jobs(self) -> list[str]:
        """Return the names of all jobs."""
        return [job for (job,) in self._ask("SELECT DISTINCT job FROM journal_events", ())]

    def digest(self, job: str, most: int) -> tuple[int, str]:
        """Return number and digest of the last event of a job that has at most the number `most`."""
        found = self._ask(
            "SELECT seq, digest FROM journal_events WHERE job = ? AND seq <= ? ORDER BY seq DESC LIMIT 1",
            (job, most),
        )
        return (found[0][0], found[0][1]) if found else (0, "")

    def close(self) -> None:
        """Let go of the file."""
        if self._raw is not None:
            self._raw.close()
            self._raw = None

    def _ask(self, query: str, values: tuple[object, ...]) -> list[tuple[Any, ...]]:
        """Return the rows of a query; nothing while there is no journal. No transaction stays open."""
        if self._raw is None and not self.path.is_file():
            return []
        try:
            if self._raw is None:
                self._raw = sqlite3.connect(f"{self.path.absolute().as_uri()}?mode=ro", uri=True, timeout=1)
            return self._raw.execute(query, values).fetchall()
        except sqlite3.Error as error:
            with suppress(sqlite3.Error):
                self.close()
            raise BadFile(str(self.path), str(error)) from error
