"""A room so loud that nobody is understood in it: told once, since who speaks there gets no other answer.

Speech that does not stand out from a steady noise is not noticed as speech at all, so no utterance and no
refusal tells of it; the meters do.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from statistics import median

from assistant.hearing.levels import NOISY_DB, TARGET_PEAK_DB
from assistant.hearing.utterance import Utterance

LASTING_S = 8.0
"""So long without a pause: a grinder's cut or a passing engine is shorter than what it keeps from hearing."""
OVER_DB = 6.0
"""So much quieter, and it is over; the next one is told of again."""
REMEMBERED = 9
"""Utterances that tell how loud somebody usually is here."""


class Din:
    """Watches the room beside the ear, in the ear's own thread."""

    def __init__(self) -> None:
        self._peaks: deque[float] = deque(maxlen=REMEMBERED)
        self._loud_s = 0.0
        self._told = False

    @property
    def usual_peak_db(self) -> float:
        """Peak of what was understood lately, dBFS; of loud speech before anything was."""
        return median(self._peaks) if self._peaks else TARGET_PEAK_DB

    def hear(self, decided: Sequence[Utterance], noise_db: float, seconds: float) -> bool:
        """Take in what was decided in so many seconds of sound, and the level of the room in it (dBFS RMS).

        True, once, when the room has been too loud for the usual voice for `LASTING_S`.
        """
        self._peaks.extend(one.peak_db for one in decided if one.meaning is not None)
        standing_out = self.usual_peak_db - noise_db
        if standing_out >= NOISY_DB:
            self._loud_s = 0.0
            self._told = self._told and standing_out < NOISY_DB + OVER_DB
            return False
        self._loud_s += seconds
        if self._told or self._loud_s < LASTING_S:
            return False
        self._told = True
        return True
