"""The report of a job as text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import tzinfo
from types import MappingProxyType

from assistant.display.record import record
from assistant.display.sums import Table
from assistant.job.events import Event
from assistant.phrasing.en.report import as_text

WORDINGS: Mapping[str, Callable[[Table], str]] = MappingProxyType({"en": as_text})
"""Language -> what puts a record into words."""


def report(history: Sequence[Event], zone: tzinfo | None = None) -> str:
    """Return the report of a job, in its own language where there is one.

    Times are ISO 8601 in `zone`, the computer's own where None.
    """
    return worded(record(history, zone))


def worded(table: Table) -> str:
    """Return a record as text."""
    return WORDINGS.get(table["procedure"]["language"], as_text)(table)
