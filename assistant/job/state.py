"""The state of a job: a fold over its events, and nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import singledispatch

from assistant.job import events as e
from assistant.job.instant import Instant, elapsed
from assistant.job.pending import Advice, Question, Timer
from assistant.job.procedure import Procedure, Step, procedure_from_data
from assistant.job.reading import NEVER, Reading
from assistant.job.sheet import Sheet, sheet_from_data
from assistant.units import Measure

BREAK_MS = 3_600_000
ROW_MS = 60_000


@dataclass(frozen=True, slots=True)
class State:
    """Everything that is true of a job after its events so far."""

    job: str
    procedure: Procedure
    sheet: Sheet
    settings: Mapping[str, str]
    who: str
    started: Instant
    heard_at: Instant
    """When the mechanic last said anything, or a timer last spoke."""
    step_id: str = ""
    completed: tuple[str, ...] = ()
    skipped: Mapping[str, str] = field(default_factory=dict)
    facts: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[int, Reading] = field(default_factory=dict)
    question: Question | None = None
    gate_open: str = ""
    """The step whose gate was just confirmed; entering any step closes it."""
    timers: Mapping[str, Timer] = field(default_factory=dict)
    cautions: Mapping[str, Instant] = field(default_factory=dict)
    advice: Mapping[int, Advice] = field(default_factory=dict)
    findings: tuple[str, ...] = ()
    exits: tuple[str, ...] = ()
    notes: int = 0
    refusals: int = 0
    """How many sentences in a row were not understood; a minute without one ends the row."""
    refused_at: Instant = NEVER
    prompts: int = 0
    standing_by: bool = False
    frozen: Instant | None = None
    ended: str = ""
    past: Mapping[str, object] = field(default_factory=dict)
    """What the last service of each unit was, as the job was told at its start."""

    @property
    def step(self) -> Step:
        """Return the current step."""
        return self.procedure.step(self.step_id)

    def last_reading(self, *kinds: str) -> Reading | None:
        """Return the newest reading not withdrawn, of these kinds if any are named."""
        for reading in sorted(self.readings.values(), key=lambda one: -one.id):
            if not reading.withdrawn and (not kinds or reading.kind in kinds):
                return reading
        return None

    def unstanding(self) -> tuple[Reading, ...]:
        """Return the readings heard that neither stand nor are withdrawn, oldest first."""
        return tuple(one for one in self.readings.values() if not (one.standing or one.withdrawn))

    def has(self, requirement: str) -> bool:
        """Say whether a `name=value` fact is true."""
        name, _, value = requirement.partition("=")
        return self.facts.get(name) == value

    def last_advice(self, name: str) -> Advice | None:
        """Return the newest advice of that name that was not refused."""
        kept = [one for one in self.advice.values() if one.name == name and one.fate != "refused"]
        return kept[-1] if kept else None


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
    return State(
        job=event.job,
        procedure=procedure_from_data(event.procedure),
        sheet=sheet_from_data(event.sheet),
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
    return replace(state, timers={**state.timers, changed.name: changed})


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


def _answered(state: State, *names: str) -> State:
    """Close the open question if it is one of these."""
    open_one = state.question
    return replace(state, question=None) if open_one and open_one.name in names else state


@apply.register
def _(event: e.JobReopened, state: State) -> State:
    state = _rested(_thawed(state, event.at), event.at)
    state = replace(state, who=event.who or state.who, heard_at=event.at)
    return replace(state, prompts=0, standing_by=False)


@apply.register
def _(event: e.StepEntered, state: State) -> State:
    state = _rested(_answered(state, "gate"), event.at)
    return replace(state, step_id=event.step, gate_open="", prompts=0, heard_at=event.at, refusals=0)


@apply.register
def _(event: e.StepCompleted, state: State) -> State:
    facts = dict(state.facts)
    for fact in state.procedure.step(event.step).sets:
        name, _, value = fact.partition("=")
        facts[name] = value
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
    facts = dict(state.facts)
    if reading.kind == "torque":
        facts[f"{reading.slots.get('plug', 'drain')}-plug"] = "torqued"
    if reading.kind == "washer" and reading.slots.get("state") == "new-on":
        facts["washer"] = "new"
    open_one = state.question
    if open_one and open_one.name == "confirm" and open_one.reading == event.reading:
        state = replace(state, question=None)
    return replace(state, facts=facts)


@apply.register
def _(event: e.ReadingWithdrawn, state: State) -> State:
    reading = state.readings[event.reading]
    facts = dict(state.facts)
    if reading.standing and reading.kind == "torque":
        facts.pop(f"{reading.slots.get('plug', 'drain')}-plug", None)
    if reading.standing and reading.kind == "washer" and reading.slots.get("state") == "new-on":
        facts.pop("washer", None)
    state = replace(_reading(state, event.reading, withdrawn=True, standing=False), facts=facts)
    open_one = state.question
    return replace(state, question=None) if open_one and open_one.reading == event.reading else state


@apply.register
def _(event: e.ReadingDoubted, state: State) -> State:
    return _answered(_reading(state, event.reading, doubtful=True), "implausible")


@apply.register
def _(event: e.Asked, state: State) -> State:
    return replace(state, question=Question(event.question, event.reading, event.about, event.at))


@apply.register
def _(event: e.QuestionDropped, state: State) -> State:
    return replace(state, question=None)


@apply.register
def _(event: e.FigureSupplied, state: State) -> State:
    sheet = state.sheet.with_figure(event.name, Measure(event.value, event.unit))
    return _answered(replace(state, sheet=sheet, heard_at=event.at), "figure")


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
    return replace(state, findings=(*state.findings, event.finding))


@apply.register
def _(event: e.AdviceGiven, state: State) -> State:
    advice = Advice(
        event.advice,
        event.name,
        Measure(event.value, event.unit),
        Measure(event.spoken_value, event.spoken_unit),
        event.estimate,
        event.plus_minus,
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
    timer = Timer(event.name, event.at, event.ms)
    return replace(state, timers={**state.timers, event.name: timer}, heard_at=event.at)


@apply.register
def _(event: e.TimerDue, state: State) -> State:
    return _timer(state, replace(state.timers[event.name], due=True))


@apply.register
def _(event: e.TimerSaid, state: State) -> State:
    return replace(_timer(state, replace(state.timers[event.name], said=True)), heard_at=event.at, prompts=0)


@apply.register
def _(event: e.TimerStopped, state: State) -> State:
    return _timer(state, replace(state.timers[event.name], stopped=True))


@apply.register
def _(event: e.Prompted, state: State) -> State:
    return replace(state, prompts=event.count)


@apply.register
def _(event: e.Refused, state: State) -> State:
    in_a_row = elapsed(state.refused_at, event.at).ms < ROW_MS
    return replace(state, refusals=state.refusals + 1 if in_a_row else 1, refused_at=event.at)


@apply.register
def _(event: e.StoodBy, state: State) -> State:
    return replace(state, standing_by=True, heard_at=event.at)


@apply.register
def _(event: e.CameBack, state: State) -> State:
    return replace(
        _rested(_thawed(state, event.at), event.at), standing_by=False, heard_at=event.at, prompts=0
    )


@apply.register
def _(event: e.NoteTaken, state: State) -> State:
    return replace(_answered(state, "note"), notes=state.notes + 1, heard_at=event.at)


@apply.register
def _(event: e.HandedOver, state: State) -> State:
    return replace(state, who=event.who, heard_at=event.at)


@apply.register
def _(event: e.EmergencyCalled, state: State) -> State:
    return replace(state, frozen=state.frozen or event.at, question=None)


@apply.register
def _(event: e.JobParked, state: State) -> State:
    return replace(state, standing_by=True, heard_at=event.at)


@apply.register
def _(event: e.JobFinished, state: State) -> State:
    return replace(state, ended=event.how, question=None)
