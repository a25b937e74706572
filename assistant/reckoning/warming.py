"""Warming: when it will be as warm, or as cool, as it has to be.

First order: T = Ts + (T0 - Ts) exp(-k t). Two readings and the surroundings Ts give
k = ln((T0 - Ts) / (T1 - Ts)) / dt. Three equally spaced readings give Ts = (T1 T3 - T2²) / (T1 + T3 - 2 T2)
(intervals equal within 5 %) only when (T3 - T2) / (T2 - T1) lies in 0.05 to 0.8; else one degree of
error moves Ts by tens of degrees, and a straight line through the last two is used, good for one more
interval. An engine warming itself is not first order: ask for another reading.

Temperatures -40 to 300 °C, times up to 24 h, thermometer repeating to 1 °C. Raises WrongInput naming
the key, or saying that the goal is never reached. Source: Newton's law of cooling; burns: 60 °C metal
in 5 s of contact (ASTM C1055 scope for the 5 s, the 60 °C from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from uncertainties import nominal_value, ufloat, umath

from assistant.reckoning.figure import Also, Figure, Formula, Inputs, figure_of, told, value_of
from assistant.reckoning.given import checked, plain_quantity, refuse
from assistant.units import UNITS, Measure, convert, pint_unit

Reading = tuple[Measure, Measure]
"""A temperature and the time it was read, counted from any start."""

NEWTON = Formula(
    "t = ln((T_last - Ts) / (goal - Ts)) / k, k = ln((T_first - Ts) / (T_last - Ts)) / dt",
    "first order, constant surroundings Ts; -40 to 300 °C",
    "Newton's law of cooling",
)
STRAIGHT = Formula(
    "t = (goal - T_last) dt / (T_last - T_before)",
    "a straight line, good for about one more interval",
    "common practice, no source",
)
THREE = Formula(
    "Ts = (T1 T3 - T2²) / (T1 + T3 - 2 T2)",
    "equal intervals and (T3 - T2) / (T2 - T1) from 0.05 to 0.8",
    "from Newton's law of cooling",
)
TOUCHABLE = Measure("60", "celsius")
_REPEATS = 1.0  # °C, one thermometer against itself
_LOW, _HIGH = 0.05, 0.8
_EVEN = 0.05
"""By how much two intervals may differ and count as equal: less than a degree of error in a reading."""


@dataclass(frozen=True, slots=True)
class _Course:
    """The readings as numbers: minutes and uncertain °C, in order of time."""

    minutes: tuple[float, ...]
    warm: tuple[Any, ...]

    @property
    def interval(self) -> float:
        """Minutes between the last two readings."""
        return self.minutes[-1] - self.minutes[-2]


def _course(readings: Sequence[Reading], least: int) -> _Course:
    """Return the readings as numbers, refused when too few or not in order of time."""
    if len(readings) < least:
        raise refuse(
            "reading", f"{len(readings)} given", f"at least {least} are needed, each a time and a temperature"
        )
    minutes = tuple(float(checked("at", when, "minute", "0", "1440").exact) for _, when in readings)
    if any(later <= before for before, later in pairwise(minutes)):
        raise refuse("at", ", ".join(str(when) for _, when in readings), "times must rise")
    warm = tuple(
        ufloat(float(checked("reading", t, "celsius", "-40", "300").exact), _REPEATS) for t, _ in readings
    )
    return _Course(minutes, warm)


def _told(readings: Sequence[Reading]) -> Inputs:
    """Return one input line per reading."""
    return tuple(line for warm, when in readings for line in (("reading", str(warm)), ("at", str(when))))


def _rate(course: _Course, end: Any) -> Any:
    """Return k per minute from the first and last reading, refused where they do not approach `end`."""
    first, last = course.warm[0] - end, course.warm[-1] - end
    ratio = nominal_value(first) / nominal_value(last) if nominal_value(last) else 0.0
    if ratio <= 1:
        raise refuse("surroundings", f"{nominal_value(end):.3g} °C", "the readings do not approach it")
    return umath.log(first / last) / (course.minutes[-1] - course.minutes[0])


def _end_of_three(course: _Course) -> tuple[Any, bool]:
    """Return the end temperature of the last three readings, and whether they settle it."""
    t1, t2, t3 = course.warm[-3:]
    bend = t1 + t3 - 2 * t2
    rise = nominal_value(t2 - t1)
    later, earlier = course.interval, course.minutes[-2] - course.minutes[-3]
    even = abs(later - earlier) <= _EVEN * max(later, earlier)
    if not nominal_value(bend) or not rise or not even:
        return None, False
    return (t1 * t3 - t2**2) / bend, _LOW < nominal_value(t3 - t2) / rise < _HIGH


def surroundings_from(*, readings: Sequence[Reading]) -> Figure:
    """Return the temperature three equally spaced readings tend to.

    `also`: 'rate' k. Carries 'three-points-ill-conditioned' where they do not settle it.
    """
    course = _course(readings, 3)
    end, sound = _end_of_three(course)
    if end is None:
        raise refuse("reading", "three", "equal intervals and a bend between the readings are needed")
    also: Also = ()
    first, second = nominal_value(course.warm[-3] - end), nominal_value(course.warm[-2] - end)
    if second and first / second > 1:
        k = umath.log(first / second) / course.interval
        also = (("rate", value_of(plain_quantity(k, "per_minute"), "per_minute")),)
    notes = () if sound else ("three-points-ill-conditioned",)
    unit = readings[-1][0].unit
    result = UNITS.Quantity(end, pint_unit("celsius"))
    return figure_of("surroundings", result, unit, inputs=_told(readings), by=THREE, notes=notes, also=also)


def _settle(course: _Course, surroundings: Measure | None) -> tuple[Any, tuple[str, ...]]:
    """Return the end temperature to reckon with (None: a straight line) and the notes on it."""
    if surroundings is not None:
        return float(checked("surroundings", surroundings, "celsius", "-40", "300").exact), ()
    if len(course.warm) >= 3:
        end, sound = _end_of_three(course)
        if sound:
            return end, ()
        return None, ("three-points-ill-conditioned", "straight-line")
    return None, ("straight-line",)


def time_until(*, goal: Measure, readings: Sequence[Reading], surroundings: Measure | None = None) -> Figure:
    """Return the minutes from the last reading until `goal`.

    Two readings and the surroundings, or three readings that settle the end, else a straight line. Zero
    and 'already-there' when the goal has been passed. Raises WrongInput where it is never reached.
    """
    course = _course(readings, 2)
    wanted = float(checked("goal", goal, "celsius", "-40", "300").exact)
    end, notes = _settle(course, surroundings)
    inputs = (*_told(readings), *told(goal=goal, surroundings=surroundings))
    by = STRAIGHT if end is None else NEWTON
    if _there(course, wanted):
        return _zero(inputs, by)
    last = nominal_value(course.warm[-1])
    if end is None:
        step = course.warm[-1] - course.warm[-2]
        if nominal_value(step) == 0 or (wanted > last) != (nominal_value(step) > 0):
            raise refuse("goal", goal, "never reached: the readings do not move towards it")
        minutes = (wanted - course.warm[-1]) * course.interval / step
    else:
        k = _rate(course, end)
        short = wanted - nominal_value(end)
        if short == 0 or (short > 0) != (last > nominal_value(end)):
            raise refuse("goal", goal, f"never reached: it tends to {nominal_value(end):.3g} °C")
        minutes = umath.log((course.warm[-1] - end) / (wanted - end)) / k
    limit = course.interval if end is None else 5 * (course.minutes[-1] - course.minutes[0])
    if nominal_value(minutes) > limit + 1e-9:
        notes = (*notes, "extrapolated")
    result = plain_quantity(minutes, "minute")
    return figure_of("time-until", result, "minute", inputs=inputs, by=by, notes=notes)


def _there(course: _Course, wanted: float) -> bool:
    """Return whether the readings have gone through the goal, or are rising above it."""
    before, last = float(nominal_value(course.warm[0])), float(nominal_value(course.warm[-1]))
    return min(before, last) <= wanted <= max(before, last) or (last > before and last >= wanted)


def _zero(inputs: Inputs, by: Formula) -> Figure:
    """Return no time at all, and that it is there already."""
    now = plain_quantity(0.0, "minute")
    return figure_of("time-until", now, "minute", inputs=inputs, by=by, notes=("already-there",))


def temperature_after(
    *, wait: Measure, readings: Sequence[Reading], surroundings: Measure | None = None
) -> Figure:
    """Return the temperature `wait` after the last reading, in the unit of the last reading."""
    course = _course(readings, 2)
    minutes = float(checked("wait", wait, "minute", "0", "1440").exact)
    end, notes = _settle(course, surroundings)
    if end is None:
        result = course.warm[-1] + (course.warm[-1] - course.warm[-2]) * minutes / course.interval
        notes = (*notes, "extrapolated") if minutes > course.interval else notes
    else:
        result = end + (course.warm[-1] - end) * umath.exp(-_rate(course, end) * minutes)
    return figure_of(
        "temperature-after",
        UNITS.Quantity(result, pint_unit("celsius")),
        readings[-1][0].unit,
        inputs=(*_told(readings), *told(wait=wait, surroundings=surroundings)),
        by=STRAIGHT if end is None else NEWTON,
        notes=notes,
    )


def cool_down(
    *, readings: Sequence[Reading], surroundings: Measure | None = None, limit: Measure = TOUCHABLE
) -> Figure:
    """Return the minutes until it may be touched: until `limit`, 60 °C when not given."""
    course = _course(readings, 2)
    inputs = (*_told(readings), *told(surroundings=surroundings, limit=limit))
    if nominal_value(course.warm[-1]) <= checked("limit", limit, "celsius", "-40", "100").exact:
        return replace(_zero(inputs, NEWTON), name="cool-down")
    figure = time_until(goal=convert(limit, "celsius"), readings=readings, surroundings=surroundings)
    return replace(figure, name="cool-down", inputs=inputs)
