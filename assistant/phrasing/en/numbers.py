"""Numbers, measures and lengths of time as English words, as they are spoken in a read-back.

The speech engine is given words only: it misreads decimals and unit signs when left to itself. What is
spoken here, heard again, is the same quantity. Decimals are said digit by digit, zero is "nought"
("oh" is a letter and a sigh, and is never spoken), and a number whose -teen or -ty ending has a
sound-alike can be said digit by digit throughout ("three five"), as radio telephony says figures.
"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Literal

from assistant.errors import WrongInput
from assistant.units.measure import Measure

Style = Literal["plain", "digits"]

_DIGITS = ("nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TEENS = (
    "ten", "eleven", "twelve", "thirteen", "fourteen",
    "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")

UNIT_WORDS: dict[str, tuple[str, str]] = {
    "litre": ("litre", "litres"),
    "millilitre": ("millilitre", "millilitres"),
    "us_quart": ("US quart", "US quarts"),
    "imperial_quart": ("imperial quart", "imperial quarts"),
    "quart": ("quart", "quarts"),
    "us_pint": ("US pint", "US pints"),
    "imperial_pint": ("imperial pint", "imperial pints"),
    "pint": ("pint", "pints"),
    "us_gallon": ("US gallon", "US gallons"),
    "imperial_gallon": ("imperial gallon", "imperial gallons"),
    "gallon": ("gallon", "gallons"),
    "us_fluid_ounce": ("US fluid ounce", "US fluid ounces"),
    "imperial_fluid_ounce": ("imperial fluid ounce", "imperial fluid ounces"),
    "fluid_ounce": ("fluid ounce", "fluid ounces"),
    "cup": ("cup", "cups"),
    "celsius": ("degree Celsius", "degrees Celsius"),
    "fahrenheit": ("degree Fahrenheit", "degrees Fahrenheit"),
    "degree": ("degree", "degrees"),
    "newton_metre": ("newton metre", "newton metres"),
    "pound_foot": ("foot pound", "foot pounds"),
    "pound_inch": ("inch pound", "inch pounds"),
    "second": ("second", "seconds"),
    "minute": ("minute", "minutes"),
    "hour": ("hour", "hours"),
    "millimetre": ("millimetre", "millimetres"),
    "centimetre": ("centimetre", "centimetres"),
    "kilometre": ("kilometre", "kilometres"),
    "mile": ("mile", "miles"),
    "percent": ("percent", "percent"),
}
"""Unit name -> (singular, plural) as spoken."""
ONLY_SPOKEN: dict[str, tuple[str, str]] = {
    "one": ("", ""),
    "centistokes": ("centistokes", "centistokes"),
    "square_centimetre": ("square centimetre", "square centimetres"),
    "square_millimetre": ("square millimetre", "square millimetres"),
    "square_metre": ("square metre", "square metres"),
    "square_inch": ("square inch", "square inches"),
    "square_foot": ("square foot", "square feet"),
    "kilogram_per_cubic_metre": ("kilogram per cubic metre", "kilograms per cubic metre"),
    "gram_per_millilitre": ("gram per millilitre", "grams per millilitre"),
    "metre": ("metre", "metres"),
    "inch": ("inch", "inches"),
    "foot": ("foot", "feet"),
    "kelvin": ("kelvin", "kelvin"),
    "kilogram_force_metre": ("kilogram force metre", "kilogram force metres"),
    "month": ("month", "months"),
    "year": ("year", "years"),
    "kilonewton": ("kilonewton", "kilonewtons"),
    "millilitre_per_minute": ("millilitre a minute", "millilitres a minute"),
    "celsius_difference": ("degree Celsius", "degrees Celsius"),
    "fahrenheit_difference": ("degree Fahrenheit", "degrees Fahrenheit"),
}
"""Units the assistant says and never hears: what is told in them settles the unit by its sentence."""

SECOND_MS, MINUTE_MS, HOUR_MS = 1_000, 60_000, 3_600_000


def number_words(value: str, style: Style = "plain") -> str:
    """Return the decimal string `value` (below ten million) in words; trailing zeros are not spoken.

    `digits` says the whole part digit by digit, too, and so is a million and more. Raises `WrongInput`
    for what is no such number.
    """
    sign, whole, decimals = _parts(value)
    words = [] if not sign else ["minus"]
    if style == "digits" or len(whole) > 6:
        words += [_DIGITS[int(digit)] for digit in whole]
    else:
        words.append(_whole_words(int(whole)))
    if decimals:
        words += ["point", *(_DIGITS[int(digit)] for digit in decimals)]
    return " ".join(words)


def measure_words(measure: Measure, digits: bool = False) -> str:
    """Return a measure in words, number and unit; raises `WrongInput` for a unit that has no words."""
    known = UNIT_WORDS.get(measure.unit) or ONLY_SPOKEN.get(measure.unit)
    if known is None:
        raise WrongInput(f"no words for the unit {measure.unit!r}; known: {', '.join(UNIT_WORDS)}")
    singular, plural = known
    unit = singular if _parts(measure.value)[1:] == ("1", "") else plural
    return f"{number_words(measure.value, 'digits' if digits else 'plain')} {unit}".rstrip()


def duration_words(ms: int) -> str:
    """Return a length of time in words: "forty seconds", "six minutes forty", "one hour twelve minutes".

    To the second below one hour, to the minute from there.
    """
    if ms < SECOND_MS / 2:
        return "less than a second"
    seconds = (ms + SECOND_MS // 2) // SECOND_MS
    minutes, rest = divmod(seconds, 60)
    if minutes == 0:
        return _counted(rest, "second")
    if minutes < 60:
        return _counted(minutes, "minute") + (f" {_whole_words(rest)}" if rest else "")
    hours, left = divmod((ms + MINUTE_MS // 2) // MINUTE_MS, 60)
    return _counted(hours, "hour") + (f" {_counted(left, 'minute')}" if left else "")


def echoed_duration_words(ms: int) -> str:
    """Return a length of time just heard: `duration_words`, but "one five minutes" where it sounds alike."""
    seconds = (ms + SECOND_MS // 2) // SECOND_MS
    minutes, rest = divmod(seconds, 60)
    count, unit = (minutes, "minutes") if minutes else (rest, "seconds")
    alone = minutes < 60 and (not minutes or not rest)
    if alone and is_teen_or_ty(str(count)):
        return f"{number_words(str(count), 'digits')} {unit}"
    return duration_words(ms)


def rough_duration_words(ms: int) -> str:
    """Return a length of time as told in passing: seconds below 90 of them, minutes below 90, then hours."""
    if ms < 90 * SECOND_MS:
        return _counted(max(1, (ms + SECOND_MS // 2) // SECOND_MS), "second")
    if ms < 90 * MINUTE_MS:
        return _counted((ms + MINUTE_MS // 2) // MINUTE_MS, "minute")
    return _counted((ms + HOUR_MS // 2) // HOUR_MS, "hour")


def later_words(ms: int) -> str:
    """Return the announcement of a wait that was cut short: "twelve minutes later"."""
    return f"{rough_duration_words(ms)} later"


def clock_words(hour: int, minute: int) -> str:
    """Return a time of day by 24 hours: "fourteen hundred", "nine nought five", "fourteen thirty five"."""
    if not (0 <= hour < 24 and 0 <= minute < 60):
        raise WrongInput(f"{hour}:{minute} is no time of day")
    if minute == 0:
        return f"{_whole_words(hour)} hundred"
    spoken = f"nought {_DIGITS[minute]}" if minute < 10 else _whole_words(minute)
    return f"{_whole_words(hour)} {spoken}"


def is_teen_or_ty(value: str) -> bool:
    """Tell whether the words of `value` hold a -teen or a bare -ty that is easily heard as the other."""
    return twin(value) is not None


def twin(value: str) -> str | None:
    """Return the number that `value` is easily taken for (13 and 30, 115 and 150, 13.5 and 30.5), or None.

    Only the whole part can have a twin: decimals are said digit by digit. In a number with thousands
    the leading group decides.
    """
    sign, whole, decimals = _parts(value)
    groups = list(divmod(int(whole), 1000))
    for place, group in enumerate(groups):
        hundreds, rest = divmod(group, 100)
        swapped = _swapped(rest)
        if swapped is not None:
            groups[place] = hundreds * 100 + swapped
            other = str(groups[0] * 1000 + groups[1])
            return sign + other + (f".{decimals}" if decimals else "")
    return None


def _swapped(below_hundred: int) -> int | None:
    """13..19 and 30..90 by tens, each to its sound-alike."""
    if 13 <= below_hundred <= 19:
        return (below_hundred - 10) * 10
    if below_hundred >= 30 and below_hundred % 10 == 0:
        return 10 + below_hundred // 10
    return None


def _parts(value: str) -> tuple[str, str, str]:
    """Return sign, whole digits and decimals (without trailing zeros) of a decimal string."""
    try:
        number = Decimal(value)
    except InvalidOperation:
        raise WrongInput(f"{value!r} is no decimal number") from None
    if not number.is_finite() or abs(number) >= 10_000_000:
        raise WrongInput(f"{value!r} cannot be spoken; numbers stay below ten million")
    whole, _, decimals = f"{abs(number):f}".partition(".")
    return "-" if number < 0 else "", str(int(whole)), decimals.rstrip("0")


def _whole_words(number: int) -> str:
    thousands, rest = divmod(number, 1000)
    hundreds, below = divmod(rest, 100)
    words = [] if not thousands else [_whole_words(thousands), "thousand"]
    if hundreds:
        words += [_DIGITS[hundreds], "hundred"]
    if below or not words:
        if words:
            words.append("and")
        words.append(_below_hundred(below))
    return " ".join(words)


def _below_hundred(number: int) -> str:
    if number < 10:
        return _DIGITS[number]
    if number < 20:
        return _TEENS[number - 10]
    tens, ones = divmod(number, 10)
    return _TENS[tens] + (f" {_DIGITS[ones]}" if ones else "")


def _counted(count: int, unit: str) -> str:
    return f"{_whole_words(count)} {unit}{'' if count == 1 else 's'}"
