"""The table of units: every unit a measure may carry, its kind, exact size, system and symbol.

A kind is finer than a dimension: torque is not energy, a temperature is not a temperature
difference, a length under the vehicle is not a distance on the road. Only units of one kind convert
into one another. Sizes are exact by definition (international inch and pound, standard gravity,
litre = dm3, US gallon = 231 in3, imperial gallon = 4.54609 L), kept as fractions so that converting
adds no error of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from assistant.errors import WrongInput

_POUND = Fraction("0.45359237")  # kg
_INCH = Fraction("0.0254")  # m
_GRAVITY = Fraction("9.80665")  # m/s2
_US_GALLON = 231 * _INCH**3 * 1000  # L
_IMPERIAL_GALLON = Fraction("4.54609")  # L
_POUND_FOOT = _POUND * _GRAVITY * 12 * _INCH  # N m


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: value in the kind's first unit = (value + shift) * size."""

    kind: str
    size: Fraction = Fraction(1)
    shift: Fraction = Fraction(0)
    symbol: str = ""
    pint: str = ""
    """Its name in the registry; empty for a unit that is not settled."""
    system: str = "metric"
    """metric, us, imperial, customary (the same in US and imperial), none, or open (not settled)."""
    choices: tuple[str, ...] = ()
    """What a unit that is not settled may stand for."""


def _volumes() -> dict[str, Unit]:
    """Return litre and millilitre, and the US and imperial measures; the bare names stay open."""
    shares = {
        "gallon": ("gal", "gallon", Fraction(1)),
        "quart": ("qt", "quart", Fraction(1, 4)),
        "pint": ("pt", "pint", Fraction(1, 8)),
    }
    units = {
        "litre": Unit("volume", symbol="L", pint="litre"),
        "millilitre": Unit("volume", Fraction(1, 1000), symbol="mL", pint="millilitre"),
    }
    for name, (symbol, pint, share) in shares.items():
        us, imperial = f"us_{name}", f"imperial_{name}"
        units[us] = Unit("volume", _US_GALLON * share, symbol=f"US {symbol}", pint=pint, system="us")
        units[imperial] = Unit(
            "volume",
            _IMPERIAL_GALLON * share,
            symbol=f"imp {symbol}",
            pint=f"imperial_{pint}",
            system="imperial",
        )
        units[name] = Unit("volume", symbol=symbol, system="open", choices=(us, imperial))
    units["us_fluid_ounce"] = Unit(
        "volume", _US_GALLON / 128, symbol="US fl oz", pint="fluid_ounce", system="us"
    )
    units["imperial_fluid_ounce"] = Unit(
        "volume",
        _IMPERIAL_GALLON / 160,
        symbol="imp fl oz",
        pint="imperial_fluid_ounce",
        system="imperial",
    )
    units["fluid_ounce"] = Unit(
        "volume", symbol="fl oz", system="open", choices=("us_fluid_ounce", "imperial_fluid_ounce")
    )
    # A cup is said of spills: an estimate whoever says it. The US cup is meant (236.6 mL; the others
    # in use are 227 to 284 mL, within what an estimate is worth).
    units["cup"] = Unit("volume", _US_GALLON / 16, symbol="cup", pint="cup", system="us")
    return units


_TABLE: dict[str, Unit] = {
    **_volumes(),
    "celsius": Unit("temperature", symbol="°C", pint="degC"),
    "fahrenheit": Unit(
        "temperature", Fraction(5, 9), Fraction(-32), symbol="°F", pint="degF", system="customary"
    ),
    "kelvin": Unit("temperature", Fraction(1), Fraction("-273.15"), symbol="K", pint="kelvin"),
    "degree": Unit("temperature", symbol="°", system="open", choices=("celsius", "fahrenheit")),
    "celsius_difference": Unit("temperature_difference", symbol="°C", pint="delta_degC"),
    "fahrenheit_difference": Unit(
        "temperature_difference", Fraction(5, 9), symbol="°F", pint="delta_degF", system="customary"
    ),
    "newton_metre": Unit("torque", symbol="N m", pint="newton * metre"),
    "pound_foot": Unit("torque", _POUND_FOOT, symbol="lbf ft", pint="force_pound * foot", system="customary"),
    "pound_inch": Unit(
        "torque", _POUND_FOOT / 12, symbol="lbf in", pint="force_pound * inch", system="customary"
    ),
    "kilogram_force_metre": Unit("torque", _GRAVITY, symbol="kgf m", pint="force_kilogram * metre"),
    "joule": Unit("energy", symbol="J", pint="joule"),
    "foot_pound": Unit("energy", _POUND_FOOT, symbol="ft lbf", pint="foot_pound", system="customary"),
    "second": Unit("duration", symbol="s", pint="second", system="none"),
    "minute": Unit("duration", Fraction(60), symbol="min", pint="minute", system="none"),
    "hour": Unit("duration", Fraction(3600), symbol="h", pint="hour", system="none"),
    "day": Unit("duration", Fraction(86_400), symbol="d", pint="day", system="none"),
    "month": Unit("months", symbol="months", pint="month", system="none"),
    "year": Unit("months", Fraction(12), symbol="years", pint="year", system="none"),
    "millimetre": Unit("length", symbol="mm", pint="millimetre"),
    "centimetre": Unit("length", Fraction(10), symbol="cm", pint="centimetre"),
    "metre": Unit("length", Fraction(1000), symbol="m", pint="metre"),
    "inch": Unit("length", _INCH * 1000, symbol="in", pint="inch", system="customary"),
    "foot": Unit("length", _INCH * 12_000, symbol="ft", pint="foot", system="customary"),
    "kilometre": Unit("distance", symbol="km", pint="kilometre"),
    "mile": Unit("distance", _INCH * 12 * 5280 / 1000, symbol="mi", pint="mile", system="customary"),
    "square_millimetre": Unit("area", Fraction(1, 10**6), symbol="mm²", pint="millimetre ** 2"),
    "square_centimetre": Unit("area", Fraction(1, 10**4), symbol="cm²", pint="centimetre ** 2"),
    "square_metre": Unit("area", symbol="m²", pint="metre ** 2"),
    "square_inch": Unit("area", _INCH**2, symbol="in²", pint="inch ** 2", system="customary"),
    "square_foot": Unit("area", (12 * _INCH) ** 2, symbol="ft²", pint="foot ** 2", system="customary"),
    "gram": Unit("mass", Fraction(1, 1000), symbol="g", pint="gram"),
    "kilogram": Unit("mass", symbol="kg", pint="kilogram"),
    "kilogram_per_cubic_metre": Unit("density", symbol="kg/m³", pint="kilogram / metre ** 3"),
    "gram_per_millilitre": Unit("density", Fraction(1000), symbol="g/mL", pint="gram / millilitre"),
    "centistokes": Unit("viscosity", symbol="cSt", pint="centistokes"),
    "millipascal_second": Unit("dynamic_viscosity", symbol="mPa s", pint="millipascal * second"),
    "bar": Unit("pressure", symbol="bar", pint="bar"),
    "kilopascal": Unit("pressure", Fraction(1, 100), symbol="kPa", pint="kilopascal"),
    "psi": Unit(
        "pressure",
        _POUND * _GRAVITY / _INCH**2 / 100_000,
        symbol="psi",
        pint="force_pound / inch ** 2",
        system="customary",
    ),
    "newton": Unit("force", symbol="N", pint="newton"),
    "kilonewton": Unit("force", Fraction(1000), symbol="kN", pint="kilonewton"),
    "millilitre_per_minute": Unit("flow", symbol="mL/min", pint="millilitre / minute"),
    "litre_per_minute": Unit("flow", Fraction(1000), symbol="L/min", pint="litre / minute"),
    "litre_per_day": Unit("flow", Fraction(1000, 1440), symbol="L/d", pint="litre / day"),
    "percent": Unit("share", symbol="%", pint="percent", system="none"),
    "one": Unit("number", symbol="", pint="dimensionless", system="none"),
    "per_minute": Unit("rate", symbol="1/min", pint="1 / minute", system="none"),
    "per_kelvin": Unit("expansion", symbol="1/K", pint="1 / delta_degC"),
    "angle_degree": Unit("angle", symbol="°", pint="arcdegree", system="none"),
}

UNIT_TABLE: Mapping[str, Unit] = MappingProxyType(_TABLE)
"""Unit name -> unit. The first unit of a kind with size 1 is the one the sizes refer to."""


def unit_of(name: str) -> Unit:
    """Return the unit called `name`; raises WrongInput when there is none."""
    try:
        return UNIT_TABLE[name]
    except KeyError:
        raise WrongInput(f"unit '{name}' is not known; known are {', '.join(sorted(UNIT_TABLE))}") from None


def kind_of(unit: str) -> str:
    """Return the kind of `unit`: volume, temperature, torque, duration, length, distance, share, ..."""
    return unit_of(unit).kind


def settled(unit: str) -> bool:
    """Return whether `unit` says which one it is (a bare quart, pint, gallon, ounce or degree does not)."""
    return not unit_of(unit).choices


def choices(unit: str) -> tuple[str, ...]:
    """Return what an unsettled `unit` may stand for; empty for a settled one."""
    return unit_of(unit).choices


def system_of(unit: str) -> str:
    """Return metric, us, imperial, customary (same in both), none (no system), or open (not settled)."""
    return unit_of(unit).system


def symbol_of(unit: str) -> str:
    """Return the written symbol of `unit`; it names US or imperial where they differ."""
    return unit_of(unit).symbol


def units_of(kind: str) -> tuple[str, ...]:
    """Return the settled units of `kind`, in the order of the table."""
    return tuple(name for name, unit in UNIT_TABLE.items() if unit.kind == kind and not unit.choices)
