"""What the plots of a report show, as plain series from the events of a job; times in minutes from its start.

Amounts are in the unit of the job's first amount, temperatures in degrees Celsius, shares in percent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from assistant.errors import WrongInput
from assistant.job import balance
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.state import State, apply, begin, fold
from assistant.reckoning.dilution import old_left
from assistant.reckoning.warming import temperature_after
from assistant.units import Measure, convert, kind_of, measured, settled

Points = tuple[tuple[float, float], ...]
"""(minutes from the start of the job, value), in order of time."""
CURVE_STEPS = 24


@dataclass(frozen=True, slots=True)
class Amounts:
    """What was out and in by the clock, as it was believed then: a correction is a step back."""

    unit: str
    out: Points
    into: Points
    band: tuple[float, float] | None
    """The least and the most that usually comes out, by the sheet."""
    advised: float | None


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperatures as they were read, the curve through them, and the sheet's windows."""

    readings: Points
    curve: Points
    windows: tuple[tuple[str, float, float], ...]
    """(hot or cold, from, to)."""


@dataclass(frozen=True, slots=True)
class Span:
    """One bar of the timeline: its lane (step, timer, break), name, and minutes from and to."""

    lane: str
    name: str
    start: float
    end: float


def minutes(since: Instant, at: Instant) -> float:
    """Return the minutes from one instant to another on the wall clock."""
    return (at.utc_ms - since.utc_ms) / 60_000


def _states(history: Sequence[e.Event]) -> list[tuple[e.Event, State]]:
    state = begin(history[0])
    found = []
    for one in history[1:]:
        state = apply(one, state)
        found.append((one, state))
    return found


def amounts(history: Sequence[e.Event]) -> Amounts | None:
    """Return the course of both amounts, None where no amount was told."""
    final = fold(history)
    first = balance.drained(final) or balance.poured(final)
    if first is None or not settled(first.unit):
        return None
    unit = first.unit
    out: list[tuple[float, float]] = []
    into: list[tuple[float, float]] = []
    for one, state in _states(history):
        for total, points in ((balance.drained(state), out), (balance.poured(state), into)):
            value = _number(total, unit)
            if value is not None and not points:
                points.append((minutes(final.started, one.at), 0.0))
            if value is not None and (not points or points[-1][1] != value):
                points.append((minutes(final.started, one.at), value))
    end = minutes(final.started, history[-1].at)
    for points in (out, into):
        if points:
            points.append((max(end, points[-1][0]), points[-1][1]))
    least, most = (_number(final.sheet.figure(name), unit) for name in ("drain-least", "drain-most"))
    advice = final.last_advice("refill")
    return Amounts(
        unit,
        tuple(out),
        tuple(into),
        (least, most) if least is not None and most is not None else None,
        _number(advice.exact, unit) if advice is not None and advice.fate == "taken" else None,
    )


def _number(measure: Measure | None, unit: str) -> float | None:
    if measure is None or not settled(measure.unit) or kind_of(measure.unit) != kind_of(unit):
        return None
    return float(convert(measure, unit).exact)


def warmth(history: Sequence[e.Event]) -> Warmth | None:
    """Return the temperatures, None where none was read with its scale."""
    state = fold(history)
    read = [
        (minutes(state.started, one.at), one.measure)
        for one in state.readings.values()
        if one.kind == "temperature" and one.counts and one.measure is not None
    ]
    points = tuple((at, float(convert(measure, "celsius").exact)) for at, measure in read)
    if not points:
        return None
    windows = []
    for name in ("hot", "cold"):
        low, high = (_number(state.sheet.figure(f"{name}-{end}"), "celsius") for end in ("low", "high"))
        if low is not None and high is not None:
            windows.append((name, low, high))
    return Warmth(points, _curve(read), tuple(windows))


def _curve(read: Sequence[tuple[float, Measure]]) -> Points:
    """Return the reckoned course through the last three readings, half as long on; none where it has none."""
    last = read[-3:]
    if len(last) < 2 or len({at for at, _ in last}) < len(last):
        return ()
    readings = [(measure, measured(Fraction(at).limit_denominator(1000), "minute")) for at, measure in last]
    span = last[-1][0] - last[0][0]
    points = []
    try:
        for step in range(CURVE_STEPS + 1):
            wait = Fraction(span / 2 * step / CURVE_STEPS).limit_denominator(1000)
            found = temperature_after(wait=measured(wait, "minute"), readings=readings)
            warm = convert(found.value, "celsius")
            points.append((last[-1][0] + float(wait), float(warm.exact)))
    except WrongInput:
        return ()
    before = [(at, float(convert(measure, "celsius").exact)) for at, measure in last[:-1]]
    return (*before, *points)


def course(history: Sequence[e.Event]) -> tuple[Span, ...]:
    """Return steps, timers, pauses and interruptions as spans, in the order they began."""
    state = fold(history)
    end = minutes(state.started, history[-1].at)
    spans: list[Span] = []
    step: tuple[str, float] | None = None
    rest: tuple[str, float] | None = None
    running: dict[str, float] = {}
    for one in history:
        at = minutes(state.started, one.at)
        if isinstance(one, e.StepEntered):
            if step is not None:
                spans.append(Span("step", step[0], step[1], at))
            step = (state.procedure.step(one.step).title or one.step, at)
        elif isinstance(one, e.TimerStarted):
            running[one.name] = at
        elif isinstance(one, e.TimerDue | e.TimerStopped) and one.name in running:
            spans.append(Span("timer", one.name or "timer", running.pop(one.name), at))
        elif isinstance(one, e.StoodBy | e.EmergencyCalled | e.JobParked) and rest is None:
            rest = (type(one).__name__, at)
        elif isinstance(one, e.CameBack | e.JobReopened):
            if rest is None:
                before = [other for other in history if other.at.utc_ms < one.at.utc_ms]
                rest = ("JobReopened", minutes(state.started, before[-1].at) if before else at)
            spans.append(Span("break", rest[0], rest[1], at))
            rest = None
    if step is not None:
        spans.append(Span("step", step[0], step[1], end))
    spans += [Span("timer", name or "timer", since, end) for name, since in running.items()]
    if rest is not None:
        spans.append(Span("break", rest[0], rest[1], end))
    return tuple(sorted(spans, key=lambda span: (span.start, span.end)))


def shares(histories: Sequence[Sequence[e.Event]]) -> tuple[tuple[str, float], ...]:
    """Return (ISO date, percent of new fluid) after each service of one unit, oldest first.

    Each drain is reckoned from the capacity of the newest sheet; without it there is nothing to tell.
    The fluid before the first service counts as old.
    """
    states = [(history[0].at.utc_ms, fold(history)) for history in histories]
    states.sort(key=lambda pair: pair[0])
    capacity = states[-1][1].sheet.figure("capacity") if states else None
    drains: list[Measure] = []
    found = []
    for utc_ms, state in states:
        total = balance.drained(state)
        if capacity is None or total is None or not settled(total.unit) or balance.poured(state) is None:
            continue
        try:
            figure = old_left(capacity=capacity, drains=[*drains, total])
        except WrongInput:
            continue
        drains.append(total)
        found.append((_day(utc_ms), 100.0 - float(figure.value.exact)))
    return tuple(found)


def _day(utc_ms: int) -> str:
    """Return the ISO date, in UTC."""
    from datetime import UTC, datetime

    return datetime.fromtimestamp(utc_ms / 1000, UTC).date().isoformat()
