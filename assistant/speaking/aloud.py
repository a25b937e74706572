"""The voice aloud: the voice process into the loudspeaker; what cannot be spoken is printed, with a tone."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import replace

from assistant.errors import MissingPart
from assistant.speaking.air import Air
from assistant.speaking.client import VoiceProcess
from assistant.speaking.earcons import earcon
from assistant.speaking.line import Output, Playing
from assistant.speaking.printed import PrintedVoice
from assistant.speaking.sound import Sound

REMEMBERED = 12
"""Phrases whose time in the air stays known: more than one reply has."""


class AloudVoice:
    """Speaks through `loudspeaker`; prints through `printed` what it cannot speak, and says why once."""

    def __init__(self, process: VoiceProcess, loudspeaker: Output, printed: PrintedVoice) -> None:
        self._process, self._loudspeaker, self._printed = process, loudspeaker, printed
        self._told = ""
        self.last: Playing | None = None
        """The phrase given to the loudspeaker last; `last.wait()` returns when it has been said."""
        self.spoken: deque[tuple[str, Playing]] = deque(maxlen=REMEMBERED)
        """The phrases given to it lately, the oldest first."""

    @property
    def output(self) -> Output:
        """What it speaks through."""
        return self._loudspeaker

    @property
    def air(self) -> Air:
        """When what was spoken is in the air."""
        return self._loudspeaker.air

    def synthesise(self, text: str) -> Sound:
        """Return the sound of `text`; raises `MissingPart` when the engine failed twice."""
        sound = self._process.synthesise(text)
        if self._process.fallen_back:
            self._tell(f"{self._process.fallen_back}; the usual voice speaks")
        return sound

    def prepare(self, texts: Sequence[str]) -> None:
        """Have texts ready before they are wanted."""
        self._process.prepare(texts)

    def speak(self, text: str) -> Sound:
        """Start to say `text` behind what is still being said, or print it with a tone."""
        try:
            sound = self.synthesise(text)
        except MissingPart as trouble:
            self._print(text, str(trouble))
            sound = earcon("trouble")
        try:
            if not self._loudspeaker.alive:
                self._loudspeaker.reopen()
            self.last = self._loudspeaker.play(sound)
            self.spoken.append((text, self.last))
        except MissingPart as trouble:
            self._print(text, str(trouble))
        return sound

    def _print(self, text: str, why: str) -> None:
        self._tell(why)
        self._printed.speak(text)

    def _tell(self, why: str) -> None:
        if why != self._told:
            self._told = why
            self._printed.speak(f"(voice: {why})")

    def tone(self, name: str) -> None:
        """Play the tone called `name`; a lost loudspeaker gets none later."""
        if self._loudspeaker.alive:
            self._loudspeaker.play(earcon(name))

    def louder(self, gain: float) -> None:
        """Speak so loud from now on, 1 being as the voice comes."""
        self._loudspeaker.gain = gain

    def paced(self, rate: int) -> None:
        """Speak at so many words per minute from the next phrase on."""
        self._process.turn_to(replace(self._process.manner, rate=rate))

    def hold(self, held: bool) -> None:
        """Fall silent in mid-word, or go on there: somebody may have begun to speak."""
        self._loudspeaker.hold(held)

    def stop(self) -> None:
        """Silence the loudspeaker."""
        self._loudspeaker.stop()

    def close(self) -> None:
        """Let go of the loudspeaker and the voice process."""
        self._loudspeaker.close()
        self._process.close()
