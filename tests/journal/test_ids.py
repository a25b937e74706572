"""Names of jobs sort by time."""

from __future__ import annotations

import pytest

from assistant.errors import WrongInput
from assistant.job.instant import Instant
from assistant.journal.ids import begun_ms, new_job_id
from tests.journal.facts import AT


def test_names_sort_by_the_time_they_were_made() -> None:
    """Later by a millisecond is later in the list."""
    names = [new_job_id(AT.later(ms)) for ms in range(50)]

    assert names == sorted(names)
    assert [begun_ms(name) for name in names] == [AT.utc_ms + ms for ms in range(50)]


def test_the_time_part_is_that_of_the_specification() -> None:
    """The ULID specification's example: 1469918176385 ms is written 01ARYZ6S41."""
    assert new_job_id(Instant(1_469_918_176_385, "b", 0)).startswith("01ARYZ6S41")


def test_two_jobs_of_one_millisecond_differ() -> None:
    """The rest of the name is by chance."""
    assert len({new_job_id(AT) for _ in range(100)}) == 100


@pytest.mark.parametrize("utc", [-(10**15), 0, 2**60])
def test_a_clock_that_is_far_off_still_gives_a_name(utc: int) -> None:
    """A dead clock battery does not stop a job."""
    assert len(new_job_id(Instant(utc, "b", 0))) == 26


@pytest.mark.parametrize("name", ["", "J", "01ARYZ6S41" * 3, "é" * 26, "!" * 26, "Z" * 26])
def test_another_name_has_no_time(name: str) -> None:
    """One plain sentence, no crash."""
    with pytest.raises(WrongInput):
        begun_ms(name)
