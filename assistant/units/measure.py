"""A measure as it was spoken, and what can be done with it without losing a digit.

`Measure` is the only form in which numbers travel between rooms: a decimal string and a unit name.
Converting, adding and comparing use exact fractions; only `quantity` leaves for floating point, where
the reckoning needs roots, logarithms and uncertainties.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import cache
from typing import Any, TypeAlias

from pint import UnitRegistry

from assistant.errors import WrongInput
from assistant.units.table import kind_of, settled, symbol_of, unit_of

UNITS: UnitRegistry[Any] = UnitRegistry()
"""The one registry of the application: quantities of two registries do not mix."""

Quantity: TypeAlias = Any
"""A pint quantity of `UNITS`; its magnitude is a float or a number with uncertainty."""

_DECIMAL = re.compile(r"-?\d+(\.\d+)?\Z", re.ASCII)
_DIGITS = 15
"""Significant digits kept of a fraction that has no finite decimal form."""


@dataclass(frozen=True, slots=True)
class Measure:
    """An exact decimal number with its unit; raises WrongInput for another text or an unknown unit."""

    value: str
    unit: str

    def __post_init__(self) -> None:
        """Refuse exponents, signs, blanks, infinities: what is stored must read the same everywhere."""
        if not _DECIMAL.match(self.value):
            raise WrongInput(f"'{self.value}' is not a plain decimal number such as 4.6 or -0.2")
        unit_of(self.unit)

    def __str__(self) -> str:
        """Return number and symbol, as on paper."""
        return f"{self.value} {symbol_of(self.unit)}".rstrip()

    @property
    def exact(self) -> Fraction:
        """The number alone, exact."""
        return Fraction(self.value)


def measured(number: Fraction | Decimal | int, unit: str) -> Measure:
    """Return `number` of `unit` with a canonical decimal string: no exponent, no trailing zeros.

    A fraction without finite decimal form is rounded to 15 significant digits.
    """
    return Measure(plain(Fraction(number)), unit)


def plain(number: Fraction, digits: int | None = None) -> str:
    """Return `number` as a plain decimal string, exact where that is finite, else to `digits` (15)."""
    rest = number.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    with localcontext() as context:
        context.prec = digits or (60 if rest == 1 else _DIGITS)
        decimal = Decimal(number.numerator) / Decimal(number.denominator)
    text = format(decimal, "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _insist(unit: str) -> None:
    """Refuse a unit of which nobody has said which one it is."""
    if not settled(unit):
        which = " or ".join(unit_of(unit).choices)
        raise WrongInput(f"'{unit}' is not settled: say {which}")


def _base(given: Measure) -> Fraction:
    """Return the number in the first unit of its kind."""
    _insist(given.unit)
    unit = unit_of(given.unit)
    return (given.exact + unit.shift) * unit.size


def convert(given: Measure, unit: str) -> Measure:
    """Return `given` in `unit`, exact; raises WrongInput for another kind or an unsettled unit."""
    _insist(given.unit)
    _insist(unit)
    if given.unit == unit:
        return given
    if kind_of(given.unit) != kind_of(unit):
        raise WrongInput(
            f"{given.unit} is a {kind_of(given.unit)}, {unit} a {kind_of(unit)}: they do not convert"
        )
    goal = unit_of(unit)
    return measured(_base(given) / goal.size - goal.shift, unit)


def compare(one: Measure, other: Measure) -> int:
    """Return -1, 0 or 1 as `one` is less than, equal to or more than `other`; same kind only."""
    if kind_of(one.unit) != kind_of(other.unit):
        raise WrongInput(f"{one.unit} cannot be compared with {other.unit}")
    left, right = _base(one), _base(other)
    return (left > right) - (left < right)


def add(one: Measure, other: Measure) -> Measure:
    """Return the sum in the unit of `one`; temperatures have no sum (WrongInput)."""
    if kind_of(one.unit) == "temperature":
        raise WrongInput("two temperatures have no sum; a difference has")
    return measured(one.exact + convert(other, one.unit).exact, one.unit)


def total(parts: Iterable[Measure], unit: str) -> Measure:
    """Return the sum of `parts` in `unit`; nothing at all is zero."""
    summed = Measure("0", unit)
    for part in parts:
        summed = add(summed, part)
    return summed


def subtract(one: Measure, other: Measure) -> Measure:
    """Return `one` less `other`, in the unit of `one`; of temperatures the difference in its own unit."""
    number = one.exact - convert(other, one.unit).exact
    if kind_of(one.unit) == "temperature":
        unit = "fahrenheit_difference" if one.unit == "fahrenheit" else "celsius_difference"
        return measured(number, unit)
    return measured(number, one.unit)


@cache
def _pint_unit(unit: str) -> Any:
    """Return the registry's unit for a settled `unit`."""
    return UNITS.parse_units(unit_of(unit).pint)


def pint_unit(unit: str) -> Any:
    """Return the registry's unit for `unit`; raises WrongInput when it is not settled."""
    _insist(unit)
    return _pint_unit(unit)


def quantity(given: Measure) -> Quantity:
    """Return `given` as a quantity of the one registry; raises WrongInput when its unit is not settled."""
    return UNITS.Quantity(float(given.exact), pint_unit(given.unit))
