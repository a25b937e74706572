"""`Sound`: a piece of mono sound as 16-bit samples at a stated rate."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import soxr

Samples = npt.NDArray[np.float32]
"""Mono samples, full scale at -1..1."""

AUDIBLE = 0.005
"""Level above which a sample counts as sound, as a share of full scale (-46 dB)."""
SILENCE_DB = -96.0
"""The level of silence."""
LETTER_S = 0.02
"""A sound shorter than this for each letter of its text cannot hold the text (speech takes thrice that)."""
LEAD_S, TAIL_S = 0.005, 0.12
"""Quiet kept before the first and after the last audible sample: none is clipped, none is waited for."""


@dataclass(frozen=True, slots=True)
class Sound:
    """16-bit little-endian mono samples and their rate in Hz."""

    pcm: bytes
    rate: int

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return len(self.pcm) / 2 / self.rate

    def samples(self) -> Samples:
        """Return the samples as floats of -1..1."""
        return (np.frombuffer(self.pcm, dtype="<i2").astype(np.float32)) / np.float32(32768)

    def at_rate(self, rate: int) -> Sound:
        """Return the same sound resampled to `rate` Hz."""
        if rate == self.rate:
            return self
        return from_samples(soxr.resample(self.samples(), self.rate, rate), rate)


def from_samples(samples: npt.NDArray[Any], rate: int) -> Sound:
    """Return float samples of -1..1 as a `Sound`; what lies beyond full scale is clipped."""
    whole = np.clip(np.rint(np.asarray(samples, dtype=np.float64) * 32768), -32768, 32767)
    return Sound(whole.astype("<i2").tobytes(), rate)


def silence(seconds: float, rate: int) -> Sound:
    """Return `seconds` of digital silence."""
    return Sound(bytes(2 * round(seconds * rate)), rate)


def trimmed(sound: Sound) -> Sound:
    """Return `sound` without the silence at its ends; a sound with nothing audible becomes empty."""
    loud = np.flatnonzero(np.abs(sound.samples()) > AUDIBLE)
    if not loud.size:
        return Sound(b"", sound.rate)
    first = max(0, int(loud[0]) - round(LEAD_S * sound.rate))
    last = int(loud[-1]) + 1 + round(TAIL_S * sound.rate)
    return Sound(sound.pcm[2 * first : 2 * last], sound.rate)


def plausible(sound: Sound, text: str) -> bool:
    """Tell whether `sound` can hold `text`: long enough, not silent. Claims are not believed."""
    letters = sum(letter.isalnum() for letter in text)
    return sound.seconds >= LETTER_S * letters and bool((np.abs(sound.samples()) > AUDIBLE).any())


def active_level(samples: Samples, rate: int) -> float:
    """Return the RMS of the parts that hold sound: 20 ms frames within 30 dB of the loudest one."""
    size = max(1, rate // 50)
    whole = samples[: len(samples) // size * size].reshape(-1, size)
    if not whole.size:
        return 0.0
    powers = np.mean(np.square(whole, dtype=np.float64), axis=1)
    return float(np.sqrt(np.mean(powers[powers >= powers.max() / 1000])))


def level_db(samples: Samples) -> float:
    """Return the RMS level in dBFS, never below that of one step of a 16-bit sample."""
    power = float(np.mean(np.square(samples))) if samples.size else 0.0
    return max(10 * math.log10(power), SILENCE_DB) if power > 0 else SILENCE_DB
