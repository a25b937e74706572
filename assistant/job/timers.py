"""Timers and what is due: everything the passing of time does to a job.

Due at a given instant: a timer's end, a reading that stands because nobody objected, a reminder to
a silent mechanic. All of it follows from the state and the instant alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.job.instant import Elapsed, Instant, elapsed
from assistant.job.pending import Timer
from assistant.job.reading import MEDIUM
from assistant.job.state import State

STANDS_AFTER_MS = 12_000
"""A read-back nobody objected to for this long stands (about the time of one more sentence)."""
PROMPT_AFTER_MS = (30_000, 180_000)
"""A silent mechanic is reminded after these times, then left in peace."""

AGAIN_AFTER_MS = 10_000
"""A timer's end that was cut short is announced again after this pause, in which it can be stopped."""
MOST_ANNOUNCEMENTS = 4
"""An end that was cut short so often was heard or is not wanted."""


@dataclass(frozen=True, slots=True)
class Due:
    """What is due: `what` is timer, stands or prompt; `name` a timer's key; `number` a reading or prompt."""

    what: str
    name: str = ""
    number: int = 0


def gone(timer: Timer, now: Instant) -> Elapsed:
    """Return how long a timer has run, without the time it was frozen."""
    raw = elapsed(timer.started, now)
    return Elapsed(max(raw.ms - timer.paused_ms, 0), raw.doubtful)


def remaining(timer: Timer, now: Instant) -> Elapsed:
    """Return how long a timer still has to run (0 when it is over)."""
    run = gone(timer, now)
    return Elapsed(max(timer.ms - run.ms, 0), run.doubtful)


def _wait(timer: Timer, now: Instant, quiet: Instant | None) -> int:
    """Return the milliseconds until a timer needs attention; a doubtful clock needs it at once.

    An end that was announced but cut short comes again after a pause in which it can be stopped.
    """
    left = remaining(timer, now)
    if timer.due and quiet is not None:
        return max(AGAIN_AFTER_MS - elapsed(quiet, now).ms, 0)
    return 0 if left.doubtful else left.ms


def running(state: State) -> tuple[Timer, ...]:
    """Return the timers neither stopped nor announced nor given up, oldest first."""
    return tuple(one for one in state.timers.values() if one.running)


def _prompt_wait(state: State, now: Instant, quiet: Instant | None) -> int | None:
    """Return the milliseconds to the next reminder, None when there is none to come."""
    if state.prompts >= len(PROMPT_AFTER_MS) or state.standing_by or not state.step_id:
        return None
    if running(state) and state.question is None:
        return None  # a timer runs: there is nothing to do but wait
    silent = elapsed(state.heard_at, now).ms
    if quiet is not None:
        silent = min(silent, elapsed(quiet, now).ms)
    return max(PROMPT_AFTER_MS[state.prompts] - silent, 0)


def _standing_wait(state: State, now: Instant) -> list[tuple[int, int]]:
    """Return (milliseconds, reading) for each reading that will stand by time."""
    asked = state.question.reading if state.question else None
    return [
        (max(STANDS_AFTER_MS - elapsed(one.at, now).ms, 0), one.id)
        for one in state.unstanding()
        if one.consequence == MEDIUM and one.id != asked and one.counts and not one.doubtful
    ]


def next_wait(state: State, now: Instant, quiet: Instant | None = None) -> int | None:
    """Return the milliseconds until something is due, 0 if something is, None if nothing ever will.

    `quiet` is when the assistant fell silent last: a reminder counts from there, not from mid-reply.
    """
    if state.ended or state.frozen is not None:
        return None
    waits = [_wait(one, now, quiet) for one in running(state)]
    waits += [ms for ms, _ in _standing_wait(state, now)]
    prompt = _prompt_wait(state, now, quiet)
    if prompt is not None:
        waits.append(prompt)
    return min(waits, default=None)


def due(state: State, now: Instant, quiet: Instant | None = None) -> tuple[Due, ...]:
    """Return what is due now, in the order in which it is to be handled."""
    if state.ended or state.frozen is not None:
        return ()
    found = [Due("stands", number=number) for ms, number in _standing_wait(state, now) if ms == 0]
    found += [Due("timer", name=one.key) for one in running(state) if _wait(one, now, quiet) == 0]
    if not found and _prompt_wait(state, now, quiet) == 0:
        found.append(Due("prompt", number=state.prompts + 1))
    return tuple(found)
