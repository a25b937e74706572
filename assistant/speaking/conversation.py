"""Both voices of a conversation as one sound: in order, never at once, long waits cut short and told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from assistant.errors import BadFile
from assistant.speaking.sound import Samples, Sound, active_level, from_samples

RATE = 22_050
LONGEST_WAIT_S = 3.0
SHORTENED_S = 2.0
BREATH_S = 0.25
"""Least pause between two parts: also where the recording's clock left none."""
LEVEL = 0.08
"""Each part is brought to this RMS while it speaks, so that neither voice has to be strained for."""
PEAK = 0.9
FADE_S = 0.015
"""Recorded noise fades in and out this long, so that it does not click."""


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of the conversation: when it began on the recording's clock, its sound, who spoke it."""

    start_s: float
    sound: Sound
    who: str


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a piece lies in the finished sound, in seconds; `who` is empty for an announced wait."""

    start_s: float
    end_s: float
    who: str


def mixed(parts: Sequence[Part], announce: Callable[[float], Sound]) -> tuple[Sound, list[Placed]]:
    """Return the conversation as one sound, and where its pieces lie.

    A wait of more than three seconds (counted on the recording's clock) becomes two seconds of silence
    with what `announce(seconds)` returns in their middle.
    """
    pieces: list[Samples] = []
    placed: list[Placed] = []
    now_s, clock_s = 0.0, None
    for part in sorted(parts, key=lambda part: part.start_s):
        wait_s = BREATH_S if clock_s is None else part.start_s - clock_s
        if wait_s > LONGEST_WAIT_S:
            now_s = _add(pieces, placed, now_s, SHORTENED_S / 2, announce(wait_s), "")
            wait_s = SHORTENED_S / 2
        now_s = _add(pieces, placed, now_s, max(wait_s, BREATH_S), part.sound, part.who)
        clock_s = max(clock_s or 0.0, part.start_s + part.sound.seconds)
    whole = np.concatenate([*pieces, _quiet(BREATH_S)]) if pieces else _quiet(0)
    return from_samples(whole, RATE), placed


def write(path: Path, sound: Sound) -> None:
    """Write a sound as a 16-bit file (WAV or FLAC by its ending); `BadFile` when it cannot be written."""
    try:
        soundfile.write(str(path), np.frombuffer(sound.pcm, dtype="<i2"), sound.rate, subtype="PCM_16")
    except (OSError, RuntimeError, TypeError, ValueError) as trouble:
        raise BadFile(str(path), f"cannot be written: {trouble}", cure="name a .wav file") from trouble


def _add(
    pieces: list[Samples], placed: list[Placed], now_s: float, pause_s: float, sound: Sound, who: str
) -> float:
    pieces += [_quiet(pause_s), _levelled(sound)]
    start_s = now_s + len(pieces[-2]) / RATE
    placed.append(Placed(start_s, start_s + len(pieces[-1]) / RATE, who))
    return placed[-1].end_s


def _levelled(sound: Sound) -> Samples:
    samples = sound.at_rate(RATE).samples()
    if not samples.size:
        return samples
    level, peak = active_level(samples, RATE), float(np.max(np.abs(samples)))
    gain = min(LEVEL / level, PEAK / peak) if level and peak else 1.0
    ends = np.minimum(np.arange(len(samples)), np.arange(len(samples))[::-1])
    return np.asarray(samples * gain * np.clip(ends / (FADE_S * RATE), 0, 1), dtype=np.float32)


def _quiet(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE), dtype=np.float32)
