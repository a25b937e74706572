"""What every voice does, and the wording of its failure."""

from __future__ import annotations

from typing import Protocol

from assistant.speaking.sound import Sound


class Voice(Protocol):
    """Something that says a text to the listener: aloud, in print, or into a file."""

    def synthesise(self, text: str) -> Sound:
        """Return the sound of `text` without giving it to anybody; `MissingPart` when there is none."""

    def speak(self, text: str) -> Sound:
        """Give `text` to the listener and return its sound (empty for a voice without sound).

        Returns as soon as the text is under way. A part that fails is made up for in print and never
        raises: the job goes on.
        """

    def stop(self) -> None:
        """Fall silent at once, and drop what was still to be said."""

    def close(self) -> None:
        """Let go of devices, files and processes."""
