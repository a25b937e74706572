"""What of the sound of a microphone may hold our own voice, sample by sample, where a loudspeaker is used.

While our sound is in the air, and shortly after, the ear is closed: without cancellation even an echo 20 dB
below the mechanic's voice is understood as commands. Then comes a tail in which the room still carries
what is left of it: no utterance begins there, but one that begins next takes it in as what came before.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from enum import Enum
from itertools import groupby

from assistant.hearing.blocks import Block
from assistant.hearing.sound import RATE

BEFORE_S = 0.02
"""How far the card's own word about when a sound is heard may be out."""
CLOSED_S = 0.1
"""After its last sample our sound is still this long on its way: through the card and across the room."""
ECHO_S = 0.3
"""After its last sample the room has swallowed it."""

Stretches = Callable[[float, float, float, float], Sequence[tuple[float, float]]]
"""(start, end, before, after) -> the parts of start..end that lie in our own sound, widened by so much."""


class Part(Enum):
    """What a stretch of sound may hold."""

    OPEN = "open"
    """Nothing of ours."""
    TAIL = "tail"
    """The last of our echo."""
    CLOSED = "closed"
    """Our own voice."""


def parts(block: Block, ours: Stretches) -> list[tuple[Part, Block]]:
    """Return a block in pieces, in order, cut where our own sound begins and ends in it."""
    count = len(block.pcm) // 2
    end = block.at + count / RATE
    kinds = [Part.OPEN] * count
    for after, kind in ((ECHO_S, Part.TAIL), (CLOSED_S, Part.CLOSED)):
        for first, last in ours(block.at, end, BEFORE_S, after):
            at = max(0, math.floor((first - block.at) * RATE))
            to = min(count, math.ceil((last - block.at) * RATE))
            kinds[at:to] = [kind] * (to - at)
    found: list[tuple[Part, Block]] = []
    at = 0
    for kind, run in groupby(kinds):
        to = at + sum(1 for _ in run)
        found.append((kind, replace(block, pcm=block.pcm[2 * at : 2 * to], lost=0, at=block.at + at / RATE)))
        at = to
    return found
