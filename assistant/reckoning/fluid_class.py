"""Class tables of the open standards: is this fluid of the class the sheet asks for?

Gear oils SAE J306 (2019) and engine oils SAE J300 (2015) by the viscosity at 100 °C, industrial oils
ISO 3448 by the viscosity at 40 °C (midpoint +-10 %). Lower limits belong to a class, upper ones do not
(ISO: both do). Winter grades (75W, 10W) have a lower limit only; their cold limits are not checked.
A double grade (75W-90) needs both. Some engine grades overlap below 8.2 cSt: the class is not unique.
Raises WrongInput naming the key. Sources: the standards' tables as printed on public pages.
"""

from __future__ import annotations

from fractions import Fraction

from assistant.reckoning.figure import Formula, Verdict, told, verdict_of
from assistant.reckoning.given import checked, refuse
from assistant.units import Measure

GEAR = Formula("lower <= v(100 °C) < upper", "SAE J306 of 2019", "SAE J306 table as printed on public pages")
ENGINE = Formula(
    "lower <= v(100 °C) < upper", "SAE J300 of 2015", "SAE J300 table as printed on public pages"
)
INDUSTRIAL = Formula("0.9 VG <= v(40 °C) <= 1.1 VG", "ISO 3448", "ISO 3448 table as printed on public pages")

_Range = tuple[str, str | None]
_GEAR: dict[str, _Range] = {
    "70W": ("3.8", None),
    "75W": ("3.8", None),
    "80W": ("8.5", None),
    "85W": ("11", None),
    "65": ("3.8", "5"),
    "70": ("5", "6.5"),
    "75": ("6.5", "8.5"),
    "80": ("8.5", "11"),
    "85": ("11", "13.5"),
    "90": ("13.5", "18.5"),
    "110": ("18.5", "24"),
    "140": ("24", "32.5"),
    "190": ("32.5", "41"),
    "250": ("41", None),
}
_ENGINE: dict[str, _Range] = {
    "0W": ("3.8", None),
    "5W": ("3.8", None),
    "10W": ("4.1", None),
    "15W": ("5.6", None),
    "20W": ("5.6", None),
    "25W": ("9.3", None),
    "8": ("4", "6.1"),
    "12": ("5", "7.1"),
    "16": ("6.1", "8.2"),
    "20": ("6.9", "9.3"),
    "30": ("9.3", "12.5"),
    "40": ("12.5", "16.3"),
    "50": ("16.3", "21.9"),
    "60": ("21.9", "26.1"),
}
_VG = {
    "2": "2.2", "3": "3.2", "5": "4.6", "7": "6.8", "10": "10", "15": "15", "22": "22", "32": "32",
    "46": "46", "68": "68", "100": "100", "150": "150", "220": "220", "320": "320", "460": "460",
}  # fmt: skip
_TABLES = {"gear": (_GEAR, GEAR), "engine": (_ENGINE, ENGINE)}


def _ranges(table: str) -> tuple[dict[str, tuple[Fraction, Fraction | None, bool]], Formula, str]:
    """Return class -> (lower, upper, upper belongs), the formula, and the temperature of a table."""
    if table == "industrial":
        mids = {name: Fraction(mid) for name, mid in _VG.items()}
        return {n: (m * 9 / 10, m * 11 / 10, True) for n, m in mids.items()}, INDUSTRIAL, "40 °C"
    if table not in _TABLES:
        raise refuse("table", table, "allowed is gear (SAE J306), engine (SAE J300), industrial (ISO 3448)")
    rows, by = _TABLES[table]
    limits = {n: (Fraction(low), Fraction(high) if high else None, False) for n, (low, high) in rows.items()}
    return limits, by, "100 °C"


def classes_of(*, table: str, viscosity: Measure) -> tuple[str, ...]:
    """Return every class of `table` (gear, engine, industrial) that holds `viscosity`.

    The viscosity is that at 100 °C, for industrial oils at 40 °C. Winter grades come first.
    """
    limits, _, _ = _ranges(table)
    v = checked("viscosity", viscosity, "centistokes", "1", "100000").exact
    return tuple(
        name
        for name, (low, high, ends) in limits.items()
        if v >= low and (high is None or v < high or (ends and v == high))
    )


def of_class(*, table: str, grade: str, viscosity: Measure) -> Verdict:
    """Return 'of-class', 'too-thin' or 'too-thick' for a fluid against the `grade` the sheet asks for.

    A double grade such as 75W-90 needs both halves. `also`: 'least' and, where there is one, 'under'.
    """
    limits, by, _ = _ranges(table)
    halves = grade.upper().removeprefix("SAE ").removeprefix("ISO VG ").removeprefix("VG ").split("-")
    for half in halves:
        if half not in limits:
            raise refuse("grade", grade, f"allowed is {', '.join(limits)}, or two of them such as 75W-90")
    v = checked("viscosity", viscosity, "centistokes", "1", "100000").exact
    least = max(limits[half][0] for half in halves)
    tops = [(top, ends) for top, ends in ((limits[h][1], limits[h][2]) for h in halves) if top is not None]
    top, ends = min(tops) if tops else (None, False)
    word = "of-class"
    if v < least:
        word = "too-thin"
    elif top is not None and (v > top or (v == top and not ends)):
        word = "too-thick"
    plain = [half for half in classes_of(table=table, viscosity=viscosity) if not half.endswith("W")]
    notes = ("class-not-unique",) if len(plain) > 1 else ()
    also = [("least", Measure(_text(least), "centistokes"))]
    if top is not None:
        also.append(("under", Measure(_text(top), "centistokes")))
    inputs = told(table=table, grade=grade, viscosity=viscosity)
    return verdict_of("of-class", word, inputs=inputs, by=by, notes=notes, also=tuple(also))


def _text(number: Fraction) -> str:
    """Return a limit as its decimal string."""
    return format(float(number), "g")
