"""What the library offers behind its canceller: a suppressor of the residual echo, tried and not used.

It removes 5 dB more, and little more or less is understood (`python -m tests.benchmark echo`); for that it
would suppress noise in whatever the ear hears, which was measured and tuned without.
"""

from __future__ import annotations

import ctypes

from assistant.duplex.canceller import FRAME, RATE, SpeexCanceller

SET_DENOISE, SET_ECHO_STATE = 0, 24


class Suppressing(SpeexCanceller):
    """The canceller with the suppressor behind it, which does nothing unless noise is suppressed, too."""

    def __init__(self) -> None:
        """`MissingPart` where the library is absent."""
        super().__init__()
        pointer = ctypes.c_void_p
        made = self._library.speex_preprocess_state_init
        made.restype, made.argtypes = pointer, [ctypes.c_int, ctypes.c_int]
        self._library.speex_preprocess_ctl.argtypes = [pointer, ctypes.c_int, pointer]
        self._library.speex_preprocess_run.argtypes = [pointer, pointer]
        self._preprocess = made(FRAME, RATE)
        on = ctypes.c_int(1)
        self._library.speex_preprocess_ctl(self._preprocess, SET_DENOISE, ctypes.byref(on))
        self._library.speex_preprocess_ctl(self._preprocess, SET_ECHO_STATE, self._state)

    def cancel(self, captured: bytes, played: bytes) -> bytes:
        """Return what was captured without the echo, and without much of what is left of it."""
        super().cancel(captured, played)
        self._library.speex_preprocess_run(self._preprocess, self._out)
        return self._out.raw
