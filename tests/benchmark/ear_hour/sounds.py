"""The sound of the hour: scenes of talk, telephone, radio, single words and noise, drawn from a seed."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import soxr

from tests.benchmark.ear_hour.lines import LINES
from tests.benchmark.hearing.clips import SPEECH, Clip, Piece
from tests.benchmark.hearing.commands import DIGITS
from tests.benchmark.hearing.people import transcripts
from tests.benchmark.hearing.rooms import noise_of
from tests.benchmark.hearing.speakers import RATE, usable
from tests.benchmark.hearing.split import Split, every_voice, split
from tests.benchmark.noises import Wave, active_rms

Samples = npt.NDArray[np.int16]
ROOM_DB = -62.0
_ANSWERS = frozenset({"yes", "no", "oh", *DIGITS})
"""Said alone they are answers: whoever says "seven" when a figure was just asked for has given it."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A stretch of the hour."""

    name: str
    start_s: float
    samples: Samples


def scenes(seed: int, minutes: float) -> Iterator[Scene]:
    """Yield scenes of half a minute to a minute and a half until `minutes` are full.

    Every kind of scene comes before any comes twice. Without the human speech beside the project
    only synthetic voices talk.
    """
    chance = random.Random(f"hour {seed}")
    at, order = 0.0, list[str]()
    while at < minutes * 60 - 1:
        order = order or chance.sample(sorted(_MAKERS), len(_MAKERS))
        name = order.pop()
        wanted = min(chance.uniform(30, 90), minutes * 60 - at)
        wave = _MAKERS[name](chance, wanted)[: int(wanted * RATE)]
        yield Scene(name, at, _as_samples(wave, chance))
        at += len(wave) / RATE


def _as_samples(wave: Wave, chance: random.Random) -> Samples:
    room = np.random.default_rng(chance.randrange(1 << 30)).standard_normal(len(wave)) * 10 ** (ROOM_DB / 20)
    whole = wave + room
    whole = whole / max(1.0, float(np.abs(whole).max()) / 0.95)
    return np.round(whole * 32_767).astype(np.int16)


def _row(pieces: Iterator[Wave], seconds: float, chance: random.Random, gaps: tuple[float, float]) -> Wave:
    """Put pieces one behind the other with pauses until they fill the time."""
    parts: list[Wave] = []
    had = 0
    for piece in pieces:
        parts += [piece, np.zeros(int(chance.uniform(*gaps) * RATE))]
        had += len(parts[-2]) + len(parts[-1])
        if had >= seconds * RATE:
            break
    return np.concatenate(parts)


def _level(wave: Wave, chance: random.Random, low: float = -38.0, high: float = -20.0) -> Wave:
    """Bring the speech to some level, dBFS of its RMS while it speaks: near by or across the hall."""
    return wave * (10 ** (chance.uniform(low, high) / 20) / max(active_rms(wave), 1e-9))


def _human(chance: random.Random, people: int) -> Iterator[Wave]:
    """Yield sentences read by some people in turn, for ever; synthetic ones where there are no people."""
    by: dict[str, list[str]] = {}
    for file, speaker, _ in transcripts("librispeech"):
        by.setdefault(speaker, []).append(file)
    chosen = [chance.choice(sorted(by)) for _ in range(people)] if by else []
    while chosen:
        file = chance.choice(by[chance.choice(chosen)])
        yield _level(_wave(Piece(file=file)), chance)
        if chance.random() < 0.3:
            chosen[chance.randrange(people)] = chance.choice(sorted(by))
    yield from _lines("visitors")(chance)


def _lines(kind: str) -> Callable[[random.Random], Iterator[Wave]]:
    def say(chance: random.Random) -> Iterator[Wave]:
        voices = [one for one in sorted(every_voice()) if usable(one)]
        pair = chance.sample(voices, 2)
        while True:
            yield _level(_wave(Piece(chance.choice(pair), chance.choice(LINES[kind]))), chance)

    return say


def _words(chance: random.Random) -> Iterator[Wave]:
    """Yield single words, spelled names and strings of digits, none of them an answer, for ever."""
    rows = [row for row in (*transcripts("speech_commands"), *transcripts("an4")) if row[2] not in _ANSWERS]
    while rows:
        yield _level(_wave(Piece(file=chance.choice(rows)[0])), chance)
    yield from _lines("telephone")(chance)


def _wave(piece: Piece) -> Wave:
    return Clip("", "", "", (piece,)).wave()


def _mixed(chance: random.Random, seconds: float) -> Wave:
    human, lines = _human(chance, 2), _lines("visitors")(chance)

    def both() -> Iterator[Wave]:
        while True:
            yield next(human) if chance.random() < 0.6 else next(lines)

    return _row(both(), seconds, chance, (0.15, 1.5))


def _telephone(chance: random.Random, seconds: float) -> Wave:
    """One side of a telephone call: long gaps while the other speaks, now and then heard through the set."""
    near = _row(_lines("telephone")(chance), seconds, chance, (0.8, 4.0))
    far = _row(_human(chance, 1), seconds, chance, (1.0, 6.0))
    count = min(len(near), len(far))
    narrow = np.asarray(soxr.resample(soxr.resample(far[:count], RATE, RATE // 2), RATE // 2, RATE))
    return near[:count] + 0.1 * np.resize(narrow, count)


def _radio(chance: random.Random, seconds: float) -> Wave:
    """Music with somebody talking over half of it."""
    music = _noise(chance, ("music",), seconds) * 10 ** (chance.uniform(-36, -24) / 20)
    talk = _row(_lines("radio")(chance), seconds / 2, chance, (0.2, 1.0))[: len(music)]
    whole = music.copy()
    whole[: len(talk)] = 0.3 * whole[: len(talk)] + talk
    return whole


def _noisy(chance: random.Random, seconds: float) -> Wave:
    noise = _noise(chance, ("engine", "compressor", "impact"), seconds)
    return noise * 10 ** (chance.uniform(-42, -18) / 20)


def _noisy_talk(chance: random.Random, seconds: float) -> Wave:
    talk = _mixed(chance, seconds)
    noise = _noise(chance, ("engine", "compressor", "impact", "babble"), len(talk) / RATE)
    return talk + noise[: len(talk)] * active_rms(talk) / 10 ** (chance.uniform(0, 12) / 20)


def _single(chance: random.Random, seconds: float) -> Wave:
    return _row(_words(chance), seconds, chance, (0.5, 3.0))


def _noise(chance: random.Random, kinds: tuple[str, ...], seconds: float) -> Wave:
    sides: list[Split] = [split("fitting"), split("reporting")]
    names = [name for side in sides for kind in kinds for name in side.noises[kind]]
    here = [name for name in names if name.startswith("made:") or (SPEECH / "noise" / name).is_file()]
    here = [name for name in here if name != "made:babble" or SPEECH.is_dir()] or ["made:compressor"]
    wave = noise_of(
        chance.choice(here), int(seconds * RATE), np.random.default_rng(chance.randrange(1 << 30))
    )
    return np.asarray(wave)


_MAKERS: dict[str, Callable[[random.Random, float], Wave]] = {
    "two people talk": _mixed,
    "telephone": _telephone,
    "radio": _radio,
    "noise": _noisy,
    "talk in noise": _noisy_talk,
    "single words": _single,
}
