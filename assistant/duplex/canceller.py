"""The echo canceller: what was played taken out of what was captured, frame by frame.

Why this library, and why by ctypes. An adaptive filter of this kind removes less than a modern canceller
with a non-linear stage (16 to 20 dB beside 42), but it leaves the words of somebody who speaks at the same
time as they are, and here a recogniser listens. It is one small system library (BSD-3-Clause, its interface
unchanged for a decade), and five functions of it are used. No binding of it is both kept up and installable
everywhere: the one on the package index wants swig, a compiler and the headers and was released last years
ago, others have wheels without a licence that allows their use.

What must be kept, as its users found out: the rate must be set (left alone it filters as if for 8 kHz and
eats low voices); the reference must never come later than its echo; both must be sampled by one clock (one
part in ten thousand apart, and nothing is removed); the filter must be longer than delay and room together;
the state is kept for the whole session, for it learns only while something is played.
"""

from __future__ import annotations

import ctypes
import ctypes.util
from functools import cache
from typing import Protocol

from assistant.errors import MissingPart

RATE = 16_000
FRAME = 160
"""Samples cancelled at once: 10 ms."""
FILTER = 5_600
"""Samples the filter spans: 350 ms, delay of the card and the room together."""
NAMES = ("libspeexdsp.so.1", "libspeexdsp.1.dylib", "libspeexdsp.dll", "libspeexdsp-1.dll")
SET_SAMPLING_RATE = 24
MISSING = "libspeexdsp is absent; on Debian and its kin put it in with: apt install libspeexdsp1"


class EchoCanceller(Protocol):
    """Something that takes an echo out; one for a session, used by one thread."""

    def cancel(self, captured: bytes, played: bytes) -> bytes:
        """Return a frame of what was captured without the echo of what was played.

        All three are `FRAME` samples of 16 kHz mono int16; `played` is what was handed to the card at the
        moment at which `captured` was taken from it.
        """

    def close(self) -> None:
        """Let go of its memory."""


class SpeexCanceller:
    """The adaptive filter of libspeexdsp."""

    def __init__(self, filter_length: int = FILTER) -> None:
        """`MissingPart` where the library is absent."""
        self._library = library()
        self._state = self._library.speex_echo_state_init(FRAME, filter_length)
        rate = ctypes.c_int(RATE)
        self._library.speex_echo_ctl(self._state, SET_SAMPLING_RATE, ctypes.byref(rate))
        self._out = ctypes.create_string_buffer(2 * FRAME)

    def cancel(self, captured: bytes, played: bytes) -> bytes:
        """Return `captured` without the echo of what was played up to `played`."""
        assert len(captured) == len(played) == 2 * FRAME, "one frame each, in step"
        self._library.speex_echo_cancellation(self._state, captured, played, self._out)
        return self._out.raw

    def close(self) -> None:
        """Let go of its memory."""
        if self._state is not None:
            self._library.speex_echo_state_destroy(self._state)
            self._state = None


@cache
def library() -> ctypes.CDLL:
    """Return the library with its functions declared; `MissingPart` where it is absent."""
    found = ctypes.util.find_library("speexdsp")
    for name in (*NAMES, *([found] if found else [])):
        try:
            loaded = ctypes.CDLL(name)
        except OSError:
            continue
        state, frame = ctypes.c_void_p, ctypes.c_char_p
        loaded.speex_echo_state_init.restype = state  # the default, int, cuts the address to 32 bits
        loaded.speex_echo_state_init.argtypes = [ctypes.c_int, ctypes.c_int]
        loaded.speex_echo_ctl.argtypes = [state, ctypes.c_int, ctypes.c_void_p]
        loaded.speex_echo_cancellation.argtypes = [state, frame, frame, ctypes.c_void_p]
        loaded.speex_echo_cancellation.restype = None
        loaded.speex_echo_state_destroy.argtypes = [state]
        loaded.speex_echo_state_destroy.restype = None
        return loaded
    raise MissingPart(MISSING)
