"""A sample of the day in one process; all of it, with the real ear, is `python -m tests.benchmark soak`."""

from __future__ import annotations

import sys

import pytest

from tests.benchmark.soak import faults, soak


@pytest.mark.full
@pytest.mark.skipif(sys.platform != "linux", reason="open files and children are counted in /proc")
def test_half_an_hour_leaves_nothing_behind() -> None:
    """No timer is early or late, no memory grows, no thread, file or process is left; typed, not spoken."""
    course, counts = soak(0.6, 5, None)

    assert faults(course, counts) == []
    assert course.lateness_ms
    assert course.voices_killed
