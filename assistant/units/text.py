"""From typed text to a measure: "4.2 L", "-0.2 l", "13 lbf ft", "90 %", "55 degC".

Common spellings come from a table; anything else is asked of the registry, and taken only when its
dimension leaves no choice of kind. A bare quart, pint, gallon or ounce, and a bare degree, are refused
with the question which one is meant.
"""

from __future__ import annotations

import re
from fractions import Fraction
from types import MappingProxyType

from pint import PintError

from assistant.errors import WrongInput
from assistant.units.measure import UNITS, Measure, pint_unit, plain
from assistant.units.table import UNIT_TABLE, choices, settled, symbol_of

_NUMBER = re.compile(r"\s*([-+\u2212]?)(\d+(?:[.,]\d+)?|[.,]\d+)\s*(.*)\Z", re.ASCII | re.DOTALL)
_POWER = r"[A-Za-zµ_]+(?:(?:\*\*|\^)-?[1-4])?"
_ASKABLE = re.compile(rf"{_POWER}(?:\s*[*/ ]\s*{_POWER}){{0,4}}\Z", re.ASCII)
"""What the registry may be asked: a product of names with small powers; its parser takes far more."""
_SPELLINGS = {
    "litre": "l litre litres liter liters ltr",
    "millilitre": "ml millilitre millilitres milliliter milliliters cc cm3 ccm",
    "us_quart": "usqt usquart usquarts qtus",
    "us_pint": "uspt uspint uspints",
    "us_gallon": "usgal usgallon usgallons",
    "us_fluid_ounce": "usfloz usoz usfluidounce usfluidounces usounce usounces",
    "imperial_quart": "impqt imperialquart imperialquarts ukqt ukquart",
    "imperial_pint": "imppt imperialpint imperialpints ukpt ukpint",
    "imperial_gallon": "impgal imperialgallon imperialgallons ukgal ukgallon",
    "imperial_fluid_ounce": "impfloz impoz imperialfluidounce imperialfluidounces imperialounce ukfloz",
    "quart": "qt qts quart quarts",
    "pint": "pt pts pint pints",
    "gallon": "gal gals gallon gallons",
    "fluid_ounce": "oz floz fluidounce fluidounces ounce ounces",
    "cup": "cup cups",
    "celsius": "c degc °c celsius degreescelsius degreecelsius centigrade",
    "fahrenheit": "f degf °f fahrenheit degreesfahrenheit degreefahrenheit",
    "kelvin": "k kelvin",
    "degree": "deg degree degrees °",
    "newton_metre": "nm newtonmetre newtonmetres newtonmeter newtonmeters",
    "pound_foot": "lbft lbfft ftlb ftlbf ftlbs lbsft footpound footpounds poundfoot poundfeet",
    "pound_inch": "lbin lbfin inlb inlbf inlbs lbsin inchpound inchpounds poundinch poundinches",
    "kilogram_force_metre": "kgfm kgm",
    "joule": "j joule joules",
    "second": "s sec secs second seconds",
    "minute": "min mins minute minutes",
    "hour": "h hr hrs hour hours",
    "day": "d day days",
    "month": "month months",
    "year": "year years yr yrs",
    "millimetre": "mm millimetre millimetres millimeter millimeters",
    "centimetre": "cm centimetre centimetres centimeter centimeters",
    "metre": "m metre metres meter meters",
    "inch": 'in inch inches "',
    "foot": "ft foot feet",
    "kilometre": "km kilometre kilometres kilometer kilometers",
    "mile": "mi mile miles",
    "square_metre": "m2 m² sqm",
    "square_centimetre": "cm2 cm²",
    "square_millimetre": "mm2 mm²",
    "square_inch": "in2 in² sqin",
    "square_foot": "ft2 ft² sqft",
    "kilogram": "kg",
    "gram": "g",
    "kilogram_per_cubic_metre": "kg/m3 kg/m³",
    "gram_per_millilitre": "g/ml g/cm3 g/cc kg/l",
    "centistokes": "cst centistokes mm2/s mm²/s",
    "bar": "bar",
    "kilopascal": "kpa",
    "psi": "psi",
    "newton": "n",
    "kilonewton": "kn",
    "percent": "% percent pct",
    "one": "",
    "litre_per_minute": "l/min",
    "millilitre_per_minute": "ml/min",
    "litre_per_day": "l/d l/day",
    "per_minute": "1/min",
    "angle_degree": "arcdeg arcdegree",
}
_BY_SPELLING = MappingProxyType(
    {spelling: unit for unit, spellings in _SPELLINGS.items() for spelling in (spellings.split(" "))}
    | {name.replace("_", ""): name for name in UNIT_TABLE}
)
_BARE = {s: unit for unit in ("quart", "pint", "gallon", "fluid_ounce") for s in _SPELLINGS[unit].split(" ")}


def read_unit(text: str) -> str:
    """Return the unit name for a typed unit; raises WrongInput when unknown or not settled."""
    squeezed = re.sub(r"[\s_.·*-]", "", text).lower()
    name = _BY_SPELLING.get(squeezed)
    if name is None:
        raise WrongInput(f"unit '{text.strip()}' is not known")
    if not settled(name):
        which = " or ".join(f"'{symbol_of(choice)}'" for choice in choices(name))
        raise WrongInput(f"'{text.strip()}' could be several: which one, {which}?")
    return name


def read_measure(text: str) -> Measure:
    """Return the measure a typed text names; a bare number has the unit 'one'.

    Raises WrongInput: no number, an unknown unit, a unit that is not settled.
    """
    match = _NUMBER.match(text)
    if match is None:
        raise WrongInput(f"'{text.strip()}' does not begin with a number; write it like 4.2 L")
    sign, digits, unit = match.groups()
    if re.fullmatch(r"\d*,\d{3}", digits):
        raise WrongInput(f"'{digits}' could be thousands: write it with a decimal point or without the comma")
    digits = digits.replace(",", ".")
    digits = f"0{digits}" if digits.startswith(".") else digits
    number = f"-{digits}" if sign in ("-", "\u2212") else digits
    try:
        return Measure(number, read_unit(unit))
    except WrongInput as unknown:
        found = _ask_registry(Fraction(number), unit)
        if found is None:
            raise unknown
        return found


def _ask_registry(number: Fraction, text: str) -> Measure | None:
    """Return the measure by the registry's knowledge of `text`, or None where it leaves a choice."""
    words = re.findall(r"[a-z]+", text.lower())
    if any(word in _BARE for word in words) or not _ASKABLE.match(text.strip()):
        return None
    try:
        unit = UNITS.parse_units(text.strip())
        if any(_customary_volume(name) for name in unit._units):
            return None
        kinds = {
            entry.kind: name
            for name, entry in UNIT_TABLE.items()
            if not entry.choices and pint_unit(name).is_compatible_with(unit) and entry.size == 1
        }
        if len(kinds) != 1:
            return None
        goal = next(iter(kinds.values()))
        value = UNITS.Quantity(float(number), unit).to(pint_unit(goal)).magnitude
    except (PintError, ValueError, TypeError, AttributeError, KeyError, AssertionError):
        return None
    return Measure(plain(Fraction(format(float(value), ".12g"))), goal)


def _customary_volume(name: str) -> bool:
    """Return whether a single unit is a volume other than the litre: such names differ by country."""
    return not name.endswith("liter") and UNITS.get_dimensionality(name) == {"[length]": 3}
