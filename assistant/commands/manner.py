"""How the voice speaks, changed by voice and kept in the settings."""

from __future__ import annotations

import sys
from pathlib import Path

from assistant.errors import AssistantError
from assistant.shelf.settings import LEAST_RATE, LEAST_VOLUME, MOST_RATE, MOST_VOLUME, Settings, change
from assistant.speaking.aloud import AloudVoice

LOUDER = 1.4
"""A step of 3 dB, which is clearly heard."""
FASTER = 1.12


class Mannered:
    """Makes a voice louder, softer, slower or faster, by a step each time, and keeps that."""

    def __init__(self, voice: AloudVoice, chosen: Settings, place: Path) -> None:
        """`place` is the settings file."""
        self._voice, self._place = voice, place
        self._volume, self._rate = chosen.volume, chosen.voice_rate

    def __call__(self, change_to: str) -> None:
        """Change it at once; what cannot be kept is told and counts until the end of the job."""
        if change_to in ("louder", "softer"):
            step = LOUDER if change_to == "louder" else 1 / LOUDER
            self._volume = min(max(round(self._volume * step), LEAST_VOLUME), MOST_VOLUME)
            self._voice.louder(self._volume / 100)
            self._keep("volume", self._volume)
        else:
            step = FASTER if change_to == "faster" else 1 / FASTER
            self._rate = min(max(round(self._rate * step), LEAST_RATE), MOST_RATE)
            self._voice.paced(self._rate)
            self._keep("voice_rate", self._rate)

    def _keep(self, key: str, value: int) -> None:
        try:
            change(self._place, key, value)
        except (AssistantError, OSError) as trouble:
            print(f"(the {key} is not kept: {trouble})", file=sys.stderr, flush=True)
