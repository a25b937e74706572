"""A sample of the ear's working day: the same sound over again takes no more memory."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.grammar.judgement import ANYTHING
from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.ear_memory import Course, blocks, listen, make
from tests.benchmark.outcome import resident_mb

MOST_MB = 4.0
"""Eight hours are some two hundred such stretches; what leaks in one of them is much in all."""


@pytest.mark.full
def test_the_same_stretch_of_a_day_over_again_takes_no_more_memory(model: Path, tmp_path: Path) -> None:
    """Talk, silence and commands; the first time fills what is kept for ever."""
    if not resident_mb():
        pytest.skip("this system does not tell how much memory a process holds")
    make(tmp_path / "day.raw", seed=8, talk_minutes=0.4, said=5)
    ear = open_ear()
    ear.expectation = ANYTHING

    first = listen(ear, blocks(tmp_path / "day.raw"), Course())
    before = resident_mb()
    again = listen(ear, blocks(tmp_path / "day.raw"), Course())

    assert again.utterances == first.utterances > 5
    assert resident_mb() - before < MOST_MB


def test_growth_counts_from_when_the_caches_are_full() -> None:
    course = Course(at_minute=[(0, 100.0), (14, 300.0), (15, 310.0), (200, 318.5), (480, 311.0)])
    assert course.growth_mb() == 8.5
    assert Course(at_minute=[(3, 100.0)]).growth_mb() == 0.0
