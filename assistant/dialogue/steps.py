"""Moving through the steps: entering with its gate and cautions, instructing, asking, finishing."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.dialogue import advising, last_time, mixing, rounds, telling
from assistant.dialogue.reply import Turn
from assistant.job import balance, commands, planning, timers
from assistant.job import events as e
from assistant.job.commands import Refusal
from assistant.job.instant import elapsed
from assistant.job.pending import timer_key
from assistant.job.procedure import LEAVE, Exit, Step
from assistant.job.reading import Reading
from assistant.job.situation import fact_key, made_true
from assistant.job.state import State

TWICE_MS = 10_000
"""The same timer asked for again within this time is one timer."""


def _refill(turn: Turn) -> str:
    advising.give_refill(turn)
    return ""


PROVIDERS = {"torqued": "torque", "washer=new": "washer", "fluid=agrees": "look", "gasket=off": "gasket"}
"""Facts, or their value, that a standing reading makes true, and its kind."""
PLANS = {"plan": _refill, "mix": mixing.give_mixture, "repeat": rounds.offer}
"""Kinds of step that advise when they are entered, and what they do."""
SLOTS = {"washer": {"state": "new-on"}, "gasket": {"state": "off"}}


def reading_for(fact: str) -> tuple[str, dict[str, str]] | None:
    """Return the kind and slots of the reading that makes a fact true, None where a step does."""
    name, _, value = fact.partition("=")
    kind = PROVIDERS.get(fact) or PROVIDERS.get(value)
    if kind is None and name.endswith("-washer"):
        kind = "washer"
    if kind == "torque" and not name.endswith("-plug"):
        return None  # bolts are counted aloud
    if kind == "torque":
        return kind, {"plug": name.removesuffix("-plug")}
    return (kind, dict(SLOTS.get(kind, {}))) if kind is not None else None


def provider(turn: Turn, fact: str, before: Step, unit: str = "") -> Step | None:
    """Return the step that would make a fact true for `before`: one that sets it or awaits its reading."""
    procedure = turn.state.procedure
    reading = reading_for(fact)
    if reading is None:
        here = (one for one in procedure.steps if one.unit in ("", unit or before.unit))
        waiting = next((one for one in here if one.until == fact), None)
        return waiting or procedure.setting(fact, before.id, unit or before.unit)
    name = fact.partition("=")[0]
    plug = name.removesuffix("-plug").removesuffix("-washer") if "-" in name else "drain"
    for one in procedure.steps:
        ours = one.unit in ("", unit or before.unit) and not one.aside
        fits = commands.awaits(one, *reading) and (reading[0] not in ("torque", "washer") or one.plug == plug)
        if ours and fits:
            return one
    return None


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
    elif (heard := _heard_for(turn, refusal)) is not None:
        turn.do(e.Asked(at=turn.at, question="confirm", reading=heard.id, about=step.id))
        turn.replies = [one for one in turn.replies if one.args.get("reading") != heard]
        turn.say("confirm", reading=heard)
    else:
        needed = _what_holds(turn, step, refusal)
        if needed is None or needed.id in (turn.state.step_id, *held):
            instruct(turn, stay=True)
        else:
            _enter(turn, needed, "gate", (*held, step.id))  # it may have a gate of its own


def _heard_for(turn: Turn, refusal: Refusal) -> Reading | None:
    """Return the reading that was heard for what is missing and does not stand yet: a yes settles it."""
    if refusal.why not in ("requires", "plug"):
        return None
    name, _, value = refusal.about.partition("=")
    key = fact_key(name, refusal.unit)
    for one in turn.state.unstanding():
        if one.counts and made_true(one, turn.state).get(key) == (value or "torqued"):
            return one
    return None


def _what_holds(turn: Turn, step: Step, refusal: Refusal) -> Step | None:
    """Say what holds a step, and return the step that mends it."""
    state, unit = turn.state, refusal.unit
    name = state.unit_name(unit) if unit != state.step.unit else ""
    if refusal.why == "timer":
        timer = state.at_unit(unit).timer(refusal.about)
        left = timers.remaining(timer, turn.at).ms if timer is not None and not timer.stopped else 0
        turn.say("held-by-timer", name=refusal.about, left=left)
        with_timer = (one for one in state.procedure.steps if one.timer and one.timer.name == refusal.about)
        return next((one for one in with_timer if one.unit == unit and not one.aside), None)
    if refusal.why == "fluid":
        turn.say("held-by-fluid", unit=name)
        pours = (one for one in state.procedure.steps if one.kind == "pour" and one.unit in ("", unit))
        return next((one for one in pours if not one.aside), None)
    fact = f"{refusal.about}=torqued" if refusal.why == "plug" else refusal.about
    label = state.procedure.labels.get(fact, fact)
    turn.say("held-until" if refusal.why == "forbids" else "held", missing=label, unit=name)
    if refusal.why == "forbids":
        name, _, value = fact.partition("=")
        ours = (one for one in state.procedure.steps if one.unit in ("", unit))
        cures = sorted((one for one in ours if _changes(one, name, value)), key=lambda one: one.aside)
        return next(iter(cures), None)
    return provider(turn, fact, step, unit)


def _changes(step: Step, name: str, value: str) -> bool:
    """Say whether a step makes a fact something else than `value`."""
    sets = [one.partition("=") for one in step.sets]
    return any(fact == name and other != value for fact, _, other in sets)


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
    if planning.DRAINS & {*step.sets} and not step.aside:
        telling.pan_too_small(turn)
    text = step.full if full and step.full else step.say
    turn.say("step", number=state.procedure.number(step.id), text=text, sheet=state.sheet)
    if step.tells and _told(turn, step):
        return
    if step.kind in PLANS:
        follow(turn, PLANS[step.kind](turn))
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


def _told(turn: Turn, step: Step) -> bool:
    """Tell what a step reckons on entering; say whether that took the exit it has for what came of it."""
    outcome = telling.TELLS[step.tells](turn)
    leads = turn.state.procedure.exit_on(step.id, outcome) if outcome not in turn.state.exits else None
    if leads is not None:
        take_exit(turn, leads)
    return leads is not None


def _minutes_ms(minutes: str) -> int:
    return round(float(minutes) * 60_000)


def start_timer(turn: Turn, name: str, ms: int) -> None:
    """Start a timer and say so, unless the same one was started within the last ten seconds."""
    of = turn.state.step.unit if turn.state.step_id else ""
    unit = turn.state.unit_name(of)
    old = turn.state.timers.get(timer_key(name, of))
    if old and old.running and old.ms == ms and elapsed(old.started, turn.at).ms < TWICE_MS:
        turn.say("timer-runs", name=name, unit=unit, ms=ms)
        return
    turn.do(e.TimerStarted(at=turn.at, name=name, ms=ms, of=of))
    turn.say("timer-on", name=name, unit=unit, ms=ms)


def start_planned_timer(turn: Turn) -> bool:
    """Start the timer of the current step; say whether it did: not one that runs, nor again one that is
    over, unless the step is being done once more."""
    state = turn.state
    plan = state.step.timer
    old = state.timers.get(timer_key(plan.name, state.step.unit)) if plan is not None else None
    under_way = old is not None and old.running
    if plan is None or under_way or (old is not None and state.step_id not in state.completed):
        return False
    start_timer(turn, plan.name, _minutes_ms(plan.minutes))
    return True


def ask_next(turn: Turn) -> None:
    """Ask for the first reading the step still needs, in its own words, if it has any."""
    state = turn.state
    for kind in commands.missing(state, state.step):
        ask_for(turn, state.step, kind)
        return


def ask_for(turn: Turn, step: Step, kind: str) -> None:
    """Ask for one reading of a step in its own words, if it has any."""
    awaited = step.awaited(kind)
    if awaited is not None and awaited.ask:
        turn.say("ask", text=awaited.ask, sheet=turn.state.sheet)


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
    left_out = turn.state.step_id in turn.state.skipped
    turn.do(*commands.complete(turn.state, turn.at))
    if turn.state.step.after == LEAVE:
        leave(turn, LEAVE)
        return
    following = commands.furthest(turn.state) if left_out else None
    following = following or commands.next_step(turn.state)
    if following is None:
        ask_finish(turn)
    else:
        tell_unit(turn, following)
        go(turn, following)


def back_to(turn: Turn, step: Step) -> None:
    """Go on at the step an aside belongs to without telling it again: what it asks for was told already."""
    if step.id == turn.state.step_id:
        return
    turn.do(*commands.complete(turn.state, turn.at))
    turn.do(e.StepEntered(at=turn.at, step=step.id, how="back"))


def tell_unit(turn: Turn, step: Step) -> None:
    """Name the unit where the work goes on with another one; at its beginning say what it last got."""
    unit = step.unit
    if unit and unit != turn.state.unit_id and len(turn.state.units) > 1:
        turn.say("unit", name=turn.state.unit_name(unit))
        if unit not in turn.state.stood_at:
            last_time.tell(turn, unit)


def switch(turn: Turn, unit: str) -> None:
    """Go on with another unit, where it was left."""
    name = turn.state.unit_name(unit)
    entry = commands.entry_of(turn.state, unit) if name else None
    if not name:
        turn.say("no-such-unit", names=tuple(turn.state.procedure.units.values()))
    elif entry is None:
        turn.say("unit-done", name=name)
    elif turn.state.step.unit and entry not in turn.state.procedure.block(turn.state.step_id):
        turn.say("unit-later", name=name)  # the vehicle is lowered or started first, when all units allow it
    else:
        if unit == turn.state.unit_id:
            turn.say("unit", name=name)
        tell_unit(turn, entry)
        go(turn, entry, "switch")


def advise(turn: Turn) -> None:
    """Give the advice of this unit's plan anew: a reading it is made of has changed."""
    steps = turn.state.procedure.steps
    mixed = any(one.kind == "mix" and one.unit == turn.state.unit_id for one in steps)
    follow(turn, PLANS["mix" if mixed else "plan"](turn))


def follow(turn: Turn, outcome: str) -> None:
    """Go on from a step that advised: "" waits for the answer, "next" is done, else an exit is taken."""
    if outcome == "next":
        advance(turn)
    elif outcome:
        leads = turn.state.procedure.exit_on(turn.state.step_id, outcome)
        if leads is not None:
            take_exit(turn, leads)


def take_exit(turn: Turn, one: Exit) -> None:
    """Something else happened: record it, say what to do, and go where the exit leads."""
    turn.do(e.ExitTaken(at=turn.at, what=one.on, step=turn.state.step_id, then=one.then))
    if one.say:
        turn.say("say", text=one.say)
    leave(turn, one.then)


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
        park(turn)
    elif then == LEAVE:
        _leave_unit(turn)
    elif then != "stay":
        go(turn, turn.state.procedure.step(then), "exit")


def _leave_unit(turn: Turn) -> None:
    """Leave the unit as it is and go on with the next; the only unit of a job is handed back."""
    unit = turn.state.step.unit
    if not unit or len(turn.state.units) < 2:
        leave(turn, "stop")
        return
    turn.do(e.UnitLeft(at=turn.at, of=unit, why=turn.state.step_id))
    turn.say("unit-left", name=turn.state.unit_name(unit))
    following = commands.beyond_unit(turn.state)
    if following is None:
        ask_finish(turn)
        return
    tell_unit(turn, following)
    go(turn, following)


def park(turn: Turn) -> Mapping[str, tuple[str, ...]]:
    """Keep the job for later, with the tag the vehicle needs; return what `tagged` does."""
    why = tagged(turn.state)
    turn.do(e.JobParked(at=turn.at, tag="no-fluid" if why["dry"] else "plug-open" if why["open"] else ""))
    return why


def tagged(state: State) -> Mapping[str, tuple[str, ...]]:
    """Return what a tag warns of: the names of the units that are dry, and of those with a plug open."""
    units = {"dry": balance.without_fluid(state), "open": balance.with_plug_open(state)}
    return {why: tuple(state.unit_name(one) for one in keys) for why, keys in units.items()}
