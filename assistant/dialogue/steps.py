"""Moving through the steps: entering with its gate and cautions, instructing, asking, finishing."""

from __future__ import annotations

from assistant.dialogue import advising
from assistant.dialogue.reply import Turn
from assistant.job import commands
from assistant.job import events as e
from assistant.job.commands import Refusal
from assistant.job.instant import elapsed
from assistant.job.procedure import Step

TWICE_MS = 10_000
"""The same timer asked for again within this time is one timer."""
PROVIDERS = {"washer=new": "washer", "drain-plug=torqued": "torque", "fill-plug=torqued": "torque"}
"""Facts that a standing reading makes true, and its kind."""


def provider(turn: Turn, fact: str, before: Step) -> Step | None:
    """Return the step that would make a fact true for `before`: one that sets it or awaits its reading."""
    procedure = turn.state.procedure
    kind = PROVIDERS.get(fact)
    if kind is not None:
        slots = {"state": "new-on"} if kind == "washer" else {}
        wanted = (one for one in procedure.steps if commands.awaits(one, kind, slots) and not one.aside)
        return next(wanted, None)
    return procedure.setting(fact, before.id)


def go(turn: Turn, step: Step, how: str = "next") -> None:
    """Enter a step and instruct, or say what holds the job and ask for it."""
    _enter(turn, step, how, ())


def _enter(turn: Turn, step: Step, how: str, held: tuple[str, ...]) -> None:
    """Enter a step for the sake of the steps `held`, each by what the one after it lacks."""
    if turn.state.question is not None:
        turn.do(e.QuestionDropped(at=turn.at, why=how))
    outcome = commands.enter(turn.state, step, how, turn.at)
    if isinstance(outcome, Refusal):
        _held(turn, step, outcome, held)
        return
    turn.do(*outcome)
    instruct(turn, stay=how == "back")


def _held(turn: Turn, step: Step, refusal: Refusal, held: tuple[str, ...]) -> None:
    if refusal.why == "gate":
        turn.do(e.Asked(at=turn.at, question="gate", about=step.id))
        turn.say("gate", text=turn.state.procedure.gates[refusal.about])
    elif refusal.why == "figure":
        turn.do(e.Asked(at=turn.at, question="figure", about=f"{refusal.about}|{step.id}"))
        turn.say("ask-figure", figure=refusal.about)
    else:
        label = turn.state.procedure.labels.get(refusal.about, refusal.about)
        turn.say("held", missing=label)
        needed = provider(turn, refusal.about, step)
        if needed is None or needed.id in (turn.state.step_id, *held):
            instruct(turn)
        else:
            _enter(turn, needed, "gate", (*held, step.id))  # it may have a gate of its own


def speak_cautions(turn: Turn, *, again: bool = False) -> None:
    """Say the cautions of the current step that were not said yet; all of them when asked."""
    for name in turn.state.step.cautions:
        if again or name not in turn.state.cautions:
            turn.say("caution", text=turn.state.procedure.cautions[name])
            turn.do(e.CautionSpoken(at=turn.at, caution=name))


def instruct(turn: Turn, *, full: bool = False, stay: bool = False) -> None:
    """Say the current step: cautions first, then what to do, then what is awaited.

    A step whose readings are all in is passed, unless the mechanic went back to it (`stay`).
    """
    speak_cautions(turn)
    state, step = turn.state, turn.state.step
    text = step.full if full and step.full else step.say
    turn.say("step", number=state.procedure.number(step.id), text=text, sheet=state.sheet)
    if step.kind == "plan":
        advising.give_refill(turn)
        return
    if step.kind == "pour":
        advising.say_pours(turn)
    if step.timer is not None and step.timer.on == "enter":
        start_planned_timer(turn)
    if not commands.missing(state, step) and step.awaits and step.kind == "read":
        if not any(one.many for one in step.awaits) and not commands.unsettled(state):
            turn.say("already-noted")
            if not stay:
                advance(turn)
        return
    if len(commands.missing(state, step)) < sum(not one.optional for one in step.awaits):
        ask_next(turn)  # some of it is in already; else the text itself asks


def _minutes_ms(minutes: str) -> int:
    return round(float(minutes) * 60_000)


def start_timer(turn: Turn, name: str, ms: int) -> None:
    """Start a timer and say so, unless the same one was started within the last ten seconds."""
    old = turn.state.timers.get(name)
    if old and not (old.stopped or old.said) and old.ms == ms and elapsed(old.started, turn.at).ms < TWICE_MS:
        turn.say("timer-runs", name=name, ms=ms)
        return
    turn.do(e.TimerStarted(at=turn.at, name=name, ms=ms))
    turn.say("timer-on", name=name, ms=ms)


def start_planned_timer(turn: Turn) -> bool:
    """Start the timer of the current step; say whether it did: not one that runs, nor again one that is
    over, unless the step is being done once more."""
    state = turn.state
    plan = state.step.timer
    old = state.timers.get(plan.name) if plan is not None else None
    under_way = old is not None and not (old.stopped or old.said)
    if plan is None or under_way or (old is not None and state.step_id not in state.completed):
        return False
    start_timer(turn, plan.name, _minutes_ms(plan.minutes))
    return True


def ask_next(turn: Turn) -> None:
    """Ask for the first reading the step still needs, in its own words, if it has any."""
    state = turn.state
    for kind in commands.missing(state, state.step):
        awaited = state.step.awaited(kind)
        if awaited is not None and awaited.ask:
            turn.say("ask", text=awaited.ask, sheet=state.sheet)
        return


def settle(turn: Turn) -> None:
    """After a reading: go on to the next question, or to the next step where all is in."""
    state, step = turn.state, turn.state.step
    if step.kind != "read" or state.question is not None or state.ended or commands.unsettled(state):
        return
    if commands.missing(state, step):
        ask_next(turn)
    elif not any(one.many for one in step.awaits):
        advance(turn)


def advance(turn: Turn) -> None:
    """Complete the current step and enter the following one; at the end ask to finish."""
    turn.do(*commands.complete(turn.state, turn.at))
    following = turn.state.procedure.following(turn.state.step_id)
    if following is None:
        ask_finish(turn)
    else:
        go(turn, following)


def ask_finish(turn: Turn) -> None:
    """Ask whether the job is to be closed, naming what is open."""
    points = commands.open_points(turn.state)
    turn.do(e.Asked(at=turn.at, question="finish"))
    turn.say("ask-finish" if not points else "ask-finish-open", count=len(points))


def leave(turn: Turn, then: str) -> None:
    """Go where an exit or finding leads: a step, stay here, end handed back, or park."""
    if then == "stop":
        turn.do(e.JobFinished(at=turn.at, how="handed-back", open_points=commands.open_points(turn.state)))
    elif then == "park":
        turn.do(e.JobParked(at=turn.at))
    elif then != "stay":
        go(turn, turn.state.procedure.step(then), "exit")
