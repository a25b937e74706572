"""The sound around a clip: quiet, a noise at a stated ratio, another level, a narrow band, clipping."""

from __future__ import annotations

import re
import zlib
from functools import cache

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from tests.benchmark import noises
from tests.benchmark.hearing.clips import SPEECH, Clip
from tests.benchmark.hearing.people import transcripts
from tests.benchmark.hearing.speakers import RATE
from tests.benchmark.hearing.split import Split, split
from tests.benchmark.noises import Wave, active_rms

LEAD_S, TRAIL_S = 0.8, 1.8
"""Silence or noise before and after the speech; the longest wait for more is 1.5 s."""
ROOM_DB = -60.0
PEAK_DB = -12.0
RATIOS = (20, 10, 5, 0)
KINDS = ("engine", "compressor", "impact", "babble", "music")
LEVELS = (-6, -20, -30, -40)
_NOISE = re.compile(r"(engine|compressor|impact|babble|music) (-?\d+) dB")
Samples = npt.NDArray[np.int16]


def conditions() -> tuple[str, ...]:
    """Return the names of all of them."""
    noisy = tuple(f"{kind} {ratio} dB" for kind in KINDS for ratio in RATIOS)
    return ("quiet", *noisy, *(f"peak {level} dBFS" for level in LEVELS), "8 kHz band", "clipped")


def in_condition(clip: Clip, condition: str, seed: int, side: Split) -> tuple[Samples, str]:
    """Return the clip as the microphone would bring it, and the name of the noise.

    Ratio: RMS of the speech while it speaks over RMS of the noise, full band. Nothing is clipped except in
    the condition of that name: a mixture too loud is turned down as a whole.
    """
    chance = np.random.default_rng(zlib.crc32(f"{seed} {condition} {clip.id}".encode()))
    wave = clip.wave()
    wave = wave / np.abs(wave).max() * 10 ** (PEAK_DB / 20)
    whole = np.concatenate([np.zeros(int(LEAD_S * RATE)), wave, np.zeros(int(TRAIL_S * RATE))])
    room = _room(len(whole), chance)
    found = _NOISE.fullmatch(condition)
    noise_name = ""
    if found is not None:
        options = side.noises[found[1]]
        noise_name = options[int(chance.integers(len(options)))]
        noise = noise_of(noise_name, len(whole), chance)
        whole = whole + room + noise * active_rms(wave) / 10 ** (int(found[2]) / 20)
        whole = whole / max(1.0, np.abs(whole).max() / 0.9)
    elif condition.startswith("peak"):
        whole = (whole + room) * 10 ** ((float(condition.split()[1]) - PEAK_DB) / 20)
    elif condition == "8 kHz band":
        narrow = soxr.resample(whole + room, RATE, RATE // 2)
        whole = np.asarray(soxr.resample(narrow, RATE // 2, RATE))[: len(whole)]
    elif condition == "clipped":
        whole = (whole + room) * 3 * 10 ** (-PEAK_DB / 20)
    elif condition == "quiet":
        whole = whole + room
    else:
        raise ValueError(f"no condition is called {condition!r}")
    return np.clip(np.round(whole * 32_767), -32_768, 32_767).astype(np.int16), noise_name


def noise_alone(name: str, seconds: float, level_db: float, seed: int) -> Samples:
    """Return a noise with nobody speaking, its RMS at `level_db` dBFS."""
    wave = noise_of(name, int(seconds * RATE), np.random.default_rng(seed)) * 10 ** (level_db / 20)
    return np.clip(np.round(wave * 32_767), -32_768, 32_767).astype(np.int16)


def noise_of(name: str, count: int, chance: noises.Rng) -> Wave:
    """Return `count` samples of a noise with an RMS of one; a recording starts anywhere and is repeated."""
    if name == "made:babble":
        wave = noises.babble(count, _talk(), chance)
    elif name.startswith("made:"):
        wave = noises.NOISES[name.removeprefix("made:")](count, RATE, chance)
    else:
        recording = _recording(name)
        start = int(chance.integers(len(recording)))
        wave = np.resize(np.roll(recording, -start), count)
    return wave / max(float(np.sqrt(np.mean(wave**2))), 1e-9)


@cache
def _recording(name: str) -> Wave:
    wave, rate = soundfile.read(str(SPEECH / "noise" / name), dtype="float64")
    assert rate == RATE, name
    return np.asarray(wave)


@cache
def _talk() -> tuple[Wave, ...]:
    """Read sentences of fitting speakers, to make babble of."""
    side = split("fitting")
    files = [file for file, speaker, _ in transcripts("librispeech") if side.has(speaker)][:12]
    return tuple(np.asarray(soundfile.read(str(SPEECH / file), dtype="float64")[0]) for file in files)


def _room(count: int, chance: noises.Rng) -> Wave:
    """Return the faint noise of a room, falling by 6 dB an octave."""
    spectrum = np.fft.rfft(chance.standard_normal(count))
    spectrum /= np.maximum(np.arange(len(spectrum)), 1 + count // 400)
    wave = np.fft.irfft(spectrum, count)
    return np.asarray(wave * 10 ** (ROOM_DB / 20) / np.sqrt(np.mean(wave**2)))
