"""Speech made at test time by the espeak-ng library (from the wheel espeakng-loader), as 16 kHz int16."""

from __future__ import annotations

import ctypes
import os
from functools import cache, lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import soxr

from assistant.hearing.sound import RATE, as_pcm

Samples = npt.NDArray[np.int16]
_SYNCHRONOUS = 2
_DO_NOT_EXIT = 0x8000
_RATE_PARAMETER, _PITCH_PARAMETER = 1, 3
_CALLBACK = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)
_heard: list[bytes] = []


@_CALLBACK
def _collect(samples: Any, count: int, _events: Any) -> int:
    if samples and count > 0:
        _heard.append(ctypes.string_at(samples, 2 * count))
    return 0


@cache
def _library() -> tuple[Any, int]:
    """The library, opened once, and its sample rate."""
    import espeakng_loader

    data = espeakng_loader.get_data_path()
    os.environ["ESPEAK_DATA_PATH"] = data  # without it the library ends the whole process
    library = ctypes.CDLL(espeakng_loader.get_library_path())
    rate = library.espeak_Initialize(_SYNCHRONOUS, 0, data.encode(), _DO_NOT_EXIT)
    assert rate > 0, "the speech library did not start"
    library.espeak_SetSynthCallback(_collect)
    return library, int(rate)


@lru_cache(maxsize=4096)
def said(words: str, voice: str = "en", rate: int = 150, pitch: int = 50) -> Samples:
    """Return `words` spoken by an espeak-ng voice, with its variant ("en-us+f3"); `rate` in words a minute.

    The silence before and after is cut off to within 10 ms, so that the last sample is the end of speech.
    """
    library, native = _library()
    assert library.espeak_SetVoiceByName(voice.encode()) == 0, f"no voice {voice}"
    library.espeak_SetParameter(_RATE_PARAMETER, rate, 0)
    library.espeak_SetParameter(_PITCH_PARAMETER, pitch, 0)
    _heard.clear()
    text = words.encode()
    assert library.espeak_Synth(text, len(text) + 1, 0, 1, 0, 1, None, None) == 0
    samples = np.frombuffer(b"".join(_heard), dtype=np.int16).astype(np.float32) / 32_768
    return trimmed(as_pcm(np.asarray(soxr.resample(samples, native, RATE), dtype=np.float32)))


def trimmed(samples: Samples, below_db: float = 38.0) -> Samples:
    """Cut off what lies more than `below_db` under the peak at either end, in steps of 10 ms."""
    step = RATE // 100
    blocks = np.abs(samples[: len(samples) // step * step].astype(np.int32)).reshape(-1, step).max(axis=1)
    loud = np.flatnonzero(blocks > blocks.max() / 10 ** (below_db / 20))
    return samples[loud[0] * step : (loud[-1] + 1) * step]


def at_peak(samples: Samples, peak_db: float) -> Samples:
    """Return the samples with their peak at `peak_db` dBFS."""
    scale = 32_768 * 10 ** (peak_db / 20) / max(1, int(np.abs(samples.astype(np.int32)).max()))
    return np.asarray(np.clip(np.round(samples * scale), -32_768, 32_767), dtype=np.int16)


def quiet_room(seconds: float, level_db: float = -60.0, seed: int = 1) -> Samples:
    """Return faint noise falling by 6 dB an octave, as a quiet room has; `level_db` its RMS in dBFS."""
    chance = np.random.default_rng(seed)
    count = int(seconds * RATE)
    spectrum = np.fft.rfft(chance.standard_normal(count))
    spectrum /= np.maximum(np.arange(len(spectrum)), 1 + count // 400)
    wave = np.fft.irfft(spectrum, count)
    wave *= 10 ** (level_db / 20) / np.sqrt(np.mean(wave**2))
    return np.asarray(np.round(wave * 32_768), dtype=np.int16)


def in_room(
    *parts: Samples | float, lead: float = 0.6, trail: float = 2.0, level_db: float = -60.0
) -> Samples:
    """Return the parts one after another (a number is a pause in seconds) in a quiet room."""
    pieces = [np.zeros(int(p * RATE), np.int16) if isinstance(p, float) else p for p in (lead, *parts, trail)]
    whole = np.concatenate(pieces).astype(np.int32)
    return np.clip(
        whole + quiet_room(len(whole) / RATE + 0.01, level_db)[: len(whole)], -32_768, 32_767
    ).astype(np.int16)
