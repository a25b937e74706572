"""Meters: how loud the speech and the room of a stretch of sound are, and what that asks for.

Functions of the samples alone. Levels are dBFS: peaks of samples, RMS of frames of 32 ms.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from assistant.hearing.sound import SILENCE_DB, Samples, decibels, peak_of

FRAME = 512
STANDS_OUT_DB = 10.0
"""Frames so far above the room are somebody speaking."""
TARGET_PEAK_DB = -12.0
"""Where the gain puts the peak of speech: 91 % of synthetic commands were right there, at -26 dBFS 77 %."""
MOST_GAIN_DB = 24.0
LOUDEST_ROOM_DB = -45.0
"""No gain lifts the room above this: noise turned up is taken for speech."""
QUIET_DB, NOISY_DB = -40.0, 15.0
"""Speech whose peak lies lower is quiet; that stands out less from the room, peak over RMS, is in noise
(peaks of speech lie about 12 dB above its own RMS)."""
CLIPPED = 0.002
"""Share of samples at full scale from which sound is clipped."""

Complaint = Literal["", "quiet", "loud", "noisy"]


@dataclass(frozen=True, slots=True)
class Levels:
    """The levels of a stretch of sound."""

    peak_db: float
    """Of the loudest sample."""
    speech_db: float
    """RMS of the frames that stand out from the room; `SILENCE_DB` where none does."""
    noise_db: float
    """RMS of the quietest tenth of the frames."""
    clipped: float
    """Share of the samples at full scale."""


def levels(samples: Samples) -> Levels:
    """Return the levels of 16 kHz int16 samples; silence where there are less than a frame."""
    whole = samples[: len(samples) // FRAME * FRAME].reshape(-1, FRAME).astype(np.float64)
    if len(whole) == 0:
        return Levels(SILENCE_DB, SILENCE_DB, SILENCE_DB, 0.0)
    powers = np.sort(np.mean(np.square(whole), axis=1))
    noise = float(powers[len(powers) // 10])
    standing = powers[powers > max(noise, 1e-3) * 10 ** (STANDS_OUT_DB / 10)]
    speech = decibels(float(np.sqrt(standing.mean()))) if len(standing) else SILENCE_DB
    full = float(np.mean(np.abs(samples.astype(np.int32)) >= 32_767))
    return Levels(decibels(peak_of(samples)), speech, decibels(float(np.sqrt(noise))), full)


def complaint(found: Levels) -> Complaint:
    """Return what is wrong with the sound of somebody speaking, the worst first; empty where nothing is."""
    if found.clipped > CLIPPED:
        return "loud"
    if found.speech_db == SILENCE_DB or found.peak_db - found.noise_db < NOISY_DB:
        return "noisy" if found.noise_db > QUIET_DB - NOISY_DB else "quiet"
    return "quiet" if found.peak_db < QUIET_DB else ""


def gain_db(found: Levels) -> float:
    """Return the gain for a microphone that gives speech so loud, 0 to `MOST_GAIN_DB`; it never lowers.

    It is that of a person and a place, set once, not of the moment: it does not rise in a silence.
    """
    room = max(0.0, LOUDEST_ROOM_DB - found.noise_db)
    return min(max(0.0, TARGET_PEAK_DB - found.peak_db), MOST_GAIN_DB, room)
