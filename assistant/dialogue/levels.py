"""Judging a level: only in its temperature window, and "empty" only after a second, wiped reading."""

from __future__ import annotations

from assistant.dialogue import advising, steps
from assistant.dialogue.reply import Turn
from assistant.job import commands
from assistant.job.dipstick import HIGH_PLACES, LOW_PLACES, offset
from assistant.job.reading import Reading
from assistant.reckoning import level
from assistant.units import compare, for_speech, kind_of, measured


def _window_holds(turn: Turn) -> bool:
    """Say whether the level may be judged at the temperature told; says why where it may not."""
    step, sheet = turn.state.step, turn.state.sheet
    low, high = sheet.figure(f"{step.mark}-low"), sheet.figure(f"{step.mark}-high")
    told = commands.latest_of(turn.state, turn.state.step, "temperature", "temperature-band")
    if told is None or low is None or high is None:
        return True
    warmth = advising.band_or_measure(turn.state, told)
    if warmth is None:
        return True
    verdict = level.window_verdict(temperature=warmth, low=low, high=high)
    if verdict.verdict == "in":
        return True
    turn.say(verdict.verdict, temperature=for_speech(warmth), low=for_speech(low), high=for_speech(high))
    return False


def judge(turn: Turn) -> None:
    """Judge the newest level of a check step and say what to do; go on where it is right."""
    if commands.missing(turn.state, turn.state.step):
        if _window_holds(turn):
            steps.ask_next(turn)
        return
    reading = commands.latest_of(turn.state, turn.state.step, "level")
    if reading is None or not _window_holds(turn):
        return
    place = reading.slots.get("place", "")
    shift = offset(reading, turn.state.sheet)
    if place in LOW_PLACES and _within_drop(turn, reading):
        turn.say("level-right")
        steps.advance(turn)
    elif place in LOW_PLACES or (shift is not None and shift.exact < 0):
        _low(turn, reading)
    elif place in HIGH_PLACES:
        _high(turn, reading)
    else:
        turn.say("level-right")
        steps.advance(turn)


def _within_drop(turn: Turn, reading: Reading) -> bool:
    """Say whether a level below a fill hole is no further below than the sheet allows."""
    drop, measure = turn.state.sheet.figure("level-drop"), reading.measure
    if turn.state.step.mark != "hole" or drop is None or measure is None:
        return False
    return kind_of(measure.unit) == "length" and compare(measure, drop) <= 0


def wants_wiping(turn: Turn, reading: Reading) -> bool:
    """Say whether a stick found dry is to be wiped and dipped once more before it is believed."""
    found = commands.readings_of(turn.state, turn.state.procedure.step(reading.step), "level")
    dry = sum(one.slots.get("place") == "off-low" for one in found)
    return reading.slots.get("place") == "off-low" and dry < 2


def _low(turn: Turn, reading: Reading) -> None:
    shift = offset(reading, turn.state.sheet)
    add = for_speech(measured(-shift.exact, shift.unit)) if shift is not None and shift.exact < 0 else None
    turn.say("level-low" if turn.state.step.mark != "hole" else "hole-low", add=add)


def _high(turn: Turn, reading: Reading) -> None:
    shift = offset(reading, turn.state.sheet)
    turn.say("level-high", over=for_speech(shift) if shift is not None else None)
    leads = turn.state.procedure.exit_on(turn.state.step_id, "level-high")
    if leads is not None:
        steps.leave(turn, leads.then)
