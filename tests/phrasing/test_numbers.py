"""Numbers and units as words.

Expected words are common English usage (no source), as is the list of sound-alikes: thirteen/thirty to
nineteen/ninety.
"""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.grammar import meaning
from assistant.phrasing.en.numbers import (
    UNIT_WORDS,
    clock_words,
    duration_words,
    is_teen_or_ty,
    later_words,
    measure_words,
    number_words,
    twin,
)
from assistant.units.measure import Measure

ALL_UNITS = (
    *meaning.VOLUME_UNITS,
    *meaning.TEMPERATURE_UNITS,
    *meaning.TORQUE_UNITS,
    *meaning.DURATION_UNITS,
    *meaning.LENGTH_UNITS,
    *meaning.DISTANCE_UNITS,
)
NUMBERS = st.decimals("0.01", "999.99", places=2)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("4.2", "four point two"),
        ("0.6", "nought point six"),
        ("0.05", "nought point nought five"),
        ("5.50", "five point five"),
        ("4.0", "four"),
        ("0", "nought"),
        ("32.57", "thirty two point five seven"),
        ("13", "thirteen"),
        ("100", "one hundred"),
        ("143.7", "one hundred and forty three point seven"),
        ("84200", "eighty four thousand two hundred"),
        ("120013", "one hundred and twenty thousand and thirteen"),
        ("-12", "minus twelve"),
        ("1E+2", "one hundred"),
    ],
)
def test_a_number_is_said_as_a_mechanic_says_it(value: str, words: str) -> None:
    """Whole part as a number, decimals one by one."""
    assert number_words(value) == words


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("35", "three five"),
        ("13", "one three"),
        ("30", "three nought"),
        ("4.2", "four point two"),
        ("7", "seven"),
    ],
)
def test_digit_style_says_every_digit(value: str, words: str) -> None:
    """No -teen and no -ty is left in the words."""
    assert number_words(value, "digits") == words


@given(NUMBERS)
def test_digit_style_names_the_digits_of_the_number(number: Decimal) -> None:
    """An independent reading of the words, digit by digit, gives the number back."""
    digits = {"nought": "0", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6",
              "seven": "7", "eight": "8", "nine": "9", "point": "."}  # fmt: skip

    said = "".join(digits[word] for word in number_words(str(number), "digits").split())

    assert Decimal(said) == number


@given(NUMBERS)
def test_no_number_holds_a_word_that_is_unsafe_to_say(number: Decimal) -> None:
    """Only letters and single spaces, and no "oh"."""
    words = number_words(str(number))

    assert re.fullmatch(r"[a-z]+( [a-z]+)*", words)
    assert "oh" not in words.split()


@given(NUMBERS, NUMBERS)
def test_two_numbers_never_share_their_words(first: Decimal, second: Decimal) -> None:
    """Words name one number only."""
    assert (number_words(str(first)) == number_words(str(second))) == (first == second)


@pytest.mark.parametrize("value", ["", "four", "NaN", "Infinity", "10000000", "1e9"])
def test_what_is_no_speakable_number_is_refused(value: str) -> None:
    """The error says so instead of speaking nonsense."""
    with pytest.raises(WrongInput):
        number_words(value)


@pytest.mark.parametrize("unit", ALL_UNITS)
def test_every_unit_has_words_in_singular_and_plural(unit: str) -> None:
    """One, and only one, takes the singular."""
    singular, plural = UNIT_WORDS[unit]

    assert measure_words(Measure("1", unit)) == f"one {singular}"
    assert measure_words(Measure("1.0", unit)) == f"one {singular}"
    assert measure_words(Measure("0.5", unit)) == f"nought point five {plural}"
    assert measure_words(Measure("2", unit)) == f"two {plural}"


@pytest.mark.parametrize(
    ("measure", "digits", "words"),
    [
        (Measure("4.2", "litre"), False, "four point two litres"),
        (Measure("35", "newton_metre"), True, "three five newton metres"),
        (Measure("18", "pound_foot"), True, "one eight foot pounds"),
        (Measure("55", "celsius"), False, "fifty five degrees Celsius"),
        (Measure("3.5", "us_quart"), False, "three point five US quarts"),
    ],
)
def test_a_measure_is_number_and_unit(measure: Measure, digits: bool, words: str) -> None:
    """The unit as the trade says it."""
    assert measure_words(measure, digits) == words


def test_a_unit_without_words_is_refused() -> None:
    """Never spoken as a code name."""
    with pytest.raises(WrongInput, match="no words"):
        measure_words(Measure("1", "joule"))


@pytest.mark.parametrize(
    ("ms", "words"),
    [
        (0, "less than a second"),
        (1_000, "one second"),
        (40_000, "forty seconds"),
        (59_600, "one minute"),
        (60_000, "one minute"),
        (400_000, "six minutes forty"),
        (600_000, "ten minutes"),
        (3_599_700, "one hour"),
        (4_320_000, "one hour twelve minutes"),
        (7_260_000, "two hours one minute"),
    ],
)
def test_a_length_of_time(ms: int, words: str) -> None:
    """To the second below an hour."""
    assert duration_words(ms) == words


@pytest.mark.parametrize(
    ("ms", "words"),
    [(5_200, "five seconds later"), (718_000, "twelve minutes later"), (60_000, "sixty seconds later"),
     (7_300_000, "two hours later")],
)  # fmt: skip
def test_a_wait_cut_short_is_told_roughly(ms: int, words: str) -> None:
    """As one would tell it."""
    assert later_words(ms) == words


@pytest.mark.parametrize(
    ("hour", "minute", "words"),
    [(14, 0, "fourteen hundred"), (9, 5, "nine nought five"), (14, 35, "fourteen thirty five")],
)
def test_a_time_of_day(hour: int, minute: int, words: str) -> None:
    """By the 24-hour clock."""
    assert clock_words(hour, minute) == words


def test_an_impossible_time_of_day_is_refused() -> None:
    """25 o'clock is nobody's time."""
    with pytest.raises(WrongInput):
        clock_words(25, 0)


@pytest.mark.parametrize(
    ("value", "other"),
    [
        ("13", "30"), ("14", "40"), ("15", "50"), ("16", "60"), ("17", "70"), ("18", "80"), ("19", "90"),
        ("115", "150"), ("13.5", "30.5"), ("15000", "50000"), ("12013", "12030"),
    ],
)  # fmt: skip
def test_sound_alikes_are_each_others_twin(value: str, other: str) -> None:
    """Both ways."""
    assert twin(value) == other
    assert twin(other) == value
    assert is_teen_or_ty(value)
    assert is_teen_or_ty(other)


@pytest.mark.parametrize("value", ["4", "10", "12", "20", "35", "0.13", "4.15", "100", "121"])
def test_other_numbers_have_no_twin(value: str) -> None:
    """Decimals are said digit by digit, and twelve and twenty are not mixed up."""
    assert twin(value) is None
    assert not is_teen_or_ty(value)


@given(NUMBERS)
def test_a_twin_differs_only_in_teen_and_ty(number: Decimal) -> None:
    """With the endings made one, both have the same words."""
    other = twin(str(number))
    if other is None:
        return

    stems = {"thir": "three", "four": "four", "for": "four", "fif": "five", "six": "six", "seven": "seven",
             "eigh": "eight", "nine": "nine"}  # fmt: skip

    def blurred(value: str) -> list[str]:
        ends = (re.sub(r"(teen|ty)$", "", word) for word in number_words(value).split())
        return [stems.get(stem, stem) for stem in ends]

    assert blurred(other) == blurred(str(number))
