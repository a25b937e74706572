"""The words spoken for a number, heard again, are the same quantity: value and unit.

Each unit is tried in a sentence that takes it, over the shapes of number the grammar knows: two decimals
at most, whole millilitres, whole minutes, an odometer in thousands.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.grammar import Grammar, Meaning
from assistant.grammar.meaning import (
    DISTANCE_UNITS,
    DURATION_UNITS,
    LENGTH_UNITS,
    TEMPERATURE_UNITS,
    TORQUE_UNITS,
    VOLUME_UNITS,
)
from assistant.phrasing.en.numbers import measure_words, twin
from assistant.units.measure import Measure

DECIMALS = st.decimals("0.01", "999.99", places=2)
WHOLE = st.integers(1, 999).map(Decimal)
SENTENCES = {
    **dict.fromkeys((*VOLUME_UNITS, *TEMPERATURE_UNITS, *TORQUE_UNITS), ("{}", DECIMALS)),
    "millilitre": ("{}", WHOLE),
    **dict.fromkeys(LENGTH_UNITS, ("low by {}", DECIMALS)),
    "second": ("drip interval {}", DECIMALS),
    "minute": ("drip interval {}", WHOLE),
    "hour": ("start timer {}", st.integers(1, 3).map(Decimal)),
    **{unit: ("clock reads {}", st.integers(2_000, 999_999).map(Decimal)) for unit in DISTANCE_UNITS},
}


def test_every_unit_is_tried() -> None:
    """A unit added to the catalogue needs a sentence here."""
    assert SENTENCES.keys() == {
        *VOLUME_UNITS, *TEMPERATURE_UNITS, *TORQUE_UNITS, *DURATION_UNITS, *LENGTH_UNITS, *DISTANCE_UNITS,
    }  # fmt: skip


def heard_again(english: Grammar, measure: Measure, sentence: str, digits: bool) -> tuple[Decimal, str]:
    """Return value and unit of what the spoken words mean."""
    words = sentence.format(measure_words(measure, digits)).lower()
    meaning = english.parse(words)
    assert isinstance(meaning, Meaning), words
    assert meaning.value is not None, words
    assert meaning.unit is not None, words
    return Decimal(meaning.value), meaning.unit


@pytest.mark.parametrize("unit", SENTENCES)
def test_what_is_spoken_is_heard_as_the_same_quantity(english: Grammar, unit: str) -> None:
    """As a number."""
    sentence, numbers = SENTENCES[unit]

    @settings(max_examples=60, deadline=None)
    @given(numbers)
    def comes_back(number: Decimal) -> None:
        assert heard_again(english, Measure(str(number), unit), sentence, digits=False) == (number, unit)

    comes_back()


@pytest.mark.parametrize("unit", [*VOLUME_UNITS, *TEMPERATURE_UNITS, *TORQUE_UNITS, "second", "minute"])
def test_what_is_spoken_digit_by_digit_is_heard_as_the_same_quantity(english: Grammar, unit: str) -> None:
    """As -teen and -ty values are read back."""
    sentence, numbers = SENTENCES[unit]

    @settings(max_examples=40, deadline=None)
    @given(numbers)
    def comes_back(number: Decimal) -> None:
        assert heard_again(english, Measure(str(number), unit), sentence, digits=True) == (number, unit)

    comes_back()


@pytest.mark.parametrize("unit", [unit for unit in SENTENCES if unit not in DISTANCE_UNITS])
def test_one_is_heard_as_one(english: Grammar, unit: str) -> None:
    """The singular is known, too."""
    assert heard_again(english, Measure("1", unit), SENTENCES[unit][0], digits=False) == (1, unit)


@pytest.mark.parametrize("number", ["-1", "-12", "-20"])
def test_frost_is_heard_as_frost(english: Grammar, number: str) -> None:
    """A minus is never lost."""
    assert heard_again(english, Measure(number, "celsius"), "{}", digits=False) == (
        Decimal(number),
        "celsius",
    )


@given(DECIMALS)
def test_a_twin_is_another_quantity_of_the_same_grammar(english: Grammar, number: Decimal) -> None:
    """What could be misheard could also be meant: both can be said."""
    other = twin(str(number))
    if other is not None:
        assert heard_again(english, Measure(other, "litre"), "{}", digits=False) == (Decimal(other), "litre")


@pytest.mark.full
def test_every_hundredth_from_nothing_to_a_thousand_litres(english: Grammar) -> None:
    """All 99,999 of them."""
    for hundredths in range(1, 100_000):
        number = Decimal(hundredths) / 100
        assert heard_again(english, Measure(str(number), "litre"), "{}", digits=False) == (number, "litre")
