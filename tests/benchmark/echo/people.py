"""What is said to whom: replies of the assistant, and people who speak into them.

"Stop" and strings of digits are published recordings of people (`SOURCE.txt` beside them names them);
readings are synthetic, for nobody has published a mechanic's.
"""

from __future__ import annotations

import csv
import random
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from assistant.grammar.judgement import ANYTHING, Expectation
from assistant.grammar.meaning import Meaning
from assistant.hearing.sound import RATE
from assistant.shelf.places import procedures_folder
from assistant.speaking.client import VoiceProcess
from assistant.speaking.frames import Manner
from assistant.speaking.sound import active_level
from tests.bench import grammar
from tests.benchmark.hearing.awaited import awaited
from tests.benchmark.noises import Wave
from tests.benchmark.voices import spoken

SPEECH = Path(__file__).resolve().parents[4] / "shared" / "speech"
ANSWERS = (
    "Drained four point two litres. Out so far, four point six litres in all.",
    "Drain timer on. I report at ten minutes. What is the drip interval?",
    "Fifty six degrees Celsius. Refill four point seven litres at workshop temperature.",
    "Torque thirty five newton metres, in two rounds, crosswise. Say done when all eight are tight.",
    "The level was low by point two litres. Pour nought point three and warm it up again.",
)
"""Replies full of numbers; the others are texts of the shipped services."""
READINGS = (
    "drained four point two litres", "poured three point five litres", "temperature six three degrees",
    "torque three five newton metres", "another nought point eight litres", "first can three litres",
    "spilled nought point two litres", "drain plug two nine foot pounds", "second can one point four litres",
    "temperature four eight degrees celsius", "can at two point six litres", "in all five point one litres",
)  # fmt: skip
SPEAKERS = ("slt", "kal16")
LEVEL = 0.1
"""RMS of the active parts of a reply."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What we say: its words and its sound at 16 kHz."""

    words: str
    sound: Wave


@dataclass(frozen=True, slots=True)
class Said:
    """Something said into a reply, as words and as sound at 16 kHz, and what was asked before it."""

    words: str
    sound: Wave
    expectation: Expectation = ANYTHING


def replies(count: int, seed: int) -> list[Reply]:
    """Return what the assistant says, in its own voice, at one level."""
    texts = list[str]()
    for path in sorted(procedures_folder().rglob("*.toml")):
        texts += re.findall(r'"([A-Z][^"{}]{20,160}[.?])"', path.read_text("utf-8"))
    chosen = sorted(set(texts))
    random.Random(seed).shuffle(chosen)
    voice = VoiceProcess(Manner(rate=165))
    try:
        sounds = [(text, voice.synthesise(text)) for text in (*ANSWERS, *chosen)[:count]]
    finally:
        voice.close()
    waves = [(text, sound.at_rate(RATE).samples()) for text, sound in sounds]
    return [Reply(text, LEVEL * wave.astype(np.float64) / active_level(wave, RATE)) for text, wave in waves]


def stops(count: int) -> list[Said]:
    """Return people who say "stop"; none where there are no recordings beside the project."""
    if not SPEECH.is_dir():
        return []
    each = [*sorted((SPEECH / "speech_commands" / "stop").glob("*.flac"))[:20]]
    each += [SPEECH / "an4" / clip for clip, words in _an4() if words == "stop"]
    return [Said("stop", _sound(path)) for path in each[:count]]


def strings(count: int) -> list[Said]:
    """Return people who say five digits, which were asked for; none where there are no recordings."""
    asked = awaited("distance")
    found = [(clip, words) for clip, words in _an4() if Path(clip).name.startswith("cen6")]
    return [Said(words, _sound(SPEECH / "an4" / clip), asked) for clip, words in found[:count]]


def readings(count: int) -> list[Said]:
    """Return readings by two synthetic speakers; raises `MissingPart` where a program for one lacks."""
    return [
        Said(words, spoken(SPEAKERS[number % len(SPEAKERS)], words), awaited(meant(words).kind))
        for number, words in enumerate(READINGS[:count])
    ]


def meant(words: str) -> Meaning:
    """Return what words of the grammar mean."""
    found = grammar().parse(words)
    assert isinstance(found, Meaning), words
    return found


def _an4() -> list[tuple[str, str]]:
    table = SPEECH / "an4" / "transcripts.tsv"
    if not table.is_file():
        return []
    with table.open(encoding="utf-8") as lines:
        return [(row[0], row[-1]) for row in csv.reader(lines, delimiter="\t")]


def _sound(path: Path) -> Wave:
    sound, rate = soundfile.read(path, dtype="float64")
    assert rate == RATE, path
    return np.asarray(sound)
