"""A sample of what an append costs; all of it is `python -m tests.benchmark append`."""

from __future__ import annotations

import statistics
from pathlib import Path

import pytest

from tests.benchmark.append import MOST, measure, ratio

OWN_S = 0.00008
"""What an append may cost on top of its commit, where the disk answers so fast that a ratio says little."""


@pytest.mark.full
def test_an_append_costs_little_more_than_its_commit(tmp_path: Path) -> None:
    """At most 1.3 times the bare commit of the same row; the best of three, for others use the disk, too."""
    ratios, own = [], []
    for number in range(3):
        folder = tmp_path / str(number)
        folder.mkdir()
        times = measure(folder, 150)
        ratios.append(ratio(times))
        own.append(statistics.median(times["append"]) - statistics.median(times["bare commit"]))
        if ratios[-1] <= MOST:
            break

    assert min(ratios) <= MOST or min(own) <= OWN_S, (ratios, own)
