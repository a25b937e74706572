"""What the card's own buffers take, and how soon a reply that is known is heard: on our own streams."""

from __future__ import annotations

import os
import time
from statistics import median

import numpy as np

from assistant.hearing.microphone import Microphone
from assistant.hearing.sound import RATE
from assistant.phrasing import phrase
from assistant.speaking.aloud import AloudVoice
from assistant.speaking.client import VoiceProcess
from assistant.speaking.output import Loudspeaker
from assistant.speaking.printed import PrintedVoice
from assistant.speaking.sound import AUDIBLE
from tests.phrasing.samples import samples

KEYS = ("heard", "still-there", "timer-over", "unsaved", "step")


def microphone_s(seconds: float = 1.0) -> float:
    """Return how old the newest sample is when the card hands its block over, by its own word."""
    ear, ages = Microphone(), list[float]()
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        block = ear.read(1.0)
        if block is not None:
            ages.append(time.monotonic() - block.at - len(block.pcm) / 2 / RATE)
    ear.close()
    return max(median(ages), 0.0)


def first_samples(n: int) -> tuple[list[float], list[float], float]:
    """Speak `n` replies; return the seconds from each text to its first audible sample, as lists.

    The first list ends when that sample is handed to the card, the second when it leaves the card by its
    own word; third comes the median of what lies between the two.
    """
    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        voice = AloudVoice(VoiceProcess(), Loudspeaker(), PrintedVoice(nowhere))
        handed, heard = list[float](), list[float]()
        texts = [line for key in KEYS for one in samples(key) for line in phrase(one, "en")]
        voice.synthesise("ready")
        for number in range(n):
            known = time.monotonic()
            sound = voice.speak(texts[number % len(texts)])
            playing = voice.last
            assert playing is not None
            while playing.started_at is None:
                time.sleep(0.001)
            lead = int(np.flatnonzero(np.abs(sound.samples()) > AUDIBLE)[0]) / sound.rate
            assert playing.heard_at is not None
            handed.append(playing.started_at - known + lead)
            heard.append(playing.heard_at - known + lead)
            time.sleep(0.05)
            voice.stop()
        voice.close()
    return handed, heard, median(after - before for before, after in zip(handed, heard, strict=True))
