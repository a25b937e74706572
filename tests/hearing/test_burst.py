"""A blow right before a number is told from a quiet room and from a voice that sets in softly."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.hearing.endpointer import FRAME
from assistant.hearing.segment import Segment
from assistant.hearing.sound import Samples


def frame_at(level_db: float, turn: int) -> Samples:
    """A frame of white noise at a level in dBFS."""
    wave = np.random.default_rng(turn).standard_normal(FRAME)
    return np.round(wave * 32_768 * 10 ** (level_db / 20)).astype(np.int16)


@pytest.mark.parametrize(
    ("before", "burst"),
    [
        ([-65.0] * 12, False),
        ([-65.0] * 11 + [-22.0], True),  # a blow beside a voice of -18
        ([-65.0] * 11 + [-40.0], False),  # far below the voice
        ([-25.0] * 12, False),  # noise all the time is no burst: it is the room
    ],
)
def test_a_blow_before_the_speech_is_a_burst(before: list[float], burst: bool) -> None:
    """The three frames before the onset is noticed are the voice itself."""
    frames = [frame_at(level, turn) for turn, level in enumerate([*before, -30.0, -20.0, -18.0])]

    segment = Segment(None, np.zeros(0, dtype=np.int16), frames, -65.0)

    assert segment.burst is burst
