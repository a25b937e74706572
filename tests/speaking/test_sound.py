"""Sound values: trimming, resampling, level."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.speaking.sound import LEAD_S, TAIL_S, active_level, from_samples, silence, trimmed


def tone(hertz: float, seconds: float, rate: int, level: float = 0.5) -> np.ndarray:
    """A sine."""
    return level * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)


def test_silence_at_the_ends_is_taken_away() -> None:
    """What stays is the tone with a short margin."""
    rate = 16_000
    sound = from_samples(np.concatenate([np.zeros(4_000), tone(440, 0.5, rate), np.zeros(8_000)]), rate)

    assert trimmed(sound).seconds == pytest.approx(0.5 + LEAD_S + TAIL_S, abs=0.002)


def test_a_silent_sound_becomes_empty() -> None:
    """So that a claimed success without sound is seen."""
    assert trimmed(silence(2.0, 22_050)).pcm == b""


def test_a_pause_inside_stays() -> None:
    """Only the ends are trimmed."""
    rate = 16_000
    sound = from_samples(np.concatenate([tone(440, 0.2, rate), np.zeros(rate), tone(440, 0.2, rate)]), rate)

    assert trimmed(sound).seconds == pytest.approx(1.4, abs=0.01)


@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100, 48_000])
def test_resampling_keeps_length_and_pitch(rate: int) -> None:
    """A tone of 440 Hz stays one of 440 Hz."""
    sound = from_samples(tone(440, 1.0, 22_050), 22_050).at_rate(rate)

    spectrum = np.abs(np.fft.rfft(sound.samples()))

    assert sound.rate == rate
    assert sound.seconds == pytest.approx(1.0, abs=0.002)
    assert np.argmax(spectrum) / sound.seconds == pytest.approx(440, abs=2)


def test_beyond_full_scale_is_clipped_not_wrapped() -> None:
    """A wrapped sample is a loud crack."""
    assert list(np.frombuffer(from_samples(np.array([2.0, -2.0]), 8_000).pcm, "<i2")) == [32767, -32768]


def test_level_counts_only_what_speaks() -> None:
    """The RMS of a full-scale sine is its amplitude over the square root of two, pauses or not."""
    rate = 16_000
    samples = np.concatenate([tone(500, 1.0, rate), np.zeros(3 * rate)]).astype(np.float32)

    assert active_level(samples, rate) == pytest.approx(0.5 / np.sqrt(2), rel=0.01)
