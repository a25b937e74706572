"""Whether a microphone's sound comes as fast as time passes: holes in it, and a clock that runs wrongly.

A sound system that drops sound often does not say so, but it tells when each block was captured: what
is missing between two blocks shows in their times. Small deviations are forgotten as time passes and the
rest is added up, as in a control chart of cumulative sums (E. S. Page, Biometrika 41, 1954, 100-115).
"""

from __future__ import annotations

from assistant.hearing.blocks import Block
from assistant.hearing.sound import RATE

LEEWAY = 0.1
"""Share of the passing time that is forgiven: no clock of a sound card is so far out."""
TORN_S = 0.12
"""Missing sound that may have held a short word: whoever speaks meanwhile is not understood."""
WRONG_S = 1.0
"""Sound that is missing or too much when a device is given up: 3.3 s after it fell to 60 % of real time."""
TOO_LITTLE = "a part of its sound does not arrive"
TOO_MUCH = "it gives more sound than time passes"


class Pace:
    """Adds up what is missing of a stream of blocks, or too much."""

    def __init__(self, most_s: float = WRONG_S) -> None:
        """Find the stream wrong when `most_s` more is missing, or too much, than is forgiven."""
        self._most_s = most_s
        self._end = 0.0
        self._balance = self._hole = 0.0
        self.wrong = ""
        """Why the device had better be opened again; empty while it keeps its pace."""

    def take(self, block: Block) -> int:
        """Take in a block; return how many samples are missing before it, 0 where too few to matter.

        Blocks without a time of their own tell nothing.
        """
        if not block.at:
            return 0
        seconds = len(block.pcm) / 2 / RATE
        end = block.at + seconds
        passed = end - self._end if self._end else seconds
        self._end = end
        missing = passed - seconds - block.lost / RATE
        forgiven = LEEWAY * max(passed, 0.0)
        self._balance = _nearer_to_zero(self._balance + missing, forgiven)
        self._hole = max(0.0, self._hole + missing - forgiven)
        if abs(self._balance) > self._most_s:
            self.wrong = TOO_LITTLE if self._balance > 0 else TOO_MUCH
        if self._hole < TORN_S:
            return 0
        samples, self._hole = round(self._hole * RATE), 0.0
        return samples


def _nearer_to_zero(value: float, by: float) -> float:
    return max(value - by, 0.0) if value > 0 else min(value + by, 0.0)
