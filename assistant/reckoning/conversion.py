"""Conversion: an amount in another unit of its kind, exactly.

Quarts, pints, gallons and ounces are US or imperial and 20 % apart (ounces 4 %): never guessed. Sizes are
exact by definition (international inch and pound, US gallon 231 in³, imperial gallon 4.54609 L); a
temperature is taken as a point on its scale, so 0 °C are 32 °F. Torque is not energy and a torque only
becomes a torque. Numbers up to 10 million. Raises WrongInput naming the key. Source: the definitions.
"""

from __future__ import annotations

from assistant.reckoning.figure import Figure, Formula, exact_figure, told
from assistant.reckoning.given import refuse
from assistant.units import Measure, kind_of, settled, symbol_of, unit_of, units_of
from assistant.units import convert as exactly

CONVERT = Formula(
    "value * size of its unit / size of the other; temperatures with the zero of their scale",
    "units of one kind; up to 10 000 000",
    "exact definitions of the units",
)
_MOST = 10_000_000


def convert(*, amount: Measure, unit: str) -> Figure:
    """Return `amount` in another unit of its kind."""
    for key, one in (("amount", amount.unit), ("in", unit)):
        if not settled(one):
            given = amount if key == "amount" else symbol_of(one)
            raise refuse(key, given, f"say which: {' or '.join(unit_of(one).choices)}")
    kind = kind_of(amount.unit)
    if kind == "number":
        raise refuse("amount", amount, "it has no unit; allowed is a number with a unit, such as 4 L")
    if kind_of(unit) != kind:
        allowed = ", ".join(symbol_of(one) for one in units_of(kind) if settled(one))
        raise refuse("in", symbol_of(unit), f"amount is a {kind.replace('_', ' ')}, allowed is {allowed}")
    if abs(amount.exact) > _MOST:
        raise refuse("amount", amount, "allowed is up to 10 000 000")
    if kind == "temperature" and exactly(amount, "kelvin").exact < 0:
        raise refuse("amount", amount, "that is below absolute zero, -273.15 °C")
    return exact_figure(
        "convert",
        exactly(amount, unit),
        inputs=(*told(amount=amount), ("in", symbol_of(unit))),
        by=CONVERT,
    )
