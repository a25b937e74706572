"""What a failing store could not take stays in memory, marked, and is written first, in order."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import NotSaved, WrongInput
from assistant.job.events import Event, StepEntered
from assistant.journal import DurableFirst, MemoryJournal, Saved, Unsaved
from tests.journal.facts import AT, reading


class Moody(MemoryJournal):
    """A store that takes events only while it is well."""

    well = True

    def append(self, job: str, events: Sequence[Event]) -> None:
        """Refuse while unwell."""
        if not self.well:
            raise NotSaved("shelf three: no room left")
        super().append(job, events)


def test_a_failure_is_a_value_with_the_reason() -> None:
    """The dialogue can say what happened; the events are marked as in memory only."""
    store = Moody()
    outbox = DurableFirst(store)
    assert outbox.append("J", [reading(1)]) == Saved()

    store.well = False
    assert outbox.append("J", [reading(2), reading(3)]) == Unsaved("shelf three: no room left", 2)
    assert outbox.append("K", [reading(4)]) == Unsaved("shelf three: no room left", 3)
    assert outbox.pending() == [reading(2), reading(3), reading(4)]
    assert outbox.pending("K") == [reading(4)]
    assert store.read("J") == [reading(1)]


def test_what_waits_is_written_first() -> None:
    """The next append that goes through carries the earlier ones in front of it, and tells how many."""
    store = Moody()
    store.well = False
    outbox = DurableFirst(store)
    outbox.append("J", [reading(1)])
    outbox.append("J", [reading(2)])
    store.well = True

    assert outbox.append("J", [reading(3)]) == Saved(caught_up=2)
    assert store.read("J") == [reading(1), reading(2), reading(3)]
    assert outbox.pending() == []


def test_a_retry_writes_without_anything_new() -> None:
    """A pause in the talk is used to catch up."""
    store = Moody()
    store.well = False
    outbox = DurableFirst(store)
    outbox.append("J", [reading(1)])
    assert outbox.retry() == Unsaved("shelf three: no room left", 1)

    store.well = True
    assert outbox.retry() == Saved(caught_up=1)
    assert outbox.retry() == Saved()


def test_an_event_no_store_can_keep_does_not_block_the_others() -> None:
    """A fault of the program is raised at once and not put in the way of what follows."""
    outbox = DurableFirst(MemoryJournal())
    with pytest.raises(WrongInput):
        outbox.append("J", [reading(1), StepEntered(at=AT, step=2)])  # type: ignore[arg-type]

    assert outbox.pending() == []
    assert outbox.append("J", [reading(2)]) == Saved()
    assert outbox.journal.read("J") == [reading(2)]


@given(moods=st.lists(st.tuples(st.booleans(), st.sampled_from("JK"), st.integers(0, 3)), max_size=20))
def test_nothing_is_lost_doubled_or_reordered(moods: list[tuple[bool, str, int]]) -> None:
    """However the store comes and goes, store and memory together hold each event once, in order."""
    store = Moody()
    outbox = DurableFirst(store)
    said: dict[str, list[Event]] = {"J": [], "K": []}
    for number, (well, job, count) in enumerate(moods):
        store.well = well
        batch = [reading(10 * number + place) for place in range(count)]
        said[job] += batch
        outcome = outbox.append(job, batch)

        assert isinstance(outcome, Saved) == (outbox.pending() == [])
        for name, events in said.items():
            assert store.read(name) + outbox.pending(name) == events
