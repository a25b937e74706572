"""Any sound file as 16 kHz mono 16-bit samples, and the level of sound.

Levels are in dBFS: 0 is the largest sample a 16-bit number can hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import log10
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from assistant.errors import BadFile

RATE = 16_000
"""Samples per second of everything in this room: what the acoustic model was trained on."""
FULL_SCALE = 32_768.0
SLOWEST, FASTEST = 4_000, 768_000
"""Sampling rates a recording may have."""
MOST_SAMPLES = 400_000_000
"""Seven hours of one channel as the ear takes it; silence packs so well that a small file can hold days."""
SILENCE_DB = -96.0
"""What a level of no sound at all is called: the step of 16-bit samples."""
Samples = npt.NDArray[np.int16]
FloatSamples = npt.NDArray[np.float32]
BLOCK = RATE // 10
"""Samples an ear is fed at once off a recording; what it hears does not depend on it."""
_CURE = "give a WAV, FLAC or OGG recording"


def read_sound(path: Path) -> Samples:
    """Return the whole file as 16 kHz mono int16 samples, whatever its rate, width or channels.

    Channels are averaged. Raises `BadFile` (one plain line) when the file is missing, no sound, or
    holds no samples.
    """
    if path.is_dir():
        raise BadFile(str(path), "is a folder, not a recording", cure=_CURE)
    if not path.exists():
        raise BadFile(str(path), "there is no such file")
    try:
        told = soundfile.info(str(path))
        if told.frames * told.channels > MOST_SAMPLES:
            raise BadFile(str(path), f"is too long: {told.frames:,} samples", cure="cut it into parts")
        samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    except (soundfile.LibsndfileError, OSError, RuntimeError) as problem:
        if isinstance(problem, PermissionError):
            raise BadFile(str(path), "may not be read") from problem
        raise BadFile(str(path), "is no recording that can be read", cure=_CURE) from problem
    if len(samples) == 0:
        raise BadFile(str(path), "holds no sound at all")
    if not SLOWEST <= rate <= FASTEST:  # a made-up rate of a few samples a second would resample for ever
        raise BadFile(str(path), f"has {rate} samples a second, which no recorder makes", cure=_CURE)
    with np.errstate(over="ignore", invalid="ignore"):  # a broken file of floats; `as_pcm` mends that
        mono = samples.mean(axis=1, dtype=np.float32)
    return as_pcm(resampled(mono, int(rate)))


def in_blocks(pcm: bytes) -> Iterator[bytes]:
    """Yield 16-bit sound as an ear is fed it, in order."""
    for at in range(0, len(pcm), 2 * BLOCK):
        yield pcm[at : at + 2 * BLOCK]


def resampled(samples: FloatSamples, rate: int) -> FloatSamples:
    """Return the mono samples at 16 kHz; `rate` is theirs, in samples per second."""
    if rate == RATE:
        return samples
    return np.asarray(soxr.resample(samples, rate, RATE, quality="HQ"), dtype=np.float32)


def as_pcm(samples: FloatSamples) -> Samples:
    """Return samples in -1..1 as int16; louder ones (float files can hold them) are turned down as a whole.

    Turned down rather than cut off: clipping makes numbers wrong, a lower level does not.
    """
    whole = np.nan_to_num(samples, nan=0.0, posinf=1.0, neginf=-1.0)
    peak = float(np.abs(whole).max(initial=0.0))
    if peak > 1.0:
        whole = whole / peak
    return np.round(whole * (FULL_SCALE - 1)).astype(np.int16)


def peak_of(samples: Samples) -> int:
    """Return the largest magnitude, 0 to 32768."""
    return int(np.abs(samples.astype(np.int32)).max(initial=0))


def rms_db(samples: Samples) -> float:
    """Return the root-mean-square level in dBFS."""
    if len(samples) == 0:
        return SILENCE_DB
    return decibels(float(np.sqrt(np.mean(np.square(samples.astype(np.float64))))))


def decibels(magnitude: float) -> float:
    """Return a magnitude on the int16 scale in dBFS, never below `SILENCE_DB`."""
    return max(SILENCE_DB, 20 * log10(magnitude / FULL_SCALE)) if magnitude > 0 else SILENCE_DB


def magnitude(level_db: float) -> float:
    """Return the magnitude on the int16 scale of a level in dBFS."""
    return float(FULL_SCALE * 10 ** (level_db / 20))


def within_scale(samples: FloatSamples) -> Samples:
    """Return samples on the int16 scale, rounded and never beyond full scale."""
    within: Samples = np.clip(np.round(samples), -FULL_SCALE, FULL_SCALE - 1).astype(np.int16)
    return within


class NoiseMeter:
    """The level of the room when nobody speaks, as a running quantile of quiet frames.

    Fed only with frames that were not speech; falls within a few frames when it gets quieter and
    rises slowly, so that the tail of a word does not count as noise.
    """

    FALL, RISE = 0.2, 0.02
    """Share of the way to the new frame's level taken in one frame of 32 ms."""

    SETTLED = 15
    """Frames, half a second, after which the level can be relied on."""

    def __init__(self) -> None:
        self._level: float | None = None
        self._frames = 0

    @property
    def level_db(self) -> float:
        """Level in dBFS (RMS); `SILENCE_DB` before the first frame."""
        return SILENCE_DB if self._level is None else self._level

    def is_only_noise(self, level_db: float, margin_db: float) -> bool:
        """Whether a frame of this level surely is the room alone; False until the meter has settled."""
        return self._frames >= self.SETTLED and level_db < self.level_db + margin_db

    def hear(self, level_db: float) -> None:
        """Take in the level of one frame without speech."""
        self._frames += 1
        if self._level is None:
            self._level = level_db
            return
        pace = self.FALL if level_db < self._level else self.RISE
        self._level += pace * (level_db - self._level)
