"""The state is a function of the journal alone: on another Python, with another seed, it is the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmark.fold_hash import compared, interpreters
from tests.benchmark.upgrade import COMMITS


@pytest.mark.full
def test_the_fold_is_the_same_on_every_python_found_here(tmp_path: Path) -> None:
    """By the states of whole and half jobs of every version, and those on the way to them."""
    others = interpreters()
    if not others:
        pytest.skip("no other Python that could run the program is here")
    found = compared(tmp_path)

    first = next(iter(found.values()))
    assert len(first) == 2 * len(COMMITS)
    assert {name for name, one in found.items() if one != first} == set()
    assert len(found) == 2 + len(others)
