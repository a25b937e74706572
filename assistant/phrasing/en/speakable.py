"""Whether a voice can say a text as it is written, and whether it names a unit or a figure it should not."""

from __future__ import annotations

import re
from collections.abc import Iterator

from assistant.phrasing.en.numbers import UNIT_WORDS, number_words
from assistant.units import kind_of, settled

_VOWEL = re.compile("[aeiouy]")
_NEVER = re.compile(r"[^aeiouy]{6}|(.)\1\1")
"""A run of letters nobody pronounces."""
_SYSTEMS = ("us", "imperial", "celsius", "fahrenheit")


def _names(units: list[str]) -> str:
    return "|".join(sorted({name.lower() for unit in units for name in UNIT_WORDS[unit]}, key=len)[::-1])


_BARE = re.compile(
    rf"(?:\b(\w+) )?\b({_names([one for one in UNIT_WORDS if not settled(one)])})\b(?: (\w+))?"
)
_FIGURE = re.compile(
    rf"\b(?:{'|'.join(number_words(str(n)) for n in (*range(20), *range(20, 100, 10)))}|half|quarter)"
    rf"(?: an?| of an?| and a half)? "
    rf"(?:{_names([one for one in UNIT_WORDS if kind_of(one) in ('volume', 'torque', 'temperature')])})\b"
)


def speakable(word: str) -> bool:
    """Say whether a word, lower case, is one to be spoken: with a vowel, and no run of letters nobody says.

    Short forms such as "nm" are none: a voice spells them, or makes up a word.
    """
    plain = word.replace("'", "")
    return bool(_VOWEL.search(plain)) and not _NEVER.search(plain)


def unit_faults(text: str) -> Iterator[tuple[str, str]]:
    """Return (what, cure) of each unit that may be one of two, and each figure of a vehicle, in a text."""
    plain = text.lower()
    for found in _BARE.finditer(plain):
        before, name, after = found.groups()
        if before not in _SYSTEMS and after not in _SYSTEMS:
            choice = "Celsius or Fahrenheit" if "degree" in name else "US or imperial"
            yield f"a bare {name!r}", f"say {choice}, or leave it out"
    for figure in _FIGURE.findall(plain):
        yield f"the figure {figure!r}", "it is the vehicle's: write a {place} that its sheet fills"
