"""Measures: exact definitions, the registry as second opinion, kinds kept apart, nothing guessed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import WrongInput
from assistant.grammar import meaning
from assistant.units import (
    UNITS,
    Measure,
    add,
    compare,
    convert,
    kind_of,
    measured,
    quantity,
    settled,
    subtract,
    system_of,
    total,
    unit_of,
    units_of,
)
from assistant.units.table import UNIT_TABLE

SPOKEN = (
    *meaning.VOLUME_UNITS,
    *meaning.TEMPERATURE_UNITS,
    *meaning.TORQUE_UNITS,
    *meaning.DURATION_UNITS,
    *meaning.LENGTH_UNITS,
    *meaning.DISTANCE_UNITS,
)
SETTLED = sorted(name for name in UNIT_TABLE if settled(name))
PAIRS = sorted((one, other) for one in SETTLED for other in units_of(kind_of(one)))
NUMBERS = st.decimals(min_value=-9999, max_value=9999, places=3).map(
    lambda d: Measure(f"{d:f}", "litre").value
)

# Exact definitions: international yard and pound agreement, NIST SP 811 appendix B, UK Weights and
# Measures Act 1985 (gallon 4.54609 L); digits recomputed from 0.45359237, 0.0254, 9.80665.
DEFINITIONS = [
    ("1", "pound_foot", "newton_metre", "1.3558179483314004"),
    ("1", "pound_inch", "newton_metre", "0.1129848290276167"),
    ("1", "kilogram_force_metre", "newton_metre", "9.80665"),
    ("1", "us_gallon", "litre", "3.785411784"),
    ("1", "us_quart", "litre", "0.946352946"),
    ("1", "us_pint", "litre", "0.473176473"),
    ("1", "us_fluid_ounce", "millilitre", "29.5735295625"),
    ("1", "imperial_gallon", "litre", "4.54609"),
    ("1", "imperial_quart", "litre", "1.1365225"),
    ("1", "imperial_pint", "litre", "0.56826125"),
    ("1", "imperial_fluid_ounce", "millilitre", "28.4130625"),
    ("212", "fahrenheit", "celsius", "100"),
    ("194", "fahrenheit", "celsius", "90"),
    ("-40", "fahrenheit", "celsius", "-40"),
    ("113", "fahrenheit", "celsius", "45"),
    ("37.5", "celsius", "fahrenheit", "99.5"),
    ("25", "millimetre", "centimetre", "2.5"),
    ("1", "mile", "kilometre", "1.609344"),
]


@pytest.mark.parametrize(("value", "unit", "goal", "expected"), DEFINITIONS)
def test_conversion_follows_the_exact_definition(value: str, unit: str, goal: str, expected: str) -> None:
    """A unit defined exactly converts without an error of its own."""
    assert convert(Measure(value, unit), goal) == Measure(expected, goal)


def test_psi_is_what_the_handbook_prints() -> None:
    """1 psi = 6.894757 kPa (NIST SP 811, appendix B, seven digits)."""
    assert float(convert(Measure("1", "psi"), "kilopascal").value) == pytest.approx(6.894757, abs=5e-7)


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_table_agrees_with_the_registry(one: str, other: str) -> None:
    """The registry, an independent table, gives the same conversion for every pair of one kind."""
    given_measure = Measure("3.7", one)

    ours = float(convert(given_measure, other).exact)

    theirs = quantity(given_measure).to(UNITS.parse_units(unit_of(other).pint)).magnitude
    assert theirs == pytest.approx(ours, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("name", SPOKEN)
def test_every_spoken_unit_is_known(name: str) -> None:
    """What the grammar may hear as a unit, the table has."""
    assert unit_of(name).kind


@pytest.mark.parametrize("name", ["quart", "pint", "gallon", "fluid_ounce", "degree"])
def test_an_unsettled_unit_is_never_guessed(name: str) -> None:
    """A bare quart is 20 % apart between US and imperial: nothing is computed from it."""
    assert not settled(name)
    assert system_of(name) == "open"
    with pytest.raises(WrongInput, match="not settled"):
        convert(Measure("4", name), units_of(kind_of(name))[0])
    with pytest.raises(WrongInput, match="not settled"):
        convert(Measure("4", units_of(kind_of(name))[0]), name)
    with pytest.raises(WrongInput, match="not settled"):
        quantity(Measure("4", name))
    with pytest.raises(WrongInput, match="not settled"):
        compare(Measure("4", name), Measure("4", name))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("newton_metre", "joule"),
        ("pound_foot", "foot_pound"),
        ("millimetre", "kilometre"),
        ("celsius", "celsius_difference"),
        ("litre", "kilogram"),
        ("centistokes", "millipascal_second"),
    ],
)
def test_kinds_do_not_mix(one: str, other: str) -> None:
    """Torque is no energy, a length no road, a temperature no difference, though dimensions agree."""
    with pytest.raises(WrongInput, match="do not convert"):
        convert(Measure("1", one), other)
    with pytest.raises(WrongInput):
        add(Measure("1", one), Measure("1", other))
    with pytest.raises(WrongInput, match="cannot be compared"):
        compare(Measure("1", one), Measure("1", other))


@pytest.mark.parametrize("text", ["", "1e3", "+4", "4.", ".5", "nan", "inf", "4,6", " 4", "4\n", "٤"])
def test_only_plain_decimals_are_numbers(text: str) -> None:
    """A number in a record reads the same everywhere."""
    with pytest.raises(WrongInput, match="plain decimal"):
        Measure(text, "litre")


def test_an_unknown_unit_is_refused() -> None:
    """A unit nobody defined is an error that lists the known ones."""
    with pytest.raises(WrongInput, match="known are"):
        Measure("1", "hogshead")


@settings(max_examples=40, deadline=None)
@given(number=NUMBERS, pair=st.sampled_from(PAIRS))
def test_there_and_back(number: str, pair: tuple[str, str]) -> None:
    """Converting and converting back returns the same number (to 12 digits where it has no end)."""
    one, other = pair

    back = convert(convert(Measure(number, one), other), one)

    assert float(back.exact) == pytest.approx(float(Fraction(number)), rel=1e-11, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(parts=st.lists(NUMBERS, max_size=6))
def test_a_sum_loses_nothing(parts: list[str]) -> None:
    """Decimal parts add up exactly, in any order."""
    measures = [Measure(part, "litre") for part in parts]

    assert total(measures, "litre").exact == sum((Fraction(p) for p in parts), Fraction(0))
    assert total(measures, "litre") == total(reversed(measures), "litre")


def test_sums_and_differences_of_mixed_units() -> None:
    """The unit of the first stays; temperatures differ in their own unit and have no sum."""
    assert add(Measure("4", "litre"), Measure("600", "millilitre")) == Measure("4.6", "litre")
    assert subtract(Measure("55", "celsius"), Measure("68", "fahrenheit")) == Measure(
        "35", "celsius_difference"
    )
    assert subtract(Measure("68", "fahrenheit"), Measure("0", "celsius")) == Measure(
        "36", "fahrenheit_difference"
    )
    with pytest.raises(WrongInput, match="no sum"):
        add(Measure("20", "celsius"), Measure("20", "celsius"))


def test_comparison_across_units() -> None:
    """A litre is more than a US quart and less than an imperial one."""
    assert compare(Measure("1", "litre"), Measure("1", "us_quart")) == 1
    assert compare(Measure("1", "litre"), Measure("1", "imperial_quart")) == -1
    assert compare(Measure("100", "celsius"), Measure("212.0", "fahrenheit")) == 0


def test_a_fraction_without_end_keeps_fifteen_digits() -> None:
    """A third is rounded once, at the fifteenth digit."""
    assert measured(Fraction(1, 3), "litre").value == "0.333333333333333"
    assert measured(Fraction(-1, 2), "litre").value == "-0.5"
    assert measured(40, "litre").value == "40"
