"""Rounding for speech: steps are common practice, no source; the rule about doubt is a property."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.units import Measure, for_speech

CASES = [
    ("4.678", "litre", "4.7", "litre"),
    ("-0.21", "litre", "-0.2", "litre"),
    ("0.63", "litre", "0.65", "litre"),
    ("0.97", "litre", "0.95", "litre"),
    ("0.98", "litre", "1", "litre"),
    ("0.0096", "litre", "10", "millilitre"),
    ("0", "litre", "0", "litre"),
    ("9.6", "millilitre", "10", "millilitre"),
    ("3.4", "millilitre", "3", "millilitre"),
    ("473", "millilitre", "450", "millilitre"),
    ("7.4999", "us_quart", "7.5", "us_quart"),
    ("55.4", "celsius", "55", "celsius"),
    ("112.5", "fahrenheit", "113", "fahrenheit"),
    ("143.7", "newton_metre", "144", "newton_metre"),
    ("7.91", "newton_metre", "7.9", "newton_metre"),
    ("8.84", "pound_foot", "8.8", "pound_foot"),
    ("9.96", "newton_metre", "10", "newton_metre"),
    ("7.78", "percent", "8", "percent"),
    ("0.47", "percent", "0.5", "percent"),
    ("5.6", "second", "6", "second"),
    ("123456", "kilometre", "123500", "kilometre"),
    ("19.96", "centistokes", "20", "centistokes"),
]


@pytest.mark.parametrize(("value", "unit", "said", "said_unit"), CASES)
def test_rounded_as_it_would_be_said(value: str, unit: str, said: str, said_unit: str) -> None:
    """A tenth of a litre, whole degrees, whole newton metres from ten up."""
    assert for_speech(Measure(value, unit)) == Measure(said, said_unit)


@pytest.mark.parametrize(
    ("value", "plus_minus", "said"),
    [("4.678", "0.01", "4.7"), ("4.678", "0.06", "4.7"), ("4.678", "0.25", "4.7"), ("4.678", "0.6", "4.5")],
)
def test_doubt_coarsens(value: str, plus_minus: str, said: str) -> None:
    """A figure known to half a litre is not said to the tenth."""
    assert for_speech(Measure(value, "litre"), Measure(plus_minus, "litre")) == Measure(said, "litre")


def test_doubt_of_a_temperature_is_a_difference() -> None:
    """A plus-minus in degrees is a difference; a temperature in its place is refused."""
    assert for_speech(Measure("73.2", "celsius"), Measure("9", "fahrenheit_difference")).value == "75"
    with pytest.raises(WrongInput):
        for_speech(Measure("73.2", "celsius"), Measure("5", "celsius"))


def test_doubt_never_makes_it_nothing() -> None:
    """Where the doubt is larger than the figure, the usual step stays."""
    assert for_speech(Measure("0.2", "litre"), Measure("3", "litre")) == Measure("0.2", "litre")


@settings(max_examples=60, deadline=None)
@given(
    number=st.decimals(min_value=-50, max_value=50, places=3),
    doubt=st.decimals(min_value=0, max_value=5, places=3),
    unit=st.sampled_from(["litre", "us_quart", "imperial_pint", "newton_metre", "us_gallon"]),
)
def test_rounding_adds_no_more_than_the_doubt_or_half_a_step(
    number: object, doubt: object, unit: str
) -> None:
    """The error of rounding stays within the doubt, or within half the usual step; twice changes nothing."""
    given_measure = Measure(f"{number:f}", unit)

    said = for_speech(given_measure, Measure(f"{doubt:f}", unit))

    usual = Fraction(1, 2) if abs(given_measure.exact) >= 9 else Fraction(1, 20)
    if said.unit == unit:
        assert abs(said.exact - given_measure.exact) <= max(Fraction(str(doubt)) / 2, usual)
        assert for_speech(said, Measure(f"{doubt:f}", unit)) == said
