"""What the plots of a report show, as plain series from the events of a job; times in minutes from its start.

Amounts are in the unit of the job's first amount, temperatures in degrees Celsius, shares in percent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.display.document.fit import fitted
from assistant.errors import WrongInput
from assistant.job import balance
from assistant.job import events as e
from assistant.job.instant import Instant, day_of
from assistant.job.pending import timer_key
from assistant.job.state import State, fold
from assistant.job.tally import Totals, tallies
from assistant.reckoning.dilution import old_left
from assistant.units import Measure, convert, kind_of, settled

Points = tuple[tuple[float, float], ...]
"""(minutes from the start of the job, value), in order of time."""
Shares = tuple[tuple[str, float], ...]
"""(ISO date, percent of new fluid), oldest first."""
CURVE_STEPS, CURVE_ON = 36, 1.5
"""Points of the fitted curve; how far it goes on, as a multiple of the time it was read for."""


@dataclass(frozen=True, slots=True)
class Amounts:
    """What was out and in of one unit by the clock, as it was believed then: a correction is a step back.

    Sums are over all rounds of a repeated change, and so are band and advice.
    """

    of: str
    """What the unit is called, empty where the job has but one."""
    unit: str
    out: Points
    into: Points
    band: tuple[float, float] | None
    """The least and the most that usually comes out, by the sheet."""
    advised: float | None


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperatures of one unit as they were read, the curve through them, and its sheet's windows."""

    of: str
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


def amounts(history: Sequence[e.Event]) -> tuple[Amounts, ...]:
    """Return the course of both amounts of each unit of which any was told."""
    final, told = fold(history), [(one.at, after) for one, after in tallies(history)]
    found = (_amounts(final.at_unit(key), told, history[-1].at) for key in final.units)
    return tuple(one for one in found if one is not None)


def _amounts(final: State, told: Sequence[tuple[Instant, Totals]], last: Instant) -> Amounts | None:
    first = next((one for one in balance.in_all(final) if one is not None), None)
    if first is None or not settled(first.unit):
        return None
    unit = first.unit
    out: list[tuple[float, float]] = []
    into: list[tuple[float, float]] = []
    for at, after in told:
        for total, points in zip(after[final.unit_id], (out, into), strict=True):
            value = _number(total, unit)
            if value is not None and not points:
                points.append((minutes(final.started, at), 0.0))
            if value is not None and points[-1][1] != value:
                points.append((minutes(final.started, at), value))
    end = minutes(final.started, last)
    for points in (out, into):
        if points:
            points.append((max(end, points[-1][0]), points[-1][1]))
    least, most = (_number(final.sheet.figure(name), unit) for name in ("drain-least", "drain-most"))
    advised = [one.last_advice("refill") for one in balance.by_round(final)]
    taken = balance.summed(one.exact for one in advised if one is not None and one.fate == "taken")
    return Amounts(
        final.unit_name(),
        unit,
        tuple(out),
        tuple(into),
        (least * final.round, most * final.round) if least is not None and most is not None else None,
        _number(taken, unit),
    )


def _number(measure: Measure | None, unit: str) -> float | None:
    if measure is None or not settled(measure.unit) or kind_of(measure.unit) != kind_of(unit):
        return None
    return float(convert(measure, unit).exact)


def warmth(history: Sequence[e.Event]) -> tuple[Warmth, ...]:
    """Return the temperatures of each unit of which two were read, or one beside its windows."""
    state = fold(history)
    found = (_warmth(state.at_unit(key)) for key in state.units)
    return tuple(one for one in found if one is not None)


def _warmth(state: State) -> Warmth | None:
    found = [
        (one.step, minutes(state.started, one.at), float(convert(one.measure, "celsius").exact))
        for one in state.readings.values()
        if one.kind == "temperature" and one.counts and one.measure is not None and one.of == state.unit_id
    ]
    points = tuple((at, warm) for _, at, warm in found)
    windows = []
    for name in ("hot", "cold"):
        low, high = (_number(state.sheet.figure(f"{name}-{end}"), "celsius") for end in ("low", "high"))
        if low is not None and high is not None:
            windows.append((name, low, high))
    if len(points) < 2 and not (points and windows):
        return None
    # a can that was measured warms nothing: the curve is of the readings at one step
    warming = tuple((at, warm) for step, at, warm in found if step == found[-1][0])
    return Warmth(state.unit_name(), points, _curve(warming), tuple(windows))


def _curve(read: Points) -> Points:
    """Return the fitted course of the readings and half as long on; none where it has none."""
    curve = fitted(read)
    if curve is None:
        return ()
    first, last = read[0][0], read[-1][0]
    whole = (last - first) * CURVE_ON
    return tuple(
        (minute, curve(minute))
        for minute in (first + whole * at / CURVE_STEPS for at in range(CURVE_STEPS + 1))
    )


def _of_unit(state: State, unit: str, name: str) -> str:
    """Return a name with that of its unit before it, where the job has several."""
    return f"{state.unit_name(unit)}: {name}" if unit and state.unit_name(unit) else name


def course(history: Sequence[e.Event]) -> tuple[Span, ...]:
    """Return steps, timers, pauses and interruptions as spans, in the order they began."""
    state = fold(history)
    end = minutes(state.started, history[-1].at)
    spans: list[Span] = []
    step: tuple[str, float] | None = None
    rest: tuple[str, float] | None = None
    running: dict[str, tuple[str, float]] = {}
    for one in history:
        at = minutes(state.started, one.at)
        if isinstance(one, e.StepEntered):
            if step is not None:
                spans.append(Span("step", step[0], step[1], at))
            entered = state.procedure.step(one.step)
            step = (_of_unit(state, entered.unit, entered.title or one.step), at)
        elif isinstance(one, e.TimerStarted):
            name = _of_unit(state, one.of, one.name or "timer")
            running[timer_key(one.name, one.of)] = (name, at)
        elif isinstance(one, e.TimerDue | e.TimerStopped) and timer_key(one.name, one.of) in running:
            spans.append(Span("timer", *running.pop(timer_key(one.name, one.of)), at))
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
    spans += [Span("timer", *begun, end) for begun in running.values()]
    if rest is not None:
        spans.append(Span("break", rest[0], rest[1], end))
    return tuple(sorted(spans, key=lambda span: (span.start, span.end)))


def shares(histories: Sequence[Sequence[e.Event]]) -> tuple[tuple[str, Shares], ...]:
    """Return for each unit of the newest job its name and the share of new fluid after each service of it.

    The name is empty where the job has but one unit. Every drain is reckoned from the capacity of the newest
    sheet; without it there is nothing to tell. The fluid before the first service counts as old.
    """
    states = sorted((fold(history) for history in histories), key=lambda state: state.started.utc_ms)
    newest = states[-1]
    found = ((newest.unit_name(key), _shares(newest.at_unit(key), states)) for key in newest.units)
    return tuple((name, shares) for name, shares in found if shares)


def _shares(newest: State, states: Sequence[State]) -> Shares:
    capacity = newest.sheet.figure("capacity")
    drains: list[Measure] = []
    found = []
    for state in states:
        more = _changed(state, newest.sheet.unit)
        if capacity is None or not more:
            continue
        try:
            figure = old_left(capacity=capacity, drains=[*drains, *more])
        except WrongInput:
            continue
        drains += more
        found.append((day_of(state.started.utc_ms), 100.0 - float(figure.value.exact)))
    return tuple(found)


def _changed(state: State, unit: str) -> list[Measure]:
    """Return what came out of the unit of that name in each round after which something went in."""
    drains = []
    for seen in (state.at_unit(key) for key in state.units):
        for one in balance.by_round(seen) if seen.sheet.unit == unit else ():
            total = balance.drained(one)
            if total is not None and settled(total.unit) and balance.poured(one) is not None:
                drains.append(total)
    return drains
