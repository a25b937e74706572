"""One job as the history keeps it: its services, what is searched and compared, what was handed over.

Small beside the job's events, so that a history of years is held in memory and reckoned anew only for
jobs that went on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from assistant.job import events as e
from assistant.job.past import Service, services
from assistant.job.state import State, fold
from assistant.phrasing.en.page import reading_slots
from assistant.units import Measure


@dataclass(frozen=True, slots=True)
class Entry:
    """One job; times within are instants, so that any zone can be asked for."""

    job: str
    services: tuple[Service, ...]
    text: str
    """Everything a search looks through, letter case folded."""
    compared: Mapping[str, str | Measure]
    """What is set beside another job, by name; a measure, or a text that is shown as it is."""
    handed: tuple[e.WasteHandedOver, ...] = ()
    notes: tuple[str, ...] = field(default=())


def entry(job: str, history: Sequence[e.Event]) -> Entry:
    """Return a job, or what was told beside any job, as the history keeps it."""
    handed = tuple(one for one in history if isinstance(one, e.WasteHandedOver))
    if not isinstance(history[0], e.JobStarted):
        return Entry(job, (), _folded(one.to for one in handed), {}, handed)
    state, found = fold(history), services(history)
    notes = tuple(one.words for one in history if isinstance(one, e.NoteTaken) and one.words)
    return Entry(job, found, _folded(_words(state, found, notes)), _compared(state, history), handed, notes)


def _folded(words: Iterator[str]) -> str:
    return "\n".join(" ".join(one.split()).casefold() for one in words if one)


def _words(state: State, found: Sequence[Service], notes: Sequence[str]) -> Iterator[str]:
    """Yield every text of a job somebody may look for."""
    for one in found:
        yield from (one.job, one.vehicle, one.unit, one.title, one.procedure, one.fluid, one.end, *one.who)
        yield from one.parts
        yield from (name.replace("-", " ") for name in one.findings)
    yield from notes
    yield from (what.replace("-", " ") for what in state.exits)
    for reading in state.readings.values():
        if not reading.withdrawn:
            yield from (reading.words, *reading.slots.values())
            yield f"{reading.value or ''} {reading.unit or ''}"


def _compared(state: State, history: Sequence[e.Event]) -> dict[str, str | Measure]:
    """Return what two jobs are compared by, beside their services."""
    told: dict[str, str | Measure] = {}
    for kind in ("level", "temperature", "drip", "torque"):
        reading = state.last_reading(kind)
        if reading is not None and reading.measure is not None:
            told[kind] = reading.measure
        elif reading is not None:
            told[kind] = reading_slots(reading.slots)
    advice = state.last_advice("refill")
    if advice is not None:
        told["advised"] = advice.spoken
    whole = history[-1].at.utc_ms - history[0].at.utc_ms
    told["minutes"] = Measure(str(max(round(whole / 60_000), 0)), "minute")
    told["corrections"] = str(
        sum(isinstance(one, e.ReadingHeard) and one.replaces is not None for one in history)
    )
    told["challenges"] = str(
        sum(isinstance(one, e.Asked) and one.question == "implausible" for one in history)
    )
    told["exits"] = ", ".join(what.replace("-", " ") for what in state.exits)
    return told


def local(utc_ms: int, zone: tzinfo | None) -> str:
    """Return an instant as ISO 8601 to the minute in `zone`, the computer's own where None."""
    return datetime.fromtimestamp(utc_ms / 1000, zone).astimezone(zone).isoformat(timespec="minutes")
