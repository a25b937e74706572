"""A journal in memory: the same behaviour as the durable ones, gone when the program ends."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.errors import NotSaved
from assistant.job.events import Event
from assistant.journal.codec import instant_of
from assistant.journal.store import JobRow, Journal, Kept, numbered


class MemoryJournal(Journal):
    """Keeps encoded events in a dictionary; what to use when no place to write is left."""

    def __init__(self) -> None:
        self.name = "memory"
        self._kept: dict[str, list[Kept]] = {}
        self._closed = False

    def append(self, job: str, events: Sequence[Event]) -> None:
        """Keep `events` at the end of `job`."""
        if self._closed:
            raise NotSaved("memory: the journal is closed")
        after = len(self._kept.get(job, ()))
        rows = numbered(job, events, after)
        if rows:
            self._kept.setdefault(job, []).extend(rows)

    def kept(self, job: str) -> list[Kept]:
        """Return the events of `job` as they are kept."""
        return list(self._kept.get(job, ()))

    def jobs(self) -> list[JobRow]:
        """Return one row per job, the one that began first in front."""
        rows = [
            JobRow(job, instant_of(kept[0].body), instant_of(kept[-1].body), len(kept))
            for job, kept in self._kept.items()
        ]
        return sorted(rows, key=lambda row: (row.first.utc_ms, row.id))

    def close(self) -> None:
        """Take nothing more; what was kept can still be read."""
        self._closed = True
