"""What a report holds, before it is HTML or PDF: facts, parts with rows, plots, a footer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo

from assistant.display.document import series
from assistant.display.document.plots import Plot, drawn
from assistant.display.record import record
from assistant.display.sums import Table, torqued
from assistant.errors import WrongInput
from assistant.job import events as e
from assistant.job.state import State, fold
from assistant.phrasing.en import document as words
from assistant.reckoning.torque import band
from assistant.units import Measure, convert, for_speech


@dataclass(frozen=True, slots=True)
class Part:
    """One part: its name, heading, the heads of its columns and its rows."""

    name: str
    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Content:
    """A whole report."""

    title: str
    facts: tuple[tuple[str, ...], ...]
    parts: tuple[Part, ...]
    plots: tuple[Plot, ...]
    footer: str
    language: str = "en"


def content(
    history: Sequence[e.Event],
    past: Sequence[Sequence[e.Event]] = (),
    zone: tzinfo | None = None,
    *,
    plots: bool = True,
) -> Content:
    """Return the report of a job; `past` are earlier jobs of the same unit, for the share of new fluid.

    Times are ISO 8601 in `zone`, the computer's own where None. Raises `MissingPart` without matplotlib.
    """
    table, state = record(history, zone), fold(history)
    more = beyond(state)
    return Content(
        title=words.TITLE,
        facts=words.facts(table, more),
        parts=tuple(Part(*one) for one in words.parts(table, more)),
        plots=drawn(
            series.amounts(history),
            series.warmth(history),
            series.course(history),
            series.shares([*past, history]),
        )
        if plots
        else (),
        footer=words.FOOTER,
    )


def beyond(state: State) -> Table:
    """Return what a report tells beside the record: full texts by their names, and torque bands."""
    distance = state.last_reading("distance")
    return {
        "distance": str(distance.measure) if distance is not None and distance.measure else "",
        "torque-bands": torque_bands(state),
        "gates": dict(state.procedure.gates),
        "steps": {one.id: one.title or one.id for one in state.procedure.steps},
    }


def torque_bands(state: State) -> dict[int, str]:
    """Return for each torque read what a wrench set to the figure of its sheet may give (ISO 6789)."""
    found = {}
    for one, read, _, wanted in torqued(state):
        if wanted is None:
            continue
        try:
            also = dict(band(torque=convert(wanted, read.unit)).also)
        except WrongInput:
            continue
        low, high = (for_speech(also[end]) for end in ("least", "most"))
        found[one.id] = f"{low.value} to {high}" + _outside(read, also["least"], also["most"])
    return found


def _outside(read: Measure, least: Measure, most: Measure) -> str:
    """Return that a torque is outside its band, nothing where it is within."""
    return "" if least.exact <= read.exact <= most.exact else ": OUTSIDE"
