"""Voices without a loudspeaker: one prints what it says, one writes it into a sound file."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol, TextIO

import numpy as np
import soundfile

from assistant.errors import BadFile, MissingPart
from assistant.speaking.earcons import earcon
from assistant.speaking.sound import Sound

PAUSE_S = 0.4
"""Pause between two phrases in a file."""


class PrintedVoice:
    """A voice that prints a line for each phrase."""

    def __init__(self, stream: TextIO, mark: str = "") -> None:
        """Print to `stream`, each line after `mark`."""
        self._stream, self._mark = stream, mark

    def synthesise(self, text: str) -> Sound:
        """Return the empty sound: print makes none."""
        return Sound(b"", 22_050)

    def speak(self, text: str) -> Sound:
        """Print the phrase, at once."""
        print(f"{self._mark}{text}", file=self._stream, flush=True)
        return self.synthesise(text)

    def stop(self) -> None:
        """Nothing to silence."""

    def close(self) -> None:
        """The stream belongs to the caller."""


class Synthesis(Protocol):
    """What makes the sound of a phrase."""

    def synthesise(self, text: str) -> Sound:
        """Return the sound of `text`; `MissingPart` when there is none."""

    def close(self) -> None:
        """Let go of it."""


class FileVoice:
    """A voice that appends each phrase to a 16-bit mono sound file; the file is whole after every phrase."""

    def __init__(self, path: Path, voice: Synthesis, rate: int = 22_050) -> None:
        """Create `path` (WAV or FLAC by its ending); `BadFile` when it cannot be written."""
        self._voice, self._rate = voice, rate
        try:
            self._file = soundfile.SoundFile(str(path), "w", rate, 1, subtype="PCM_16")
        except (OSError, RuntimeError, TypeError, ValueError) as trouble:
            raise BadFile(str(path), f"cannot be written: {trouble}", cure="name a .wav file") from trouble

    def synthesise(self, text: str) -> Sound:
        """Return the sound of the voice behind this one."""
        return self._voice.synthesise(text)

    def speak(self, text: str) -> Sound:
        """Append the phrase (or the tone of trouble, where there is no voice) and a short pause."""
        try:
            sound = self.synthesise(text).at_rate(self._rate)
        except MissingPart:
            sound = earcon("trouble", self._rate)
        self._file.write(np.frombuffer(sound.pcm, dtype="<i2"))
        self._file.write(np.zeros(round(PAUSE_S * self._rate), dtype="<i2"))
        self._file.flush()
        return sound

    def stop(self) -> None:
        """What is written stays written."""

    def close(self) -> None:
        """Close the file and the voice behind it."""
        self._file.close()
        self._voice.close()
