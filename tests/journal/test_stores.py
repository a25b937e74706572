"""What every journal promises, checked on each kind of store."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.errors import BadFile, NotSaved, WrongInput
from assistant.job.events import StepEntered
from assistant.job.instant import Instant
from assistant.journal import JobRow, Journal, new_job_id
from assistant.journal.export import from_lines, to_lines
from tests.journal.facts import AT, note, reading, started

Opener = Callable[[], Journal]


def test_what_was_appended_is_read_in_order(journal: Journal) -> None:
    """Several appends of several events come back as one row of equal events."""
    job = new_job_id(AT)
    given_events = [started(job), *(reading(number) for number in range(1, 8))]
    journal.append(job, given_events[:1])
    journal.append(job, given_events[1:5])
    journal.append(job, given_events[5:])

    assert journal.read(job) == given_events
    assert [row.seq for row in journal.kept(job)] == list(range(1, 9))


def test_jobs_do_not_mix_and_are_listed_by_their_beginning(journal: Journal) -> None:
    """Each job is numbered from one; the list gives its ends and its size."""
    early, late = new_job_id(AT), new_job_id(AT.later(5000))
    journal.append(late, [started(late, AT.later(5000))])
    journal.append(early, [started(early), reading(3)])
    journal.append(late, [reading(9, AT.later(5000))])

    mine = [row for row in journal.jobs() if row.id in (early, late)]
    assert mine == [JobRow(early, AT, AT.later(3), 2), JobRow(late, AT.later(5000), AT.later(5009), 2)]


def test_an_unknown_job_is_empty(journal: Journal) -> None:
    """Nothing is known of it, and nothing comes into being by asking."""
    job = new_job_id(AT)

    assert journal.read(job) == []
    assert job not in [row.id for row in journal.jobs()]


def test_an_append_of_nothing_writes_nothing(journal: Journal) -> None:
    """An empty batch does not make a job."""
    job = new_job_id(AT)
    journal.append(job, [])

    assert job not in [row.id for row in journal.jobs()]


def test_a_batch_with_an_event_that_cannot_be_kept_leaves_nothing(journal: Journal) -> None:
    """A float among good events: the whole batch is refused, the numbers go on without a gap."""
    job = new_job_id(AT)
    bad = StepEntered(at=AT, step=1.5)  # type: ignore[arg-type]
    with pytest.raises(WrongInput, match="StepEntered cannot be kept"):
        journal.append(job, [started(job), bad])
    assert journal.read(job) == []

    journal.append(job, [started(job)])
    assert [row.seq for row in journal.kept(job)] == [1]


def test_a_job_without_a_name_is_refused(journal: Journal) -> None:
    """There would be no way to ask for it again."""
    with pytest.raises(WrongInput, match="needs a name"):
        journal.append("", [note("where am I")])


def test_a_closed_journal_says_that_nothing_was_saved(journal: Journal) -> None:
    """Closing twice is harmless; an append afterwards fails and names the store."""
    journal.close()
    journal.close()

    with pytest.raises(NotSaved, match="closed") as caught:
        journal.append(new_job_id(AT), [note("late")])
    assert journal.name in str(caught.value)


def test_the_journal_goes_on_where_it_ended(opener: Opener) -> None:
    """Closed and opened again, a durable journal numbers on from its last event."""
    first = opener()
    job = new_job_id(AT)
    first.append(job, [started(job), reading(1)])
    first.close()
    second = opener()
    second.append(job, [reading(2)])

    assert second.read(job) == [started(job), reading(1), reading(2)]


def test_rows_that_arrived_without_an_answer_are_not_doubled(opener: Opener) -> None:
    """The commit went through, its answer was lost: given again, with more, the events stand there once."""
    job = new_job_id(AT)
    first = opener()
    first.append(job, [started(job)])
    forgetful = first._last  # type: ignore[attr-defined]
    first.append(job, [reading(1), reading(2)])
    forgetful[job] = 1
    first.append(job, [reading(1), reading(2), reading(3)])

    assert first.read(job) == [started(job), reading(1), reading(2), reading(3)]


def test_rows_of_a_stranger_are_not_overwritten(opener: Opener) -> None:
    """Another program took the number: the append fails and says so, and what is there stays."""
    job = new_job_id(AT)
    first = opener()
    first.append(job, [started(job), reading(7)])
    first._last[job] = 1  # type: ignore[attr-defined]
    with pytest.raises(NotSaved, match="another program wrote"):
        first.append(job, [reading(1)])

    assert first.read(job) == [started(job), reading(7)]


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=st.text(), boot=st.text(), utc=st.integers(-(2**62), 2**62))
def test_any_text_comes_back_the_same(journal: Journal, words: str, boot: str, utc: int) -> None:
    """Zeros, halves of surrogate pairs, quotes and line ends survive in every store."""
    job = new_job_id(AT)
    event = note(words, Instant(utc, boot, 0))
    journal.append(job, [event])

    assert journal.read(job) == [event]


def test_an_export_holds_everything(journal: Journal) -> None:
    """JSON lines give back the very rows and events; each line is one JSON object without floats."""
    job = new_job_id(AT)
    journal.append(job, [started(job), note("two\nlines, one \ud800 half")])
    lines = list(to_lines(journal, [job]))

    assert [json.loads(line)["seq"] for line in lines] == [1, 2]
    back = list(from_lines(lines, "export.jsonl"))
    assert [row for row, _ in back] == journal.kept(job)
    assert [event for _, event in back] == journal.read(job)


@pytest.mark.parametrize(
    "line",
    [
        "", "[]", "{", "null", '{"job":"a"}', "[" * 100_000,
        '{"job":"a","seq":1,"type":"StoodBy","version":1,"event":{"at":{"boot":"b","up_ms":1.5,"utc_ms":2}}}',
        '{"job":"a","seq":1,"type":"StoodBy","version":1,"event":{"at":{"boot":"b","up_ms":true,"utc_ms":2}}}',
    ],
)  # fmt: skip
def test_a_line_that_is_no_event_is_named(line: str) -> None:
    """A damaged export gives its name and the line, whatever is in it."""
    with pytest.raises(BadFile, match=r"export\.jsonl, line 1"):
        list(from_lines([line], "export.jsonl"))
