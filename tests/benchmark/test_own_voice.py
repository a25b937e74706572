"""A sample of the assistant's own voice into its open ear, at several levels: nothing is written for it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmark.ear_hour.ear import open_ear
from tests.benchmark.ear_hour.own_voice import own_voice


@pytest.mark.full
def test_its_own_voice_changes_nothing_at_any_level(model: Path) -> None:
    """Some of it would be taken for readings but for what is known of its words and times."""
    levels = (-6, -20, -35)

    told = own_voice(open_ear(), ("level-hot",), levels)

    assert told["replies"] == 2
    assert [told[f"{level} dBFS"]["changes"] for level in levels] == [0, 0, 0]
    assert sum(told[f"{level} dBFS"]["changes without the wall"] for level in levels) >= 2
