"""The self check of the echo canceller: how much of our own voice it takes out, while we speak.

What is measured is `captured`, as the microphone gave it, and `left`, what the canceller made of it. Their
ratio falls also when somebody speaks into a reply, which is just when it must not be doubted; so a canceller
that has settled is doubted only where the path of the echo still stands out in what it left.
"""

from __future__ import annotations

import math
from collections import deque

import numpy as np
import numpy.typing as npt

from assistant.duplex.canceller import FILTER, FRAME, RATE
from assistant.duplex.path import stands_out

SETTLED_DB = 10.0
"""From this reduction on, measured over `WINDOW` frames of our own voice, it has settled."""
WINDOW = RATE // FRAME
"""One second."""
AUDIBLE_DB = -50.0
"""What is played below this teaches the canceller nothing, and measures nothing (dBFS RMS of a frame)."""
LINGERS = round(0.3 * RATE / FRAME)
"""Frames for which the echo of what was played may still come."""
LOOKED_AT = 25
"""Frames from one look for the echo's path to the next."""
STANDS_OUT_DB, LOOKS = 11.0, 2
"""The echo is still there where its path stands out so far, at so many looks in a row: after a slip of 20 ms
12 dB and more at every one, while people spoke at a single one of 160."""

Frame = npt.NDArray[np.float64]


class Reduction:
    """Measures frame by frame; one for each canceller."""

    def __init__(self) -> None:
        self._played: deque[Frame] = deque(maxlen=WINDOW + FILTER // FRAME)
        self._captured: deque[Frame] = deque(maxlen=WINDOW)
        self._left: deque[Frame] = deque(maxlen=WINDOW)
        self._powers: deque[tuple[float, float]] = deque(maxlen=WINDOW)
        self._since = LINGERS + 1
        self._stood_out = 0
        self.measured = 0
        """Frames measured so far."""
        self.settled = False
        """Whether what is left may be listened to while our voice is in the air."""

    def frame(self, captured: bytes, played: bytes, left: bytes) -> bool:
        """Take in one frame of 16 kHz mono int16 of each; return `settled`."""
        mine, heard, rest = _samples(played), _samples(captured), _samples(left)
        loud = _power(mine) > 32_768**2 * 10 ** (AUDIBLE_DB / 10)
        self._since = 0 if loud else self._since + 1
        if self._since > LINGERS:
            return self.settled
        self._played.append(mine)
        self._captured.append(heard)
        self._left.append(rest)
        self._powers.append((_power(heard), _power(rest)))
        self.measured += 1
        if self.db > SETTLED_DB:
            self.settled, self._stood_out = True, 0
        elif self.settled and self.measured % LOOKED_AT == 0:
            self._look()
        return self.settled

    def upset(self) -> None:
        """Sound was lost on one side: the two are out of step until the contrary is measured."""
        for one in (self._played, self._captured, self._left):
            one.clear()
        self._powers.clear()
        self.settled = False

    @property
    def db(self) -> float:
        """The reduction over the last second of our own voice, in dB; 0 before that is full."""
        if len(self._powers) < WINDOW:
            return 0.0
        heard, rest = (sum(one) for one in zip(*self._powers, strict=True))
        return 10 * math.log10((heard + WINDOW) / (rest + WINDOW))

    def _look(self) -> None:
        """Doubt what has settled where the echo is still there."""
        if len(self._played) < (self._played.maxlen or 0):
            return
        played, captured, left = (np.concatenate(one) for one in (self._played, self._captured, self._left))
        self._stood_out = self._stood_out + 1 if stands_out(played, captured, left) > STANDS_OUT_DB else 0
        self.settled = self._stood_out < LOOKS


def _samples(pcm: bytes) -> Frame:
    return np.frombuffer(pcm, dtype="<i2").astype(np.float64)


def _power(frame: Frame) -> float:
    return float(np.dot(frame, frame)) / len(frame)
