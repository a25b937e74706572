"""Due: when the next service falls, and what a drip on the floor amounts to.

Next service: distance now + interval, or date + months, whichever comes first; the yearly distance says
which. Leak: drop / interval, 86 400 s to the day; a drop of oil is 0.033 to 0.05 mL, so +-50 %.
Distances up to 3 million km, intervals up to 500 000 km and 240 months; drips 0.2 to 3600 s apart.
Dates are ISO texts (2027-05-31). Raises WrongInput naming the key. Sources: intervals come from the
vehicle's data; one drop a second is about 420 US gallons a year (a trade journal).
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta

from uncertainties import ufloat

from assistant.reckoning.figure import (
    Also,
    Figure,
    Formula,
    Verdict,
    exact_figure,
    figure_of,
    told,
    value_of,
    verdict_of,
)
from assistant.reckoning.given import checked, exact, lacking, refuse
from assistant.units import Measure, add, convert, measured

SERVICE = Formula(
    "distance now + interval, or date + months, whichever comes first",
    "up to 3 000 000 km, intervals up to 500 000 km or 240 months",
    "calendar arithmetic; intervals from the vehicle's data",
)
LEAK = Formula(
    "drop / interval",
    "0.2 to 3600 s between drops; +-50 %",
    "a drop is 0.033 to 0.05 mL (trade pages); pharmacopoeia 0.05 mL for water",
)
_HALF = ufloat(1.0, 0.5)


def at_distance(*, now: Measure, every: Measure) -> Figure:
    """Return the distance on the clock at which the next service is due."""
    checked("now", now, "kilometre", "0", "3000000")
    checked("every", every, "kilometre", "0", "500000", above=True)
    return exact_figure("due-at", add(now, every), inputs=told(now=now, every=every), by=SERVICE)


def day_of(key: str, text: str) -> date:
    """Return the date an ISO text names."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise refuse(key, text, "a date is needed, such as 2027-05-31") from None


def months_later(day: date, months: int) -> date:
    """Return the same day `months` later, or the last day of that month."""
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def on_date(
    *, on: str, months: Measure | None = None, every: Measure | None = None, yearly: Measure | None = None
) -> Verdict:
    """Return the ISO date the next service is due, as the verdict; whichever comes first.

    `months` (or years) by the calendar; `every` distance with the `yearly` distance driven. `also`:
    'by-distance' and 'by-months', days from `on`.
    """
    start = day_of("on", on)
    days: list[tuple[str, int]] = []
    if months is not None:
        count = checked("months", months, "month", "0", "240", above=True).exact
        if count.denominator != 1:
            raise refuse("months", months, "a whole number of months is needed")
        days.append(("by-months", (months_later(start, int(count)) - start).days))
    if every is not None and yearly is not None:
        far = checked("every", every, "kilometre", "0", "500000", above=True).exact
        pace = checked("yearly", yearly, "kilometre", "0", "1000000", above=True).exact
        if far / pace > 50:
            raise refuse("yearly", yearly, "at this pace it takes more than 50 years")
        days.append(("by-distance", int(far / pace * 1461 / 4)))
    if not days:
        raise lacking("months", "give months, or every together with yearly")
    due = start + timedelta(days=min(count for _, count in days))
    return verdict_of(
        "due-on",
        due.isoformat(),
        inputs=told(on=on, months=months, every=every, yearly=yearly),
        by=SERVICE,
        notes=("whichever-first",) if len(days) > 1 else (),
        also=tuple((name, measured(count, "day")) for name, count in days),
    )


def leak_rate(*, interval: Measure, drop: Measure | None = None, reserve: Measure | None = None) -> Figure:
    """Return what a drip every `interval` loses in a day, to about half.

    `also`: 'per-year', and with `reserve` (what may be lost) 'lasts' in days.
    """
    every = exact("interval", interval, "second", "0.2", "3600")
    volume = exact("drop", drop or Measure("0.05", "millilitre"), "millilitre", "0.01", "0.2")
    rate = (volume / every).to("litre / day")
    also: Also = (("per-year", value_of(rate * exact("year", Measure("365.25", "day"), "day"), "litre")),)
    if reserve is not None:
        keep = exact("reserve", reserve, "litre", "0", "200", above=True)
        also = (*also, ("lasts", value_of((keep / rate).to("day"), "day")))
    return figure_of(
        "leak-rate",
        rate * _HALF,
        "litre_per_day",
        inputs=told(interval=interval, drop=drop, reserve=reserve),
        by=LEAK,
        notes=("half-or-double",),
        also=also,
    )


def distance_left(*, now: Measure, due: Measure) -> Figure:
    """Return how far it still is to the service due; negative when it is past."""
    checked("now", now, "kilometre", "0", "3000000")
    checked("due", due, "kilometre", "0", "3500000")
    left = convert(due, now.unit).exact - now.exact
    return exact_figure("distance-left", measured(left, now.unit), inputs=told(now=now, due=due), by=SERVICE)
