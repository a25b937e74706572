"""One thing to hear: pieces said by synthetic or human voices, put together, and what it should mean."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from tests.benchmark.hearing.speakers import RATE, spoken
from tests.benchmark.noises import Wave, active_rms

SPEECH = Path(__file__).resolve().parents[4] / "shared" / "speech"
"""Human speech and noise beside the project; it may be absent."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a clip: `words` in a synthetic voice, a stretch of a file of human speech, or a pause."""

    voice: str = ""
    words: str = ""
    file: str = ""
    start: float = 0.0
    end: float = 0.0
    """Seconds; 0 is the end of the file. For a pause its length."""


@dataclass(frozen=True, slots=True)
class Clip:
    """One utterance, or a stretch of talk or noise in which nothing should be heard."""

    id: str
    group: str
    """The set it belongs to."""
    speaker: str
    pieces: tuple[Piece, ...]
    words: str = ""
    """What is said; "" where that is not one sentence of the grammar."""
    kind: str = ""
    """Kind of meaning; "" where nothing may be understood."""
    timed: bool = True
    """Whether the last sample is the end of speech."""

    def wave(self) -> Wave:
        """Return the sound at 16 kHz, every piece equally loud while it speaks."""
        return np.concatenate([_sound(piece) for piece in self.pieces])


def _sound(piece: Piece) -> Wave:
    if piece.words:
        wave = spoken(piece.voice, piece.words)
    elif piece.file:
        whole, rate = soundfile.read(str(SPEECH / piece.file), dtype="float64")
        assert rate == RATE, piece.file
        end = round(piece.end * RATE) if piece.end else len(whole)
        wave = faded(np.asarray(whole)[round(piece.start * RATE) : end])
    else:
        return np.zeros(round(piece.end * RATE))
    return wave / max(active_rms(wave), 1e-9) * 0.05


def faded(wave: Wave) -> Wave:
    """Return the wave with its ends faded over 5 ms, so that a cut does not click."""
    ramp = min(80, len(wave) // 2)
    shape = np.ones(len(wave))
    shape[:ramp] = np.linspace(0, 1, ramp)
    shape[len(wave) - ramp :] = np.linspace(1, 0, ramp)
    return wave * shape
