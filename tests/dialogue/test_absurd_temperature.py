"""A temperature no gearbox has, insisted on: kept, since it was said, and no question fails after it."""

from __future__ import annotations

import pytest

from tests.straight_job import bench_at

QUESTIONS = (
    "what should the stick read",
    "is it warm enough",
    "how far will it rise",
    "how long until fifty degrees",
    "when can i touch it",
    "how much more clings cold",
    "on the hot mark",
)


SAID = (
    "five five three degrees fahrenheit",
    "minus eight zero degrees celsius",
    "one zero one three degrees celsius",
)


@pytest.mark.parametrize("step", ["level-hot", "level-cold", "measure-temperature"])
@pytest.mark.parametrize("said", SAID)
def test_every_question_is_answered(said: str, step: str) -> None:
    """553 F is 289 C; all lie outside of every curve of the reckoning."""
    bench = bench_at(step)
    for line in (said, "yes", said, "yes", *QUESTIONS):
        assert bench.hear(line), line
