"""What every journal can do: append durably, read back, list the jobs.

A store is append-only. `append` returns only when its events are durable; on any failure it raises
`NotSaved` and none of its events is in the store (or, when the answer was lost on the way, the same
events given again are recognised and not written twice).
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from types import TracebackType
from typing import Literal, NamedTuple, Self

from assistant.errors import BadFile, WrongInput
from assistant.job.events import Event
from assistant.job.instant import Instant
from assistant.journal.codec import decode, encode


class Kept(NamedTuple):
    """One event as a store keeps it; `seq` counts from 1 within its job, without gaps."""

    job: str
    seq: int
    type: str
    version: int
    body: str


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job of a journal, for a list."""

    id: str
    first: Instant
    last: Instant
    events: int


BESIDE = "waste-"
"""Begins the name of what was told beside any job, such as waste handed over: one event by itself."""


class InUse(WrongInput):
    """Another running program writes to this journal, or to this job; the text says what to do."""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something the user has to be told about a store that is used all the same."""

    what: Literal["set-aside", "without-wal", "not-open", "server-away", "server-differs"]
    text: str
    path: str


class Journal(ABC):
    """An append-only store of the events of jobs; use it as a context manager or close it."""

    name: str
    """What to call this store in a sentence: its file, or its server without the password."""
    notices: tuple[Notice, ...] = ()

    @abstractmethod
    def append(self, job: str, events: Sequence[Event]) -> None:
        """Write `events` at the end of `job` in one transaction; durable when it returns.

        Raises `NotSaved` when the store could not do it, `WrongInput` for an event no store can keep.
        """

    @abstractmethod
    def kept(self, job: str) -> list[Kept]:
        """Return the events of `job` as they are kept, in order; empty for an unknown job.

        Raises `BadFile` when the store cannot be read.
        """

    @abstractmethod
    def jobs(self) -> list[JobRow]:
        """Return one row per name, the one that began first in front; see also `work`."""

    @abstractmethod
    def close(self) -> None:
        """Give everything back; closing twice is harmless."""

    def work(self) -> list[JobRow]:
        """Return the rows that are jobs, without what was told beside any."""
        return [row for row in self.jobs() if not row.id.startswith(BESIDE)]

    def beside(self) -> list[JobRow]:
        """Return the rows that were told beside any job."""
        return [row for row in self.jobs() if row.id.startswith(BESIDE)]

    def first(self, job: str) -> Kept | None:
        """Return the first event of `job` as it is kept, None for an unknown job."""
        return next(iter(self.kept(job)), None)

    def read(self, job: str) -> list[Event]:
        """Return the events of `job` in order, lifted to their current versions.

        Raises `UnknownEvent` when a newer program wrote one, `BadFile` when one is damaged or missing.
        """
        found = []
        for place, row in enumerate(self.kept(job), start=1):
            if row.seq != place:
                raise BadFile(self.name, f"event {place} of job {job} is missing", cure="restore a backup")
            try:
                found.append(decode(row.type, row.version, row.body))
            except WrongInput as error:
                why = f"event {place} of job {job} cannot be read: {error}"
                raise BadFile(self.name, why, cure="restore a backup") from error
        return found

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def numbered(job: str, events: Sequence[Event], after: int) -> list[Kept]:
    """Return `events` as they are kept, numbered on from `after`; `WrongInput` for one that cannot be."""
    if not job:
        raise WrongInput("a job needs a name")
    return [Kept(job, after + place, *encode(event)) for place, event in enumerate(events, start=1)]
