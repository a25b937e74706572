"""Human speech: digits put into sentences we accept, answers, and talk that must not be understood.

AN4 (Carnegie Mellon University, 1991), FSDD, Speech Commands (CC BY 4.0) and LibriSpeech (CC BY 4.0), from
the folder beside the project. No open recording of a person saying a whole reading is known to us: the words
around the digits are synthetic.
"""

from __future__ import annotations

import csv
import random
from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import cache
from itertools import count, product

import numpy as np
import soundfile

from assistant.grammar import Meaning
from tests.benchmark.hearing.clips import SPEECH, Clip, Piece
from tests.benchmark.hearing.commands import DIGITS, english
from tests.benchmark.hearing.cutting import word_times
from tests.benchmark.hearing.speakers import usable
from tests.benchmark.hearing.split import Split, split

PLACES = ("torque # # newton metres", "first can # point # litres", "temperature # # degrees celsius",
          "drained # point # litres")  # fmt: skip
"""Sentences with two digits; # is a human one."""
_ANSWERS = {"yes", "no"}
_GAP = (0.04, 0.10)
"""Seconds between the pieces of a sentence put together."""


def transcripts(collection: str) -> list[tuple[str, str, str]]:
    """Return (file, speaker, words) of a collection; empty where it is absent."""
    table = SPEECH / collection / "transcripts.tsv"
    if not table.is_file():
        return []
    with table.open(encoding="utf-8") as lines:
        rows = [row for row in csv.reader(lines, delimiter="\t", quoting=csv.QUOTE_NONE) if len(row) >= 3]
    return [(f"{collection}/{row[0]}", row[1], row[2].strip()) for row in rows if row[0] != "file"]


def single_digits(collection: str, side: Split) -> dict[str, dict[str, list[Piece]]]:
    """Return digit word -> speaker -> clips of it."""
    found: dict[str, dict[str, list[Piece]]] = defaultdict(lambda: defaultdict(list))
    for file, speaker, words in transcripts(collection):
        if words in DIGITS and side.has(speaker):
            start, end = _spoken(file)
            found[words][speaker].append(Piece(file=file, start=start, end=end))
    return found


@cache
def _spoken(file: str) -> tuple[float, float]:
    """Return where the word of a clip begins and ends (s): within 30 dB of its loudest 10 ms, and 30 ms more.

    A clip of one second would otherwise put pauses of half a second into a sentence.
    """
    wave, rate = soundfile.read(str(SPEECH / file), dtype="float64")
    step = rate // 100
    power = np.mean(wave[: len(wave) // step * step].reshape(-1, step) ** 2, axis=1)
    loud = np.flatnonzero(power > power.max() / 1000)
    return max(0.0, loud[0] / 100 - 0.03), min(len(wave) / rate, (loud[-1] + 1) / 100 + 0.03)


@cache
def an4_runs(side_name: str) -> tuple[tuple[str, tuple[str, ...], str, tuple[tuple[float, float], ...]], ...]:
    """Return (file, digits, speaker, times of each) of the digit strings whose cuts are known."""
    side, found = split(side_name), []
    for file, speaker, words in transcripts("an4"):
        said = tuple(words.split())
        if len(said) > 1 and set(said) <= {*DIGITS, "oh"} and side.has(speaker):
            times = word_times(file, said)
            if times is not None:
                found.append((file, said, speaker, times))
    return tuple(found)


def _sentence(
    group: str,
    speaker: str,
    shape: str,
    said: list[str],
    pieces: list[Piece],
    side: Split,
    chance: random.Random,
) -> Clip | None:
    """Put human pieces into the places of a shape; None where the grammar does not take the digits there."""
    words = shape
    for digit in said:
        words = words.replace("#", digit, 1)
    meaning = english().parse(words)
    if not isinstance(meaning, Meaning):
        return None
    carrier = chance.choice([voice for voice in side.voices if usable(voice)])
    parts: list[Piece] = []
    waiting = iter(pieces)
    for stretch in _stretches(shape):
        if parts:
            parts.append(Piece(end=chance.uniform(*_GAP)))
        parts.append(next(waiting) if stretch == "#" else Piece(carrier, stretch))
    name = "+".join(f"{piece.file}@{piece.start:.2f}" for piece in pieces)
    return Clip(f"{group}/{carrier}/{words}/{name}", group, speaker, tuple(parts), words, meaning.kind)


def _stretches(shape: str) -> Iterator[str]:
    run: list[str] = []
    for word in shape.split():
        if word == "#":
            if run:
                yield " ".join(run)
            run = []
            yield word
        else:
            run.append(word)
    if run:
        yield " ".join(run)


def an4_sentences(side: Split, seed: int, most: int = 400) -> list[Clip]:
    """Return AN4 digits in our sentences: whole strings of three and five, every pair cut from longer ones in
    every place for two."""
    chance = random.Random(f"an4 {side.name} {seed}")
    clips: list[Clip | None] = []
    for file, said, speaker, times in an4_runs(side.name):
        whole = {3: "torque # newton metres", 5: "clock reads # kilometres"}.get(len(said))
        if whole is not None:
            piece = Piece(file=file, start=times[0][0], end=times[-1][1])
            clips.append(_sentence("an4", speaker, whole, [" ".join(said)], [piece], side, chance))
        for at, place in product(range(0, len(said) - 1, 2), PLACES):
            shape, pair = place, [*said[at : at + 2]]
            if "# #" in shape:
                shape, pair = shape.replace("# #", "#"), [" ".join(pair)]
                pieces = [Piece(file=file, start=times[at][0], end=times[at + 1][1])]
            else:
                pieces = [Piece(file=file, start=a, end=b) for a, b in times[at : at + 2]]
            clips.append(_sentence("an4", speaker, shape, pair, pieces, side, chance))
    good = [clip for clip in clips if clip is not None]
    chance.shuffle(good)
    return good[:most]


def digit_sentences(collection: str, side: Split, seed: int, most: int = 300) -> list[Clip]:
    """Return single human digits in our sentences, both of one speaker where he said both."""
    chance = random.Random(f"{collection} {side.name} {seed}")
    digits = single_digits(collection, side)
    if not digits:
        return []
    clips: list[Clip] = []
    for number in count():
        if len(clips) >= most or number > 20 * most:
            break
        shape = PLACES[number % len(PLACES)]
        pair = [chance.choice(DIGITS[1:]), chance.choice(DIGITS)]
        speaker = chance.choice(sorted(digits[pair[0]]) or [""])
        other = speaker if speaker in digits[pair[1]] else chance.choice(sorted(digits[pair[1]]) or [""])
        if not speaker or not other:
            continue
        pieces = [chance.choice(digits[word][who]) for word, who in zip(pair, (speaker, other), strict=True)]
        clip = _sentence(collection, speaker, shape, pair, pieces, side, chance)
        if clip is not None and clip.id not in {one.id for one in clips[-5:]}:
            clips.append(clip)
    return clips


def answers(side: Split, _seed: int) -> list[Clip]:
    """Return every human yes and no."""
    return [
        Clip(f"answers/{file}", "answers", speaker, (Piece(file=file),), words, words, timed=False)
        for collection in ("an4", "speech_commands")
        for file, speaker, words in transcripts(collection)
        if words in _ANSWERS and side.has(speaker)
    ]


def _none(
    group: str, rows: list[tuple[str, str, str]], wanted: Callable[[str], bool], side: Split
) -> list[Clip]:
    return [
        Clip(f"{group}/{file}", group, speaker, (Piece(file=file),), timed=False)
        for file, speaker, words in rows
        if side.has(speaker) and wanted(words)
    ]


def other_words(side: Split, _seed: int) -> list[Clip]:
    """Return human single words that are no answer: stop, go, left, bird, ... Nothing may be done on them."""

    def wanted(words: str) -> bool:
        return len(words.split()) == 1 and words not in DIGITS and words not in _ANSWERS

    return _none("words", transcripts("speech_commands") + transcripts("an4"), wanted, side)


def spelled(side: Split, _seed: int) -> list[Clip]:
    """Return what AN4 speakers spell and say that is no sentence of ours."""

    def wanted(words: str) -> bool:
        return len(words.split()) > 1 and not isinstance(english().parse(words), Meaning)

    return _none("spelled", transcripts("an4"), wanted, side)


def read_aloud(side: Split, _seed: int) -> list[Clip]:
    """Return read sentences."""
    return _none("read", transcripts("librispeech"), lambda _: True, side)
