"""At the start of a job: what was put in last time and found, in one sentence, from the journal alone."""

from __future__ import annotations

import pytest

from assistant.commands.book import remembered_of
from assistant.job.events import JobStarted
from assistant.job.state import fold
from assistant.journal.memory import MemoryJournal
from assistant.phrasing.en.starting import FOUND
from assistant.shelf.vehicle_file import load_vehicle
from tests.bench import SHEET, Bench
from tests.display.history.jobs import OTHER, job, years

LAST = "Last time four point two litres"


def test_the_first_job_of_a_vehicle_says_nothing_of_a_last_time() -> None:
    """Nor does the first of another vehicle."""
    _, (first, _, other, _) = years()

    assert not any("Last time" in line for line in (*first.sentences, *other.sentences))
    assert first.session.state.past == other.session.state.past == {}


def test_a_later_job_says_amount_and_find_of_the_one_before() -> None:
    """4.2 litres went in each time; the magnet had a fuzz at first, flakes the second time."""
    _, (_, second, _, third) = years()

    assert second.sentences[1] == f"{LAST}, {FOUND['magnet-fuzz']}."
    assert third.sentences[1] == f"{LAST}, {FOUND['magnet-flakes']}."


def test_the_journal_alone_rebuilds_it() -> None:
    """It is in the first event as plain data; a job taken up again keeps it and does not say it anew."""
    journal, (_, second, _, _) = years()
    history = journal.read(second.session.state.job)

    assert isinstance(history[0], JobStarted)
    told = history[0].past["automatic transmission"]
    assert isinstance(told, dict)
    assert (told["into"], told["distance"]) == (["4.2", "litre"], ["84210", "kilometre"])
    assert told["found"][0] == "magnet-fuzz"
    assert fold(history).past == history[0].past
    again = job(MemoryJournal(), 0, until="lay-out")
    again.restart()
    assert not any("Last time" in line for line in again.sentences)


@pytest.mark.parametrize("until", ["drain-wait", "pour"])
def test_a_job_in_which_nothing_went_in_is_passed_over(until: str) -> None:
    """The one before it is told; fluid that only came out is no last service."""
    journal = MemoryJournal()
    job(journal, 0)
    job(journal, 5, until=until)

    assert job(journal, 9, until="confirm").sentences[1].startswith(LAST)


def test_a_record_that_cannot_be_read_holds_up_no_new_job() -> None:
    """A first event of another kind is passed over without a word."""
    journal = MemoryJournal()
    bench = Bench(journal=journal)
    journal.append("01K9HF1Q000000000000000000", [bench.history[1]])
    sheet = load_vehicle(SHEET, None)

    assert remembered_of(journal, sheet) == {}
    assert remembered_of(journal, load_vehicle(OTHER, None)) == {}
    assert remembered_of(journal, {"vehicle": "", "unit": ""}) == {}
