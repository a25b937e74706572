"""A job of ten thousand events: opened, read, taken up and gone on with like any other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from assistant.job.events import Event, NoteTaken, ReadingHeard, ReadingStood
from assistant.job.state import fold
from assistant.journal import open_journal
from tests.bench import START, Bench

EVENTS, BATCH = 10_000, 250


def much() -> Iterator[Event]:
    """Yield readings that stand, and notes, one after the other."""
    for number in count(1):
        at = START.later(1000 * number)
        yield ReadingHeard(
            at=at, reading=number, kind="temperature", value="55", unit="celsius", step="confirm"
        )
        yield ReadingStood(at=at, reading=number, how="time")
        yield NoteTaken(at=at, words=f"note {number}")


@pytest.mark.full
def test_a_job_of_ten_thousand_events(tmp_path: Path) -> None:
    """Nothing is lost, doubled or out of order, and it answers the next line; no batch fails."""
    with open_journal(tmp_path / "journal.sqlite", START) as journal:
        bench = Bench(journal=journal)
        job, events = bench.session.state.job, much()
        for _ in range(EVENTS // BATCH):
            journal.append(job, [next(events) for _ in range(BATCH)])
    with open_journal(tmp_path / "journal.sqlite", START) as journal:
        assert journal.notices == ()
        history = journal.read(job)
        (row,) = journal.jobs()
        assert len(history) == row.events >= EVENTS
        state = fold(history)
        assert state.notes == sum(isinstance(event, NoteTaken) for event in history)
        assert len(state.readings) == sum(isinstance(event, ReadingHeard) for event in history)
        bench.journal = journal
        bench.restart()
        assert bench.session.state.notes == state.notes
        assert "note-kept" in bench.hear("note the last one")
        assert journal.read(job)[: len(history)] == history
