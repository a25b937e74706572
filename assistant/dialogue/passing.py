"""What the passing of time does: timers end, read-backs stand, a silent mechanic is reminded."""

from __future__ import annotations

from assistant.dialogue.questions import repeat_question
from assistant.dialogue.reply import Turn
from assistant.dialogue.steps import ask_next
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.state import State
from assistant.job.timers import MOST_ANNOUNCEMENTS, Due, due, gone


def tick(state: State, at: Instant, quiet: Instant | None = None) -> Turn:
    """Return what is due at this instant: events now, replies, and what becomes true once they are said.

    `quiet` is when the assistant fell silent last.
    """
    turn = Turn(state, at)
    for one in due(state, at, quiet):
        _handle(turn, one)
    return turn


def _handle(turn: Turn, one: Due) -> None:
    if one.what == "stands":
        turn.do(e.ReadingStood(at=turn.at, reading=one.number, how="time"))
    elif one.what == "timer":
        _timer_over(turn, one.name)
    else:
        turn.do(e.Prompted(at=turn.at, count=one.number))
        _remind(turn)


def _timer_over(turn: Turn, key: str) -> None:
    timer = turn.state.timers[key]
    name, of, unit = timer.name, timer.of, turn.state.unit_name(timer.of)
    again = timer.due
    run = gone(timer, turn.at)
    if run.doubtful:
        stopped = e.TimerStopped(at=turn.at, name=name, of=of)
        turn.do(stopped, e.Asked(at=turn.at, question="timer", about=key))
        turn.say("timer-doubtful", name=name, unit=unit)
        return
    if timer.announced >= MOST_ANNOUNCEMENTS:
        turn.do(e.TimerUnacknowledged(at=turn.at, name=name, of=of))
        return
    turn.do(e.TimerDue(at=turn.at, name=name, of=of))
    late = run.ms - timer.ms
    turn.say("timer-over-again" if again else "timer-over", name=name, unit=unit, ms=timer.ms, late=late)
    plan = turn.state.step.timer if turn.state.step_id else None
    if plan is not None and plan.name == name and turn.state.step.unit == of:
        if plan.ask:
            turn.say("ask", text=plan.ask, sheet=turn.state.sheet)
        else:
            ask_next(turn)
    turn.after.append(e.TimerSaid(at=turn.at, name=name, of=of))


def _remind(turn: Turn) -> None:
    """Repeat the open question or what the step asks; a step that is simply under way needs no repeating."""
    if turn.state.question is not None:
        repeat_question(turn)
        return
    turn.say("still-there")
    ask_next(turn)
