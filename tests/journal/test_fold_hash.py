"""The state is a function of the journal alone: on another Python, with another seed, it is the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmark.fold_hash import compared, interpreters
from tests.benchmark.upgrade import COMMITS


@pytest.mark.full
def test_the_fold_is_the_same_on_another_python(tmp_path: Path) -> None:
    """By the states of a whole and half a job; all there are: `python -m tests.benchmark fold-hash`."""
    others = interpreters()
    if not others:
        pytest.skip("no other Python that could run the program is here")
    newest = max(others)
    found = compared(tmp_path, [max(COMMITS)], {newest: others[newest]}, [1])

    one, other = found.values()
    assert len(one) == 2
    assert one == other
