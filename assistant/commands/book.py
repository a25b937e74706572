"""Reads a journal for its history: every job once, and again only when it went on."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterable, Mapping
from contextlib import closing

from assistant.display.history.entry import Entry, entry
from assistant.errors import AssistantError, WrongInput
from assistant.job.events import Event
from assistant.job.past import Service, remembered, services
from assistant.journal.open import read_journal
from assistant.journal.store import Journal


class Book:
    """The entries of a journal that another program may be writing; may be asked by any thread."""

    def __init__(self, where: str) -> None:
        self._where = where
        self._known: dict[str, tuple[int, Entry]] = {}
        self._one_at_a_time = threading.Lock()

    def entries(self) -> tuple[Entry, ...]:
        """Return one entry for each job and each hand-over; a damaged record is left out."""
        with self._one_at_a_time, closing(read_journal(self._where)) as journal:
            self._known = dict(self._read(journal))
            return tuple(kept for _, kept in self._known.values())

    def history(self, job: str) -> list[Event]:
        """Return the events of the job of exactly that name; raises `WrongInput` where there is none."""
        with closing(read_journal(self._where)) as journal:
            if not any(row.id == job for row in journal.work()):
                raise WrongInput(f"there is no job {job or 'without a name'} in this journal")
            return journal.read(job)

    def _read(self, journal: Journal) -> Iterable[tuple[str, tuple[int, Entry]]]:
        for row in journal.jobs():
            known = self._known.get(row.id)
            if known is not None and known[0] == row.events:
                yield row.id, known
                continue
            try:
                yield row.id, (row.events, entry(row.id, journal.read(row.id)))
            except (AssistantError, LookupError, TypeError):
                continue  # a record that tells nothing is no reason to withhold the others


def remembered_of(journal: Journal, sheet: Mapping[str, object]) -> dict[str, object]:
    """Return what the last service of each unit of the vehicle of `sheet` was; nothing for no name.

    The newest jobs are read first, and of each unit only the last in which something went in. A record
    that cannot be read holds up no new job.
    """
    vehicle = str(sheet.get("vehicle", ""))
    named = json.dumps(vehicle)
    found: list[Service] = []
    if not vehicle:
        return {}
    try:
        for row in sorted(journal.work(), key=lambda one: -one.first.utc_ms):
            first = journal.first(row.id)
            if first is None or named not in first.body:
                continue
            found += services(journal.read(row.id))
            if any(one.unit == sheet.get("unit") and one.into is not None for one in found):
                break
    except (AssistantError, LookupError, TypeError):
        pass
    return remembered(found, vehicle)
