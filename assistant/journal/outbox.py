"""Durable first: what could not be written stays in memory, marked, and goes first the next time."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from assistant.errors import NotSaved
from assistant.job.events import Event
from assistant.journal.codec import encode
from assistant.journal.store import Journal


@dataclass(frozen=True, slots=True)
class Saved:
    """Everything given is durable; `caught_up` events of earlier failures became so just now."""

    caught_up: int = 0


@dataclass(frozen=True, slots=True)
class Unsaved:
    """The events given are in memory only: say so, never that they are kept; `pending` counts all such."""

    reason: str
    pending: int


class DurableFirst:
    """Writes to a journal in the order given; a failure holds back everything after it, and loses nothing."""

    def __init__(self, journal: Journal, written: Callable[[], None] = lambda: None) -> None:
        """`written` is called after something became durable; it must return at once."""
        self.journal = journal
        self._written = written
        self._waiting: deque[tuple[str, tuple[Event, ...]]] = deque()

    def append(self, job: str, events: Sequence[Event]) -> Saved | Unsaved:
        """Write what waits, then `events`; never raises for a store that fails.

        Raises `WrongInput` for an event that no store could keep; nothing is held back then.
        """
        if self._waiting or not events:
            reason = ""
        elif not (reason := self._refused(job, events)):
            return Saved()
        for event in events:  # a store that failed may not have looked at them
            encode(event)
        if events:
            self._waiting.append((job, tuple(events)))
        return Unsaved(reason, len(self.pending())) if reason else self._write(given=len(events))

    def retry(self) -> Saved | Unsaved:
        """Write what waits, without anything new."""
        return self._write(given=0)

    def pending(self, job: str | None = None) -> list[Event]:
        """Return the events that are in memory only, of one job or of all, oldest first."""
        return [event for name, batch in self._waiting if job in (None, name) for event in batch]

    def _write(self, given: int) -> Saved | Unsaved:
        """Write batch by batch, each in one transaction; a batch leaves memory only when it is durable."""
        written = 0
        while self._waiting:
            job, batch = self._waiting[0]
            if reason := self._refused(job, batch):
                return Unsaved(reason, len(self.pending()))
            self._waiting.popleft()
            written += len(batch)
        return Saved(caught_up=written - given)

    def _refused(self, job: str, batch: Sequence[Event]) -> str:
        """Write one batch; return why it was not possible, or nothing when the batch is durable."""
        try:
            self.journal.append(job, batch)
        except NotSaved as error:
            return str(error) or "it could not be written"
        self._written()
        return ""
