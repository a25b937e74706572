"""The state of a job: a fold over its events, and nothing else."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import singledispatch

from assistant.job import events as e
from assistant.job.instant import Instant, elapsed
from assistant.job.pending import Advice, Question, Timer, timer_key
from assistant.job.procedure import procedure_from_data
from assistant.job.reading import Reading
from assistant.job.sheet import Supplied, sheets_from_data
from assistant.job.situation import COMPLAINTS, State, fact_key, made_true
from assistant.units import Measure

__all__ = ["State", "apply", "begin", "fold"]

BREAK_MS = 3_600_000
ROW_MS = 60_000


def fold(history: Iterable[e.Event]) -> State:
    """Rebuild the state from a job's events; the first must be `JobStarted`."""
    iterator = iter(history)
    state = begin(next(iterator))
    for event in iterator:
        state = apply(event, state)
    return state


def begin(event: e.Event) -> State:
    """Return the state of a job that has just started."""
    if not isinstance(event, e.JobStarted):
        raise TypeError(f"a job begins with JobStarted, not {type(event).__name__}")
    procedure = procedure_from_data(event.procedure)
    return State(
        job=event.job,
        procedure=procedure,
        sheets=sheets_from_data(event.sheet, procedure.units),
        settings=event.settings,
        who=event.who,
        started=event.at,
        heard_at=event.at,
        past=event.past,
    )


@singledispatch
def apply(event: e.Event, state: State) -> State:
    """Return the state after one more fact; a fact of a kind the fold does not use changes nothing."""
    return state


def _reading(state: State, number: int, **changes: object) -> State:
    changed = replace(state.readings[number], **changes)  # type: ignore[arg-type]
    return replace(state, readings={**state.readings, number: changed})


def _timer(state: State, changed: Timer) -> State:
    return replace(state, timers={**state.timers, changed.key: changed})


def _thawed(state: State, at: Instant) -> State:
    """Let the timers run on after an emergency, each later by the time they were frozen."""
    if state.frozen is None:
        return state
    lost = elapsed(state.frozen, at).ms
    timers = {name: replace(one, paused_ms=one.paused_ms + lost) for name, one in state.timers.items()}
    return replace(state, timers=timers, frozen=None)


def _rested(state: State, at: Instant) -> State:
    """After an hour's break the cautions are new again."""
    gone = elapsed(state.heard_at, at)
    return replace(state, cautions={}) if gone.doubtful or gone.ms >= BREAK_MS else state


OF_A_ROUND = ("far-less",)
"""What was found out about an amount counts anew when the change is made once more."""


def _answered(state: State, *names: str) -> State:
    """Close the open question if it is one of these."""
    open_one = state.question
    return replace(state, question=None) if open_one and open_one.name in names else state


@apply.register
def _(event: e.JobReopened, state: State) -> State:
    state = _rested(_thawed(state, event.at), event.at)
    state = replace(state, who=event.who or state.who, heard_at=event.at)
    return replace(state, prompts=0, standing_by=False, tag="", complaints=frozenset())


@apply.register
def _(event: e.StepEntered, state: State) -> State:
    state = _rested(_answered(state, "gate"), event.at)
    unit = state.procedure.step(event.step).unit
    if unit:
        left = tuple(one for one in state.left if one != unit)
        state = replace(state, unit_id=unit, stood_at={**state.stood_at, unit: event.step}, left=left)
    return replace(state, step_id=event.step, gate_open="", prompts=0, heard_at=event.at, refusals=0)


def _with_facts(state: State, made: Iterable[str], unit: str) -> dict[str, str]:
    """Return the facts of a job with those that a step or a finding of a unit makes true."""
    pairs = (fact.partition("=") for fact in made)
    return {**state.facts, **{fact_key(name, unit): value for name, _, value in pairs}}


@apply.register
def _(event: e.StepCompleted, state: State) -> State:
    step = state.procedure.step(event.step)
    facts = _with_facts(state, step.sets, step.unit)
    done = tuple(step for step in state.completed if step != event.step)
    skipped = {step: why for step, why in state.skipped.items() if step != event.step}
    return replace(state, completed=(*done, event.step), skipped=skipped, facts=facts)


@apply.register
def _(event: e.StepSkipped, state: State) -> State:
    return replace(state, skipped={**state.skipped, event.step: event.reason})


@apply.register
def _(event: e.ReadingHeard, state: State) -> State:
    reading = Reading(
        id=event.reading,
        kind=event.kind,
        value=event.value,
        unit=event.unit,
        slots=dict(event.slots),
        step=event.step,
        at=event.at,
        consequence=event.consequence,
        doubtful=event.doubtful,
        replaces=event.replaces,
        words=event.words,
        of=state.unit_id,
        round=state.round,
    )
    return replace(
        state,
        readings={**state.readings, event.reading: reading},
        heard_at=event.at,
        refusals=0,
        prompts=0,
    )


@apply.register
def _(event: e.ReadingSettled, state: State) -> State:
    reading = state.readings[event.reading]
    slots = {**reading.slots, **dict(event.slots)}
    if event.form is not None:
        slots["form"] = event.form
    state = _reading(state, event.reading, unit=event.unit or reading.unit, slots=slots)
    return _answered(state, "which-system", "which-unit", "which-form", "which-plug", "which-thing")


@apply.register
def _(event: e.ReadingStood, state: State) -> State:
    state = _reading(state, event.reading, standing=True)
    reading = state.readings[event.reading]
    known = made_true(reading, state)
    open_one = state.question
    if open_one and open_one.name == "confirm" and open_one.reading == event.reading:
        state = replace(state, question=None)
    return replace(state, facts={**state.facts, **known})


@apply.register
def _(event: e.ReadingWithdrawn, state: State) -> State:
    reading = state.readings[event.reading]
    gone = made_true(reading, state) if reading.standing else {}
    facts = {name: value for name, value in state.facts.items() if name not in gone}
    state = replace(_reading(state, event.reading, withdrawn=True, standing=False), facts=facts)
    open_one = state.question
    return replace(state, question=None) if open_one and open_one.reading == event.reading else state


@apply.register
def _(event: e.UnitLeft, state: State) -> State:
    return replace(state, left=(*state.left, event.of), heard_at=event.at)


@apply.register
def _(event: e.RoundBegun, state: State) -> State:
    exits = tuple(one for one in state.exits if one not in OF_A_ROUND)
    rounds = {**state.rounds, event.of: event.number}
    return replace(_answered(state, "repeat"), rounds=rounds, exits=exits)


@apply.register
def _(event: e.ReadingDoubted, state: State) -> State:
    return _answered(_reading(state, event.reading, doubtful=True), "implausible")


@apply.register
def _(event: e.Asked, state: State) -> State:
    offered = state.offered or event.question == "keep-figures"
    question = Question(event.question, event.reading, event.about, event.at)
    return replace(state, offered=offered, question=question)


@apply.register
def _(event: e.QuestionDropped, state: State) -> State:
    return replace(state, question=None)


@apply.register
def _(event: e.FigureSupplied, state: State) -> State:
    measure = Measure(event.value, event.unit)
    sheet = state.at_unit(event.of).sheet.with_figure(event.name, measure, event.origin)
    told = Supplied(event.of, event.name, measure, event.at, state.who)
    earlier = tuple(one for one in state.supplied if (one.of, one.name) != (told.of, told.name))
    state = replace(state, sheets={**state.sheets, event.of: sheet}, supplied=(*earlier, told))
    return _answered(replace(state, heard_at=event.at), "figure")


@apply.register
def _(event: e.FiguresWanted, state: State) -> State:
    return replace(_answered(state, "keep-figures"), offered=True, heard_at=event.at)


@apply.register
def _(event: e.GateConfirmed, state: State) -> State:
    return _answered(replace(state, gate_open=event.step, heard_at=event.at), "gate")


@apply.register
def _(event: e.CautionSpoken, state: State) -> State:
    return replace(state, cautions={**state.cautions, event.caution: event.at})


@apply.register
def _(event: e.ExitTaken, state: State) -> State:
    return replace(state, exits=(*state.exits, event.what), heard_at=event.at)


@apply.register
def _(event: e.FindingMade, state: State) -> State:
    step = state.procedure.step(event.step)
    made = next((one.sets for one in step.findings if one.name == event.finding), ())
    return replace(
        state, findings=(*state.findings, event.finding), facts=_with_facts(state, made, step.unit)
    )


@apply.register
def _(event: e.AdviceGiven, state: State) -> State:
    advice = Advice(
        event.advice,
        event.name,
        Measure(event.value, event.unit),
        Measure(event.spoken_value, event.spoken_unit),
        event.estimate,
        event.plus_minus,
        of=event.of,
        round=state.at_unit(event.of).round,
    )
    return replace(state, advice={**state.advice, event.advice: advice})


def _advice_fate(state: State, number: int, fate: str) -> State:
    advice = {**state.advice, number: replace(state.advice[number], fate=fate)}
    return _answered(replace(state, advice=advice), "advice")


@apply.register
def _(event: e.AdviceTaken, state: State) -> State:
    return replace(_advice_fate(state, event.advice, "taken"), heard_at=event.at)


@apply.register
def _(event: e.AdviceRefused, state: State) -> State:
    return _advice_fate(state, event.advice, "refused")


@apply.register
def _(event: e.TimerStarted, state: State) -> State:
    timer = Timer(event.name, event.at, event.ms, of=event.of)
    return replace(_timer(state, timer), heard_at=event.at)


@apply.register
def _(event: e.TimerDue, state: State) -> State:
    timer = state.timers[timer_key(event.name, event.of)]
    return _timer(state, replace(timer, announced=timer.announced + 1))


@apply.register
def _(event: e.TimerSaid, state: State) -> State:
    return replace(
        _timer(state, replace(state.timers[timer_key(event.name, event.of)], said=True)),
        heard_at=event.at,
        prompts=0,
    )


@apply.register
def _(event: e.TimerUnacknowledged, state: State) -> State:
    return _timer(state, replace(state.timers[timer_key(event.name, event.of)], given_up=True))


@apply.register
def _(event: e.TimerStopped, state: State) -> State:
    return _timer(state, replace(state.timers[timer_key(event.name, event.of)], stopped=True))


@apply.register
def _(event: e.Prompted, state: State) -> State:
    return replace(state, prompts=event.count)


@apply.register
def _(event: e.Refused, state: State) -> State:
    in_a_row = elapsed(state.refused_at, event.at).ms < ROW_MS
    complaints = state.complaints | ({event.reason} & set(COMPLAINTS))
    refusals = state.refusals + 1 if in_a_row else 1
    return replace(state, refusals=refusals, refused_at=event.at, complaints=complaints)


@apply.register
def _(event: e.StoodBy, state: State) -> State:
    return replace(state, standing_by=True, heard_at=event.at)


@apply.register
def _(event: e.CameBack, state: State) -> State:
    state = _rested(_thawed(state, event.at), event.at)
    return replace(state, standing_by=False, heard_at=event.at, prompts=0, tag="")


@apply.register
def _(event: e.NoteTaken, state: State) -> State:
    return replace(_answered(state, "note"), notes=state.notes + 1, heard_at=event.at)


@apply.register
def _(event: e.MechanicNamed, state: State) -> State:
    return replace(state, who=event.who, heard_at=event.at)


@apply.register
def _(event: e.HandedOver, state: State) -> State:
    return replace(state, who=event.who, heard_at=event.at)


@apply.register
def _(event: e.EmergencyCalled, state: State) -> State:
    return replace(state, frozen=state.frozen or event.at, question=None)


def _bolts(state: State, of: str, **facts: str) -> State:
    told = {fact_key(name.replace("_", "-"), of): value for name, value in facts.items()}
    return replace(state, facts={**state.facts, **told})


@apply.register
def _(event: e.BoltsBegun, state: State) -> State:
    return _bolts(
        replace(state, heard_at=event.at), event.of, bolts="begun", bolt_round="1", bolts_counted=""
    )


@apply.register
def _(event: e.BoltTightened, state: State) -> State:
    before = state.facts.get(fact_key("bolts-counted", event.of), "")
    return _bolts(replace(state, heard_at=event.at), event.of, bolts_counted=f"{before} {event.bolt}".strip())


@apply.register
def _(event: e.BoltRoundDone, state: State) -> State:
    state = _bolts(
        replace(state, heard_at=event.at), event.of, bolts_counted="", bolt_round=str(event.round + 1)
    )
    return _bolts(state, event.of, bolts="torqued", bolt_round="") if event.last else state


@apply.register
def _(event: e.JobParked, state: State) -> State:
    return replace(state, standing_by=True, heard_at=event.at, tag=event.tag)


@apply.register
def _(event: e.JobFinished, state: State) -> State:
    return replace(state, ended=event.how, question=None)
