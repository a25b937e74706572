"""The first words of a job, and the first words after it was interrupted."""

from __future__ import annotations

from assistant.dialogue import last_time, questions, readings, steps
from assistant.dialogue.reply import Turn
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.reading import MEDIUM
from assistant.job.state import State


def opened(state: State, at: Instant) -> Turn:
    """Enter the first step."""
    turn = Turn(state, at)
    turn.say("job-begins", title=state.procedure.title, vehicle=state.sheet.vehicle)
    last_time.tell(turn)
    first = state.procedure.steps[0]
    steps.tell_unit(turn, first)
    steps.go(turn, first, "start")
    return turn


def tell_tag(turn: Turn) -> None:
    """Say what the tag on a parked vehicle warns of, while it holds."""
    why = steps.tagged(turn.state)
    if turn.state.tag and any(why.values()):
        turn.say("still-tagged", **why)


def reopened(state: State, at: Instant, who: str = "") -> Turn:
    """Take the job up again: read back what was heard last and does not stand, then say where we are."""
    turn = Turn(state, at)
    if state.ended:
        turn.say("job-over")
        return turn
    turn.say("job-resumed", title=state.procedure.title, vehicle=state.sheet.vehicle)
    tell_tag(turn)
    turn.do(e.JobReopened(at=at, who=who))
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
