"""The record of a job as plain tables, from its events alone: what the report prints and `--json` gives."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, tzinfo
from typing import TypeVar

from assistant.display import sums
from assistant.display.sums import Table, figure
from assistant.job import events as e
from assistant.job.commands import open_points
from assistant.job.instant import Instant
from assistant.job.past import NAMING, people
from assistant.job.pending import timer_key
from assistant.job.reading import Reading
from assistant.job.state import State, fold
from assistant.reckoning.again import recheck
from assistant.units import Measure

Kind = TypeVar("Kind", bound=e.Event)
BREAKS = (e.JobReopened, e.StoodBy, e.CameBack, e.JobParked, e.EmergencyCalled, e.HandedOver)


def record(history: Sequence[e.Event], zone: tzinfo | None = None) -> Table:
    """Return the record of a job; times are ISO 8601 in `zone`, the computer's own where None.

    Numbers are decimal strings with their spoken unit. The first event must be `JobStarted`.
    """
    started, state = history[0], fold(history)
    assert isinstance(started, e.JobStarted), "fold has refused anything else"
    when = _Clock(zone)
    last = history[-1]
    return {
        "job": state.job,
        "vehicle": state.sheet.vehicle,
        "unit": ", ".join(map(state.unit_name, filter(None, state.units))) or state.sheet.unit,
        "procedure": {
            "name": state.procedure.name,
            "title": state.procedure.title,
            "language": state.procedure.language,
        },
        "who": list(people(history)),
        "begun": when(started.at),
        "ended": when(last.at) if isinstance(last, e.JobFinished) else "",
        "end": state.ended,
        "versions": dict(started.versions),
        "steps": _steps(history, state, when),
        "readings": _readings(history, state, when),
        "units": sums.units(history, state),
        "torques": sums.torques(state),
        "bolts": sums.bolts(history, when),
        **_happened(history, state, when),
        "challenges": _challenges(history, state, when),
        "advice": _advice(history, state, when),
        "timers": _timers(history, when),
        "open": _open(last.open_points if isinstance(last, e.JobFinished) else open_points(state), state),
    }


def _happened(history: Sequence[e.Event], state: State, when: _Clock) -> Table:
    """Return what events tell by themselves, a table for each sort."""
    return {
        "findings": [
            {"at": when(one.at), "step": one.step, "finding": one.finding, "then": one.then}
            for one in _of(history, e.FindingMade)
        ],
        "exits": [
            {"at": when(one.at), "step": one.step, "what": one.what, "then": one.then}
            for one in _of(history, e.ExitTaken)
        ],
        "gates": [
            {"at": when(one.at), "gate": one.gate, "step": one.step, "who": one.who or _who_at(history, one)}
            for one in _of(history, e.GateConfirmed)
        ],
        "cautions": [
            {
                "at": when(one.at),
                "caution": one.caution,
                "text": state.procedure.cautions.get(one.caution, ""),
            }
            for one in _of(history, e.CautionSpoken)
        ],
        "figures": [
            {
                "at": when(one.at),
                "name": one.name,
                "of": one.of,
                "value": one.value,
                "unit": one.unit,
                "origin": one.origin,
            }
            for one in _of(history, e.FigureSupplied)
        ],
        "notes": [
            {"at": when(one.at), "words": one.words, "clip": one.clip or ""}
            for one in _of(history, e.NoteTaken)
        ],
        "breaks": [
            {"at": when(one.at), "what": type(one).__name__, "who": getattr(one, "who", "")}
            for one in history
            if isinstance(one, BREAKS)
        ],
    }


class _Clock:
    """Instants as local times."""

    def __init__(self, zone: tzinfo | None) -> None:
        self._zone = zone

    def __call__(self, at: Instant) -> str:
        return (
            datetime.fromtimestamp(at.utc_ms / 1000, self._zone)
            .astimezone(self._zone)
            .isoformat(timespec="seconds")
        )


def _of(history: Iterable[e.Event], kind: type[Kind]) -> list[Kind]:
    return [one for one in history if isinstance(one, kind)]


def _who_at(history: Sequence[e.Event], moment: e.Event) -> str:
    """Return who was at work when something happened."""
    before = history[: next(place for place, one in enumerate(history) if one is moment)]
    named = [one.who for one in before if isinstance(one, NAMING)]
    return next((who for who in reversed(named) if who), "")


def _steps(history: Sequence[e.Event], state: State, when: _Clock) -> list[Table]:
    rows: list[Table] = []

    def row(step: str, at: Instant, how: str) -> Table:
        told = state.procedure.step(step)
        found = {"step": step, "title": told.title, "number": state.procedure.number(step)}
        rows.append({**found, "entered": when(at), "how": how, "done": "", "skipped": "", "reason": ""})
        return rows[-1]

    for one in history:
        if isinstance(one, e.StepEntered):
            row(one.step, one.at, one.how)
        elif isinstance(one, e.StepCompleted | e.StepSkipped):
            mine = [found for found in rows if found["step"] == one.step]
            last = mine[-1] if mine else row(one.step, one.at, "out-of-order")
            if isinstance(one, e.StepCompleted):
                last["done"] = when(one.at)
            else:
                last["skipped"], last["reason"] = when(one.at), one.reason
    return rows


def _readings(history: Sequence[e.Event], state: State, when: _Clock) -> list[Table]:
    stood = {one.reading: one.how for one in _of(history, e.ReadingStood)}
    why = {one.reading: one.why for one in _of(history, e.ReadingWithdrawn)}
    replaced = {one.replaces: one.reading for one in _of(history, e.ReadingHeard) if one.replaces is not None}
    rows = []
    for heard in _of(history, e.ReadingHeard):
        now = state.readings[heard.reading]
        rows.append(
            {
                "reading": now.id,
                "at": when(now.at),
                "step": now.step,
                "of": now.of,
                "round": now.round,
                "kind": now.kind,
                "value": now.value,
                "unit": now.unit,
                "slots": dict(now.slots),
                "words": now.words,
                "status": _status(now),
                "stood": stood.get(now.id, ""),
                "doubtful": now.doubtful,
                "withdrawn": why.get(now.id, ""),
                "replaces": now.replaces,
                "replaced_by": replaced.get(now.id),
                "clip": heard.clip or "",
            }
        )
    return rows


def _status(reading: Reading) -> str:
    if reading.withdrawn:
        return "withdrawn"
    return "standing" if reading.standing else "heard"


def _challenges(history: Sequence[e.Event], state: State, when: _Clock) -> list[Table]:
    return [
        {
            "at": when(one.at),
            "reading": one.reading,
            "why": one.about,
            "kept_as_doubtful": one.reading is not None and state.readings[one.reading].doubtful,
        }
        for one in _of(history, e.Asked)
        if one.question == "implausible"
    ]


def _open(points: Iterable[str], state: State) -> list[Table]:
    """Return what was left open, a step with its number and title."""
    steps = {f"step {one.id}": one for one in state.procedure.steps}
    return [
        {
            "point": point,
            "number": state.procedure.number(steps[point].id) if point in steps else None,
            "title": steps[point].title if point in steps else "",
        }
        for point in points
    ]


def _advice(history: Sequence[e.Event], state: State, when: _Clock) -> list[Table]:
    return [
        {
            "at": when(one.at),
            "name": one.name,
            "of": one.of,
            "spoken": {"value": one.spoken_value, "unit": one.spoken_unit},
            "exact": {"value": one.value, "unit": one.unit},
            "plus_minus": one.plus_minus,
            "formula": one.formula,
            "inputs": [list(pair) for pair in one.inputs],
            "estimate": one.estimate,
            "notes": list(one.notes),
            "fate": state.advice[one.advice].fate,
            "today": _today(one),
        }
        for one in _of(history, e.AdviceGiven)
    ]


def _today(advice: e.AdviceGiven) -> Table:
    """Return what the same inputs give by today's formula; the record itself is never changed."""
    found = recheck(advice.name, advice.inputs, Measure(advice.value, advice.unit), advice.formula)
    return {
        "verdict": found.verdict,
        "figure": figure(found.now) if found.now is not None else None,
        "formula_changed": found.formula_changed,
    }


def _timers(history: Sequence[e.Event], when: _Clock) -> list[Table]:
    rows: list[Table] = []
    running: dict[str, Table] = {}
    ends: Mapping[type[e.Event], str] = {
        e.TimerDue: "due", e.TimerSaid: "said", e.TimerStopped: "stopped",
        e.TimerUnacknowledged: "unacknowledged",
    }  # fmt: skip
    for one in history:
        if isinstance(one, e.TimerStarted):
            row = {"name": one.name, "of": one.of, "seconds": one.ms // 1000, "started": when(one.at)}
            key = timer_key(one.name, one.of)
            running[key] = {**row, **dict.fromkeys(ends.values(), "")}
            rows.append(running[key])
        elif isinstance(one, e.TimerDue | e.TimerSaid | e.TimerStopped | e.TimerUnacknowledged):
            row = running.get(timer_key(one.name, one.of), {})
            row[ends[type(one)]] = row.get(ends[type(one)]) or when(one.at)  # the first of its announcements
    return rows
