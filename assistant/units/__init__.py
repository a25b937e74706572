"""Units: the one registry, measures as they were spoken, conversion and rounding for speech.

Takes decimal strings with a spoken unit name; gives `Measure` values and pint quantities. Torque is
kept apart from energy by its kind, US from imperial by name; a bare quart, pint, gallon or fluid
ounce, and a bare degree, cannot be converted until somebody has settled which one is meant.
"""

from assistant.units.measure import (
    UNITS,
    Measure,
    Quantity,
    add,
    compare,
    convert,
    measured,
    pint_unit,
    plain,
    quantity,
    subtract,
    total,
)
from assistant.units.rounding import for_speech
from assistant.units.table import choices, kind_of, settled, symbol_of, system_of, unit_of, units_of
from assistant.units.text import read_measure, read_unit

__all__ = [
    "UNITS",
    "Measure",
    "Quantity",
    "add",
    "choices",
    "compare",
    "convert",
    "for_speech",
    "kind_of",
    "measured",
    "pint_unit",
    "plain",
    "quantity",
    "read_measure",
    "read_unit",
    "settled",
    "subtract",
    "symbol_of",
    "system_of",
    "total",
    "unit_of",
    "units_of",
]
