"""What may be done to a job: each command is a function of the state that gives events or a `Refusal`.

The rules of the trade that must never be talked away live here: no step is entered while its gate is
unanswered or something it requires is not true.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from assistant.job import balance
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.procedure import ENDINGS, Step
from assistant.job.reading import CONSEQUENCE, HIGH, LOW, MEDIUM, Reading
from assistant.job.situation import made_true
from assistant.job.state import State

NOTHING: Mapping[str, str] = MappingProxyType({})
INSTEAD: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"temperature": ("temperature-band",), "drip": ("drip-state",)}
)
"""Kinds of reading that answer for another: how warm it feels, that it drips no more."""
LEVELLING = frozenset({"level", "temperature", "temperature-band"})
"""Kinds that are told while a level is judged."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a command was not carried out: `why` is requires, forbids, plug, fluid, timer, gate or figure.

    `about` names the fact, the plug, the timer or the figure, `unit` the key of the unit it is of.
    """

    why: str
    about: str
    unit: str = ""


def next_step(state: State) -> Step | None:
    """Return the step after the present one: of a unit that is done, the next unit not done yet."""
    here, following = state.step, state.procedure.following(state.step_id)
    if not here.unit or (following is not None and following.unit == here.unit):
        return following
    return beyond_unit(state) or (None if state.procedure.block(here.id) else following)


def beyond_unit(state: State) -> Step | None:
    """Return where work goes on past the present unit: at another of its block, else after that."""
    block = state.procedure.block(state.step_id)
    for unit in state.procedure.units:
        undone = [one for one in block if one.unit == unit and not _past(state, one)]
        if undone and unit not in state.left:
            stood = state.stood_at.get(unit, "")
            return next((one for one in undone if one.id == stood), undone[0])
    main = [one for one in state.procedure.steps if not one.aside]
    return next(iter(main[main.index(block[-1]) + 1 :]), None) if block else None


def furthest(state: State) -> Step | None:
    """Return the step the work had come to beyond the present one, which was left out and is done now.

    What was done since is not done again, what was left out since comes first. None where that is not
    known: in a later round, or at a unit's end.
    """
    here, steps = state.step, state.procedure.steps
    if state.round > 1 or here.after in ENDINGS:
        return None
    first = steps.index(state.procedure.step(here.after)) if here.aside else steps.index(here) + 1
    later = (one for one in steps[first:] if not here.unit or one.unit in ("", here.unit))
    found = next((one for one in later if not one.aside and one.id not in state.completed), None)
    return found if found is not None and here.unit in ("", found.unit) else None


def _past(state: State, step: Step) -> bool:
    return step.id in state.completed or step.id in state.skipped


def entry_of(state: State, unit: str) -> Step | None:
    """Return where work on a unit goes on: where it was left, else its first step that is not done."""
    steps = [one for one in state.procedure.steps if one.unit == unit]
    stood = state.stood_at.get(unit, "")
    undone = [one for one in steps if not one.aside and not _past(state, one)]
    found = next((one for one in steps if one.id == stood and not _past(state, one)), None)
    return found or next(iter(undone), None)


ENGINE_ON = "engine=on"


def enter(state: State, step: Step, how: str, at: Instant) -> tuple[e.Event, ...] | Refusal:
    """Enter a step, or refuse because a fact, a figure or the answer to its gate is missing."""
    there = state.at_unit(step.unit) if step.unit else state
    refusal = _facts(there, step) or _running(state, step) or _timing(there, step)
    if refusal is not None:
        return refusal
    for figure in step.figures:
        if there.sheet.figure(figure) is None:
            return Refusal("figure", figure, step.unit)
    if step.gate and state.gate_open != step.id:
        return Refusal("gate", step.gate)
    return (e.StepEntered(at=at, step=step.id, how=how),)


def _facts(state: State, step: Step) -> Refusal | None:
    lacking = (fact for fact in step.requires if not state.has(fact))
    wrong = (fact for fact in step.forbids if state.has(fact))
    for fact in lacking:
        return Refusal("requires", fact, step.unit)
    for fact in wrong:
        return Refusal("forbids", fact, step.unit)
    return None


def _running(state: State, step: Step) -> Refusal | None:
    """No engine runs while a plug is not torqued or a unit holds too little; a step may name exceptions."""
    if ENGINE_ON not in (*step.sets, *step.requires):
        return None
    for unit in state.units:
        there = state.at_unit(unit)
        for plug in balance.plugs_open(there):
            if plug not in step.opens:
                return Refusal("plug", plug, unit)
        if balance.below_minimum(there):
            return Refusal("fluid", "run-minimum", unit)
    return None


def _timing(state: State, step: Step) -> Refusal | None:
    """A step that waits for a timer is not entered before that is over, nor where it was never started."""
    if not step.waits:
        return None
    timer = state.timer(step.waits)
    return Refusal("timer", step.waits, step.unit) if timer is None or not (timer.due or timer.said) else None


def awaits(step: Step, kind: str, slots: Mapping[str, str]) -> bool:
    """Say whether a step waits for a reading of this kind with these slots."""
    return any(one.reading == kind and one.answered_by(slots) for one in step.awaits)


def home_step(state: State, kind: str, slots: Mapping[str, str] = NOTHING) -> str:
    """Return the step a reading belongs to: the current one if it awaits it, else the next that does.

    A level is judged with what is read then and there: nothing is told early for such a step, and a
    temperature told at one is not that of the fluid measured later.
    """
    here = state.step
    if awaits(here, kind, slots) or (here.mark and kind in LEVELLING):
        return here.id
    judged = overflow_of(state)
    if judged is not None and awaits(judged, kind, slots):
        return judged.id
    steps = state.procedure.steps
    of_unit = ("", here.unit or state.unit_id)
    later = [one for one in steps[steps.index(here) + 1 :] if one.unit in of_unit]
    # A level to be judged is read when its step says so, warm and idling; an early one is no answer to it.
    fit = (one for one in later if awaits(one, kind, slots) and not one.aside and one.kind != "check")
    return next((step.id for step in fit), here.id)


CLAIMS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "engine-off": ("engine", "off"),
        "engine-on": ("engine", "on"),
        "on-stands": ("vehicle", "on-stands"),
        "on-wheels": ("vehicle", "on-wheels"),
        "cap-open": ("cap", "open"),
        "cap-shut": ("cap", "shut"),
    }
)
"""What somebody says the vehicle is like -> the fact that is."""


def contradicted(state: State, says: str) -> str:
    """Return the fact that what was said is against, empty where it is against none.

    That is what completing this step makes true, what the step requires, or what is so by the record:
    "engine is running" is no answer to "switch off", nor with the drain plug out.
    """
    if says not in CLAIMS:
        return ""
    name, told = CLAIMS[says]
    step, unit = state.step, state.step.unit or state.unit_id
    made = [fact for fact in step.sets if fact.startswith(f"{name}=")]
    needed = [fact for fact in step.requires if fact.startswith(f"{name}=")]
    known = [f"{name}={value}" for _, value in CLAIMS.values() if state.at_unit(unit).has(f"{name}={value}")]
    now = made or needed or known
    return "" if f"{name}={told}" in now else next(iter(now), "")


def overflow_of(state: State) -> Step | None:
    """Return the step that judges an open plug by what is told here: this one, or the one an aside is of."""
    here = state.step
    back = state.procedure.step(here.after) if here.aside and here.after not in ENDINGS else here
    return back if back.kind == "overflow" else None


def readings_of(state: State, step: Step, kind: str) -> tuple[Reading, ...]:
    """Return the readings of a kind that belong to a step and count, of the present round."""
    of_round = state.at_unit(step.unit).round if step.unit else state.round
    return tuple(
        one
        for one in state.readings.values()
        if one.step == step.id and one.kind == kind and one.counts and one.round == of_round
    )


def latest_of(state: State, step: Step, *kinds: str) -> Reading | None:
    """Return the newest reading of any of the kinds that belongs to a step and counts."""
    found = [one for kind in kinds for one in readings_of(state, step, kind)]
    return max(found, key=lambda one: one.id, default=None)


def missing(state: State, step: Step) -> tuple[str, ...]:
    """Return the kinds of reading a step still needs, in the order in which it asks for them."""
    return tuple(
        one.reading
        for one in step.awaits
        if not one.optional
        and not any(
            one.answered_by(reading.slots) and _still_so(state, reading)
            for kind in (one.reading, *INSTEAD.get(one.reading, ()))
            for reading in readings_of(state, step, kind)
        )
    )


def _still_so(state: State, reading: Reading) -> bool:
    """Say whether what a reading made true still is: a plug taken out again needs washer and torque anew."""
    if not reading.standing or reading.kind not in ("torque", "washer", "gasket"):
        return True
    return all(state.facts.get(name) == value for name, value in made_true(reading, state).items())


def unsettled(state: State) -> tuple[Reading, ...]:
    """Return the readings that wait for an answer: a yes, or what is open about them."""
    return tuple(one for one in state.unstanding() if one.consequence == HIGH or not one.counts)


def complete(state: State, at: Instant) -> tuple[e.Event, ...]:
    """Complete the current step."""
    return (e.StepCompleted(at=at, step=state.step_id),)


TWINNED = frozenset({"drained", "poured", "can-left", "spilled", "torque", "level", "temperature", "share"})
"""Kinds of readings whose number decides something: said as one of a -teen/-ty pair, it needs a yes."""


def consequence(kind: str, *, doubtful: bool, twin: bool, decides: bool) -> str:
    """Return how grave a wrong reading would be.

    High: torque; anything heard doubtfully; a reading whose -teen or -ty twin is as likely; a finding
    that stops the job or sends it elsewhere.
    """
    base = CONSEQUENCE.get(kind, MEDIUM)
    if decides or (doubtful and base != LOW):
        return HIGH
    return HIGH if twin and kind in TWINNED else base


def next_reading_id(state: State) -> int:
    """Return the number the next reading gets."""
    return max(state.readings, default=0) + 1


def open_points(state: State) -> tuple[str, ...]:
    """Return what a finished job leaves open: main steps neither done nor skipped, doubtful readings."""
    undone = [
        f"step {step.id}"
        for step in state.procedure.steps
        if not step.aside and step.id not in state.completed and step.id not in state.skipped
    ]
    skipped = [f"skipped {step}: {why}" for step, why in state.skipped.items()]
    doubted = [
        f"doubtful {one.kind} {one.value} {one.unit or ''}".strip()
        for one in state.readings.values()
        if one.doubtful and not one.withdrawn
    ]
    return (*undone, *skipped, *doubted)
