"""From what an ear or a keyboard brings to what the dialogue takes: meaning, sureness, twin, kept sound."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Mapping
from decimal import Decimal

import numpy as np
import soundfile

from assistant.dialogue.expectation import expected_kinds
from assistant.dialogue.readings import KINDS as READINGS
from assistant.dialogue.reply import Heard
from assistant.errors import WrongInput
from assistant.grammar.grammar import Grammar
from assistant.grammar.graph import UNKNOWN
from assistant.grammar.judgement import Expectation, Window
from assistant.grammar.meaning import KINDS, Meaning, NoMatch
from assistant.hearing.levels import NOISY_DB, QUIET_DB, Complaint
from assistant.hearing.sound import RATE
from assistant.hearing.utterance import Utterance
from assistant.job.state import State
from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.twins import twin_value

KeepClip = Callable[[bytes], str | None]
"""Writes the bytes of a sound file durably and returns its name, None where that failed."""

VOLUME_KINDS = ("drained", "poured", "can-left", "spilled", "amount")
SANE: Mapping[str, tuple[Window, ...]] = {
    **dict.fromkeys(
        VOLUME_KINDS,
        (
            Window(Decimal("0.02"), Decimal(40), ("litre", "us_quart", "imperial_quart", "quart")),
            Window(Decimal(5), Decimal(5000), ("millilitre",)),
            Window(Decimal("0.05"), Decimal(80), ("us_pint", "imperial_pint", "pint")),
            Window(Decimal("0.05"), Decimal(10), ("us_gallon", "imperial_gallon", "gallon")),
            Window(Decimal("0.1"), Decimal(100), ("cup",)),
            Window(Decimal("0.5"), Decimal(200), ("us_fluid_ounce", "imperial_fluid_ounce", "fluid_ounce")),
        ),
    ),
    "temperature": (
        Window(Decimal(-40), Decimal(160), ("celsius",)),
        Window(Decimal(-40), Decimal(320), ("fahrenheit", "degree")),
    ),
    "torque": (
        Window(Decimal(1), Decimal(600), ("newton_metre",)),
        Window(Decimal(1), Decimal(450), ("pound_foot",)),
        Window(Decimal(5), Decimal(5000), ("pound_inch",)),
    ),
    "timer-start": (
        Window(Decimal(1), Decimal(240), ("minute",)),
        Window(Decimal(5), Decimal(600), ("second",)),
    ),
    "level": (
        Window(Decimal(0), Decimal(10), ("litre", "us_quart", "imperial_quart", "quart")),
        Window(Decimal(0), Decimal(9999), ("millilitre",)),
        Window(Decimal(0), Decimal(20), ("us_pint", "imperial_pint", "pint")),
        Window(Decimal(0), Decimal(300), ("millimetre",)),
        Window(Decimal(0), Decimal(30), ("centimetre",)),
    ),
}
"""What no mechanic means, so that the recogniser's wilder guesses do not compete. Wide: an implausible
reading is challenged by the job, not refused by the ear."""

LONGEST_LINE = 2000
"""Letters of a typed line, notes included."""

GARBLED = "\ufffd"
"""Stands for bytes that are no text in the coding of the keyboard."""

TALK_S = 1.8
"""Speech this long without one known word is talk to somebody else: nobody is told so. Shorter, it may
have been an answer that went wrong."""

MAY_BE_SOUND = ("torn", "trap", "unknown")
"""Reasons of a refusal behind which may stand that it was hard to hear."""

MOSTLY = 0.5
"""Share of the probability on known sentences from which an utterance was one of them."""

TYPED_UNITS = {
    "l": "litres", "ml": "millilitres", "nm": "newton metres", "lbft": "foot pounds", "lbin": "inch pounds",
    "c": "degrees celsius", "f": "degrees fahrenheit", "s": "seconds", "min": "minutes", "h": "hours",
    "mm": "millimetres", "cm": "centimetres", "km": "kilometres", "qt": "quarts", "°c": "degrees celsius",
    "°f": "degrees fahrenheit", "n·m": "newton metres",
}  # fmt: skip
"""Short forms a typist uses; the words are the ones the grammar knows."""
_TOKEN = re.compile(r"[+-]?\d+(?:[.,]\d+)?|[^\s\d]+", re.UNICODE)
_BARE = {"i'm back": "i am back"}


FRAGMENTS = ("unit-tail", "decimal-tail")
"""Kinds that are only the end of a sentence."""
BEFORE_A_JOB = (
    "choice", "yes", "no", "initials", "amount", "torque", "temperature", "number", "unit-tail",
    "which-system", "skip", "done", "plate", "look",
)  # fmt: skip
"""What may be said while no job runs yet: to begin one, and to make a vehicle sheet."""


def expectation_of(state: State | None) -> Expectation:
    """Return what may be said now, for the ear's judgement."""
    kinds = set(expected_kinds(state)) if state is not None else set(BEFORE_A_JOB)
    if kinds & {*VOLUME_KINDS, "correction"}:
        kinds |= {"amount", *VOLUME_KINDS, "number"}
    if any(KINDS[kind].units for kind in kinds if kind in KINDS) or "correction" in kinds:
        kinds.add("number")
    if state is not None and state.last_reading() is not None:
        kinds |= {"unit-tail", "decimal-tail"}
    return Expectation(awaiting=tuple(sorted(kinds)), windows={**SANE, **_bare(kinds)})


def _bare(kinds: set[str]) -> dict[str, tuple[Window, ...]]:
    """Return the window of a number by itself: any value that one of the awaited readings may have."""
    asked = [kind for kind in kinds if kind in KINDS and KINDS[kind].units and kind not in FRAGMENTS]
    if not asked or not all(kind in SANE for kind in asked):
        return {}
    windows = [window for kind in asked for window in SANE[kind]]
    low, high = min(one.low for one in windows), max(one.high for one in windows)
    return {"number": (Window(low, high, ()),)}


def from_utterance(
    utterance: Utterance, grammar: Grammar, state: State | None, keep: KeepClip, everything: bool = False
) -> Heard:
    """Return what the dialogue takes; the sound of readings and notes is kept before their event.

    With `everything` so is that of whatever else was understood; of what was not, it never is.
    """
    words = "" if _foreign(utterance) else grammar.normalise(utterance.words)
    talk = not words and utterance.end - utterance.start > TALK_S
    # "torn" is a sentence known but not taken; where most of it is unknown words it is no such sentence.
    foreign = utterance.reason == "torn" and utterance.mass < MOSTLY
    reason = "talk" if talk else "unknown" if foreign else utterance.reason
    reason = (complaint_of(utterance) or reason) if reason in MAY_BE_SOUND else reason
    meaning: Meaning | NoMatch = utterance.meaning or NoMatch(reason, words)
    note = state is not None and state.question is not None and state.question.name == "note"
    understood = utterance.meaning
    reading = understood is not None and (understood.kind in READINGS or understood.value is not None)
    worth = note or reading or (everything and understood is not None)
    return Heard(
        meaning=meaning,
        words=words,
        sure=not utterance.doubtful,
        twin=twin_value(utterance.words, grammar.parse),
        amends=utterance.amends,
        clip=keep(as_flac(utterance.pcm)) if worth and utterance.pcm else None,
        seconds=utterance.end - utterance.start,
        share=utterance.share if understood else min(utterance.share, utterance.mass),
        over=utterance.over,
    )


def complaint_of(utterance: Utterance) -> Complaint:
    """Return what is wrong with the sound of an utterance, by the level of what is there besides it."""
    if utterance.conditions.clipped:
        return "loud"
    if utterance.peak_db - utterance.conditions.noise_db < NOISY_DB:
        return "noisy"
    return "quiet" if utterance.peak_db < QUIET_DB else ""


def _foreign(utterance: Utterance) -> bool:
    """Say whether nothing of an utterance was a word of the grammar."""
    return all(word == UNKNOWN for word in utterance.words.split())


def as_flac(pcm: bytes) -> bytes:
    """Return 16 kHz mono int16 sound as the bytes of a FLAC file."""
    buffer = io.BytesIO()
    soundfile.write(buffer, np.frombuffer(pcm, dtype="<i2"), RATE, format="FLAC")
    return buffer.getvalue()


def typed_words(line: str) -> str:
    """Return a typed line as the words somebody would say: digits and short units written out."""
    words: list[str] = []
    for token in _TOKEN.findall(line.strip().lower()):
        if token[-1].isdigit():
            words.append(number_words(token.replace(",", ".").lstrip("+")))
        elif words and token in TYPED_UNITS:
            words.append(TYPED_UNITS[token])
        else:
            words.append(token.strip("?!.,;:"))
    text = " ".join(word for word in words if word)
    return _BARE.get(text, text)


def from_line(line: str, grammar: Grammar) -> Heard:
    """Return what a typed line means; "note ..." keeps the text that follows.

    A line longer than anybody types, a number too long to be said, and letters that came garbled are not
    understood.
    """
    if len(line.rstrip("\r\n")) > LONGEST_LINE or GARBLED in line:
        return Heard(NoMatch("unknown", line[:40]), line[:40], typed=True)
    kept = re.match(r"\s*note[:\s]+(.+)", line, re.IGNORECASE)
    if kept:
        return Heard(Meaning("note"), line.strip(), note=kept.group(1).strip(), typed=True)
    try:
        words = grammar.normalise(typed_words(line))
    except WrongInput:
        return Heard(NoMatch("unknown", line.strip()), line.strip(), typed=True, line=line.strip())
    return Heard(grammar.parse(words), words, typed=True, line=line.strip())
