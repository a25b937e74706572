"""A seeded sample of bad input at every door; ten thousand each are `python -m tests.benchmark doors`."""

from __future__ import annotations

import pytest

from tests.doors.doors import DOORS
from tests.doors.trying import Door, try_door


@pytest.mark.full
@pytest.mark.parametrize("door", DOORS, ids=lambda door: door.name)
def test_whatever_comes_is_taken_or_refused(door: Door) -> None:
    """By the program's own errors, in one line, within a second, with nothing lost."""
    found = try_door(door, 30, 11)

    assert found["taken"] + found["refused"] >= 25
