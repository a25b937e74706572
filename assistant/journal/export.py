"""A journal as JSON lines: one event per line, for other programs, and back again.

Each line holds job, seq, type, version and the event's own text as `event`; keys are sorted, numbers
are decimal strings or whole numbers.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path

from assistant.errors import BadFile, WrongInput
from assistant.job.events import Event
from assistant.journal.codec import decode
from assistant.journal.store import Journal, Kept


def to_lines(journal: Journal, jobs: Iterable[str] | None = None) -> Iterator[str]:
    """Yield a line, without its end, for each event of `jobs` (all of them by default)."""
    for job in [row.id for row in journal.jobs()] if jobs is None else jobs:
        yield from map(line_of, journal.kept(job))


def line_of(row: Kept) -> str:
    """Return the line of one event."""
    line = {"job": row.job, "seq": row.seq, "type": row.type, "version": row.version}
    return json.dumps({**line, "event": json.loads(row.body)}, sort_keys=True, separators=(",", ":"))


def from_lines(lines: Iterable[str], name: str) -> Iterator[tuple[Kept, Event]]:
    """Yield each line of an export `name` as it was kept, and as the event it is now.

    Raises `BadFile` with the line for anything else, `UnknownEvent` for an event of a newer program.
    """
    for number, line in enumerate(lines, start=1):
        try:
            tree = json.loads(line)
            body = json.dumps(tree["event"], sort_keys=True, separators=(",", ":"))
            row = Kept(str(tree["job"]), int(tree["seq"]), str(tree["type"]), int(tree["version"]), body)
            yield row, decode(row.type, row.version, row.body)
        except (WrongInput, ValueError, LookupError, TypeError, RecursionError) as error:
            raise BadFile(name, f"no event of a journal: {error}", line=number) from error


def read_export(path: Path) -> Iterator[tuple[Kept, Event]]:
    """Yield the events of an exported file; raises as `from_lines` does."""
    try:
        with path.open(encoding="ascii") as file:
            yield from from_lines(file, str(path))
    except (OSError, UnicodeDecodeError) as error:
        raise BadFile(str(path), getattr(error, "strerror", None) or "not an export") from error
