"""Jobs of an invented workshop, said on the bench, one after the other into one journal."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from assistant.commands.book import remembered_of
from assistant.display.history.entry import Entry, entry
from assistant.journal.memory import MemoryJournal
from assistant.journal.store import Journal
from assistant.shelf.vehicle_file import load_vehicle
from assistant.timekeeping.clock import RecordedClock
from tests.bench import SHEET, START, Bench
from tests.straight_job import SAID, say

DAY_MS = 86_400_000
OTHER = Path(__file__).resolve().parents[3] / "assistant" / "procedures" / "vehicles" / "example.toml"


def job(
    journal: Journal,
    day: int,
    sheet: Path = SHEET,
    until: str = "",
    said: Mapping[str, tuple[str | float, ...]] | None = None,
) -> Bench:
    """Say the straight job on a day, up to a step, with other lines at some steps."""
    clock = RecordedClock(START.later(day * DAY_MS))
    past = remembered_of(journal, load_vehicle(sheet, None))
    bench = Bench(sheet=sheet, journal=journal, clock=clock, past=past)
    opening = list(bench.sentences)
    for step, lines in SAID.items():
        if step == until:
            break
        for item in (said or {}).get(step, lines):
            say(bench, item)
    bench.sentences[:] = opening
    return bench


@cache
def years() -> tuple[Journal, tuple[Bench, ...]]:
    """Three services of one vehicle and a job of another that was hardly begun; made once, not changed."""
    journal = MemoryJournal()
    flakes = {"magnet": ("metal flakes on the magnet",), "close": ("clock reads 99210 km", "done")}
    return journal, (
        job(journal, 0),
        job(journal, 20, said=flakes),
        job(journal, 30, sheet=OTHER, until="confirm"),
        job(journal, 65, said={"close": ("clock reads 108000 km", "done")}),
    )


def entries_of(journal: Journal) -> list[Entry]:
    """Return the entries of a journal."""
    return [entry(row.id, journal.read(row.id)) for row in journal.jobs()]
