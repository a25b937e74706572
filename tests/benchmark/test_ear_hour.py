"""A sample of the hour of other people: nothing they say changes the job."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmark.ear_hour.command import one_slice


@pytest.mark.full
def test_a_minute_and_a_half_of_other_people_changes_nothing(model: Path) -> None:
    """The ear falls asleep, and nothing was written on the way there but what was not understood."""
    told, _ = one_slice(0, 60, 1.5)

    assert told.changes == []
    assert told.utterances > 5
    assert told.dozed == 1
    assert told.say_again == [] or len(told.say_again) == 1
