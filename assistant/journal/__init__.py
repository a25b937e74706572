"""The journal: every event of every job, written durably before it is spoken.

Stores that behave alike: SQLite (`open_journal`), PostgreSQL (the same, by URL), memory. `DurableFirst`
keeps what a failing store could not take and writes it first when it can. Sound clips lie beside it.
"""

from assistant.journal.clips import Clip, ClipStore
from assistant.journal.codec import UnknownEvent
from assistant.journal.ids import new_job_id
from assistant.journal.memory import MemoryJournal
from assistant.journal.open import open_journal, open_or_wait, read_journal
from assistant.journal.outbox import DurableFirst, Saved, Unsaved
from assistant.journal.store import InUse, JobRow, Journal, Kept, Notice

__all__ = [
    "Clip",
    "ClipStore",
    "DurableFirst",
    "InUse",
    "JobRow",
    "Journal",
    "Kept",
    "MemoryJournal",
    "Notice",
    "Saved",
    "UnknownEvent",
    "Unsaved",
    "new_job_id",
    "open_journal",
    "open_or_wait",
    "read_journal",
]
