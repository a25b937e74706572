"""A sample of the benchmark of a loudspeaker beside the microphone: one level, few replies, our real ear."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from assistant.duplex.canceller import SpeexCanceller
from assistant.duplex.lacking import lacking as why_not
from assistant.hearing.recogniser import Recogniser
from tests.benchmark.echo.desk import Desk
from tests.benchmark.echo.figures import talked
from tests.benchmark.echo.people import replies, stops, strings
from tests.hearing.conftest import cache, ear, english

__all__ = ["cache", "ear", "english"]
pytestmark = pytest.mark.full
SEED = 5


def test_through_an_echo_as_loud_as_they_are_people_are_heard_and_nothing_else(
    ear: Recogniser, lacking: Callable[[str], None]
) -> None:
    """Four say "stop", three say five digits; of the replies alone nothing is heard."""
    if why_not(""):
        lacking(why_not(""))
    people = {"stop": stops(30)[-4:], "digits": strings(3)}
    if not people["stop"]:
        pytest.skip("there is no human speech beside the project (../shared/speech)")
    desk = Desk(ear, 0, SpeexCanceller(), np.random.default_rng(SEED))

    figures = talked(desk.say, replies(4, SEED), people)

    assert figures["false events"] == figures["false events in the first replies"] == []
    assert figures["reduction_db"]["least"] > 10
    assert figures["settled"] == 1.0
    assert figures["stop"]["heard"] >= 3
    assert figures["digits"]["right"] >= 2
    assert figures["digits"]["acted on without a yes"] == 0
