"""The curve through temperatures: Newton's law of cooling or warming, fitted by least squares.

T(t) = T_end + b exp(-k t): for a given k a straight line in exp(-k t), so that only k is searched for. Where
the readings do not bend towards an end, the best k is the least, which is as good as a straight line.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
RATES = 400
SLOWEST, FASTEST = 1e-3, 20.0
"""Rates that are tried, as parts of one over the time between the first and the last reading."""


def fitted(points: Sequence[tuple[float, float]]) -> Callable[[float], float] | None:
    """Return the curve through (minute, temperature), None for fewer than two instants."""
    at = np.array([minute for minute, _ in points])
    warm = np.array([degrees for _, degrees in points])
    span = float(np.ptp(at)) if len(points) else 0.0
    if span <= 0:
        return None
    begin = float(at.min())
    best: tuple[float, float, Floats] | None = None
    for rate in np.geomspace(SLOWEST, FASTEST, RATES) / span:
        bends = np.stack([np.ones_like(at), np.exp(-rate * (at - begin))], axis=1)
        parts, *_ = np.linalg.lstsq(bends, warm, rcond=None)
        wrong = float(np.sum((bends @ parts - warm) ** 2))
        if best is None or wrong < best[0] - 1e-9:
            best = (wrong, float(rate), parts)
    assert best is not None, "there is always a rate to try"
    _, rate, (end, bend) = best
    return lambda minute: float(end + bend * np.exp(-rate * (minute - begin)))
