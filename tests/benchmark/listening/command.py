"""`python -m tests.benchmark listening`: each sentence rendered, its length and pace, what is heard of it.

Word errors are counted at one and a half times the speed and 15 dB above an idling engine. `--voice natural`
listens to the extra voice; `--minutes 5 --list FILE` does as many sentences as that allows, and goes on next
time with those that are left.
"""

from __future__ import annotations

import argparse
import json
import time
import zlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import mean, median, quantiles

import numpy as np

from assistant.hearing.model import find_model
from assistant.shelf.places import cache_folder
from assistant.speaking.client import VoiceProcess
from assistant.speaking.frames import USUAL, Manner
from assistant.speaking.sound import Sound
from tests.benchmark.listening.listeners import Listener, Pocketsphinx, Vosk, errors, words
from tests.benchmark.noises import engine, mixed
from tests.benchmark.outcome import write
from tests.phrasing.spoken import everything

RATE, PACE, FAST = 16_000, 165, 1.5
SNR_DB, LEVEL, AROUND_S = 15.0, 0.05, 0.4
SEED = 20261125
WORST = 40
LONG_S = 6.0
"""A sentence that takes longer than this cannot be kept in mind with the hands busy."""


@dataclass(frozen=True, slots=True)
class Heard:
    """One sentence: how long it takes at the usual pace, what the recognisers made of it when it was hard."""

    text: str
    where: str
    seconds: float
    heard: dict[str, list[str]]

    def share(self, listener: str) -> float:
        """Return the word error of a listener, as a share of the words said."""
        said = words(self.text)
        return errors(said, self.heard[listener]) / max(1, len(said))

    @property
    def best(self) -> float:
        """The word error of whoever understood it better."""
        return min(self.share(one) for one in self.heard)

    @property
    def pace(self) -> float:
        """Words a minute at the usual pace."""
        return 60 * len(words(self.text)) / self.seconds


def in_noise(sound: Sound, text: str) -> bytes:
    """Return a sentence beside an idling engine, as 16 kHz int16; the noise depends on the text alone."""
    speech = sound.at_rate(RATE).samples().astype(np.float64)
    chance = np.random.default_rng([SEED, zlib.crc32(text.encode())])
    noise = engine(len(speech) + 2 * round(AROUND_S * RATE), RATE, chance)
    wave = mixed(speech, noise, SNR_DB, LEVEL)
    return np.clip(np.rint(wave * 32_768), -32_768, 32_767).astype("<i2").tobytes()


def listened(texts: dict[str, str], voice: str, listeners: list[Listener]) -> Iterator[Heard]:
    """Render every text twice, at the usual pace and fast, and yield what is heard of the fast one."""
    calm = VoiceProcess(Manner(rate=PACE, voice=voice))
    fast = VoiceProcess(Manner(rate=round(PACE * FAST), voice=voice))
    try:
        for text, where in texts.items():
            seconds = calm.synthesise(text).seconds
            pcm = in_noise(fast.synthesise(text), text)
            yield Heard(text, where, seconds, {one.name: one.heard(pcm) for one in listeners})
    finally:
        calm.close()
        fast.close()


def figures(found: list[Heard], listeners: list[Listener]) -> dict[str, object]:
    """Return what is kept: lengths, pace, word errors, and the sentences understood worst."""
    lengths, paces = [one.seconds for one in found], [one.pace for one in found if one.seconds > 1]
    worst = sorted(found, key=lambda one: (-one.best, -len(words(one.text))))[:WORST]
    said = sum(len(words(one.text)) for one in found)
    return {
        "sentences": {"heard": len(found), "of": len(everything())},
        "seconds": {"median": round(median(lengths), 2), "most": round(max(lengths), 2)},
        "longer_than_six_seconds": sorted(one.text for one in found if one.seconds > LONG_S),
        "words_a_minute": [round(one) for one in quantiles(paces, n=20)[::18]],
        "word_error": {
            one.name: round(
                sum(errors(words(each.text), each.heard[one.name]) for each in found) / said, 4
            )
            for one in listeners
        },
        "understood_whole_by_one": round(mean(one.best == 0 for one in found), 4),
        "half_lost_by_both": sum(one.best >= 0.5 for one in found),
        "unknown_words": {
            one.name: sorted({word for each in found for word in words(each.text) if not one.knows(word)})
            for one in listeners
        },
        "worst": [
            {"text": one.text, "where": one.where, "best": round(one.best, 2)}
            | {name: " ".join(heard) for name, heard in one.heard.items()}
            for one in worst
        ],
    }  # fmt: skip


def main(argv: list[str]) -> int:
    """Render, listen, keep."""
    parser = argparse.ArgumentParser(prog="listening")
    parser.add_argument("--voice", default=USUAL)
    parser.add_argument("--minutes", type=float, default=600.0, help="stop after so long, the rest is left")
    parser.add_argument(
        "--list", type=Path, metavar="FILE", help="what was heard, a line each; it is added to"
    )
    arguments = parser.parse_args(argv)
    found = read(arguments.list) if arguments.list else []
    listeners: list[Listener] = [Vosk(find_model(None, cache_folder())), Pocketsphinx()]
    until = time.monotonic() + 60 * arguments.minutes
    for one in listened(left(everything(), found), arguments.voice, listeners):
        found.append(one)
        if arguments.list:
            with arguments.list.open("a", encoding="utf-8") as stream:
                stream.write(json.dumps(asdict(one)) + "\n")
        if time.monotonic() > until:
            break
    name = "listening" if arguments.voice == USUAL else f"listening-{arguments.voice}"
    shown = ["--voice", arguments.voice] if arguments.voice != USUAL else []
    write(name, shown, SEED, len(found), figures(found, listeners), of="listening")
    return 0


def read(path: Path) -> list[Heard]:
    """Return what an earlier run heard, of sentences that are still said."""
    if not path.exists():
        return []
    rows = [Heard(**json.loads(line)) for line in path.read_text("utf-8").splitlines()]
    every = set(everything())
    return [one for one in rows if one.text in every]


def left(texts: dict[str, str], found: list[Heard]) -> dict[str, str]:
    """Return the sentences not yet heard, by lot: however many are heard, they are a fair sample."""
    heard = {one.text for one in found}
    lots = sorted(texts, key=lambda text: zlib.crc32(f"{SEED} {text}".encode()))
    return {text: texts[text] for text in lots if text not in heard}
