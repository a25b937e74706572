"""Rounding for speech: what a mechanic would say and can act on.

The step depends on the unit and the size; an uncertainty coarsens it, never refines it: the step is
the widest of the ladder (1, 5, 10 ... times the usual step) that is at most the uncertainty, so that
rounding adds at most half of the doubt there was. Half goes away from zero. Steps are common
practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

from assistant.units.measure import Measure, convert, measured
from assistant.units.table import kind_of

_F = Fraction
_Steps = tuple[tuple[Fraction, Fraction], ...]


def _steps(*pairs: tuple[int | str, int | str]) -> _Steps:
    """Return (from this size up, step) pairs, smallest size first."""
    return tuple((_F(size), _F(step)) for size, step in pairs)


_TENTHS = _steps((0, "0.05"), (1, "0.1"), (100, 1))
_WHOLE_FROM_TEN = _steps((0, "0.1"), (10, 1))
_DISTANCE = _steps((0, 1), (100, 10), (1000, 100))
_BY_UNIT = MappingProxyType(
    {
        "litre": _TENTHS,
        "millilitre": _steps((0, 1), (10, 5), (100, 50), (1000, 100)),
        **dict.fromkeys(("us_quart", "imperial_quart", "us_pint", "imperial_pint"), _TENTHS),
        **dict.fromkeys(("us_gallon", "imperial_gallon"), _TENTHS),
        **dict.fromkeys(("us_fluid_ounce", "imperial_fluid_ounce"), _steps((0, "0.5"), (2, 1), (32, 2))),
        "cup": _steps((0, "0.5"), (4, 1)),
        "second": _steps((0, "0.5"), (3, 1), (60, 5)),
        "minute": _steps((0, "0.5"), (3, 1), (60, 5)),
        "hour": _steps((0, "0.5"), (12, 1)),
        "millimetre": _steps((0, "0.5"), (3, 1)),
        "per_minute": _steps((0, "0.0001")),
        "per_kelvin": _steps((0, "0.00001")),
        "gram_per_millilitre": _steps((0, "0.001")),
        "one": _steps((0, "0.01"), (1, "0.1"), (10, 1)),
        "litre_per_day": _steps((0, "0.1"), (10, 1)),
    }
)
_BY_KIND = MappingProxyType(
    {
        "temperature": _steps((0, 1)),
        "temperature_difference": _steps((0, 1)),
        "torque": _WHOLE_FROM_TEN,
        "distance": _DISTANCE,
        "share": _steps((0, "0.1"), (1, 1)),
        "viscosity": _steps((0, "0.1"), (20, 1)),
        "density": _steps((0, 1)),
        "months": _steps((0, 1)),
    }
)
_OTHER = _steps((0, "0.01"), (1, "0.1"), (10, 1), (1000, 10))
_LADDER = (1, 5)


def _step(unit: str, size: Fraction) -> Fraction:
    """Return the usual step at `size`."""
    steps = _BY_UNIT.get(unit) or _BY_KIND.get(kind_of(unit), _OTHER)
    found = steps[0][1]
    for above, step in steps:
        if size >= above:
            found = step
    return found


def _coarser(step: Fraction, limit: Fraction) -> Fraction:
    """Return the widest of step, 5 x, 10 x, 50 x ... that is at most `limit`, or the step itself."""
    decade = _F(1)
    found = step
    while True:
        for factor in _LADDER:
            wider = step * decade * factor
            if wider > limit:
                return found
            found = wider
        decade *= 10


def nearest(number: Fraction, step: Fraction) -> Fraction:
    """Return the multiple of `step` nearest to `number`; half goes away from zero."""
    whole = (abs(number) / step + _F(1, 2)).__floor__() * step
    return whole if number >= 0 else -whole


def for_speech(given: Measure, plus_minus: Measure | None = None) -> Measure:
    """Return `given` as it is said, in its own unit; litres under 0.05 become millilitres.

    `plus_minus` (same kind; for a temperature its difference) coarsens the step, but never
    beyond the figure itself, so that it is not coarsened to nothing.
    """
    if given.unit == "litre" and 0 < abs(given.exact) < _F("0.05"):
        return for_speech(convert(given, "millilitre"), plus_minus)
    number = given.exact
    step = _step(given.unit, abs(number))
    if plus_minus is not None:
        doubt = abs(convert(plus_minus, _doubt_unit(given.unit)).exact)
        step = _coarser(step, min(doubt, abs(number)))
    rounded = nearest(number, step)
    return measured(rounded, given.unit)


def _doubt_unit(unit: str) -> str:
    """Return the unit in which the uncertainty of a figure in `unit` is given."""
    if kind_of(unit) == "temperature":
        return "fahrenheit_difference" if unit == "fahrenheit" else "celsius_difference"
    return unit
