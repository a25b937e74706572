"""A bare number is never completed by a unit nobody said: with the real recogniser, by people and by voices.

The graph holds only its sentences, so what is not among them comes out as the nearest one. Digit strings
of every length, thousands and jumbled numbers are therefore sentences of their own, taken or refused.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assistant.hearing.hear import expected
from assistant.hearing.recogniser import Recogniser
from assistant.hearing.sound import read_sound
from assistant.hearing.utterance import Utterance
from tests.hearing.conftest import heard
from tests.hearing.synthetic import in_room, said

pytestmark = pytest.mark.full

DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
ANY_READING = expected("reading")
"""The worst case: every kind of reading would be welcome."""


def with_unit(utterances: list[Utterance]) -> list[str]:
    """Return what was believed, or would be asked about, with a unit."""
    return [one.words for one in utterances if one.meaning is not None and one.meaning.unit is not None]


def values(utterances: list[Utterance]) -> list[str | None]:
    """Return the numbers believed."""
    return [one.meaning.value for one in utterances if one.meaning is not None]


def strings(table: Path) -> Iterator[tuple[str, list[str]]]:
    """Yield the recordings of AN4 that are digits alone, five and more."""
    for line in table.read_text("utf-8").splitlines():
        name, _, words = line.split("\t")
        if len(words.split()) >= 5 and set(words.split()) <= {*DIGITS, "oh"}:
            yield name, words.split()


def test_digit_strings_of_people_have_no_unit(
    ear: Recogniser, speech_folder: Path, lacking: Callable[[str], None]
) -> None:
    """AN4: postcodes and telephone numbers, every third. Before, 58 of 92 came out with a unit."""
    table = speech_folder / "an4" / "transcripts.tsv"
    if not table.exists():
        lacking("the human speech beside the project (AN4)")
    right = 0
    clips = list(strings(table))[::3]
    assert len(clips) >= 25
    for name, words in clips:
        found = heard(ear, read_sound(speech_folder / "an4" / name), expectation=ANY_READING)
        assert with_unit(found) == [], " ".join(words)
        value = "".join("0" if word == "oh" else str(DIGITS.index(word)) for word in words)
        right += values(found) == [value] if len(words) <= 7 else not values(found)
    assert right >= 0.85 * len(clips)


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("three three four six nine two", "334692"),
        ("eight four two one zero", "84210"),
        ("one five two seven", "1527"),
        ("two thousand", "2000"),
        ("sixty thousand", "60000"),
        ("fifteen hundred", "1500"),
        ("minus five", "-5"),
        ("thirty four sixty", None),
        ("ten four", None),
        ("eleven two", None),
        ("twenty five fifty", None),
        ("four point two five six", None),
        ("three point one four one", None),
        ("zero four five", None),
        ("one two three four five six seven eight nine", None),
    ],
)
def test_what_has_no_unit_is_heard_without(ear: Recogniser, words: str, value: str | None) -> None:
    """Each was heard with a unit, or as another number, before it was a sentence of its own."""
    found = heard(ear, in_room(said(words, "en-us")), expectation=ANY_READING)

    assert with_unit(found) == []
    assert values(found) == ([value] if value is not None else [])
