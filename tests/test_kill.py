"""A real process running a job is killed at seeded instants; the journal alone brings the job to its end.

A sample of a hundred; all of them: `python -m tests.benchmark kill`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.job import events as e
from tests.bench import START
from tests.benchmark.kill import lost_of, read_backs, several

SEEDS = range(7, 19)


@pytest.mark.full
def test_nothing_that_was_read_back_is_lost(tmp_path: Path) -> None:
    """Every reading spoken is in the journal, what was written stays, and the job comes to its end."""
    outcomes = list(several(SEEDS, tmp_path))

    assert [one for one in outcomes if not one.good] == []
    assert len({one.events for one in outcomes}) > len(outcomes) // 2, "the kills fell into one moment"
    assert any(0 < one.events < 120 for one in outcomes)


def test_a_loss_would_be_noticed() -> None:
    """The comparison itself: a reading read back that no event holds."""
    line, told = next(iter(read_backs().items()))

    assert lost_of([line], []) == (line,)
    assert lost_of([line], [told]) == ()
    assert lost_of([line, line], [told]) == (line,)
    assert lost_of(["Noted."], [e.ReadingStood(at=START, reading=1, how="time")]) == ("Noted.",)
    assert len(read_backs()) >= 15
