"""A running job that is killed again and again: what was read back is there, and the state is the fold."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.journal.kills import kills


@pytest.mark.full
@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked")
def test_a_job_survives_its_killings(tmp_path: Path) -> None:
    """A seeded sample; the thousands are `python -m tests.benchmark kills-journal`."""
    phases, readings = kills(tmp_path, 10, seed=3)

    assert sum(phases.values()) == 10
    assert len(phases) >= 2, "the kills all fell into the same place"
    assert readings > 5
