"""Judging what is opened hot or running: an overflow plug at idle in its window, a cap that must be cool."""

from __future__ import annotations

from assistant.dialogue import advising, steps
from assistant.dialogue.reply import Turn
from assistant.errors import WrongInput
from assistant.job import balance, commands
from assistant.job.reading import Reading
from assistant.job.situation import State
from assistant.reckoning import draining, level
from assistant.reckoning.figure import Verdict
from assistant.units import Measure, compare, for_speech

READINGS = frozenset({"temperature", "temperature-band", "drip-state", "drip", "drained"})
FLOWS = {"thin-stream": "thin-stream", "drops": "drops", "stream": "stream", "stopped": "nothing"}
SAID = {
    "close": "overflow-close",
    "let-run": "overflow-let-run",
    "add": "overflow-add",
    "engine-off": "overflow-engine-off",
}
"""What is said to each verdict."""
EXITS = {"still-over": "overflow-over", "add": "overflow-short"}
"""The verdicts, or what is noted of one, that lead elsewhere where the step has an exit for them."""


def plug_verdict(
    state: State,
    flow: Reading,
    *,
    temperature: Measure,
    low: Measure,
    high: Measure,
    caught: Measure | None = None,
    too_much: Measure | None = None,
) -> Verdict:
    """Return what an open plug tells by what runs out of it; raises `WrongInput` as the reckoning does."""
    return level.overflow(
        temperature=temperature,
        low=low,
        high=high,
        engine="running" if state.has("engine=on") else "off",
        flow="drops" if flow.kind == "drip" else FLOWS.get(flow.slots.get("state", ""), "nothing"),
        caught=caught,
        too_much=too_much,
    )


def judge(turn: Turn) -> None:
    """Say what the open plug tells, and go where that leads; ask for what is still to be told."""
    step, sheet = turn.state.step, turn.state.sheet
    told = commands.latest_of(turn.state, step, "temperature", "temperature-band")
    flow = commands.latest_of(turn.state, step, "drip-state", "drip")
    added = max((one.id for one in balance.counted(turn.state, "poured")), default=0)
    if flow is not None and flow.id < added:
        flow = None  # what came before more was pumped in says nothing any more
    warmth = advising.band_or_measure(turn.state, told) if told is not None else None
    low, high = sheet.figure(f"{step.mark}-low"), sheet.figure(f"{step.mark}-high")
    if warmth is None or low is None or high is None:
        steps.ask_next(turn)
        return
    window = level.window_verdict(temperature=warmth, low=low, high=high).verdict
    if window != "in":
        turn.say(window, temperature=for_speech(warmth), low=for_speech(low), high=for_speech(high))
        return
    if flow is None:
        steps.ask_for(turn, step, "drip-state")
        return
    thinned = flow.kind == "drip" or flow.slots.get("state") != "stream"
    drawn = [
        one
        for one in commands.readings_of(turn.state, step, "drained")
        if one.measure is not None and not (thinned and one.id < flow.id)  # what ran out before it thinned
    ]
    try:
        verdict = plug_verdict(
            turn.state,
            flow,
            temperature=warmth,
            low=low,
            high=high,
            caught=balance.total(drawn),
            too_much=sheet.figure("overflow-too-much"),
        )
    except WrongInput:
        turn.say("out-of-range")
        return
    if flow.kind == "drip" and flow.measure is not None and verdict.verdict == "close":
        rate = draining.drip_rate(interval=flow.measure).value
        turn.say("overflow-drops", rate=for_speech(rate))
    turn.say(SAID[verdict.verdict], much="still-over" in verdict.notes)
    if verdict.verdict == "close":
        steps.advance(turn)
        return
    outcome = EXITS.get("still-over" if "still-over" in verdict.notes else verdict.verdict, "")
    leads = turn.state.procedure.exit_on(step.id, outcome)
    if leads is not None:
        steps.take_exit(turn, leads)


def judge_cool(turn: Turn, reading: Reading | None) -> None:
    """Go on where it is cool enough: only a measured temperature below the sheet's, never the hand alone."""
    names = turn.state.step.figures
    most = next((one for name in names if (one := turn.state.sheet.figure(name)) is not None), None)
    told = reading.measure if reading is not None else None
    if told is None or most is None:
        turn.say("cool-by-hand")
    elif compare(told, most) > 0:
        heat = {"temperature": for_speech(told), "most": for_speech(most)}
        turn.say("cool-not-yet", **heat) if "cap-below" in names else turn.say("start-too-warm", **heat)
    else:
        turn.say("cool-enough")
        steps.advance(turn)
