"""Invented events of an invented workshop."""

from __future__ import annotations

from assistant.job.events import Event, JobStarted, NoteTaken, ReadingHeard
from assistant.job.instant import Instant

AT = Instant(1_793_600_000_000, "boot-one", 60_000)


def started(job: str, at: Instant = AT) -> Event:
    """Return the beginning of a job."""
    procedure = {
        "name": "rinse-the-sump",
        "steps": [{"id": "one", "awaits": None, "optional": True, "lines": 3}],
    }
    return JobStarted(
        at=at, job=job, procedure=procedure, sheet={"drain": "4.2"}, settings={"language": "en"}, versions={}
    )


def reading(number: int, at: Instant = AT) -> Event:
    """Return a reading whose figure tells its number."""
    return ReadingHeard(
        at=at.later(number),
        reading=number,
        kind="amount",
        value=f"{number}.5",
        unit="litre",
        slots=(("form", "part"),),
    )


def note(words: str, at: Instant = AT) -> Event:
    """Return a note."""
    return NoteTaken(at=at, words=words)
