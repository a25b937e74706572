"""The tones: short, not too loud, told apart by the course of their pitch as measured in their sound."""

from __future__ import annotations

from itertools import combinations, groupby, pairwise

import numpy as np
import pytest

from assistant.errors import WrongInput
from assistant.speaking.earcons import EARCONS, earcon

FRAME_S = 0.01


def pitches(name: str) -> list[float]:
    """Measure the strongest frequency of each frame; what holds for two frames is a note (0: a rest)."""
    sound = earcon(name)
    size = round(FRAME_S * sound.rate)
    course: list[float] = []
    for start in range(0, len(sound.samples()) - size, size):
        frame = sound.samples()[start : start + size]
        if np.sqrt(np.mean(frame**2)) < 0.02:
            course.append(0.0)
            continue
        spectrum = np.abs(np.fft.rfft(frame * np.hanning(size), 1 << 15))
        course.append(float(np.argmax(spectrum)) * sound.rate / (1 << 15))
    runs = [list(run) for _, run in groupby(course, key=lambda pitch: round(pitch / 20))]
    return [run[0] for run in runs if len(run) >= 2]


def contour(name: str) -> tuple[int, ...]:
    """Return the steps of the pitch: up 1, down -1, again after a rest 0."""
    notes = [pitch for pitch in pitches(name) if pitch]
    return tuple(
        0 if abs(after - before) < 0.1 * before else (1 if after > before else -1)
        for before, after in pairwise(notes)
    )


@pytest.mark.parametrize("name", EARCONS)
def test_a_tone_is_short_and_leaves_room(name: str) -> None:
    """Under a second, well below full scale, and without a click at its ends."""
    sound = earcon(name)

    assert 0.1 < sound.seconds < 1.0
    assert 0.1 < np.max(np.abs(sound.samples())) < 0.5
    assert abs(sound.samples()[0]) < 0.01
    assert abs(sound.samples()[-1]) < 0.01


def test_the_pitch_tells_what_happened() -> None:
    """Up for heard, down for refused, steps down for going quiet."""
    assert contour("heard") == (1,)
    assert contour("refused") == (-1,)
    assert contour("dozing") == (-1, -1)
    assert contour("timer") == (0, 1)
    assert contour("trouble") == (0, 0)


def test_no_two_tones_share_their_contour() -> None:
    """Told apart without an ear for absolute pitch."""
    for first, second in combinations(EARCONS, 2):
        assert contour(first) != contour(second)


def test_an_unknown_tone_is_refused() -> None:
    """By name."""
    with pytest.raises(WrongInput, match="fanfare"):
        earcon("fanfare")
