"""What of our own voice is in the air, and when: kept by the loudspeaker's stream, asked by the ear.

Times are those of `time.monotonic`, the one clock that all processes of a computer share. The stream
tells for each block when its first sample leaves the card, so a stretch is known to the sample.
"""

from __future__ import annotations

import threading
from collections import deque

from assistant.speaking.sound import SILENCE_DB

KEPT_S = 30.0
"""Stretches that ended longer ago are forgotten; sound arrives at the ear within a second."""
LEVELS_S = 2.0
"""For so long it is known how loud each block was."""
JOIN_S = 0.012
"""The card's own estimate of when a block is heard wavers by this much from block to block."""


class Air:
    """Stretches of time in which sound of ours left the card; safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._stretches: deque[tuple[float, float]] = deque()
        self._levels: deque[tuple[float, float, float]] = deque()

    def put(self, start: float, seconds: float, level_db: float = SILENCE_DB) -> None:
        """Sound of a level (dBFS RMS) leaves the card from `start` on; called in that order."""
        with self._lock:
            if self._stretches and start <= self._stretches[-1][1] + JOIN_S:
                first, last = self._stretches[-1]
                self._stretches[-1] = (first, max(last, start + seconds))
            else:
                self._stretches.append((start, start + seconds))
            while self._stretches[0][1] < start - KEPT_S:
                self._stretches.popleft()
            self._levels.append((start, start + seconds, level_db))
            while self._levels[0][1] < start - LEVELS_S:
                self._levels.popleft()

    def overlapping(self, start: float, end: float, before: float, after: float) -> list[tuple[float, float]]:
        """Return the parts of `start`..`end` that lie in a stretch widened by `before` and `after` seconds.

        In order, joined where they touch.
        """
        with self._lock:
            wide = [(first - before, last + after) for first, last in self._stretches]
        found: list[tuple[float, float]] = []
        for first, last in wide:
            first, last = max(first, start), min(last, end)
            if first >= last:
                continue
            if found and first <= found[-1][1]:
                found[-1] = (found[-1][0], max(found[-1][1], last))
            else:
                found.append((first, last))
        return found

    def loudest(self, start: float, end: float) -> float:
        """Return the level of the loudest block that left the card between two moments, dBFS RMS."""
        with self._lock:
            return max(
                (level for first, last, level in self._levels if first < end and last > start),
                default=SILENCE_DB,
            )
