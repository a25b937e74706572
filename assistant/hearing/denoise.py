"""A second view of an utterance heard in noise: the same sound through a noise suppressor (RNNoise).

Its mistakes are others than those of the plain sound, so that two views agreeing say more than one. The
suppressor is a part of its own (package pyrnnoise, Apache-2.0, with Xiph's RNNoise, BSD-3-clause); where it
is not installed there is one view.
"""

from __future__ import annotations

import ctypes
import importlib.util
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import soxr

from assistant.hearing.sound import RATE, FloatSamples, Samples, peak_of, within_scale

Denoise = Callable[[Samples], Samples]
"""Takes the 16 kHz samples of an utterance and returns as many."""
_PACKAGE = "pyrnnoise"
_LIBRARIES = ("librnnoise.so", "librnnoise.dylib", "rnnoise.dll")
_NATIVE, _FRAME = 48_000, 480
_LEVEL = 8_000.0
"""Peak, in steps of a 16-bit sample, at which the suppressor gets the sound: about -12 dBFS."""
_SETTLE = _NATIVE // 2
"""Samples of the beginning it hears once before, to know the noise."""
_DELAY = 2 * _FRAME
"""Samples by which what comes out is late."""


@cache
def _library() -> ctypes.CDLL | None:
    """Return the library inside the package; the package itself is not imported, for what it drags in."""
    found = importlib.util.find_spec(_PACKAGE)
    if found is None or found.origin is None:
        return None
    for name in _LIBRARIES:
        file = Path(found.origin).parent / name
        if file.is_file():
            try:
                return _typed(ctypes.CDLL(str(file)))
            except (OSError, AttributeError):  # of another machine, or another interface
                return None
    return None


def _typed(library: ctypes.CDLL) -> ctypes.CDLL:
    pointer = ctypes.POINTER(ctypes.c_float)
    library.rnnoise_create.argtypes, library.rnnoise_create.restype = [ctypes.c_void_p], ctypes.c_void_p
    library.rnnoise_destroy.argtypes, library.rnnoise_destroy.restype = [ctypes.c_void_p], None
    library.rnnoise_process_frame.argtypes = [ctypes.c_void_p, pointer, pointer]
    library.rnnoise_process_frame.restype = ctypes.c_float
    return library


def denoiser() -> Denoise | None:
    """Return the suppressor, None where it is not installed."""
    return None if _library() is None else denoised


def denoised(samples: Samples) -> Samples:
    """Return the utterance without what the suppressor takes for noise, as loud as it likes."""
    gain = _LEVEL / max(1, peak_of(samples))
    wave = np.asarray(soxr.resample(samples.astype(np.float32) * gain, RATE, _NATIVE), dtype=np.float32)
    begin = wave[:_SETTLE]
    whole = np.concatenate([begin, wave, np.zeros(_DELAY + _FRAME, dtype=np.float32)])
    clean = _through(whole)[len(begin) + _DELAY :][: len(wave)]
    return within_scale(np.asarray(soxr.resample(clean, _NATIVE, RATE), dtype=np.float32))[: len(samples)]


def _through(wave: FloatSamples) -> FloatSamples:
    library = _library()
    assert library is not None
    pointer = ctypes.POINTER(ctypes.c_float)
    frames = np.ascontiguousarray(wave[: len(wave) // _FRAME * _FRAME].reshape(-1, _FRAME))
    out = np.zeros_like(frames)
    state = library.rnnoise_create(None)
    try:
        for source, sink in zip(frames, out, strict=True):
            library.rnnoise_process_frame(state, sink.ctypes.data_as(pointer), source.ctypes.data_as(pointer))
    finally:
        library.rnnoise_destroy(state)
    return out.reshape(-1)
