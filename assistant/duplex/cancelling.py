"""From what the card took and was given to blocks for the ear: the echo taken out, and checked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import soxr

from assistant.duplex.canceller import FRAME, RATE, EchoCanceller
from assistant.duplex.reduction import Reduction
from assistant.hearing.blocks import Block

Samples = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class Both:
    """One block of the card: what it captured, and what it was given at the same moment; as many samples."""

    captured: Samples
    played: Samples
    at: float
    """When the first sample was captured, in seconds of `time.monotonic`."""
    lost: int = 0
    """Samples lost before it."""
    slipped: bool = False
    """Sound was lost on one side or the other, so that the two are out of step."""


class Cancelling:
    """Takes blocks of any length and rate; gives frames of 10 ms at 16 kHz. Belongs to one thread."""

    def __init__(self, canceller: EchoCanceller, rate: int = RATE) -> None:
        """`rate` is that of both sides of the card."""
        self.reduction = Reduction()
        self._canceller, self._rate = canceller, rate
        self._resamplers = None if rate == RATE else (_resampler(rate), _resampler(rate))
        self._taken_in, self._given_out = 0, 0
        self._captured, self._played = (np.zeros(0, dtype=np.int16) for _ in range(2))

    def blocks(self, both: Both) -> Iterator[Block]:
        """Yield the frames that are whole now, the echo taken out of them.

        They say that they were freed of it while the self check finds that they are.
        """
        if both.slipped or both.lost:
            self.reduction.upset()
        end = both.at + len(both.captured) / self._rate
        captured, played = both.captured, both.played
        if self._resamplers is not None:  # alike, so both come out as long and as late
            captured, played = (
                one.resample_chunk(np.ascontiguousarray(samples))
                for one, samples in zip(self._resamplers, (captured, played), strict=True)
            )
        # what the resamplers still hold back was captured last
        self._taken_in += len(both.captured)
        self._given_out += len(captured)
        end -= self._taken_in / self._rate - self._given_out / RATE
        self._captured = np.concatenate([self._captured, captured])
        self._played = np.concatenate([self._played, played])
        lost = both.lost
        while len(self._captured) >= FRAME:
            at = end - len(self._captured) / RATE
            mine, theirs = self._played[:FRAME].astype("<i2"), self._captured[:FRAME].astype("<i2")
            self._played, self._captured = self._played[FRAME:], self._captured[FRAME:]
            left = self._canceller.cancel(theirs.tobytes(), mine.tobytes())
            settled = self.reduction.frame(theirs.tobytes(), mine.tobytes(), left)
            yield Block(left, lost, at, settled)
            lost = 0


def _resampler(rate: int) -> soxr.ResampleStream:
    return soxr.ResampleStream(rate, RATE, 1, dtype="int16", quality="HQ")
