"""Services driven to their end by sound: spoken by a synthetic voice, heard, and answered.

A seeded pair of the shorter ones here; all ten, with what is measured, are
`python -m tests.benchmark services`.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from assistant.hearing.graph_cache import prepared_folder
from assistant.hearing.recogniser import Recogniser
from assistant.shelf.procedure_file import list_procedures
from tests.bench import grammar
from tests.benchmark.services import VOICES, drive, lines_of, services

PAIR = 11
"""The seed of the pair."""


def chosen() -> list[tuple[str, str]]:
    """Return two of the services of at most forty lines, each with a voice."""
    chance = np.random.default_rng(PAIR)
    short = [name for name in services() if len(lines_of(name)) <= 40]
    return [(str(name), str(chance.choice(VOICES))) for name in chance.choice(short, 2, replace=False)]


@pytest.mark.full
@pytest.mark.parametrize(("name", "voice"), chosen())
def test_a_service_is_driven_to_its_end_by_sound(
    name: str, voice: str, model: Path, tmp_path: Path, lacking: Callable[[str], None]
) -> None:
    """Nothing is taken wrong, no line is left that cannot be brought in, few are said again."""
    if shutil.which("flite") is None:
        lacking("the synthetic speakers of flite")
    ear = Recogniser(prepared_folder(grammar().acceptor, model, tmp_path), grammar())

    told = drive(ear, name, voice)

    assert told.wrong == []
    assert told.dead_ends == []
    assert told.ended == "complete"
    assert len(told.again) <= told.lines / 10


def test_every_service_is_there() -> None:
    """One conversation to its end for each service that is shipped, each by its own name."""
    assert len(services()) == len(list_procedures())
    assert {name for name, _ in chosen()} <= set(services())
