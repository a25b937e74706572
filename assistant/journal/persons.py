"""Who did what: the stretches of a job that one person worked on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.errors import WrongInput
from assistant.job import past
from assistant.job.events import WasteHandedOver
from assistant.journal.codec import decode
from assistant.journal.store import Kept

NAMERS = past.NAMING | WasteHandedOver
"""Events from which on another person may be at work."""
NAMING = tuple(one.__name__ for one in NAMERS.__args__)


def by_person(rows: Iterable[Kept], who: str) -> Iterator[Kept]:
    """Yield the rows written while the person `who` was at work; letter case does not count.

    A row that cannot be read belongs to whoever was at work.
    """
    wanted, present = _plain(who), ""
    for row in rows:
        if row.type in NAMING:
            present = _named(row) or present
        if _plain(present) == wanted:
            yield row


def _named(row: Kept) -> str:
    """Return the name an event gives, empty where it gives none."""
    try:
        event = decode(row.type, row.version, row.body)
    except (WrongInput, RuntimeError):  # damaged, or of a newer program
        return ""
    return event.who if isinstance(event, NAMERS) else ""


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
