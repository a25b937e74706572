"""A telephone's band is told from a full one."""

from __future__ import annotations

import numpy as np
import soxr

from assistant.hearing.segment import is_narrow
from assistant.hearing.sound import RATE, Samples


def hissing(seconds: float = 1.0) -> Samples:
    """A hum with a burst of white noise in it, as a vowel with an s."""
    time = np.arange(round(seconds * RATE)) / RATE
    wave = 6000 * np.sin(2 * np.pi * 220 * time)
    burst = np.random.default_rng(1).standard_normal(RATE // 8) * 800
    wave[: len(burst)] += burst
    return np.asarray(np.round(wave), dtype=np.int16)


def test_a_band_of_four_kilohertz_is_narrow() -> None:
    """The same sound through half the rate and back."""
    full = hissing()
    narrow = soxr.resample(soxr.resample(full.astype(np.float64), RATE, RATE // 2), RATE // 2, RATE)

    assert not is_narrow(full)
    assert is_narrow(np.asarray(np.round(narrow), dtype=np.int16) // 1)
    assert not is_narrow(np.zeros(10, dtype=np.int16))
