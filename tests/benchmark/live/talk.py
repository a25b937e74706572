"""A conversation over the card: what is said, when the reply began, when a reply fell silent."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from assistant.shelf.places import data_folder
from assistant.speaking.client import VoiceProcess
from assistant.speaking.frames import Manner
from assistant.speaking.sound import Sound, trimmed
from tests.benchmark.live.card import HEARD, LOUD, RATE, SAID, Samples, Tape, falls_silent, first_loud, play

RECORDED = ("11-which-tool.flac", "37-to-go.flac")
QUESTIONS = ("say again", "where are we", "how long")
SHORT = ("how long", *RECORDED)
"""What has a short answer."""
LONG = "list the words"
"""What has the longest answer."""
READINGS = ("24-first-can.flac", "36-more.flac", "35-poured.flac")
VOICE = Manner(rate=150, pitch=55, voice="gmw/en-US")
"""Another voice than the assistant's own."""
PEAK = 0.35
AROUND_S = 0.25
PATIENCE_S = 4.0
SILENT_S = AROUND_S + 0.4
"""What is being said has fallen silent so long after a sentence is played that is said into it."""


@dataclass(frozen=True, slots=True)
class Clip:
    """A sentence as a file: first and last sample of its sound are `first` and `last` samples into it."""

    name: str
    path: Path
    audible: int
    """Samples from the first audible one to the last."""


@dataclass(frozen=True, slots=True)
class Exchange:
    """One thing said and what came of it, as samples of the tape; None: it never came."""

    clip: Clip
    onset: int | None
    reply: int | None
    silent: int | None = None
    """Where the reply that was spoken into fell silent."""

    @property
    def gap_s(self) -> float | None:
        """Seconds from the end of the speech to the first sample of the reply."""
        if self.onset is None or self.reply is None:
            return None
        return (self.reply - self.onset - self.clip.audible) / RATE

    @property
    def cut_s(self) -> float | None:
        """Seconds from the onset of the speech to the last sample of the reply it cut short."""
        return None if self.onset is None or self.silent is None else (self.silent - self.onset) / RATE


def clips(folder: Path) -> tuple[list[Clip], list[Clip], Clip]:
    """Write sentences as files between silences: questions, readings, and the one with a long answer."""
    voice = VoiceProcess(VOICE)
    try:
        spoken = [
            (words, trimmed(voice.synthesise(words)).at_rate(RATE).samples()) for words in (*QUESTIONS, LONG)
        ]
    finally:
        voice.close()
    for name in (*RECORDED, *READINGS):
        samples, rate = soundfile.read(data_folder("recordings") / name, dtype="int16")
        spoken.append((name, Sound(samples.astype("<i2").tobytes(), rate).at_rate(RATE).samples()))
    made = [_written(folder, name, samples) for name, samples in spoken]
    questions = [one for one in made if one.name in (*QUESTIONS, *RECORDED)]
    return questions, [one for one in made if one.name in READINGS], made[len(QUESTIONS)]


def _written(folder: Path, name: str, samples: np.ndarray) -> Clip:
    samples = samples * (PEAK / np.abs(samples).max())
    loud = np.flatnonzero(np.abs(samples) > LOUD)
    quiet = np.zeros(round(AROUND_S * RATE), dtype=np.float32)
    path = folder / f"{name.partition('.')[0].replace(' ', '-')}.wav"
    soundfile.write(path, np.concatenate([quiet, samples[loud[0] : loud[-1] + 1], quiet]), RATE, "PCM_16")
    return Clip(name, path, int(loud[-1] - loud[0]) + 1)


class Talk:
    """Says things into the microphone and notes where on the tape that was."""

    def __init__(self, tape: Tape, seed: int) -> None:
        self.tape, self.random = tape, random.Random(seed)
        self.said: list[tuple[Clip, int, bool]] = []

    def ask(self, clip: Clip) -> bool:
        """Wait for silence, say something, wait until the reply begins; return whether it came."""
        self.tape.wait_quiet(0.8, 30.0)
        return self.ask_over(clip, 0.0)

    def ask_over(self, clip: Clip, silent_s: float = SILENT_S) -> bool:
        """As `ask`, but into whatever is being said, which falls silent within `silent_s` of the onset."""
        start = self.tape.now
        self.said.append((clip, start, False))
        play(clip.path)
        return self.tape.wait_sound(start + round(silent_s * RATE), PATIENCE_S)

    def cut_in(self, clip: Clip, after_s: float) -> None:
        """Speak into the reply that has just begun, and wait for the answer."""
        until = self.tape.now + round(after_s * RATE)
        while self.tape.now < until:
            pass
        if self.tape.quiet_s() < 0.2:
            self.said.append((clip, self.tape.now, True))
            play(clip.path)
            self.tape.wait_sound(self.tape.now - round(AROUND_S * RATE), PATIENCE_S)

    def exchanges(self) -> list[Exchange]:
        """Return what came of all that was said, read off the tape."""
        said, heard = self.tape.side(SAID), self.tape.side(HEARD)
        found = []
        for number, (clip, start, into) in enumerate(self.said):
            onset = first_loud(said, start)
            last = self.said[number + 1][1] if number + 1 < len(self.said) else len(heard)
            speaking = into and onset is not None and _sounds(heard, onset)
            silent = falls_silent(heard, onset) if speaking and onset is not None else None
            after = onset + clip.audible - RATE // 20 if onset is not None else start
            reply = first_loud(heard, max(after, silent + 1) if silent is not None else after)
            late = reply is None or reply > last or reply - after > PATIENCE_S * RATE
            found.append(Exchange(clip, onset, None if late else reply, silent))
        return found


def _sounds(side: Samples, at: int) -> bool:
    """Say whether there is sound both just before a place and just after it."""
    near = round(0.1 * RATE)
    return bool(
        (np.abs(side[at - near : at]) > LOUD).any() and (np.abs(side[at : at + near // 4]) > LOUD).any()
    )


def summary(values: Sequence[float]) -> dict[str, object]:
    """Return n, median, p95 and greatest in milliseconds."""
    ms = [1000 * one for one in values]
    if not ms:
        return {"n": 0}
    middle, most = np.percentile(ms, (50, 95))
    return {"n": len(ms), "median_ms": round(middle), "p95_ms": round(most), "most_ms": round(max(ms))}
