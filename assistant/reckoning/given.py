"""From what was said to a quantity with its doubt, refused with its key when it cannot be used.

How well a reading is known depends on what it was read with: a jug about 2 % or 10 mL, a thermometer
in the fluid 3 °C, a rule 1 mm, a watch 1 s (common practice, no source). Figures from the vehicle
sheet are taken as exact. An amount said with 'about', or in cups, is known to 30 %.
"""

from __future__ import annotations

from typing import Any

from uncertainties import ufloat

from assistant.errors import WrongInput
from assistant.units import UNITS, Measure, Quantity, convert, kind_of, pint_unit, settled, symbol_of, unit_of

_ABOUT = 0.30
_READ = {  # kind: (share of the value, at least, in this unit)
    "volume": (0.02, 0.01, "litre"),
    "temperature": (0.0, 3.0, "celsius"),
    "length": (0.0, 1.0, "millimetre"),
    "duration": (0.02, 1.0, "second"),
    "density": (0.0, 10.0, "kilogram_per_cubic_metre"),
    "viscosity": (0.03, 0.0, "centistokes"),
    "share": (0.0, 2.0, "percent"),
}


def refuse(key: str, given: object, why: str) -> WrongInput:
    """Return the error that names the key, what was given, and what is allowed."""
    return WrongInput(f"{key.replace('_', '-')}={given}: {why}")


def lacking(key: str, needed: str) -> WrongInput:
    """Return the error for a key that was not given: what it needs."""
    return WrongInput(f"{key.replace('_', '-')}: is needed, {needed}")


def checked(
    key: str,
    given: Measure,
    unit: str,
    low: str | None = None,
    high: str | None = None,
    *,
    above: bool = False,
) -> Measure:
    """Return `given` in `unit`, exact; raises WrongInput naming `key` outside low..high or of another kind.

    Bounds are in `unit` and belong to the range, except that `above` leaves `low` itself out.
    """
    if not settled(given.unit):
        raise refuse(key, given, f"say which: {' or '.join(unit_of(given.unit).choices)}")
    if kind_of(given.unit) != kind_of(unit):
        raise refuse(
            key, given, f"a {kind_of(unit).replace('_', ' ')} is needed, such as 1 {symbol_of(unit)}"
        )
    value = convert(given, unit)
    number = value.exact
    too_low = low is not None and (
        number < Measure(low, unit).exact or (above and number == Measure(low, unit).exact)
    )
    too_high = high is not None and number > Measure(high, unit).exact
    if too_low or too_high:
        symbol = symbol_of(unit)
        first = "" if low is None else f"{'more than' if above else 'from'} {low} {symbol}".rstrip()
        last = "" if high is None else f"up to {high} {symbol}".rstrip()
        raise refuse(key, given, f"allowed is {' '.join(part for part in (first, last) if part)}")
    return value


def exact(
    key: str,
    given: Measure,
    unit: str,
    low: str | None = None,
    high: str | None = None,
    *,
    above: bool = False,
) -> Quantity:
    """Return a figure that is taken as it stands (a sheet's capacity) as a quantity in `unit`."""
    value = checked(key, given, unit, low, high, above=above)
    return UNITS.Quantity(float(value.exact), pint_unit(unit))


def read(
    key: str,
    given: Measure,
    unit: str,
    low: str | None = None,
    high: str | None = None,
    *,
    above: bool = False,
    about: bool = False,
    share: float | None = None,
) -> Quantity:
    """Return a reading as a quantity in `unit` whose magnitude carries the doubt of its kind.

    `about` (or a cup) makes it known to 30 %; `share` sets the relative doubt instead.
    """
    value = float(checked(key, given, unit, low, high, above=above).exact)
    relative, least, least_unit = _READ[kind_of(unit)]
    least_here = float((UNITS.Quantity(least, _difference(least_unit))).to(_difference(unit)).magnitude)
    if about or given.unit == "cup":
        relative = _ABOUT
    if share is not None:
        relative = share
    return UNITS.Quantity(ufloat(value, max(abs(value) * relative, least_here)), pint_unit(unit))


def _difference(unit: str) -> Any:
    """Return the registry's unit for a spread in `unit`: of a temperature, its difference."""
    if kind_of(unit) == "temperature":
        return pint_unit("fahrenheit_difference" if unit == "fahrenheit" else "celsius_difference")
    return pint_unit(unit)


def uncertain(number: float, spread: float, unit: str) -> Quantity:
    """Return an assumed figure with its standard deviation as a quantity in `unit`."""
    return UNITS.Quantity(ufloat(number, spread), pint_unit(unit))


def plain_quantity(number: float, unit: str) -> Quantity:
    """Return an exact number of `unit` as a quantity."""
    return UNITS.Quantity(number, pint_unit(unit))


def telling_unit(unit: str | None, given: Measure) -> str:
    """Return the unit of volume an answer is told in: the one wanted, else that of `given`."""
    if unit is None:
        return speaking_unit(given)
    checked("in", Measure("1", unit), "litre")
    return unit


def speaking_unit(given: Measure) -> str:
    """Return the unit a volume computed from `given` is told in: its own, litres for the small ones."""
    return "litre" if given.unit in ("millilitre", "cup") else given.unit
