"""The nicer voice, an extra part: a small neural one whose voice lies in the package, so it needs no network.

Numbers still come as words, by our own rules.
"""

from __future__ import annotations

from assistant.errors import MissingPart
from assistant.speaking.frames import Manner
from assistant.speaking.sound import Sound, from_samples, plausible, trimmed

RATE = 24_000
WORDS_PER_MINUTE = 165
"""At this setting it keeps its own pace: it is that of the usual voice, over the prompts of a service."""
SLOWEST, FASTEST = 0.5, 2.0
"""Speeds it takes, as a share of its own pace."""
GAIN = 1.6
"""Brings it to the level of the usual voice."""


class Natural:
    """The nicer voice; to be used from one thread."""

    name = "the natural voice"

    def __init__(self) -> None:
        """Load it and say a word into nothing, for the first one takes long; `MissingPart` without it."""
        try:
            from hibari import Hibari

            self._voice = Hibari(threads=1)
            self._voice("Ready.", seed=0)
        except (ImportError, OSError, RuntimeError) as trouble:
            raise MissingPart(
                f"no natural voice ({trouble}); put it in with: pip install 'assistant[voice]'"
            ) from trouble

    def synthesise(self, text: str, manner: Manner) -> Sound:
        """Return the sound of `text` without silence at its ends; the same text has the same sound.

        Raises `MissingPart` when what comes cannot hold the text; a text without a letter is the empty sound.
        """
        if not any(letter.isalnum() for letter in text):
            return Sound(b"", RATE)
        speed = min(max(manner.rate / WORDS_PER_MINUTE, SLOWEST), FASTEST)
        sound = trimmed(from_samples(GAIN * self._voice(text, speed=speed, seed=0), RATE))
        if not plausible(sound, text):
            raise MissingPart(f"the natural voice gave no sound for {text!r}")
        return sound
