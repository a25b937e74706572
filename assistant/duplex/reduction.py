"""The self check of the echo canceller: how much of our own voice it takes out, while we speak.

Sound measured is `captured`, as the microphone gave it, and `left`, what the canceller made of it. Their
ratio falls also when somebody speaks into a reply, which is when it must not be doubted; so a canceller
that has settled stays so as long as what it takes out is still what is there: then what was captured,
projected on what was taken out, is that again, whoever speaks meanwhile.
"""

from __future__ import annotations

import math
from collections import deque

import numpy as np

from assistant.duplex.canceller import FRAME, RATE

SETTLED_DB = 10.0
"""From this reduction on, measured over `WINDOW_S` of our own voice, it has settled."""
WINDOW_S = 1.0
AUDIBLE_DB = -50.0
"""What is played below this teaches the canceller nothing, and measures nothing (dBFS RMS of a frame)."""
LINGERS = round(0.3 * RATE / FRAME)
"""Frames for which the echo of what was played may still come."""
TRUE = (0.5, 1.5)
"""Where the projection lies while what is taken out is what is there; 0: they have nothing in common."""


class Reduction:
    """Measures frame by frame; one for each canceller."""

    def __init__(self) -> None:
        self._frames: deque[tuple[float, float, float, float]] = deque(maxlen=round(WINDOW_S * RATE / FRAME))
        self._since = LINGERS + 1
        self.measured = 0
        """Frames measured so far."""
        self.settled = False
        """Whether what is left may be listened to while our voice is in the air."""

    def frame(self, captured: bytes, played: bytes, left: bytes) -> bool:
        """Take in one frame of 16 kHz mono int16 of each; return `settled`."""
        loud = _power(np.frombuffer(played, dtype="<i2").astype(np.float64))
        self._since = 0 if loud > 32_768**2 * 10 ** (AUDIBLE_DB / 10) else self._since + 1
        if self._since > LINGERS:
            return self.settled
        heard = np.frombuffer(captured, dtype="<i2").astype(np.float64)
        rest = np.frombuffer(left, dtype="<i2").astype(np.float64)
        taken = heard - rest
        self.measured += 1
        self._frames.append((_power(heard), _power(rest), float(np.mean(heard * taken)), _power(taken)))
        if len(self._frames) == self._frames.maxlen:
            true = self.settled and TRUE[0] < self.projection < TRUE[1]
            self.settled = self.db > SETTLED_DB or true
        return self.settled

    def upset(self) -> None:
        """Sound was lost on one side: the two are out of step until the contrary is measured."""
        self._frames.clear()
        self.settled = False

    @property
    def db(self) -> float:
        """The reduction over the last second of our own voice, in dB; 0 before that is full."""
        if len(self._frames) < (self._frames.maxlen or 0):
            return 0.0
        heard, rest = (sum(one[number] for one in self._frames) for number in (0, 1))
        return 10 * math.log10((heard + 1.0) / (rest + 1.0))

    @property
    def projection(self) -> float:
        """What was captured projected on what was taken out, 1 where that was all in it."""
        common, taken = (sum(one[number] for one in self._frames) for number in (2, 3))
        return common / taken if taken > 0 else 0.0


def _power(samples: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    return float(np.mean(np.square(samples)))
