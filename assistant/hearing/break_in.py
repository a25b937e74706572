"""The few words that are heard through our own voice: those that silence it.

A recogniser of nothing but these words, numbers, and everything else taken together hears them in our own
voice as well, once in five replies; so they count only where the sound is also louder than our voice alone
would be. What our voice alone makes of itself in this room is learnt as it speaks.

How many people are heard, by how loud the echo is beside them, `python -m tests.benchmark echo` measures with
published recordings; what it measured stands in the README.
"""

from __future__ import annotations

import json
from collections import deque
from collections.abc import Callable

import numpy as np
import vosk

from assistant.hearing.own_level import STEP_S, OwnLevel
from assistant.hearing.sound import RATE, rms_db

WORDS = ("stop", "stand by", "emergency")
OTHERS = (
    "zero one two three four five six seven eight nine ten eleven twelve",
    "thirteen fourteen fifteen sixteen seventeen eighteen nineteen",
    "twenty thirty forty fifty sixty seventy eighty ninety hundred point",
)
"""What our own voice says most, so that it is not taken for the nearest of `WORDS`."""
STEADY = 2
"""Steps for which a word must stand: much flickers up for one."""
LOUD_STEPS, AMONG = 2, 8
"""Of the last steps so many must be louder."""
_EACH = {word: frozenset(word.split()) for word in WORDS}


class BreakIn:
    """Listens for the words; belongs to the thread that feeds it."""

    def __init__(self, model: vosk.Model, played: Callable[[float, float], float]) -> None:
        """`model` may be shared with other recognisers.

        `played` returns the level in dB of the loudest that we played in a stretch of time.
        """
        self._model, self._own = model, OwnLevel(played)
        self.reset()

    def reset(self) -> None:
        """Forget what was heard, but not how loud our own voice is: another stretch of sound begins."""
        self._decoder = vosk.KaldiRecognizer(
            self._model, RATE, json.dumps([*WORDS, *" ".join(OTHERS).split(), "[unk]"])
        )
        self._pending = b""
        self._stood = dict.fromkeys(WORDS, 0)
        self._louder: deque[bool] = deque(maxlen=AMONG)

    @property
    def louder(self) -> bool:
        """Whether something in the last steps was louder than our own voice."""
        return any(self._louder)

    def feed(self, pcm: bytes, at: float) -> str | None:
        """Take in 16 kHz mono int16 sound captured from `at` on; return one of `WORDS` once it is there."""
        self._pending += pcm
        size = 2 * round(STEP_S * RATE)
        end = at + len(pcm) / 2 / RATE
        while len(self._pending) >= size:
            start = end - len(self._pending) / 2 / RATE
            step, self._pending = self._pending[:size], self._pending[size:]
            if (word := self._step(step, start)) is not None:
                self.reset()
                return word
        return None

    def _step(self, pcm: bytes, start: float) -> str | None:
        level = rms_db(np.frombuffer(pcm, dtype="<i2"))
        self._louder.append(self._own.louder(level, start))
        if self._decoder.AcceptWaveform(pcm):
            self._decoder.Result()
        heard = set(str(json.loads(self._decoder.PartialResult()).get("partial", "")).split())
        for word, parts in _EACH.items():
            self._stood[word] = self._stood[word] + 1 if parts <= heard else 0
            if self._stood[word] >= STEADY and sum(self._louder) >= LOUD_STEPS:
                return word
        return None
