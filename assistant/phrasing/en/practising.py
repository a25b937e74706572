"""What is said in the first ten minutes: the level, the voice, five sentences, and how to say them better."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.phrasing.en.numbers import number_words
from assistant.phrasing.en.words import sentence, speakable

LEVEL = "check one two three"
"""Read to set the level; it means nothing."""
SENTENCES: tuple[str, ...] = (
    "first can two point eight litres",
    "another one point four litres",
    "temperature five nine degrees celsius",
    "torque two six newton metres",
    "a drop every nine seconds",
)
"""Readings of a job, practised without one."""
BETTER: Mapping[str, tuple[str, ...]] = {
    "nothing": ("I heard nothing.", "Speak after me, close to the microphone."),
    "cut": ("That came in pieces.", "Speak it in one breath."),
    "unsure": ("I am not sure of it.", "Speak a little slower, every digit by itself."),
    "other": ("That is another one.", "Speak every digit by itself, then the unit."),
    "unknown": ("That was none of my sentences.", "Read it word by word as I read it."),
}
"""How a sentence went -> what is said of it."""
SOUND: Mapping[str, tuple[str, ...]] = {
    "quiet": ("It is too quiet.", "Speak up, or bring the microphone closer."),
    "loud": ("It is too loud.", "Move the microphone away from your mouth."),
    "noisy": ("It is too noisy.", "Bring the microphone closer, or wait for quiet."),
}
"""What is wrong with the sound -> what is said of it."""


def welcome(parts: int) -> tuple[str, ...]:
    """Return the greeting; `parts` is how many things will be done."""
    return (
        sentence(f"{number_words(str(parts))} things before your first job"),
        "I read a line, you read it after me.",
        "You may type it, too.",
    )


def level_asked() -> tuple[str, ...]:
    """Return the request for the level."""
    return ("The level first.", sentence(f"after me, {LEVEL}"))


def level_is(good: bool) -> tuple[str, ...]:
    """Return the end of that part."""
    return ("The level is good.",) if good else ("The level stays as it is.", "The ear will ask more often.")


def phrase_asked(number: int, phrase: str) -> tuple[str, ...]:
    """Return the request for a phrase of the enrolment."""
    return (sentence(f"phrase {number_words(str(number))}"), sentence(f"after me, {phrase}"))


def enrolled(right: int, of: int, kept: bool) -> tuple[str, ...]:
    """Return how the enrolment went."""
    told = sentence(f"{number_words(str(right))} of {number_words(str(of))} were understood")
    return (told, "Your voice is kept." if kept else "Nothing is kept of your voice.")


def sentence_asked(number: int, text: str) -> tuple[str, ...]:
    """Return the request for a sentence."""
    return (sentence(f"sentence {number_words(str(number))}"), sentence(f"after me, {text}"))


def heard(words: str) -> tuple[str, ...]:
    """Return what was heard of it, word for word; nothing where no word was."""
    return (sentence(f"I heard, {speakable(words)}"),) if words else ()


def right() -> tuple[str, ...]:
    """Return the praise."""
    return ("That is right.",)


def farewell(first: int, right: int, of: int) -> tuple[str, ...]:
    """Return the end: how many were right at the first try, and in all."""
    told = sentence(f"{number_words(str(first))} of {number_words(str(of))} at the first try")
    if right >= of - 1:
        return (told, "You are ready for a job.")
    return (told, "Look at the level and read them once more.")
