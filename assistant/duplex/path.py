"""The echo's path from what was played to what was heard, found anew in a second of both.

Least squares in the frequency domain, regularised: beside the echo there is whatever else sounds in the room,
but that has nothing in common with what was played, so it only adds a floor to the path that is found. Where
the path stands out of that floor, there is an echo, however loud somebody speaks meanwhile.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from assistant.duplex.canceller import FILTER, RATE

Samples = npt.NDArray[np.float64]
ROUND = RATE // 100
"""Samples on both sides of the strongest arrival that count as the path."""
LEAST = 0.01
"""Share of the mean power that is added to that of each frequency: what holds no sound tells nothing."""


def stands_out(played: Samples, captured: Samples, left: Samples) -> float:
    """Return by how many dB the echo's path in `left` stands out of the floor, at its place in `captured`.

    `captured` and `left` are of the same moments, `played` begins `FILTER` samples before them.
    """
    size = 1 << (len(played) + FILTER - 1).bit_length()
    spectrum = np.fft.rfft(played, size)
    power = np.abs(spectrum) ** 2
    divided = np.conj(spectrum) / (power + LEAST * power.mean() + 1e-9)
    before = np.zeros(FILTER)
    whole, rest = (
        np.fft.irfft(np.fft.rfft(np.concatenate([before, heard]), size) * divided, size)
        for heard in (captured, left)
    )
    at = int(np.argmax(np.abs(whole[:FILTER])))
    path = float(np.mean(rest[max(0, at - ROUND) : at + ROUND] ** 2))
    floor = float(np.mean(rest[-size // 4 :] ** 2))  # no echo comes before what was played
    return 10 * math.log10((path + 1e-30) / (floor + 1e-30))
