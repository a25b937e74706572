"""The conversation of the recorded job as one sound file: the mechanic's clips and the assistant's voice."""

from __future__ import annotations

from pathlib import Path

from assistant.commands.demo import Line
from assistant.commands.recorded_job import Script
from assistant.hearing.sound import RATE, read_sound
from assistant.phrasing.en.numbers import duration_words
from assistant.speaking.client import VoiceProcess
from assistant.speaking.conversation import Part, mixed, write
from assistant.speaking.sound import Sound


def write_conversation(script: Script, lines: list[Line], path: Path) -> None:
    """Write both voices in order; waits over three seconds are cut to two, with their length spoken."""
    voice = VoiceProcess()
    try:
        parts = []
        played: set[str] = set()
        for line in lines:
            if line.who == "assistant":
                parts.append(Part(line.at_s, voice.synthesise(line.text), line.who))
            elif line.clip and line.clip not in played:
                played.add(line.clip)
                pcm = read_sound(script.folder / f"{line.clip}.flac").astype("<i2").tobytes()
                at = next(at for name, at, _ in script.clips if name == line.clip)
                parts.append(Part(at, Sound(pcm, RATE), line.who))
        sound, _ = mixed(
            parts, lambda wait_s: voice.synthesise(f"{duration_words(round(wait_s) * 1000)} later.")
        )
        write(path, sound)
    finally:
        voice.close()
