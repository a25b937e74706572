"""The synthetic commands: every sentence of the grammar's twin file, and readings with drawn numbers."""

from __future__ import annotations

import random
import tomllib
from functools import cache
from pathlib import Path

from assistant.commands.language import grammar_of
from assistant.commands.understanding import SANE
from assistant.grammar import Grammar, Meaning
from assistant.grammar.judgement import plausible
from assistant.phrasing.en.twins import twin_value
from assistant.shelf.places import data_folder
from tests.benchmark.hearing.clips import Clip, Piece
from tests.benchmark.hearing.speakers import usable
from tests.benchmark.hearing.split import Split

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
SHAPES = {
    "drained {a} point {b} litres": 6,
    "drained {a} litres": 3,
    "first can {a} point {b} litres": 4,
    "second can {a} point {b} litres": 3,
    "another nought point {a} litres": 3,
    "in all {a} point {b} litres": 2,
    "poured {a} point {b} litres": 5,
    "{a} point {b} litres": 3,
    "{a} point {b} litres out": 2,
    "{a} point {b}": 3,
    "can at {a} point {b} litres": 2,
    "spilled nought point {a} litres": 2,
    "correction {a} point {b} litres": 3,
    "correction drained {a} point {b} litres": 2,
    "drained {a} hundred millilitres": 2,
    "temperature {t} {b} degrees": 3,
    "temperature {t} {b} degrees celsius": 3,
    "{tens} {b} degrees": 2,
    "torque {t} {b} newton metres": 5,
    "torque newton metres {t} {b}": 3,
    "drain plug {t} {b} foot pounds": 2,
    "low by nought point {a} litres": 2,
    "{a} millimetres below the hot mark": 2,
    "a drop every {a} seconds": 2,
    "start timer {a} minutes": 2,
    "drain timer {t} zero minutes": 2,
    "clock reads {a} {b} {c} {d} {e} kilometres": 2,
    "stock {a} point {b} litres": 1,
}
"""Shape of a reading -> how often it is drawn; a and t stand for 1-9, b to e for 0-9. Common practice in
readings over the radio, no source."""
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


@cache
def english() -> Grammar:
    """Return the shipped grammar."""
    return grammar_of("en", data_folder("grammars"))


@cache
def twin_file() -> dict[str, list[str]]:
    """Return the sentences of the twin file: what is heard, what is known and refused, what is neither."""
    table = tomllib.loads(Path(data_folder("grammars"), "en.sentences.toml").read_text("utf-8"))
    heard = [sentence for entry in table["heard"] for sentence in entry["say"]]
    return {"heard": heard, "trap": list(table["trap"]), "refuse": list(table["refuse"])}


def drawn_reading(chance: random.Random) -> str:
    """Return a reading of a drawn shape with drawn numbers, none of them -teen or a lone -ty."""
    shape = chance.choices(list(SHAPES), list(SHAPES.values()))[0]
    more = {name: chance.choice(DIGITS) for name in "bcde"}
    if "{tens}" in shape:
        more["b"] = chance.choice(DIGITS[1:])
    one = {"a": chance.choice(DIGITS[1:]), "t": chance.choice(DIGITS[1:]), "tens": chance.choice(TENS)}
    return shape.format(**one, **more)


def _clips(group: str, sentences: list[str], side: Split, chance: random.Random) -> list[Clip]:
    speakers = [voice for voice in side.voices if usable(voice)]
    clips: list[Clip] = []
    for number, words in enumerate(sentences):
        if number % len(speakers) == 0:
            chance.shuffle(speakers)
        voice = speakers[number % len(speakers)]
        meaning = english().parse(words)
        kind = meaning.kind if isinstance(meaning, Meaning) else ""
        clips.append(
            Clip(
                f"{group}/{voice}/{words}", group, voice, (Piece(voice, words),), words if kind else "", kind
            )
        )
    return clips


def sentences(side: Split, seed: int, readings: int = 600) -> list[Clip]:
    """Return every sentence of the twin file and `readings` drawn ones, voices taking turns."""
    chance = random.Random(f"commands {side.name} {seed}")
    every = list(twin_file()["heard"])
    chance.shuffle(every)
    drawn = [drawn_reading(chance) for _ in range(readings)]
    clips = _clips("shapes", every, side, chance) + _clips("readings", drawn, side, chance)
    return [clip for clip in clips if clip.kind and _sane(clip.words)]


def _sane(words: str) -> bool:
    """Say whether any mechanic means it: not minus 44 degrees, which the ear takes for its own mistake."""
    meaning = english().parse(words)
    return isinstance(meaning, Meaning) and plausible(meaning, SANE)


def traps(side: Split, seed: int) -> list[Clip]:
    """Return sentences that must not be acted on: unfinished, unsafe or outside the grammar."""
    chance = random.Random(f"traps {side.name} {seed}")
    return _clips("traps", twin_file()["trap"] + twin_file()["refuse"], side, chance)


def alike(side: Split, seed: int) -> list[Clip]:
    """Return amounts, torques and timers said with a -teen or a lone -ty, by every voice."""
    chance = random.Random(f"alike {side.name} {seed}")
    shapes = (
        "torque {n} newton metres", "torque newton metres {n}", "torque {n} foot pounds",
        "drained {n} litres",
        "drained {n} millilitres", "poured {n} litres", "temperature {n} degrees", "start timer {n} minutes",
    )  # fmt: skip
    stems = ("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
    numbers = (*stems, "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
    every = [shape.format(n=number) for shape in shapes for number in numbers for _ in range(3)]
    chance.shuffle(every)
    return _clips("alike", every, side, chance)


def sounds_alike(words: str) -> bool:
    """Say whether the number in a sentence has a -teen or -ty twin."""
    return twin_value(words, english().parse) is not None
