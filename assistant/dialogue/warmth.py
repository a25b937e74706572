"""Questions of warmth, of waiting and of drips: is it warm enough, how long still, is it worth it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from assistant.dialogue import advising
from assistant.dialogue.figures import lacks, told
from assistant.dialogue.reply import Turn
from assistant.dialogue.unit_said import default_unit
from assistant.errors import WrongInput
from assistant.grammar.meaning import Meaning
from assistant.job.instant import elapsed
from assistant.job.reading import Reading
from assistant.job.sheet import FIGURES
from assistant.reckoning import draining, due, level, warming
from assistant.reckoning.figure import Figure
from assistant.units import Measure, convert, for_speech, measured, settled

FRESH_MS = 600_000
"""A temperature older than ten minutes says nothing about now (common practice, no source)."""
MOST_POINTS = 3
"""Temperatures a trend is made of; two at least."""


def mark_now(turn: Turn) -> str:
    """Return the mark whose window counts now: that of the step, else of the next level check."""
    state = turn.state
    steps = state.procedure.steps
    here = steps.index(state.step)
    return next((one.mark for one in steps[here:] if f"{one.mark}-low" in FIGURES and not one.aside), "hot")


def _temperatures(turn: Turn) -> list[Reading]:
    """Return the temperatures told, oldest first, that belong to the same step as the newest one."""
    found = [
        one for one in advising.balance_free(turn.state, "temperature") if one.unit and settled(one.unit)
    ]
    return [one for one in found if one.step == found[-1].step]


def warmth_now(turn: Turn) -> Measure | None:
    """Return how warm it is now, by number or by hand; says so where nothing fresh was told."""
    last = turn.state.last_reading("temperature", "temperature-band")
    warmth = advising.band_or_measure(turn.state, last) if last is not None else None
    if last is None or warmth is None or not settled(warmth.unit):
        turn.say("needs-temperature")
        return None
    if elapsed(last.at, turn.at).ms > FRESH_MS:
        turn.say("temperature-too-old")
        return None
    return warmth


def _warm_enough(turn: Turn, meaning: Meaning) -> None:
    mark = mark_now(turn)
    warmth = None if lacks(turn, f"{mark}-low", f"{mark}-high") else warmth_now(turn)
    if warmth is None:
        return
    low, high = told(turn, f"{mark}-low"), told(turn, f"{mark}-high")
    verdict = level.window_verdict(temperature=warmth, low=low, high=high).verdict
    if verdict == "in":
        turn.say("in-window", temperature=for_speech(warmth))
    else:
        turn.say(verdict, temperature=for_speech(warmth), low=for_speech(low), high=for_speech(high))


def _should_read(turn: Turn, meaning: Meaning) -> None:
    mark = mark_now(turn)
    warmth = None if lacks(turn, "capacity", f"{mark}-low", f"{mark}-high") else warmth_now(turn)
    if warmth is None:
        return
    low, high = told(turn, f"{mark}-low"), told(turn, f"{mark}-high")
    if level.window_verdict(temperature=warmth, low=low, high=high).verdict == "in":
        turn.say("reads-at-mark", mark=mark)
        return
    middle = measured((low.exact + convert(high, low.unit).exact) / 2, low.unit)
    figure = level.should_read(
        temperature=warmth,
        full_at=middle,
        volume=told(turn, "capacity"),
        span_litres=turn.state.sheet.figure("span"),
        span_mm=turn.state.sheet.figure("span-length"),
        density15=turn.state.sheet.figure("fluid-density"),
    )
    away = for_speech(measured(abs(figure.value.exact), figure.value.unit), figure.plus_minus)
    turn.say("reads-away", mark=mark, away=away, lower=figure.value.exact < 0, temperature=for_speech(warmth))


def course(turn: Turn) -> list[tuple[Measure, Measure]] | None:
    """Return the last temperatures with their minutes; says what is missing where they make no trend."""
    found = _temperatures(turn) if advising.balance_free(turn.state, "temperature") else []
    if not found:
        turn.say("needs-temperature")
        return None
    if elapsed(found[-1].at, turn.at).ms > FRESH_MS:
        turn.say("temperature-too-old")
        return None
    trend: list[tuple[Measure, Measure]] = []
    for one in found[-MOST_POINTS:]:
        assert one.measure is not None, "only temperatures with their scale were taken"
        minutes = measured(Fraction(elapsed(found[0].at, one.at).ms, 60_000), "minute")
        trend.append((one.measure, minutes))
    if len(trend) < 2:
        turn.say("needs-second-temperature")
        return None
    return trend


def _until(turn: Turn, meaning: Meaning) -> None:
    if meaning.slot("goal") == "cool":
        _until_cool(turn)
        return
    goal = _goal(turn, meaning)
    trend = course(turn) if goal is not None else None
    if goal is None or trend is None:
        return
    try:
        figure = warming.time_until(goal=goal, readings=trend, surroundings=around(turn, trend))
    except WrongInput:
        turn.say("not-on-its-way", goal=for_speech(goal))
        return
    _say_wait(turn, figure, goal)


def around(turn: Turn, readings: Sequence[tuple[Measure, Measure]]) -> Measure | None:
    """Return the warmth that readings tend to where it is known: what cools tends to that of the workshop."""
    cools = readings[-1][0].exact < readings[0][0].exact
    return turn.state.sheet.figure("workshop") if cools else None


def _goal(turn: Turn, meaning: Meaning) -> Measure | None:
    """Return the temperature asked for, else where the window begins; says what is missing."""
    if meaning.value is None:
        low = f"{mark_now(turn)}-low"
        return None if lacks(turn, low) else told(turn, low)
    unit = meaning.unit if meaning.unit and settled(meaning.unit) else default_unit(turn, "temperature")
    if unit is None:
        turn.say("scale-needed")
        return None
    return Measure(meaning.value, unit)


def _until_cool(turn: Turn) -> None:
    trend = None if lacks(turn, "workshop") else course(turn)
    if trend is not None:
        figure = warming.cool_down(readings=trend, surroundings=told(turn, "workshop"))
        _say_wait(turn, figure, warming.TOUCHABLE)


def _say_wait(turn: Turn, figure: Figure, goal: Measure) -> None:
    """Say the minutes left, counted from now and not from the last temperature."""
    since = elapsed(_temperatures(turn)[-1].at, turn.at).ms
    left = figure.value.exact - Fraction(since, 60_000)
    if "already-there" in figure.notes or left <= 0:
        turn.say("there-by-now", goal=for_speech(goal))
        return
    turn.say(
        "wait-left",
        minutes=for_speech(measured(left, "minute"), figure.plus_minus),
        goal=for_speech(goal),
        rough="straight-line" in figure.notes or "extrapolated" in figure.notes,
    )


def _worth_waiting(turn: Turn, meaning: Meaning) -> None:
    state = turn.state
    last, timer = state.last_reading("drip", "drip-state"), state.timer("drain")
    if last is not None and last.kind == "drip-state":
        turn.say("drip-verdict", state=last.slots.get("state", ""))
        return
    if last is None or last.measure is None:
        turn.say("needs-drip")
        return
    if timer is None:
        turn.say("needs-drain-timer")
        return
    since = measured(Fraction(elapsed(timer.started, last.at).ms, 1000), "second")
    verdict = draining.worth_waiting(interval=last.measure, since_drops=since)
    turn.say(
        "worth-waiting",
        more=for_speech(convert(verdict.part("next-wait"), "millilitre")),
        left=for_speech(convert(verdict.part("left"), "millilitre")),
        worth=verdict.verdict == "wait",
    )


def _leak(turn: Turn, meaning: Meaning) -> None:
    last = turn.state.last_reading("drip")
    if last is None or last.measure is None:
        turn.say("needs-drip")
        return
    figure = due.leak_rate(interval=last.measure)
    doubt = figure.plus_minus
    assert doubt is not None, "a drop is never known exactly"
    turn.say("leak", interval=last.measure, a_day=for_speech(_in_a_day(figure.value), _in_a_day(doubt)))


def _in_a_day(flow: Measure) -> Measure:
    """Return the litres a flow makes in a day."""
    return Measure(convert(flow, "litre_per_day").value, "litre")


QUESTIONS: dict[str, Callable[[Turn, Meaning], None]] = {
    "warm-enough": _warm_enough,
    "level-should-read": _should_read,
    "how-long-until": _until,
    "worth-waiting": _worth_waiting,
    "leak-rate": _leak,
}
"""Kind of question -> what answers it."""
