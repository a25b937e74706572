"""A sample of the many bays: eight for ten seconds."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.benchmark.bays import SEED, simulate
from tests.journal.private_server import private_server

pytestmark = pytest.mark.full


def test_eight_bays_lose_and_double_nothing(lacking: Callable[[str], None]) -> None:
    """Each event of each bay is on the server once and in order when the bays have closed."""
    with private_server() as server:
        if server.absent:
            lacking(server.absent)
        found = simulate(server.url, bays=8, seconds=10, seed=SEED, processes=2)

    assert (found["lost"], found["doubled or strange"], found["notices"]) == (0, 0, [])
    assert found["in order and equal"]
    assert found["all copied at the end"]
    assert int(str(found["events"])) > 80
