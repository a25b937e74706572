"""A simulated room: what a microphone hears of a loudspeaker in it.

The impulse response is that of the image method for a box (Allen and Berkley, Journal of the Acoustical
Society of America 65, 1979, 943-950), with walls alike that give the stated reverberation time by Sabine's
formula. Before the room the cone clips softly and is a little crooked; after it comes the delay of a card.
Simulated, not a real room: nobody walks through it, nothing rattles.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.signal import fftconvolve

from assistant.hearing.sound import RATE
from tests.benchmark.noises import Wave

SIZE_M = (6.0, 4.0, 3.0)
LOUDSPEAKER_M, MICROPHONE_M = (2.0, 1.5, 1.0), (2.5, 1.9, 1.3)
REVERBERATION_S = 0.45
DELAY_S = 0.100
SOUND_M_S = 343.0
BENT = 0.05
"""How crooked the cone is: the share of the square in its movement."""
DRIVE = 1.5
"""How far it is driven into its soft end stop, at full scale."""


@cache
def response(seconds: float = REVERBERATION_S) -> Wave:
    """Return the impulse response from the loudspeaker to the microphone, its greatest value one."""
    volume = float(np.prod(SIZE_M))
    surface = 2 * (SIZE_M[0] * SIZE_M[1] + SIZE_M[1] * SIZE_M[2] + SIZE_M[0] * SIZE_M[2])
    reflected = np.sqrt(max(0.0, 1 - 0.161 * volume / (surface * seconds)))
    reach = seconds * SOUND_M_S
    axes = []
    for size, source, ear in zip(SIZE_M, LOUDSPEAKER_M, MICROPHONE_M, strict=True):
        count = int(reach / (2 * size)) + 1
        number = np.arange(-count, count + 1)
        apart = np.concatenate([2 * number * size + source - ear, 2 * number * size - source - ear])
        bounces = np.concatenate([np.abs(2 * number), np.abs(2 * number - 1)])
        axes.append((apart, bounces))
    (x, a), (y, b), (z, c) = axes
    far = np.sqrt(x[:, None, None] ** 2 + y[None, :, None] ** 2 + z[None, None, :] ** 2)
    bounces = a[:, None, None] + b[None, :, None] + c[None, None, :]
    near = far < reach
    at = np.round(far[near] / SOUND_M_S * RATE).astype(int)
    heard = np.bincount(at, weights=reflected ** bounces[near] / (4 * np.pi * far[near]))
    return np.asarray(heard / np.abs(heard).max())


def echo(played: Wave, delay_s: float = DELAY_S, drive: float = DRIVE) -> Wave:
    """Return what the microphone hears of samples of -1..1 at 16 kHz: as long, and as loud on the whole."""
    cone = np.tanh(drive * (played + BENT * played**2)) / drive
    heard = np.concatenate([np.zeros(round(delay_s * RATE)), fftconvolve(cone, response())])[: len(played)]
    return np.asarray(heard * np.sqrt(np.mean(played**2) / max(np.mean(heard**2), 1e-12)))
