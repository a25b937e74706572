"""The first words of a job, and the first words after it was interrupted."""

from __future__ import annotations

from assistant.dialogue import questions, readings, steps
from assistant.dialogue.reply import Turn
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.past import last_time
from assistant.job.reading import MEDIUM
from assistant.job.state import State


def opened(state: State, at: Instant) -> Turn:
    """Enter the first step."""
    turn = Turn(state, at)
    turn.say("job-begins", title=state.procedure.title, vehicle=state.sheet.vehicle)
    tell_last_time(turn)
    steps.go(turn, state.procedure.steps[0], "start")
    return turn


def tell_last_time(turn: Turn) -> None:
    """Say what the last service put into this unit and found, nothing where there was none."""
    last = last_time(turn.state.past, turn.state.sheet.unit)
    if last is not None:
        turn.say("last-time", into=last.into, found=last.found)


def reopened(state: State, at: Instant, who: str = "") -> Turn:
    """Take the job up again: read back what was heard last and does not stand, then say where we are."""
    turn = Turn(state, at)
    if state.ended:
        turn.say("job-over")
        return turn
    turn.do(e.JobReopened(at=at, who=who))
    turn.say("job-resumed", title=state.procedure.title, vehicle=state.sheet.vehicle)
    if not state.step_id:
        steps.go(turn, state.procedure.steps[0], "start")
        return turn
    question = state.question
    for one in state.unstanding():
        if (question is None or question.reading != one.id) and one.counts and one.consequence == MEDIUM:
            turn.say("last-heard")
            readings.read_back(turn, one)
    if turn.state.question is not None:
        questions.repeat_question(turn)
    else:
        steps.instruct(turn)
        readings.ask_left_open(turn)
    return turn
