"""How loud our own voice comes back, learnt while it speaks, and what is louder than that."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from statistics import median

STEP_S = 0.1
"""Sound weighed at once."""
ECHO_BEHIND_S, ECHO_AHEAD_S = 0.3, 0.1
"""What is heard now was played so long ago at most; and the card's clock may be out by so much."""
LOUDER_DB = 7.0
"""Our own voice alone is 6.6 dB louder than usual in one step of a hundred."""
LEARNT, REMEMBERED = 10, 100
"""Steps of our voice from which its level is known, and how many are kept."""
LEAST_DB = -55.0
"""Nobody says "stop" so softly; and what is played below this teaches nothing."""


class OwnLevel:
    """Tells of each step of sound whether it is louder than our voice alone would be."""

    def __init__(self, played: Callable[[float, float], float]) -> None:
        """`played` returns the level in dB of the loudest that we played in a stretch of time."""
        self._played = played
        self._echo: deque[float] = deque(maxlen=REMEMBERED)

    def louder(self, level: float, start: float) -> bool:
        """Take in how loud a step from `start` on was, in dB; say whether somebody else is in it.

        False while the level of our voice is not known yet.
        """
        played = self._played(start - ECHO_BEHIND_S, start + STEP_S + ECHO_AHEAD_S)
        known = len(self._echo) >= LEARNT
        own = played + median(self._echo) if known else 0.0
        if played > LEAST_DB:
            self._echo.append(level - played)
        return known and level > max(own + LOUDER_DB, LEAST_DB)
