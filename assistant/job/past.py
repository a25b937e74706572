"""What a job did to a unit, in few facts, from its events alone: what the next job is told of it.

The journal keeps everything; this is the little that a mechanic asks of an old job: what came out and
went in, when, at what distance, what was found, when the next is due, which parts and what waste.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from assistant.errors import WrongInput
from assistant.job import balance
from assistant.job import events as e
from assistant.job.instant import Instant
from assistant.job.reading import Reading
from assistant.job.state import State, fold
from assistant.reckoning.due import at_distance
from assistant.units import Measure

NAMING = e.JobStarted | e.JobReopened | e.MechanicNamed | e.HandedOver
"""Events of a job from which on another person may be at work."""
MIXED = "mixed"
SPOILS: frozenset[str] = frozenset({"coolant-in-fluid", "foam-in-fluid", "fuel-in-fluid"})
"""Findings after which what came out must be kept apart (waste oil is collected unmixed: common practice,
no source)."""


@dataclass(frozen=True, slots=True)
class Service:
    """One unit in one job. Amounts are in the unit they were first told in, None where none was."""

    job: str
    vehicle: str
    unit: str
    procedure: str
    title: str
    begun: Instant
    last: Instant
    """When the last thing happened in the job."""
    end: str
    """complete, stopped or handed-back; empty while it is open."""
    who: tuple[str, ...]
    fluid: str
    """The class the sheet calls for."""
    out: Measure | None
    into: Measure | None
    used: Measure | None
    """New fluid that left its container: what went in, was spilled, or was drawn off again."""
    waste: Measure | None
    """What came out and was caught: old fluid, and new that was drawn off again."""
    waste_kind: str
    distance: Measure | None
    due: Measure | None
    """The distance at which the next service is due, by the sheet's interval."""
    found: tuple[Reading, ...]
    """What was seen on magnet, washer and in the fluid, oldest first."""
    findings: tuple[str, ...]
    parts: Mapping[str, int]
    """New parts fitted, by name."""


def services(history: Sequence[e.Event]) -> tuple[Service, ...]:
    """Return what a job did, one for each unit; the first event must be `JobStarted`."""
    state = fold(history)
    return tuple(_service(state.at_unit(unit), history) for unit in state.units)


def _service(state: State, history: Sequence[e.Event]) -> Service:
    """Return what was done to the unit the state is seen from, over all its rounds."""
    rounds = balance.by_round(state)
    out, into = balance.in_all(state)
    distance = state.last_reading("distance")
    return Service(
        job=state.job,
        vehicle=state.sheet.vehicle,
        unit=state.sheet.unit,
        procedure=state.procedure.name,
        title=state.procedure.title,
        begun=state.started,
        last=history[-1].at,
        end=state.ended,
        who=people(history),
        fluid=state.sheet.texts.get("fluid-class", ""),
        out=out,
        into=into,
        used=balance.summed(used(one) for one in rounds),
        waste=balance.summed(caught(one) for one in rounds),
        waste_kind=MIXED if SPOILS & {*state.findings} else state.procedure.waste_of(state.unit_id),
        distance=distance.measure if distance is not None else None,
        due=next_due(state),
        found=tuple(
            one
            for one in state.readings.values()
            if one.kind in ("magnet", "look", "washer")
            and not one.withdrawn
            and one.of in ("", state.unit_id)
        ),
        findings=tuple(dict.fromkeys(state.findings)),
        parts=fitted(state),
    )


def people(history: Sequence[e.Event]) -> tuple[str, ...]:
    """Return who worked on a job, in order, each once."""
    named = [one.who for one in history if isinstance(one, NAMING)]
    return tuple(name for name in dict.fromkeys(named) if name)


def next_due(state: State) -> Measure | None:
    """Return at what distance the next service is due, None where it cannot be told."""
    distance, every = state.last_reading("distance"), state.sheet.figure("service-interval")
    if distance is None or distance.measure is None or every is None:
        return None
    try:
        return at_distance(now=distance.measure, every=every).value
    except WrongInput:
        return None


def caught(state: State) -> Measure | None:
    """Return what has to be handed over as waste: what came out, and new fluid that was drawn off."""
    return balance.total(balance.counted(state, "drained"))


def used(state: State) -> Measure | None:
    """Return the new fluid that was taken from its containers."""
    drawn = [one for one in balance.counted(state, "drained") if one.slots.get("fluid") == "new"]
    return balance.summed((balance.poured(state), balance.spilled(state, "new"), balance.total(drawn)))


def fitted(state: State) -> dict[str, int]:
    """Return the new parts of this unit: washers said to be on, by plug and round; those of steps done."""
    washers = {
        (state.procedure.step(one.step).plug if one.step else "drain", one.round)
        for one in state.readings.values()
        if one.kind == "washer"
        and one.slots.get("state") == "new-on"
        and one.counts
        and one.of in ("", state.unit_id)
    }
    steps = (step for step in state.procedure.steps if step.unit in ("", state.unit_id))
    done = Counter(part for step in steps if step.id in state.completed for part in step.parts)
    return {**({"crush-washer": len(washers)} if washers else {}), **done}


def remembered(earlier: Iterable[Service], vehicle: str) -> dict[str, object]:
    """Return as plain data the newest service in which something went into each unit of a vehicle.

    Unit -> job, utc_ms, into and distance as [number, unit] ("" and "" for none), found: names.
    """
    kept: dict[str, object] = {}
    for one in sorted(earlier, key=lambda each: each.begun.utc_ms):
        if one.vehicle == vehicle and vehicle and one.into is not None:
            kept[one.unit] = {
                "job": one.job,
                "utc_ms": one.begun.utc_ms,
                "into": [one.into.value, one.into.unit],
                "distance": [one.distance.value, one.distance.unit] if one.distance else ["", ""],
                "found": _told(one),
            }
    return kept


def _told(service: Service) -> list[str]:
    """Return what was found: the last word of the magnet, then the findings."""
    magnets = [one.slots.get("find", "") for one in service.found if one.kind == "magnet"]
    return [f"magnet-{name}" for name in magnets[-1:] if name] + [
        name for name in service.findings if not name.startswith("magnet-")
    ]


@dataclass(frozen=True, slots=True)
class LastTime:
    """What the last service of a unit put in and found."""

    into: Measure
    found: tuple[str, ...]
    utc_ms: int
    """When that job began."""
    distance: Measure | None


def last_time(past: Mapping[str, object], unit: str) -> LastTime | None:
    """Return the last service of a unit from what the job was told at its start, None where there is none."""
    told = past.get(unit)
    if not isinstance(told, Mapping):
        return None
    value, measured_in = told["into"]
    distance, counted_in = told["distance"]
    return LastTime(
        into=Measure(str(value), str(measured_in)),
        found=tuple(str(name) for name in told["found"]),
        utc_ms=int(told["utc_ms"]),
        distance=Measure(str(distance), str(counted_in)) if counted_in else None,
    )
